"""Several jobs bought for together: one purchase of each material for all of them, and each job's share of its cost.

The rule of the shares: what is bought together costs each job in proportion to what it would pay alone. Since together
is never more than alone in all, nobody pays more than alone; where it would be, the jobs buy that material apart. All
but rounding follows; the shares add up to the cent.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from webapp.costing.buying.buyer import Buyer, MaterialBought
from webapp.costing.buying.getting import Ordered, cost_of_getting, orders_too_small
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.errors import Problem
from webapp.costing.estimate.estimate import Estimate, System
from webapp.costing.items.requirements import ItemTaken, Requirement
from webapp.costing.jobs.job import Job
from webapp.costing.jobs.wishes import of_all
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import whole_number
from webapp.costing.plans.requests import PlanBook
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import BUY, CUT, SETTINGS_BY_NAME

#: More pieces than these are not planned as one.
MOST_PIECES: Final = 5_000
#: Settings beside those of cutting and buying that change what a purchase is.
MORE_OF_BUYING: Final = frozenset({"fastener_spares"})


@dataclass(frozen=True, slots=True)
class JobPooled:
    """A job on its way into a pool, with its estimate; `number` names it in all that follows."""

    number: int
    job: Job
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Share:
    """What a job would pay by itself, what it pays, and what it saves by that."""

    number: int
    alone: Figure
    share: Figure
    saved: Figure


@dataclass(frozen=True, slots=True)
class MaterialPooled:
    """One material that several jobs need: bought `together` where that is no dearer, else apart; `why` says why.

    `pooled` is the purchase for all of them, or None where it was not to be made; `alone` each job's own, by number.
    """

    key: str
    material: Material
    pooled: MaterialBought | None
    alone: Mapping[int, MaterialBought]
    together: bool
    why: str
    alone_cost: Figure
    cost: Figure
    shares: tuple[Share, ...]


@dataclass(frozen=True, slots=True)
class Pool:
    """Jobs bought for together. `items` are all of theirs, named 'job/item', `bought` what is bought together.

    `single` are purchases that stay with their job: what one job alone needs, services, and what is kept apart.
    `apart` says why a job is not in the pool at all. `shares` are those of all materials of each job, with `getting`:
    the stops and the carriage that the jobs share.
    """

    jobs: tuple[JobPooled, ...]
    apart: tuple[tuple[int, str], ...]
    materials: tuple[MaterialPooled, ...]
    bought: tuple[MaterialBought, ...]
    single: tuple[tuple[JobPooled, MaterialBought], ...]
    getting: tuple[Share, ...]
    items: tuple[ItemTaken, ...]
    shares: tuple[Share, ...]
    alone: Figure
    cost: Figure
    saved: Figure
    problems: tuple[Problem, ...]
    figures: Mapping[str, Figure]
    system: System


def pool_jobs(
    pooled_jobs: Sequence[JobPooled], catalogue: Catalogue, rates: Rates, plans: PlanBook, system: System, places: int
) -> Pool:
    """Buy for all of these jobs together, at the shop's own rates and today's prices.

    A job that changes how it cuts or buys for itself is left out, and so said; what any of the others wishes of its
    purchase is wished for all. Plans go into the book as an estimate's.
    """
    apart = tuple((one.number, why) for one in pooled_jobs if (why := _stays_apart(one.job, rates)))
    left_out = {number for number, _ in apart}
    jobs = tuple(one for one in pooled_jobs if one.number not in left_out)
    working = Working()
    wishes = of_all(one.job.buying for one in jobs)
    buyer = Buyer(catalogue, rates, working, plans, system, places, {}, wishes)
    coin = buyer.prices_paid.coin
    by_key: dict[str, dict[int, MaterialBought]] = {}
    for one in jobs:
        for bought in one.estimate.bought:
            if bought.required.value:
                by_key.setdefault(bought.key, {})[one.number] = bought
    common = {
        key: alone for key, alone in sorted(by_key.items())
        if len(alone) > 1 and next(iter(alone.values())).material.kind is not Kind.SERVICE
    }  # fmt: skip
    own = [purchase for key, alone in by_key.items() if key not in common
           for bought in alone.values() for purchase in bought.purchases]  # fmt: skip
    planned = {key: alone for key, alone in common.items() if _pieces(alone) <= MOST_PIECES}
    buyer.decide({key: required_by_all(key, alone, working) for key, alone in planned.items()}, own)
    materials = tuple(_pool_material(key, alone, buyer, coin) for key, alone in common.items())
    together = {one.key: one for one in materials if one.together}
    single = tuple((one, bought) for one in jobs for bought in one.estimate.bought
                   if bought.required.value and bought.key not in together)  # fmt: skip
    everything = [*(one.pooled for one in together.values() if one.pooled), *(bought for _, bought in single)]
    ordered = [purchase.ordered for one in everything for purchase in one.purchases]
    buyer.problems += [
        Problem("materials", said, "warning") for said in orders_too_small(ordered, catalogue.currency, places)
    ]
    getting = _share_getting(jobs, ordered, rates, coin, working)
    shares = tuple(_shares_of(one, together.values(), single, getting, working) for one in jobs)
    alone_cost = working.total(
        "pool/alone", "All materials and their way, job by job", "money", [s.alone for s in shares]
    )
    cost = working.total("pool/cost", "All materials and their way, together", "money", [s.share for s in shares])
    return Pool(
        jobs=jobs,
        apart=apart,
        materials=materials,
        bought=tuple(one.pooled for one in together.values() if one.pooled is not None),
        single=single,
        getting=getting,
        items=tuple(replace(item, id=f"{one.number}/{item.id}") for one in jobs for item in one.estimate.items),
        shares=shares,
        alone=alone_cost,
        cost=cost,
        saved=_saved(working, "pool", alone_cost, cost),
        problems=tuple(buyer.problems),
        figures=working.figures,
        system=system,
    )


def _stays_apart(job: Job, rates: Rates) -> str:
    """Why a job buys for itself alone; '' where it need not."""
    if job.rack is not None and job.rack != rates.yes("rack_used"):
        return "has a setting of its own for offcuts from the rack"
    own = [
        SETTINGS_BY_NAME[name].label
        for name in job.settings
        if name in SETTINGS_BY_NAME and (SETTINGS_BY_NAME[name].group in (CUT, BUY) or name in MORE_OF_BUYING)
    ]
    if not own:
        return ""
    return f"has a setting of its own for cutting or buying ({', '.join(f'“{label}”' for label in own)})"


def _pool_material(key: str, alone: Mapping[int, MaterialBought], buyer: Buyer, coin: Figure) -> MaterialPooled:
    """Buy one material for all jobs that need it, and see whether that is the better purchase."""
    working, material = buyer.working, next(iter(alone.values())).material
    costs = {
        number: working.given(
            f"job/{number}/alone/{key}", f"{material.name}, job {number} by itself", one.bought.value, "money",
            f"the estimate of job {number}",
        )
        for number, one in alone.items()
    }  # fmt: skip
    alone_cost = working.total(f"pool/{key}/alone", f"{material.name}, each job by itself", "money", [*costs.values()])
    pieces = _pieces(alone)
    if pieces > MOST_PIECES:
        why = f"{whole_number(pieces)} pieces are more than the {whole_number(MOST_PIECES)} that are planned as one"
        return _kept_apart(key, material, None, alone, why, alone_cost, costs, working)
    pinned = [number for number, one in alone.items() if one.pinned]
    if pinned:
        why = f"job {pinned[0]} has its cut plan pinned by hand"
        return _kept_apart(key, material, None, alone, why, alone_cost, costs, working)
    before = len(buyer.problems)
    pooled = buyer.buy(key, required_by_all(key, alone, working))
    why = ""
    if _counts_offcuts_twice(alone.values()):
        why = "each job by itself counts on the same offcuts of the rack, so that together may cost more"
    elif _left_over(pooled) > sum(_left_over(one) for one in alone.values()):
        why = "not every piece would find its place"
    elif pooled.bought.value > alone_cost.value or _loses_its_price(pooled, alone.values()):
        why = "the plan for all of them is no cheaper than those of the jobs"
    if why and not _counts_offcuts_twice(alone.values()):
        del buyer.problems[before:]
        return _kept_apart(key, material, pooled, alone, why, alone_cost, costs, working)
    shares = _divide(key, material.name, pooled.bought, alone_cost, costs, coin, working)
    return MaterialPooled(key, material, pooled, alone, True, why, alone_cost, pooled.bought, shares)


def _kept_apart(
    key: str, material: Material, pooled: MaterialBought | None, alone: Mapping[int, MaterialBought], why: str,
    alone_cost: Figure, costs: Mapping[int, Figure], working: Working,
) -> MaterialPooled:  # fmt: skip
    shares = tuple(
        Share(number, own, own, _saved(working, f"job/{number}/pool/{key}", own, own)) for number, own in costs.items()
    )
    return MaterialPooled(key, material, pooled, alone, False, why, alone_cost, alone_cost, shares)


def _pieces(alone: Mapping[int, MaterialBought]) -> int:
    return sum(blank.count for one in alone.values() for blank in one.blanks)


def _share_getting(
    jobs: Sequence[JobPooled], ordered: Sequence[Ordered], rates: Rates, coin: Figure, working: Working
) -> tuple[Share, ...]:
    """What each job pays of the stops and the carriage of all: by what it would pay alone, and never more in all than
    that, since the jobs can always have their goods as they would by themselves."""
    costs = {
        one.number: working.given(
            f"job/{one.number}/alone/getting", f"{in_trade_words('Stops and carriage')}, job {one.number} by itself",
            one.estimate.stops.value if one.estimate.stops is not None else 0, "money",
            f"the estimate of job {one.number}",
        )
        for one in jobs
    }  # fmt: skip
    stops = in_trade_words("Stops and carriage")
    alone = working.total("pool/getting/alone", f"{stops}, each job by itself", "money", [*costs.values()])
    if not alone.value:
        return ()
    together = cost_of_getting(ordered, rates, working, coin, "pool/getting")
    if together is None:
        together = working.given("pool/getting/none", f"{stops}, together", 0, "money", "none is left")
    cost = working.derive(
        "pool/getting/cost", f"{stops}, together", "money", "together, at most what all pay by themselves",
        "least(together, alone)", together=together, alone=alone,
    )  # fmt: skip
    return _divide("getting", stops, cost, alone, costs, coin, working)


def _counts_offcuts_twice(alone: Iterable[MaterialBought]) -> bool:
    """Whether the jobs by themselves take more of an offcut than stand on the rack, so that they can't stay apart."""
    taken: dict[str, int] = {}
    for one in alone:
        for purchase in one.purchases:
            if purchase.offer.offcut is not None:
                taken[purchase.offer.id] = taken.get(purchase.offer.id, 0) + purchase.packs
                if taken[purchase.offer.id] > purchase.offer.offcut.count:
                    return True
    return False


