"""Keeping a changed set of rates: the word why, and what happens where someone else kept one meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from typing import Final, cast

from sqlalchemy.orm import Session

from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.settings.rates import OperationRate
from webapp.pages.settings.view import changes, set_name, source_words
from webapp.pages.web.times import names_of
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import StoredRates, current_rate_set, load_rate_set, own_rates, save_rates
from webapp.persistence.settings.shop import Shop

LONGEST_WHY: Final = 200


@dataclass(frozen=True, slots=True)
class Keeping:
    """The foot of a settings form: the set it began from, the word why, and what stands against keeping it.

    `said` is a sentence about the whole form; `theirs` what another set changed since: its name, before, now.
    """

    base: int
    why: str = ""
    problem: str = ""
    said: str = ""
    theirs: tuple[tuple[str, str, str], ...] = ()


def read_keeping(typed: Mapping[str, str]) -> Keeping:
    """The foot of a form that was sent."""
    number, why = typed.get("base", ""), " ".join(typed.get("why", "").split())
    base = small_number(number) or 0
    if not why:
        return Keeping(base, why, "Say in a few words why: it stands beside the set, and in the workings.")
    if len(why) > LONGEST_WHY:
        return Keeping(base, why, f"This has {len(why)} characters; at most {LONGEST_WHY} are kept.")
    return Keeping(base, why)


def keep_set(
    session: Session, shop: Shop, user: User, at: datetime, keeping: Keeping, values: Mapping[str, Fraction],
    steps: Mapping[str, OperationRate],
) -> tuple[StoredRates | None, Keeping]:  # fmt: skip
    """Keep these own settings and steps as a new set; None, and the form's foot with a sentence, where none was kept.

    Raises FormError with what is out of range.
    """
    held = current_rate_set(session)
    if keeping.base == held.number:
        if (dict(values), dict(steps)) == own_rates(held.rates):
            return None, replace(keeping, said="Nothing was changed, so no new set was kept.")
        try:
            source = source_words(user.name, at, keeping.why, shop)
            return save_rates(
                session, values, steps, keeping.base, reason=keeping.why, source=source, at=at, by=user.id
            ), keeping  # fmt: skip
        except StaleSave as stale:
            held = cast(StoredRates, stale.stored)
    return None, _meanwhile(session, shop, keeping, held)


def _meanwhile(session: Session, shop: Shop, keeping: Keeping, held: StoredRates) -> Keeping:
    """The foot of a form that began from a set which is no longer the last one."""
    try:
        before = load_rate_set(session, keeping.base)
    except NotKept:
        before = load_rate_set(session, 0)
    who = names_of(session, [held.created_by]).get(held.created_by) if held.created_by else ""
    said = (
        f"{set_name(held).capitalize()} was kept meanwhile{f' by {who}' if who else ''}: “{held.reason}”. Yours was "
        "not kept yet; what you typed stands below. Look at what changed, then keep yours."
    )
    return replace(keeping, base=held.number, said=said, theirs=changes(before.rates, held.rates, shop))
