"""Sweeps as kept: asked for once, claimed by one, stopped, gone on with, and forgotten: on both databases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sqlalchemy.orm import Session

from webapp.housekeeping import keep_house
from webapp.persistence.backups.backup import LEFT_OUT
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.leases import LEASE, MOST_TRIES
from webapp.persistence.sweeps.tasks import (
    REMEMBERED,
    Progress,
    Sweep,
    SweepRow,
    ask,
    ask_to_stop,
    claim_sweep,
    find_sweep,
    go_on,
    last_done,
    let_go,
    note_progress,
    sweep_waits,
    swept_text,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
LATER = NOW + LEASE + timedelta(seconds=1)
TEXT = {"design": "stool", "name": "Stool", "parts": {"seat": {"says": "Seat"}, "leg": {"says": "Leg"}}}
HALF = Progress("basis", {"case 0": [[], []]}, 1, 2)


def ask_stool(session: Session, key: str = "key", at: datetime = NOW, *, anew: bool = False) -> None:
    ask(session, key, "stool", "Stool", TEXT, at=at, anew=anew)


def sweep_in(session: Session, key: str = "key") -> Sweep:
    found = find_sweep(session, key)
    assert found is not None
    return found


def done_by(session: Session, key: str = "key", at: datetime = NOW) -> None:
    assert claim_sweep(session, "one", at=at, key=key) is not None
    note_progress(session, key, "one", HALF, at=at)
    let_go(session, key, "one", "done", at=at, result={"cases": 2})


def test_a_sweep_is_claimed_by_one_and_goes_on_from_what_is_kept(shop_database: Database) -> None:
    with shop_database.writing() as session:
        assert not sweep_waits(session)
        ask_stool(session)
        assert sweep_waits(session)
        held = claim_sweep(session, "one", at=NOW)
        assert held is not None
        assert (held.document, held.done, held.basis) == (TEXT, {}, "")
        # The order of entries is that of the text: parts are numbered by it.
        assert [*held.document["parts"]] == ["seat", "leg"]
        assert claim_sweep(session, "two", at=NOW) is None
        assert note_progress(session, "key", "one", HALF, at=NOW) == "on"
    # Its worker was killed: after the lease another takes it up where it was.
    with shop_database.writing() as session:
        assert claim_sweep(session, "two", at=NOW + LEASE) is None
        taken = claim_sweep(session, "two", at=LATER)
        assert taken is not None
        assert (taken.done, taken.basis) == (HALF.done, "basis")
        assert note_progress(session, "key", "one", HALF, at=LATER) == "lost"
        assert (sweep_in(session).judged, sweep_in(session).cases) == (1, 2)
        let_go(session, "key", "two", "done", at=LATER, result={"cases": 2})
        assert sweep_in(session).result == {"cases": 2}
        assert swept_text(session, "key") == TEXT


def test_one_that_ends_its_worker_again_and_again_fails(shop_database: Database) -> None:
    with shop_database.writing() as session:
        ask_stool(session)
        for turn in range(MOST_TRIES):
            assert claim_sweep(session, "one", at=NOW + turn * 2 * LEASE) is not None
        assert claim_sweep(session, "one", at=NOW + MOST_TRIES * 2 * LEASE) is None
        assert sweep_in(session).state == "failed"
        assert "3 times" in sweep_in(session).why
        go_on(session, "key", at=NOW)
        assert claim_sweep(session, "one", at=NOW) is not None


def test_it_is_stopped_and_taken_up_with_what_was_done(shop_database: Database) -> None:
    with shop_database.writing() as session:
        ask_stool(session)
        claim_sweep(session, "one", at=NOW)
        ask_to_stop(session, "key", at=NOW)
        assert sweep_in(session).stop_asked
        assert note_progress(session, "key", "one", HALF, at=NOW) == "stop"
        let_go(session, "key", "one", "stopped", at=NOW)
        assert claim_sweep(session, "one", at=LATER) is None
        go_on(session, "key", at=LATER)
        held = claim_sweep(session, "one", at=LATER)
        assert held is not None
        assert held.done == HALF.done
        let_go(session, "key", "one", "waiting", at=LATER)
        ask_to_stop(session, "key", at=LATER)
        assert (sweep_in(session).state, sweep_in(session).goes_on) == ("stopped", False)


def test_asking_again_changes_nothing_unless_it_is_to_be_made_anew(shop_database: Database) -> None:
    with shop_database.writing() as session:
        ask_stool(session)
        done_by(session)
        ask_stool(session, at=LATER)
        assert sweep_in(session).state == "done"
        ask_stool(session, at=LATER, anew=True)
        assert (sweep_in(session).state, sweep_in(session).judged, sweep_in(session).result) == ("waiting", 0, None)
        claim_sweep(session, "one", at=LATER)
        ask_stool(session, at=LATER, anew=True)
        assert sweep_in(session).state == "running"


def test_the_sweep_asked_for_last_comes_first(shop_database: Database) -> None:
    with shop_database.writing() as session:
        ask_stool(session, "first")
        ask_stool(session, "second", NOW + timedelta(seconds=1))
        held = claim_sweep(session, "one", at=LATER)
        assert held is not None
        assert held.key == "second"


def test_the_last_one_done_of_a_design_is_found_with_its_text(shop_database: Database) -> None:
    with shop_database.writing() as session:
        assert last_done(session, "stool") is None
        for key, at in (("early", NOW), ("late", LATER)):
            ask_stool(session, key, at)
            done_by(session, key, at)
        ask_stool(session, "open", LATER)
        found = last_done(session, "stool")
        assert found is not None
        assert (found[0].key, found[1]) == ("late", TEXT)
        assert last_done(session, "bench") is None


def test_old_sweeps_go_and_no_backup_holds_any(shop_database: Database) -> None:
    with shop_database.writing() as session:
        ask_stool(session)
        done_by(session)
        ask_stool(session, "waits")
    keep_house(shop_database, NOW + REMEMBERED)
    with shop_database.reading() as session:
        assert find_sweep(session, "key") is not None
    keep_house(shop_database, NOW + REMEMBERED + timedelta(seconds=1))
    with shop_database.reading() as session:
        assert find_sweep(session, "key") is None
        assert find_sweep(session, "waits") is not None
    assert SweepRow.__tablename__ in LEFT_OUT
