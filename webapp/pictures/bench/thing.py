"""What is drawn of one finished thing: its pieces, what each kind of part is called, and what is not drawn."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from random import Random
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.measures.written import and_words
from webapp.costing.takeoff.features import Marked
from webapp.costing.takeoff.measured import drawn_boxes
from webapp.costing.takeoff.model import Box, PartTaken, TakeOff
from webapp.pictures.bench.made_marks import strokes_by_piece, strokes_of, strokes_on_leg
from webapp.pictures.bench.panels import cells_of, cells_together, rings_of, seen_through
from webapp.pictures.bench.pieces import NM_PER_MM, Piece, Point, Stroke, piece_of, round_piece

#: Words of what a bench stands on.
_STANDS_ON: Final = re.compile(r"\b(feet|foot|castors?|casters?|wheels?|pads?|glides?|rollers?)\b", re.IGNORECASE)
#: Strokes of grain: a face at least so large has them, one for so much of it, mm and mm2.
_LEAST_WIDE: Final = 90.0
_STROKE_EVERY: Final = 45_000.0
_MOST_STROKES: Final = 26

_Marks = Mapping[tuple[str, int], Sequence[Marked]]

#: What comes in at one go, by place among the pieces of the thing, and in which direction. Several were put together by
#: what comes before, apart from the rest.
ComingIn = tuple[tuple[int, ...], Point]


@dataclass(frozen=True, slots=True)
class Thing:
    """A finished thing to be drawn. `numbers` are by kind of part, `words` by that and by drawn hardware.

    `without` names the hardware that is fitted and not drawn, `stands_on` that of it which the thing stands on, and
    `bought` what is drawn as a box. `together` is the order in which the pieces go together, as the check for it found
    it; empty where there is none.
    """

    pieces: tuple[Piece, ...]
    numbers: Mapping[str, int]
    words: Mapping[str, str]
    without: tuple[str, ...] = ()
    stands_on: tuple[str, ...] = ()
    bought: tuple[str, ...] = ()
    together: tuple[ComingIn, ...] = ()

    @property
    def drawn_without(self) -> str:
        """What is fitted and not drawn, or drawn as a box, in sentences; '' where there is no such."""
        said = []
        if self.bought:
            verb = "is drawn as the room that it takes" if len(self.bought) == 1 else "are drawn as the room they take"
            said.append(f"{and_words(self.bought).capitalize()} {verb}.")
        if self.without and self.pieces:
            said.append(f"Drawn without {and_words(self.without)}.")
        return " ".join(said)

    @property
    def low(self) -> Point:
        """The lower ends of all its pieces along x, y and z, mm."""
        return _ends(self.pieces, min)

    @property
    def high(self) -> Point:
        """The upper ends of all its pieces, mm."""
        return _ends(self.pieces, max)


def thing_of(taken: TakeOff, numbers: Mapping[str, int] | None = None) -> Thing:
    """What a take-off placed; its kinds of part are numbered in the design's order unless `numbers` are given."""
    numbers = numbers or {part.name: place for place, part in enumerate(taken.parts, 1)}
    pieces: list[Piece] = []
    marks: _Marks = strokes_by_piece(taken.marked)
    open_marks: dict[tuple[str, int], list[Marked]] = {}
    for mark in taken.marked:
        if mark.open and not mark.end:
            open_marks.setdefault((mark.part, mark.number), []).append(mark)
    for part in taken.parts:
        axis = "" if part.kind is not Kind.BOARD else _grain_axis(taken, part.name, part.grain)
        if part.outline and not part.folds:
            pieces += _outlined(part, marks, open_marks)
            continue
        for box in part.boxes:
            if part.round is not None and not box.corners:
                along = "xyz".index(taken.design.parts[part.name].length_axis)
                pieces.append(round_piece(box, along, int(part.round.diameter.value)))
                continue
            # What stands aslant is drawn bare: its marks would lie in the box around it. Legs of folds know theirs.
            strokes: tuple[Stroke, ...] = strokes_on_leg(box, marks.get((box.part, box.number), ()))
            through: Sequence[Marked] = ()
            if not box.corners and not box.nth:
                through = seen_through(box, open_marks.get((box.part, box.number), ()))
                made = _beside(box, marks.get((box.part, box.number), ()), through)
                strokes = (*(_grain(box, axis) if axis else ()), *strokes, *made)
            if min(box.extent) > 0:
                piece = piece_of(box, strokes)
                rings = [ring for mark in through for ring in rings_of(mark)]
                cells = cells_of(piece, through[0].axis, rings) if through else ()
                pieces.append(replace(piece, cells=cells, curved=bool(part.outline)))
    boxes = [box for box in drawn_boxes(taken.design, (), taken.hardware) if min(box.extent) > 0]
    pieces += map(piece_of, boxes)
    drawn = {box.part for box in boxes}
    fitted = [
        one for one in taken.hardware
        if one.count.value and one.name not in drawn and _role_kind(taken, one.name) is Kind.PIECE
    ]
    without = tuple(dict.fromkeys(_role_words(taken, one.name) for one in fitted))
    return Thing(
        tuple(pieces),
        numbers,
        {one.name: one.says for one in taken.hardware if one.name in drawn}
        | {part.name: f"{numbers[part.name]} {part.says}" for part in taken.parts},
        without,
        tuple(words for words in without if _STANDS_ON.search(words)),
        tuple(dict.fromkeys(_role_words(taken, one.name) for one in taken.hardware if one.name in drawn)),
        tuple(_together(taken, pieces)),
    )


