"""Folds of sheet metal: the least leg, holes and openings beside them, room between two, and who folds them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.designs.model import FACES, Face
from webapp.costing.measures.written import and_words
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.folds import FoldedPart
from webapp.costing.takeoff.made.holes import Drilled
from webapp.costing.takeoff.made.openings import Opened
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.stood import AXES
from webapp.costing.trade.folding import hole_to_fold, least_leg

_SENT_OUT = "folds_sent_out"


def check_folds(
    taking: Taking, parts: Sequence[MadePart], drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> None:
    """Check all folded parts. Rules: common practice for air bending on a brake; the die's own table goes before it."""
    for one in parts:
        if one.folded is None:
            continue
        _check_who(taking, one, one.folded)
        if one.folded.radius is None:
            material = taking.stock[one.part.stock].name
            taking.checks.append(Check(
                f"folds/{one.part.name}/radius", "unknown",
                f"“{one.part.says}”: whether its legs are long enough to be folded, and its holes far enough from the "
                f"folds, is not known: type the inside radius that “{material}” is folded to.",
            ))  # fmt: skip
            continue
        _check_legs(taking, one, one.folded, one.folded.radius.value)
        _check_between(taking, one, one.folded, one.folded.radius.value)
        _check_beside(taking, one, one.folded, one.folded.radius.value, drilled, opened)


def _check_who(taking: Taking, one: MadePart, folded: FoldedPart) -> None:
    """By whose measure the flat is cut, and who folds it where the shop has no strip of the sheet."""
    name, material = f"folds/{one.part.name}/by", taking.stock[one.part.stock].name
    off = f"each fold takes {taking.fine(folded.deduction.value)} off the flat"
    flat = " x ".join(
        taking.length(side.value) for side in (one.taken.blank_length, one.taken.blank_width) if side is not None
    )
    figures = (folded.deduction.id, one.taken.blank_length.id)
    if folded.own:
        said = f"“{one.part.says}” is cut {flat} flat: by the shop's test strip of “{material}” {off}."
        taking.checks.append(Check(name, "pass", said, figures))
        return
    entries = {each.entry.name for each in folded.folds}
    by = [
        supply.says for supply in filter(taking.environment.active, taking.design.supplies.values())
        if supply.driver == _SENT_OUT and (not supply.of or entries & {*supply.of})
    ]  # fmt: skip
    said = f"“{one.part.says}”: the shop has no test strip of “{material}”"
    if by:
        said += (
            f", so its folds are bought in: {and_words([f'“{each}”' for each in by])}. The flat is taken as {flat}, by "
            f"the handbooks' round figures ({off}): ask who folds it for theirs."
        )
    else:
        said += (
            f"; the flat is taken as {flat}, by the handbooks' round figures ({off}). Bend a strip and type its length "
            "when flat and its legs at the material, or let a stock role say who folds it: a service, “used by "
            "folds_sent_out”."
        )
    taking.checks.append(Check(name, "pass" if by else "unknown", said, figures))


def _note(
    taking: Taking, name: str, left: Fraction, wanted: Fraction, sentence: str, figures: tuple[str, ...] = ()
) -> None:
    outcome: Outcome = "pass" if left >= wanted else "failure"
    taking.checks.append(Check(name, outcome, sentence, figures, Held(wanted, left, "nm")))


def _check_legs(taking: Taking, one: MadePart, folded: FoldedPart, radius: Fraction) -> None:
    wanted = least_leg(folded.thickness.value, radius)
    for each in {fold.entry.name: fold for fold in folded.folds}.values():
        _note(
            taking, f"folds/{each.entry.name}/leg", each.leg.value, wanted,
            f"{each.entry.says}: the legs of “{one.part.says}” are {taking.length(each.leg.value)}; "
            f"{taking.fine(wanted)}, four times as much as the sheet is thick and the radius, is the least that a "
            "brake folds.",
            (each.leg.id,),
        )  # fmt: skip


def _check_between(taking: Taking, one: MadePart, folded: FoldedPart, radius: Fraction) -> None:
    """Two folds across from each other need room for both on the flat between them."""
    wanted = 2 * (radius + folded.thickness.value)
    for side, axis in ((one.taken.length, one.part.length_axis), (one.taken.width, one.part.width_axis)):
        across = [fold for fold in folded.folds if FACES[fold.edge][0] == axis]
        if side is None or len(across) < 2 or side.value >= wanted:
            continue
        names = and_words([f"“{name}”" for name in dict.fromkeys(fold.entry.says for fold in across)])
        _note(
            taking, f"folds/{one.part.name}/between_{axis}", side.value, wanted,
            f"{names}: two folds of “{one.part.says}” stand {taking.length(side.value)} apart, outside; round their "
            f"corners they take {taking.fine(wanted)}.",
            (side.id,),
        )  # fmt: skip


def _check_beside(
    taking: Taking, one: MadePart, folded: FoldedPart, radius: Fraction, drilled: Sequence[Drilled],
    opened: Sequence[Opened],
) -> None:  # fmt: skip
    """What is left from the rim of the nearest hole or opening to the outside of each fold."""
    wanted = hole_to_fold(folded.thickness.value, radius)
    nearest: dict[str, tuple[Fraction, str, Face]] = {}
    for name, says, side, low, high in _rims(one, drilled, opened):
        for fold in folded.folds:
            axis, end = FACES[fold.edge]
            if AXES.index(axis) == side.axis:
                continue
            along = side.plane.index(AXES.index(axis))
            left = side.reach[along] - high[along] if end else low[along]
            if name not in nearest or left < nearest[name][0]:
                nearest[name] = (left, says, fold.edge)
    for name, (left, says, edge) in nearest.items():
        _note(
            taking, f"folds/{one.part.name}/beside/{name}", left, wanted,
            f"{says}: {taking.fine(left)} are left to the outside of the fold along the {edge} edge of "
            f"“{one.part.says}”; {taking.fine(wanted)}, 2.5 times as much as the sheet is thick and the radius, keep "
            "it from being drawn out of shape.",
        )  # fmt: skip


_Rim = tuple[str, str, OnSide, tuple[Fraction, Fraction], tuple[Fraction, Fraction]]


def _rims(one: MadePart, drilled: Sequence[Drilled], opened: Sequence[Opened]) -> Iterator[_Rim]:
    """The corners of the boxes about all holes of a row, and about each cut, in the flat of a part."""
    for holes in drilled:
        middles = holes.middles()
        if holes.part.part is one.part and middles:
            half = holes.diameter / 2
            first, second = zip(*middles, strict=True)
            yield (holes.entry.name, holes.entry.says, holes.side, (min(first) - half, min(second) - half),
                   (max(first) + half, max(second) + half))  # fmt: skip
    for each in opened:
        if each.part.part is one.part:
            yield each.entry.name, each.entry.says, each.side, each.cuts[0].low, each.cuts[0].high
