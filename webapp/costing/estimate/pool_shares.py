"""What each job of a pool pays: in whole coins that add up, and never more in all than by itself.

A material costs each job in proportion to what it would pay alone. So does the way of the goods, unless that left a job
worse off than alone: then each pays of it by what it saves before the way is paid.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.trade_words import in_trade_words


@dataclass(frozen=True, slots=True)
class Share:
    """What a job would pay by itself, what it pays, and what it saves by that."""

    number: int
    alone: Figure
    share: Figure
    saved: Figure


def saved_by(working: Working, key: str, alone: Figure, share: Figure) -> Figure:
    """What is saved by buying together."""
    return working.derive(
        f"{key}/saved", "Saved by buying together", "money", "alone - share", "alone - share", alone=alone, share=share
    )


def as_alone(key: str, costs: Mapping[int, Figure], working: Working) -> tuple[Share, ...]:
    """Each job pays what it does by itself."""
    return tuple(
        Share(number, own, own, saved_by(working, f"job/{number}/pool/{key}", own, own))
        for number, own in costs.items()
    )


def divide_by_alone(
    key: str, name: str, cost: Figure, alone_cost: Figure, costs: Mapping[int, Figure], coin: Figure,
    working: Working,
) -> tuple[Share, ...]:  # fmt: skip
    """Each job's share by what it would pay alone; as alone where that is nothing."""
    if not alone_cost.value:
        return as_alone(key, costs, working)
    words = "bought together x alone / all alone"
    shares = _divide(key, name, cost, alone_cost, costs, words, coin, working)
    return _told(key, costs, shares, working)


def divide_way(
    cost: Figure, alone_cost: Figure, costs: Mapping[int, Figure], saved: Mapping[int, Figure], coin: Figure,
    working: Working,
) -> tuple[Share, ...]:  # fmt: skip
    """Each job's share of the stops and the carriage of all; `saved` is what each saves by its goods."""
    key, name = "getting", in_trade_words("Stops and carriage")
    by_alone = "together x alone / all alone"
    if alone_cost.value and cost.value <= alone_cost.value:
        shares = _divide(key, name, cost, alone_cost, costs, by_alone, coin, working)
        if all(own.value + saved[number].value >= shares[number].value for number, own in costs.items()):
            return _told(key, costs, shares, working)
    room = {
        number: working.derive(
            f"job/{number}/before_way", f"Saved by job {number} before the way is paid", "money",
            "its way alone + saved by its goods", "own + saved", own=own, saved=saved[number],
        )
        for number, own in costs.items()
    }  # fmt: skip
    # Whose goods are dearer by more than its way is made good by the others.
    made_good = {number: one for number, one in room.items() if one.value < 0}
    paying = {number: one for number, one in room.items() if one.value > 0}
    given = working.total("pool/way/made_good", f"{name}, made good", "money", [*made_good.values()])
    left = working.derive(
        "pool/way/left", f"{name} to divide", "money", "together, and what is made good", "cost - given",
        cost=cost, given=given,
    )  # fmt: skip
    nothing = working.given("money/nothing", "Nothing", 0, "money", "no order pays back")
    whole = working.total("pool/way/room", "Saved by all before the way is paid", "money", [*paying.values()])
    if left.value > whole.value:
        # Only where they can't stay apart: then by the way alone, else one as much as the other.
        one_each = {number: working.given(f"job/{number}/one", f"Job {number}", 1, "", "one job") for number in costs}
        paying, made_good, left = {**costs} if alone_cost.value else one_each, {}, cost
        unit = "money" if alone_cost.value else ""
        whole = working.total("pool/way/weights", f"{name}: all that it is divided by", unit, [*paying.values()])
    shares = _divide("way", name, left, whole, paying, "to divide x own / that of all", coin, working) if paying else {}
    return _told(
        key, costs, {number: shares.get(number, made_good.get(number, nothing)) for number in costs}, working
    )  # fmt: skip


def _told(key: str, costs: Mapping[int, Figure], shares: Mapping[int, Figure], working: Working) -> tuple[Share, ...]:
    return tuple(
        Share(number, own, shares[number], saved_by(working, f"job/{number}/pool/{key}", own, shares[number]))
        for number, own in costs.items()
    )


def _divide(
    key: str, name: str, cost: Figure, whole: Figure, weights: Mapping[int, Figure], words: str, coin: Figure,
    working: Working,
) -> dict[int, Figure]:  # fmt: skip
    """Each job's share, in whole coins that add up: what the jobs up to it pay less what those before it pay.

    Both are rounded half up, so a share is its exact amount rounded up or down, and never above a whole weight where
    all the weights come to no less than what is divided.
    """
    shares = {}
    before = working.total(f"pool/{key}/before_all", f"{name}, before the first job", whole.unit, [])
    for number, own in weights.items():
        through = working.total(
            f"pool/{key}/through/{number}", f"{name}, jobs up to {number} by themselves", whole.unit, [before, own]
        )
        shares[number] = working.derive(
            f"job/{number}/share/{key}", f"{name}, the share of job {number}", "money",
            f"{words}, rounded half up over the jobs up to this one",
            "half_up(cost * through / alone, coin) - half_up(cost * before / alone, coin)",
            cost=cost, through=through, before=before, alone=whole, coin=coin,
        )  # fmt: skip
        before = through
    return shares
