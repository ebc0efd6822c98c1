"""Solid wood swells and shrinks across its grain: whether what holds it leaves it the play to do so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.designs.model import Axis, Joint
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import format_quantity
from webapp.costing.takeoff.loads.whole import Whole
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart

#: Wood narrower than this across its grain is held fast without harm. Common practice, nm.
HELD_FAST: Final = 100_000_000
#: The play each way of a slotted bracket, or of a slot that nothing is typed of. Common practice, nm.
USUAL_PLAY: Final = 3_000_000


@dataclass(frozen=True, slots=True)
class _Fixing:
    """A joint that holds a part across its grain, from where to where (nm), and the play that it leaves each way."""

    joint: Joint
    low: Fraction
    high: Fraction
    play: Fraction
    typed: bool


def check_moving(whole: Whole) -> None:
    """Each part of solid wood that is held across its grain by what doesn't move with it, standing hardware as well.
    Source: Wood Handbook."""
    for one in whole.parts:
        width = one.taken.width
        if one.taken.kind is not Kind.BOARD or width is None or width.value <= HELD_FAST:
            continue
        worst: list[_Fixing] = []
        for place, piece in enumerate(whole.pieces):
            # Across the grain of what stands aslant nothing is measured.
            if piece.name == one.part.name and piece.body is None:
                fixings = list(_fixings(whole, one, place))
                if _spread(fixings) > _spread(worst):
                    worst = fixings
        if _spread(worst) > HELD_FAST:
            _judge(whole, one, width, worst)


def _spread(fixings: Sequence[_Fixing]) -> Fraction:
    """How far apart across the grain a piece is held, nm."""
    return max((one.high for one in fixings), default=Fraction(0)) - min(
        (one.low for one in fixings), default=Fraction(0)
    )


def _fixings(whole: Whole, one: MadePart, place: int) -> Iterator[_Fixing]:
    axis = "xyz".index(one.part.width_axis)
    for joint in whole.joints:
        if not joint.touches or joint.weld:
            continue
        others = joint.held if joint.source == one.part.name else (joint.source,) if one.part.name in joint.held else ()
        for name in others:
            if name in whole.made and _moves_alike(whole.made[name], one):
                continue
            met = [each for each in whole.meetings.of(place)
                   if whole.pieces[each.other if each.one == place else each.one].name == name]  # fmt: skip
            if met:
                play, typed = _play_of(whole, joint)
                lows, highs = zip(*(each.ends(axis) for each in met), strict=True)
                yield _Fixing(joint, min(lows), max(highs), play, typed)


def _moves_alike(other: MadePart, one: MadePart) -> bool:
    """Whether another part moves as this one does: solid wood whose grain runs the same way."""
    solid = other.taken.kind is Kind.BOARD or (other.taken.kind is Kind.LENGTH and other.taken.grain == "length")
    axes: tuple[Axis, Axis] = (other.part.length_axis, one.part.length_axis)
    return solid and axes[0] == axes[1]


def _play_of(whole: Whole, joint: Joint) -> tuple[Fraction, bool]:
    """The play each way that a joint leaves, and whether that is sure: typed, or glued or screwed fast."""
    if joint.play is not None:
        try:
            return whole.taking.environment.value(joint.play), True
        except FormulaError as error:
            whole.taking.wrong(f"joints.{joint.name}.play", f"The play of “{joint.says}” can't be worked out. "
                               f"{whole.taking.why(error)}", "warning")  # fmt: skip
            return Fraction(USUAL_PLAY), False
    if joint.glue:
        return Fraction(0), True
    says = joint.says.casefold()
    slotted = any(is_tagged(whole.tags(each.hardware), "slotted_bracket") for each in whole.hardware)
    if "slot" in says or (slotted and "bracket" in says):
        return Fraction(USUAL_PLAY), False
    return Fraction(0), True


def _judge(whole: Whole, one: MadePart, width: Figure, fixings: Sequence[_Fixing]) -> None:
    taking, says = whole.taking, one.part.says
    name = f"moves/{one.part.name}"
    coefficient = taking.stated_figure(one.part.stock, "movement", "")
    if coefficient is None:
        whole.note(Check(name, "unknown", f"{says}: how much it moves across its grain is not known: type the movement "
                         "of its material."))  # fmt: skip
        return
    swing = taking.setting("moisture_swing", "")
    moves = taking.derive(
        f"{name}/moves", f"{says}: moves across its grain in a year", "nm",
        "width x movement a point of moisture x points between a dry and a damp season",
        "change_of_width(width, movement, 0, swing)", width=width, movement=coefficient, swing=swing,
    )  # fmt: skip
    low, high = min(fixings, key=lambda each: each.low), max(fixings, key=lambda each: each.high)
    play = taking.given(f"{name}/play", f"{says}: play of its outermost fixings", low.play + high.play, "nm",
                        _source(low, high))  # fmt: skip
    sure = low.typed and high.typed
    outcome: Outcome = "pass" if moves.value <= play.value else "failure" if sure else "warning"
    assumed = "" if sure else " That is common practice for a slot: type the play of its joints."
    between = f"“{low.joint.says}”" if low.joint is high.joint else f"“{low.joint.says}” and “{high.joint.says}”"
    whole.note(
        Check(
            name,
            outcome,
            f"{says}: across its grain it moves {_small(whole, moves.value)} between a dry and a damp season; "
            f"{between} leave it {_small(whole, play.value)} in all.{assumed}",
            (moves.id, play.id),
            Held(moves.value, play.value, "nm"),
        )
    )


def _source(low: _Fixing, high: _Fixing) -> str:
    if low.typed and high.typed:
        return "the design: each way, at both edges; what is glued or screwed fast leaves none"
    return "common practice: 3 mm each way in a slot of which nothing is typed"


def _small(whole: Whole, value: Fraction) -> str:
    return format_quantity(value, "length", whole.taking.system, 1 if whole.taking.system == "metric" else 2)
