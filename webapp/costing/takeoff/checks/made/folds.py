"""Folds of sheet metal: the least leg, holes and openings beside them, room between two, whether legs run into each
other, and who folds them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.designs.model import FACES
from webapp.costing.measures.written import and_words
from webapp.costing.space.bodies import box_body
from webapp.costing.space.overlaps import overlaps_of_bodies
from webapp.costing.takeoff.context import Taking, number_text
from webapp.costing.takeoff.made.holes import Drilled
from webapp.costing.takeoff.made.openings import Opened
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.folded import Folded, FoldedPart, stand_legs
from webapp.costing.takeoff.placed.stood import AXES
from webapp.costing.trade.folding import SQUARE, hole_to_fold, least_leg, leg_setback

_SENT_OUT = "folds_sent_out"


def check_folds(
    taking: Taking, parts: Sequence[MadePart], drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> None:
    """Check all folded parts. Rules: common practice for air bending on a brake; the die's own table goes before it."""
    for one in parts:
        if one.folded is None:
            continue
        _check_who(taking, one, one.folded)
        _check_clear(taking, one, one.folded)
        if one.folded.radius is None:
            material = taking.stock[one.part.stock].name
            taking.checks.append(Check(
                f"folds/{one.part.name}/radius", "unknown",
                f"“{one.part.says}”: whether its legs are long enough to be folded, and its holes far enough from the "
                f"folds, is not known: type the inside radius that “{material}” is folded to.",
            ))  # fmt: skip
            continue
        _check_legs(taking, one, one.folded)
        _check_between(taking, one, one.folded)
        _check_beside(taking, one, one.folded, drilled, opened)


def _check_who(taking: Taking, one: MadePart, folded: FoldedPart) -> None:
    """By whose measure the flat is cut, and who folds it where the shop has no strip of the sheet."""
    name, material = f"folds/{one.part.name}/by", taking.stock[one.part.stock].name
    by_angle = {one.degrees.value: one.deduction for one in folded.folds}
    plain = by_angle.keys() == {SQUARE}
    each = [
        taking.fine(taken.value) + ("" if plain else f" bent by {number_text(degrees)}°")
        for degrees, taken in by_angle.items()
    ]
    off = f"each fold takes {and_words(each)} off the flat"
    flat = " x ".join(
        taking.length(side.value) for side in (one.taken.blank_length, one.taken.blank_width) if side is not None
    )
    figures = (*(taken.id for taken in by_angle.values()), one.taken.blank_length.id)
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


def _setback(folded: FoldedPart, fold: Folded | None) -> Fraction:
    """From where the leg of a fold is measured to where the fold ends; nothing where there is no fold."""
    if fold is None:
        return Fraction(0)
    return leg_setback(folded.inside.value, folded.thickness.value, fold.degrees.value)


def _check_legs(taking: Taking, one: MadePart, folded: FoldedPart) -> None:
    """Each leg is long enough: as far beyond its folds as the tool needs to hold it."""
    for each in {fold.entry.name: fold for fold in folded.folds}.values():
        further = folded.beyond(each)
        wanted = least_leg(folded.thickness.value, folded.inside.value, each.degrees.value)
        wanted += _setback(folded, further)
        if further is not None:
            why = ("three times as much as the sheet is thick between the ends of its fold and of "
                   f"“{further.entry.says}”")  # fmt: skip
        elif each.degrees.value == SQUARE:
            why = "four times as much as the sheet is thick and the radius"
        else:
            why = (f"three times as much as the sheet is thick beyond the end of a fold by "
                   f"{number_text(each.degrees.value)}°")  # fmt: skip
        _note(
            taking, f"folds/{each.entry.name}/leg", each.leg.value, wanted,
            f"{each.entry.says}: the legs of “{one.part.says}” are {taking.length(each.leg.value)}; "
            f"{taking.fine(wanted)}, {why}, is the least that a brake folds.",
            (each.leg.id,),
        )  # fmt: skip


def _check_between(taking: Taking, one: MadePart, folded: FoldedPart) -> None:
    """Two folds across from each other need room for both on the flat between them."""
    for side, axis in ((one.taken.length, one.part.length_axis), (one.taken.width, one.part.width_axis)):
        across = [fold for fold in folded.folds if FACES[fold.edge][0] == axis and fold.on is None]
        wanted = sum((_setback(folded, fold) for fold in across), Fraction(0))
        if side is None or len(across) < 2 or side.value >= wanted:
            continue
        names = and_words([f"“{name}”" for name in dict.fromkeys(fold.entry.says for fold in across)])
        _note(
            taking, f"folds/{one.part.name}/between_{axis}", side.value, wanted,
            f"{names}: two folds of “{one.part.says}” stand {taking.length(side.value)} apart, outside; round their "
            f"corners they take {taking.fine(wanted)}.",
            (side.id,),
        )  # fmt: skip


