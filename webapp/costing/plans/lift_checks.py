"""How many people a finished thing, its heaviest part and what lies loose high up take, and what may be lifted so.

People go by the shop's own limits, the weight by the published lifting equation. That holds for one person who lifts
with both hands; for two and three it is taken with the published share of what a team lifts.

Somebody has to decide something where a thing takes more people than there are, or where the equation allows nothing at
all: that is a warning. Else what the equation recommends is told as it is, over it too, and the people lift.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System, figure_text, format_length, format_quantity
from webapp.costing.plans.lifting import people_to_carry, three_lift
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Box, Check, Held, Outcome, PartTaken, TakeOff
from webapp.costing.trade.loads.lifting import (
    CONSTANTS,
    NOT_FOR,
    Lift,
    coupling_multiplier,
    distance_multiplier,
    frequency_multiplier,
    horizontal_multiplier,
    lifting_index,
    outside_use,
    reach_of,
    team_lift,
    vertical_multiplier,
    weight_limit,
)

_SOURCE: Final = "Applications manual for the revised NIOSH lifting equation, 94-110 (1994, revised 2021)"
#: The people at hand where neither the job nor the shop says that there are more. Common practice.
_USUAL_CREW: Final = 2
#: Where the hands begin that lift what lies loose high up. Common practice, nm.
_WAIST: Final = 750_000_000


@dataclass(frozen=True, slots=True)
class _Load:
    """What is lifted: words and a key for it, its weight, its sides (nm), and from and to which height (nm)."""

    key: str
    says: str
    mass: Figure
    sides: tuple[int, int, int]
    from_height: int
    to_height: int


def lifted(
    items: Sequence[ItemTaken], job: Job, rates: Rates, working: Working, system: System
) -> Iterator[Check]:
    """A check for each thing that is lifted. A design of the first form keeps its checks as they were."""
    for item in items:
        taken = item.take_off
        if taken.design.form == "1":
            continue
        for load in _loads(item, taken, rates):
            yield _judge(load, job, rates, working, system)
        yield from _high_up(item, taken, working, system)
        yield from _counted_for_one(item, taken, rates, system)


def _boxes(taken: TakeOff) -> list[Box]:
    by_entry = [one.boxes for one in taken.parts] + [one.boxes for one in taken.hardware]
    return [box for boxes in by_entry for box in boxes]


def _loads(item: ItemTaken, taken: TakeOff, rates: Rates) -> Iterator[_Load]:
    """The finished thing onto a van's floor, and its heaviest part from the floor to where it stands.

    Of a finished thing that three don't lift, that alone is said, with the checks of the whole job.
    """
    boxes = _boxes(taken)
    if boxes and not taken.design.loose and 0 < taken.mass.value <= three_lift(rates):
        sides = tuple(
            max(box.corner[axis] + box.extent[axis] for box in boxes) - min(box.corner[axis] for box in boxes)
            for axis in range(3)
        )
        yield _Load(f"lifted/{item.id}", item.label, taken.mass, (sides[0], sides[1], sides[2]), 0,
                    int(rates["lift_to"]))  # fmt: skip
    heaviest = taken.heaviest
    if heaviest is not None and heaviest.mass is not None:
        to = min((box.corner[2] for box in heaviest.boxes), default=0)
        yield _Load(f"lifted/{item.id}/{heaviest.name}", f"{item.label}: {heaviest.says}", heaviest.mass,
                    _sides_of(heaviest), 0, to)  # fmt: skip


def _sides_of(part: PartTaken) -> tuple[int, int, int]:
    width = int(part.width.value) if part.width is not None else 0
    thickness = int(part.thickness.value) if part.thickness is not None else 0
    return int(part.length.value), width, thickness


def _ends(load: _Load, system: System) -> list[Lift]:
    """Both ends of the lift, held against the body by its thinnest side, seldom, with a fair grasp."""
    travel = Fraction(abs(load.to_height - load.from_height))
    return [
        Lift(reach_of(Fraction(min(load.sides)), Fraction(height), system), Fraction(height), travel, Fraction(0),
             Fraction(0), "short", "fair")
        for height in (load.from_height, load.to_height)
    ]  # fmt: skip


def _judge(load: _Load, job: Job, rates: Rates, working: Working, system: System) -> Check:
    ends = _ends(load, system)
    worst = min(ends, key=lambda end: weight_limit(end, system))
    people = people_to_carry(load.mass.value, max(load.sides), rates)
    limit = _limit(load, worst, people, working, system)
    outside = dict.fromkeys(sentence for end in ends for sentence in outside_use(end, system))
    index = lifting_index(load.mass.value, limit.value)
    kilograms = format_quantity(load.mass.value, "mass", system, 1)
    said = f"{load.says}, {kilograms}: " + {1: "one person", 2: "two people", 3: "a lift, or three people"}[people]
    said += " by the shop's limits"
    crew, whose = _crew(job, rates)
    if people > crew:
        said += f", where {_number(crew)} {'is' if crew == 1 else 'are'} {whose}"
    where = f"from the floor to {format_length(load.to_height, system)}"
    if index is None:
        said += f"; {where} the lifting equation allows nothing. {' '.join(outside)}".rstrip()
    else:
        most = format_quantity(limit.value, "mass", system, 1)
        said += f"; {where} {_number(people)} may lift {most} by the lifting equation (index {figure_text(index, 1)})."
    if index is None or index > 1:
        said += f" Plan help or a trolley. {NOT_FOR['carrying_or_pushing']} Local rules go before it."
    outcome: Outcome = "warning" if index is None or people > crew else "pass"
    return Check(load.key, outcome, said, (load.mass.id, limit.id), Held(load.mass.value, limit.value, "kg"))


def _crew(job: Job, rates: Rates) -> tuple[int, str]:
    """The people at hand, and in words whose they are: those on the trip where the job has one, else the shop's."""
    if job.delivery is not None:
        return job.delivery.people, "on the trip"
    return max(_USUAL_CREW, int(rates["people_at_work"])), "at hand as a rule"


