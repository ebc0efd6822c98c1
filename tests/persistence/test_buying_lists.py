"""Lists kept: made, made anew, entered at in any order and twice, with one price history; and carried by a backup."""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from tests.costing.buying_list.list_case import MADE_ON, STOPS, TERMS, entry
from tests.harness.examples import tried
from webapp.costing.buying_list.entries import ABSENT, LOADED, OPEN, Entry, Said
from webapp.costing.buying_list.lines import ForJob, Line, Making, Offered
from webapp.costing.buying_list.settle import SettledList, settle
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer, PriceSeen, current_price
from webapp.persistence.backups.restore import make_backup, restore_backup
from webapp.persistence.buying_lists.prices import keep_list_prices
from webapp.persistence.buying_lists.records import (
    StoredList,
    keep_entry,
    last_list_for,
    lists_of_job,
    load_list,
    make_anew,
    make_list,
    page_of_lists,
)
from webapp.persistence.catalogue.changes import add_material, add_offer, add_price, add_supplier
from webapp.persistence.catalogue.price_files import every_price
from webapp.persistence.catalogue.records import Supplier, load_catalogue, price_history
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import create_job
from webapp.persistence.people.users import list_people

NOW = datetime(2026, 11, 6, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 6)
#: As many offers as the list has lines.
OFFERS = [UUID(int=(4 << 76) + number) for number in range(6)]
#: So many orders in which the entries come, on each database; the core settles five hundred.
ORDERS = tried(30)


class Undone(Exception):
    """What was done is to be undone."""


def seen(offer: UUID, amount: str = "10.00", day: date = date(2026, 10, 2)) -> PriceSeen:
    return PriceSeen(str(offer), Decimal(amount), "USD", day, "counter")


def made_from(offers: list[UUID], count: int = 2) -> Making:
    """A list of these offers, all at the first stop, for job 1."""
    each = Decimal("10.00")
    lines = tuple(
        Line(
            f"offer:{offer}", f"Sheet {number}", "2440 × 1220", "", Fraction(count), "", STOPS[0], each * count,
            each * count, False, (ForJob(1, "Bench", Fraction(1)),),
            Offered(str(offer), STOPS[0], "2440 × 1220", Fraction(1), (seen(offer),)),
        )
        for number, offer in enumerate(offers)
    )  # fmt: skip
    return Making(1, MADE_ON, lines, TERMS)


@pytest.fixture
def stocked(shop_database: Database) -> Database:
    """A shop with six offers at 10.00, a job, and list 1 for it."""
    with shop_database.writing() as session:
        add_supplier(session, Supplier("brasslow", STOPS[0]), at=NOW)
        add_material(session, Material("ply", "Plywood", Kind.SHEET, {"thickness": Fraction(18 * 10**6)}), at=NOW)
        for offer in OFFERS:
            size = {"length": Fraction(2_440_000_000), "width": Fraction(1_220_000_000)}
            add_offer(session, Offer(str(offer), "ply", "brasslow", size), at=NOW)
            add_price(session, seen(offer), at=NOW)
        job = create_job(session, uuid4(), {"form": "1", "job": "Bench"}, at=NOW)
        make_list(session, "Bench", [job.id], made_from(OFFERS), at=NOW, by=list_people(session)[0].user.id)
    return shop_database


def send(session: Session, one: Entry) -> StoredList:
    """One entry as a page keeps it, with the prices that follow from the list."""
    by = list_people(session)[0].user.id
    stored = keep_entry(session, 1, one, at=NOW, by=by)
    keep_list_prices(session, stored, at=NOW, by=by)
    return stored


def settled(stored: StoredList) -> SettledList:
    return settle(stored.makings, stored.entries)


def two_telephones() -> list[Entry]:
    """Two that pay one line differently, put one right twice, take one back, and tell prices that jump."""
    at = [f"offer:{offer}" for offer in OFFERS]

    def loaded(amount: str, count: int = 2) -> Said:
        return Said(LOADED, Fraction(count), Decimal(amount))

    return [
        entry(1, at[0], 1, loaded("21.00")), entry(2, at[0], 1, loaded("22.00"), by="owner"),
        entry(3, at[1], 2, loaded("20.50")), entry(4, at[1], 3, loaded("20.80"), (3,)),
        entry(5, at[1], 4, loaded("21.20"), (4,), day=4),
        entry(6, at[2], 2, loaded("19.00")), entry(7, at[2], 5, Said(OPEN), (6,)),
        entry(8, at[3], 6, Said(ABSENT)), entry(9, at[3], 7, loaded("10.40", 1), (8,)),
        entry(10, at[4], 8, loaded("60.00")), entry(11, at[5], 9, replace(loaded("60.00"), sure=True)),
    ]  # fmt: skip


def history(session: Session) -> list[tuple[PriceSeen, ...]]:
    return [price_history(session, offer) for offer in OFFERS]


def test_one_state_and_one_price_history_whatever_order_the_entries_come_in(stocked: Database) -> None:
    chance, found = random.Random(5), []
    for _ in range(ORDERS):
        sent = [*two_telephones(), *chance.sample(two_telephones(), 5)]
        chance.shuffle(sent)
        with suppress(Undone), stocked.writing() as session:
            for one in sent:
                stored = send(session, one)
            catalogue = load_catalogue(session, TODAY)
            holds = [current_price(catalogue, str(offer)) for offer in OFFERS]
            found.append((settled(stored), history(session), holds, every_price(session)))
            raise Undone
    assert all(one == found[0] for one in found)
    state, prices, _, _ = found[0]
    assert [[str(one.amount) for one in each if one.where == "list 1"] for each in prices] == [
        ["11.000000"], ["10.600000"], [], ["10.400000"], [], ["30.000000"]
    ]  # fmt: skip
    paid = [str(one.paid) for one in state.lines]
    assert paid == ["22.00", "21.20", "None", "10.40", "60.00", "60.00"]
    assert len(state.lines[0].otherwise) == 1


