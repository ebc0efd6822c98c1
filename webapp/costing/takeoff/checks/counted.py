"""Is nothing that is made left untimed? Each part, fastening, line of glue, weld, coat, banded edge, piece of hardware,
hole, opening, plate let in, tenon, housing and rebate is counted by a step of the work, or a step says that it is done
within it.

What has no material, and so is not bought, is said where the places for materials are filled.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.drivers import WELD_DRIVERS
from webapp.costing.designs.model import Finish, Joint, Operation
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import figure_text, format_quantity
from webapp.costing.takeoff.amounts.drivers import Taken
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check

_CUT: Final = ("parts", "saw_cuts", "parting_cuts", "stop_cuts", "cut_metres", "tube_cuts", "planed_pieces", "strips")
_GLUED_UP: Final = ("strips", "glue_ups")
_COATED: Final = ("square_metres_by_coat", "pieces_by_coat")
_METAL: Final = ("tube", "steel_bar", "sheet_metal")
#: What sorts of fastening are called in a row, and what is done with them.
_SORTS: Final = {
    "screw": ("Screws of", "driven"), "nail": ("Nails of", "driven"), "bolt": ("Bolts of", "driven"),
    "dowel": ("Dowels of", "bored for"), "biscuit": ("Biscuits of", "slotted"),
    "loose_tenon": ("Loose tenons of", "slotted"), "": ("Fastenings of", "driven"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Made:
    """One thing that takes time: what it is called and how much there is; its name, and by which others it counts.

    `left` is set where no step counts it.
    """

    says: str
    amount: str
    figure: str
    left: bool


def check_counted(taking: Taking, taken: Taken) -> None:
    """Note what no step counts. A design of form 1 can't say that a step includes it: there it is not known, but where
    nothing of its sort is counted at all."""
    if not taken.parts:
        return
    counted = True
    for sort, lead, done, made in _all_made(taking, taken):
        left = [one for one in made if one.left]
        if not left:
            continue
        counted = False
        named = [f"“{one.says}”, {one.amount}" for one in left]
        listed = f"{', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0]
        said = f"{lead} {listed}, are {done} by no step"
        short = taking.design.form != "1"
        known = short or len(left) == len(made)
        tail = (
            ": their time is missing. Let a step count them"
            + (", or type them under what a step “includes”." if short else ".")
            if known
            else ": whether another step includes them is not known. Let a step count them; a design in the short form "
            "can say what a step includes."
        )
        figures = tuple(one.figure for one in left)
        taking.checks.append(Check(f"counted/{sort}", "failure" if known else "unknown", said + tail, figures))
    if counted:
        taking.checks.append(Check("counted", "pass", "Every thing that is made is counted by a step of the work."))


def _all_made(taking: Taking, taken: Taken) -> Iterator[tuple[str, str, str, list[_Made]]]:
    """All that is made, sort by sort: the sort, the words that lead a list of it, what is done, and the things."""
    steps = _Steps(taking)
    yield "cut", "Parts", "cut", [
        _Made(one.part.says, _pieces(one.taken.count.value), one.taken.count.id,
              not steps.count(_CUT, one.part.name, one.part.stock))
        for one in taken.parts
    ]  # fmt: skip
    yield "banded", "Banded edges of", "banded", [
        _Made(one.part.says, f"{figure_text(one.banded.value, 2)} m", one.banded.id,
              not steps.count(("banded_metres",), one.part.name, one.part.stock, one.part.band_stock))
        for one in taken.parts
        if one.banded is not None
    ]  # fmt: skip
    yield "glued_up", "Panels of strips or layers", "glued up", [
        _Made(one.part.says, _pieces(one.taken.count.value), one.taken.count.id,
              not steps.count(_GLUED_UP, one.part.name, one.part.stock))
        for one in taken.parts
        if one.taken.strips > 1 or one.taken.layers > 1
    ]  # fmt: skip
    yield from _fastened(taking, taken, steps)
    joints = taking.design.joints
    yield "clamped", "Lines of glue of", "glued and clamped", [
        _Made(joints[name].says, _pieces(lines.value), lines.id,
              not steps.count(("joints",), name) and not _is_drawn_up(taking, steps, joints[name]))
        for name, lines in taken.held.glue_lines.items()
        if lines.value
    ]  # fmt: skip
    yield "welded", "Welds of", "welded", [
        _Made(one.says, _pieces(one.count.value), one.count.id, not steps.count(WELD_DRIVERS[:3], one.joint))
        for one in taken.held.welds
        if one.count.value
    ]
    yield "outlined", "Outlines of", "cut", [
        _Made(one.part.says, _pieces(one.taken.count.value), one.outlined.cut.id,
              not steps.count(("metres",), one.outlined.entry.name, one.part.name) and not one.taken.by_router)
        for one in taken.parts
        if one.outlined is not None
    ]  # fmt: skip
    yield "turned", "Turned pieces of", "turned", [
        _Made(one.part.says, _pieces(one.taken.count.value), one.taken.count.id,
              not steps.count(("turned_pieces", "turned_metres"), one.part.name, one.part.stock))
        for one in taken.parts
        if one.part.turned is not None
    ]  # fmt: skip
    yield "folded", "Folds of", "folded", [
        _Made(taking.design.folds[name].says, _pieces(count.value), count.id,
              not steps.count(("folds",), name, taking.design.folds[name].part))
        for name, count in taken.folds.items()
        if count.value
    ]  # fmt: skip
    yield from _coated(taking, taken, steps)
    yield from _cut_into_parts(taking, taken, steps)
    yield "fitted", "Pieces of hardware", "fitted", _fitted(taking, taken, steps)


def _cut_into_parts(taking: Taking, taken: Taken, steps: _Steps) -> Iterator[tuple[str, str, str, list[_Made]]]:
    """Holes, openings and joinery. A number of holes that a step counts itself may be any of them; metres that it
    counts itself may be those of edges, so that openings, housings and rebates have to be named."""
    yield "drilled", "Holes of", "drilled", [
        _Made(taking.design.holes[name].says, _pieces(count.value), count.id,
              not steps.count(("holes",), name) and not steps.name(("fastenings",), name))
        for name, count in taken.holes.items()
        if count.value
    ]  # fmt: skip
    openings, joinery = taking.design.openings, taking.design.joinery
    called = {name: one.says for name, one in openings.items()} | {name: one.says for name, one in joinery.items()}
    cut = {
        name: _Made(called[name], f"{figure_text(metres.value, 2)} m", metres.id,
                    not steps.name(("metres",), name))
        for name, metres in taken.cut_out.items()
        if metres.value and name in called
    }  # fmt: skip
    let_in = {name for name in cut if name in openings and openings[name].let_in}
    yield "cut_out", "Openings and pockets of", "cut", [
        one for name, one in cut.items() if name in openings and name not in let_in
    ]
    yield "let_in", "Plates of", "let in", [one for name, one in cut.items() if name in let_in]
    yield "housed", in_trade_words("Housings and rebates of"), "cut", [
        one for name, one in cut.items() if name not in openings
    ]
    yield "tenoned", "Tenons of", "cut", [
        _Made(joinery[name].says, _pieces(count.value), count.id, not steps.name(("joints",), name))
        for name, count in taken.tenons.items()
        if count.value
    ]


def _is_drawn_up(taking: Taking, steps: _Steps, joint: Joint) -> bool:
    """Whether screws that a step drives draw a line of glue up, so that nobody clamps it (common practice)."""
    screwed = bool(joint.fastener) and _sort(taking, joint.fastener) == "screw"
    return screwed and steps.count(("fastenings",), joint.name)


class _Steps:
    """The steps under the answers chosen, and what each of them counts or includes."""

    def __init__(self, taking: Taking) -> None:
        self._steps: Sequence[Operation] = [*filter(taking.environment.active, taking.design.operations.values())]
        self.included = {name for step in self._steps for name in step.includes}

    def count(self, drivers: Collection[str], *names: str) -> bool:
        """Whether a step with one of these drivers counts something by one of its names, or a step includes it."""
        return self.name(drivers, *names) or any(step.driver in drivers and not step.of for step in self._steps)

    def name(self, drivers: Collection[str], *names: str) -> bool:
        """The same, of steps that name what they count."""
        return not self.included.isdisjoint(names) or any(
            step.driver in drivers and not {*step.of}.isdisjoint(names) for step in self._steps
        )


def _fastened(taking: Taking, taken: Taken, steps: _Steps) -> Iterator[tuple[str, str, str, list[_Made]]]:
    """Fastenings of joints, each sort by itself: a screw isn't driven where biscuits are slotted."""
    sorts: dict[str, list[_Made]] = {}
    for one in taken.held.fastenings:
        if one.count.value:
            left = not steps.count(("fastenings",), one.joint)
            made = _Made(one.says, _pieces(one.count.value), one.count.id, left)
            sorts.setdefault(_sort(taking, taking.design.joints[one.joint].fastener), []).append(made)
    for sort, made_all in sorts.items():
        lead, done = _SORTS[sort]
        yield f"fastened_{sort}" if sort else "fastened", lead, done, made_all


