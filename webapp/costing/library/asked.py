"""What somebody asks of a design in one line: words, sizes it is to have, and limits it has to keep."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import permutations
from typing import Any, Final

from webapp.costing.errors import MeasureError
from webapp.costing.jobs.words import parted_sizes
from webapp.costing.measures.written import System, parse_length

#: What is smaller than this, in mm, is a thickness or a count, and no size that a bench is looked for by.
LEAST_SOUGHT: Final = 200
NM_PER_MM: Final = 10**6
#: Which sizes of a design a word for a direction may mean, by their names.
DIRECTIONS: Final[Mapping[str, tuple[str, ...]]] = {
    "high": ("height",), "tall": ("height",), "long": ("length",), "wide": ("width", "length"),
    "deep": ("depth", "width"),
}  # fmt: skip
#: The overall sizes, by which a thing is known: the others are asked for only where it has none of these.
OVERALL: Final = ("length", "width", "depth", "height")
_MOST: Final = ("at most", "up to", "no more than", "under", "below", "not over")
_LEAST: Final = ("at least", "no less than", "from", "over", "above")
_FIGURE: Final = r"\d+(?:[ -]\d+/\d+|[.,]\d+|/\d+)?\s*(?:mm|cm|m|inch(?:es)?|in|feet|foot|ft|\"|')?"
_LIMIT: Final = re.compile(
    rf"\b({'|'.join((*_MOST, *_LEAST))})\s+({_FIGURE})\s+({'|'.join(DIRECTIONS)})\b"
    rf"|(?<![\w.,/])({_FIGURE})\s+({'|'.join(DIRECTIONS)})\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Range:
    """How small and how large a size of a design may be, nm."""

    least: int
    most: int

    def holds(self, nm: int, near: int = 0) -> bool:
        """Whether a length lies in it, within what a typed whole millimetre may be off."""
        return self.least - near <= nm <= self.most + near


@dataclass(frozen=True, slots=True)
class Limit:
    """A direction in which a thing may measure at most, at least, or just so much, nm."""

    direction: str
    least: int | None
    most: int | None

    def kept_by(self, ranges: Mapping[str, Range]) -> bool:
        """Whether a design can be made so."""
        sizes = [ranges[name] for name in DIRECTIONS[self.direction] if name in ranges]
        return any(
            (self.most is None or one.least <= self.most) and (self.least is None or one.most >= self.least)
            for one in sizes
        )


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: `words` that are all to be found, sizes in mm that stand beside one another, and limits."""

    words: str
    sizes: tuple[tuple[int, ...], ...] = ()
    limits: tuple[Limit, ...] = ()

    @property
    def by_size(self) -> bool:
        """Whether any size is asked for."""
        return bool(self.sizes or self.limits)

    def fits(self, ranges: Mapping[str, Range]) -> bool:
        """Whether a design whose sizes have these ranges can be made so: each size that is asked for is another one of
        the design's, in whatever order they were typed."""
        return all(limit.kept_by(ranges) for limit in self.limits) and all(_can_be(run, ranges) for run in self.sizes)


def read_asked(text: str, system: System) -> Asked:
    """What a line asks for; never raises, what is no size is a word.

    >>> read_asked("oak bench 1800 x 800", "metric")
    Asked(words='oak bench', sizes=((1800, 800),), limits=())
    >>> read_asked("at most 900 mm high", "metric").limits
    (Limit(direction='high', least=None, most=900000000),)
    """
    limits: list[Limit] = []

    def taken(found: re.Match[str]) -> str:
        how, figure, direction = (found[1] or "", found[2] or found[4], (found[3] or found[5]).lower())
        try:
            nm = parse_length(figure.strip(), "in" if system == "inch" else "mm")
        except MeasureError:
            return found[0]
        least = nm if how.lower() not in _MOST else None
        most = nm if how.lower() not in _LEAST else None
        limits.append(Limit(direction, least, most))
        return " "

    rest = _LIMIT.sub(taken, " ".join(text.split()))
    sizes, words = parted_sizes(rest, system, LEAST_SOUGHT)
    return Asked(words, sizes, tuple(limits))


def ranges_of(document: Mapping[str, Any], system: System) -> dict[str, Range]:
    """How small and large the sizes of a design may be, as its document says them; what can't be read is left out.

    Read from the text alone, since a whole design takes a hundred times as long: a size is a measure and no formula.
    """
    held = document.get("sizes")
    found = {}
    for name, entry in held.items() if isinstance(held, Mapping) else ():
        if isinstance(entry, Mapping) and name:
            read = [_length(entry.get(limit, entry.get("usual")), system) for limit in ("least", "most")]
            least, most = read
            if least is not None and most is not None:
                found[str(name)] = Range(least, most)
    return found


def _length(value: object, system: System) -> int | None:
    text = value.get(system) if isinstance(value, Mapping) else value
    if isinstance(text, str) and "|" in text:
        metric, _, inch = text.partition("|")
        text = inch if system == "inch" else metric
    # A figure alone is a count in a design.
    if not isinstance(text, str) or re.fullmatch(r"\s*[\d.,/ ]+\s*", text):
        return None
    try:
        return parse_length(text.strip(), "mm")
    except MeasureError:
        return None


def _can_be(run: tuple[int, ...], ranges: Mapping[str, Range]) -> bool:
    """Whether sizes beside one another, in mm, can each be another size of a design."""
    overall = [ranges[name] for name in OVERALL if name in ranges] or list(ranges.values())
    if len(run) > len(overall):
        return False
    near = NM_PER_MM // 2
    return any(
        all(one.holds(mm * NM_PER_MM, near) for mm, one in zip(run, order, strict=True))
        for order in permutations(overall, len(run))
    )
