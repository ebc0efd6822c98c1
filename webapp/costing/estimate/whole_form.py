"""A job's form with all that it leaves to its designs filled in, so that saying the usual is saying nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.costing.designs.model import Design, Size
from webapp.costing.errors import MeasureError
from webapp.costing.estimate.snapshot import read_design_once
from webapp.costing.measures.written import System, parse_quantity, write_quantity


def whole_form(
    document: Mapping[str, Any], designs: Mapping[str, Mapping[str, object]], system: System
) -> dict[str, Any]:
    """The form with every size, choice and material of its items said; `designs` are by item, as an estimate has them.

    A size is written the one way in which the shop reads it; what can't be read stays as it was typed.
    """
    items = document.get("items")
    entries = items if isinstance(items, list | tuple) else ()
    return {
        **document,
        "items": [
            _whole_item(entry, designs.get(str(entry.get("id") or f"item_{place}")), system)
            for place, entry in enumerate(entries, 1)
            if isinstance(entry, Mapping)
        ],
    }


def _whole_item(item: Mapping[str, Any], document: Mapping[str, object] | None, system: System) -> dict[str, Any]:
    design = read_design_once(document)[0] if document is not None else None
    if design is None:
        return dict(item)
    return {
        **item,
        "sizes": {**_table(item, "sizes"), **_sizes(_table(item, "sizes"), design, system)},
        "choices": {**{one.name: one.usual for one in design.choices.values()}, **_table(item, "choices")},
        "materials": {
            # What follows another is filled anew where nobody chose it.
            **{one.name: one.usual for one in design.roles.values() if not one.follows},
            **_table(item, "materials"),
        },
    }


def _table(item: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    held = item.get(name)
    return held if isinstance(held, Mapping) else {}


def _sizes(typed: Mapping[str, Any], design: Design, system: System) -> dict[str, str]:
    return {size.name: _size(typed.get(size.name), size, system) for size in design.sizes_in(system).values()}


def _size(typed: object, size: Size, system: System) -> str:
    quantity = "length" if size.is_length else "number"
    text = str(typed).strip() if typed is not None else ""
    try:
        value = parse_quantity(text, quantity, system, allow_negative=True) if text else size.usual
    except MeasureError:
        return text
    return write_quantity(value, quantity, system)
