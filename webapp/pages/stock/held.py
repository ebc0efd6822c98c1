"""Who holds which pieces of the rack, in words: what a quote counts on and can't have, and what is paid instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.estimate.estimate import Estimate
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_from
from webapp.pages.sheet.page import Worked
from webapp.pages.shown.offcuts import size_words
from webapp.persistence.catalogue.records import rack_for
from webapp.persistence.jobs.records import StoredJob, load_job
from webapp.persistence.quotes.records import QuoteListed
from webapp.persistence.rack.holds import Held, counted_on, holds_on, taken_for
from webapp.persistence.rack.records import StoredOffcut, load_offcut
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader, counted
from webapp.standing import as_it_can_be_cut, as_quoted, missing_offcuts


@dataclass(frozen=True, slots=True)
class PieceRow:
    """An offcut that a quote counts on, how many, and how they stand; `lost` where some of them can't be had."""

    href: str
    words: str
    number: int
    state: str
    lost: bool


@dataclass(frozen=True, slots=True)
class RackOfQuote:
    """What a quote takes from the rack, and what its job costs where it can't have all of that."""

    rows: tuple[PieceRow, ...] = ()
    instead: str = ""


NOTHING_OF_RACK: Final = RackOfQuote()


def rack_of_quote(session: Session, listed: QuoteListed, shop: Shop, today: date) -> RackOfQuote:
    """How the offcuts that a quote counts on stand, while it may still be made; nothing for any other."""
    if listed.state not in ("standing", "accepted"):
        return NOTHING_OF_RACK
    quoted = as_quoted(session, listed, today)
    asked = counted_on(quoted.stored.estimate)
    if not asked:
        return NOTHING_OF_RACK
    job = load_job(session, listed.job_id)
    missing, had = missing_offcuts(session, job, quoted), taken_for(session, job.number)
    holds = holds_on(session, asked)
    rows = tuple(
        _row(load_offcut(session, key), number, missing.get(key, 0), had.get(key, 0), holds.get(key, ()), job, shop)
        for key, number in sorted(asked.items())
    )
    if not missing:
        return RackOfQuote(rows)
    was = estimate_from(session, quoted.inputs)
    now = estimate_from(session, as_it_can_be_cut(session, job, quoted))
    return RackOfQuote(rows, _instead(was, now, reader_of(shop), sum(missing.values())))


def held_beside(session: Session, job: StoredJob, worked: Worked, shop: Shop, *, money: bool) -> tuple[str, ...]:
    """What a job that nothing was agreed for would take from the rack if no other job held it: who holds it, and by
    how much the job costs more without it."""
    codes = {one.material.code for one in worked.estimate.bought}
    free = worked.inputs.catalogue.offcuts
    with_held = {code: found for code, found in rack_for(session, codes, (), held=True).items() if code in codes}
    if not _more(with_held, free):
        return ()
    offcuts = {**free, **with_held}
    inputs = replace(worked.inputs, catalogue=replace(worked.inputs.catalogue, offcuts=offcuts))
    found = estimate_from(session, inputs)
    there = {one.id: one.count for several in free.values() for one in several}
    taken = [
        (UUID(one.offer.offcut.id), one.packs - there.get(one.offer.offcut.id, 0))
        for bought in found.bought
        for one in bought.purchases
        if one.offer.offcut is not None and one.packs > there.get(one.offer.offcut.id, 0)
    ]
    if not taken:
        return ()
    holds = holds_on(session, [key for key, _ in taken])
    said = []
    for key, number in taken:
        others = [one for one in holds.get(key, ()) if one.job_id != job.id]
        stored = load_offcut(session, key)
        said.append(f"{_called(stored, shop)}: {_is_held(others[-number:])}.")
    if money:
        said.append(_pays(worked.estimate, found, reader_of(shop)))
    return tuple(said)


def held_words(held: Iterable[Held]) -> str:
    """The jobs that hold pieces: 'job 7 (quote 3, revision 1)'."""
    named: dict[str, int] = {}
    for one in held:
        by = f" (quote {one.quote_number}, revision {one.revision})" if one.quote_number else ""
        words = f"job {one.job_number}{by}"
        named[words] = named.get(words, 0) + 1
    return " and ".join(words if number == 1 else f"{words}, {number} of them" for words, number in named.items())


def _is_held(held: Iterable[Held]) -> str:
    words = held_words(held)
    return f"held for {words}" if words else "no longer as it was counted on"


def _more(wider: Mapping[str, tuple[object, ...]], free: Mapping[str, tuple[object, ...]]) -> bool:
    return any(wider[code] != free.get(code, ()) for code in wider)


def _called(stored: StoredOffcut, shop: Shop) -> str:
    place = f", {stored.offcut.place}" if stored.offcut.place else ""
    return f"{stored.material_name}, {size_words(stored.offcut, shop.length_system)}{place}"


def _row(
    stored: StoredOffcut, number: int, missing: int, had: int, holds: tuple[Held, ...], job: StoredJob, shop: Shop
) -> PieceRow:
    own = sum(1 for one in holds if one.job_id == job.id)
    free = number - missing - had - own
    said = [
        (had, "taken for this job"),
        (min(own, number), "held for this job"),
        (free, "free"),
        (missing, _is_held([one for one in holds if one.job_id != job.id][-missing:])),
    ]
    words = [(count, text) for count, text in said if count > 0]
    state = words[0][1] if len(words) == 1 else "; ".join(f"{count} {text}" for count, text in words)
    return PieceRow(f"/rack/{stored.offcut.id}", _called(stored, shop), number, state, missing > 0)


def _instead(was: Estimate, now: Estimate, reader: Reader, missing: int) -> str:
    cost, before = now.totals.cost.value, was.totals.cost.value
    by = reader.money(abs(cost - before))
    what = f"Without {'it' if missing == 1 else counted(missing, 'piece')}"
    if cost == before:
        return f"{what} the job costs the same: {reader.money(cost)}."
    more, whose = ("more", "the shop bears") if cost > before else ("less", "the shop keeps")
    return (
        f"{what} the job costs {reader.money(cost)} in place of {reader.money(before)}: {by} {more}, which {whose}, as "
        "the price stays as it was quoted."
    )


def _pays(without: Estimate, with_it: Estimate, reader: Reader) -> str:
    materials = [found.materials_bought for found in (without, with_it)]
    by = materials[0] - materials[1]
    if by <= 0:
        return "What this job buys instead costs no more."
    return (
        f"This job buys instead: its materials come to {reader.money(materials[0])} in place of "
        f"{reader.money(materials[1])}, {reader.money(by)} more."
    )


def held_for_sheet(
    session: Session, job: StoredJob, worked: Worked, shop: Shop, today: date, *, money: bool
) -> tuple[str, ...]:
    """What a job's own sheet says of the rack: what others hold that it would take, or lost after it was agreed."""
    agreed = worked.stands.accepted
    if agreed is None:
        return held_beside(session, job, worked, shop, money=money)
    quoted = as_quoted(session, agreed, today)
    missing = missing_offcuts(session, job, quoted)
    holds = holds_on(session, missing)
    said = [
        f"The agreed plan counts on {_number(count)} of {_called(load_offcut(session, key), shop)}: "
        f"{_is_held([one for one in holds.get(key, ()) if one.job_id != job.id][-count:])}."
        for key, count in sorted(missing.items())
    ]
    if missing and money:
        said.append(rack_of_quote(session, agreed, shop, today).instead)
    return tuple(said)


def _number(count: int) -> str:
    return "one" if count == 1 else str(count)
