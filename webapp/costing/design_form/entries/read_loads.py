"""Loads and spans of the design form -> the model."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, cast

from webapp.costing.design_form.entries.read_entries import part_there
from webapp.costing.design_form.entries.read_fields import Entry
from webapp.costing.design_form.tables.form_tables import SHORT_FORM
from webapp.costing.designs.formulas import MASS
from webapp.costing.designs.model import Lies, Load, Span


def read_load(entry: Entry) -> Load:
    """What is planned on each piece of a part."""
    return Load(
        entry.name,
        part_there(entry, "on"),
        entry.formula("kilograms"),
        cast(Lies, entry.one_of("lies", "spread")),
        entry.formula_or_none("lasting"),
        entry.when(),
    )


def read_span(entry: Entry) -> Span:
    """A span with an even load: along its length, or in kilograms on the whole of one; else what is planned on it."""
    load, kilograms = Fraction(0), None
    text = str(entry.content.get("load", ""))
    if not entry.has("load") and entry.reading.form == SHORT_FORM:
        pass
    elif entry.reading.form != SHORT_FORM or "N/" in text or "lbf/" in text:
        load = entry.load("load")
    else:
        kilograms = entry.formula_at("load", entry.words("load") or "0 kg", MASS)
    return Span(
        entry.name,
        part_there(entry, "part"),
        entry.formula("span") if entry.has("span") or entry.reading.form != SHORT_FORM else None,
        load,
        cast(Literal["shelf", "bench"], entry.one_of("limit", "shelf")),
        entry.when(),
        kilograms,
        entry.formula_or_none("flat"),
    )
