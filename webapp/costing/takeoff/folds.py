"""Sheet metal folded: what the blank is cut to, the legs as they stand, and who folds it. nm.

The legs along a part's length go over all of it; those at its ends lie between them, so that corners meet and do not
overlap. What is folded again lies on the whole of its leg. By the shop's own test strip each fold takes its measure off
the flat, square ones as it was bent, others by its arc; without one the flat is the handbooks', and the folds are left
to others. Angles are those of the bend, off the flat.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.designs.made import Folds
from webapp.costing.designs.model import FACES, Face, Part
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import LeftOut, Taking, number_text
from webapp.costing.takeoff.placed.folded import Folded, FoldedPart
from webapp.costing.trade.folding import (
    LEAST_DEGREES,
    MOST_DEGREES,
    SQUARE,
    deduction_of_strip,
    k_of_strip,
    leg_setback,
)

_HANDBOOK: Final = "a naval aviation training course, p. 13-19"


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What a part is folded of."""

    taking: Taking
    part: Part
    length: Figure
    width: Figure
    thickness: Figure
    radius: Figure | None
    inside: Figure
    square: Figure
    own: bool

    def deduction(self, entry: Folds, degrees: Figure) -> Figure:
        """What a fold takes off: square as the strip or the handbooks have it, else by its arc."""
        if degrees.value == SQUARE:
            return self.square
        key, label = f"folds/{entry.name}/deduction", f"{entry.says}: what a fold takes off"
        inputs = {"radius": self.inside, "thickness": self.thickness, "angle": degrees}
        if self.own:
            return self.taking.derive(
                key, label, "nm", "twice to where the fold ends, less its arc: that of a square fold by its angle",
                "2 * leg_setback(radius, thickness, angle) - allowance_by_arc(square, radius, thickness, angle)",
                square=self.square, **inputs,
            )  # fmt: skip
        return _by_handbook(self.taking, f"{self.taking.prefix}/{key}", label, inputs)


def fold(
    taking: Taking, part: Part, length: Figure, width: Figure | None, thickness: Figure | None
) -> FoldedPart | None:
    """The folds of a part under the answers chosen; None where it has none. What can't be made is named and left out.

    `length` and `width` are the flat between its folds, outside, as finished.
    """
    entries = [one for one in taking.design.folds.values() if one.part == part.name]
    entries = [*filter(taking.environment.active, entries)]
    if not entries or width is None or thickness is None:
        return None
    sheet = _sheet(taking, part, length, width, thickness)
    made = list[Folded]()
    rows = _rows_of_flat(sheet, entries)
    for row in rows:
        with _left_out(taking, row.entry):
            made += _of_flat(sheet, row, rows)
    waiting = [one for one in entries if one.on]
    while waiting:
        # What is folded on another comes after that.
        named = {one.name for one in waiting}
        for entry in [one for one in waiting if one.on not in named]:
            with _left_out(taking, entry):
                made += _of_legs(sheet, _measured(sheet, entry), made)
        waiting = [one for one in waiting if one.on in named]
    if not made:
        return None
    added = {}
    for side, axis in (("length", part.length_axis), ("width", part.width_axis)):
        across = [one for one in made if FACES[one.edge][0] == axis]
        if across:
            added[side] = _added(taking, part, side, across)
    sizes = {"length": length, "width": width}
    for side, more in added.items():
        if sizes[side].value + more.value <= 0:
            raise LeftOut(f"The part “{part.says}” comes to nothing when it is laid flat; it is left out.")
    area = _flat_area(taking, part, made, length, width)
    return FoldedPart(part, tuple(made), thickness, sheet.radius, sheet.inside, sheet.own, added, area)


def _sheet(taking: Taking, part: Part, length: Figure, width: Figure, thickness: Figure) -> _Sheet:
    radius = taking.stated_figure(part.stock, "fold_radius", "nm")
    key, says = f"part/{part.name}/fold", f"{part.says}: a fold"
    inside = radius or taking.derive(f"{key}_radius", f"{says}, inside radius", "nm",
                                     "as much as the thickness, where nobody states it", "thickness",
                                     thickness=thickness)  # fmt: skip
    own = _of_strip(taking, part, radius, thickness)
    square = own or _by_handbook(taking, f"{taking.prefix}/{key}_deduction", f"{says} takes off", {
        "radius": inside, "thickness": thickness,
        "angle": taking.given(f"{key}_angle", f"{says}, how far it is bent, degrees", SQUARE, ""),
    })  # fmt: skip
    return _Sheet(taking, part, length, width, thickness, radius, inside, square, own is not None)


