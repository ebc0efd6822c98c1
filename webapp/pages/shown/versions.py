"""A newer version of an item's design as a job's sheet offers it, and one that was just taken, to be put back."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NewerVersion:
    """A newer version of what an item is made from: `said` is what it moves, `wrong` what is said against the job with
    it, `href` shows the difference."""

    item: str
    was: int
    number: int
    said: str
    href: str
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TakenVersion:
    """The version that an item was put on just now, the one it stood on, and what is wrong with it since."""

    item: str
    was: int
    number: int
    wrong: tuple[str, ...] = ()
