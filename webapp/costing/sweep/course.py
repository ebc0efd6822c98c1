"""The course of a sweep: the pieces of its work, each by itself, what they came to so far, and what is left.

Pieces may be done in any order and by several; what was done is plain values, and a sweep goes on from there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from webapp.costing.sweep.cases import Case, Cases, Subject, changes, sweep_cases, usual_case
from webapp.costing.sweep.judged import Judge
from webapp.costing.sweep.limits import range_of
from webapp.costing.sweep.result import (
    FaultFound,
    RefusalFound,
    SweepResult,
    read_case,
    read_range,
    read_shrunk,
    write_case,
    write_range,
    write_shrunk,
)
from webapp.costing.sweep.shrunk import shrink

#: So many kinds of faults are brought down to their fewest changes; the others are told by the case that showed them.
MOST_SHRUNK: Final = 40

CASE, RANGE, FAULT, SAID = "case", "range", "fault", "said"


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of the work: a case by its number, a size by its name, or a kind of fault with a case that shows it."""

    sort: str
    name: str
    start: Case | None = None

    @property
    def key(self) -> str:
        """Its word, under which what it came to is kept."""
        return f"{self.sort} {self.name}"


class Worker:
    """Does pieces of the work on one subject; what it was asked before it knows."""

    def __init__(self, subject: Subject) -> None:
        self.subject, self.judge = subject, Judge(subject)
        self.cases: Cases = sweep_cases(subject)

    def do(self, piece: Piece) -> dict[str, Any]:
        """What a piece comes to, as plain values."""
        if piece.sort == CASE:
            found = self.judge(self.cases.all[int(piece.name)])
            return {"failing": dict(found.failing), "refusals": dict(found.refusals)}
        if piece.sort == RANGE:
            reach, met = range_of(self.subject, piece.name, self.judge)
            sentences = {
                kind: sentence for span in reach.spans for kind, sentence in self._said(piece.name, span.begins)
            }
            return {
                "range": write_range(reach),
                "met": {kind: write_case(case) for kind, case in met.items()},
                "sentences": sentences,
            }
        assert piece.start is not None
        return write_shrunk(shrink(self.subject, piece.name, piece.start, self.judge))

    def _said(self, name: str, value: Fraction) -> list[tuple[str, str]]:
        found = self.judge(usual_case(self.subject).with_size(name, value))
        return [*found.refusals.items(), *found.faults.items()]


class Course:
    """How far a sweep is. `done` holds what each piece came to by its word, and under `said` a sentence for each kind,
    of the first case that has it: all of it plain values."""

    def __init__(self, subject: Subject, cases: Cases, done: Mapping[str, Any] | None = None) -> None:
        self.subject, self.cases = subject, cases
        self.done: dict[str, Any] = {SAID: {}, **(done or {})}
        self._first = [
            *(Piece(CASE, str(number)) for number in range(len(cases.all))),
            *(Piece(RANGE, name) for name in subject.design.sizes),
        ]

    def left(self) -> list[Piece]:
        """The pieces that can be done now. Kinds of faults are known, and looked into, once all cases are judged."""
        first = [piece for piece in self._first if piece.key not in self.done]
        return first or [piece for piece in self._kinds()[:MOST_SHRUNK] if piece.key not in self.done]

    def take(self, piece: Piece, came_to: Mapping[str, Any]) -> None:
        """Note what a piece came to."""
        if piece.sort == CASE:
            self._say(int(piece.name), {**came_to["failing"], **came_to["refusals"]})
            self.done[piece.key] = [[*came_to["failing"]], [*came_to["refusals"]]]
            return
        self.done[piece.key] = came_to
        if piece.sort == RANGE:
            self._say(len(self.cases.all), came_to["sentences"])

    def _say(self, number: int, sentences: Mapping[str, str]) -> None:
        """Keep a sentence for each kind: that of the first case, whichever was done first."""
        said = self.done[SAID]
        for kind, sentence in sentences.items():
            if kind not in said or number < said[kind][0]:
                said[kind] = [number, sentence]

    @property
    def judged(self) -> int:
        """How many of the cases are judged."""
        return sum(1 for piece in self._first if piece.sort == CASE and piece.key in self.done)

    def result(self) -> SweepResult:
        """What the sweep came to; only once nothing is left."""
        refusing, showing = Counter[str](), Counter[str]()
        faulty = refused = 0
        for _, failing, refusals in self._judged():
            refusing.update(refusals)
            refused += bool(refusals)
            if not refusals:
                faulty += bool(failing)
                showing.update(failing)
        ranges = [self.done[f"{RANGE} {name}"] for name in self.subject.design.sizes]
        sentences = {kind: sentence for one in reversed(ranges) for kind, sentence in one["sentences"].items()}
        faults = [self._fault(piece, showing[piece.name]) for piece in self._kinds()]
        refusals_found = [RefusalFound(kind, self.done[SAID][kind][1], many) for kind, many in refusing.items()]
        return SweepResult(
            len(self.cases.all), faulty, refused, self.cases.pairs, self.cases.covered,
            tuple(sorted(faults, key=self._weight)),
            tuple(sorted(refusals_found, key=lambda one: (-one.cases, one.kind))),
            tuple(read_range(one["range"]) for one in ranges), sentences,
        )  # fmt: skip

    def _judged(self) -> Iterator[tuple[Case, list[str], list[str]]]:
        """Each case with the kinds of what fails in it and of what refuses it."""
        for number, case in enumerate(self.cases.all):
            failing, refusals = self.done[f"{CASE} {number}"]
            yield case, failing, refusals

    def _fault(self, piece: Piece, cases: int) -> FaultFound:
        assert piece.start is not None
        if piece.key not in self.done:
            return FaultFound(piece.name, self.done[SAID][piece.name][1], cases, piece.start, (), False)
        shrunk = read_shrunk(self.done[piece.key])
        return FaultFound(piece.name, shrunk.sentence, cases, shrunk.case, shrunk.limits, True)

    def _weight(self, fault: FaultFound) -> tuple[bool, int, int, str]:
        """What stands first: faults of the usual materials, by few changes, that show often."""
        return bool(fault.case.materials), self._many(fault.case), -fault.cases, fault.kind

    def _kinds(self) -> list[Piece]:
        """Each kind of fault with the case of the fewest changes that shows it, the simplest first."""
        starts = dict[str, Case]()
        shown = [(case, kinds) for case, kinds, refusals in self._judged() if not refusals]
        for name in self.subject.design.sizes:
            shown += [(read_case(case), [kind]) for kind, case in self.done[f"{RANGE} {name}"]["met"].items()]
        for case, kinds in shown:
            for kind in kinds:
                if kind not in starts or self._many(case) < self._many(starts[kind]):
                    starts[kind] = case
        pieces = [Piece(FAULT, kind, case) for kind, case in starts.items()]
        return sorted(pieces, key=self._simple)

    def _simple(self, piece: Piece) -> tuple[bool, int, str]:
        assert piece.start is not None
        return bool(piece.start.materials), self._many(piece.start), piece.name

    def _many(self, case: Case) -> int:
        return len(changes(self.subject, case))