def _of_strip(taking: Taking, part: Part, radius: Figure | None, thickness: Figure) -> Figure | None:
    """What a square fold takes off by the shop's own strip; None where there is none, or it can't be right, which is
    said."""
    flat = taking.stated_figure(part.stock, "strip_flat", "nm")
    legs = taking.stated_figure(part.stock, "strip_legs", "nm")
    if flat is None or legs is None:
        return None
    material = taking.stock[part.stock]
    taken_off = taking.working.derive(
        f"material/{material.code}/fold_deduction", f"{material.name}: what a fold takes off", "nm",
        "the strip's legs - its length when flat", "legs - flat", legs=legs, flat=flat,
    )  # fmt: skip
    assert taken_off.value == deduction_of_strip([legs.value], flat.value)
    k = None if radius is None else k_of_strip(taken_off.value, radius.value, thickness.value, SQUARE)
    if taken_off.value > 0 and (k is None or 0 <= k <= 1):
        return taken_off
    why = f"{taking.fine(flat.value)} flat became legs of {taking.fine(legs.value)}"
    if k is not None:
        why += f" by a radius of {taking.fine(radius.value if radius is not None else k)}"
    taking.wrong(
        f"materials.{part.stock}",
        f"The test strip of “{material.name}” can't be right: {why}. Measure it anew; until then its folds are left to "
        "others.",
        "warning",
    )
    return None


def _by_handbook(taking: Taking, key: str, label: str, inputs: Mapping[str, Figure]) -> Figure:
    """What a fold takes off by the handbooks' round figures."""
    return taking.working.derive(
        key, label, "nm", "twice to where the fold ends, less the length of its arc by the handbooks' round figures",
        "2 * leg_setback(radius, thickness, angle) - handbook_allowance(radius, thickness, angle)", _HANDBOOK, **inputs,
    )  # fmt: skip


# ---- one row -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Row:
    """The folds of one entry before they have their places: how far bent, their legs, how deep round the corner, how
    far cut back, and what each takes off."""

    entry: Folds
    degrees: Figure
    leg: Figure
    deep: Fraction
    back: Fraction
    deduction: Figure

    @property
    def called(self) -> str:
        """What a sentence calls it."""
        return _called(self.entry)


def _called(entry: Folds) -> str:
    return f"The fold “{entry.says}”"


@contextmanager
def _left_out(taking: Taking, entry: Folds) -> Iterator[None]:
    """Whatever of an entry can't be made is named, and the entry left out."""
    try:
        yield
    except CostingError as error:
        taking.leave_out(f"folds.{entry.name}", _called(entry), error)


def _measured(sheet: _Sheet, entry: Folds) -> _Row:
    """The measures of an entry. Raises LeftOut for what can't be folded."""
    taking, says, called, key = sheet.taking, sheet.part.says, _called(entry), f"folds/{entry.name}"
    degrees = _degrees(taking, entry, called)
    leg = taking.figure(f"{key}/leg", f"{entry.says}: leg, outside", "nm", entry.leg)
    deep = leg_setback(sheet.inside.value, sheet.thickness.value, degrees.value)
    if leg.value <= deep:
        raise LeftOut(
            f"{called} of “{says}” is longer than its leg: round its corner it takes {_near(taking, deep)}, and the "
            f"leg is {taking.length(leg.value)}. It is left out."
        )
    back = Fraction(0)
    if entry.cut_back is not None:
        back = taking.figure(f"{key}/cut_back", f"{entry.says}: cut back at each end", "nm", entry.cut_back).value
        if back < 0:
            raise LeftOut(f"{called} is cut back by {taking.length(back)}, less than nothing; it is left out.")
    return _Row(entry, degrees, leg, deep, back, sheet.deduction(entry, degrees))


def _near(taking: Taking, value: Fraction) -> str:
    """A length exactly where that is short, else finely."""
    return taking.length(value) if value % taking.step_nm == 0 else taking.fine(value)


def _degrees(taking: Taking, entry: Folds, called: str) -> Figure:
    key, label = f"folds/{entry.name}/degrees", f"{entry.says}: how far it is bent, degrees"
    if entry.degrees is None:
        return taking.given(key, label, SQUARE, "")
    found = taking.figure(key, label, "", entry.degrees)
    if not LEAST_DEGREES <= found.value <= MOST_DEGREES:
        why = "that is no fold" if found.value < LEAST_DEGREES else "that is pressed flat and not folded"
        raise LeftOut(
            f"{called} is bent by {number_text(found.value)} degrees off the flat: {why}; from "
            f"{number_text(LEAST_DEGREES)} to {number_text(MOST_DEGREES)} are. It is left out."
        )
    return found


def _rows_of_flat(sheet: _Sheet, entries: Sequence[Folds]) -> list[_Row]:
    """The rows that fold edges of the flat; one that folds an edge again is named and left out."""
    rows: list[_Row] = []
    taken: dict[Face, Folds] = {}
    for entry in entries:
        if entry.on:
            continue
        with _left_out(sheet.taking, entry):
            row = _measured(sheet, entry)
            for edge in entry.edges:
                if edge in taken:
                    raise LeftOut(f"{row.called} folds the {edge} edge of “{sheet.part.says}”, which "
                                  f"“{taken[edge].says}” folds already; it is left out.")  # fmt: skip
            taken |= dict.fromkeys(entry.edges, entry)
            rows.append(row)
    return rows


