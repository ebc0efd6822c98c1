"""The earliest day on which a job can be ready, in working days from today: delivery, work and waiting.

Its figures stand beside those of the price, none of which hangs on them. Waiting is counted in elapsed hours, 24 to a
day, since glue and finish dry at night too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.getting import Way
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates

_SATURDAY: Final = 5


@dataclass(frozen=True, slots=True)
class Calendar:
    """`ready` is the earliest ready day in whole working days; `parts` are what it adds up from, in words.

    `figures` are all figures of the calendar by id; those that come from the estimate's own working stand there.
    """

    ready: Figure
    parts: tuple[tuple[str, Figure], ...]
    figures: Mapping[str, Figure]


def working_day(today: date, days: int) -> date:
    """The day so many working days after today, Saturdays and Sundays left out; what else is a holiday isn't known.

    A working day after a Friday is the Monday:

    >>> working_day(date(2025, 3, 28), 1)
    datetime.date(2025, 3, 31)
    """
    day = today
    while days > 0 or day.weekday() >= _SATURDAY:
        day += timedelta(days=1)
        days -= day.weekday() < _SATURDAY
    return day


def earliest_day(
    minutes: Figure, items: Sequence[ItemTaken], bought: Sequence[MaterialBought], catalogue: Catalogue, rates: Rates
) -> Calendar:
    """When a job can be ready at the earliest, in days. `minutes` are those of people that are charged for it."""
    working = Working().work
    work = working.derive(
        "calendar/work", "Days of work", "day", "minutes / 60 / productive hours of a day / people at work",
        "minutes / 60 / hours / people", minutes=minutes,
        hours=setting_figure(working, rates, "productive_hours", ""),
        people=setting_figure(working, rates, "people_at_work", ""),
    )  # fmt: skip
    waits = [wait for item in items if (wait := _waiting(item, catalogue, rates, working)) is not None]
    if waits:
        named = {f"a{number}": wait for number, wait in enumerate(waits, 1)}
        waiting = working.derive(
            "calendar/waiting", "Days of waiting", "day", "the longest wait of an item / 60 / 24",
            f"greatest({', '.join(named)}) / 60 / 24", **named,
        )  # fmt: skip
    else:
        waiting = working.given("calendar/waiting", "Days of waiting", 0, "day", "nothing is glued or finished")
    delivery = _slowest_delivery(bought, catalogue.today, working)
    away = _work_sent_out(bought, working)
    queue = setting_figure(working, rates, "queue_days", "day")
    ready = working.derive(
        "calendar/ready", "Ready at the earliest", "day",
        "slowest delivery + days of work + days of waiting + days sent out + days in the queue, whole days up",
        "whole_up(delivery + work + waiting + away + queue)",
        delivery=delivery, work=work, waiting=waiting, away=away, queue=queue,
    )  # fmt: skip
    parts = (
        ("Slowest delivery", delivery), ("Work", work), ("Drying and clamping", waiting), ("Sent out", away),
        ("In the queue", queue),
    )  # fmt: skip
    return Calendar(ready, tuple((words, figure) for words, figure in parts if figure.value), working.figures)


def _waiting(item: ItemTaken, catalogue: Catalogue, rates: Rates, working: Working) -> Figure | None:
    """The elapsed minutes an item waits: in clamps once for each glue, between and after coats, and before packing."""
    taken, key = item.take_off, f"calendar/{item.id}"
    waits = [
        _time(code, "clamp", "glue_clamp", "in clamps", catalogue, rates, working)
        for code, area in taken.glue.items()
        if area.value
    ]
    last: dict[str, Figure] = {}
    for finish in taken.finishes:
        if not finish.area.value:
            continue
        recoat = _time(finish.material, "recoat", "recoat", "between coats", catalogue, rates, working)
        drying = working.derive(
            f"{key}/{finish.name}", f"{item.label}, {finish.says}: drying", "min",
            "time between coats x coats",
            "recoat * coats", recoat=recoat, coats=working.given(
                f"{key}/{finish.name}/coats", f"{item.label}, {finish.says}: coats", finish.coats, "coat", "the design"
            ),
        )  # fmt: skip
        waits.append(drying)
        name = f"a{len(last) + 1}"
        last[name] = _time(
            finish.material, "wait_before_packing", "wait_before_packing", "before packing", catalogue, rates, working
        )
    if last:
        before_packing = working.derive(
            f"{key}/before_packing", f"{item.label}: before packing", "min", "the longest of its finishes",
            f"greatest({', '.join(last)})", **last,
        )  # fmt: skip
        waits.append(before_packing)
    return working.total(f"{key}/waiting", f"{item.label}: waiting", "min", waits) if waits else None


def _time(
    code: str, name: str, fallback: str, words: str, catalogue: Catalogue, rates: Rates, working: Working
) -> Figure:
    material = catalogue.materials.get(code)
    if material is None or name not in material.values:
        return setting_figure(working, rates, fallback, "min")
    source = material.sources.get(name, "the catalogue")
    return working.given(
        f"material/{code}/{name}", f"{material.name}: time {words}", material.values[name], "min", source
    )


def _slowest_delivery(bought: Sequence[MaterialBought], today: date, working: Working) -> Figure:
    # What is charged by the share used stands in the shop already.
    offers = [purchase.offer for one in bought for purchase in one.purchases if purchase.way is not Way.SHELF]
    waited = [(days, offer.id, offer) for offer in offers if (days := (offer.comes_on(today) - today).days)]
    days, source = 0, "no offer says how long it takes"
    if waited:
        days, _, slowest = max(waited)
        names = {one.material.code: one.material.name for one in bought}
        source = f"{names[slowest.material]} from {slowest.seller}"
    return working.given("calendar/delivery", "Slowest delivery", days, "day", source)


def _work_sent_out(bought: Sequence[MaterialBought], working: Working) -> Figure:
    away = [
        one.material
        for one in bought
        if one.material.kind is Kind.SERVICE and one.purchases and one.material.values.get("wait_days")
    ]
    longest = max(away, key=lambda material: (material.values["wait_days"], material.code), default=None)
    if longest is None:
        return working.given("calendar/away", "Days sent out", 0, "day", "nothing is sent out")
    source = longest.sources.get("wait_days", "the catalogue")
    return working.given(
        "calendar/away", "Days sent out", longest.values["wait_days"], "day", f"{longest.name}: {source}"
    )
