"""What a sweep came to, as plain values, written to JSON and read again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from webapp.costing.sweep.cases import Case
from webapp.costing.sweep.limits import SizeRange, Span
from webapp.costing.sweep.shrunk import Limit, Shrunk


@dataclass(frozen=True, slots=True)
class FaultFound:
    """One kind of fault: in how many of the cases it shows, and the fewest changes that show it; not `shrunk` where too
    many kinds were found to look into each, and `case` is then the simplest that showed it."""

    kind: str
    sentence: str
    cases: int
    case: Case
    limits: tuple[Limit, ...]
    shrunk: bool


@dataclass(frozen=True, slots=True)
class RefusalFound:
    """One rule of the design's own, room that is asked for, or one place that what is chosen doesn't fit: its sentence
    where it refused first, and how many of the cases it refuses."""

    kind: str
    sentence: str
    cases: int


@dataclass(frozen=True, slots=True)
class SweepResult:
    """A sweep that is done; `sentences` are those of the kinds that its ranges name."""

    cases: int
    faulty: int
    refused: int
    pairs: int
    covered: int
    faults: tuple[FaultFound, ...]
    refusals: tuple[RefusalFound, ...]
    ranges: tuple[SizeRange, ...]
    sentences: Mapping[str, str]


def write_case(case: Case) -> dict[str, Any]:
    """A case as plain values."""
    return {
        "sizes": {name: str(value) for name, value in case.sizes.items()},
        "choices": dict(case.choices),
        "materials": dict(case.materials),
    }


def read_case(kept: Mapping[str, Any]) -> Case:
    """A case from plain values."""
    sizes = {name: Fraction(value) for name, value in kept["sizes"].items()}
    return Case(sizes, dict(kept["choices"]), dict(kept["materials"]))


def write_shrunk(shrunk: Shrunk) -> dict[str, Any]:
    """A fault brought down, as plain values."""
    return {"case": write_case(shrunk.case), "sentence": shrunk.sentence, "limits": _write_limits(shrunk.limits)}


def read_shrunk(kept: Mapping[str, Any]) -> Shrunk:
    """A fault brought down, from plain values."""
    return Shrunk(read_case(kept["case"]), kept["sentence"], _read_limits(kept["limits"]))


def write_range(one: SizeRange) -> dict[str, Any]:
    """A size with its stretches, as plain values."""
    return {
        "name": one.name, "least": str(one.least), "usual": str(one.usual), "most": str(one.most),
        "spans": [
            {
                "low": str(span.low), "high": str(span.high), "below": _text(span.below), "above": _text(span.above),
                "verdict": span.verdict, "kinds": list(span.kinds),
            }
            for span in one.spans
        ],
    }  # fmt: skip


def read_range(kept: Mapping[str, Any]) -> SizeRange:
    """A size with its stretches, from plain values."""
    spans = tuple(
        Span(
            Fraction(one["low"]), Fraction(one["high"]), _number(one["below"]), _number(one["above"]), one["verdict"],
            tuple(one["kinds"]),
        )
        for one in kept["spans"]
    )  # fmt: skip
    return SizeRange(kept["name"], Fraction(kept["least"]), Fraction(kept["usual"]), Fraction(kept["most"]), spans)


def write_result(result: SweepResult) -> dict[str, Any]:
    """A sweep that is done, as plain values."""
    return {
        "cases": result.cases, "faulty": result.faulty, "refused": result.refused,
        "pairs": result.pairs, "covered": result.covered,
        "faults": [
            {
                "kind": one.kind, "sentence": one.sentence, "cases": one.cases, "case": write_case(one.case),
                "limits": _write_limits(one.limits), "shrunk": one.shrunk,
            }
            for one in result.faults
        ],
        "refusals": [{"kind": one.kind, "sentence": one.sentence, "cases": one.cases} for one in result.refusals],
        "ranges": [write_range(one) for one in result.ranges],
        "sentences": dict(result.sentences),
    }  # fmt: skip


def read_result(kept: Mapping[str, Any]) -> SweepResult:
    """A sweep that is done, from plain values."""
    return SweepResult(
        kept["cases"], kept["faulty"], kept["refused"], kept["pairs"], kept["covered"],
        tuple(
            FaultFound(
                one["kind"], one["sentence"], one["cases"], read_case(one["case"]), _read_limits(one["limits"]),
                one["shrunk"],
            )
            for one in kept["faults"]
        ),
        tuple(RefusalFound(one["kind"], one["sentence"], one["cases"]) for one in kept["refusals"]),
        tuple(map(read_range, kept["ranges"])),
        dict(kept["sentences"]),
    )  # fmt: skip


def _write_limits(limits: Sequence[Limit]) -> list[list[str]]:
    return [[one.size, str(one.holds), str(one.fails)] for one in limits]


def _read_limits(kept: Sequence[Sequence[str]]) -> tuple[Limit, ...]:
    return tuple(Limit(size, Fraction(holds), Fraction(fails)) for size, holds, fails in kept)


def _text(value: Fraction | None) -> str | None:
    return None if value is None else str(value)


def _number(kept: str | None) -> Fraction | None:
    return None if kept is None else Fraction(kept)
