"""What a quote says is not included: what the designs and the job leave out, less what the job prices.

The one rule by which the two never contradict each other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.errors import Problem
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job

#: What may be priced, and how a sentence begins that says of it that it is left out.
_BEGINNINGS: Final[Mapping[str, re.Pattern[str]]] = {
    "Delivery": re.compile("deliver|carriage|transport|shipping|freight"),
    "Installation": re.compile(
        "install|mounting|putting up|setting up|fitting in place|(fixing|holding|anchoring)\\b.*\\bto (the|a) wall"
    ),
}
#: A finish is left out as a whole by one of these alone; 'Finish on the ware boards' speaks of something else.
_FINISHES: Final = frozenset({"finish", "finishing", "the finish", "painting", "lacquer", "lacquering", "oiling"})


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What is said to be left out, each as it was written, and what of the job's own words is priced instead."""

    said: tuple[str, ...]
    priced: tuple[tuple[str, str], ...]

    def problems(self) -> Iterator[Problem]:
        """A sentence for each of the job's own words that its price contradicts."""
        for text, priced in self.priced:
            yield Problem(
                "not_included",
                f"“{text}” is said to be not included, but {priced[:1].lower()}{priced[1:]} is priced in this job; the "
                "quote leaves these words out.",
                "warning",
            )


def said_left_out(job: Job, items: Iterable[ItemTaken]) -> LeftOut:
    """What the quote of a job says is not included."""
    items = tuple(items)
    priced = _Priced(job, items)
    designs = [text for item in items for text in item.take_off.design.not_included if not priced.by(text)]
    own = [(text, priced.by(text)) for text in job.not_included]
    said = dict.fromkeys([*designs, *(text for text, by in own if not by and text.strip())])
    return LeftOut(tuple(said), tuple((text, by) for text, by in own if by))


class _Priced:
    """What a job prices besides the things themselves."""

    def __init__(self, job: Job, items: tuple[ItemTaken, ...]) -> None:
        self.lines = {_plain(line.says): f"“{line.says}”" for line in job.lines}
        self.finished = any(finish.area.value for item in items for finish in item.take_off.finishes)
        self.trips = [
            name for name, is_priced in (("Delivery", job.delivery is not None), ("Installation", job.install))
            if is_priced
        ]  # fmt: skip

    def by(self, text: str) -> str:
        """By what it is priced that a text says is left out; nothing where it isn't."""
        plain = _plain(text)
        if plain in self.lines:
            return self.lines[plain]
        if self.finished and plain in _FINISHES:
            return "The finish"
        return next((name for name in self.trips if _BEGINNINGS[name].match(plain)), "")


def _plain(text: str) -> str:
    return re.sub(r"[^\w ]+", "", " ".join(text.casefold().split()))
