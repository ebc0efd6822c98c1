"""Surfaces and finishes: areas on finished sizes, once, by coats, and between coats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from webapp.costing.designs.model import FACES, Finish, Surface
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.space.bodies import EDGES, ENDS
from webapp.costing.space.bodies import FACES as BROAD
from webapp.costing.space.shapes import area_of
from webapp.costing.takeoff.amounts.exposed import Sight, exposed_area
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import FinishTaken
from webapp.costing.takeoff.outlines import Outlined
from webapp.costing.takeoff.parts import MadePart


def measure_surfaces(
    taking: Taking, parts: tuple[MadePart, ...], meetings: Meetings,
    cut_out: Mapping[str, Figure] = MappingProxyType({})
) -> dict[str, Figure]:
    """The area of each surface of one finished thing, m2, by its name; `cut_out` is what openings take from a broad
    face of one, m2, by the part's name."""
    found = {}
    sight = Sight(meetings.placed, meetings)
    for surface in filter(taking.environment.active, taking.design.surfaces.values()):
        entry = f"The surface “{surface.name.replace('_', ' ')}”"
        try:
            found[surface.name] = _area(taking, surface, parts, entry, sight, cut_out)
        except CostingError as error:
            taking.leave_out(f"surfaces.{surface.name}", entry, error)
    return found


def _area(
    taking: Taking, surface: Surface, parts: tuple[MadePart, ...], entry: str, sight: Sight,
    cut_out: Mapping[str, Figure],
) -> Figure:  # fmt: skip
    key = f"surface/{surface.name}"
    label = surface.name.replace("_", " ").capitalize()
    if surface.area is not None:
        exact = taking.figure(f"{key}/exact", f"{label}, as worked out", "nm2", surface.area)
        if exact.value < 0:
            raise LeftOut(f"{entry} has an area below zero; it is left out.")
        return taking.derive(key, label, "m2", "the area, in square metres", "square_metres(area, 1)", area=exact)
    of_all = not surface.part and not surface.stock
    chosen = [one for one in parts if of_all or surface.is_on(one.part.name, one.part.stock)]
    if surface.part and not chosen:
        part = taking.design.parts[surface.part]
        if taking.environment.active(part) and taking.standing.count(taking.environment, part).value:
            raise LeftOut(f"{entry} is left out with the part “{part.says}”.")
    if surface.exposed:
        in_sight = [exposed_area(taking, key, one, sight, cut_out.get(one.part.name)) for one in chosen]
        return taking.total(key, label, "m2", in_sight, "what touches nothing and can be reached")
    if surface.edges:
        areas = [area for one in chosen if (area := _edge_area(taking, key, surface, one)) is not None]
        return taking.total(key, label, "m2", areas, "the edges of all parts" if of_all else "the edges of its parts")
    areas = []
    for one in chosen:
        if one.taken.sawn is not None:
            areas.append(_cut_area(taking, key, one, BROAD[: surface.faces], "broad faces"))
            continue
        if one.flat_area is not None:
            areas.append(_flat_faces(taking, key, one, surface.faces, cut_out))
            continue
        if one.taken.width is None:
            raise LeftOut(f"{entry} needs the width of “{one.part.says}”, which nothing states; it is left out.")
        cut = {"cut": cut_out[one.part.name]} if one.part.name in cut_out else {}
        words, formula = "faces x length x width x count", "faces * square_metres(length, width) * count"
        if cut:
            words = "faces x (length x width - openings) x count"
            formula = "faces * (square_metres(length, width) - cut) * count"
        areas.append(
            taking.derive(
                f"{key}/{one.part.name}", f"{one.part.says}: broad faces", "m2", words, formula,
                length=one.mean_length, width=one.taken.width, count=one.taken.count, **cut,
                faces=taking.given(f"{key}/{one.part.name}/faces", f"{one.part.says}: faces", surface.faces, "face"),
            )
        )  # fmt: skip
    return taking.total(key, label, "m2", areas)


