"""What is made in the legs of folded parts: the legs as parts of their own, and where it lies on the flat. nm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from webapp.costing.designs.model import FACES, Face
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.features import Hole, Marked, Pocket
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.folded import LegThere, legs_there
from webapp.costing.takeoff.placed.stood import AXES

#: The two corners of a rectangle on a side, along its axes in their order.
Rectangle = tuple[Sequence[Fraction], Sequence[Fraction]]


def part_of_legs(taking: Taking, one: MadePart, row: str, called: str) -> MadePart:
    """The legs of a row of folds as one kind of part, so that something is made in each. Raises LeftOut where they are
    not there, or do not all lie alike."""
    if not one.placed:
        return one
    entry = taking.design.folds[row]
    legs = legs_there(one.folded, one.placed, row) if one.folded is not None else ()
    if not legs:
        raise LeftOut(f"{called} is made in the legs of “{entry.says}”, which are not folded; it is left out.")
    first = legs[0]
    if any((each.run_axis, each.up_axis, each.box.extent) != (first.run_axis, first.up_axis, first.box.extent)
           for each in legs):  # fmt: skip
        raise LeftOut(
            f"{called} is made in the legs of “{entry.says}”, which do not all lie alike: fold those that do in a row "
            "of their own. It is left out."
        )
    key, label = f"folds/{row}/legs", f"{entry.says}: legs"
    count = taking.derive(
        key, label, "piece", "legs of one x count", "of_one * count", count=one.taken.count,
        of_one=taking.given(f"{key}/of_one", f"{label} of one", len(legs) // len(one.placed), "piece"),
    )  # fmt: skip
    part = replace(
        one.part, name=f"{one.part.name}/{row}", says=f"{entry.says} of {one.part.says}",
        length_axis=AXES[first.run_axis], width_axis=AXES[first.up_axis],
    )  # fmt: skip
    taken = replace(one.taken, count=count)
    return replace(one, part=part, taken=taken, placed=tuple(each.box for each in legs), legs=legs)


def folded_edges(one: MadePart) -> frozenset[Face]:
    """The edges of a flat, or of legs, at which the metal goes on beyond a fold."""
    if one.folded is None:
        return frozenset()
    if not one.legs:
        return frozenset(fold.edge for fold in one.folded.folds if fold.on is None)
    return frozenset(
        name for leg in one.legs for name, (axis, end) in FACES.items()
        if AXES.index(axis) == leg.up_axis and (end != leg.free_end or one.folded.beyond(leg.fold) is not None)
    )  # fmt: skip


def legs_of_one(one: MadePart) -> tuple[LegThere, ...]:
    """Those of the first piece."""
    return tuple(leg for leg in one.legs if leg.base is one.legs[0].base)


def on_flat(one: MadePart, features: Sequence[Hole | Pocket]) -> Iterator[Hole | Pocket]:
    """What is made in each leg, as a drawing of it by itself has it, as one of the whole part laid flat has it: from
    the lower corner of the flat between the folds."""
    for leg in legs_of_one(one):
        for feature in features:
            if isinstance(feature, Hole):
                far = ((feature.columns - 1) * feature.column_step, (feature.rows - 1) * feature.row_step)
            else:
                far = feature.length, feature.width
            along, up, long, wide = _laid(leg, (feature.along, feature.up), far)
            if isinstance(feature, Pocket):
                yield replace(feature, along=along, up=up, length=long, width=wide)
            elif leg.fold.is_along:
                yield replace(feature, along=along, up=up)
            else:
                yield replace(
                    feature, along=along, up=up, columns=feature.rows, rows=feature.columns,
                    column_step=feature.row_step, row_step=feature.column_step,
                )  # fmt: skip


def _laid(leg: LegThere, low: tuple[int, int], far: tuple[int, int]) -> tuple[int, int, int, int]:
    """The lower corner on the flat of a rectangle on a leg, and how far that reaches along and across."""
    corners = [
        leg.on_flat(*leg.measured({leg.run_axis: Fraction(along), leg.up_axis: Fraction(up)}))
        for along, up in (low, (low[0] + far[0], low[1] + far[1]))
    ]
    along, up = (round(min(pair)) for pair in zip(*corners, strict=True))
    long, wide = (round(max(pair) - min(pair)) for pair in zip(*corners, strict=True))
    return along, up, long, wide


def marked_on_legs(
    one: MadePart, plane: tuple[int, int], cuts: Sequence[Rectangle], is_round: bool
) -> Iterator[Marked]:
    """Where rectangles on the side of all legs, or the circles in them, stand on these: on both their faces."""
    for leg in one.legs:
        for low, high in cuts:
            ends = [leg.measured(dict(zip(plane, at, strict=True))) for at in (low, high)]
            (left, right), (under, over) = (sorted(pair) for pair in zip(*ends, strict=True))
            for deep, face in zip((Fraction(0), leg.stood.thick), leg.stood.faces, strict=True):
                corners = tuple(
                    (round(x), round(y), round(z))
                    for x, y, z in (leg.stood.at(run, up, deep) for run, up in
                                    ((left, under), (right, under), (right, over), (left, over)))
                )  # fmt: skip
                yield Marked(one.of, leg.base.number, 0, face, (0, 0), (0, 0), is_round, nth=leg.stood.nth,
                             corners=corners)  # fmt: skip
