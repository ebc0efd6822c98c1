"""The order of a design's entries, kept apart where its document is kept in one spelling that forgets it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from webapp.costing.design_form.tables.form_tables import INSIDE


def order_of(design: Mapping[str, object], path: str = "") -> dict[str, list[str]]:
    """In which order the entries of each section of a design stand, and of those within it: pieces of cut plans are
    numbered by it, and a document that is kept in one spelling forgets it."""
    found = {f"{path}{section}": list(entries) for section, entries in design.items() if isinstance(entries, Mapping)}
    for code, within in _inside(design).items():
        found |= order_of(within, f"{path}{INSIDE}.{code}.")
    return found


def in_order(design: Mapping[str, Any], order: Mapping[str, Sequence[str]], path: str = "") -> Mapping[str, Any]:
    """A design with its entries as they stood, and those of the designs within it; those of which nothing is known
    stay as they are."""
    arranged = {
        section: {**{name: entries[name] for name in order[f"{path}{section}"] if name in entries}, **entries}
        if f"{path}{section}" in order and isinstance(entries, Mapping)
        else entries
        for section, entries in design.items()
    }
    inside = _inside(design)
    if not inside:
        return arranged
    within = {code: in_order(one, order, f"{path}{INSIDE}.{code}.") for code, one in inside.items()}
    return {**arranged, INSIDE: {**arranged[INSIDE], **within}}


def _inside(design: Mapping[str, object]) -> dict[str, Mapping[str, Any]]:
    """The designs that stand in a design, by code."""
    held = design.get(INSIDE)
    found = held.items() if isinstance(held, Mapping) else ()
    return {code: one for code, one in found if isinstance(one, Mapping)}
