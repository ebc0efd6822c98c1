"""Several jobs bought for together: one purchase of each material for all of them, and each job's share of its cost.

Goods and their way count as one sum: a material may cost more together where that saves more on the way, and where
everything together comes to more than the jobs by themselves, each buys for itself. So nobody pays more than alone; the
shares add up to the cent.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.buyer import Buyer
from webapp.costing.buying.getting import Ordered, cost_of_getting, orders_too_small
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.errors import Problem
from webapp.costing.estimate.estimate import Estimate, System
from webapp.costing.estimate.pool_shares import Share, as_alone, divide_by_alone, divide_way, saved_by
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
class MaterialPooled:
    """One material that several jobs need: bought `together` where the whole is no dearer by it, else apart; `why` says
    why.

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
    weighed = {key: _weigh(key, alone, buyer) for key, alone in common.items()}
    chosen = _choose(jobs, weighed, rates, coin)
    materials = tuple(_pool_material(one, chosen, working, coin) for one in weighed.values())
    together = {one.key: one for one in materials if one.together}
    dropped = [said for one in weighed.values() if one.key not in together for said in one.problems]
    single = _single(jobs, together)
    buyer.problems = [said for said in buyer.problems if said not in dropped] + [
        Problem("materials", said, "warning") for said in _too_small(jobs, chosen, catalogue.currency, places)
    ]
    getting = _share_getting(jobs, chosen, together.values(), rates, coin, working)
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
        saved=saved_by(working, "pool", alone_cost, cost),
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


