"""Sheet metal folded square: what the blank is cut to, the legs as they stand, and who folds it. nm.

The legs along a part's length go over all of it; those at its ends lie between them, so that corners meet and do not
overlap. By the shop's own test strip each fold takes its measure off the flat; without one the flat is the handbooks',
and the folds are left to others.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.designs.made import Folds
from webapp.costing.designs.model import FACES, Face, Part
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.placed.solid import Corner, Placed
from webapp.costing.takeoff.placed.stood import AXES
from webapp.costing.trade.folding import deduction_of_strip, k_of_strip

_SQUARE: Final = Fraction(90)
_HANDBOOK: Final = "a naval aviation training course, p. 13-19"


@dataclass(frozen=True, slots=True)
class Folded:
    """One edge of the flat that is folded: by which entry, how far its leg goes outside, whether it takes the corners,
    and how long the fold is."""

    entry: Folds
    edge: Face
    leg: Figure
    is_along: bool
    run: Figure


@dataclass(frozen=True, slots=True)
class FoldedPart:
    """The folds of a part: what each takes off the flat, and the thickness and inside radius that it is folded with.

    `own` says that the shop has a test strip of the sheet; `radius` is None where nobody states it. `added` is what the
    folds add to the flat between them, by the side that it lies along, and `area` the nm2 of it all laid flat.
    """

    part: Part
    folds: tuple[Folded, ...]
    deduction: Figure
    thickness: Figure
    radius: Figure | None
    own: bool
    added: Mapping[str, Figure]
    area: Figure

    def counts(self, count: Figure, taking: Taking) -> Mapping[str, Figure]:
        """How many folds each entry makes in all pieces."""
        found = {}
        for entry in {one.entry.name: one.entry for one in self.folds}.values():
            number = sum(one.entry is entry for one in self.folds)
            key = f"folds/{entry.name}"
            of_one = taking.given(f"{key}/of_one", f"{entry.says}: folds of one", number, "fold")
            found[entry.name] = taking.derive(f"{key}/count", f"{entry.says}: folds", "fold", "folds of one x count",
                                              "of_one * count", of_one=of_one, count=count)  # fmt: skip
        return found


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
    radius = taking.stated_figure(part.stock, "fold_radius", "nm")
    own = _of_strip(taking, part, radius, thickness)
    deduction = own or _by_handbook(taking, part, radius, thickness)
    made = list(_edges(taking, part, entries, thickness, radius))
    sizes = {"length": length, "width": width}
    folds = tuple(
        Folded(entry, edge, leg, along, length if along else _between(taking, part, width, thickness, made, entry))
        for entry, edge, leg, along in made
    )
    if not folds:
        return None
    added = {}
    for side, axis in (("length", part.length_axis), ("width", part.width_axis)):
        across = [one for one in folds if FACES[one.edge][0] == axis]
        if across:
            added[side] = _added(taking, part, side, across, deduction)
    for side, more in added.items():
        if sizes[side].value + more.value <= 0:
            raise LeftOut(f"The part “{part.says}” comes to nothing when it is laid flat; it is left out.")
    area = _flat_area(taking, part, folds, deduction, length, width)
    return FoldedPart(part, folds, deduction, thickness, radius, own is not None, added, area)


def _edges(
    taking: Taking, part: Part, entries: Sequence[Folds], thickness: Figure, radius: Figure | None
) -> Iterator[tuple[Folds, Face, Figure, bool]]:
    """The edges that are folded, each with its entry, its leg and whether it runs along the part's length."""
    taken: dict[Face, Folds] = {}
    deep = thickness.value + (radius.value if radius is not None else 0)
    for entry in entries:
        called = f"The fold “{entry.says}”"
        try:
            leg = taking.figure(f"folds/{entry.name}/leg", f"{entry.says}: leg, outside", "nm", entry.leg)
            if leg.value <= deep:
                raise LeftOut(
                    f"{called} of “{part.says}” is longer than its leg: round its corner it takes "
                    f"{taking.length(deep)}, and the leg is {taking.length(leg.value)}. It is left out."
                )
            for edge in entry.edges:
                if edge in taken:
                    raise LeftOut(f"{called} folds the {edge} edge of “{part.says}”, which “{taken[edge].says}” folds "
                                  "already; it is left out.")  # fmt: skip
            for edge in entry.edges:
                taken[edge] = entry
                yield entry, edge, leg, FACES[edge][0] == part.width_axis
        except CostingError as error:
            taking.leave_out(f"folds.{entry.name}", called, error)


def _of_strip(taking: Taking, part: Part, radius: Figure | None, thickness: Figure) -> Figure | None:
    """What a fold takes off by the shop's own strip; None where there is none, or it can't be right, which is said."""
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
    k = None if radius is None else k_of_strip(taken_off.value, radius.value, thickness.value, _SQUARE)
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


