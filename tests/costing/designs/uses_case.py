"""A cabinet with three drawers written twice: flat, and with the drawer box that the program has used three times."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import cache
from typing import Any

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.attach import attach
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text
from webapp.seed import load_catalogue, load_designs_for_others

_HEAD = """\
form: 2
design: three_drawers
name: Three drawers
says: A carcass with three drawers.
sizes:
  width: Width; 700 mm; least 400 mm; most 1000 mm
stock:
  board: Carcass; sheet birch_plywood_18; needs wood_panel
  box_board: Drawers; sheet birch_plywood_15; needs wood_panel, thickness 11 mm to 19 mm
  thin: Drawer bottoms; sheet birch_plywood_6; needs wood_panel, thickness 2.5 mm to 10 mm
  long_screw: Carcass screws; fastener screw_4_50; needs countersunk, diameter 3 mm to 5 mm, length 40 mm to 70 mm
{stock}  glue: Glue; liquid wood_glue; needs wood_glue
  lacquer: Finish; liquid lacquer_water; needs wood_finish
  coarse_disc: Discs for raw wood; area disc_150; needs sanding_disc, grit 60 to 180; used by square_metres
  fine_disc: Discs between coats; area disc_320; needs sanding_disc, grit 220 to 800; used by square_metres_between_coats
  wrapping: Wrapping; piece wrapping_set; needs wrapping; used by items
values:
  inner_width: width - 2 * board.thickness
  slide_room: 12.7 mm
  box_width: inner_width - 2 * slide_room
  box_height: 150 mm
  box_depth: 450 mm
  pitch: 180 mm
"""  # noqa: E501 - an entry of the form is one line
_CARCASS = """\
parts:
  side: Side; 2 of board; long 700 mm along z; wide 500 mm along y; x left and right; grain length
  shelf: Bottom and top; 2 of board; long inner_width along x; wide 500 mm along y; x board.thickness; z bottom and top; grain length
{parts}closes: x width; y 500 mm; z 700 mm
joints:
  carcass: side into shelf; with long_screw; every 100 mm; ends 40 mm; glue
{joints}{hardware}finish:
  outside: Outside; 3 coats of lacquer; sprayed; on side one face
{finish}scope: A carcass {width} wide with three drawers.
"""  # noqa: E501 - an entry of the form is one line

FLAT_STOCK = """\
  box_screw: Corner screws; fastener screw_4_40; needs countersunk, diameter 3 mm to 4.5 mm, length 30 mm to 60 mm
  thin_screw: Bottom screws; fastener screw_35_16; needs countersunk, diameter 3 mm to 4 mm, length at most 40 mm
  slide_screw: Slide screws; fastener screw_35_12; needs pan_head, diameter 3 mm to 4 mm, length 10 mm to 16 mm
  slide_stock: Slides; piece drawer_slide_450; customer Drawer slides; needs slide, rated_load at least 15 kg
"""
FLAT_PARTS = """\
  drawer_side: Drawer side; of box_board; long box_depth along y; wide box_height - thin.thickness along z; x board.thickness + slide_room and board.thickness + slide_room + box_width - box_board.thickness; z 3 from 60 mm + thin.thickness every pitch; grain length
  drawer_end: Drawer end; of box_board; long box_width - 2 * box_board.thickness along x; wide box_height - thin.thickness along z; x board.thickness + slide_room + box_board.thickness; y 0 mm and box_depth - box_board.thickness; z 3 from 60 mm + thin.thickness every pitch; grain length
  drawer_bottom: Drawer bottom; of thin; long box_width along x; wide box_depth along y; x board.thickness + slide_room; z 3 from 60 mm every pitch; grain free
"""  # noqa: E501
FLAT_JOINTS = """\
  drawer_corners: drawer_side into drawer_end; with box_screw; every 50 mm | 2 in; ends 15 mm | 5/8 in; glue
  drawer_bottom_on_sides: drawer_bottom into drawer_side; with thin_screw; every 100 mm | 4 in; ends 25 mm | 1 in
  drawer_bottom_on_ends: drawer_bottom into drawer_end; with thin_screw; every 100 mm | 4 in; ends 25 mm | 1 in
"""
FLAT_HARDWARE = """\
hardware:
  drawer_slide: Slides; 3 of slide_stock
  drawer_slide_screws: Slide screws; 36 of slide_screw
"""
FLAT_FINISH = """\
  drawer_coats: Drawers; 2 coats of lacquer; sprayed; on drawer_side faces, drawer_end faces, drawer_bottom one face
