"""What drives each operation and supply, counted from the take-off: units for ONE finished thing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.drivers import DRIVERS, LAYOUT_DRIVERS
from webapp.costing.designs.model import Operation, Supply
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text
from webapp.costing.takeoff.context import MOST_FASTENINGS, LeftOut, Taking
from webapp.costing.takeoff.joints import HeldTogether
from webapp.costing.takeoff.model import FinishTaken, HardwareTaken, WeldTaken
from webapp.costing.takeoff.parts import MadePart

#: Counted by the estimate, which knows what is bought and who travels.
COUNTED_LATER: Final = (*LAYOUT_DRIVERS, "items", "items_by_crew", "people")


@dataclass(frozen=True, slots=True)
class Taken:
    """Everything that is counted from; `holes`, `tenons` and `folds` by their entry, `cut_out` metres of openings and
    housings."""

    parts: tuple[MadePart, ...]
    held: HeldTogether
    hardware: tuple[HardwareTaken, ...]
    surfaces: Mapping[str, Figure]
    finishes: tuple[FinishTaken, ...]
    holes: Mapping[str, Figure] = field(default_factory=dict)
    cut_out: Mapping[str, Figure] = field(default_factory=dict)
    tenons: Mapping[str, Figure] = field(default_factory=dict)
    folds: Mapping[str, Figure] = field(default_factory=dict)
    folds_sent_out: Mapping[str, Figure] = field(default_factory=dict)


def drive_operations(taking: Taking, taken: Taken) -> dict[str, Figure]:
    """Units of each operation under the answers chosen, for those that follow from the design alone."""
    found = {}
    for operation in filter(taking.environment.active, taking.design.operations.values()):
        if operation.driver in COUNTED_LATER:
            continue
        entry = f"The step “{operation.says}”"
        key, label = f"driver/{operation.name}", f"{operation.says}: units"
        try:
            if operation.count is not None and operation.of:
                own = _own_count(taking, operation, f"{key}/own", f"{label} that it counts itself", entry)
                others = _count(taking, taken, operation, f"{key}/made", f"{label} of what is named")
                found[operation.name] = taking.total(key, label, DRIVERS[operation.driver][0], [own, others])
            elif operation.count is not None:
                found[operation.name] = _own_count(taking, operation, key, label, entry)
            else:
                found[operation.name] = _count(taking, taken, operation, key, label)
        except CostingError as error:
            taking.leave_out(f"operations.{operation.name}", entry, error)
    return found


def _own_count(taking: Taking, operation: Operation, key: str, label: str, entry: str) -> Figure:
    assert operation.count is not None
    unit = DRIVERS[operation.driver][0]
    if operation.driver == "holes":
        return taking.counted(key, label, unit, operation.count, entry, MOST_FASTENINGS)
    figure = taking.figure(key, label, unit, operation.count)
    if not 0 <= figure.value <= MOST_FASTENINGS:
        count = figure_text(figure.value, 2)
        raise LeftOut(f"{entry} has a count of {count}; from 0 to {MOST_FASTENINGS} makes sense.")
    return figure


def use_up(taking: Taking, taken: Taken) -> dict[str, tuple[str, Figure | None]]:
    """Material and driver units of each supply; None for one to an item."""
    found: dict[str, tuple[str, Figure | None]] = {}
    for supply in filter(taking.environment.active, taking.design.supplies.values()):
        if supply.stock not in taking.stock:
            continue
        code = taking.code_of(supply.stock)
        if supply.driver == "items":
            found[supply.name] = (code, None)
        elif supply.driver in COUNTED_LATER:
            taking.wrong(
                f"supplies.{supply.name}",
                f"The supply “{supply.says}” is driven by {DRIVERS[supply.driver][1]}; "
                "that is known only after buying, so it is left out.",
            )
        else:
            key, label = f"supply/{supply.name}", f"{supply.says}: units"
            found[supply.name] = (code, _count(taking, taken, supply, key, label))
    return found


def _count(taking: Taking, taken: Taken, entry: Operation | Supply, key: str, label: str) -> Figure:
    counter = _COUNTERS[entry.driver]
    figures = counter(taking, taken, entry.of, key)
    unit, words = DRIVERS[entry.driver]
    return taking.total(key, label, unit, figures, words)


_Counter = Callable[[Taking, Taken, tuple[str, ...], str], list[Figure]]


def _chosen_parts(taken: Taken, of: tuple[str, ...], *, band: bool = False) -> list[MadePart]:
    """The parts that are named, or cut from a named role (or banded with it); all where nothing is named."""
    if not of:
        return list(taken.parts)
    return [
        one
        for one in taken.parts
        if one.part.name in of or one.part.stock in of or (band and one.part.band_stock in of)
    ]


def _pieces(taking: Taking, one: MadePart, key: str, each: int, words: str) -> Figure:
    if each == 1:
        return one.taken.count
    own = f"{key}/{one.part.name}"
    of_one = taking.given(f"{own}/each", f"{one.part.says}: {words} of one", each, "piece")
    return taking.derive(own, f"{one.part.says}: {words}", "piece", f"count x {words} of one", "count * each",
                         count=one.taken.count, each=of_one)  # fmt: skip


def _parts(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [_pieces(taking, one, key, one.taken.layers, "blanks") for one in _chosen_parts(taken, of)]


def _banded_metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.banded for one in _chosen_parts(taken, of, band=True) if one.banded is not None]


def _fastenings(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    joints = [one.count for one in taken.held.fastenings if not of or one.joint in of]
    return [*joints, *_holes(taking, taken, of, key)] if of else joints


def _holes(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [count for name, count in taken.holes.items() if name in of]


def _folds(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [count for name, count in taken.folds.items() if not of or name in of]


def _folds_sent_out(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [count for name, count in taken.folds_sent_out.items() if not of or name in of]


def _turned(taken: Taken, of: tuple[str, ...]) -> list[MadePart]:
    return [one for one in _chosen_parts(taken, of) if one.part.turned is not None]


def _turned_pieces(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.taken.count for one in _turned(taken, of)]


def _turned_metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [
        taking.derive(f"{key}/{one.part.name}", f"{one.part.says}: turned", "m", "length x count",
                      "metres(length) * count", length=one.taken.length, count=one.taken.count)
        for one in _turned(taken, of)
    ]  # fmt: skip


def _metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [metres for name, metres in taken.cut_out.items() if name in of]


def _joints(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    lines = [lines for name, lines in taken.held.lines.items() if not of or name in of]
    return [*lines, *(count for name, count in taken.tenons.items() if name in of)]


def _welds(taken: Taken, of: tuple[str, ...]) -> list[WeldTaken]:
    return [one for one in taken.held.welds if not of or one.joint in of]


def _welded_joints(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.count for one in _welds(taken, of)]


def _weld_centimetres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.length for one in _welds(taken, of)]


def _weld_metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [
        taking.derive(f"joint/{one.joint}/metres", f"{one.says}: metres of weld", "m", "in metres", "length / 100",
                      length=one.length)
        for one in _welds(taken, of)
    ]  # fmt: skip


def _ground_centimetres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.length for one in _welds(taken, of) if one.ground]


def _tubes(taken: Taken, of: tuple[str, ...]) -> list[MadePart]:
    return [one for one in _chosen_parts(taken, of) if one.taken.kind is Kind.LENGTH]


def _tube_cuts(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [
        _pieces(taking, one, key, 2, "cuts") if one.taken.is_bevelled else one.taken.count
        for one in _tubes(taken, of)
    ]


def _tube_ends(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [_pieces(taking, one, key, 2, "ends") for one in _tubes(taken, of)]


def _full_sheets(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    figures = []
    for one in _chosen_parts(taken, of):
        width = one.taken.blank_width
        sheets = [(offer.size["length"], offer.size["width"]) for offer in
                  taking.catalogue.offers_of(one.taken.material)] if one.taken.kind is Kind.SHEET else []  # fmt: skip
        if width is None or not sheets:
            # Stock that nobody offers is named where it is bought.
            continue
        long, wide = max(sheets, key=lambda size: size[0] * size[1])
        name = taking.catalogue.materials[one.taken.material].name
        sheet = taking.working.given(
            f"material/{one.taken.material}/largest_sheet", f"{name}: largest sheet on offer", long * wide / 10**18,
            "m2", "the offers",
        )  # fmt: skip
        figures.append(
            taking.derive(
                f"{key}/{one.part.name}", f"{one.part.says}: full sheets", "sheet",
                "blank length x blank width x blanks / area of the largest sheet on offer",
                "square_metres(length, width) * count * layers / sheet",
                length=one.taken.blank_length, width=width, count=one.taken.count, sheet=sheet,
                layers=taking.layers(one.part),
            )
        )  # fmt: skip
    return figures


def _surface_square_metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [area for name, area in taken.surfaces.items() if name in of]


def _hardware(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.count for one in taken.hardware if not of or one.name in of]


def _chosen_finishes(taken: Taken, of: tuple[str, ...]) -> list[FinishTaken]:
    return [one for one in taken.finishes if not of or one.name in of]


def _square_metres(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.area for one in _chosen_finishes(taken, of)]


def _by_coat(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [
        taking.derive(f"finish/{one.name}/by_coat", f"{one.says}: area by coats", "m2", "area x coats",
                      "area * coats", area=one.area,
                      coats=taking.given(f"finish/{one.name}/coats", f"{one.says}: coats", one.coats, "coat"))
        for one in _chosen_finishes(taken, of)
    ]  # fmt: skip


def _between_coats(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.between for one in _chosen_finishes(taken, of)]


def _pieces_by_coat(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    figures = []
    for finish in _chosen_finishes(taken, of):
        surfaces = [taking.design.surfaces[name] for name in taking.design.finishes[finish.name].on]
        on = [surface for surface in surfaces if taking.environment.active(surface)]
        for one in taken.parts:
            if any(surface.is_on(one.part.name, one.part.stock) for surface in on):
                figures.append(_pieces(taking, one, f"{key}/{finish.name}", finish.coats, "coats"))
    return figures


def _glued_up(taken: Taken, of: tuple[str, ...]) -> list[MadePart]:
    return [one for one in _chosen_parts(taken, of) if one.taken.strips > 1 or one.taken.layers > 1]


def _glue_ups(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [one.taken.count for one in _glued_up(taken, of)]


def _strips(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [_pieces(taking, one, key, one.taken.strips * one.taken.layers, "strips") for one in _glued_up(taken, of)]


def _planed_pieces(taking: Taking, taken: Taken, of: tuple[str, ...], key: str) -> list[Figure]:
    return [
        _pieces(taking, one, key, one.taken.strips * one.taken.layers, "pieces planed")
        for one in _chosen_parts(taken, of)
    ]


_COUNTERS: Final[Mapping[str, _Counter]] = {
    "parts": _parts, "banded_metres": _banded_metres, "fastenings": _fastenings, "joints": _joints,
    "welded_joints": _welded_joints, "weld_centimetres": _weld_centimetres, "weld_metres": _weld_metres,
    "ground_centimetres": _ground_centimetres, "tube_cuts": _tube_cuts, "tube_ends": _tube_ends,
    "full_sheets": _full_sheets, "surface_square_metres": _surface_square_metres,
    "hardware": _hardware, "square_metres": _square_metres, "square_metres_by_coat": _by_coat,
    "square_metres_between_coats": _between_coats, "pieces_by_coat": _pieces_by_coat, "glue_ups": _glue_ups,
    "strips": _strips, "planed_pieces": _planed_pieces, "holes": _holes, "metres": _metres, "folds": _folds,
    "folds_sent_out": _folds_sent_out, "turned_pieces": _turned_pieces, "turned_metres": _turned_metres,
}  # fmt: skip
