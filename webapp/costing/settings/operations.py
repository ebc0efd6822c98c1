"""The steps of the work that a shop starts from, with minutes from common practice; every shop sets its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.rates import COMMON_PRACTICE, OperationRate, SetUpBy


def _step(
    name: str, label: str, set_up: str, low: str, likely: str, high: str, *, people: int = 1, by: str = "maker",
    machine: str = "", hand: bool = True, on_site: bool = False, set_up_by: SetUpBy = "job", set_up_every: str = "0",
    why: str,
) -> OperationRate:  # fmt: skip
    return OperationRate(
        name, label, Fraction(set_up), Fraction(low), Fraction(likely), Fraction(high), people, by, machine, hand,
        on_site=on_site, set_up_by=set_up_by, set_up_every=Fraction(set_up_every),
        source=f"{COMMON_PRACTICE}: {why}",
    )  # fmt: skip


OPERATIONS: Final[tuple[OperationRate, ...]] = (
    _step("draw", "Draw, plan, list", "30", "0", "0", "0", by="office", set_up_by="design",
          why="a design from the library needs its list printed and its sizes looked over; a new one is drawn"),
    _step("fetch_order", "Order and fetch materials", "30", "0", "0", "0", by="office",
          why="one order put together and fetched or taken in; further suppliers cost their stop"),
    _step("unload", "Unload and rack sheets", "5", "2", "3", "5", by="helper",
          why="each sheet is carried from the van to the rack by as many as it takes"),
    _step("part_sheets", "Part full sheets", "0", "1", "1.5", "3", machine="saw", hand=False,
          why="a full sheet is lifted on, turned and pushed through; trim cuts are cuts"),
    _step("hold_sheets", "Hold full sheets while they are parted", "0", "1", "1.5", "3", by="helper", hand=False,
          why="whoever takes the far end of a full sheet stands there for as long as the cut takes"),
    _step("saw_to_size", "Rip and crosscut sheets at the fence", "15", "1", "1.5", "3", machine="saw", hand=False,
          why="what is parted runs along fence or stop by one person"),
    _step("set_fence", "Set the fence or a stop", "0", "0.5", "1", "2", machine="saw", hand=False,
          why="unlock, measure, lock, cut a trial; widths of one thickness are cut at one setting"),
    _step("saw_sheet_parts", "Break down sheets, by the part", "15", "1", "1.5", "3", machine="saw", hand=False,
          why="kept for designs that count sheet parts"),
    _step("saw_lengths", "Crosscut lengths", "10", "0.5", "0.8", "1.5", machine="saw",
          why="against a stop, handling included"),
    _step("plane_parts", "Plane and thickness, rip and cut solid parts", "15", "5", "8", "13", machine="planer",
          why="flat on one face and one edge, to thickness, ripped and crosscut, with the walks between"),
    _step("turn_parts", "Turn on the lathe, each piece", "15", "8", "15", "30",
          why="centre, rough down to round, bring to size and sand on the lathe"),
    _step("glue_up_panels", "Glue up panels, each strip", "10", "3", "5", "8",
          why="spread, close, level and clean each strip"),
    _step("band_edges_on", "Band edges", "15", "0.6", "1", "1.8", machine="bander", hand=False,
          why="fed by machine, trimmed and looked over"),
    _step("rout_edges", "Rout or round edges", "10", "0.8", "1.2", "2",
          why="by hand with a bearing cutter, both passes"),
    _step("cut_housings", "Cut housings, grooves and rebates", "15", "1", "1.5", "3", machine="saw",
          why="set by a test cut, then run metre by metre"),
    _step("drill_holes", "Drill holes by hand", "3", "0.4", "0.6", "1",
          why="mark and drill by eye"),
    _step("drill_field", "Drill a field of holes with a template", "5", "0.1", "0.2", "0.3",
          why="small holes for shelf pegs through a strip with a stop"),
    _step("bore_top_holes", "Bore holes of a bench top with a template", "10", "0.6", "1", "1.8",
          why="20 mm through a bench top: the template is moved and held, the chips are cleared"),
    _step("slot_biscuits", "Biscuits, both slots", "5", "0.8", "1.1", "1.8",
          why="mark and cut both sides"),
    _step("bore_dowels", "Dowels, both holes", "8", "0.8", "1.2", "2",
          why="mark and bore both sides with a guide"),
    _step("slot_loose_tenons", "Loose tenons, both mortises", "8", "1", "1.5", "2.5",
          why="mark and cut both mortises"),
    _step("cut_mortise_tenon", "Mortise and tenon", "25", "12", "18", "30",
          why="lay out, mortise, saw the tenon and fit it"),
    _step("clamp_joints", "Glue and clamp joints", "15", "4", "6", "10", set_up_every="40",
          why="spread, close, clamp, check for square; some forty joints fill the clamps"),
    _step("drive_screws", "Pilot, countersink, drive", "3", "0.4", "0.6", "1",
          why="pilot hole, countersink and screw"),
    _step("drive_bolts", "Bore and bolt", "8", "1.5", "2.5", "5",
          why="bore through, counterbore and tighten"),
    _step("program_router", "Write the program for the router", "45", "0", "0", "0", set_up_by="design",
          why="once for a design; another size changes the figures of it"),
    _step("load_router", "Load and clear the router, each sheet", "0", "4", "6", "10",
          why="vacuum or clamps, and sweeping"),
    _step("rout_sheets", "Cut sheets on the router, each metre", "20", "0.5", "0.75", "1.25", machine="router",
          hand=False, why="12, 18 and 30 minutes for a full sheet whose parts have some 24 m of outline"),
    _step("change_cutters", "Change the router's cutter", "0", "3", "5", "10", machine="router", hand=False,
          why="stop, change, measure its length"),
    _step("run_router", "Cut sheets on the router, by the sheet", "20", "12", "18", "30", machine="router", hand=False,
          why="kept for designs that count sheets on the router"),
    _step("make_jig", "Make a jig or template", "60", "0", "0", "0", set_up_by="design",
          why="lay out, cut and try it"),
    _step("saw_tube", "Saw bar and tube", "10", "1.5", "2.5", "4", machine="saw", hand=False,
          why="clamp, feed, unclamp; feed-paced"),
    _step("deburr", "Deburr the ends", "0", "0.5", "1", "2",
          why="inside and outside of each end"),
    _step("drill_steel", "Drill steel", "8", "1.5", "2.5", "5",
          why="mark, centre, drill and deburr"),
    _step("cut_outlines", "Cut along outlines, each metre", "10", "1.5", "2.5", "5",
          why="mark by a template, band saw or jigsaw, and file or rout to the line, by the metre"),
    _step("fold_sheets", "Fold sheet metal", "10", "1", "1.5", "3",
          why="mark, set to the line, clamp, fold and hold a square to it, each fold"),
    _step("degrease", "Degrease steel", "0", "3", "4", "6",
          why="wipe twice"),
    _step("fit_and_tack", "Fit and tack joints", "20", "3", "5", "10", machine="welder",
          why="fit up, square and tack each joint"),
    _step("weld_joints", "Weld, each centimetre", "0", "0.1", "0.15", "0.3", machine="welder",
          why="arc time and moving along, by the centimetre"),
    _step("grind_welds", "Grind welds flush, each centimetre", "0", "0.1", "0.2", "0.4",
          why="flap disc, by the centimetre"),
    _step("send_out", "Pack for the coater, fetch back and look over", "30", "0", "0", "0", by="helper",
          why="pack, carry, fetch and look over"),
    _step("build_drawers", "Build drawer boxes", "15", "25", "40", "60",
          why="sides, bottom and corners of a box, sanded"),
    _step("fit_drawers", "Fit and align drawers", "8", "10", "15", "25",
          why="slides on both sides, front aligned"),
    _step("hang_hinges", "Hang and adjust doors, each hinge", "8", "4", "6", "10",
          why="bore the cup, screw, adjust"),
    _step("fit_handles", "Fit handles", "0", "2", "3", "5",
          why="template, two holes, two screws"),
    _step("fit_hardware", "Bolt on castors, feet and brackets", "5", "3", "5", "8",
          why="mark, bore and bolt"),
    _step("sand_raw", "Sand raw wood, two grits", "5", "5", "8", "14",
          why="two grits by machine, edges by hand"),
    _step("sand_between", "Sand between coats", "0", "1", "2", "4",
          why="fine, by hand, and dusted"),
    _step("spray", "Spray, mixing and cleaning the gun included", "25", "1", "1.6", "3", machine="booth", hand=False,
          set_up_by="coat", set_up_every="40",
          why="each coat is mixed, put on and cleaned away after; a full room is some 40 m2"),
    _step("brush", "Brush or roll on", "10", "4", "6", "10", set_up_by="coat",
          why="each coat is opened, put on, wiped and cleaned away after"),
    _step("wrap_up", "Wrap and pack", "5", "8", "15", "25", by="helper",
          why="wipe down, protect the corners, wrap"),
    _step("load_up", "Load", "5", "5", "10", "20", by="helper", on_site=True,
          why="carry to the van and tie down, or help whoever collects"),
    _step("travel", "Travel, there and back", "0", "1", "1", "1", hand=False, on_site=True,
          why="the job says how long"),
    _step("install", "Set up on site, install and clear", "30", "30", "45", "90", on_site=True,
          why="carry in, set level, clear away"),
)  # fmt: skip

#: Steps as shops had them up to an edition, with why a later one has others, the oldest edition first.
EARLIER_STEPS: Final[tuple[tuple[int, OperationRate, str], ...]] = ()


def steps_in(edition: int) -> Mapping[str, OperationRate]:
    """The steps that a shop which follows this edition starts from, by name, in its trade words; those that came later
    are among them."""
    steps = {step.name: step for step in OPERATIONS}
    for last, step, _ in reversed(EARLIER_STEPS):
        if edition <= last:
            steps[step.name] = step
    return {name: replace(step, label=in_trade_words(step.label)) for name, step in steps.items()}
