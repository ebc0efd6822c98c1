"""The stages of the work, as somebody remembers how long they took: each step of the program belongs to one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the work: its name, words, and the steps in it."""

    name: str
    label: str
    steps: tuple[str, ...]


STAGES: Final[tuple[Stage, ...]] = (
    Stage("office", "Drawing, ordering and fetching", ("draw", "fetch_order", "unload")),
    Stage(
        "sheets", "Cutting sheets",
        ("part_sheets", "hold_sheets", "saw_to_size", "set_fence", "saw_sheet_parts", "program_router", "load_router",
         "rout_sheets", "change_cutters", "run_router"),
    ),
    Stage("solid", "Sawing and planing solid wood", ("saw_lengths", "plane_parts", "turn_parts", "glue_up_panels")),
    Stage("edges", "Edges and housings", ("band_edges_on", "cut_outlines", "rout_edges", "cut_housings", "make_jig")),
    Stage(
        "joints", "Joints and holes",
        ("drill_holes", "drill_field", "bore_top_holes", "slot_biscuits", "bore_dowels", "slot_loose_tenons",
         "cut_mortise_tenon"),
    ),
    Stage("assembly", "Assembly", ("clamp_joints", "drive_screws", "drive_bolts")),
    Stage(
        "fitting", "Drawers, doors and fittings",
        ("build_drawers", "fit_drawers", "hang_hinges", "fit_handles", "fit_hardware"),
    ),
    Stage(
        "metal", "Metalwork",
        ("saw_tube", "fold_sheets", "deburr", "drill_steel", "degrease", "fit_and_tack", "weld_joints", "grind_welds",
         "send_out"),
    ),
    Stage("finish", "Sanding and finish", ("sand_raw", "sand_between", "spray", "brush")),
    Stage("packing", "Packing, loading and the trip", ("wrap_up", "load_up", "travel", "install")),
)  # fmt: skip
#: The shop's own steps, which nobody has put into a stage.
FURTHER: Final = Stage("further", "Further steps", ())
ALL_ALIKE: Final = Stage("all", "All steps alike", ())

STAGE_OF: Final[Mapping[str, Stage]] = {step: stage for stage in STAGES for step in stage.steps}
