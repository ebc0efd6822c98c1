"""What two take-offs of one thing differ in: its parts and what holds them, and how its checks come out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from webapp.costing.takeoff.model import Check, PartTaken, TakeOff

#: A check that holds on both sides, in whatever figures, is no news.
_HOLDS: Final = "pass"


@dataclass(frozen=True, slots=True)
class PartMoved:
    """A kind of part before and after; None where it is on one side only."""

    says: str
    before: PartTaken | None
    after: PartTaken | None


@dataclass(frozen=True, slots=True)
class CountMoved:
    """How many of a fastening or fitting there are before and after, and of which material each time, by its code."""

    says: str
    before: Fraction
    after: Fraction
    was_of: str
    material: str


@dataclass(frozen=True, slots=True)
class CheckMoved:
    """A check that comes out otherwise; None where it is made on one side only."""

    before: Check | None
    after: Check | None


@dataclass(frozen=True, slots=True)
class MadeOtherwise:
    """What of two take-offs is otherwise."""

    parts: tuple[PartMoved, ...]
    counts: tuple[CountMoved, ...]
    checks: tuple[CheckMoved, ...]


def made_otherwise(
    before: TakeOff, after: TakeOff, renamed: Mapping[str, Mapping[str, str]] = MappingProxyType({})
) -> MadeOtherwise:
    """What is made otherwise; `renamed` are the names that entries of the later design have, by section and earlier
    name."""
    return MadeOtherwise(
        tuple(_parts(before, after, renamed.get("parts", {}))),
        tuple(_counts(before, after, renamed)),
        tuple(_checks(before.checks, after.checks)),
    )


def _parts(before: TakeOff, after: TakeOff, renamed: Mapping[str, str]) -> Iterator[PartMoved]:
    were = {renamed.get(part.name, part.name): part for part in before.parts if part.count.value}
    are = {part.name: part for part in after.parts if part.count.value}
    for name in {**are, **were}:
        was, is_now = were.get(name), are.get(name)
        if was is None or is_now is None or _as_cut(was) != _as_cut(is_now):
            said = is_now or was
            assert said is not None
            yield PartMoved(said.says, was, is_now)


def _as_cut(part: PartTaken) -> tuple[object, ...]:
    """What a part is cut to, and how many of which material."""
    sizes = (part.length, part.width, part.thickness, part.blank_length, part.blank_width)
    return (
        part.count.value, part.material, part.layers, part.strips, part.outline,
        *(None if one is None else one.value for one in sizes),
        tuple(fold.leg.value for fold in part.folds), tuple(face for face, _ in part.banded),
    )  # fmt: skip


def _counts(before: TakeOff, after: TakeOff, renamed: Mapping[str, Mapping[str, str]]) -> Iterator[CountMoved]:
    were, are = (_fitted(side) for side in (before, after))
    were = {(section, renamed.get(section, {}).get(name, name)): held for (section, name), held in were.items()}
    for key in {**are, **were}:
        said, count, material = are.get(key) or (were[key][0], Fraction(0), were[key][2])
        was = were.get(key, ("", Fraction(0), material))
        if was[1] != count or was[2] != material:
            yield CountMoved(said, was[1], count, was[2], material)


def _fitted(taken: TakeOff) -> dict[tuple[str, str], tuple[str, Fraction, str]]:
    """Fastenings and fittings by section and name: words, how many, the code of the material."""
    held = {("joints", one.joint): (one.says, one.count.value, one.material) for one in taken.fastenings}
    held |= {("hardware", one.name): (one.says, one.count.value, one.material) for one in taken.hardware}
    return {key: told for key, told in held.items() if told[1]}


def _checks(before: Iterable[Check], after: Iterable[Check]) -> Iterator[CheckMoved]:
    were, are = ({check.name: check for check in side} for side in (before, after))
    for name in {**are, **were}:
        was, is_now = were.get(name), are.get(name)
        if (was.outcome if was else _HOLDS) != (is_now.outcome if is_now else _HOLDS):
            yield CheckMoved(was, is_now)
