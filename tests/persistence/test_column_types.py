"""Exact values come back from either database exactly as they were given."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Column, Integer, MetaData, Table, func, select
from sqlalchemy.dialects import sqlite
from sqlalchemy.exc import StatementError

from webapp.persistence.database.database import Database
from webapp.persistence.foundation.column_types import CanonicalJson, Exact, Instant, Money, canonical_json

TABLE = Table(
    "tried",
    MetaData(),
    Column("id", Integer, primary_key=True),
    Column("money", Money),
    Column("exact", Exact),
    Column("held", CanonicalJson),
    Column("at", Instant),
)
DIALECT = sqlite.dialect()


def _there_and_back(database: Database, column: str, value: Any) -> Any:
    TABLE.create(database.engine, checkfirst=True)
    with database.engine.execution_options(writes=True).begin() as connection:
        connection.execute(TABLE.delete())
        connection.execute(TABLE.insert().values({column: value}))
        return connection.execute(select(TABLE.c[column])).scalar_one()


@pytest.mark.parametrize("text", ["0.1", "19.99", "0.000001", "-7.125", "9301.9301", "123456789012.999999", "0"])
def test_money_comes_back_exactly(database: Database, text: str) -> None:
    assert _there_and_back(database, "money", Decimal(text)) == Decimal(text)


@pytest.mark.parametrize("value", [0.1, "1.50", Decimal("NaN"), Decimal("0.0000001"), Decimal(10) ** 14])
def test_money_that_would_be_changed_is_refused(database: Database, value: Any) -> None:
    with pytest.raises((StatementError, TypeError, ValueError)):
        _there_and_back(database, "money", value)


def test_sums_of_money_in_the_database_are_exact(database: Database) -> None:
    TABLE.create(database.engine)
    with database.engine.execution_options(writes=True).begin() as connection:
        connection.execute(TABLE.insert(), [{"money": Decimal("0.1")} for _ in range(1000)])
        assert connection.execute(select(func.sum(TABLE.c.money))).scalar_one() == Decimal(100)


@pytest.mark.parametrize("value", [Fraction(1, 3), Fraction(-5, 64), Fraction(10**30, 7), Fraction(12)])
def test_fractions_come_back_exactly(database: Database, value: Fraction) -> None:
    assert _there_and_back(database, "exact", value) == value


def test_documents_come_back_and_hold_no_floats(database: Database) -> None:
    document = {"b": [1, "½ in", None, True], "a": {"z": "1/3", "y": []}}
    assert _there_and_back(database, "held", document) == document
    with pytest.raises((StatementError, TypeError), match="no floats"):
        _there_and_back(database, "held", {"a": [1, {"b": 0.5}]})


_documents = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=12,
)


@given(_documents)
def test_a_document_has_one_spelling(document: Any) -> None:
    kind = CanonicalJson()
    text = kind.process_bind_param(document, DIALECT)
    back = kind.process_result_value(text, DIALECT)
    assert back == document
    assert back is None or canonical_json(back) == text


def test_a_documents_spelling_does_not_hang_on_the_order_of_its_keys() -> None:
    assert canonical_json({"b": 1, "a": 2}) == canonical_json({"a": 2, "b": 1}) == '{"a":2,"b":1}'
    with pytest.raises(TypeError, match="not text"):
        canonical_json({1: "a"})


def test_moments_come_back_in_utc(database: Database) -> None:
    moment = datetime(2024, 3, 10, 1, 30, 15, 123456, timezone(timedelta(hours=-6)))
    back = _there_and_back(database, "at", moment)
    assert back == moment
    assert back.tzinfo == UTC
    with pytest.raises((StatementError, ValueError), match="no time zone"):
        _there_and_back(database, "at", datetime(2024, 3, 10))
