"""One kind of part drawn by itself, to a scale of the drawing board: outline, thickness, grain, bands, and what is made
into it with its coordinates in a short table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import STEP_NM, System, format_length, round_to_step
from webapp.costing.space.bodies import pairs_round
from webapp.costing.space.saw_marks import SQUARE, Outline, SawMarks
from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket
from webapp.pictures.bench.dimensions import Measure, around, both, stack
from webapp.pictures.bench.page import drawing
from webapp.pictures.bench.painting import Flat
from webapp.pictures.bench.picture import ROOM, SIZE, grown
from webapp.pictures.drawings.machined import lettered, machining, stations_said
from webapp.pictures.marks import Area, arrow, line, number, text, text_width
from webapp.pictures.piece_mark import Edge

Grained = Literal["length", "width", ""]

#: Scales of a drawing board: the part is drawn so many times smaller.
SCALES: Final = (1, 2, 5, 10, 20, 25, 50, 100, 200)
#: A part may be drawn so wide and so tall, and one that something is made into larger, so that it can be read.
ROOM_FOR: Final = (236.0, 150.0)
ROOM_IF_MADE: Final = (440.0, 280.0)
#: Units of a page to a mm on paper: a unit is a ninety-sixth of an inch.
PER_MM: Final = 96 / 25.4
#: Between the face and the edge beneath it, and how thick the edge is drawn at least.
GAP: Final = 12.0
THINNEST: Final = 2.4
HEAVY: Final = 3.0
#: Angles are written no smaller than this; where there is less room they stand in the notes alone.
SMALLEST: Final = 8.0
#: The broken line of a fold.
FOLD: Final = "9 3 2 3"
NM_PER_MM: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class PartDrawn:
    """A kind of part to be drawn, nm: how it lies with its length across.

    `notes` are lines beneath its name; `slants` is how far its mitred ends run back from its longer edge, which lies
    below; `banded` are the edges with band, `grain` the way of the grain. `made` and `rows` are what is made into it.
    One whose ends are cut to any angle is `sawn` by these marks.
    Of what is folded this is the flat, with the middle of each of its `folds`: so far in from an edge. What is cut to
    an `outline` has its places, from the left end and the lower edge, and its `sides` by lines and arcs. What is made
    into its edges is measured up from its back, or from its face where that lies at the `lower` end of its thickness.
    """

    number: int
    says: str
    notes: tuple[str, ...]
    length: int
    width: int
    thickness: int
    slants: tuple[int, int] = (0, 0)
    banded: tuple[Edge, ...] = ()
    grain: Grained = ""
    made: tuple[Hole | Pocket, ...] = ()
    rows: tuple[FastenedRow, ...] = ()
    sawn: SawMarks | None = None
    folds: tuple[tuple[Edge, int], ...] = ()
    outline: tuple[tuple[int, int], ...] = ()
    sides: tuple[tuple[tuple[int, int], float], ...] = ()
    lower: bool = False


def draw_part(part: PartDrawn, system: System) -> str:
    """The part as SVG: its face with its sizes, beneath it its edge, above it its number and name, its holes listed."""
    scale, ratio = _scale(part)
    face = Area(0.0, 0.0, part.length * scale, part.width * scale)
    edge = Area(0.0, face.bottom + GAP, face.right, face.bottom + GAP + max(part.thickness * scale, THINNEST))
    body = [_outline(part, face, scale), _rectangle(edge)]
    if part.sawn is not None:
        body = [
            *_seen(part.sawn.face, face, scale), *_seen(part.sawn.edge, edge, scale),
            *_angles(part.sawn, face, edge, scale),
        ]  # fmt: skip
    body += [*_bands(part, face, scale), *_grain(part, face), *_folds(part, face, scale)]
    body += machining(part.made, part.rows, face, scale)
    area = both(face, edge)
    for measure in _measures(part, face, edge, scale, system):
        for drawn in stack([measure]):
            body.append(drawn.svg)
            area = both(area, drawn.area)
    title, area = _title(part, area, ratio)
    table, area = _table(part, area, system)
    words = f"{part.number} {part.says}, drawn to scale"
    return drawing("part-detail", grown(area, ROOM), words, "".join([*title, *body, *table]))


def _scale(part: PartDrawn) -> tuple[float, int]:
    """Units to the nm, and the scale of the drawing board: the largest in which the part has room."""
    wide, tall = ROOM_IF_MADE if part.made or part.rows or part.sawn else ROOM_FOR
    for ratio in SCALES:
        scale = PER_MM / NM_PER_MM / ratio
        if part.length * scale <= wide and part.width * scale <= tall:
            return scale, ratio
    return PER_MM / NM_PER_MM / SCALES[-1], SCALES[-1]


def _outline(part: PartDrawn, face: Area, scale: float) -> str:
    if part.outline:
        return _closed([(face.left + along * scale, face.bottom - up * scale) for along, up in part.outline])
    start, end = (slant * scale for slant in part.slants)
    corners: list[Flat] = [
        (face.left, face.bottom), (face.right, face.bottom), (face.right - end, face.top), (face.left + start, face.top)
    ]  # fmt: skip
    return _closed(corners)


def _seen(outline: Outline, area: Area, scale: float) -> list[str]:
    """A side of a piece with cut ends: all that shows of it, and the lines in which the cuts end on that side."""

    def at(corner: tuple[int, int]) -> Flat:
        return area.left + corner[0] * scale, area.bottom - corner[1] * scale

    whole = {frozenset(pair) for pair in pairs_round(outline.whole)}
    within = [[at(one), at(other)] for one, other in pairs_round(outline.side) if frozenset((one, other)) not in whole]
    return [_closed([at(corner) for corner in outline.whole]), *(line(ends, "drawn-line", 0.8) for ends in within)]


def _angles(sawn: SawMarks, face: Area, edge: Area, scale: float) -> list[str]:
    """How far off square each end is cut, within the side on which that is seen, where there is room."""
    if len(sawn.cuts) != 2:
        return []
    start, far = sawn.cuts
    marks = []
    for area, outline, at_start, at_far in (
        (face, sawn.face, start.face_degrees, far.face_degrees), (edge, sawn.edge, start.edge_degrees, far.edge_degrees)
    ):  # fmt: skip
        reached = [area.left + along * scale for along, _ in (*outline.whole, *outline.side)]
        left = max(x for x in reached if x <= area.middle[0])
        right = min(x for x in reached if x >= area.middle[0])
        size = min(SIZE - 1.5, area.tall - 2)
        # Clear of the slant: from where the cut has run back furthest.
        for anchor, x, angle in (("start", left + 5, at_start), ("end", right - 5, at_far)):
            if abs(angle) < SQUARE or size < SMALLEST:
                continue
            marks.append(text(x, area.middle[1] + size * 0.35, f"{pointed(f'{abs(angle):.1f}')}°", size, anchor))
    return marks


def _closed(corners: Sequence[Flat]) -> str:
    path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in corners) + "Z"
    return f'<path class="drawn-line drawn-ground" d="{path}" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1.4"/>'


def _rectangle(area: Area) -> str:
    return _closed([
        (area.left, area.top), (area.right, area.top), (area.right, area.bottom), (area.left, area.bottom)
    ])  # fmt: skip


def _bands(part: PartDrawn, face: Area, scale: float) -> list[str]:
    """A heavy line just inside each edge that gets edge band."""
    start, end = (slant * scale for slant in part.slants)
    left, top, right, bottom = face.left + 3, face.top + 3, face.right - 3, face.bottom - 3
    lines: dict[Edge, list[Flat]] = {
        "start": [(left, bottom), (left + start, top)], "end": [(right, bottom), (right - end, top)],
        "low": [(left, bottom), (right, bottom)], "high": [(left + start, top), (right - end, top)],
    }  # fmt: skip
    if right - left < 4 or bottom - top < 2:
        return []
    return [line(lines[edge], "drawn-line drawn-band", HEAVY) for edge in part.banded]


def _grain(part: PartDrawn, face: Area) -> list[str]:
    """The grain as the cut list marks it, in the middle of the face."""
    x, y = face.middle
    reach = min((face.wide if part.grain == "length" else face.tall) / 2 - 9, 24.0)
    if not part.grain or reach < 6 or min(face.wide, face.tall) < 9:
        return []
    dx, dy = (1, 0) if part.grain == "length" else (0, 1)
    ends: list[Flat] = [(x - dx * reach, y - dy * reach), (x + dx * reach, y + dy * reach)]
    return [
        line(ends, "drawn-line", 0.8),
        arrow(*ends[0], (-dx, -dy), "drawn-arrow"), arrow(*ends[1], (dx, dy), "drawn-arrow"),
    ]  # fmt: skip


def _folds(part: PartDrawn, face: Area, scale: float) -> list[str]:
    """A broken line along the middle of each fold."""
    found = []
    for edge, nm in part.folds:
        off = nm * scale
        ends: dict[Edge, list[Flat]] = {
            "start": [(face.left + off, face.top), (face.left + off, face.bottom)],
            "end": [(face.right - off, face.top), (face.right - off, face.bottom)],
            "low": [(face.left, face.bottom - off), (face.right, face.bottom - off)],
            "high": [(face.left, face.top + off), (face.right, face.top + off)],
        }
        found.append(line(ends[edge], "drawn-line drawn-fold", 0.8, dashes=FOLD))
    return found


def _measures(part: PartDrawn, face: Area, edge: Area, scale: float, system: System) -> list[Measure]:
    def plain(nm: int) -> str:
        return format_length(nm, system, with_unit=False)

    start, end = (slant * scale for slant in part.slants)
    found = [
        Measure((edge.left, edge.bottom), (edge.right, edge.bottom), (0, 1), plain(part.length)),
        Measure((face.left, face.top), (face.left, face.bottom), (-1, 0), plain(part.width)),
        Measure((edge.right, edge.top), (edge.right, edge.bottom), (1, 0), plain(part.thickness)),
    ]
    if part.sawn is not None and part.sawn.short_length:
        # What is left whole between the cuts, from short point to short point.
        short = round_to_step(part.sawn.short_length, STEP_NM[system])
        left = face.left + float(part.sawn.short_begins) * scale
        right = left + float(part.sawn.short_length) * scale
        found.append(Measure((left, face.top), (right, face.top), (0, -1), plain(short)))
    if any(part.slants):
        # The shorter edge too: what is set at the stop depends on which one is measured.
        short = part.length - sum(part.slants)
        found.append(Measure((face.left + start, face.top), (face.right - end, face.top), (0, -1), plain(short)))
    return found


def _title(part: PartDrawn, area: Area, ratio: int) -> tuple[list[str], Area]:
    """The number in a ring, the name beside it, the notes and the scale beneath."""
    called = str(part.number)
    across = max(24.0, text_width(called, SIZE) + 8)
    notes = [*part.notes, f"drawn 1 : {ratio}"]
    top = area.top - 14 - 15 * len(notes) - 24
    left = area.left
    body = [
        f'<rect class="drawn-line drawn-ground" x="{number(left)}" y="{number(top)}" width="{number(across)}"'
        f' height="24" rx="12" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1"/>',
        text(left + across / 2, top + 16.5, called, SIZE, "middle", strong=True),
        text(left + across + 7, top + 17, part.says, SIZE + 1, strong=True),
    ]
    wide = across + 7 + text_width(part.says, SIZE + 1)
    for place, note in enumerate(notes):
        body.append(text(left, top + 40 + 15 * place, note, SIZE - 0.5, quiet=True))
        wide = max(wide, text_width(note, SIZE - 0.5))
    return body, both(area, around([(left, top - 1), (left + wide, top + 24)]))


def _table(part: PartDrawn, area: Area, system: System) -> tuple[list[str], Area]:
    """What is made into the part, by the letters that stand beside it: where, how large, how deep, and what goes in."""
    rows = lettered(part.made, part.rows, system)
    if not rows:
        return [], area
    head = ("", "What", "At", "Deep", "For")
    columns = [max(text_width(row[place], SIZE - 1) for row in (head, *rows)) + 10 for place in range(len(head))]
    top, body = area.bottom + 20, []
    for line_at, row in enumerate((head, *rows)):
        x = area.left
        for place, said in enumerate(row):
            body.append(text(x, top + 16 * line_at, said, SIZE - 1, quiet=line_at == 0, strong=place == 0 < line_at))
            x += columns[place]
    foot, wide = top + 16 * len(rows), sum(columns)
    for said in stations_said(part.made, system):
        foot += 16
        body.append(text(area.left, foot, said, SIZE - 1))
        wide = max(wide, text_width(said, SIZE - 1))
    note = "Measured from the left end and the lower edge of the side that it is on."
    body.append(text(area.left, foot + 16, note, SIZE - 1.5, quiet=True))
    wide = max(wide, text_width(note, SIZE - 1.5))
    return body, both(area, Area(area.left, top - SIZE, area.left + wide, foot + 20))


