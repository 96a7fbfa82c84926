"""cofire: will these low-fire glazes ripen together, and do they fit the body?

>>> import cofire
>>> studio = cofire.Studio()
>>> studio.formula("clear-crackle").analysis.loi_percent
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["CofireError", "Studio", "__version__"]

if TYPE_CHECKING:
    from cofire.errors import CofireError
    from cofire.studio import Studio


def __getattr__(name: str) -> Any:
    # Loaded on first use, so that the command line starts at once.
    if name == "Studio":
        from cofire.studio import Studio

        return Studio
    if name == "CofireError":
        from cofire.errors import CofireError

        return CofireError
    raise AttributeError(f"module 'cofire' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
