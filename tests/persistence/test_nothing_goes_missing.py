"""Nothing goes missing, whatever two people do: of each material, need = bought + from stock - left over, and of each
offcut as many stand there as were put, less what was taken, as a plain model of its own reckons."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import count as counting
from uuid import UUID, uuid4

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from tests.harness.examples import tried
from webapp.costing.buying.stock import StockOnHand
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offcut
from webapp.persistence.catalogue.changes import add_material
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import StaleSave, StoreError
from webapp.persistence.jobs.records import create_job, set_job_state
from webapp.persistence.quotes.records import Document, QuoteToIssue, coming_quote, issue_quote
from webapp.persistence.rack.counts import ToKeep, counted_at, keep_count
from webapp.persistence.rack.cuts import mark_cut
from webapp.persistence.rack.holds import hold_for, holds_on, say_of_quote, settle_holds
from webapp.persistence.rack.records import load_offcut, move_offcut, moves_of, put_on_rack
from webapp.persistence.rack.stock import (
    StockShort,
    bought_by,
    keep_in_stock,
    move_stock,
    moves_of_stock,
    stock_of,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 2)
JOBS = st.integers(0, 2)
PEOPLE = st.integers(0, 1)
FEW = st.integers(0, 5)


@dataclass
class ModelJob:
    """A job as the model knows it: what it is and wants, and what became of it."""

    id: UUID
    number: int
    quote: UUID
    wants: int
    state: str = "standing"
    dropped: bool = False
    cut: bool = False
    taken: int = 0
    need: Fraction = Fraction(0)
    bought: Fraction = Fraction(0)
    owed: Fraction = Fraction(0)


@dataclass
class Model:
    """The plain model: an offcut's count, who holds its pieces in turn (job, by hand), a level, and its sums."""

    count: int = 4
    holders: list[tuple[int, bool]] = field(default_factory=list)
    level: Fraction = Fraction(2)
    begun: Fraction = Fraction(2)
    found: Fraction = Fraction(0)


