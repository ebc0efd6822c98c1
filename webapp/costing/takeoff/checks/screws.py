"""Do screws stay inside, and do they bite deep enough? At the measured thickness and at the thinnest and the thickest
that may come; those of joints, and those that hold hardware."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Bites, Hardware, Joint, Part
from webapp.costing.designs.values import Environment
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.checks.closeness import Closeness
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joint_lines import bites_into, through_part
from webapp.costing.takeoff.meetings import Side
from webapp.costing.takeoff.model import Check, FasteningTaken, Held, Outcome
from webapp.costing.trade.fastening import BITE_OF_HELD

#: Thinner parts than this are held by the bite that follows from their thickness alone (common practice), nm.
THIN_HELD: Final = 10_000_000


@dataclass(frozen=True, slots=True)
class _Driven:
    """Screws of one sort: what they pass through before they bite, what there is to bite into, and what that is.

    `key` is where their figures stand, `name` what their checks go by, `field` the entry of the design; `thin_held`
    says that what they pass through is itself what they hold.
    """

    key: str
    name: str
    field: str
    says: str
    screw: str
    grip: Expression
    room: Expression | None
    bites: Bites
    thin_held: bool


def check_screws(
    taking: Taking, joints: Sequence[Joint], close: Closeness, fastenings: Sequence[FasteningTaken]
) -> None:
    """Check all screws whose reach the design says; of the others say that it is not known, and what to type.

    Of a joint that holds nothing at these sizes, a shelf that is none, nothing is asked.

    Rules: common practice, the shop's settings.
    """
    thinnest, thickest = _with_sheets_at(taking, "thinnest"), _with_sheets_at(taking, "thickest")
    none = {one.joint for one in fastenings if not one.count.value}
    driven_in = [joint for joint in joints if joint.name not in none]
    for driven in (*_of_joints(taking, driven_in), *_of_hardware(taking, close)):
        screw = taking.stated_figure(driven.screw, "length", "nm")
        if screw is None:
            material = taking.stock[driven.screw].name
            said = f"{driven.says}: “{material}” states no length, so its reach is not known. Type its length."
            taking.checks.append(Check(f"reach/{driven.name}", "unknown", said))
            continue
        try:
            grip = taking.figure(f"{driven.key}/grip", f"{driven.says}: passed through", "nm", driven.grip)
            room = None
            if driven.room is not None:
                room = taking.figure(f"{driven.key}/room", f"{driven.says}: room to bite", "nm", driven.room)
        except FormulaError as error:
            taking.wrong(
                driven.field, f"The screws of “{driven.says}” can't be checked. {taking.why(error)}", "warning"
            )
            continue
        if room is not None and room.value > 0:
            _check_tip(taking, driven, grip, room, screw, thinnest)
        if driven.bites and driven.bites != "lightly":
            _check_bite(taking, driven, grip, screw, thickest)


# ---- which screws ----------------------------------------------------------------------------------------------------


def _of_joints(taking: Taking, joints: Sequence[Joint]) -> Iterator[_Driven]:
    for joint in joints:
        if joint.fastener not in taking.stock:
            continue
        if joint.grip is not None:
            yield _Driven(
                f"joint/{joint.name}", joint.name, f"joints.{joint.name}", joint.says, joint.fastener, joint.grip,
                joint.room, joint.bites, joint.meets,
            )  # fmt: skip
        elif _is_screw(taking, joint.fastener):
            said = "nothing says what its screws pass through, so their reach is not known. Type its grip and room."
            taking.checks.append(Check(f"reach/{joint.name}", "unknown", f"{joint.says}: {said}"))


def _of_hardware(taking: Taking, close: Closeness) -> Iterator[_Driven]:
    """Screws that are listed beside the hardware that they hold."""
    for hardware in (one.hardware for one in close.hardware):
        role = taking.design.roles[hardware.stock]
        if role.kind is not Kind.FASTENER or hardware.stock not in taking.stock:
            continue
        into = taking.design.parts.get(hardware.into)
        if hardware.through is not None and (into is not None or hardware.room is not None):
            room = hardware.room
            bites: Bites = "solid"
            if into is not None:
                side = _side_into(close, hardware, into)
                room = through_part(taking, into, side) if room is None else room
                bites = bites_into(taking, into, side)
            yield _Driven(
                f"hardware/{hardware.name}", f"fitted/{hardware.name}", f"hardware.{hardware.name}", hardware.says,
                hardware.stock, hardware.through, room, bites, thin_held=True,
            )  # fmt: skip
        elif _is_screw(taking, hardware.stock):
            lacking = [
                word
                for word, there in (
                    ("what they pass “through”", hardware.through),
                    ("the part they go “into” or the “room” to bite", into or hardware.room),
                )
                if there is None
            ]
            said = f"the reach of these screws is not known. Type {', and '.join(lacking)}"
            there = "" if taking.design.form != "1" else "; a design in the short form can hold that"
            taking.checks.append(
                Check(f"reach/fitted/{hardware.name}", "unknown", f"{hardware.says}: {said}{there}.")
            )


def _is_screw(taking: Taking, role: str) -> bool:
    tags = (*taking.design.roles[role].needs.tags, *taking.stock[role].tags)
    return any(is_tagged(tags, tag) for tag in ("screw", "nail"))


def _side_into(close: Closeness, hardware: Hardware, into: Part) -> Side:
    """Across which size of the part fitted hardware meets it; its thickness where that stands nowhere, or both ways."""
    fitted = [one.hardware.name for one in close.hardware if one.placed]
    sides = {close.meetings.side_of(met, into) for name in fitted for met in close.meetings.between(name, into.name)}
    return sides.pop() if len(sides) == 1 else "thickness"


def _with_sheets_at(taking: Taking, bound: str) -> Environment | None:
    """The design's values with every sheet at its thinnest or thickest; None where no material says that."""
    instead = {
        f"{role}.thickness": stated[bound]
        for role, stated in taking.stated.items()
        if bound in stated
        and "thickness" in stated
        and (stated[bound] < stated["thickness"]) == (bound == "thinnest")
        and stated[bound] != stated["thickness"]
    }
    return taking.evaluate_with(instead, f"{bound}/") if instead else None


