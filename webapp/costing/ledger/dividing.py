"""One amount divided among the items of a job, so that the shares add up to it and none falls below nothing."""

from __future__ import annotations

from collections.abc import Mapping

from webapp.costing.ledger.working import Figure, Working


def divide(
    working: Working, key: str, label: str, amount: Figure, weights: Mapping[str, Figure], coin: Figure
) -> dict[str, Figure]:
    """The share of each weight's owner, in whole coins; the last takes what rounding leaves over.

    The weights have to come to more than nothing. Figures stand under `key`/….

    >>> from webapp.costing.ledger.working import smallest_coin
    >>> working = Working()
    >>> coin = smallest_coin(working, 2)
    >>> paid = working.given("paid", "Glue", 10, "money", "the invoice")
    >>> each = {name: working.given(name, "Area", 1, "m2", "the design") for name in ("a", "b", "c")}
    >>> [str(one.value) for one in divide(working, "glue", "Glue", paid, each, coin).values()]
    ['333/100', '333/100', '167/50']
    """
    owners = list(weights)
    if len(owners) == 1:
        return {owners[0]: amount}
    whole = working.total(
        f"{key}/by", f"{label}: all that it is divided by", weights[owners[0]].unit, [*weights.values()]
    )
    shares: dict[str, Figure] = {}
    for owner in owners[:-1]:
        left = _left(working, key, label, amount, shares, owner)
        shares[owner] = working.derive(
            f"{key}/share/{owner}", f"{label}, this item's share", "money",
            "amount x need of this item / need of all, rounded half up, at most what is left",
            "least(left, half_up(amount * own / whole, coin))",
            left=left, amount=amount, own=weights[owner], whole=whole, coin=coin,
        )  # fmt: skip
    shares[owners[-1]] = _left(working, key, label, amount, shares, owners[-1])
    return shares


def _left(working: Working, key: str, label: str, amount: Figure, shares: Mapping[str, Figure], owner: str) -> Figure:
    """What the shares given so far leave."""
    given = working.total(f"{key}/given_before/{owner}", f"{label}: shares given before", "money", [*shares.values()])
    return working.derive(
        f"{key}/left_for/{owner}", f"{label}, not yet divided", "money", "amount - shares given before",
        "amount - given", amount=amount, given=given,
    )  # fmt: skip