def _of_flat(sheet: _Sheet, row: _Row, rows: Sequence[_Row]) -> list[Folded]:
    """The folds of a row along edges of the flat."""
    found = []
    for edge in row.entry.edges:
        along = FACES[edge][0] == sheet.part.width_axis
        run = _cut_back(sheet.taking, row, along, sheet.length if along else _between(sheet, row, rows))
        found.append(Folded(row.entry, edge, row.leg, along, run, row.degrees, row.deduction, row.back))
    return found


def _of_legs(sheet: _Sheet, row: _Row, made: Sequence[Folded]) -> list[Folded]:
    """The folds of a row on the legs of another. Raises LeftOut where these are not there, folded already, or too
    short."""
    taking, entry = sheet.taking, row.entry
    below = [one for one in made if one.entry.name == entry.on]
    if not below:
        said = taking.design.folds[entry.on].says
        raise LeftOut(f"{row.called} is folded on the legs of “{said}”, which are not folded; it is left out.")
    found = []
    for on in below:
        taken = next((one.entry for one in made if one.on is on), None)
        if taken is not None:
            raise LeftOut(f"{row.called} folds the legs of “{on.entry.says}”, which “{taken.says}” folds already; it "
                          "is left out.")  # fmt: skip
        both = row.deep + leg_setback(sheet.inside.value, sheet.thickness.value, on.degrees.value)
        if on.leg.value <= both:
            raise LeftOut(
                f"{row.called} of “{sheet.part.says}” has no room on the legs of “{on.entry.says}”, which are "
                f"{taking.length(on.leg.value)}: round both corners they take {_near(taking, both)}. It is left out."
            )
        run = _cut_back(taking, row, on.is_along, on.run)
        found.append(Folded(entry, on.edge, row.leg, on.is_along, run, row.degrees, row.deduction, on.back + row.back,
                            on))  # fmt: skip
    return found


def _between(sheet: _Sheet, row: _Row, rows: Sequence[_Row]) -> Figure:
    """How long the legs at the ends are: the width, less a thickness for each leg along it that goes the same way."""
    along = sum(FACES[edge][0] == sheet.part.width_axis for one in rows if one.entry.way == row.entry.way
                for edge in one.entry.edges)  # fmt: skip
    if not along:
        return sheet.width
    key, label = f"folds/{row.entry.name}", f"{row.entry.says}: how long"
    beside = sheet.taking.given(f"{key}/beside", f"{label}, legs beside", along, "leg")
    return sheet.taking.derive(
        f"{key}/run", label, "nm", "width - a thickness for each leg beside", "width - beside * thickness",
        width=sheet.width, thickness=sheet.thickness, beside=beside,
    )  # fmt: skip


def _cut_back(taking: Taking, row: _Row, along: bool, run: Figure) -> Figure:
    """How long a fold is where its leg is cut back at both ends."""
    if not row.back:
        return run
    if run.value <= 2 * row.back:
        raise LeftOut(
            f"{row.called} is cut back by {taking.length(row.back)} at each end, and is {taking.length(run.value)} "
            "long: nothing is left of it. It is left out."
        )
    key, label = f"folds/{row.entry.name}/cut_{'along' if along else 'across'}", f"{row.entry.says}: how long, cut back"
    return taking.derive(
        key, label, "nm", "as long as it is - twice what it is cut back", "run - 2 * back", run=run,
        back=taking.given(f"{key}/back", f"{label}, by", row.back, "nm"),
    )  # fmt: skip


# ---- laid flat -----------------------------------------------------------------------------------------------------


def _added(taking: Taking, part: Part, side: str, folds: Sequence[Folded]) -> Figure:
    legs = {f"leg_{number}": one.leg for number, one in enumerate(folds, 1)}
    off = {f"off_{number}": one.deduction for number, one in enumerate(folds, 1)}
    formula = f"{' + '.join(legs)} - {' - '.join(off)}"
    return taking.derive(
        f"part/{part.name}/legs_{side}", f"{part.says}: what folds add to the {side} of the flat", "nm",
        "legs - what each fold takes off", formula, **legs, **off,
    )  # fmt: skip


def _flat_area(taking: Taking, part: Part, folds: Sequence[Folded], length: Figure, width: Figure) -> Figure:
    """The area of a folded part when it is laid flat, without the corners that are cut out between legs, nm2."""
    key, says = f"part/{part.name}", part.says
    inputs: dict[str, Figure] = {}
    terms = []
    for number, one in enumerate(folds, 1):
        inputs |= {f"leg_{number}": one.leg, f"off_{number}": one.deduction, f"run_{number}": one.run}
        terms.append(f"(leg_{number} - off_{number}) * run_{number}")
    formula = f"length * width + {' + '.join(terms)}"
    return taking.derive(
        f"{key}/flat_area", f"{says}: area laid flat", "nm2",
        "length x width + each leg, less what its fold takes off, x how long it is", formula, length=length,
        width=width, **inputs,
    )  # fmt: skip
