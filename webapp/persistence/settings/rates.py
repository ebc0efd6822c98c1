"""The shop's settings and steps as kept: whole sets, each added after the last and never changed.

A set holds only what the shop has of its own; everything else follows the program's figures of the edition that the
shop has taken. A later edition is an offer: taking it is a set of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from fractions import Fraction
from typing import Any, Final
from uuid import UUID

from sqlalchemy import ForeignKey, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.costing.errors import FormError, Problem
from webapp.costing.settings.operations import steps_in
from webapp.costing.settings.rates import EDITION, STEP_NUMBERS, OperationRate, Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME, default_rates
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.base import Row
from webapp.persistence.foundation.column_types import CanonicalJson
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.foundation.lists import PAGE_SIZE, Page, turn_to
from webapp.persistence.settings.shop import ShopRow

DEFAULT_SET: Final = 0
"""The number of what a new shop starts from, before it has saved a set of its own."""


class RateSetRow(Row):
    """One set of own settings, {name: {value, source}}, and own steps by name; a trigger keeps it so."""

    __tablename__ = "rate_sets"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    values: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    operations: Mapped[dict[str, Any]] = mapped_column(CanonicalJson)
    edition: Mapped[int] = mapped_column(server_default="1")
    reason: Mapped[str]
    created_at: Mapped[datetime]
    created_by: Mapped[UUID | None] = mapped_column(ForeignKey("users.id"))


@dataclass(frozen=True, slots=True)
class StoredRates:
    """One whole set of rates: its number (0 the defaults), when it was saved, by whom and why."""

    number: int
    rates: Rates
    reason: str = ""
    created_at: datetime | None = None
    created_by: UUID | None = None


@dataclass(frozen=True, slots=True)
class RateSetListed:
    """A set in the list, with the names of what the shop has of its own in it."""

    number: int
    reason: str
    created_at: datetime
    created_by: UUID | None
    own: tuple[str, ...]


def current_rates(session: Session) -> Rates:
    """The rates that hold now."""
    return current_rate_set(session).rates


def current_rate_set(session: Session) -> StoredRates:
    """The last set saved, or the defaults under the number 0."""
    row = session.scalar(select(RateSetRow).order_by(RateSetRow.number.desc()).limit(1))
    return load_rate_set(session, DEFAULT_SET) if row is None else _stored(row)


def load_rate_set(session: Session, number: int) -> StoredRates:
    """One set by its number, with 0 for the defaults. Raises NotKept."""
    if number == DEFAULT_SET:
        began = session.scalar(select(ShopRow.edition))
        return StoredRates(DEFAULT_SET, default_rates(EDITION if began is None else began))
    row = session.scalar(select(RateSetRow).where(RateSetRow.number == number))
    if row is None:
        raise NotKept("set of rates", number)
    return _stored(row)


def list_rate_sets(session: Session, *, number: int = 1, size: int = PAGE_SIZE) -> Page[RateSetListed]:
    """The sets that were saved, the last first."""
    rows, total = turn_to(session, select(RateSetRow).order_by(RateSetRow.number.desc()), number, size)
    sets = [row[0] for row in rows]
    return Page(
        tuple(
            RateSetListed(one.number, one.reason, one.created_at, one.created_by, (*one.values, *one.operations))
            for one in sets
        ),
        total,
        number,
        size,
    )


def save_rates(
    session: Session,
    values: Mapping[str, Fraction],
    operations: Mapping[str, OperationRate],
    base: int,
    *,
    reason: str,
    source: str,
    at: datetime,
    by: UUID | None = None,
    edition: int | None = None,
    answered: Collection[str] = (),
) -> StoredRates:
    """Add a set in which these settings and steps are the shop's own, in place of those of the set before.

    All else follows `edition`, or the one that was followed before. What equals its default is no longer the shop's
    own, but for what is `answered`: the shop gave it as its own figure, now or earlier, and keeps it. `source` is kept
    with what differs from set `base`, the one that was edited; the rest keeps the source it had.
    Raises StaleSave where another set was saved since, and FormError with every setting that is unknown or out of its
    limits and every step whose minutes make no sense.
    """
    # Two who save at once take turns at the shop's row, so that the second one sees the first one's set.
    session.execute(select(ShopRow.id).with_for_update())
    current = current_rate_set(session)
    edition = current.rates.edition if edition is None else edition
    given = default_rates(edition)
    own_values = {
        name: value
        for name, value in values.items()
        if given.values.get(name) != value or name in answered or _stands(current.rates, name, value)
    }
    own_steps = {name: step for name, step in operations.items() if not _same_step(given.operations.get(name), step)}
    if problems := (*_wrong_values(own_values), *_wrong_steps(own_steps)):
        raise FormError(problems)
    rates = _rates(
        {
            name: {"value": str(Fraction(value)), "source": _source(current.rates, name, value, source)}
            for name, value in own_values.items()
        },
        {name: _step_text(_step_with_source(current.rates, step, source)) for name, step in own_steps.items()},
        edition,
    )
    if current.number != base:
        raise StaleSave("set of rates", current, StoredRates(base, rates, reason, at, by))
    row = RateSetRow(
        number=current.number + 1,
        values={name: {"value": str(rates.values[name]), "source": rates.sources[name]} for name in own_values},
        operations={name: _step_text(rates.operations[name]) for name in own_steps},
        edition=edition,
        reason=reason,
        created_at=at,
        created_by=by,
    )
    session.add(row)
    session.flush()
    record(session, HistoryEntry(at, by, "saved", "rates", str(row.number), {"reason": reason}))
    return _stored(row)


def take_edition(
    session: Session, keep: Collection[str], base: int, *, source: str, at: datetime, by: UUID | None = None
) -> StoredRates:
    """Follow the program's last edition from now on; what is named in `keep` stays as it was, as the shop's own.

    Raises StaleSave where another set was saved since `base`.
    """
    held = current_rate_set(session).rates
    values, steps = own_rates(held)
    for name in keep:
        if name in SETTINGS_BY_NAME:
            values[name] = held[name]
        elif name in held.operations:
            steps[name] = held.operations[name]
    return save_rates(
        session, values, steps, base, reason=f"Figures of edition {EDITION} taken", source=source, at=at, by=by,
        edition=EDITION,
    )  # fmt: skip


def own_rates(rates: Rates) -> tuple[dict[str, Fraction], dict[str, OperationRate]]:
    """The settings and the steps of a set that are the shop's own, as `save_rates` takes them."""
    return (
        {name: value for name, value in rates.values.items() if name in rates.own},
        {name: step for name, step in rates.operations.items() if name in rates.own},
    )


