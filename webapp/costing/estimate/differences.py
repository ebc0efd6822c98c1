"""What two estimates differ in, line by line and adding up to the cent: the amounts that move, before and after.

Read from the documents that estimates are kept as, so that what a quote was issued with is compared as it was issued.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

#: Amounts by a key that both sides share: the words for it, and the amount.
Amounts = Mapping[str, tuple[str, Fraction]]

#: The foot of a quote: name in the document, words, and the sign with which it goes into the total.
_FOOT: Final = (("discount", "Discount", -1), ("tax", "Tax", 1), ("fee", "Card fee", 1))


@dataclass(frozen=True, slots=True)
class Move:
    """An amount before and after; None where it stands on one side only."""

    key: str
    label: str
    before: Fraction | None
    after: Fraction | None

    @property
    def by(self) -> Fraction:
        """How much more it is after; what is on one side only counts as nothing on the other."""
        return (self.after or Fraction(0)) - (self.before or Fraction(0))


@dataclass(frozen=True, slots=True)
class Differences:
    """What moves between two estimates. `lines` and `foot` add to `total`, which stands here whether it moves or not.

    `materials` are purchases and `prices` those of one pack, `hours` the minutes charged by step with their sum in
    `minutes`.
    """

    lines: tuple[Move, ...]
    foot: tuple[Move, ...]
    total: Move
    materials: tuple[Move, ...]
    prices: tuple[Move, ...]
    hours: tuple[Move, ...]
    minutes: Move

    @property
    def any(self) -> bool:
        """Whether anything moves."""
        return bool(self.lines or self.foot or self.total.by or self.materials or self.prices or self.hours)


def moved(before: Amounts, after: Amounts) -> tuple[Move, ...]:
    """What moves, in the order of the earlier side; an amount under other words on either side is one amount."""
    moves = []
    for key in {**before, **after}:
        label = (after.get(key) or before[key])[0]
        was, now = (side[key][1] if key in side else None for side in (before, after))
        if (was or Fraction(0)) != (now or Fraction(0)):
            moves.append(Move(key, label, was, now))
    return tuple(moves)


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> Differences:
    """What moves from one estimate's document to another's."""
    return Differences(
        moved(_lines(before), _lines(after)),
        moved(_foot(before), _foot(after)),
        Move("total", "Total to pay", _total(before, "total"), _total(after, "total")),
        moved(_materials(before), _materials(after)),
        _moved_prices(before, after),
        moved(_steps(before), _steps(after)),
        Move("minutes", "All steps", _total(before, "minutes_charged"), _total(after, "minutes_charged")),
    )


def materials_bought(document: Mapping[str, Any]) -> Fraction:
    """What an estimate's materials come to as bought."""
    return sum((amount for _, amount in _materials(document).values()), Fraction(0))


def _total(document: Mapping[str, Any], name: str) -> Fraction:
    return Fraction(document["totals"][name])


def _lines(document: Mapping[str, Any]) -> dict[str, tuple[str, Fraction]]:
    return {line["id"]: (line["label"], Fraction(line["price"])) for line in document["lines"]}


def _foot(document: Mapping[str, Any]) -> dict[str, tuple[str, Fraction]]:
    return {name: (words, sign * _total(document, name)) for name, words, sign in _FOOT}


def _materials(document: Mapping[str, Any]) -> dict[str, tuple[str, Fraction]]:
    """Purchases by material; one that is bought for several needs apart counts once."""
    found: dict[str, tuple[str, Fraction]] = {}
    for one in document["materials"]:
        held = found.get(one["code"], ("", Fraction(0)))[1]
        found[one["code"]] = (one["name"], held + Fraction(one["bought"] or 0))
    return found


def _moved_prices(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Move, ...]:
    """Prices of offers that both sides buy: what is bought on one side only has no price that moved."""
    was, now = _prices(before), _prices(after)
    both = was.keys() & now.keys()
    return moved({key: was[key] for key in was if key in both}, {key: now[key] for key in now if key in both})


def _prices(document: Mapping[str, Any]) -> dict[str, tuple[str, Fraction]]:
    return {
        purchase["offer"]: (one["name"], Fraction(purchase["each"]))
        for one in document["materials"]
        for purchase in one["purchases"]
        if purchase["each"] is not None
    }


def _steps(document: Mapping[str, Any]) -> dict[str, tuple[str, Fraction]]:
    """Minutes charged by step; which item it is for is said where there are several."""
    items = {item["id"]: item["label"] for item in document["items"]}
    found: dict[str, tuple[str, Fraction]] = {}
    for step in document["steps"]:
        aside = f", {items[step['item']]}" if len(items) > 1 and step["item"] in items else ""
        key = f"{step['item']}/{step['operation']}"
        held = found.get(key, ("", Fraction(0)))[1]
        found[key] = (step["label"] + aside, held + Fraction(step["charged"]))
    return found
