"""What the docket of a list shows: its stops, their lines, and what was typed at one and not taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from webapp.costing.buying_list.entries import STATES


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed at a line and not taken, and what stands against each field."""

    line: str
    fields: Mapping[str, str]
    problems: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class LineView:
    """A line of the docket.

    `number` is what is wanted, or what is there; `said` how it stands, `notes` what differs from the list. `value`
    stands on the dotted rule: what was paid, else what is expected. `next` are the hidden fields of the next entry,
    `bears` the jobs that may bear what is bought for the shop's own stock. `stays` is how many stay of what is sent
    back, and `back` whether that was typed and not taken; of a line that is `there`, if only in part, nothing is left
    to be ordered or put off.
    """

    id: str
    dom: str
    what: str
    sub: str
    number: str
    state: str
    struck: bool
    said: str
    value: str
    paid: bool
    ask: bool
    notes: tuple[str, ...]
    doubts: tuple[str, ...]
    question: str
    jobs: str
    next: tuple[tuple[str, str], ...]
    known: str
    count: str
    till: str
    plain_count: str
    plain_till: str
    stays: str
    stays_paid: str
    back: bool
    there: bool
    with_tax: bool
    one_off: bool
    offer: str
    offers: tuple[tuple[str, str], ...]
    instead: str
    stop: str
    next_stop: str
    stops: tuple[tuple[str, str], ...]
    job: str
    bears: tuple[str, ...]
    also: bool
    taken: bool
    gone: bool
    open: bool
    problems: Mapping[str, str]
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StopView:
    """What is bought at one place."""

    name: str
    expected: str
    lines: tuple[LineView, ...]


@dataclass(frozen=True, slots=True)
class ListShown:
    """Everything that follows from a settled list, as somebody may see it."""

    stops: tuple[StopView, ...]
    trip: str
    paid: str
    sum_words: str
    expected: str
    got: int
    lines: int
    counter: int
    also: LineView
    words: Mapping[str, str] = field(default_factory=lambda: dict(STATES))
