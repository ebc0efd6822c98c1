"""JSON Schema of the job form, written from the tables that its reader uses."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.costing.cutting.hand.pins import PIN_KEYS
from webapp.costing.jobs.alternates import (
    ALTERNATE_KEYS,
    INSTALL,
    MOST_ALTERNATES,
    OTHERWISE_SECTIONS,
)
from webapp.costing.jobs.job import LINE_KINDS, NOVELTIES
from webapp.costing.jobs.listed import LIST_KEYS, MOST_ROWS, PART_KEYS
from webapp.costing.jobs.reader import (
    CUSTOMER_KEYS,
    DELIVERY_KEYS,
    FACT_KEYS,
    ITEM_KEYS,
    JOB_KEYS,
    LINE_KEYS,
    MINUTES_KEYS,
    SETTING_KEYS,
)  # fmt: skip
from webapp.costing.jobs.way import STAIR, STAIRS, WAY_KEYS
from webapp.costing.jobs.wishes import WISH_KEYS
from webapp.costing.settings.table import SETTINGS

_TEXT: dict[str, object] = {"type": "string"}


def _holds(keys: tuple[str, ...], required: tuple[str, ...] = (), **special: object) -> dict[str, object]:
    properties: dict[str, object] = {key: special.get(key, _TEXT) for key in keys}
    return {"type": "object", "properties": properties, "required": list(required), "additionalProperties": False}


def _described(keys: Mapping[str, str]) -> dict[str, Any]:
    return {key: {**_TEXT, "description": words} for key, words in keys.items()}


def job_schema() -> dict[str, object]:
    """Every scalar is text, read by the program's own readers."""
    by_name = {"type": "object", "additionalProperties": _TEXT}
    minutes = {"type": "object", "additionalProperties": _holds(MINUTES_KEYS, ("why",))}
    row = _holds(tuple(PART_KEYS), ("length", "material"), **_described(PART_KEYS))
    parts = {
        "type": "array", "maxItems": MOST_ROWS, "items": row,
        "description": "Parts without a design, in its place: each a row of a list",
    }  # fmt: skip
    item = _holds(
        ITEM_KEYS, sizes=by_name, choices=by_name, materials=by_name, minutes=minutes, parts=parts,
        **_described(LIST_KEYS),
    )  # fmt: skip
    item["anyOf"] = [{"required": ["design"]}, {"required": ["parts"]}]
    line = _holds(LINE_KEYS, ("kind", "says"), kind={"enum": list(LINE_KINDS)})
    pinned = _holds(PIN_KEYS, PIN_KEYS, sheets={"type": "array", "items": _TEXT})
    setting = {"oneOf": [_TEXT, _holds(SETTING_KEYS, ("value",))]}
    yes_no = {"enum": ["yes", "no"]}
    otherwise: dict[str, object] = {
        section: {
            "type": "object",
            "additionalProperties": _holds(keys, sizes=by_name, choices=by_name, materials=by_name),
        }
        for section, keys in OTHERWISE_SECTIONS.items()
    }
    alternate = _holds(
        tuple(ALTERNATE_KEYS), ("name",),
        **{**_described(ALTERNATE_KEYS), "on_quote": yes_no, INSTALL: yes_no, **otherwise},
    )  # fmt: skip
    sections: dict[str, object] = {
        "form": {"const": "1"},
        "customer": _holds(CUSTOMER_KEYS),
        "way": _holds(tuple(WAY_KEYS), **{**_described(WAY_KEYS), STAIR: {"enum": list(STAIRS)}}),
        "novelty": {"enum": list(NOVELTIES)},
        "items": {"type": "array", "items": item},
        "alternates": {"type": "array", "maxItems": MOST_ALTERNATES, "items": alternate},
        "lines": {"type": "array", "items": line},
        "delivery": _holds(DELIVERY_KEYS),
        "facts": _holds(FACT_KEYS),
        "install": yes_no,
        "card": yes_no,
        "rack": yes_no,
        "not_included": {"type": "array", "items": _TEXT},
        "buying": _holds(WISH_KEYS, chosen=by_name, fewest=yes_no),
        "pinned": {"type": "object", "additionalProperties": pinned},
        "settings": {
            "type": "object",
            "properties": {one.name: setting for one in SETTINGS},
            "additionalProperties": False,
        },
    }
    properties = {key: {**_as_dict(sections.get(key, _TEXT)), "description": words} for key, words in JOB_KEYS.items()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Job",
        "type": "object",
        "properties": properties,
        "required": ["job"],
        "additionalProperties": False,
    }


def _as_dict(value: object) -> dict[str, object]:
    assert isinstance(value, dict)
    return value
