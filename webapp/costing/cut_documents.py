"""A question to the cutting room as a plain document, and back, exact to the fraction.

The fields are read off the question's own classes, so that one added there is kept and read here too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from fractions import Fraction
from functools import lru_cache
from types import UnionType
from typing import Any, Final, Literal, get_args, get_origin, get_type_hints

from webapp.costing.cut_questions import Request
from webapp.costing.cutting.model import LengthRequest, SheetRequest
from webapp.costing.errors import FormError, Problem

CUT_FORM: Final = "1"
_KINDS: Final[Mapping[str, type[SheetRequest] | type[LengthRequest]]] = {
    "sheets": SheetRequest, "lengths": LengthRequest,
}  # fmt: skip


def write_request(request: Request) -> dict[str, object]:
    """The question as a document of texts, whole numbers and lists."""
    kind = "sheets" if isinstance(request, SheetRequest) else "lengths"
    return {"form": CUT_FORM, "cut": kind, "asked": _write(request)}


def read_request(document: Mapping[str, Any]) -> Request:
    """The question from its document. Raises FormError where it is of another form."""
    kind = _KINDS.get(str(document.get("cut")))
    if document.get("form") != CUT_FORM or kind is None:
        said = f"This program reads cutting questions of form {CUT_FORM}, not “{document.get('form')}”."
        raise FormError((Problem("form", said),))
    found: Request = _read(kind, document.get("asked"), "asked")
    return found


def _write(value: object) -> object:
    if is_dataclass(value):
        return {field.name: _write(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_write(one) for one in value]
    return str(value) if isinstance(value, Fraction) else value


def _read(kind: Any, told: Any, place: str) -> Any:
    """A value of a kind from what was told of it at a place."""
    if isinstance(kind, type) and is_dataclass(kind):
        return kind(**_entries(kind, told, place))
    origin, parts = get_origin(kind), get_args(kind)
    if origin is UnionType:
        wanted = next(part for part in parts if part is not type(None))
        return None if told is None else _read(wanted, told, place)
    if origin is Literal and told in parts:
        return told
    if origin is tuple and isinstance(told, list):
        each = [parts[0]] * len(told) if parts[1:] == (Ellipsis,) else parts
        return tuple(_read(one, held, place) for one, held in zip(each, told, strict=True))
    if isinstance(kind, type) and issubclass(kind, tuple) and isinstance(told, list):
        named: Any = kind
        return named(*(_read(one, held, place) for one, held in zip(_hints(named).values(), told, strict=True)))
    if kind is Fraction and isinstance(told, str):
        return Fraction(told)
    if kind in (int, str, bool) and type(told) is kind:
        return told
    raise FormError((Problem(place, f"“{told}” is nothing that a cutting question holds at {place}."),))


def _entries(kind: Any, told: Any, place: str) -> dict[str, Any]:
    """What a class is made of; a field that was not there yet when the document was written has its usual value."""
    hints, found = _hints(kind), dict[str, Any]()
    for field in fields(kind):
        if field.name in told:
            found[field.name] = _read(hints[field.name], told[field.name], f"{place}.{field.name}")
        elif field.default is MISSING and field.default_factory is MISSING:
            raise FormError((Problem(f"{place}.{field.name}", f"The cutting question says no {field.name}."),))
    return found


_hints: Final = lru_cache(maxsize=32)(get_type_hints)
