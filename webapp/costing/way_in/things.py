"""What has to go through: the box about a finished thing, and about what its welds and glue hold together.

Screwed, bolted and pegged joints come apart, and hardware comes off; glued and welded ones do not. Lengths in nm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod

from webapp.costing.takeoff.model import Box as Placed
from webapp.costing.takeoff.model import PartTaken, TakeOff
from webapp.costing.trade.ways.boxes import Box


@dataclass(frozen=True, slots=True)
class Carried:
    """What is carried at once: what it is called, the box about it as it stands, and its mass in kg where known."""

    says: str
    box: Box
    mass: Fraction | None


def whole(taken: TakeOff) -> Carried | None:
    """The finished thing with its hardware; None where nothing of it is placed, or its parts stay loose."""
    if taken.design.loose:
        return None
    pieces = [box for part in taken.parts for box in part.boxes]
    if not pieces:
        return None
    fitted = [box for one in taken.hardware for box in one.boxes]
    return Carried(taken.design.name, box_about([*pieces, *fitted]), taken.mass.value)


def apart(taken: TakeOff) -> tuple[Carried, ...]:
    """What it comes apart into, without what is no larger than another of them either way it is turned."""
    found = [*_loose(taken), *_groups(taken)]
    found += [Carried(one.says, box_about([box]), None) for one in taken.hardware for box in one.boxes]
    return tuple(_largest(found))


def box_about(boxes: Sequence[Placed]) -> Box:
    """The box about some boxes.

    >>> box_about([Placed("leg", 1, (0, 0, 0), (50, 50, 800)), Placed("leg", 2, (950, 0, 0), (50, 50, 800))])
    Box(length=Fraction(1000, 1), width=Fraction(50, 1), height=Fraction(800, 1))
    """
    along = (
        Fraction(max(one.corner[axis] + one.extent[axis] for one in boxes) - min(one.corner[axis] for one in boxes))
        for axis in range(3)
    )
    return Box(*along)


def _loose(taken: TakeOff) -> Iterator[Carried]:
    """The parts that stand nowhere, by their own sizes; a bar by its length alone."""
    for part in taken.parts:
        if not part.boxes and part.count.value:
            sizes = (0 if one is None else one.value for one in (part.length, part.width, part.thickness))
            yield Carried(part.says, Box(*map(Fraction, sizes)), _mass(part))


def _groups(taken: TakeOff) -> Iterator[Carried]:
    """The pieces that welds and glue hold together, wherever two of such a joint touch."""
    parts = {part.name: part for part in taken.parts}
    pieces = [box for part in taken.parts for box in part.boxes]
    held = _held_for_good(taken)
    group = list(range(len(pieces)))

    def head(at: int) -> int:
        while group[at] != at:
            at = group[at]
        return at

    if held:
        for one, piece in enumerate(pieces):
            for other in range(one):
                if frozenset((piece.part, pieces[other].part)) in held and _touch(piece, pieces[other]):
                    group[head(one)] = head(other)
    together: dict[int, list[Placed]] = {}
    for at, piece in enumerate(pieces):
        together.setdefault(head(at), []).append(piece)
    for members in together.values():
        kinds = dict.fromkeys(member.part for member in members)
        masses = [_mass(parts[member.part]) for member in members]
        known = [mass for mass in masses if mass is not None]
        says = parts[next(iter(kinds))].says if len(kinds) == 1 else _named(parts, members)
        yield Carried(says, box_about(members), sum(known, Fraction(0)) if len(known) == len(masses) else None)


def _named(parts: dict[str, PartTaken], members: Sequence[Placed]) -> str:
    """What several parts held together are called: by the largest of them."""
    largest = max(members, key=lambda one: (prod(one.extent), one.part))
    return f"{parts[largest.part].says} with what is welded or glued to it"


def _held_for_good(taken: TakeOff) -> set[frozenset[str]]:
    names = {one.joint for one in taken.welds} | set(taken.glue_lines)
    joints = [joint for joint in taken.design.joints.values() if joint.name in names]
    return {frozenset((joint.source, other)) for joint in joints for other in joint.held}


def _touch(one: Placed, other: Placed) -> bool:
    return all(
        one.corner[axis] <= other.corner[axis] + other.extent[axis]
        and other.corner[axis] <= one.corner[axis] + one.extent[axis]
        for axis in range(3)
    )


def _mass(part: PartTaken) -> Fraction | None:
    """The mass of one of a part; it is kept for one."""
    return None if part.mass is None else part.mass.value


def _sides(box: Box) -> list[Fraction]:
    return sorted((box.length, box.width, box.height), reverse=True)


def _largest(found: Iterable[Carried]) -> Iterator[Carried]:
    """Those that no other is at least as large as on all three sides and as heavy, and each size once."""
    kept: list[list[Fraction]] = []
    for one in sorted(found, key=lambda each: (_sides(each.box), each.mass or 0), reverse=True):
        measured = [*_sides(one.box), one.mass or Fraction(0)]
        if not any(all(a >= b for a, b in zip(other, measured, strict=True)) for other in kept):
            kept.append(measured)
            yield one