def _outlined(part: PartTaken, marks: _Marks, open_marks: _Marks) -> Iterator[Piece]:
    """The pieces of a part that is cut to an outline: convex ones for each, with what is made into them."""
    for number, boxes in groupby(sorted(part.boxes, key=lambda box: box.number), key=lambda box: box.number):
        own = list(boxes)
        pieces = [replace(piece_of(box), curved=True) for box in own if min(box.extent) > 0]
        on_it = marks.get((part.name, number), ())
        whole = _around(own)
        thin = min(range(3), key=lambda axis: whole.extent[axis])
        if on_it and pieces and _across(own, whole, thin):
            through = seen_through(whole, open_marks.get((part.name, number), ()))
            openings = [ring for mark in through for ring in rings_of(mark)]
            cells = cells_together(pieces, thin, openings, _beside(whole, on_it, through))
            # A convex piece that lies in an opening is gone.
            pieces = [replace(piece, cells=each) for piece, each in zip(pieces, cells, strict=True) if each]
        yield from pieces


def _beside(box: Box, marks: Sequence[Marked], through: Sequence[Marked]) -> tuple[Stroke, ...]:
    """The strokes of the marks on a box but those of what one sees through: its rims are edges."""
    rims = {(mark.axis, mark.low, mark.high) for mark in through}
    return strokes_of(box, [mark for mark in marks if (mark.axis, mark.low, mark.high) not in rims])


def _around(boxes: Sequence[Box]) -> Box:
    """The box about several of one piece."""
    low = [min(box.corner[axis] for box in boxes) for axis in range(3)]
    high = [max(box.corner[axis] + box.extent[axis] for box in boxes) for axis in range(3)]
    x, y, z = (above - below for below, above in zip(low, high, strict=True))
    return Box(boxes[0].part, boxes[0].number, (low[0], low[1], low[2]), (x, y, z))


def _across(boxes: Sequence[Box], whole: Box, axis: int) -> bool:
    """Whether all stand straight between the two faces across an axis: aslant, marks would lie in the box around."""
    levels = (whole.corner[axis], whole.corner[axis] + whole.extent[axis])
    return all(corner[axis] in levels for box in boxes for corner in box.corners)


def _together(taken: TakeOff, pieces: Sequence[Piece]) -> Iterator[ComingIn]:
    places: dict[tuple[str, int], list[int]] = {}
    for place, piece in enumerate(pieces):
        places.setdefault((piece.part, piece.number), []).append(place)
    for step in taken.assembly:
        if drawn := tuple(place for one in dict.fromkeys(step.pieces) for place in places.get(one, ())):
            yield drawn, step.direction


def _role_kind(taken: TakeOff, hardware: str) -> Kind:
    return taken.design.roles[taken.design.hardware[hardware].stock].kind


def _role_words(taken: TakeOff, hardware: str) -> str:
    """The words of a stock role, as they stand in a sentence: drawer slides."""
    words = taken.design.roles[taken.design.hardware[hardware].stock].says.partition(",")[0].strip()
    return words if words[1:2].isupper() else words[:1].lower() + words[1:]


def _grain_axis(taken: TakeOff, part: str, grain: str) -> str:
    placed = taken.design.parts[part]
    return {"length": placed.length_axis, "width": placed.width_axis}.get(grain, "")


def _grain(box: Box, axis: str) -> tuple[tuple[int, Point, Point], ...]:
    """Strokes along the grain on the broad faces of a solid board, the same every time that it is drawn."""
    along = "xyz".index(axis)
    low = [end / NM_PER_MM for end in box.corner]
    extent = [one / NM_PER_MM for one in box.extent]
    thin = min((one for one in range(3) if one != along), key=lambda one: extent[one])
    across = 3 - along - thin
    if extent[across] < _LEAST_WIDE or extent[along] < extent[across] / 2:
        return ()
    chance = Random(f"{box.part} {box.number}")
    strokes: list[tuple[int, Point, Point]] = []
    for _ in range(min(_MOST_STROKES, int(extent[along] * extent[across] / _STROKE_EVERY) + 3)):
        share = chance.uniform(0.06, 0.3)
        start = chance.uniform(0.02, 0.98 - share)
        aside = chance.uniform(0.04, 0.96)
        for end in (0, 1):
            ends = []
            for way in (start, start + share):
                point = [0.0, 0.0, 0.0]
                point[along] = low[along] + way * extent[along]
                point[across] = low[across] + aside * extent[across]
                point[thin] = low[thin] + end * extent[thin]
                ends.append((point[0], point[1], point[2]))
            strokes.append((2 * thin + end, ends[0], ends[1]))
    return tuple(strokes)


def _ends(pieces: Sequence[Piece], pick: Callable[[Sequence[float]], float]) -> Point:
    x, y, z = (pick([corner[axis] for piece in pieces for corner in piece.corners]) for axis in range(3))
    return x, y, z
