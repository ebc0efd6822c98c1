"""Do screws stay inside, and do they bite deep enough? At the measured thickness and at the thinnest that may come."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.designs.model import Joint
from webapp.costing.designs.values import Environment
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.manner import kept_by_manner
from webapp.costing.measures.written import System, format_quantity
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check, Held
from webapp.costing.trade.fastening import BITE_OF_HELD

#: Thinner parts than this are held by the bite that follows from their thickness alone (common practice), nm.
THIN_HELD: Final = 10_000_000


def check_screws(taking: Taking, joints: Sequence[Joint]) -> None:
    """Check every joint whose design says what its screws pass through. Rules: common practice, the shop's settings."""
    thinnest = _thinnest(taking)
    for joint in joints:
        if joint.grip is None or joint.fastener not in taking.stock:
            continue
        screw = taking.stated_figure(joint.fastener, "length", "nm")
        if screw is None:
            name = taking.stock[joint.fastener].name
            said = f"{joint.says}: “{name}” states no length, so its reach isn't checked."
            taking.checks.append(Check(f"reach/{joint.name}", "warning", said))
            continue
        try:
            grip = taking.figure(f"joint/{joint.name}/grip", f"{joint.says}: passed through", "nm", joint.grip)
            room = None
            if joint.room is not None:
                room = taking.figure(f"joint/{joint.name}/room", f"{joint.says}: room to bite", "nm", joint.room)
        except FormulaError as error:
            taking.wrong(
                f"joints.{joint.name}", f"The screws of “{joint.says}” can't be checked. {taking.why(error)}", "warning"
            )
            continue
        if room is not None and room.value > 0:
            _check_tip(taking, joint, grip, room, screw, thinnest)
        if joint.bites:
            _check_bite(taking, joint, grip, screw)


def _thinnest(taking: Taking) -> Environment | None:
    """The design's values with every sheet at its thinnest; None where no material says how thin it may come."""
    instead = {
        f"{role}.thickness": stated["thinnest"]
        for role, stated in taking.stated.items()
        if "thinnest" in stated and "thickness" in stated and stated["thinnest"] < stated["thickness"]
    }
    return taking.evaluate_with(instead, "thinnest/") if instead else None


@kept_by_manner(1024)
def near_length(value: Fraction, system: System) -> str:
    """A small length in the shop's unit, finer than a tape reads."""
    return format_quantity(value, "length", system, 1 if system == "metric" else 3)


def _check_tip(
    taking: Taking, joint: Joint, grip: Figure, room: Figure, screw: Figure, thinnest: Environment | None
) -> None:
    key, least = f"joint/{joint.name}/tip", taking.setting("screw_tip_clear", "nm")
    tip = _tip(taking, joint, key, "", grip, room, screw)
    outcome, said, figures = "pass", "", [tip.id, least.id]
    if tip.value < least.value:
        outcome = "failure"
    elif thinnest is not None:
        thin = _at_thinnest(taking, joint, key, thinnest, screw)
        if thin is not None and thin.value != tip.value:
            figures.append(thin.id)
            said = f"; with the thinnest sheet that may come, {near_length(thin.value, taking.system)}"
            outcome = "warning" if thin.value < least.value else "pass"
    come_through = " It comes through." if tip.value <= 0 else ""
    taking.checks.append(
        Check(
            f"tip/{joint.name}",
            outcome,
            f"{joint.says}: {near_length(tip.value, taking.system)} is left before the tip{said}; "
            f"at least {near_length(least.value, taking.system)} is wanted.{come_through}",
            tuple(figures),
            Held(least.value, tip.value, "nm"),
        )
    )


def _tip(taking: Taking, joint: Joint, key: str, at: str, grip: Figure, room: Figure, screw: Figure) -> Figure:
    return taking.derive(
        key, f"{joint.says}: left before the tip{at}", "nm", "passed through + room to bite - length of the screw",
        "grip + room - screw", grip=grip, room=room, screw=screw,
    )  # fmt: skip


def _at_thinnest(taking: Taking, joint: Joint, key: str, thinnest: Environment, screw: Figure) -> Figure | None:
    """What is left before the tip with the thinnest sheet; None where it can't be worked out."""
    assert joint.grip is not None
    assert joint.room is not None
    prefix = f"{taking.prefix}/{key}"
    try:
        grip = thinnest.figure(f"{prefix}/thin_grip", f"{joint.says}: passed through, thinnest sheet", "nm", joint.grip)
        room = thinnest.figure(f"{prefix}/thin_room", f"{joint.says}: room to bite, thinnest sheet", "nm", joint.room)
    except FormulaError:
        return None
    return _tip(taking, joint, f"{key}/thinnest", ", thinnest sheet", grip, room, screw)


def _check_bite(taking: Taking, joint: Joint, grip: Figure, screw: Figure) -> None:
    """The bite in the second part against 1.5 x what it holds, and the shop's least."""
    key, says = f"joint/{joint.name}", joint.says
    least = taking.setting("bite_solid" if joint.bites == "solid" else "bite_sheet", "nm")
    if joint.meets and grip.value < THIN_HELD:
        # A back or a plate hangs on many light screws: what holds a carcass together is not asked of them.
        least = taking.given(
            f"{key}/bite_thin",
            f"{says}: least bite of what holds a thin part",
            0,
            "nm",
            "common practice: a part under 10 mm is held by bites of so many times its thickness",
        )
    bite = taking.derive(f"{key}/bite", f"{says}: bite", "nm", "length of the screw - passed through", "screw - grip",
                         screw=screw, grip=grip)  # fmt: skip
    times = taking.working.given(
        "screws/bite_of_held", "Bite of a screw, in times of what it holds", BITE_OF_HELD, "", "common practice"
    )
    needed = taking.derive(
        f"{key}/bite_needed", f"{says}: bite wanted", "nm",
        "the greater of times x what it holds and the shop's least", "bite_needed(grip, least, times)",
        grip=grip, least=least, times=times,
    )  # fmt: skip
    outcome = "pass" if bite.value >= needed.value else "warning" if bite.value > 0 else "failure"
    taking.checks.append(
        Check(
            f"bite/{joint.name}",
            outcome,
            f"{says}: the screws bite {near_length(bite.value, taking.system)}; "
            f"at least {near_length(needed.value, taking.system)} is wanted (common practice).",
            (bite.id, needed.id),
            Held(needed.value, bite.value, "nm"),
        )
    )