"""
USES = """\
uses:
  drawer: drawer_box; width box_width, depth box_depth, height box_height; material board box_board, thin thin, lacquer lacquer; x board.thickness + slide_room; z 3 from 60 mm every pitch
"""  # noqa: E501


#: A foot that leans out to the left, with a band on its left edge: mirrored, it leans and is banded to the right.
FOOT: dict[str, Any] = {
    "form": "2", "design": "foot", "name": "Foot", "says": "A foot of two pieces, one lower than the other.",
    "sizes": {"high": {"says": "Height", "usual": "100 mm", "least": "50 mm", "most": "300 mm"}},
    "stock": {
        "board": {"says": "Board", "kind": "sheet", "usual": "birch_plywood_18"},
        "tape": {"says": "Band", "kind": "length", "usual": "edge_band_1"},
        "screw": {"says": "Screws", "kind": "fastener", "usual": "screw_4_50"},
    },
    "choices": {"toe": {"says": "Toe", "answers": ["with_toe", "no_toe"], "usual": "with_toe"}},
    "values": {"wide": {"with_toe": "60 mm", "no_toe": "0 mm"}},
    "parts": {
        "post": {
            "says": "Post", "stock": "board", "count": "1", "length": "high", "width": "80 mm",
            "runs": {"length": "z", "width": "y"}, "at": {"x": "wide"},
        },
        "toe": {
            "says": "Toe", "stock": "board", "count": "1", "length": "wide", "width": "80 mm",
            "runs": {"length": "x", "width": "y"}, "at": {"x": "left of post", "z": "20 mm"},
            "band": {"with": "tape", "edges": ["left"]}, "when": "with_toe",
        },
    },
    "closes": {"x": "wide + board.thickness", "y": "80 mm", "z": "high"},
    "joints": {
        "toe_on": {
            "says": "Toe into the post", "from": "post", "into": "toe", "with": "screw", "spacing": "40 mm",
            "end": "20 mm", "when": "with_toe",
        },
    },
    "operations": {"drill_holes": {"driver": "holes", "count": "2"}},
    "scope": "A foot.",
}  # fmt: skip


def host(uses: dict[str, Any], **further: Any) -> dict[str, Any]:
    """A plank 1 m long with feet under it."""
    return {
        "form": "2", "design": "plank", "name": "Plank", "says": "A plank on feet.",
        "sizes": {"length": {"says": "Length", "usual": "1000 mm", "least": "500 mm", "most": "2000 mm"}},
        "stock": {"board": {"says": "Plank", "kind": "sheet", "usual": "birch_plywood_18"}},
        "parts": {
            "plank": {
                "says": "Plank", "stock": "board", "count": "1", "length": "length", "width": "200 mm",
                "runs": {"length": "x", "width": "y"}, "at": {"z": "on foot"},
            },
        },
        "uses": uses, "inside": {"foot": FOOT}, "scope": "A plank.", **further,
    }  # fmt: skip


def document_of(text: str) -> dict[str, Any]:
    """The document of a text, with what the program has put into it."""
    document, unread = read_text(text)
    assert document is not None, unread
    attached, missing = attach(document, {str(one["design"]): one for one in load_designs_for_others()}.get)
    assert missing == ()
    return attached


def read(document: Mapping[str, Any]) -> Design:
    design, problems = read_design(document)
    assert design is not None, problems
    return design


def cabinet(uses: str, **parts: str) -> str:
    """The text of the carcass with what its drawers are said by."""
    held = {name: parts.get(name, "") for name in ("stock", "parts", "joints", "hardware", "finish")}
    text = _HEAD.replace("{stock}", held["stock"]) + uses + _CARCASS
    for name, each in held.items():
        text = text.replace(f"{{{name}}}", each)
    return text


FLAT = cabinet("", stock=FLAT_STOCK, parts=FLAT_PARTS, joints=FLAT_JOINTS, hardware=FLAT_HARDWARE, finish=FLAT_FINISH)
USED = cabinet(USES)


@cache
def materials() -> Catalogue:
    return load_catalogue(date(2026, 11, 2))


def take_off(design: Design, **sizes: int) -> TakeOff:
    """What one comes to, at its usual sizes but for these, in mm."""
    wanted = {
        name: Fraction(sizes[name] * 10**6) if name in sizes else size.usual for name, size in design.sizes.items()
    }
    step = STEP_NM["metric"]
    return expand(design, wanted, {}, {}, materials(), default_rates(), Working(), "item/1", step, "metric")
