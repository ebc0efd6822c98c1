"""Keeping the value that was found: in the shop's settings, in its steps, or as a price that was seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from sqlalchemy.orm import Session

from webapp.costing.errors import FormError
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.made_before.causes import Cause, price_of, steps_with
from webapp.documents.printing.paper import shortened
from webapp.pages.prices.typed_price import Keeper, keep_seen
from webapp.pages.settings.keeping import LONGEST_WHY
from webapp.pages.settings.view import source_words
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import current_rate_set, own_rates, save_rates
from webapp.persistence.settings.shop import Shop

MEANWHILE = "The shop’s settings were changed meanwhile, so nothing was kept: look at what it says now, then keep it."


@dataclass(frozen=True, slots=True)
class Bench:
    """A bench that was made, and what its estimate was made from."""

    job: StoredJob
    inputs: Inputs

    @property
    def why(self) -> str:
        """Where a value comes from that was found on it."""
        title = f"worked back from job {self.job.number}, {self.job.title}".rstrip(", ")
        return shortened(title, LONGEST_WHY)


def keep_value(
    session: Session, shop: Shop, user: User, at: datetime, bench: Bench, cause: Cause, value: Fraction
) -> str:  # fmt: skip
    """Keep a value as the shop's own, or as a price seen today; gives the sentence why it can't be."""
    if cause.offer:
        keeper = Keeper(session, shop, user, at, shop.today(at), bench.why)
        seen = replace(price_of(bench.inputs, cause, value), where=bench.why, by=user.name)
        return keep_seen(keeper, seen)
    held = current_rate_set(session)
    if held.rates != bench.inputs.rates:
        return MEANWHILE
    values, steps = own_rates(held.rates)
    values |= dict.fromkeys(cause.settings, value)
    if cause.steps:
        steps |= steps_with(held.rates, cause, value)
    try:
        save_rates(
            session, values, steps, held.number, reason=bench.why, source=source_words(user.name, at, bench.why, shop),
            at=at, by=user.id, answered=cause.settings,
        )  # fmt: skip
    except StaleSave:
        return MEANWHILE
    except FormError as wrong:
        return str(wrong)
    return ""
