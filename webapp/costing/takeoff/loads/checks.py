"""All checks of what a finished thing carries, on every take-off whose parts stand in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from webapp.costing.designs.model import Joint
from webapp.costing.ledger.working import Working
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.loads.bearing import check_bearing
from webapp.costing.takeoff.loads.flatness import check_flatness
from webapp.costing.takeoff.loads.moving import check_moving
from webapp.costing.takeoff.loads.sagging import check_sagging
from webapp.costing.takeoff.loads.tipping import check_tipping
from webapp.costing.takeoff.loads.whole import Whole
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart


def check_loads(
    taking: Taking,
    parts: Sequence[MadePart],
    hardware: Sequence[FittedHardware],
    joints: Sequence[Joint],
    meetings: Meetings,
) -> None:
    """Note what it carries, sags, tips and moves by. Nothing is asked where parts stand nowhere or are left out.

    A design of the first form can't say where its feet stand, what is planned and which play its slots have, and keeps
    its working and its outcomes as they were: only what certainly fails is told of it, the sums in the sentence.
    """
    if taking.design.loose or taking.unplaced or not parts:
        return
    kept, begun = taking.working, len(taking.checks)
    if taking.design.form == "1":
        meetings = Meetings([piece for one in parts for piece in one.solids])
        taking.working = Working()
    try:
        whole = Whole(taking, parts, hardware, joints, meetings)
        check_bearing(whole)
        check_sagging(whole)
        check_flatness(whole)
        check_tipping(whole)
        check_moving(whole)
    finally:
        taking.working = kept
    if taking.design.form == "1":
        failed = [check for check in taking.checks[begun:] if check.outcome == "failure"]
        taking.checks[begun:] = [replace(check, figures=()) for check in failed]