def _number(people: int) -> str:
    return {1: "one", 2: "two", 3: "three"}.get(people, str(people))


def _limit(load: _Load, end: Lift, people: int, working: Working, system: System) -> Figure:
    """What so many may lift, kg: the product of the equation's multipliers, and the share of a team."""
    of = {
        "constant": ("load constant", CONSTANTS[system].load_kg, "kg"),
        "reach": ("for the reach", horizontal_multiplier(end.reach, system), ""),
        "height": ("for the height", vertical_multiplier(end.height, system), ""),
        "travel": ("for the way up", distance_multiplier(end.travel, system), ""),
        "often": ("for how often", frequency_multiplier(end.a_minute, end.duration, end.height, system), ""),
        "grasp": ("for the grasp", coupling_multiplier(end.grasp, end.height, system), ""),
    }
    inputs = {
        name: working.given(f"job/{load.key}/{name}", f"{load.says}: {words}", value, unit, _SOURCE)
        for name, (words, value, unit) in of.items()
    }
    inputs["team"] = working.given(
        f"job/lifting_team/{people}", f"What {_number(people)} lift, of what one does",
        team_lift([Fraction(1)] * people), "", "Manual handling, guidance L23 (2004), par. 120",
    )  # fmt: skip
    return working.derive(
        f"job/{load.key}/limit", f"{load.says}: recommended weight limit", "kg",
        "load constant x multipliers x share of a team", " * ".join(inputs), _SOURCE, **inputs,
    )  # fmt: skip


def _high_up(item: ItemTaken, taken: TakeOff, working: Working, system: System) -> Iterator[Check]:
    """What lies loose and is lifted higher than the equation goes."""
    joined = {name for joint in taken.design.joints.values() for name in (joint.source, *joint.held)}
    highest: tuple[int, PartTaken] | None = None
    for part in taken.parts:
        top = max((box.corner[2] for box in part.boxes), default=0)
        if part.name not in joined and part.mass is not None and (highest is None or top > highest[0]):
            highest = top, part
    if highest is None:
        return
    height, part = highest
    assert part.mass is not None
    load = _Load(f"reached/{item.id}", f"{item.label}: {part.says}, the topmost", part.mass, _sides_of(part), _WAIST,
                 height)  # fmt: skip
    if weight_limit(_ends(load, system)[1], system) > 0:
        return
    at = working.given(f"job/{load.key}/height", f"{load.says}: height of the hands", height, "nm", "where it lies")
    most = CONSTANTS[system].height_most
    yield Check(
        load.key, "warning",
        f"{load.says}, is lifted at {format_length(height, system)}; above {format_length(most, system)} the lifting "
        "equation allows nothing. Have a step to stand on, or take it lower.",
        (at.id,), Held(Fraction(height), Fraction(most), "nm"),
    )  # fmt: skip


def _counted_for_one(item: ItemTaken, taken: TakeOff, rates: Rates, system: System) -> Iterator[Check]:
    """Loading that is counted as one person's though more carry it."""
    step = taken.design.operations.get("load_up")
    people = people_to_carry(taken.lifted.value, taken.longest_side, rates)
    if step is None or step.driver != "items" or people == 1:
        return
    kilograms = format_quantity(taken.lifted.value, "mass", system, 0)
    yield Check(
        f"crew/{item.id}", "warning",
        f"{item.label}: “{step.says}” counts one person's minutes, and {kilograms} in one piece take "
        f"{'more than two' if people > 2 else 'two'}: count it by crew.",
        (taken.lifted.id,),
    )  # fmt: skip
