"""A pool of jobs as its page shows it: each material alone and together, each job's share, the sheets drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.catalogue.subcontract import by_measure
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.pooling import MaterialPooled, Pool
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import CutDrawing, CutParts, cut_parts, sheet_drawings
from webapp.pages.shown.plan import gap_words
from webapp.showing import Reader, pack_words

#: More sheets than these are not drawn in the page.
MOST_DRAWN: Final = 24


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material that several jobs need: how much is bought apart and together, how near the plan is to the least
    possible, and what each costs. `note` says what is odd about it."""

    what: str
    href: str
    jobs: str
    alone: str
    together: str
    near: str
    alone_cost: str
    cost: str
    saved: str
    note: str


@dataclass(frozen=True, slots=True)
class ShareRow:
    """What one job would pay by itself, what it pays in the pool, and what it saves."""

    number: int
    title: str
    href: str
    alone: str
    share: str
    saved: str


@dataclass(frozen=True, slots=True)
class PoolShown:
    """Everything that stands beneath the ticks; materials that save the most stand first.

    `parts` say what the numbers in the drawings stand for.
    """

    materials: tuple[MaterialRow, ...]
    shares: tuple[ShareRow, ...]
    alone: str
    cost: str
    saved: str
    getting: str
    problems: tuple[str, ...]
    unpriced: tuple[str, ...]
    sheets: tuple[CutDrawing, ...]
    sheets_left: int
    parts: tuple[tuple[int, str, str], ...]


def show_pool(pool: Pool, rates: Rates, reader: Reader) -> PoolShown:
    """Put a pool into words and drawings."""
    parts = cut_parts(pool)
    named = CutParts(
        {name: replace(part, says=f"{_job(name)}: {part.says}") for name, part in parts.taken.items()},
        parts.numbers,
        parts.banded,
    )
    sheets = sheet_drawings(pool, rates, named)
    cut = {name for one in pool.bought if isinstance(one.plan, SheetPlan) and one.purchases for name in one.pieces}
    titles = {one.number: one.job.title or "A job without a name" for one in pool.jobs}
    everything = [*pool.bought, *(one for _, one in pool.single)]
    by_saving = sorted(pool.materials, key=lambda one: one.cost.value - one.alone_cost.value)
    return PoolShown(
        materials=tuple(_row(one, pool, reader) for one in by_saving),
        shares=tuple(
            ShareRow(
                one.number, titles[one.number], f"/jobs/{one.number}", reader.amount(one.alone.value),
                reader.amount(one.share.value), reader.amount(one.saved.value),
            )
            for one in pool.shares
        ),
        alone=reader.amount(pool.alone.value),
        cost=reader.amount(pool.cost.value),
        saved=reader.amount(pool.saved.value),
        getting=_getting(pool, reader),
        problems=tuple(dict.fromkeys(one.message for one in pool.problems)),
        unpriced=tuple(dict.fromkeys(one.material.name for one in everything if one.price_state == MISSING)),
        sheets=sheets[:MOST_DRAWN],
        sheets_left=max(0, len(sheets) - MOST_DRAWN),
        parts=tuple(
            (number, parts.taken[name].says, _job(name)) for name, number in parts.numbers.items() if name in cut
        ),
    )  # fmt: skip


def _getting(pool: Pool, reader: Reader) -> str:
    """What the jobs pay for stops and carriage, by themselves and together; '' where they pay nothing."""
    if not pool.getting:
        return ""
    alone = sum((one.alone.value for one in pool.getting), Fraction(0))
    cost = sum((one.share.value for one in pool.getting), Fraction(0))
    stops = in_trade_words("Stops and carriage")
    return f"{stops} are among it: {reader.money(alone)} by themselves, {reader.money(cost)} together."


def _job(name: str) -> str:
    return f"job {name.partition('/')[0]}"


def _row(one: MaterialPooled, pool: Pool, reader: Reader) -> MaterialRow:
    figures = {job.number: job.estimate.figures for job in pool.jobs}
    apart: dict[str, Fraction] = {}
    for number, own in one.alone.items():
        volume = figures[number][f"buy/{own.key}/to_buy"].value if by_measure(own.material) else None
        _add(apart, own, volume, reader)
    together: dict[str, Fraction] = {}
    if one.together and one.pooled is not None:
        volume = pool.figures[f"buy/{one.key}/to_buy"].value if by_measure(one.material) else None
        _add(together, one.pooled, volume, reader)
    saved = one.alone_cost.value - one.cost.value
    return MaterialRow(
        what=one.material.name,
        href=f"/materials/{one.material.code}",
        jobs=", ".join(str(number) for number in one.alone),
        alone=_words(apart, one, reader),
        together=_words(together, one, reader) if one.together else "stays apart",
        near=_near(one.pooled, reader) if one.together and one.pooled is not None else "",
        alone_cost=reader.amount(one.alone_cost.value),
        cost=reader.amount(one.cost.value),
        saved=reader.amount(saved),
        note=f"{one.material.name}: {one.why}." if one.why else "",
    )


def _add(held: dict[str, Fraction], bought: MaterialBought, volume: Fraction | None, reader: Reader) -> None:
    """Count a purchase by what one pack of it is; boards by their volume."""
    for purchase in bought.purchases:
        pack = pack_words(bought.material, purchase.offer, reader)
        held[pack] = held.get(pack, Fraction(0)) + (Fraction(purchase.packs) if volume is None else volume)


def _words(held: dict[str, Fraction], one: MaterialPooled, reader: Reader) -> str:
    unit = next(iter(one.alone.values())).unit
    if by_measure(one.material):
        return ", ".join(f"{reader.text(amount, unit)}, {pack}" for pack, amount in held.items())
    return ", ".join(f"{reader.pair(count, '')[0]} × {pack}" for pack, count in held.items()) or "nothing"


def _near(bought: MaterialBought, reader: Reader) -> str:
    """How good the purchase for all is known to be."""
    if bought.chance is not None:
        return f"suffices in {reader.percent(bought.chance.certainty)} of simulated purchases"
    plan = bought.plan
    if plan is None or bought.price_state == MISSING:
        return ""
    return gap_words(plan, reader)
