"""A top of two skins on a grid, for tests of what is made into it: only parts, all square, worked out by hand.

The upper skin is 1760 x 860 x 11.8 and begins at 0, 0. Under it stand long webs of 17.8 mm at 210.55, 421.1 and 631.65
from the front, as those of the starter with the hollow core do at its usual sizes, and nothing across.
"""

from __future__ import annotations

from typing import Final

TOP: Final = """
form: 2
design: holed
name: Holed top
says: A skin on webs, between ribs.
sizes:
  length: Length; 1760 mm; least 900 mm; most 2400 mm
stock:
  skin: Skins; sheet birch_plywood_12; needs wood_panel
  web: Webs; sheet birch_plywood_18; needs wood_panel
  leg_stock: Legs; length steel_tube_50; needs steel_tube
  screw: Screws; fastener screw_4_35; needs screw
  glue: Glue; liquid wood_glue; needs wood_glue
  dog: Pegs; fastener dowel_8_40; needs dowel
parts:
  upper: Skin; of skin; long length along x; wide 860 mm along y; z 80 mm
  web: Long web; of web; long length along x; wide 80 mm along z; y 210.55 mm and 421.1 mm and 631.65 mm
holes:
  field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart each way
scope: A top {length} long.
"""


def top(line: str, *further: str) -> str:
    """The top with another line for its field, and lines of the section after it."""
    before = "  field: Field; 20 mm holes through upper; 16 by 7; 100 mm apart each way\n"
    assert before in TOP
    return TOP.replace(before, "".join(f"  {each}\n" for each in (line, *further)))