def _sort(taking: Taking, role: str) -> str:
    tags = _tags(taking, role)
    return next((sort for sort in _SORTS if sort and is_tagged(tags, sort)), "")


def _tags(taking: Taking, role: str) -> tuple[str, ...]:
    material = taking.stock.get(role)
    return (*taking.design.roles[role].needs.tags, *(material.tags if material is not None else ()))


def _coated(taking: Taking, taken: Taken, steps: _Steps) -> Iterator[tuple[str, str, str, list[_Made]]]:
    """Coats put on, and raw wood sanded under the first of those that lie on the same surfaces."""
    coats, raw = list[_Made](), list[_Made]()
    on_wood = [one for one in taken.finishes if one.area.value and not _is_on_metal(taking, one.name)]
    sanded = {one.name for one in on_wood if steps.count(("square_metres",), one.name)}
    for one in taken.finishes:
        if not one.area.value:
            continue
        amount = format_quantity(one.area.value, "area", taking.system)
        put_on = f"{one.coats} coat{'s' * (one.coats > 1)} of {amount}"
        coats.append(_Made(one.says, put_on, one.area.id, not steps.count(_COATED, one.name)))
        if one in on_wood:
            under = {each.name for each in on_wood if _share(taking, one.name, each.name)}
            raw.append(_Made(one.says, amount, one.area.id, sanded.isdisjoint(under)))
    yield "coated", "Coats of", "put on", coats
    yield "sanded", "Raw surfaces under", "sanded", raw


