"""Names of what is imported, and what has such a name already."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

OnClash = Literal["stop", "skip", "rename"]
#: What may become of a material that is in stock already.
OnStockClash = Literal["stop", "skip", "replace"]


@dataclass(frozen=True)
class Clash:
    """A name that is ``taken_by`` a file or another line; ``outcome`` is what becomes of it."""

    name: str
    line: int | None
    taken_by: str
    outcome: Literal["left out", "skipped", "renamed", "replaced"]
    new_name: str = ""


@dataclass
class Names:
    """Names as ``key`` compares them, and who has each."""

    taken: dict[str, str]
    key: Callable[[str], str]
    numbered: Callable[[str, int], str]
    on_clash: OnClash
    clashes: list[Clash] = field(default_factory=list)

    def claim(self, name: str, line: int | None) -> str | None:
        """The name for it, perhaps another one; None where it is left out."""
        by = self.taken.get(self.key(name))
        if by is None:
            self.taken[self.key(name)] = f"line {line}"
            return name
        if self.on_clash != "rename":
            outcome: Literal["left out", "skipped"]
            outcome = "skipped" if self.on_clash == "skip" else "left out"
            self.clashes.append(Clash(name, line, by, outcome))
            return None
        count = 2
        while self.key(new := self.numbered(name, count)) in self.taken:
            count += 1
        self.taken[self.key(new)] = f"line {line}"
        self.clashes.append(Clash(name, line, by, "renamed", new))
        return new