def _left_over(bought: MaterialBought) -> int:
    return sum(left.count for left in bought.plan.unplaced) if bought.plan is not None else 0


def _loses_its_price(pooled: MaterialBought, alone: Iterable[MaterialBought]) -> bool:
    """Whether the purchase for all has no price though each job's own had one, so that costs can't be compared."""
    return pooled.price_state == MISSING and all(one.price_state != MISSING for one in alone)


def required_by_all(key: str, alone: Mapping[int, MaterialBought], working: Working) -> Requirement:
    """What all jobs need of a material; items are named 'job/item'."""
    first = next(iter(alone.values()))
    requirement = Requirement(first.material, next(iter(first.required_by_item.values())).unit)
    for number, one in alone.items():
        for item, amount in one.required_by_item.items():
            figure = working.given(
                f"job/{number}/need/{key}/{item}", amount.label, amount.value, amount.unit,
                f"the estimate of job {number}",
            )  # fmt: skip
            requirement.add(f"{number}/{item}", figure)
        requirement.pieces += [replace(blank, item=f"{number}/{blank.item}") for blank in one.blanks]
    if first.material.kind is Kind.BOARD and first.blanks:
        requirement.rough_thickness = first.blanks[0].part.rough_thickness
    return requirement


def _divide(
    key: str, name: str, cost: Figure, alone_cost: Figure, costs: Mapping[int, Figure], coin: Figure,
    working: Working,
) -> tuple[Share, ...]:  # fmt: skip
    """Each job's share, in whole coins that add up: what the jobs up to it pay less what those before it pay.

    Both are rounded half up, so a share is its exact amount rounded up or down, and never above what is paid alone.
    """
    shares = []
    before = working.total(f"pool/{key}/before_all", f"{name}, before the first job", "money", [])
    for number, own in costs.items():
        through = working.total(
            f"pool/{key}/through/{number}", f"{name}, jobs up to {number} by themselves", "money",
            [before, own],
        )  # fmt: skip
        share = (
            working.derive(
                f"job/{number}/share/{key}",
                f"{name}, the share of job {number}",
                "money",
                "bought together x alone / all alone, rounded half up over the jobs up to this one",
                "half_up(cost * through / alone, coin) - half_up(cost * before / alone, coin)",
                cost=cost,
                through=through,
                before=before,
                alone=alone_cost,
                coin=coin,
            )
            if alone_cost.value
            else own
        )
        shares.append(Share(number, own, share, _saved(working, f"job/{number}/pool/{key}", own, share)))
        before = through
    return tuple(shares)


