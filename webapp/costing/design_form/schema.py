"""The design form described: its JSON Schema, and the order it is written in, both from the reader's tables."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.catalogue.tags import MOST_TAGS
from webapp.costing.design_form.tables.form_fields import Field, Section
from webapp.costing.design_form.tables.form_made import CORNER_FIELDS
from webapp.costing.design_form.tables.form_tables import (
    AXES,
    CLOSES,
    DESIGN,
    LIMIT_RULES,
    LONGEST_NAME,
    LONGEST_WORDS,
    LOOSE,
    NAME_PATTERN,
    PLACED_ONLY,
    SECTIONS,
    SHORTER,
)
from webapp.costing.design_form.tables.whole_form import SHORTER_DESIGN
from webapp.costing.designs.canonical import LONGEST_TEXT
from webapp.costing.designs.model import FACES
from webapp.costing.measures.quantities import SYSTEMS

_TEXT: Final = {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT}
_WORDS: Final = {"type": "string", "minLength": 1, "maxLength": LONGEST_WORDS}
_NAME: Final = {"type": "string", "pattern": f"^{NAME_PATTERN}$", "maxLength": LONGEST_NAME}
_INNER_ORDER: Final = (
    *SYSTEMS,
    "tags",
    *LIMIT_RULES,
    "length",
    "width",
    *AXES,
    "with",
    "edges",
    "start",
    "end",
    "long",
    "measured",
)


def json_schema() -> dict[str, object]:
    """The JSON Schema (draft 2020-12) of a design's document, in which every value is text.

    It holds the names, lists and answers of the form. What formulas may use, and what has to fit together, the reader
    says in sentences.
    """
    schema = _entry_schema(LOOSE)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A design of Shop Reckoner",
        "description": DESIGN.says,
        **schema,
        "if": {"properties": {"loose": {"const": "yes"}}, "required": ["loose"]},
        "else": {"required": list(PLACED_ONLY)},
    }


def _entry_schema(section: Section) -> dict[str, object]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": [field.name for field in section.fields if field.required],
        "properties": {field.name: {"description": field.says, **_field_schema(field)} for field in section.fields},
    }


def _section_schema(name: str) -> dict[str, object]:
    if name == CLOSES.name:
        return _entry_schema(CLOSES)
    section = SECTIONS[name]
    per_answer = {"type": "object", "propertyNames": _NAME, "additionalProperties": _TEXT, "minProperties": 1}
    return {
        "type": "object",
        "propertyNames": _NAME,
        "maxProperties": section.most,
        "minProperties": int(section.required),
        "additionalProperties": _entry_schema(section) if section.fields else {"oneOf": [_TEXT, per_answer]},
    }


def _field_schema(field: Field) -> dict[str, object]:
    match field.sort:
        case "section":
            return _section_schema(field.name)
        case "words" | "sentence" | "entry":
            return dict(_WORDS)
        case "one_of":
            return {"type": "string", "enum": list(field.answers)}
        case "yes_no":
            return {"type": "string", "enum": ["yes", "no"]}
        case "whole":
            return {"type": "string", "pattern": "^[0-9]{1,6}$"}
        case "role" | "part" | "answer":
            return dict(_NAME)
        case "names" | "counted":
            return {"oneOf": [_NAME, {"type": "array", "items": _NAME, "minItems": 1, "uniqueItems": True}]}
        case "amount":
            return {"oneOf": [_TEXT, _inner_schema(dict.fromkeys(SYSTEMS, _TEXT), required=True)]}
        case "needs":
            by_property = {"type": "object", "propertyNames": _NAME, "additionalProperties": _TEXT, "minProperties": 1}
            tags = {"oneOf": [_NAME, {"type": "array", "items": _NAME, "minItems": 1, "maxItems": MOST_TAGS}]}
            rules: dict[str, Mapping[str, object]] = dict.fromkeys(LIMIT_RULES, by_property)
            return {**_inner_schema({"tags": tags, **rules}, required=False), "minProperties": 1}
        case "renamed":
            names = {"type": "object", "propertyNames": _NAME, "additionalProperties": _NAME}
            return {"type": "object", "propertyNames": {"enum": list(SECTIONS)}, "additionalProperties": names}
        case "points":
            corner = {**_inner_schema(dict.fromkeys(CORNER_FIELDS, _TEXT), required=False),
                      "required": list(CORNER_FIELDS[:2])}  # fmt: skip
            return {"type": "array", "items": corner, "maxItems": field.most}
        case "lines":
            return {"type": "array", "items": _WORDS, "maxItems": field.most}
        case "at":
            return _inner_schema(dict.fromkeys(AXES, _TEXT), required=False)
        case "runs":
            axis = {"type": "string", "enum": list(AXES)}
            return _inner_schema({"length": axis, "width": axis}, required=True)
        case "band":
            edge = {"type": "string", "enum": list(FACES)}
            edges = {"type": "array", "items": edge, "minItems": 1, "uniqueItems": True}
            return _inner_schema({"with": _NAME, "edges": edges}, required=True)
        case "mitres":
            sides: dict[str, Mapping[str, object]] = {
                "start": _TEXT, "end": _TEXT, "long": {"type": "string", "enum": list(FACES)},
                "measured": {"type": "string", "enum": ["long", "short"]},
            }  # fmt: skip
            return {**_inner_schema(sides, required=False), "required": ["long"]}
        case _:
            return dict(_TEXT)


def _inner_schema(properties: Mapping[str, Mapping[str, object]], required: bool) -> dict[str, object]:
    inner: dict[str, object] = {"type": "object", "additionalProperties": False, "properties": dict(properties)}
    return {**inner, "required": list(properties)} if required else inner


def arrange(document: Mapping[str, object]) -> dict[str, object]:
    """A design's document with its sections and fields in the form's order; entries keep the order they have."""
    arranged = _in_order(document, [field.name for field in SHORTER_DESIGN.fields])
    for name, section in SHORTER.items():
        entries = arranged.get(name)
        if isinstance(entries, Mapping):
            order = [field.name for field in section.fields]
            arranged[name] = {key: _arrange_entry(entry, order) for key, entry in entries.items()}
    return arranged


def _arrange_entry(entry: object, order: list[str]) -> object:
    if not isinstance(entry, Mapping):
        return entry
    return {
        key: _in_order(value, _INNER_ORDER) if isinstance(value, Mapping) else value
        for key, value in _in_order(entry, order).items()
    }


def _in_order(mapping: Mapping[str, object], order: list[str] | tuple[str, ...]) -> dict[str, object]:
    """The mapping with the keys named in `order` first."""
    first = {key: mapping[key] for key in order if key in mapping}
    return {**first, **mapping}