def _wrong_values(values: Mapping[str, Fraction]) -> list[Problem]:
    problems = []
    for name, value in sorted(values.items()):
        setting = SETTINGS_BY_NAME.get(name)
        if setting is None:
            problems.append(Problem(name, f"The shop has no setting called “{name}”."))
        elif not setting.least <= value <= setting.most:
            problems.append(Problem(name, f"{setting.label}: the value given is out of range."))
    return problems


def _wrong_steps(steps: Mapping[str, OperationRate]) -> list[Problem]:
    problems = []
    for name, step in sorted(steps.items()):
        if step.set_up < 0 or not 0 <= step.low <= step.likely <= step.high:
            problems.append(Problem(name, f"{step.label}: minutes go up from low over likely to high, from 0 on."))
        if not 1 <= step.people <= 20:
            problems.append(Problem(name, f"{step.label}: {step.people} people is out of range; it goes from 1 to 20."))
    return problems


def _stands(held: Rates, name: str, value: Fraction) -> bool:
    """Whether it was the shop's own already and is as it was: answered once, though it equals its default."""
    return name in held.own and held.values[name] == value == default_rates(held.edition).values.get(name)


def _source(held: Rates, name: str, value: Fraction, source: str) -> str:
    return held.sources[name] if name in held.own and held.values[name] == value else source


def _step_with_source(held: Rates, step: OperationRate, source: str) -> OperationRate:
    before = held.operations.get(step.name)
    return replace(step, source=before.source if before is not None and _same_step(before, step) else source)


def _same_step(before: OperationRate | None, step: OperationRate) -> bool:
    return before is not None and replace(step, source=before.source) == before


def _step_text(step: OperationRate) -> dict[str, Any]:
    held = {field.name: getattr(step, field.name) for field in fields(step)}
    return {name: str(value) if name in STEP_NUMBERS else value for name, value in held.items()}


def _step(text: Mapping[str, Any]) -> OperationRate:
    known = {field.name for field in fields(OperationRate)}
    held: dict[str, Any] = {
        name: Fraction(value) if name in STEP_NUMBERS else value for name, value in text.items() if name in known
    }
    # A step kept before it was told what a set-up is for has that of the program's step of its name.
    # What it is called is the program's to say, in the shop's trade words.
    given = steps_in(EDITION).get(text["name"])
    return replace(given, **held | {"label": given.label}) if given is not None else OperationRate(**held)


def _rates(values: Mapping[str, Any], operations: Mapping[str, Any], edition: int) -> Rates:
    given = default_rates(edition)
    # A setting that a later program no longer has is left where it is kept and moves nothing.
    own = {name: held for name, held in values.items() if name in given.values}
    return Rates(
        values={**given.values, **{name: Fraction(held["value"]) for name, held in own.items()}},
        operations={**given.operations, **{name: _step(text) for name, text in operations.items()}},
        sources={**given.sources, **{name: held["source"] for name, held in own.items()}},
        own=frozenset(own) | frozenset(operations),
        edition=edition,
    )


def _stored(row: RateSetRow) -> StoredRates:
    rates = _rates(row.values, row.operations, row.edition)
    return StoredRates(row.number, rates, row.reason, row.created_at, row.created_by)
