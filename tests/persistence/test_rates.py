"""Sets of rates as kept: added one after the other, holding only what differs from the defaults."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from webapp.costing.errors import FormError
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import SETTINGS, default_rates
from webapp.persistence.database.database import Database
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.settings.rates import (
    StoredRates,
    current_rate_set,
    current_rates,
    list_rate_sets,
    load_rate_set,
    own_rates,
    save_rates,
)

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
DEFAULTS = default_rates()
SLOW_SAWING = replace(DEFAULTS.operations["saw_sheet_parts"], likely=Fraction(7, 3), high=Fraction(4))


def _save(
    session: Session,
    values: dict[str, Fraction],
    base: int,
    operations: dict[str, OperationRate] | None = None,
    source: str = "our own count",
) -> StoredRates:
    return save_rates(session, values, operations or {}, base, reason="a year's books", source=source, at=NOW)


def test_a_new_shop_starts_from_the_defaults(shop_database: Database) -> None:
    with shop_database.reading() as session:
        assert current_rates(session) == DEFAULTS
        assert current_rate_set(session).number == 0
        assert load_rate_set(session, 0).rates == DEFAULTS
        assert list_rate_sets(session).total == 0


def test_own_settings_and_steps_come_back_exactly_and_the_rest_stays(shop_database: Database) -> None:
    with shop_database.writing() as session:
        saved = _save(session, {"profit": Fraction(1, 3)}, 0, {"saw_sheet_parts": SLOW_SAWING})
    with shop_database.reading() as session:
        found = current_rates(session)
    assert found == saved.rates
    assert found["profit"] == Fraction(1, 3)
    assert found.own == {"profit", "saw_sheet_parts"}
    assert found.sources["profit"] == "our own count"
    assert found.operations["saw_sheet_parts"] == replace(SLOW_SAWING, source="our own count")
    assert {name: value for name, value in found.values.items() if name != "profit"} == {
        name: value for name, value in DEFAULTS.values.items() if name != "profit"
    }


def test_every_setting_survives_being_set_to_its_limits(shop_database: Database) -> None:
    for limit in ("least", "most"):
        values = {setting.name: getattr(setting, limit) for setting in SETTINGS}
        with shop_database.writing() as session:
            _save(session, values, current_rate_set(session).number)
        with shop_database.reading() as session:
            assert dict(current_rates(session).values) == values


def test_a_later_set_leaves_the_earlier_one_and_keeps_the_sources_of_what_it_did_not_change(
    shop_database: Database,
) -> None:
    with shop_database.writing() as session:
        first = _save(session, {"profit": Fraction(1, 3), "kerf": Fraction(2_400_000)}, 0)
        values, operations = own_rates(first.rates)
        second = _save(session, {**values, "kerf": Fraction(3_000_000)}, 1, operations, source="measured again")
        assert (first.number, second.number) == (1, 2)
        assert second.rates.sources["profit"] == "our own count"
        assert second.rates.sources["kerf"] == "measured again"
        assert load_rate_set(session, 1).rates == first.rates
        assert [one.number for one in list_rate_sets(session).entries] == [2, 1]
        assert set(list_rate_sets(session).entries[0].own) == {"profit", "kerf"}
        with pytest.raises(NotKept):
            load_rate_set(session, 3)


def test_going_back_to_the_default_makes_it_the_default_again(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _save(session, {"profit": Fraction(1, 3)}, 0, {"saw_sheet_parts": SLOW_SAWING})
        same_minutes = replace(DEFAULTS.operations["saw_sheet_parts"], source="our own count")
        back = _save(session, {"profit": DEFAULTS["profit"]}, 1, {"saw_sheet_parts": same_minutes})
    assert back.rates == DEFAULTS


def test_a_stale_save_shows_both_and_keeps_the_first(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _save(session, {"profit": Fraction(1, 3)}, 0)
        with pytest.raises(StaleSave) as stale:
            _save(session, {"profit": Fraction(1, 4)}, 0)
        stored, given = stale.value.stored, stale.value.given
        assert isinstance(stored, StoredRates)
        assert isinstance(given, StoredRates)
        assert (stored.rates["profit"], given.rates["profit"]) == (Fraction(1, 3), Fraction(1, 4))
        assert list_rate_sets(session).total == 1


def test_all_that_makes_no_sense_is_named_at_once(shop_database: Database) -> None:
    crooked = replace(SLOW_SAWING, high=Fraction(1), people=0)
    with shop_database.writing() as session, pytest.raises(FormError) as refused:
        _save(session, {"luck": Fraction(1), "kerf": Fraction(305 * 10**6)}, 0, {"saw_sheet_parts": crooked})
    assert [problem.field for problem in refused.value.problems] == [
        "kerf",
        "luck",
        "saw_sheet_parts",
        "saw_sheet_parts",
    ]


def test_a_set_is_never_changed(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _save(session, {"profit": Fraction(1, 3)}, 0)
    with pytest.raises(DatabaseError, match="never changed"), shop_database.writing() as session:
        session.execute(text("UPDATE rate_sets SET reason = 'another'"))


def test_a_setting_that_the_program_no_longer_has_moves_nothing(shop_database: Database) -> None:
    with shop_database.writing() as session:
        session.execute(
            text(
                'INSERT INTO rate_sets (number, "values", operations, edition, reason, created_at) '
                'VALUES (1, \'{"gone":{"source":"x","value":"1"}}\', \'{}\', 2, \'\', \'2026-11-02 15:30:00\')'
            )
        )
    with shop_database.reading() as session:
        found: Rates = current_rates(session)
    assert found == DEFAULTS
