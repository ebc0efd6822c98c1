"""Openings, pockets and plates let in: their places, what they take off weight and finish, and the metres cut. nm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.designs.made import Opening
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.working import Figure
from webapp.costing.space.outlines import doubled_area
from webapp.costing.space.stretches import box_of
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.features import Hole, Pocket
from webapp.costing.takeoff.made.cuts import Cut, in_mm, in_nm, ring_within, stations_of
from webapp.costing.takeoff.made.legs import legs_of_one
from webapp.costing.takeoff.made.sides import (
    EDGE_WORDS,
    Behind,
    OnSide,
    begins_at,
    depth_in,
    drawn_at,
    drawn_side,
    made_on_sides,
    met_behind,
)
from webapp.costing.takeoff.made.through import CutThrough, TakenBehind, lies_behind, take_behind
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.outlines import laid_from
from webapp.costing.takeoff.parts import MadePart

_NOTHING: Final = Fraction(0)
_NM_PER_MM: Final = 10**6


@dataclass(frozen=True, slots=True)
class Opened:
    """What is cut for one entry into every piece of a part: one cut, or of a plate let in its pocket and the opening
    beneath. `metres` are cut round in all pieces; `mass` is what one piece loses, `through` the m2 of one that is open.
    `beyond` are the pieces in its line where it goes on through all behind it, `lost` what is taken of these, and
    `further` the opening in those that are the only one of their part.
    """

    entry: Opening
    part: MadePart
    side: OnSide
    cuts: tuple[Cut, ...]
    metres: Figure
    mass: Figure | None
    through: Figure | None
    behind: tuple[Behind, ...]
    beyond: tuple[CutThrough, ...] = ()
    lost: tuple[TakenBehind, ...] = ()
    further: tuple[Opened, ...] = ()


def cut_openings(taking: Taking, parts: Sequence[MadePart], meetings: Meetings) -> tuple[Opened, ...]:
    """The openings under the answers chosen, in the design's order; what can't be made is named and left out."""
    made = {one.part.name: one for one in parts}
    return made_on_sides(
        taking, parts, "openings", taking.design.openings.values(), "The opening",
        lambda entry, part, side, called: _through_all(
            taking, _opened(taking, entry, part, side, meetings, called), meetings, made
        ),
    )  # fmt: skip


def _through_all(taking: Taking, one: Opened, meetings: Meetings, made: Mapping[str, MadePart]) -> Opened:
    """An opening with what it takes of all that lies behind it, where it goes through that."""
    cut = next((each for each in one.cuts if not each.depth), None)
    if not one.entry.behind or cut is None or one.through is None:
        return one
    key, says = f"openings/{one.entry.name}", one.entry.says
    beyond = lies_behind(one.part, one.side, cut, meetings)
    lost, sawn = take_behind(taking, key, says, beyond, one.side, one.through, made)
    metres = one.metres if sawn is None else taking.total(f"{key}/all_metres", f"{says}: cut", "m", [one.metres, sawn])
    further = [
        replace(one, part=part, side=OnSide(one.side.axis, (1,), (wide, deep), each.piece.extent[one.side.axis]),
                cuts=(Cut(each.low, (each.high[0] - each.low[0], each.high[1] - each.low[1]),
                          cut.corner if each.whole else _NOTHING, _NOTHING, each.laid),))
        for each in beyond
        if each.can_be_cut and len((part := made[each.piece.part]).placed) == 1
        for wide, deep in ((each.piece.extent[one.side.plane[0]], each.piece.extent[one.side.plane[1]]),)
    ]  # fmt: skip
    return replace(one, metres=metres, beyond=tuple(beyond), lost=tuple(lost), further=tuple(further))


def _opened(
    taking: Taking, entry: Opening, part: MadePart, side: OnSide, meetings: Meetings, called: str
) -> Opened:
    if entry.points:
        return _by_outline(taking, entry, part, side, meetings, called)
    key = f"openings/{entry.name}"

    def size(name: str, formula: Expression | None) -> Figure:
        label = f"{entry.says}: {name}"
        if formula is None:
            return taking.given(f"{key}/{name}", label, 0, "nm")
        return taking.figure(f"{key}/{name}", label, "nm", formula)

    round_ = entry.diameter is not None
    length, width = (size(name, entry.diameter or formula) for name, formula in
                     (("length", entry.length), ("width", entry.width)))  # fmt: skip
    if round_:
        corner = taking.derive(f"{key}/corners", f"{entry.says}: radius", "nm", "half as far as it is wide", "wide / 2",
                               wide=length)  # fmt: skip
    else:
        corner = size("corners", entry.corners)
    _sensible(taking, (length.value, width.value), corner.value, called)
    advice = ": glue what it lies on behind as a part of its own" if entry.let_in else ""
    depth = depth_in(taking, entry.depth, part, side, called, advice)
    low = _lower_corner(taking, entry, part, side, (length.value, width.value), called)
    outer = Cut(low, (length.value, width.value), corner.value, depth)
    sides = {"length": length, "width": width, "corner": corner}
    if not entry.let_in:
        return _counted(taking, entry, part, side, (outer,), (sides,), meetings)
    ledge = size("ledge", entry.ledge)
    if ledge.value <= 0 or 2 * ledge.value >= min(length.value, width.value):
        raise LeftOut(f"{called} has a ledge of {taking.length(ledge.value)}: nothing stays open. It is left out.")
    beneath = {
        name: taking.derive(f"{key}/beneath_{name}", f"{entry.says}: {name} beneath the plate", "nm", words, formula,
                            whole=whole, ledge=ledge)
        for name, whole, words, formula in (
            ("length", length, "less a ledge at both ends", "whole - 2 * ledge"),
            ("width", width, "less a ledge at both ends", "whole - 2 * ledge"),
            ("corner", corner, "less the ledge, 0 at least", "greatest(whole - ledge, 0)"),
        )
    }  # fmt: skip
    inner = Cut(
        (low[0] + ledge.value, low[1] + ledge.value), (beneath["length"].value, beneath["width"].value),
        beneath["corner"].value, _NOTHING,
    )  # fmt: skip
    return _counted(taking, entry, part, side, (outer, inner), (sides, beneath), meetings)


def _by_outline(
    taking: Taking, entry: Opening, part: MadePart, side: OnSide, meetings: Meetings, called: str
) -> Opened:
    """An opening by an outline of its own, which stands as the rectangle about it is said to."""
    key, says, source = f"openings/{entry.name}", entry.says, "its corners and arcs"
    laid = laid_from(taking, entry.points, called)
    begin, end = box_of(laid.stretches)
    reach = Fraction(round((end[0] - begin[0]) * _NM_PER_MM)), Fraction(round((end[1] - begin[1]) * _NM_PER_MM))
    depth = depth_in(taking, entry.depth, part, side, called)
    low = _lower_corner(taking, entry, part, side, reach, called)
    at = in_mm(low)
    cut = Cut(low, reach, _NOTHING, depth, laid.moved((at[0] - begin[0], at[1] - begin[1])))
    measured = {
        "around": taking.given(f"{key}/around", f"{says}: round its outline", cut.around, "nm", source),
        "area": taking.given(f"{key}/area", f"{says}: area", Fraction(round(laid.area * _NM_PER_MM**2)), "nm2", source),
    }
    return _counted(taking, entry, part, side, (cut,), (measured,), meetings)


def _lower_corner(
    taking: Taking, entry: Opening, part: MadePart, side: OnSide, reach: tuple[Fraction, Fraction], called: str
) -> tuple[Fraction, Fraction]:
    """Where an opening that reaches so far begins on its side. Raises LeftOut where it reaches beyond."""
    low = []
    for along, long in enumerate(reach):
        begin = begins_at(taking, side, along, entry.edges, long, _NOTHING, called)
        low.append((side.reach[along] - long) / 2 if begin is None else begin)
        over, end = max((-low[along], 0), (low[along] + long - side.reach[along], 1))
        if over > 0:
            edge = EDGE_WORDS[side.plane[along], end]
            raise LeftOut(f"{called} reaches {taking.length(over)} beyond the {edge} edge of “{part.part.says}”. "
                          "It is left out.")  # fmt: skip
    return low[0], low[1]


def _sensible(taking: Taking, reach: tuple[Fraction, Fraction], corner: Fraction, called: str) -> None:
    if min(reach) <= 0:
        raise LeftOut(f"{called} comes out at {taking.length(min(reach))} one way; it is left out.")
    if corner < 0 or 2 * corner > min(reach):
        raise LeftOut(f"{called} has corners of {taking.length(corner)}, more than half of its "
                      f"{taking.length(min(reach))}; it is left out.")  # fmt: skip


def _counted(
    taking: Taking, entry: Opening, part: MadePart, side: OnSide, cuts: tuple[Cut, ...],
    sizes: Sequence[Mapping[str, Figure]], meetings: Meetings,
) -> Opened:  # fmt: skip
    """The cuts with their metres, and what they take off one piece. Of each the sizes are its length, its width and its
    corner, or how far it is around it and its area."""
    key, says = f"openings/{entry.name}", entry.says
    density = taking.stated_figure(part.part.stock, "density", "kg/m3") if part.taken.mass is not None else None
    rounds: list[Figure] = []
    masses: list[Figure] = []
    through = None
    for place, (cut, sized) in enumerate(reversed(list(zip(cuts, sizes, strict=True)))):
        nth = f"_{place}" if place else ""
        label = f"{says}: cut round{' the plate' if place else ''}"
        if "area" in sized:
            area = sized["area"]
            rounds.append(taking.derive(f"{key}/round{nth}", label, "m", "round its outline x pieces",
                                        "metres(around) * pieces", around=sized["around"],
                                        pieces=part.taken.count))  # fmt: skip
        else:
            rounds.append(taking.derive(
                f"{key}/round{nth}", label, "m", "2 x (length + width), less what its corners save, x pieces",
                "metres(rounded_outline(length, width, corner)) * pieces", **sized, pieces=part.taken.count,
            ))  # fmt: skip
            area = taking.derive(f"{key}/area{nth}", f"{says}: area", "nm2", "length x width, less its corners",
                                 "rounded_area(length, width, corner)", **sized)  # fmt: skip
        if not cut.depth:
            through = taking.derive(f"{key}/through", f"{says}: open", "m2", "in square metres",
                                    "square_metres(area, 1)", area=area)  # fmt: skip
        if density is not None:
            # What lies under a plate is open already: its pocket takes away what is above that and beside it.
            deep = taking.given(f"{key}/deep{nth}", f"{says}: how deep", cut.depth or side.through, "nm")
            less = masses[0] if masses else None
            masses.append(_cut_off(taking, f"{key}/mass{nth}", says, area, deep, density, less, side.through))
    metres = rounds[0] if len(rounds) == 1 else taking.total(f"{key}/metres", f"{says}: cut", "m", rounds)
    mass = None
    if masses:
        mass = masses[0] if len(masses) == 1 else taking.total(f"{key}/mass", f"{says}: cut off one", "kg", masses)
    behind = tuple(met_behind(part, side, meetings))
    return Opened(entry, part, side, cuts, metres, mass, through, behind)


def _cut_off(
    taking: Taking, key: str, says: str, area: Figure, deep: Figure, density: Figure, beneath: Figure | None,
    through: Fraction,
) -> Figure:  # fmt: skip
    label = f"{says}: weight cut off one"
    if beneath is None:
        return taking.derive(f"{key}_off", label, "kg", "area x depth x density", "kilograms(area, 1, deep, density)",
                             area=area, deep=deep, density=density)  # fmt: skip
    return taking.derive(
        f"{key}_off", label, "kg", "area x depth x density, less what is open in it already",
        "kilograms(area, 1, deep, density) - beneath * deep / through", area=area, deep=deep, density=density,
        beneath=beneath, through=taking.given(f"{key}_whole", f"{says}: what is open is as deep as", through, "nm"),
    )  # fmt: skip


def lighter(taking: Taking, parts: tuple[MadePart, ...], opened: Sequence[Opened]) -> tuple[MadePart, ...]:
    """The parts with what openings take off their weight."""
    found = []
    for one in parts:
        off = [_of_piece(taking, each, "off", "kg", each.mass) for each in opened
               if each.part.of == one.part.name and each.mass is not None]  # fmt: skip
        off += _of_one(taking, one, "off", "kg", [
            (each, lost.mass) for each in opened for lost in each.lost if lost.part == one.part.name
        ])  # fmt: skip
        if not off or one.taken.mass is None:
            found.append(one)
            continue
        key, says = f"part/{one.part.name}", one.part.says
        inputs = {f"off_{number}": mass for number, mass in enumerate(off, 1)}
        mass = taking.derive(f"{key}/mass_cut", f"{says}: weight of one with its openings", "kg",
                             "weight - what is cut out", f"whole - ({' + '.join(inputs)})",
                             whole=one.taken.mass, **inputs)  # fmt: skip
        all_mass = taking.derive(f"{key}/all_mass_cut", f"{says}: weight of all with their openings", "kg",
                                 "weight x count", "mass * count", mass=mass, count=one.taken.count)  # fmt: skip
        found.append(replace(one, taken=replace(one.taken, mass=mass), all_mass=all_mass))
    return tuple(found)


def _of_piece(taking: Taking, one: Opened, what: str, unit: str, figure: Figure) -> Figure:
    """What an opening takes of one piece, in all its legs where it is made in these."""
    legs = legs_of_one(one.part)
    if len(legs) < 2:
        return figure
    key, label = f"openings/{one.entry.name}/{what}_of_one", f"{one.entry.says}: in all legs of one"
    return taking.derive(key, label, unit, "of one leg x legs", "of_leg * legs", of_leg=figure,
                         legs=taking.given(f"{key}/legs", f"{label}, legs", len(legs), "piece"))  # fmt: skip


def _of_one(
    taking: Taking, one: MadePart, what: str, unit: str, lost: Sequence[tuple[Opened, Figure | None]]
) -> list[Figure]:
    """What openings in other parts take of one piece of this, on the mean of all."""
    return [
        taking.derive(
            f"part/{one.part.name}/{what}/{opened.entry.name}", f"{opened.entry.says}: of one “{one.part.says}”", unit,
            "in all / pieces", "whole / pieces", whole=figure, pieces=one.taken.count,
        )
        for opened, figure in lost
        if figure is not None
    ]  # fmt: skip


def open_areas(taking: Taking, parts: Sequence[MadePart], opened: Sequence[Opened]) -> Mapping[str, Figure]:
    """What is open of a broad face of one piece, m2, by the part's name."""
    areas: dict[str, list[Figure]] = {}
    for one in opened:
        thin = {one.part.part.length_axis, one.part.part.width_axis} == {"xyz"[axis] for axis in one.side.plane}
        if one.through is not None and thin:
            areas.setdefault(one.part.of, []).append(_of_piece(taking, one, "open", "m2", one.through))
    for part in parts:
        name = part.part.name
        lost = [(each, taken.open) for each in opened for taken in each.lost if taken.part == name]
        if behind := _of_one(taking, part, "open", "m2", lost):
            areas.setdefault(name, []).extend(behind)
    return {
        name: taking.total(f"part/{name}/open", f"{taking.design.parts[name].says}: open", "m2", figures)
        for name, figures in areas.items()
    }


