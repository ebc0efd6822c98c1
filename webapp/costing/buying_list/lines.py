"""The lines of a list, frozen as it was made: what to buy, where, at what expected cost, for which jobs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from webapp.costing.catalogue.materials import CurrentPrice, PriceSeen


@dataclass(frozen=True, slots=True)
class ForJob:
    """A job that a line is for; what was paid is divided by these weights."""

    number: int
    title: str
    weight: Fraction


@dataclass(frozen=True, slots=True)
class Offered:
    """One pack of a material that can be bought: whose it is, what it holds in words, the prices seen of it, and the
    code under which its supplier knows it.

    `per` of what its price is for are in one of what is counted; 0 where a price can't be told from what was paid.
    """

    offer: str
    stop: str
    pack: str
    per: Fraction
    seen: tuple[PriceSeen, ...] = ()
    comes_delivered: bool = False
    code: str = ""

    @property
    def price(self) -> CurrentPrice | None:
        """The prices that held when the list was made."""
        return CurrentPrice(self.seen, 0) if self.seen else None


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to buy, or to take from the rack (`taken`).

    `id` says what it is, so that the same thing on a list that is made anew is the same line. `till` is what is asked
    at the counter, with or without tax as the price was seen; `expected` what that costs the shop. Both are None where
    no price is known. `others` are other packs of the same material.
    """

    id: str
    what: str
    pack: str
    note: str
    count: Fraction
    unit: str
    stop: str
    expected: Decimal | None
    till: Decimal | None
    with_tax: bool
    jobs: tuple[ForJob, ...]
    offered: Offered | None = None
    others: tuple[Offered, ...] = ()
    taken: bool = False

    @property
    def offers(self) -> tuple[Offered, ...]:
        """All packs that it can be bought as, its own first."""
        return (self.offered, *self.others) if self.offered else self.others


@dataclass(frozen=True, slots=True)
class Terms:
    """By what a list is settled, frozen with it: the tax on what is bought as a share, whether the shop reclaims it,
    from which share on a moved price is asked about, and the decimals of the currency."""

    currency: str
    places: int
    tax: Fraction
    reclaimed: bool
    jump: Fraction


@dataclass(frozen=True, slots=True)
class Need:
    """So much of a material that a job is going to use, in the unit it is needed in."""

    job: int
    material: str
    amount: Fraction


@dataclass(frozen=True, slots=True)
class Making:
    """A list as it was made at one time; `number` counts its makings from 1.

    `needs` say what its jobs use of what the shop can keep by the unit, bought or had already.
    """

    number: int
    made_on: date
    lines: tuple[Line, ...]
    terms: Terms
    needs: tuple[Need, ...] = ()

    @property
    def by_id(self) -> Mapping[str, Line]:
        """The lines by their ids."""
        return {line.id: line for line in self.lines}


def write_making(making: Making) -> dict[str, Any]:
    """The lines and terms as a document that is kept."""
    terms = making.terms
    return {
        "form": "1",
        "made_on": making.made_on.isoformat(),
        "terms": {
            "currency": terms.currency, "places": terms.places, "tax": str(terms.tax), "reclaimed": terms.reclaimed,
            "jump": str(terms.jump),
        },
        "lines": [_write_line(line) for line in making.lines],
        "needs": [{"job": one.job, "material": one.material, "amount": str(one.amount)} for one in making.needs],
    }  # fmt: skip


def read_making(number: int, document: Mapping[str, Any]) -> Making:
    """A making as `write_making` wrote it."""
    terms = document["terms"]
    return Making(
        number,
        date.fromisoformat(document["made_on"]),
        tuple(_read_line(line) for line in document["lines"]),
        Terms(
            terms["currency"], terms["places"], Fraction(terms["tax"]), terms["reclaimed"], Fraction(terms["jump"]),
        ),
        # A list that an earlier version made says nothing of them.
        tuple(Need(one["job"], one["material"], Fraction(one["amount"])) for one in document.get("needs", ())),
    )  # fmt: skip


def _write_line(line: Line) -> dict[str, Any]:
    return {
        "id": line.id, "what": line.what, "pack": line.pack, "note": line.note, "count": str(line.count),
        "unit": line.unit, "stop": line.stop, "expected": _text(line.expected), "till": _text(line.till),
        "with_tax": line.with_tax, "taken": line.taken,
        "jobs": [{"number": job.number, "title": job.title, "weight": str(job.weight)} for job in line.jobs],
        "offered": _write_offered(line.offered) if line.offered else None,
        "others": [_write_offered(one) for one in line.others],
    }  # fmt: skip


def _read_line(line: Mapping[str, Any]) -> Line:
    return Line(
        line["id"], line["what"], line["pack"], line["note"], Fraction(line["count"]), line["unit"], line["stop"],
        _amount(line["expected"]), _amount(line["till"]), line["with_tax"],
        tuple(ForJob(job["number"], job["title"], Fraction(job["weight"])) for job in line["jobs"]),
        _read_offered(line["offered"]) if line["offered"] else None,
        tuple(_read_offered(one) for one in line["others"]), line["taken"],
    )  # fmt: skip


def _write_offered(one: Offered) -> dict[str, Any]:
    return {
        "offer": one.offer, "stop": one.stop, "pack": one.pack, "per": str(one.per), "comes": one.comes_delivered,
        "code": one.code,
        "seen": [
            {
                "amount": str(seen.amount), "currency": seen.currency, "on": seen.seen_on.isoformat(),
                "where": seen.where, "from": seen.from_quantity, "with_tax": seen.with_tax,
                "delivered": seen.delivered,
            }
            for seen in one.seen
        ],
    }  # fmt: skip


def _read_offered(one: Mapping[str, Any]) -> Offered:
    seen = tuple(
        PriceSeen(
            one["offer"], Decimal(price["amount"]), price["currency"], date.fromisoformat(price["on"]), price["where"],
            "", price["from"], price["with_tax"], price["delivered"],
        )
        for price in one["seen"]
    )  # fmt: skip
    return Offered(
        one["offer"], one["stop"], one["pack"], Fraction(one["per"]), seen, one["comes"], one.get("code", "")
    )  # fmt: skip


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _amount(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
