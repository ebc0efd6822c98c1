"""How exact values are kept alike on both databases: money, fractions, documents of JSON and instants."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from sqlalchemy import BigInteger, DateTime, Text
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator

MONEY_PLACES: Final = 6
"""Decimals kept of an amount: a screw bought by the thousand costs less than a cent, and 64 bits still hold nine
million millions."""

_LARGEST: Final = 2**63 - 1


class Money(TypeDecorator[Decimal]):
    """An amount of the shop's currency as a whole number of millionths, since SQLite keeps decimals as binary reals.

    An amount with more than six decimals is refused rather than rounded, and so is a float.
    """

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> int | None:
        if value is None:
            return None
        if isinstance(value, int) and not isinstance(value, bool):
            value = Decimal(value)
        if not isinstance(value, Decimal) or not value.is_finite():
            raise TypeError(f"Money is kept from whole numbers and decimals only, not from {value!r}.")
        scaled = Fraction(value) * 10**MONEY_PLACES
        if scaled.denominator != 1 or abs(scaled) > _LARGEST:
            raise ValueError(f"The amount {value} can't be kept exactly: at most {MONEY_PLACES} decimals are.")
        return int(scaled)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Decimal | None:
        return None if value is None else Decimal(value).scaleb(-MONEY_PLACES)


class Exact(TypeDecorator[Fraction]):
    """An exact fraction as text, '5/64' or '12', for rates and settings that are never summed by the database."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Fraction | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if isinstance(value, float):
            raise TypeError(f"An exact value is never made from the float {value!r}.")
        return str(Fraction(value))

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Fraction | None:
        return None if value is None else Fraction(value)


def _refuse_floats(value: object) -> None:
    if isinstance(value, float):
        raise TypeError(f"Kept documents hold no floats ({value!r}); write the number as text.")
    if isinstance(value, dict):
        for key, held in value.items():
            if not isinstance(key, str):
                raise TypeError(f"The key {key!r} of a kept document is not text.")
            _refuse_floats(held)
    elif isinstance(value, list | tuple):
        for held in value:
            _refuse_floats(held)


def canonical_json(value: object) -> str:
    """The one spelling of a document: sorted keys, no spaces, no escapes but the needed ones, no floats.

    Its SHA-256 is therefore the document's identity on every machine. Raises TypeError for a float or a key that is
    no text.
    """
    _refuse_floats(value)
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def ordered_json(value: object) -> str:
    """A document with its entries in the order they were written in: a design's steps are printed in that order.

    The same refusals as canonical_json.
    """
    _refuse_floats(value)
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


class CanonicalJson(TypeDecorator[Any]):
    """A document as its canonical text, so that the bytes read are the bytes whose digest was taken."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any | None, dialect: Dialect) -> str | None:
        return None if value is None else canonical_json(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Any | None:
        return None if value is None else json.loads(value)


class OrderedJson(CanonicalJson):
    """A document whose entries keep their order; its identity is a digest of its canonical spelling, kept beside it."""

    cache_ok = True

    def process_bind_param(self, value: Any | None, dialect: Dialect) -> str | None:
        return None if value is None else ordered_json(value)


class Instant(TypeDecorator[datetime]):
    """A moment in UTC, with its zone on both databases. A moment without a zone is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"The moment {value} says no time zone.")
        moment = value.astimezone(UTC)
        return moment.replace(tzinfo=None) if dialect.name == "sqlite" else moment

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
