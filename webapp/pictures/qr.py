"""An address or a short text as a square code that a telephone's camera reads, drawn as SVG or as points."""

from __future__ import annotations

from html import escape
from typing import Final

import segno

#: The free edge that the code needs around it, in modules (ISO/IEC 18004, 2015).
EDGE: Final = 4


#: So many points wide is a module of a code that is a picture of points.
POINTS: Final = 8


def qr_picture(text: str, words: str) -> str:
    """The code of a text as a picture of points: papers with hundreds of codes are printed with it in a tenth of the
    time."""
    code = segno.make(text, error="m", micro=False)
    return f'<img class="qr" alt="{escape(words)}" src="{code.png_data_uri(scale=POINTS, border=EDGE)}">'


def qr_code(address: str, words: str, size: int = 132) -> str:
    """The code of an address; dark on white in the dark too, or no camera reads it."""
    rows = [list(row) for row in segno.make(address, error="m", micro=False).matrix]
    wide = len(rows) + 2 * EDGE
    dark = "".join(
        f"M{x + EDGE} {y + EDGE}h1v1h-1z" for y, row in enumerate(rows) for x, module in enumerate(row) if module
    )
    return (
        f'<svg class="qr" width="{size}" height="{size}" viewBox="0 0 {wide} {wide}" role="img" '
        f'aria-label="{escape(words)}" shape-rendering="crispEdges"><title>{escape(words)}</title>'
        f'<rect width="{wide}" height="{wide}" fill="#fff"/><path d="{dark}" fill="#000"/></svg>'
    )