def _flat_faces(taking: Taking, key: str, one: MadePart, faces: int, cut_out: Mapping[str, Figure]) -> Figure:
    """The broad faces of what is folded are those of its flat, and of what is cut to an outline those of that."""
    assert one.flat_area is not None
    own, says = f"{key}/{one.part.name}", one.part.says
    cut = {"cut": cut_out[one.part.name]} if one.part.name in cut_out else {}
    words, formula = "faces x area of the flat x count", "faces * square_metres(area, 1) * count"
    if cut:
        words = "faces x (area of the flat - openings) x count"
        formula = "faces * (square_metres(area, 1) - cut) * count"
    return taking.derive(
        own, f"{says}: broad faces", "m2", words, formula, area=one.flat_area,
        count=one.taken.count, faces=taking.given(f"{own}/faces", f"{says}: faces", faces, "face"), **cut,
    )  # fmt: skip


#: The faces of a piece that stands aslant, by what of it is coated.
_OF_CUT: Final = {
    "all": ((*EDGES, *ENDS), "all four edges"), "long": (EDGES, "long edges"), "ends": (ENDS, "end edges"),
    "around": ((*BROAD, *EDGES), "around"),
}  # fmt: skip


def _cut_area(taking: Taking, key: str, one: MadePart, names: Sequence[str], words: str) -> Figure:
    """The area of some faces of a piece as it is cut, of all its pieces, m2."""
    says, own = one.part.says, f"{key}/{one.part.name}"
    body = one.placed[0].body
    assert body is not None
    area = taking.given(f"{own}/cut", f"{says}: {words} of one", area_of(body, names), "nm2", "the piece as it is cut")
    return taking.derive(own, f"{says}: {words}", "m2", "faces as they are cut x count",
                         "square_metres(area, 1) * count", area=area, count=one.taken.count)  # fmt: skip


def _edge_area(taking: Taking, key: str, surface: Surface, one: MadePart) -> Figure | None:
    """The area of a part's edges; None where it has none of those asked for."""
    taken = one.taken
    if taken.sawn is not None and surface.edges in _OF_CUT:
        names, words = _OF_CUT[surface.edges]
        return _cut_area(taking, key, one, names, words)
    if one.outlined is not None and taken.thickness is not None:
        return _outline_area(taking, key, surface, one, one.outlined, taken.thickness)
    if taken.thickness is None:
        if surface.edges != "banded" or one.banded_edges:
            raise LeftOut(
                f"The surface “{surface.name.replace('_', ' ')}” needs the thickness of “{one.part.says}”, "
                "which is not known; it is left out."
            )
        return None
    if surface.edges == "around":
        if taken.width is None:
            raise LeftOut(
                f"The surface “{surface.name.replace('_', ' ')}” needs the width of “{one.part.says}”, "
                "which is not known; it is left out."
            )
        if taken.round is not None:
            return taking.derive(
                f"{key}/{one.part.name}", f"{one.part.says}: around", "m2", "length x round its section x count",
                "square_metres(length, round_around(diameter)) * count", length=taken.length,
                diameter=taken.round.diameter, count=taken.count,
            )  # fmt: skip
        return taking.derive(
            f"{key}/{one.part.name}", f"{one.part.says}: around", "m2", "2 x length x (width + thickness) x count",
            "square_metres(2 * length, width + thickness) * count",
            length=taken.length, width=taken.width, thickness=taken.thickness, count=taken.count,
        )  # fmt: skip
    inputs: dict[str, Figure] = {}
    if surface.edges == "banded":
        inputs = {f"edge_{number}": edge for number, (_, edge) in enumerate(one.banded_edges, 1)}
        edges, words = " + ".join(inputs), "banded edges"
    elif surface.edges == "raw":
        inputs, edges = _raw_edges(one)
        words = "edges without band"
    else:
        sides = {"all": ("length", "width"), "long": ("length",), "ends": ("width",)}[surface.edges]
        sizes = {"length": one.mean_length, "width": taken.width}
        if one.folded is not None:
            sizes = {"length": taken.blank_length, "width": taken.blank_width}
        inputs = {side: figure for side in sides if (figure := sizes[side]) is not None}
        edges = " + ".join(f"2 * {side}" for side in inputs)
        words = {"all": "all four edges", "long": "long edges", "ends": "end edges"}[surface.edges]
    if not inputs:
        return None
    return taking.derive(
        f"{key}/{one.part.name}", f"{one.part.says}: {words}", "m2", "length of edges x thickness x count",
        f"square_metres({edges}, thickness) * count", **inputs, thickness=taken.thickness, count=taken.count,
    )  # fmt: skip