class Yard(RuleBasedStateMachine):
    """Two people at one rack and one shelf, over three jobs that want the same."""

    database: Database
    yards = counting()

    def __init__(self) -> None:
        super().__init__()
        # A count is known by its moment, and every yard is in the same store: each has a day of its own.
        self.at, self.model = NOW + timedelta(days=next(self.yards)), Model()
        self.code = f"m_{uuid4().hex[:8]}"
        self.shelf = f"g_{uuid4().hex[:8]}"
        self.seen: dict[int, tuple[int, int]] = {}
        self.jobs: list[ModelJob] = []
        with self.database.writing() as session:
            add_material(session, Material(self.code, "Birch plywood", Kind.SHEET), at=NOW)
            add_material(session, Material(self.shelf, "Wood glue", Kind.LIQUID), at=NOW)
            one = Offcut(str(uuid4()), self.code, 1_200_000_000, 600_000_000, self.model.count, "Bay 3")
            self.key = UUID(put_on_rack(session, one, "", at=NOW).offcut.id)
            keep_in_stock(session, StockOnHand(self.shelf, self.model.level, Fraction(3)), at=NOW)
            for wants in (1, 2, 2):
                job = create_job(session, uuid4(), {"job": "Kiln table"}, at=NOW)
                purchases = [{"supplier": "rack", "offer": f"rack:{self.key}", "packs": wants}]
                ready = QuoteToIssue(
                    job.id, job.version, coming_quote(session, job.id), TODAY, TODAY + timedelta(days=30), "USD",
                    Decimal(100), 1, {"job": {}}, {"materials": [{"purchases": purchases}]},
                    (Document("quote", "A4", b"paper"),),
                )  # fmt: skip
                quote = issue_quote(session, ready, at=NOW).listed.id
                self.jobs.append(ModelJob(job.id, job.number, quote, wants))

    def later(self) -> datetime:
        """Every act has a moment of its own."""
        self.at += timedelta(minutes=1)
        return self.at

    # ---- the model's own rules, nothing of the program in them

    def settled(self, job: ModelJob) -> None:
        holds = job.state == "accepted" and not job.dropped and not job.cut
        by_hand_stays = not job.dropped and not job.cut
        own = [one for one in self.model.holders if one[0] == job.number]
        by_hand = [one for one in own if one[1] and by_hand_stays]
        wanted = job.wants - job.taken if holds else 0
        quoted = [one for one in own if one not in by_hand]
        keeps = max(0, wanted - len(by_hand))
        for one in quoted[keeps:]:
            self.drop_last(one)
        missing = wanted - len(own)
        for _ in range(max(0, min(missing, self.model.count - len(self.model.holders)))):
            self.model.holders.append((job.number, False))

    def drop_last(self, one: tuple[int, bool]) -> None:
        last = len(self.model.holders) - 1 - self.model.holders[::-1].index(one)
        del self.model.holders[last]

    # ---- what people do

    @rule(which=JOBS)
    def accept(self, which: int) -> None:
        job = self.jobs[which]
        with self.acts(job.state == "standing") as told, self.database.writing() as session:
            say_of_quote(session, job.quote, "accepted", TODAY, at=self.later())
        if not told.refused:
            job.state, job.dropped = "accepted", False
            self.settled(job)

    @rule(which=JOBS)
    def withdraw(self, which: int) -> None:
        job = self.jobs[which]
        with self.acts(job.state == "accepted") as told, self.database.writing() as session:
            say_of_quote(session, job.quote, "standing", TODAY, at=self.later(), note="They think it over.")
        if not told.refused:
            job.state = "standing"
            self.settled(job)

    @rule(which=JOBS)
    def drop(self, which: int) -> None:
        job = self.jobs[which]
        with self.database.writing() as session:
            set_job_state(session, job.id, "dropped", at=self.later())
            settle_holds(session, job.id, at=self.at)
        job.dropped = True
        self.settled(job)

    @rule(which=JOBS)
    def take_for_a_rush_job(self, which: int) -> None:
        job, held = self.jobs[which], self.model.holders
        others = [one for one in held if one[0] != job.number]
        free = self.model.count > len(held)
        may = (free or bool(others)) and not job.dropped and not job.cut
        with self.acts(may) as told, self.database.writing() as session:
            hold_for(session, self.key, job.number, at=self.later(), whatever=True)
        if not told.refused:
            if not free:
                self.drop_last(others[-1])
            held.append((job.number, True))

    @rule(which=JOBS, takes=FEW, need=st.fractions(0, 6, max_denominator=8))
    def cut(self, which: int, takes: int, need: Fraction) -> None:
        job, model = self.jobs[which], self.model
        need = Fraction(int(need * 1000), 1000)
        with self.acts(takes <= model.count) as told, self.database.writing() as session:
            if takes:
                version = load_offcut(session, self.key).version
                move_offcut(
                    session, self.key, "taken", takes, version, at=self.later(), job=job.number, whatever=True
                )
            if need:
                move_stock(session, self.shelf, "used", need, at=self.later(), job=job.number, whatever=True)
            mark_cut(session, job.id, at=self.at)
        if told.refused:
            return
        own = [one for one in model.holders if one[0] == job.number][:takes]
        for one in own:
            model.holders.remove(one)
        free = model.count - len(model.holders) - len(own)
        for _ in range(max(0, takes - len(own) - free)):
            last = [one for one in model.holders if one[0] != job.number][-1]
            self.drop_last(last)
        model.count -= takes
        job.taken += takes
        job.cut = True
        self.settled(job)
        short = max(Fraction(0), need - model.level)
        model.found += short
        model.level += short - need
        job.need += need

    @rule(which=JOBS, brings=FEW)
    def buy(self, which: int, brings: int) -> None:
        """The line of a job's list says that so much came, whatever it said before."""
        job, model = self.jobs[which], self.model
        with self.database.writing() as session:
            brought = {f"list {job.number} glue": Fraction(brings)}
            bought_by(session, self.shelf, f"list {job.number}", brought, at=self.later(), by=None)
        more = brings - job.bought
        # What was found since it was used and not bought is paid back by what is bought after all.
        short = max(Fraction(0), -more - model.level) - max(Fraction(0), min(more, job.owed))
        job.owed += short
        model.found += short
        model.level += short + more
        job.bought = Fraction(brings)

    @rule(who=PEOPLE)
    def open_the_count_sheet(self, who: int) -> None:
        with self.database.reading() as session:
            offcut, shelf = load_offcut(session, self.key), stock_of(session, [self.shelf])[self.shelf]
        self.seen[who] = offcut.version, shelf.version

    @precondition(lambda self: bool(self.seen))
    @rule(who=PEOPLE, pieces=FEW, litres=FEW)
    def keep_the_count(self, who: int, pieces: int, litres: int) -> None:
        if who not in self.seen:
            return
        rack, shelf = self.seen[who]
        with self.database.reading() as session:
            still = (rack, shelf) == (
                load_offcut(session, self.key).version, stock_of(session, [self.shelf])[self.shelf].version,
            )  # fmt: skip
        at = self.later()
        with self.acts(still, StaleSave) as told, self.database.writing() as session:
            keep_count(
                session, [ToKeep(str(self.key), Fraction(pieces), rack)],
                [ToKeep(self.shelf, Fraction(litres), shelf)], at=at, by=None,
            )  # fmt: skip
        if told.refused:
            return
        before = Fraction(self.model.count), self.model.level
        with self.database.reading() as session:
            found = counted_at(session, at)
        assert [(one.before, one.found) for one in found] == [
            (before[0], Fraction(pieces)), (before[1], Fraction(litres)),
        ]  # fmt: skip
        self.model.count = pieces
        del self.model.holders[pieces:]
        self.model.found += litres - self.model.level
        self.model.level = Fraction(litres)
        for job in self.jobs:
            job.owed = Fraction(0)

    @rule(litres=st.integers(0, 12))
    def use_without_a_job(self, litres: int) -> None:
        enough = litres <= self.model.level
        with self.acts(enough, StockShort) as told, self.database.writing() as session:
            move_stock(session, self.shelf, "used", Fraction(litres), at=self.later())
        if not told.refused:
            self.model.level -= litres
            self.model.begun -= litres

    def acts(self, expected: bool, refusal: type[StoreError] = StoreError) -> Refused:
        """What follows is done where the model says so, and refused in a sentence where it says not."""
        return Refused(expected, refusal)

    # ---- what must hold

    @invariant()
    def the_rack_is_as_the_model_says(self) -> None:
        with self.database.reading() as session:
            count, moves = load_offcut(session, self.key).offcut.count, moves_of(session, self.key)
            held = holds_on(session, [self.key]).get(self.key, ())
        assert count == self.model.count == sum(one.moved for one in moves)
        assert sorted(one.job_number for one in held) == sorted(job for job, _ in self.model.holders)
        assert len({one.piece for one in held}) == len(held) <= count

    @invariant()
    def need_is_bought_and_from_stock_less_what_is_left(self) -> None:
        with self.database.reading() as session:
            level = stock_of(session, [self.shelf])[self.shelf].amount
            moves = moves_of_stock(session, self.shelf)
        assert level == self.model.level == sum(one.moved for one in moves) >= 0
        assert all(one.remaining >= 0 for one in moves)
        need, bought = (sum((getattr(job, name) for job in self.jobs), Fraction(0)) for name in ("need", "bought"))
        from_stock = max(Fraction(0), self.model.begun + self.model.found - level)
        left_over = max(Fraction(0), level - self.model.begun - self.model.found)
        assert need == bought + from_stock - left_over
        for job in self.jobs:
            used = -sum((one.moved for one in moves if one.job_number == job.number), Fraction(0))
            assert used == job.need


