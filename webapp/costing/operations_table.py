"""The steps of the work that a shop starts from, with minutes from common practice; every shop sets its own."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.rates import OperationRate, SetUpBy


def _step(
    name: str, label: str, set_up: str, low: str, likely: str, high: str, *, people: int = 1, by: str = "maker",
    machine: str = "", hand: bool = True, on_site: bool = False, set_up_by: SetUpBy = "job", set_up_every: str = "0",
) -> OperationRate:  # fmt: skip
    return OperationRate(
        name, label, Fraction(set_up), Fraction(low), Fraction(likely), Fraction(high), people, by, machine, hand,
        on_site=on_site, set_up_by=set_up_by, set_up_every=Fraction(set_up_every),
    )  # fmt: skip


OPERATIONS: Final[tuple[OperationRate, ...]] = (
    _step("draw", "Draw, plan, list", "30", "0", "0", "0", by="office", set_up_by="design"),
    _step("fetch_order", "Order and fetch materials", "30", "0", "0", "0", by="office"),
    _step("unload", "Unload and rack sheets", "5", "2", "3", "5", by="helper"),
    # A cut takes as long whoever holds the sheet; the saw is set up once, for both classes of cuts.
    _step("part_sheets", "Part full sheets", "0", "1", "1.5", "3", machine="saw", hand=False),
    _step("hold_sheets", "Hold full sheets while they are parted", "0", "1", "1.5", "3", by="helper", hand=False),
    _step("saw_to_size", "Rip and crosscut sheets at the fence", "15", "1", "1.5", "3", machine="saw", hand=False),
    _step("set_fence", "Set the fence or a stop", "0", "0.5", "1", "2", machine="saw", hand=False),
    # By the part, as designs counted before sheets were sawn by the cut.
    _step("saw_sheet_parts", "Break down sheets, by the part", "15", "1", "1.5", "3", machine="saw", hand=False),
    _step("saw_lengths", "Crosscut lengths", "10", "0.5", "0.8", "1.5", machine="saw"),
    _step("plane_parts", "Joint, plane, rip and cut solid parts", "15", "5", "8", "13", machine="planer"),
    _step("glue_up_panels", "Glue up panels, each strip", "10", "3", "5", "8"),
    _step("band_edges_on", "Band edges", "15", "0.6", "1", "1.8", machine="bander", hand=False),
    _step("rout_edges", "Rout or round edges", "10", "0.8", "1.2", "2"),
    _step("cut_housings", "Cut housings, grooves and rebates", "15", "1", "1.5", "3", machine="saw"),
    _step("drill_holes", "Drill holes by hand", "3", "0.4", "0.6", "1"),
    _step("drill_field", "Drill a field of holes with a template", "5", "0.1", "0.2", "0.3"),
    _step("slot_biscuits", "Biscuits, both slots", "5", "0.8", "1.1", "1.8"),
    _step("bore_dowels", "Dowels, both holes", "8", "0.8", "1.2", "2"),
    _step("slot_loose_tenons", "Loose tenons, both mortises", "8", "1", "1.5", "2.5"),
    _step("cut_mortise_tenon", "Mortise and tenon", "25", "12", "18", "30"),
    # So many joints stand in clamps at once; then they are taken off, cleaned and laid out again.
    _step("clamp_joints", "Glue and clamp joints", "15", "4", "6", "10", set_up_every="40"),
    _step("drive_screws", "Pilot, countersink, drive", "3", "0.4", "0.6", "1"),
    _step("drive_bolts", "Bore and bolt", "8", "1.5", "2.5", "5"),
    _step("program_router", "Write the program for the router", "45", "0", "0", "0", set_up_by="design"),
    _step("load_router", "Load and clear the router, each sheet", "0", "4", "6", "10"),
    # 12, 18 and 30 minutes for a full sheet whose parts have some 24 m of outline.
    _step(
        "rout_sheets", "Cut sheets on the router, each metre", "20", "0.5", "0.75", "1.25", machine="router", hand=False
    ),
    _step("change_cutters", "Change the router's cutter", "0", "3", "5", "10", machine="router", hand=False),
    # By the sheet, as designs counted before sheets were routed by the metre.
    _step("run_router", "Cut sheets on the router, by the sheet", "20", "12", "18", "30", machine="router", hand=False),
    _step("make_jig", "Make a jig or template", "60", "0", "0", "0", set_up_by="design"),
    _step("saw_tube", "Saw bar and tube", "10", "1.5", "2.5", "4", machine="saw", hand=False),
    _step("deburr", "Deburr the ends", "0", "0.5", "1", "2"),
    _step("drill_steel", "Drill steel", "8", "1.5", "2.5", "5"),
    _step("degrease", "Degrease steel", "0", "3", "4", "6"),
    _step("fit_and_tack", "Fit and tack joints", "20", "3", "5", "10", machine="welder"),
    _step("weld_joints", "Weld, each centimetre", "0", "0.1", "0.15", "0.3", machine="welder"),
    _step("grind_welds", "Grind welds flush, each centimetre", "0", "0.1", "0.2", "0.4"),
    _step("send_out", "Pack for the coater, fetch back and look over", "30", "0", "0", "0", by="helper"),
    _step("build_drawers", "Build drawer boxes", "15", "25", "40", "60"),
    _step("fit_drawers", "Fit and align drawers", "8", "10", "15", "25"),
    _step("hang_hinges", "Hang and adjust doors, each hinge", "8", "4", "6", "10"),
    _step("fit_handles", "Fit handles", "0", "2", "3", "5"),
    _step("fit_hardware", "Bolt on castors, feet and brackets", "5", "3", "5", "8"),
    _step("sand_raw", "Sand raw wood, two grits", "5", "5", "8", "14"),
    _step("sand_between", "Sand between coats", "0", "1", "2", "4"),
    _step("spray", "Spray, mixing and cleaning the gun included", "25", "1", "1.6", "3", machine="booth", hand=False,
          set_up_by="coat", set_up_every="40"),
    _step("brush", "Brush or roll on", "10", "4", "6", "10", set_up_by="coat"),
    _step("wrap_up", "Clean up and pack", "5", "8", "15", "25", by="helper"),
    _step("load_up", "Load", "5", "5", "10", "20", by="helper", on_site=True),
    _step("travel", "Travel, there and back", "0", "1", "1", "1", hand=False, on_site=True),
    _step("install", "Set up on site, install and clear", "30", "30", "45", "90", on_site=True),
)

#: Steps as shops had them up to an edition, with why a later one has others, the oldest edition first.
EARLIER_STEPS: Final[tuple[tuple[int, OperationRate, str], ...]] = ()


def steps_in(edition: int) -> Mapping[str, OperationRate]:
    """The steps that a shop which follows this edition starts from, by name; those that came later are among them."""
    steps = {step.name: step for step in OPERATIONS}
    for last, step, _ in reversed(EARLIER_STEPS):
        if edition <= last:
            steps[step.name] = step
    return steps
