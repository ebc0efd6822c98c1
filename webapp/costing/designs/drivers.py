"""What drives the steps of the work and what is used up: counted from the take-off, or from what is bought."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: What an operation may be driven by; each is counted from the take-off or from the purchase.
DRIVERS: Final[Mapping[str, tuple[str, str]]] = {
    # name: (unit, what is counted)
    "parts": ("part", "parts cut from the named stock roles, or all parts"),
    "sheets_handled": ("sheet x person", "sheets bought, times the people it takes to carry one"),
    "saw_cuts": ("cut", "cuts of the sheet and length plans"),
    "parting_cuts": ("cut", "cuts of sheets while they are full, and of what is left while it is too heavy for one"),
    "parting_helpers": ("cut x person", "those cuts, once for each person it takes beside the one who saws"),
    "stop_cuts": ("cut", "cuts of sheets that one person makes at the fence or a stop"),
    "cut_metres": ("m", "metres of cut of the sheet plans"),
    "tool_changes": ("change", "cutters of the router beside the first, one for each thickness that it cuts"),
    "fence_settings": (
        "setting",
        "settings of the fence, one for equal widths of all sheets of a thickness, and of the stop for length plans",
    ),
    "splices": ("joint", "joints end to end of parts that are longer than the lengths on offer"),
    "banded_metres": ("m", "metres of banded edge, finished lengths"),
    "fastenings": ("piece", "fastenings of the named joints, without spares"),
    "joints": ("joint", "glue lines of the named joints"),
    "welded_joints": ("joint", "welded joints of those named"),
    "weld_centimetres": ("cm", "length of weld in the named joints"),
    "weld_metres": ("m", "length of weld in the named joints"),
    "ground_centimetres": ("cm", "length of the welds that are ground flush, of the named joints"),
    "hardware": ("piece", "pieces of the named hardware"),
    "holes": ("hole", "holes that the operation counts itself, or those of the named rows"),
    "folds": ("fold", "folds of the named rows that the shop makes by a test strip of its own"),
    "folds_sent_out": ("fold", "folds of the named rows whose sheet the shop has no test strip of: made by others"),
    "turned_pieces": ("piece", "pieces that are turned, of the named parts or stock roles"),
    "turned_metres": ("m", "length of what is turned, of the named parts or stock roles"),
    "tube_cuts": ("cut", "cuts through bar and tube: one for each piece of the named parts, two if it is mitred"),
    "tube_ends": ("end", "ends of bar and tube: two for each piece of the named parts"),
    "full_sheets": ("sheet", "blanks of the named parts, in full sheets of the largest size on offer"),
    "surface_square_metres": ("m2", "area of the named surfaces, once"),
    "square_metres": ("m2", "area of the named finishes, once"),
    "square_metres_by_coat": ("m2", "area of the named finishes, times coats"),
    "square_metres_between_coats": ("m2", "area of the named finishes, times coats less one"),
    "pieces_by_coat": ("piece", "finished pieces, times coats"),
    "glue_ups": ("panel", "parts glued up from strips or layers"),
    "strips": ("strip", "strips in the glued-up parts"),
    "planed_pieces": ("piece", "pieces planed and thicknessed: each strip of a glued-up part, any other part once"),
    "items": ("item", "finished things"),
    "items_by_crew": ("item x person", "finished things, times the people it takes to lift one"),
    "people": ("person", "people on the trip, for travel and site work"),
    "count": ("piece", "what the operation counts itself"),
    "metres": ("m", "metres that the operation counts itself, or those cut of named openings, outlines and joinery"),
}


#: The drivers that are counted from what is bought and how it is cut.
LAYOUT_DRIVERS: Final = (
    "sheets_handled", "saw_cuts", "parting_cuts", "parting_helpers", "stop_cuts", "cut_metres", "tool_changes",
    "fence_settings", "splices",
)  # fmt: skip
#: The drivers that count welded joints, and those that count the joints that are fastened or glued.
WELD_DRIVERS: Final = ("welded_joints", "weld_centimetres", "weld_metres", "ground_centimetres")
JOINT_DRIVERS: Final = ("fastenings", "joints")
