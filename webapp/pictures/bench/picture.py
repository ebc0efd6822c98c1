"""A bench as one sees it, shaded: faces in three tones, then every line in sight; and no larger than a stamp."""

from __future__ import annotations

from typing import Final

from webapp.pictures.bench.hiding import Hiding, find_hiding
from webapp.pictures.bench.lines import Drawn, lines_in_sight
from webapp.pictures.bench.looking import ISOMETRIC, Seen, look_at
from webapp.pictures.bench.page import (
    FINE_PENS,
    PENS,
    Frame,
    PartSeen,
    Pens,
    area_of,
    drawing,
    drawn_fills,
    drawn_lines,
    drawn_parts,
    frame_of,
    in_tenths,
)
from webapp.pictures.bench.painting import area, paint
from webapp.pictures.bench.pieces import heap_of
from webapp.pictures.bench.room import Sight
from webapp.pictures.bench.thing import Thing
from webapp.pictures.marks import Area

SIZE: Final = 13.0
#: What stays free about a drawing, so that no stroke is cut off at its edge.
ROOM: Final = 4.0


def small_picture(thing: Thing, words: str, wide: float, tall: float) -> str:
    """The bench as one sees it, within `wide` by `tall`, no larger than a stamp; empty where nothing is placed."""
    if not thing.pieces:
        return ""
    seen = look_at(heap_of(thing.pieces), ISOMETRIC["front right"])
    area = area_of(seen, frame_of(seen, 1.0))
    frame = frame_of(seen, min((wide - 2) / area.wide, (tall - 2) / area.tall))
    return drawing("bench-picture", grown(area_of(seen, frame), 1.0), words, picture_body(seen, frame, FINE_PENS))


def picture_body(
    seen: Seen, frame: Frame, pens: Pens = PENS, hiding: Hiding | None = None, sight: Sight | None = None
) -> str:
    """The inside of a picture: faces in three tones, then every line in sight."""
    hiding = hiding or find_hiding(seen)
    sight = sight or Sight(seen, hiding)
    drawn = lines_in_sight(seen, hiding)
    with_lines = {piece for lines in (drawn.outlines, drawn.edges) for piece in lines.piece.tolist()}
    # A face without an edge in sight may still be seen through a gap.
    faces = [
        [
            fill for fill in layer
            if (fill.piece in with_lines or sight.rings(fill.piece))
            and sum(map(area, fill.rings)) * frame.scale**2 >= pens.least
        ]
        for layer in paint(seen, hiding)
    ]  # fmt: skip
    return in_tenths(drawn_fills(faces, frame) + line_body(drawn, frame, pens))


def line_body(drawn: Drawn, frame: Frame, pens: Pens = PENS) -> str:
    """The lines of a view, the thin ones first."""
    return (
        drawn_lines(drawn.strokes, frame, pens.stroke, name="drawn-grain", near=pens.near)
        + drawn_lines(drawn.edges, frame, pens.edge, near=pens.near)
        + drawn_lines(drawn.outlines, frame, pens.outline, near=pens.near)
    )


def parts_in(sight: Sight, seen: Seen, frame: Frame, thing: Thing, called: str) -> str:
    """What a view shows of each kind of part, to be pointed at; '' where the drawing leads nowhere (`called` is '')."""
    if not called:
        return ""
    found = [
        PartSeen(
            thing.numbers[kind], _words(thing, kind, len(pieces)),
            tuple(ring for piece in pieces for ring in sight.rings(piece)), f"part-{thing.numbers[kind]}",
        )
        for kind, pieces in seen.heap.by_part.items() if kind in thing.numbers
    ]  # fmt: skip
    return in_tenths(drawn_parts(sorted(found, key=lambda part: part.number), frame, called))


def _words(thing: Thing, kind: str, pieces: int) -> str:
    called = thing.words.get(kind, "")
    return called if pieces == 1 else f"{called}, {pieces} pieces"


def grown(area: Area, by: float) -> Area:
    """A rectangle with so much more on each side."""
    return Area(area.left - by, area.top - by, area.right + by, area.bottom + by)