# ---- tip -------------------------------------------------------------------------------------------------------------


def _check_tip(
    taking: Taking, driven: _Driven, grip: Figure, room: Figure, screw: Figure, thinnest: Environment | None
) -> None:
    key, least = f"{driven.key}/tip", taking.setting("screw_tip_clear", "nm")
    tip = _tip(taking, driven, key, "", grip, room, screw)
    outcome: Outcome = "pass"
    said, figures = "", [tip.id, least.id]
    if tip.value < least.value:
        outcome = "failure"
    elif thinnest is not None:
        thin = _at_thinnest(taking, driven, key, thinnest, screw)
        if thin is not None and thin.value != tip.value:
            figures.append(thin.id)
            said = f"; with the thinnest sheet that may come, {taking.fine(thin.value)}"
            outcome = "warning" if thin.value < least.value else "pass"
    come_through = " It comes through." if tip.value <= 0 else ""
    taking.checks.append(
        Check(
            f"tip/{driven.name}",
            outcome,
            f"{driven.says}: {taking.fine(tip.value)} is left before the tip{said}; "
            f"at least {taking.fine(least.value)} is wanted.{come_through}",
            tuple(figures),
            Held(least.value, tip.value, "nm"),
        )
    )


def _tip(taking: Taking, driven: _Driven, key: str, at: str, grip: Figure, room: Figure, screw: Figure) -> Figure:
    return taking.derive(
        key, f"{driven.says}: left before the tip{at}", "nm", "passed through + room to bite - length of the screw",
        "grip + room - screw", grip=grip, room=room, screw=screw,
    )  # fmt: skip


