"""What is read first of an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Number(NamedTuple):
    """The number that was asked for, in words, and whose it is; of one glaze alone nobody's. In one
    line it is ``short``; without ``words`` the sentence says it already."""

    of: str
    words: str
    short: str = ""


@dataclass(frozen=True)
class Headline:
    """The verdict and its reason, the numbers that were asked for, the one thing that decides it
    and the one change that would help most; each in words, or empty. ``yes`` is None where there
    is no yes or no, ``short`` the verdict in a few words, and ``says`` are the codes of findings
    that are in it already."""

    yes: bool | None
    sentence: str
    short: str = ""
    numbers: tuple[Number, ...] = ()
    decides: str = ""
    helps: str = ""
    says: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """“yes”, “no”, or nothing."""
        return {True: "yes", False: "no", None: ""}[self.yes]

    @property
    def parts(self) -> tuple[str, ...]:
        """All of it for one line, the most telling first."""
        verdict = ": ".join(filter(None, (self.word, self.short)))
        numbers = " / ".join(one.short for one in self.numbers if one.short)
        return tuple(filter(None, (verdict, numbers, self.helps)))
