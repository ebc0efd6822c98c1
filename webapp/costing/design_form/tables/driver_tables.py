"""What a step of the work or a supply may count of a design, and what it may include."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.designs.drivers import LAYOUT_DRIVERS, WELD_DRIVERS

#: What the names in `of` are, for each driver: sections in which to look. Drivers that aren't here take no `of`.
DRIVER_SECTIONS: Final[Mapping[str, tuple[str, ...]]] = {
    "parts": ("stock", "parts"),
    **dict.fromkeys(LAYOUT_DRIVERS, ("stock", "parts")),
    "banded_metres": ("stock", "parts"), "fastenings": ("joints",), "joints": ("joints",), "hardware": ("hardware",),
    **dict.fromkeys(WELD_DRIVERS, ("joints",)), "surface_square_metres": ("surfaces",),
    "tube_cuts": ("stock", "parts"), "tube_ends": ("stock", "parts"), "full_sheets": ("stock", "parts"),
    "square_metres": ("finish",), "square_metres_by_coat": ("finish",), "square_metres_between_coats": ("finish",),
    "pieces_by_coat": ("finish",), "glue_ups": ("stock", "parts"), "strips": ("stock", "parts"),
    "planed_pieces": ("stock", "parts"), "turned_pieces": ("stock", "parts"), "turned_metres": ("stock", "parts"),
}  # fmt: skip
#: What a step may include: what else some step would have to count.
INCLUDED: Final = ("parts", "joints", "hardware", "finish", "holes", "openings", "joinery")
#: What a short form's operations count of what is made into parts, beside what they count in every form.
MADE_SECTIONS: Final[Mapping[str, tuple[str, ...]]] = {
    "holes": ("holes",), "fastenings": ("joints", "holes"), "metres": ("openings", "joinery", "outlines"),
    "joints": ("joints", "joinery"), "folds": ("folds",), "folds_sent_out": ("folds",),
}  # fmt: skip
#: Drivers that say nothing without an `of`.
NEEDS_OF: Final = ("fastenings", "joints", "hardware", "tube_cuts", "tube_ends", "surface_square_metres")