def _at_thinnest(taking: Taking, driven: _Driven, key: str, thinnest: Environment, screw: Figure) -> Figure | None:
    """What is left before the tip with the thinnest sheet; None where it can't be worked out."""
    assert driven.room is not None
    prefix, says = f"{taking.prefix}/{key}", driven.says
    try:
        grip = thinnest.figure(f"{prefix}/thin_grip", f"{says}: passed through, thinnest sheet", "nm", driven.grip)
        room = thinnest.figure(f"{prefix}/thin_room", f"{says}: room to bite, thinnest sheet", "nm", driven.room)
    except FormulaError:
        return None
    return _tip(taking, driven, f"{key}/thinnest", ", thinnest sheet", grip, room, screw)


# ---- bite ------------------------------------------------------------------------------------------------------------


def _check_bite(taking: Taking, driven: _Driven, grip: Figure, screw: Figure, thickest: Environment | None) -> None:
    """The bite in the second part against 1.5 x what it holds, and the shop's least."""
    key, says = driven.key, driven.says
    least = taking.setting("bite_solid" if driven.bites == "solid" else "bite_sheet", "nm")
    if driven.thin_held and grip.value < THIN_HELD:
        # A back or a plate hangs on many light screws: what holds a carcass together is not asked of them.
        least = taking.given(
            f"{key}/bite_thin",
            f"{says}: least bite of what holds a thin part",
            0,
            "nm",
            "common practice: a part under 10 mm is held by bites of so many times its thickness",
        )
    bite, needed = _bites(taking, driven, key, "", grip, screw, least)
    outcome: Outcome = "pass" if bite.value >= needed.value else "warning" if bite.value > 0 else "failure"
    said, figures = "", [bite.id, needed.id]
    if outcome == "pass" and thickest is not None:
        thick = _at_thickest(taking, driven, key, thickest, screw, least)
        if thick is not None and thick[0].value != bite.value:
            figures += [figure.id for figure in thick]
            said = f"; with the thickest sheet that may come, {taking.fine(thick[0].value)}"
            if thick[0].value < thick[1].value:
                outcome = "warning"
                said += f" where {taking.fine(thick[1].value)} is wanted"
    taking.checks.append(
        Check(
            f"bite/{driven.name}",
            outcome,
            f"{says}: the screws bite {taking.fine(bite.value)}{said}; "
            f"at least {taking.fine(needed.value)} is wanted (common practice).",
            tuple(figures),
            Held(needed.value, bite.value, "nm"),
        )
    )


def _bites(
    taking: Taking, driven: _Driven, key: str, at: str, grip: Figure, screw: Figure, least: Figure
) -> tuple[Figure, Figure]:
    """How deep the screws bite, and how deep they should."""
    bite = taking.derive(f"{key}/bite", f"{driven.says}: bite{at}", "nm", "length of the screw - passed through",
                         "screw - grip", screw=screw, grip=grip)  # fmt: skip
    times = taking.working.given(
        "screws/bite_of_held", "Bite of a screw, in times of what it holds", BITE_OF_HELD, "", "common practice"
    )
    needed = taking.derive(
        f"{key}/bite_needed", f"{driven.says}: bite wanted{at}", "nm",
        "the greater of times x what it holds and the shop's least", "bite_needed(grip, least, times)",
        grip=grip, least=least, times=times,
    )  # fmt: skip
    return bite, needed


def _at_thickest(
    taking: Taking, driven: _Driven, key: str, thickest: Environment, screw: Figure, least: Figure
) -> tuple[Figure, Figure] | None:
    """The bite, and the one wanted, where what is passed through is at its thickest; None where nobody can say."""
    key = f"{key}/thickest"
    label = f"{driven.says}: passed through, thickest sheet"
    try:
        grip = thickest.figure(f"{taking.prefix}/{key}/grip", label, "nm", driven.grip)
    except FormulaError:
        return None
    return _bites(taking, driven, key, ", thickest sheet", grip, screw, least)