def test_an_entry_sent_twice_is_kept_once_and_its_first_words_hold(stocked: Database) -> None:
    first = entry(1, f"offer:{OFFERS[0]}", 1, Said(LOADED, Fraction(2), Decimal("21.00")))
    with stocked.writing() as session:
        send(session, first)
        send(session, replace(first, said=Said(ABSENT)))
        stored = send(session, first)
    assert [one.said for one in stored.entries] == [first.said]
    with stocked.reading() as session:
        assert len(price_history(session, OFFERS[0])) == 2


def test_what_was_entered_stays_when_a_list_is_made_anew(stocked: Database) -> None:
    with stocked.writing() as session:
        send(session, entry(1, f"offer:{OFFERS[0]}", 1, Said(LOADED, Fraction(2), Decimal("21.00"))))
        make_anew(session, 1, made_from(OFFERS[1:], 3), at=NOW, by=None)
        # A tick of a line that is no longer there comes late all the same.
        late = send(session, entry(2, f"offer:{OFFERS[0]}", 2, Said(LOADED, Fraction(2), Decimal("20.60")), (1,)))
    gone = settled(late).lines[-1]
    assert (gone.gone, gone.paid, len(settled(late).making.lines)) == (True, Decimal("20.60"), 5)
    with stocked.reading() as session:
        assert [str(one.amount) for one in price_history(session, OFFERS[0])] == ["10.300000", "10.000000"]
        assert load_list(session, 1).head.jobs == (1,)


def test_a_list_is_found_by_its_jobs(stocked: Database) -> None:
    with stocked.writing() as session:
        other = create_job(session, uuid4(), {"form": "1", "job": "Shelf"}, at=NOW)
        (held,) = page_of_lists(session).entries
        assert held.head.number == 1
        job_id = lists_job(session)
        assert last_list_for(session, [job_id]) == 1
        assert last_list_for(session, [job_id, other.id]) is None
        assert last_list_for(session, []) is None
        both = make_list(session, "Both", [job_id, other.id], made_from(OFFERS), at=NOW, by=None)
        assert last_list_for(session, [other.id, job_id]) == both == 2
        assert [one.head.number for one in lists_of_job(session, job_id)] == [1, 2]
        with pytest.raises(NotKept):
            load_list(session, 3)
        with pytest.raises(NotKept):
            make_anew(session, 3, made_from(OFFERS), at=NOW, by=None)


def lists_job(session: Session) -> UUID:
    return UUID(str(session.execute(text("SELECT job_id FROM buying_list_jobs")).scalar_one()))


@pytest.mark.parametrize("table", ["buying_list_entries", "buying_list_makings"])
def test_what_was_entered_and_made_is_never_changed(stocked: Database, table: str) -> None:
    with stocked.writing() as session:
        send(session, entry(1, f"offer:{OFFERS[0]}", 1, Said(ABSENT)))
    with pytest.raises(DatabaseError), stocked.writing() as session:
        session.execute(text(f"UPDATE {table} SET document = '{{}}'"))
    with pytest.raises(DatabaseError), stocked.writing() as session:
        session.execute(text(f"DELETE FROM {table}"))


def test_a_backup_carries_lists_their_entries_and_the_prices_that_follow(stocked: Database, tmp_path: Path) -> None:
    with stocked.writing() as session:
        for one in two_telephones():
            send(session, one)
    with stocked.reading() as session:
        before, prices = load_list(session, 1), history(session)
    make_backup(stocked, tmp_path / "kept.zip", at=NOW)
    with stocked.writing() as session:
        send(session, entry(12, f"offer:{OFFERS[2]}", 10, Said(LOADED, Fraction(2), Decimal("20.20"))))
    address = stocked.engine.url.render_as_string(hide_password=False)
    restore_backup(address, tmp_path / "kept.zip", tmp_path / "backups", at=NOW, replace=True)
    with stocked.writing() as session:
        assert load_list(session, 1) == before
        assert history(session) == prices
        # It goes on after that.
        send(session, entry(12, f"offer:{OFFERS[2]}", 10, Said(LOADED, Fraction(2), Decimal("20.20"))))
        assert str(price_history(session, OFFERS[2])[0].amount) == "10.100000"


def test_many_at_once_end_in_one_price_history(stocked: Database) -> None:
    """Whoever enters at a list waits for the others, so that nobody's price is worked out without theirs."""
    with suppress(Undone), stocked.writing() as session:
        for one in two_telephones():
            send(session, one)
        alone = history(session)
        raise Undone

    def at_once(one: Entry) -> None:
        with stocked.writing() as session:
            send(session, one)

    with ThreadPoolExecutor(4) as many:
        list(many.map(at_once, [*two_telephones()[::-1], *two_telephones()[:4]]))
    with stocked.reading() as session:
        assert history(session) == alone


def test_a_price_that_can_not_be_kept_stops_no_entry(stocked: Database) -> None:
    told = Said(LOADED, Fraction(1, 1_000_000), Decimal("5000000.00"), sure=True)
    with stocked.writing() as session:
        stored = send(session, entry(1, f"offer:{OFFERS[0]}", 1, told))
        assert settled(stored).lines[0].paid == Decimal("5000000.00")
        assert len(price_history(session, OFFERS[0])) == 1
