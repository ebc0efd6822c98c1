"""What goes into each line before it is priced: a design's materials and steps, the trip, a free line."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.hours.step_minutes import StepTime
from webapp.costing.job_price.lines import BOUGHT_IN, LineInputs
from webapp.costing.job_price.pricer import Pricer
from webapp.costing.jobs.job import FreeLine, Job
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words


def item_inputs(
    item_id: str, label: str, quantity: Figure, materials: Sequence[Figure], steps: Sequence[StepTime],
    getting: Figure | None = None, passed_on: Sequence[Figure] = (),
) -> LineInputs:  # fmt: skip
    """A line for a design: its materials, its own steps, its share of getting the materials here, and what is bought
    in and passed on.

    What a stop or carriage costs is no material, nor is what is passed on: nothing is handled of it.
    """
    own = [step for step in steps if step.item == item_id]
    machine = [step.machine for step in own if step.machine is not None]
    parts = [("materials", materials), ("labour", [step.labour for step in own]), ("machine", machine)]
    if passed_on:
        parts.append((BOUGHT_IN, passed_on))
    if getting is not None:
        parts.append(("carriage", [getting]))
    return LineInputs(item_id, label, "item", quantity, parts, [step.charged for step in own], True, True)


def trip_inputs(job: Job, steps: Sequence[StepTime], working: Working, pricer: Pricer) -> LineInputs | None:
    """The line for delivery and installation, or None where the job has neither."""
    if job.delivery is None and not job.install:
        return None
    carriage = []
    if job.delivery is not None and job.delivery.distance_km:
        distance = working.work.given(
            "trip/distance", "Distance there and back", job.delivery.distance_km, "km", "the job"
        )
        carriage.append(working.derive(
            "trip/carriage", "Driving", "money", "distance x rate, rounded half up", "half_up(distance * rate, coin)",
            distance=distance, rate=pricer.setting("per_kilometre"), coin=pricer.coin,
        ))  # fmt: skip
    own = [step for step in steps if step.item == "trip"]
    one = working.given("line/trip/quantity", "Quantity", 1, "", "one trip for the job")
    label = (
        "Delivery and installation" if job.delivery and job.install else "Delivery" if job.delivery else "Installation"
    )
    machine = [step.machine for step in own if step.machine is not None]
    parts = [("carriage", carriage), ("labour", [step.labour for step in own]), ("machine", machine)]
    return LineInputs("trip", label, "trip", one, parts, [step.charged for step in own], False, True)


def free_inputs(line: FreeLine, working: Working, pricer: Pricer) -> LineInputs | None:
    """A free line: labour by the minute at the maker's rate, or so many of something at a cost each."""
    quantity = working.work.given(f"line/{line.id}/quantity", f"{line.says}: quantity", line.quantity, "", "the job")
    if line.kind == "labour":
        if line.minutes is None:
            return None
        each = working.work.given(
            f"line/{line.id}/minutes_each", f"{line.says}: minutes", line.minutes, "min", "the job"
        )
        minutes = working.work.derive(
            f"line/{line.id}/all_minutes",
            f"{line.says}: minutes",
            "min",
            "minutes x quantity",
            "each * quantity",
            each=each,
            quantity=quantity,
        )
        labour = working.derive(
            f"line/{line.id}/labour_cost",
            f"{line.says}: labour",
            "money",
            "minutes / 60 x rate of the maker, rounded half up",
            "half_up(minutes / 60 * rate, coin)",
            minutes=minutes,
            rate=pricer.setting("labour_maker"),
            coin=pricer.coin,
        )
        return LineInputs(line.id, line.says, "free", quantity, [("labour", [labour])], [minutes], False, True)
    if line.each is None:
        return None
    each = working.given(f"line/{line.id}/cost_each", f"{line.says}: cost of one", line.each, "money", "the job")
    cost = working.derive(
        f"line/{line.id}/bought",
        f"{line.says}: cost",
        "money",
        "cost of one x quantity, rounded half up",
        "half_up(each * quantity, coin)",
        each=each,
        quantity=quantity,
        coin=pricer.coin,
    )
    name = "parts" if line.kind == "part" else "services"
    parts: list[tuple[str, list[Figure]]] = [(name, [cost])]
    if line.kind == "hire":
        parts = _hire_parts(line, cost, working, pricer)
    return LineInputs(line.id, line.says, "free", quantity, parts, [], line.kind == "part", False)


def _hire_parts(line: FreeLine, cost: Figure, working: Working, pricer: Pricer) -> list[tuple[str, list[Figure]]]:
    """A hire with its damage waiver, and its carriage there and back where it states one."""
    services, carriage = [cost], list[Figure]()
    share = None
    if line.waiver is not None:
        share = working.given(f"line/{line.id}/waiver_share", f"{line.says}: waiver", line.waiver, "share", "the job")
    elif pricer.rates.yes("rule_hire_waiver"):
        share = pricer.setting("hire_waiver_share")
    if share is not None and share.value:
        services.append(working.derive(
            f"line/{line.id}/waiver", f"{line.says}: damage waiver", "money",
            "cost x the waiver's share, rounded half up", "half_up(cost * share, coin)",
            cost=cost, share=share, coin=pricer.coin,
        ))  # fmt: skip
    if line.carriage:
        way = working.given(
            f"line/{line.id}/carriage_way", f"{line.says}: {in_trade_words('carriage one way')}", line.carriage,
            "money", "the job",
        )
        carriage.append(working.derive(
            f"line/{line.id}/carriage_both", f"{line.says}: {in_trade_words('carriage there and back')}", "money",
            in_trade_words("carriage one way x 2, rounded half up"), "half_up(way * 2, coin)", way=way,
            coin=pricer.coin,
        ))  # fmt: skip
    return [("services", services), *([("carriage", carriage)] if carriage else [])]
