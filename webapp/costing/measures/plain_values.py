"""Values made of frozen classes as plain documents, and back, exact to the fraction.

The fields are read off the classes themselves, so that one added there is kept and read here too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from fractions import Fraction
from functools import lru_cache
from types import UnionType
from typing import Any, Final, Literal, get_args, get_origin, get_type_hints

from webapp.costing.errors import FormError, Problem


def write_value(value: object) -> Any:
    """The value as a document of texts, whole numbers and lists.

    >>> write_value((2, Fraction(1, 3)))
    [2, '1/3']
    """
    if is_dataclass(value):
        return {field.name: write_value(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [write_value(one) for one in value]
    return str(value) if isinstance(value, Fraction) else value


def read_value(kind: Any, document: Any, place: str, what: str) -> Any:
    """A value of a kind from what was told of it at a place of `what`. Raises FormError where it is of another kind.

    >>> read_value(tuple[int, Fraction], [2, "1/3"], "shares", "a snapshot")
    (2, Fraction(1, 3))
    """
    if isinstance(kind, type) and is_dataclass(kind):
        return kind(**_entries(kind, document, place, what))
    origin, parts = get_origin(kind), get_args(kind)
    if origin is UnionType:
        wanted = next(part for part in parts if part is not type(None))
        return None if document is None else read_value(wanted, document, place, what)
    if origin is Literal and document in parts:
        return document
    if origin is tuple and isinstance(document, list):
        each = [parts[0]] * len(document) if parts[1:] == (Ellipsis,) else parts
        return tuple(read_value(one, held, place, what) for one, held in zip(each, document, strict=True))
    if isinstance(kind, type) and issubclass(kind, tuple) and isinstance(document, list):
        named: Any = kind
        held = zip(_hints(named).values(), document, strict=True)
        return named(*(read_value(one, part, place, what) for one, part in held))
    if kind is Fraction and isinstance(document, str):
        return Fraction(document)
    if kind in (int, str, bool) and type(document) is kind:
        return document
    raise FormError((Problem(place, f"“{document}” is nothing that {what} holds at {place}."),))


def _entries(kind: Any, told: Mapping[str, Any], place: str, what: str) -> dict[str, Any]:
    """What a class is made of; a field that was not there yet when the document was written has its usual value."""
    hints, found = _hints(kind), dict[str, Any]()
    for field in fields(kind):
        if field.name in told:
            found[field.name] = read_value(hints[field.name], told[field.name], f"{place}.{field.name}", what)
        elif field.default is MISSING and field.default_factory is MISSING:
            said = f"{what[:1].upper()}{what[1:]} says no {field.name}."
            raise FormError((Problem(f"{place}.{field.name}", said),))
    return found


_hints: Final = lru_cache(maxsize=64)(get_type_hints)
