"""From a design to its take-off: what one finished thing at chosen sizes is made of, and what of it can't be made."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.designs.model import Design
from webapp.costing.designs.sentences import fill_sentence, sentence_says
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import System
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.amounts.drivers import Taken, drive_operations, use_up
from webapp.costing.takeoff.amounts.surfaces import apply_finishes, measure_surfaces
from webapp.costing.takeoff.checks.blanks import check_blanks
from webapp.costing.takeoff.checks.closeness import Closeness
from webapp.costing.takeoff.checks.counted import check_counted
from webapp.costing.takeoff.checks.held import check_held
from webapp.costing.takeoff.checks.made.folds import check_folds
from webapp.costing.takeoff.checks.made.holds import check_holds
from webapp.costing.takeoff.checks.made.holes import check_holes
from webapp.costing.takeoff.checks.made.joinery import check_joinery
from webapp.costing.takeoff.checks.made.moves import check_moves
from webapp.costing.takeoff.checks.made.openings import check_openings
from webapp.costing.takeoff.checks.made.outlines import check_outlines
from webapp.costing.takeoff.checks.musts import check_musts
from webapp.costing.takeoff.checks.placing import check_placing
from webapp.costing.takeoff.checks.screws import check_screws
from webapp.costing.takeoff.checks.spans import check_spans
from webapp.costing.takeoff.checks.together import check_together
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joint_lines import complete_joints
from webapp.costing.takeoff.joints import fit_hardware, hold_together, meetings_held, meetings_of, weigh
from webapp.costing.takeoff.loads.checks import check_loads
from webapp.costing.takeoff.made.all_made import features_of, folds_counted, marks_of
from webapp.costing.takeoff.made.band import band_to_buy
from webapp.costing.takeoff.made.holes import drill
from webapp.costing.takeoff.made.joinery import cut_joinery
from webapp.costing.takeoff.made.openings import cut_openings, lighter, open_areas
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import TakeOff
from webapp.costing.takeoff.parts import make_parts


def expand(
    design: Design,
    sizes: Mapping[str, Fraction],
    choices: Mapping[str, str],
    materials: Mapping[str, str],
    catalogue: Catalogue,
    rates: Rates,
    working: Working,
    prefix: str,
    step_nm: int,
    system: System,
) -> TakeOff:
    """Take off ONE finished thing. Pure, and never raises for a bad design: see `problems`; the rest is worked out.

    `sizes` in nm or as whole numbers (usual where not given), `choices` by name, `materials` codes by stock role
    (usual where not given). Finished sizes are rounded once, half up, to `step_nm`; the parts are checked in space
    before that, so a part at the bench is within half a step of its place. Figures stand in `working` under
    `prefix`/….
    """
    taking = Taking(design, sizes, choices, materials, catalogue, rates, working, prefix, step_nm, system)
    parts, hardware = make_parts(taking), fit_hardware(taking)
    everything = meetings_of(parts, hardware)
    meetings = meetings_held(taking, everything) if design.form != "1" else Meetings(())
    drilled, opened = drill(taking, parts, meetings), cut_openings(taking, parts, meetings)
    parts = lighter(taking, parts, opened)
    joined = cut_joinery(taking, parts, meetings)
    held = hold_together(taking, parts, meetings)
    surfaces = measure_surfaces(taking, parts, meetings, open_areas(taking, parts, opened))
    finishes = apply_finishes(taking, surfaces)
    fitted = tuple(one.taken for one in hardware)
    own, sent_out = folds_counted(taking, parts)
    taken = Taken(
        parts, held, fitted, surfaces, finishes, {one.entry.name: one.count for one in drilled},
        {**{one.entry.name: one.metres for one in opened}, **joined.metres,
         **{one.outlined.entry.name: one.outlined.metres(taking, one.taken.count) for one in parts if one.outlined}},
        joined.tenons, own, sent_out,
    )  # fmt: skip
    drivers = drive_operations(taking, taken)
    supplies = use_up(taking, taken)
    band = band_to_buy(taking, parts)
    mass, heaviest = weigh(taking, parts, fitted)
    check_placing(taking, everything, held.made)
    joints = complete_joints(taking, held.made, meetings)
    close = Closeness(everything, joints, hardware)
    check_held(taking, close)
    check_blanks(taking, parts)
    check_screws(taking, joints, close, held.fastenings)
    check_spans(taking, parts, meetings)
    check_counted(taking, taken)
    check_holes(taking, drilled)
    check_openings(taking, opened, drilled)
    check_joinery(taking, parts)
    check_folds(taking, parts, drilled, opened)
    check_outlines(taking, parts, drilled, opened)
    check_moves(taking, parts, hardware, meetings)
    check_holds(taking, parts, hardware)
    assembly = check_together(taking, close, held.fastenings)
    check_loads(taking, parts, hardware, held.made, meetings)
    check_musts(taking)
    return TakeOff(
        design=design,
        sizes={name: taking.environment.figures[name] for name in design.sizes},
        choices=taking.environment.choices,
        materials=taking.codes,
        fit_notes=taking.fit_notes,
        parts=tuple(one.taken for one in parts),
        fastenings=tuple(held.fastenings),
        welds=tuple(held.welds),
        hardware=fitted,
        glue=held.glue,
        glue_lines=held.glue_lines,
        band=band,
        finishes=finishes,
        drivers=drivers,
        supplies=supplies,
        mass=mass,
        heaviest=heaviest.taken if heaviest is not None else None,
        checks=tuple(taking.checks),
        problems=taking.problems,
        scope=fill_sentence(design.scope, taking.environment, system),
        scope_says=sentence_says(design.scope, taking.environment, system),
        made=features_of(drilled, opened),
        marked=marks_of(drilled, opened),
        assembly=assembly,
    )