def _share(taking: Taking, one: str, other: str) -> bool:
    """Whether two finishes lie on a part in common, so that the second goes over the first."""
    return one == other or not _lies_on(taking, one).isdisjoint(_lies_on(taking, other))


def _lies_on(taking: Taking, finish: str) -> set[str]:
    return {
        surface.part or surface.stock or surface.name
        for name in _finish(taking, finish).on
        if taking.environment.active(surface := taking.design.surfaces[name])
    }


def _is_on_metal(taking: Taking, finish: str) -> bool:
    """Whether a finish lies on metal alone."""
    parts = taking.design.parts
    stocks = {parts[name].stock if name in parts else name for name in _lies_on(taking, finish)}
    return bool(stocks) and all(
        stock in taking.design.roles and any(is_tagged(_tags(taking, stock), tag) for tag in _METAL)
        for stock in stocks
    )


def _finish(taking: Taking, name: str) -> Finish:
    return taking.design.finishes[name]


def _fitted(taking: Taking, taken: Taken, steps: _Steps) -> list[_Made]:
    """Pieces of hardware; the fastenings among it are driven while what they hold is fitted, or are given along."""
    hardware = taking.design.hardware
    return [
        _Made(one.says, _pieces(one.count.value), one.count.id, not steps.count(("hardware",), one.name))
        for one in taken.hardware
        if one.count.value and taking.design.roles[hardware[one.name].stock].kind is Kind.PIECE
    ]


def _pieces(count: object) -> str:
    return str(count)