@dataclass
class Refused:
    """Whether an act was refused, which it had to be just where the model says so."""

    expected: bool
    refusal: type[StoreError]
    refused: bool = False

    def __enter__(self) -> Refused:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: object) -> bool:
        self.refused = isinstance(error, self.refusal)
        assert self.refused != self.expected or not (error is None or self.refused), (self.expected, error)
        return self.refused


def test_nothing_goes_missing_whatever_two_people_do(shop_database: Database) -> None:
    class Here(Yard):
        database = shop_database

    run_state_machine_as_test(Here, settings=settings(max_examples=tried(60), stateful_step_count=20, deadline=None))


def test_a_level_never_falls_below_nothing_and_its_moves_stay(shop_database: Database) -> None:
    with shop_database.writing() as session:
        add_material(session, Material("glue", "Wood glue", Kind.LIQUID), at=NOW)
        add_material(session, Material("ply", "Plywood", Kind.SHEET), at=NOW)
        keep_in_stock(session, StockOnHand("glue", Fraction(5, 2), Fraction(1), "Shelf 2"), at=NOW)
    with shop_database.reading() as session:
        (kept,) = stock_of(session).values()
        assert (kept.amount, kept.least, kept.place) == (Fraction(5, 2), Fraction(1), "Shelf 2")
        assert not kept.missing
    with pytest.raises(StoreError, match="is cut"), shop_database.writing() as session:
        keep_in_stock(session, StockOnHand("ply", Fraction(1)), at=NOW)
    with pytest.raises(StaleSave), shop_database.writing() as session:
        keep_in_stock(session, StockOnHand("glue", Fraction(1)), at=NOW)
    for statement in ("UPDATE stock SET amount = -1", "UPDATE stock_moves SET moved = 9", "DELETE FROM stock_moves"):
        with pytest.raises(DatabaseError), shop_database.writing() as session:
            session.execute(text(statement))
    with shop_database.writing() as session:
        # What came before it was kept is in its first count already.
        brought = {"list 1 glue": Fraction(4)}
        bought_by(session, "glue", "list 1", brought, at=NOW, by=None, made_at=NOW - timedelta(days=1))
        bought_by(session, "ply", "list 1", brought, at=NOW, by=None)
        assert stock_of(session)["glue"].amount == Fraction(5, 2)


