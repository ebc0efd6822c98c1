"""What a new job begins with: how many of each thing, and its first sizes, typed before the job is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.design_changes.rename import renamed_in_job
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design, Size
from webapp.costing.designs.sizes import check_sizes
from webapp.costing.jobs.reader import MOST_OF_ONE
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System, as_kept, as_shown, format_quantity, write_quantity
from webapp.pages.sheet.words import ordered_sizes
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import Document, tidy_text
from webapp.persistence.designs.records import load_design_of
from webapp.persistence.foundation.errors import NotKept

#: So many sizes of a thing are asked for; the job's sheet has them all.
MOST_SIZES: Final = 3
#: So many things of a past job are asked about.
MOST_ITEMS: Final = 6


@dataclass(frozen=True, slots=True)
class BeginItem:
    """One thing to be made."""

    name: str
    fields: tuple[Field, ...]


def begin_items(
    session: Session, document: Document, typed: Mapping[str, str], system: System
) -> tuple[BeginItem, ...]:
    """The things of a document with their fields; `typed` are the form's own fields, those not typed stay as they are.

    A thing whose design is not kept, or can't be read, is left to the job's sheet, which says so.
    """
    found = []
    for item in list(document.get("items", ()))[:MOST_ITEMS]:
        try:
            stored = load_design_of(session, item)
        except NotKept:
            continue
        design, _ = read_design(stored.document)
        if design is not None:
            found.append(_begin_item(renamed_in_job(item, {}, stored.document), design, typed, system))
    return tuple(found)


def take_typed(document: Document, items: tuple[BeginItem, ...]) -> Document:
    """The document with what its things' fields hold."""
    values = {field.name: as_kept(field.value) for item in items for field in item.fields}
    changed = []
    for item in document.get("items", ()):
        stem = _stem(item)
        sizes = dict(item.get("sizes", {}))
        for name, value in values.items():
            if value and name.startswith(f"{stem}.sizes."):
                sizes[name.removeprefix(f"{stem}.sizes.")] = value
        quantity = values.get(f"{stem}.quantity") or item.get("quantity", "1")
        changed.append({**item, "quantity": quantity, **({"sizes": sizes} if sizes else {})})
    return {**document, "items": changed} if changed else document


def _stem(item: Mapping[str, object]) -> str:
    return f"begin.{item['id']}"


def _begin_item(item: Document, design: Design, typed: Mapping[str, str], system: System) -> BeginItem:
    stem = _stem(item)
    held = {str(name): str(text) for name, text in item.get("sizes", {}).items()}
    asked = ordered_sizes(design, system)[:MOST_SIZES]
    for size in asked:
        just = as_kept(tidy_text(typed.get(f"{stem}.sizes.{size.name}", "")))
        held[size.name] = just or held.get(size.name, "")
    wrong = {one.field: one.message for one in check_sizes(design, held, system)[1]}
    quantity = tidy_text(typed.get(f"{stem}.quantity", "")) or str(item.get("quantity", "1"))
    return BeginItem(
        str(item.get("label") or design.name),
        (
            *(_size(stem, size, held[size.name], wrong.get(f"sizes.{size.name}", ""), system) for size in asked),
            Field(f"{stem}.quantity", "How many", quantity, "", _wrong_quantity(quantity)),
        ),
    )


def _size(stem: str, size: Size, text: str, problem: str, system: System) -> Field:
    quantity = "length" if size.is_length else "number"
    least, most = (format_quantity(limit, quantity, system) for limit in (size.least, size.most))
    value = text or write_quantity(size.usual, quantity, system)
    return Field(f"{stem}.sizes.{size.name}", size.says, as_shown(value), f"{least} to {most}", problem)


def _wrong_quantity(text: str) -> str:
    number = small_number(text)
    return (
        ""
        if number is not None and 1 <= number <= MOST_OF_ONE
        else f"“{text[:60]}” is no whole number from 1 to {MOST_OF_ONE}."
    )