def _outline_area(
    taking: Taking, key: str, surface: Surface, one: MadePart, outlined: Outlined, thickness: Figure
) -> Figure | None:
    """The edge all round an outline, which has no ends and no long edges."""
    if surface.edges == "banded":
        return None
    says = one.part.says
    if surface.edges not in ("all", "raw"):
        raise LeftOut(f"The surface “{surface.name.replace('_', ' ')}” asks for some edges of “{says}”, which is cut "
                      "to an outline: say all its edges. It is left out.")  # fmt: skip
    own = f"{key}/{one.part.name}"
    around = taking.given(f"{own}/around", f"{says}: round its outline", Fraction(round(outlined.laid.length * 10**6)),
                          "nm", "its corners and arcs")  # fmt: skip
    return taking.derive(own, f"{says}: edges", "m2", "outline x thickness x count",
                         "square_metres(around, thickness) * count", around=around, thickness=thickness,
                         count=one.taken.count)  # fmt: skip


def _raw_edges(one: MadePart) -> tuple[dict[str, Figure], str]:
    """The edges of a part that have no band: their sizes, and how they add up."""
    banded = [FACES[face][0] for face, _ in one.banded_edges]
    left = {
        "length": (one.mean_length, 2 - banded.count(one.part.width_axis)),
        "width": (one.taken.width, 2 - banded.count(one.part.length_axis)),
    }
    inputs = {side: figure for side, (figure, number) in left.items() if figure is not None and number}
    return inputs, " + ".join(f"{left[side][1]} * {side}" for side in inputs)


def apply_finishes(taking: Taking, surfaces: dict[str, Figure]) -> tuple[FinishTaken, ...]:
    """The finishes under the answers chosen."""
    return tuple(
        _coat(taking, finish, surfaces) for finish in filter(taking.environment.active, taking.design.finishes.values())
    )


def _coat(taking: Taking, finish: Finish, surfaces: dict[str, Figure]) -> FinishTaken:
    """The area once, what the coats have to cover (the first on raw wood and raw edges drink more), and what is sanded
    between coats."""
    key, says, coats = f"finish/{finish.name}", finish.says, finish.coats
    found = [(taking.design.surfaces[name], surfaces[name]) for name in finish.on if name in surfaces]
    area = taking.total(f"{key}/area", f"{says}: area", "m2", [figure for _, figure in found])
    raw = [figure for surface, figure in found if surface.raw_edge]
    first = taking.setting("raw_first_coat", "")
    number = taking.given(f"{key}/coats", f"{says}: coats", coats, "coat")
    if raw:
        plain = taking.total(f"{key}/plain", f"{says}: faces and banded edges", "m2", [
            figure for surface, figure in found if not surface.raw_edge
        ])  # fmt: skip
        coated = taking.derive(
            f"{key}/coated", f"{says}: area over {coats} coats", "m2",
            "(faces + raw edges x their factor) x (first coat's factor + further coats)",
            "(plain + raw * raw_factor) * (first + coats - 1)", plain=plain, coats=number,
            raw=taking.total(f"{key}/raw", f"{says}: raw edges", "m2", raw),
            raw_factor=taking.setting("raw_edge", ""), first=first,
        )  # fmt: skip
    else:
        coated = taking.derive(
            f"{key}/coated", f"{says}: area over {coats} coats", "m2", "area x (first coat's factor + further coats)",
            "area * (first + coats - 1)", area=area, first=first, coats=number,
        )  # fmt: skip
    between = taking.derive(
        f"{key}/between", f"{says}: area between coats", "m2", "area x (coats - 1)", "area * (coats - 1)", area=area,
        coats=number,
    )  # fmt: skip
    return FinishTaken(finish.name, says, taking.code_of(finish.stock), coats, area, coated, between)