def test_a_purchase_that_is_put_right_leaves_the_level_that_follows_from_it(shop_database: Database) -> None:
    """Two boxes of 100 came and 150 were used: 50 are left, whatever line says so and whatever it said before."""
    with shop_database.writing() as session:
        add_material(session, Material("screws", "Screws 4 x 40", Kind.FASTENER), at=NOW)
        keep_in_stock(session, StockOnHand("screws", Fraction(0)), at=NOW)

    def say(**lines: int) -> Fraction:
        """Let the lines of one receipt say so many, and look at the level."""
        with shop_database.writing() as session:
            brought = {f"receipt 5 {line}": Fraction(number) for line, number in lines.items()}
            bought_by(session, "screws", "receipt 5", brought, at=NOW, by=None)
        with shop_database.reading() as session:
            return stock_of(session)["screws"].amount

    assert say(first=200) == 200
    with shop_database.writing() as session:
        move_stock(session, "screws", "used", Fraction(150), at=NOW, job=1)
    # A line typed above it moves it down by one, and nothing else.
    assert say(first=0, second=200) == 50
    with shop_database.reading() as session:
        moved = [(one.what, int(one.moved)) for one in moves_of_stock(session, "screws")]
    assert moved == [("bought", -200), ("bought", 200), ("used", -150), ("bought", 200), ("counted", 0)]
    # Taken off and put on again: what was found in between is paid back, once.
    assert say(second=0) == 0
    assert say(second=200) == 50
    assert say(second=300) == 150
    # Who counted in between has counted what there is.
    assert say(second=0) == 0
    with shop_database.writing() as session:
        move_stock(session, "screws", "counted", Fraction(20), at=NOW)
    assert say(second=100) == 120
