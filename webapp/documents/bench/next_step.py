"""What is done next to a part once it is cut, by the steps of its design in their order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from webapp.costing.designs.model import Design, Operation
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.takeoff.model import PartTaken, TakeOff

#: Steps that work on the part that a fastening passes first, and on none that it goes into.
_ON_THE_FIRST: Final = ("drill_steel",)
_Find = Callable[[TakeOff, PartTaken, Operation], Iterator[str]]


def next_step(taken: TakeOff, part: PartTaken) -> str:
    """The first step that works on a part after it is cut, with what it is done for; nothing where none is known."""
    for operation in taken.design.operations.values():
        units = taken.drivers.get(operation.name)
        if units is None or not units.value or operation.driver not in _WORKS_ON:
            continue
        for words in _WORKS_ON[operation.driver](taken, part, operation):
            says = in_trade_words(operation.says)
            return f"{says}: {words}" if words else says
    return ""


def _is_named(part: PartTaken, operation: Operation) -> bool:
    return not operation.of or part.name in operation.of or part.role in operation.of


def _banded(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    band = taken.design.parts[part.name].band_stock
    if part.banded and (_is_named(part, operation) or band in operation.of):
        yield ""


def _glued_up(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    if _is_named(part, operation) and (part.layers > 1 or part.strips > 1):
        yield ""


def _turned(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    if part.round is not None and _is_named(part, operation):
        yield ""


def _folded(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    for name, entry in taken.design.folds.items():
        if entry.part == part.name and _active(entry.when, taken) and (not operation.of or name in operation.of):
            yield ""


def _cut_along(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    design = taken.design
    for name in operation.of:
        for entry, parts in _cut_entries(design, name):
            if part.name in parts and _active(entry[1], taken):
                yield entry[0]


def _cut_entries(design: Design, name: str) -> Iterator[tuple[tuple[str, str], tuple[str, ...]]]:
    """What is cut under a name: its words and its answer, and the parts that it is cut in."""
    if (opening := design.openings.get(name)) is not None:
        yield (opening.says, opening.when), (opening.part,)
    if (outline := design.outlines.get(name)) is not None:
        yield (outline.says, outline.when), (outline.part,)
    if (joinery := design.joinery.get(name)) is not None:
        yield (joinery.says, joinery.when), (joinery.part, joinery.into)


def _drilled(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    for name in operation.of:
        entry = taken.design.holes.get(name)
        if entry is not None and entry.part == part.name and _active(entry.when, taken):
            yield entry.says


def _joined(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    yield from _drilled(taken, part, operation)
    for name, joint in taken.design.joints.items():
        if operation.of and name not in operation.of:
            continue
        worked_on = (joint.source,) if operation.name in _ON_THE_FIRST else (joint.source, joint.into, *joint.others)
        if part.name in worked_on and _active(joint.when, taken):
            yield joint.says


def _tenoned(taken: TakeOff, part: PartTaken, operation: Operation) -> Iterator[str]:
    yield from _cut_along(taken, part, operation)
    yield from _joined(taken, part, operation)


def _active(when: str, taken: TakeOff) -> bool:
    return not when or when in taken.choices.values()


#: What works on a part that is cut, by what drives it. Steps that cut it, and those that come to whole things, don't.
_WORKS_ON: Final[Mapping[str, _Find]] = {
    "banded_metres": _banded, "strips": _glued_up, "glue_ups": _glued_up, "turned_pieces": _turned,
    "turned_metres": _turned, "folds": _folded, "folds_sent_out": _folded, "metres": _cut_along, "holes": _drilled,
    "fastenings": _joined, "joints": _tenoned, "welded_joints": _joined, "weld_centimetres": _joined,
    "weld_metres": _joined, "ground_centimetres": _joined,
}  # fmt: skip