def _check_clear(taking: Taking, one: MadePart, folded: FoldedPart) -> None:
    """Whether the legs stand clear of each other and of the flat: what is folded far, or again, may run into it."""
    if not one.placed or all(fold.degrees.value <= SQUARE and fold.on is None for fold in folded.folds):
        return
    pieces, legs = stand_legs(folded, one.placed[0])
    whose = [f"its flat, “{one.part.says}”"] * len(pieces)
    owners: list[Folded | None] = [None] * len(pieces)
    begin = 1
    for fold, leg in zip(folded.folds, legs, strict=True):
        for place in range(begin, leg.nth + 1):
            whose[place], owners[place] = f"the leg of “{fold.entry.says}”", fold
        begin = leg.nth + 1
    bodies = [piece.body or box_body(piece.part, piece.nth, piece.extent, piece.corner) for piece in pieces]
    deepest: dict[tuple[str, str], tuple[Fraction, Folded]] = {}
    for overlap in overlaps_of_bodies(bodies):
        owner = owners[overlap.second]
        assert owner is not None
        pair = owner.entry.says, whose[overlap.first]
        if pair not in deepest or deepest[pair][0] < overlap.depth:
            deepest[pair] = overlap.depth, owner
    for number, ((says, other), (depth, fold)) in enumerate(deepest.items()):
        taking.checks.append(Check(
            f"folds/{one.part.name}/clear/{number}", "failure",
            f"{says}: the leg of {taking.length(fold.leg.value)} strikes {other}{_of(one, other)}: they stand "
            f"{taking.fine(depth)} in each other. Make it shorter, or cut it back at its ends.",
            (fold.leg.id,), Held(depth, Fraction(0), "nm"),
        ))  # fmt: skip
    if not deepest:
        taking.checks.append(Check(f"folds/{one.part.name}/clear", "pass",
                                   f"The legs of “{one.part.says}” stand clear of each other and of its flat."))


def _of(one: MadePart, other: str) -> str:
    return "" if other.startswith("its flat") else f" of “{one.part.says}”"


def _check_beside(
    taking: Taking, one: MadePart, folded: FoldedPart, drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> None:
    """What is left from the rim of the nearest hole or opening to the outside of each fold beside it."""
    nearest: dict[str, tuple[Fraction, Fraction, Fraction, str, str]] = {}
    for name, says, left, fold in _beside(one, folded, drilled, opened):
        wanted = hole_to_fold(folded.thickness.value, folded.inside.value, fold.degrees.value)
        if name not in nearest or left - wanted < nearest[name][0]:
            of = f"the fold along the {fold.edge} edge of “{one.part.says}”"
            if fold.on is not None or len(folded.folds) > len({each.edge for each in folded.folds}):
                of = f"the fold “{fold.entry.says}” along the {fold.edge} edge of “{one.part.says}”"
            nearest[name] = (left - wanted, left, wanted, says, of)
    for name, (_, left, wanted, says, of) in nearest.items():
        _note(
            taking, f"folds/{one.part.name}/beside/{name}", left, wanted,
            f"{says}: {taking.fine(left)} are left to the outside of {of}; {taking.fine(wanted)}, 1.5 times as much as "
            "the sheet is thick beyond where the fold ends, keep it from being drawn out of shape.",
        )  # fmt: skip


_Place = tuple[Fraction, Fraction]


def _beside(
    one: MadePart, folded: FoldedPart, drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> Iterator[tuple[str, str, Fraction, Folded]]:
    """What is made in a part, with what is left from it to the outside of each fold beside it."""
    for name, says, part, side, low, high in _rims(one, drilled, opened):
        if part.legs:
            leg = part.legs[0]
            ends = [leg.measured(dict(zip(side.plane, at, strict=True)))[1] for at in (low, high)]
            yield name, says, min(ends), leg.fold
            if (further := folded.beyond(leg.fold)) is not None:
                yield name, says, leg.fold.leg.value - max(ends), further
            continue
        for fold in folded.folds:
            axis, end = FACES[fold.edge]
            if fold.on is None and AXES.index(axis) != side.axis:
                along = side.plane.index(AXES.index(axis))
                yield name, says, side.reach[along] - high[along] if end else low[along], fold


def _rims(
    one: MadePart, drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> Iterator[tuple[str, str, MadePart, OnSide, _Place, _Place]]:
    """The corners of the boxes about all holes of a row, and about each cut, in the flat of a part or in its legs."""
    for holes in drilled:
        middles = holes.middles()
        if holes.part.of == one.part.name and middles:
            half = holes.diameter / 2
            first, second = zip(*middles, strict=True)
            yield (holes.entry.name, holes.entry.says, holes.part, holes.side, (min(first) - half, min(second) - half),
                   (max(first) + half, max(second) + half))  # fmt: skip
    for each in opened:
        if each.part.of == one.part.name:
            yield each.entry.name, each.entry.says, each.part, each.side, each.cuts[0].low, each.cuts[0].high
