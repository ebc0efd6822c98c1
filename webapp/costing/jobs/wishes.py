"""What somebody wants of a purchase beside its least cost, pressed or chosen by hand and kept with the job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

from webapp.costing.jobs.fields import FormReader

WISH_KEYS: Final = ("without", "by", "fewest", "chosen")


@dataclass(frozen=True, slots=True)
class Wishes:
    """Suppliers left out, the day by which all is to be here, the fewest suppliers, and offers chosen by hand, by
    material code."""

    without: frozenset[str] = frozenset()
    by: date | None = None
    fewest: bool = False
    chosen: Mapping[str, str] = field(default_factory=dict)

    def leaving_out(self, supplier: str) -> Wishes:
        """The same, and a supplier left out."""
        return replace(self, without=self.without | {supplier})

    def buying_of(self, supplier: str) -> Wishes:
        """The same, and a supplier no longer left out."""
        return replace(self, without=self.without - {supplier})

    def choosing(self, material: str, offer: str) -> Wishes:
        """The same with an offer of a material chosen by hand; '' leaves it to the sum again."""
        others = {code: one for code, one in self.chosen.items() if code != material}
        return replace(self, chosen={**others, material: offer} if offer else others)


NO_WISHES: Final = Wishes()


def of_all(wishes: Iterable[Wishes]) -> Wishes:
    """What several jobs wish of one purchase: all that any of them does, by the earliest day."""
    held = [*wishes]
    days = [one.by for one in held if one.by is not None]
    return Wishes(
        frozenset().union(*(one.without for one in held)), min(days, default=None), any(one.fewest for one in held),
        {code: offer for one in reversed(held) for code, offer in one.chosen.items()},
    )  # fmt: skip


def read_wishes(reader: FormReader, value: object) -> Wishes:
    """The wishes that a job form holds."""
    held = reader.mapping(value, "buying", WISH_KEYS)
    without = reader.text(held.get("without"), "buying.without")
    chosen = {
        code: offer
        for code, told in reader.mapping(held.get("chosen"), "buying.chosen", None).items()
        if (offer := reader.text(told, f"buying.chosen.{code}"))
    }
    return Wishes(
        frozenset(without.replace(",", " ").split()), reader.day(held.get("by"), "buying.by"),
        reader.yes(held.get("fewest"), "buying.fewest"), chosen,
    )  # fmt: skip


def write_wishes(wishes: Wishes) -> dict[str, object]:
    """The wishes as a job form holds them; nothing where there are none."""
    document: dict[str, object] = {}
    if wishes.without:
        document["without"] = ", ".join(sorted(wishes.without))
    if wishes.by is not None:
        document["by"] = wishes.by.isoformat()
    if wishes.fewest:
        document["fewest"] = "yes"
    if wishes.chosen:
        document["chosen"] = dict(wishes.chosen)
    return document