def drawn_openings(one: Opened) -> list[Hole | Pocket]:
    """The cuts as a drawing of the part by itself has them."""
    # What is made in a leg goes through, and is told as if one looked at its face, as holes are.
    on = "face" if one.part.legs else drawn_side(one.part, one.side)
    found: list[Hole | Pocket] = []
    for cut in one.cuts:
        corners = [drawn_at(one.part, one.side, on, corner) for corner in (cut.low, cut.high)]
        along, up = (min(corner[place] for corner in corners) for place in (0, 1))
        long, wide = (abs(corners[1][place] - corners[0][place]) for place in (0, 1))
        if one.entry.diameter is not None:
            found.append(Hole(on, along + long // 2, up + wide // 2, long, round(cut.depth), one.entry.says))
        else:
            ring = [drawn_at(one.part, one.side, on, in_nm(place)) for place in ring_within(cut)]
            ends = [
                (drawn_at(one.part, one.side, on, in_nm(at)), radius, bulge) for at, radius, bulge in stations_of(cut)
            ]
            # A side that is seen with along and across the other way about turns its arcs over.
            turned = -1.0 if ring and doubled_area([(float(x), float(y)) for x, y in ring]) < 0 else 1.0
            found.append(Pocket(on, along, up, long, wide, round(cut.depth), round(cut.corner), one.entry.says,
                                tuple((x - along, y - up) for x, y in ring),
                                tuple((x - along, y - up, round(radius)) for (x, y), radius, _ in ends),
                                tuple(turned * bulge for _, _, bulge in ends)))  # fmt: skip
    return found