@dataclass(frozen=True, slots=True)
class _Weighed:
    """A material of several jobs before it is settled whether they buy it together: `pooled` is the purchase for all,
    `apart` why it can't be made, `twice` that they can't stay apart; `problems` are those that it met."""

    key: str
    material: Material
    alone: Mapping[int, MaterialBought]
    pooled: MaterialBought | None = None
    apart: str = ""
    twice: bool = False
    problems: tuple[Problem, ...] = ()

    @property
    def dearer(self) -> bool:
        """Whether its goods cost more together than apart."""
        return self.pooled is not None and self.pooled.bought.value > _goods(self.alone.values())


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What the jobs buy together, by key, and all that is `ordered` then; None where each goes its own way. `why` says
    of the others why they stay apart."""

    together: frozenset[str]
    ordered: Sequence[Ordered] | None
    why: Mapping[str, str]


def _weigh(key: str, alone: Mapping[int, MaterialBought], buyer: Buyer) -> _Weighed:
    """Buy one material for all jobs that need it, and see what speaks against it."""
    material, pieces = next(iter(alone.values())).material, _pieces(alone)
    if pieces > MOST_PIECES:
        why = f"{whole_number(pieces)} pieces are more than the {whole_number(MOST_PIECES)} that are planned as one"
        return _Weighed(key, material, alone, apart=why)
    pinned = [number for number, one in alone.items() if one.pinned]
    if pinned:
        return _Weighed(key, material, alone, apart=f"job {pinned[0]} has its cut plan pinned by hand")
    before = len(buyer.problems)
    pooled = buyer.buy(key, required_by_all(key, alone, buyer.working))
    met = tuple(buyer.problems[before:])
    if _counts_twice(alone.values(), buyer.catalogue):
        return _Weighed(key, material, alone, pooled, twice=True, problems=met)
    why = ""
    if _left_over(pooled) > sum(_left_over(one) for one in alone.values()):
        why = "not every piece would find its place"
    elif _loses_its_price(pooled, alone.values()):
        why = "the plan for all of them is no cheaper than those of the jobs"
    return _Weighed(key, material, alone, pooled, why, problems=met)


def _choose(jobs: Sequence[JobPooled], weighed: Mapping[str, _Weighed], rates: Rates, coin: Figure) -> _Chosen:
    """What is bought together, by what all goods and their way come to."""

    def ordered(keys: frozenset[str]) -> list[Ordered]:
        everything = [*(one.pooled for key, one in weighed.items() if key in keys and one.pooled is not None)]
        everything += [bought for _, bought in _single(jobs, keys)]
        return [purchase.ordered for one in everything for purchase in one.purchases]

    def whole(keys: frozenset[str]) -> Fraction:
        found = ordered(keys)
        way = cost_of_getting(found, rates, Working(), coin)
        return sum((one.amount for one in found), Fraction(0)) + (way.value if way is not None else 0)

    why = {key: one.apart for key, one in weighed.items() if one.apart}
    bound = frozenset(key for key, one in weighed.items() if one.twice)
    together = frozenset(weighed) - frozenset(why)
    for key in sorted(together - bound):
        if weighed[key].dearer and whole(together - {key}) < whole(together):
            together -= {key}
            why[key] = "the plan for all of them is no cheaper than those of the jobs"
    least = min(together, bound, key=whole) if together else together
    why |= dict.fromkeys(together - least, "goods and their way together come to more than apart")
    if not bound:
        each = [*(bought for _, bought in _single(jobs, ()))]
        if _goods(each) + sum(_way_alone(one) for one in jobs) < whole(least):
            why |= dict.fromkeys(least, "goods and their way together come to more than each job by itself")
            return _Chosen(frozenset(), None, why)
    return _Chosen(least, ordered(least), why)


def _single(jobs: Sequence[JobPooled], together: Collection[str]) -> tuple[tuple[JobPooled, MaterialBought], ...]:
    """What each job buys for itself."""
    return tuple(
        (one, bought) for one in jobs for bought in one.estimate.bought
        if bought.required.value and bought.key not in together
    )  # fmt: skip


def _goods(bought: Iterable[MaterialBought]) -> Fraction:
    return sum((one.bought.value for one in bought), Fraction(0))


def _way_alone(one: JobPooled) -> Fraction:
    return one.estimate.stops.value if one.estimate.stops is not None else Fraction(0)


def _too_small(jobs: Sequence[JobPooled], chosen: _Chosen, currency: str, places: int) -> list[str]:
    """The orders that are filled up to their minimum, those of all or of each job."""
    if chosen.ordered is not None:
        return orders_too_small(chosen.ordered, currency, places)
    return [
        f"Job {one.number}: {said}" for one in jobs for said in orders_too_small(
            [purchase.ordered for bought in one.estimate.bought for purchase in bought.purchases], currency, places
        )
    ]  # fmt: skip


def _pool_material(one: _Weighed, chosen: _Chosen, working: Working, coin: Figure) -> MaterialPooled:
    """A material as it was chosen, and what each job pays of it."""
    key, name = one.key, one.material.name
    costs = {
        number: working.given(
            f"job/{number}/alone/{key}", f"{name}, job {number} by itself", bought.bought.value, "money",
            f"the estimate of job {number}",
        )
        for number, bought in one.alone.items()
    }  # fmt: skip
    alone_cost = working.total(f"pool/{key}/alone", f"{name}, each job by itself", "money", [*costs.values()])
    if one.pooled is None or key not in chosen.together:
        shares, why = as_alone(key, costs, working), chosen.why[key]
        return MaterialPooled(key, one.material, one.pooled, one.alone, False, why, alone_cost, alone_cost, shares)
    why = ""
    if one.twice:
        why = "each job by itself counts on the same offcuts or opened packs, so that together may cost more"
    elif one.dearer:
        why = "its goods cost more together, which saves more on the way"
    shares = divide_by_alone(key, name, one.pooled.bought, alone_cost, costs, coin, working)
    return MaterialPooled(key, one.material, one.pooled, one.alone, True, why, alone_cost, one.pooled.bought, shares)


def _pieces(alone: Mapping[int, MaterialBought]) -> int:
    return sum(blank.count for one in alone.values() for blank in one.blanks)


def _share_getting(
    jobs: Sequence[JobPooled], chosen: _Chosen, together: Iterable[MaterialPooled], rates: Rates, coin: Figure,
    working: Working,
) -> tuple[Share, ...]:  # fmt: skip
    """What each job pays of the stops and the carriage of all, as they are charged."""
    costs = {
        one.number: working.given(
            f"job/{one.number}/alone/getting", f"{in_trade_words('Stops and carriage')}, job {one.number} by itself",
            _way_alone(one), "money", f"the estimate of job {one.number}",
        )
        for one in jobs
    }  # fmt: skip
    stops = in_trade_words("Stops and carriage")
    alone = working.total("pool/getting/alone", f"{stops}, each job by itself", "money", [*costs.values()])
    if chosen.ordered is None:
        return as_alone("getting", costs, working) if alone.value else ()
    cost = cost_of_getting(chosen.ordered, rates, working, coin, "pool/getting")
    if cost is None:
        cost = working.given("pool/getting/none", f"{stops}, together", 0, "money", "none is left")
    if not alone.value and not cost.value:
        return ()
    shares = [share for material in together for share in material.shares]
    saved = {
        number: working.total(
            f"job/{number}/saved_by_goods", f"Saved by the goods of job {number}", "money",
            [one.saved for one in shares if one.number == number],
        )
        for number in costs
    }  # fmt: skip
    return divide_way(cost, alone, costs, saved, coin, working)


def _counts_twice(alone: Collection[MaterialBought], catalogue: Catalogue) -> bool:
    """Whether the jobs by themselves take more of an offcut than stand on the rack, or more of an opened tin than is in
    it, so that they can't stay apart."""
    taken: dict[str, int] = {}
    code = next(iter(alone)).material.code
    if sum((one.from_stock for one in alone), Fraction(0)) > catalogue.on_hand.get(code, Fraction(0)):
        return True
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
    return Share(number, alone, share, saved_by(working, f"job/{number}", alone, share))