def _by_handbook(taking: Taking, part: Part, radius: Figure | None, thickness: Figure) -> Figure:
    """What a fold takes off by the handbooks' round figures, by the radius stated or else one thickness."""
    key, says = f"part/{part.name}/fold", f"{part.says}: a fold"
    inside = radius or taking.derive(f"{key}_radius", f"{says}, inside radius", "nm",
                                     "as much as the thickness, where nobody states it", "thickness",
                                     thickness=thickness)  # fmt: skip
    return taking.working.derive(
        f"{taking.prefix}/{key}_deduction", f"{says} takes off", "nm",
        "twice to where the fold begins, less the length of its arc by the handbooks' round figures",
        "2 * setback(radius, thickness, angle) - handbook_allowance(radius, thickness, angle)", _HANDBOOK,
        radius=inside, thickness=thickness,
        angle=taking.given(f"{key}_angle", f"{says}, how far it is bent, degrees", _SQUARE, ""),
    )  # fmt: skip


def _between(
    taking: Taking, part: Part, width: Figure, thickness: Figure, made: Sequence[tuple[Folds, Face, Figure, bool]],
    entry: Folds,
) -> Figure:  # fmt: skip
    """How long the legs at the ends are: the width, less a thickness for each leg along it that goes the same way."""
    beside = sum(along and other.way == entry.way for other, _, _, along in made)
    if not beside:
        return width
    key, label = f"folds/{entry.name}", f"{entry.says}: how long"
    return taking.derive(
        f"{key}/run", label, "nm", "width - a thickness for each leg beside", "width - beside * thickness",
        width=width, thickness=thickness, beside=taking.given(f"{key}/beside", f"{label}, legs beside", beside, "leg"),
    )  # fmt: skip


def _added(taking: Taking, part: Part, side: str, folds: Sequence[Folded], deduction: Figure) -> Figure:
    inputs = {f"leg_{number}": one.leg for number, one in enumerate(folds, 1)}
    return taking.derive(
        f"part/{part.name}/legs_{side}", f"{part.says}: what folds add to the {side} of the flat", "nm",
        "legs - what each fold takes off", f"{' + '.join(inputs)} - folds * deduction", **inputs, deduction=deduction,
        folds=taking.given(f"part/{part.name}/folds_{side}", f"{part.says}: folds across the {side}", len(folds),
                           "fold"),
    )  # fmt: skip


def _flat_area(
    taking: Taking, part: Part, folds: Sequence[Folded], deduction: Figure, length: Figure, width: Figure
) -> Figure:
    """The area of a folded part when it is laid flat, without the corners that are cut out between legs, nm2."""
    key, says = f"part/{part.name}", part.says
    inputs: dict[str, Figure] = {}
    terms = []
    for number, one in enumerate(folds, 1):
        inputs |= {f"leg_{number}": one.leg, f"run_{number}": one.run}
        terms.append(f"(leg_{number} - deduction) * run_{number}")
    formula = f"length * width + {' + '.join(terms)}"
    return taking.derive(
        f"{key}/flat_area", f"{says}: area laid flat", "nm2",
        "length x width + each leg, less what its fold takes off, x how long it is", formula, length=length,
        width=width, deduction=deduction, **inputs,
    )  # fmt: skip


def legs_of(folded: FoldedPart, base: Placed) -> tuple[Placed, ...]:
    """The flat of one piece and its legs as they stand, exact: several of the same number."""
    boxes = [(base.corner, base.extent), *(_leg_box(folded, one, base) for one in folded.folds)]
    volumes = [x * y * z for _, (x, y, z) in boxes]
    return tuple(
        replace(base, corner=corner, extent=extent, nth=nth, share=Fraction(volume) / sum(volumes))
        for nth, ((corner, extent), volume) in enumerate(zip(boxes, volumes, strict=True))
    )


def _leg_box(folded: FoldedPart, one: Folded, base: Placed) -> tuple[Corner, Corner]:
    """A leg stands on the flat, at its edge, as thick as that."""
    edge_axis, edge_end = FACES[one.edge]
    thin_axis, way = FACES[one.entry.way]
    across, thin = AXES.index(edge_axis), AXES.index(thin_axis)
    low, size = list(base.corner), list(base.extent)
    thick = size[thin]
    low[across] += (size[across] - thick) * edge_end
    size[across] = thick
    low[thin] += thick if way else thick - one.leg.value
    size[thin] = one.leg.value - thick
    if not one.is_along:
        along = 3 - across - thin
        for other in folded.folds:
            if other.is_along and other.entry.way == one.entry.way:
                size[along] -= thick
                low[along] += 0 if FACES[other.edge][1] else thick
    return (low[0], low[1], low[2]), (size[0], size[1], size[2])
