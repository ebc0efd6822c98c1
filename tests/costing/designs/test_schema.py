"""The schema of the design form, held against the examples and the reader with a checker of the few words it uses."""

from __future__ import annotations

import copy
import re
from typing import Any

from tests.design_form_case import WALL_CABINET, small
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.schema import json_schema
from webapp.costing.design_form.tables.form_tables import SECTIONS
from webapp.design_text import read_text

WORDS = {
    "$schema", "title", "description", "type", "oneOf", "enum", "pattern", "minLength", "maxLength", "items",
    "minItems", "maxItems", "uniqueItems", "properties", "required", "additionalProperties",
    "propertyNames", "minProperties", "maxProperties", "if", "else", "const",
}  # fmt: skip


def complaints(schema: dict[str, Any], value: object, path: str = "") -> list[str]:
    """What a value breaks of a schema; an unknown word of the schema is an error of the schema."""
    assert set(schema) <= WORDS, set(schema) - WORDS
    found: list[str] = []
    if "oneOf" in schema and sum(not complaints(each, value, path) for each in schema["oneOf"]) != 1:
        found.append(f"{path}: not one of")
    if value != schema.get("const", value):
        found.append(f"{path}: {value}")
    if "if" in schema and complaints(schema["if"], value, path):
        found += complaints(schema["else"], value, path)
    wanted = {"object": dict, "array": list, "string": str}.get(schema.get("type", ""), object)
    if not isinstance(value, wanted):
        return [f"{path}: no {schema['type']}"]
    if isinstance(value, str):
        if value not in schema.get("enum", [value]) or not re.search(schema.get("pattern", ""), value):
            found.append(f"{path}: {value}")
        if not schema.get("minLength", 0) <= len(value) <= schema.get("maxLength", 10**9):
            found.append(f"{path}: length")
    if isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", 10**9):
            found.append(f"{path}: items")
        for number, each in enumerate(value):
            found += complaints(schema.get("items", {}), each, f"{path}.{number}")
    if isinstance(value, dict):
        found += [f"{path}.{name}: missing" for name in schema.get("required", []) if name not in value]
        if not schema.get("minProperties", 0) <= len(value) <= schema.get("maxProperties", 10**9):
            found.append(f"{path}: entries")
        for key, each in value.items():
            found += complaints(schema.get("propertyNames", {}), key, f"{path}.{key}")
            inner = schema.get("properties", {}).get(key, schema.get("additionalProperties", {}))
            found += [f"{path}.{key}: unknown"] if inner is False else complaints(inner, each, f"{path}.{key}")
    return found


def test_the_examples_hold_to_the_schema() -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert complaints(json_schema(), document) == []
    assert complaints(json_schema(), small()) == []


def test_a_key_is_unknown_or_missing_to_both_reader_and_schema() -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None
    for section in SECTIONS:
        if section in ("values", "choices", "loads"):
            continue
        entries: Any = document[section]
        name = next(iter(entries))
        for key in [*entries[name], "no_such_field"]:
            changed: Any = copy.deepcopy(document)
            if key == "no_such_field":
                changed[section][name][key] = "x"
            else:
                del changed[section][name][key]
            said = complaints(json_schema(), changed)
            _, problems = read_design(changed)
            fields = {problem.field for problem in problems}
            path = f"{section}.{name}.{key}"
            if said:
                assert path in fields
                assert any(each.startswith(f".{path}") for each in said)
            lacking = any(problem.field == path and " lacks " in problem.message for problem in problems)
            assert lacking == any(each == f".{path}: missing" for each in said)