def _shares_of(
    one: JobPooled, together: Iterable[MaterialPooled], single: Sequence[tuple[JobPooled, MaterialBought]],
    getting: Sequence[Share], working: Working,
) -> Share:  # fmt: skip
    """What a job pays for all its materials and their way: its shares, and what it buys for itself."""
    number = one.number
    pooled = [share for material in together for share in material.shares if share.number == number]
    pooled += [share for share in getting if share.number == number]
    own = [
        working.given(
            f"job/{number}/own/{bought.key}", f"{bought.material.name}, of this job alone", bought.bought.value,
            "money", f"the estimate of job {number}",
        )
        for job, bought in single if job.number == number
    ]  # fmt: skip
    alone = working.total(
        f"job/{number}/alone", f"Materials of job {number} by itself", "money", [*(s.alone for s in pooled), *own]
    )
    share = working.total(
        f"job/{number}/share", f"Materials of job {number} in the pool", "money", [*(s.share for s in pooled), *own]
    )
    return Share(number, alone, share, _saved(working, f"job/{number}", alone, share))


def _saved(working: Working, key: str, alone: Figure, share: Figure) -> Figure:
    return working.derive(
        f"{key}/saved", "Saved by buying together", "money", "alone - share", "alone - share", alone=alone, share=share
    )
