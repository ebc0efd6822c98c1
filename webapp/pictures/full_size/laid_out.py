"""The flats of parts in the small, laid out side by side to one scale, so that each is known by its outline."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from webapp.costing.contours.sides import Flat, Side
from webapp.pictures.full_size.flat import FlatPart
from webapp.pictures.full_size.template_page import path_of
from webapp.pictures.marks import number

#: The largest of the parts has so much room, units of the page.
WIDE: Final = 210.0
TALL: Final = 120.0
#: Free about each, so that no stroke is cut off at its edge.
ROOM: Final = 1.5
#: A field is known by its first holes.
MOST_HOLES: Final = 400
#: Looks: faces, what is cut through them, what is only let in, and the grain; strokes keep their width at any scale.
FACE: Final = 'class="drawn-line drawn-lit" fill="#FFFFFF" stroke="#2B2D30" stroke-width="1.3"'
THROUGH: Final = 'class="drawn-line drawn-ground" fill="#FBFAF6" stroke="#2B2D30" stroke-width="1"'
LET_IN: Final = 'class="drawn-hatch" fill="none" stroke="#8A8A86" stroke-width="0.8"'


def laid_out(flats: Sequence[FlatPart]) -> tuple[str, ...]:
    """A picture of each, all to one scale; they say nothing themselves and stand beside their words."""
    scale = min((min(WIDE / one.length, TALL / one.width) for one in flats), default=1.0)
    return tuple(_drawn(one, scale) for one in flats)


def _drawn(flat: FlatPart, scale: float) -> str:
    room = ROOM / scale

    def at(place: Flat) -> Flat:
        return place[0], flat.width - place[1]

    def path(sides: Sequence[Side], look: str, closed: str = "Z") -> str:
        return f'<path d="{path_of(sides, at)}{closed}" {look} vector-effect="non-scaling-stroke"/>'

    on_face = [cut for cut in flat.cuts if cut.side in ("face", "back")]
    holes = "".join(
        f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(hole.diameter / 2)}"'
        f' {LET_IN if hole.depth else THROUGH} vector-effect="non-scaling-stroke"/>'
        for hole in flat.on_face[:MOST_HOLES] for x, y in (at(hole.at),)
    )  # fmt: skip
    body = [
        path(flat.outline, FACE), *(path((side,), LET_IN, "") for side in (*flat.bevels, *flat.folds, *flat.grain)),
        *(path(cut.contour, LET_IN if cut.depth else THROUGH) for cut in on_face), holes,
    ]  # fmt: skip
    wide, tall = flat.length + 2 * room, flat.width + 2 * room
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{number(-room)} {number(-room)} {number(wide)}'
        f' {number(tall)}" width="{number(wide * scale)}" height="{number(tall * scale)}">{"".join(body)}</svg>'
    )
