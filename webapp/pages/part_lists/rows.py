"""A list of parts on the job sheet: its rows as fields, or as text where it is long; rows pasted are taken in."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.meant import key_of
from webapp.costing.jobs.listed import MOST_ROWS, read_edges, write_edges
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.typed_text import as_shown
from webapp.costing.part_lists.pasted import NUMBERS, read_pasted_parts
from webapp.costing.part_lists.text import WRITTEN, read_text_rows, write_rows
from webapp.costing.tables.pasted import Pasted
from webapp.pages.web.fields import Field, Options
from webapp.pages.web.posting import Document
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.settings.shop import Shop

#: What an item is called on the sheet that is a list.
LIST_WORDS: Final = "Parts without a design"
#: The empty row beneath the others.
NEW_ROW: Final = "new"
#: With more rows than these in all its lists, a job shows them as text: a browser is slow with thousands of fields.
MOST_IN_FIELDS: Final = 60

_PLACE: Final = re.compile(r"new|[0-9]{1,3}")
_WORDS: Final[Mapping[str, str]] = {
    "name": "Part", "count": "How many", "length": "Length", "width": "Width", "thickness": "Thick",
    "material": "Material", "grain": "Grain", "edges": "Banded edges", "band": "Edge band",
}  # fmt: skip
_GRAINS: Final[Options] = (
    ("", "usual"), ("length", "with length"), ("width", "with width"), ("free", "either way"),
)  # fmt: skip
_EDGES: Final[Options] = tuple(
    ("" if not long and not short else write_edges(long, short), write_edges(long, short))
    for long in range(3)
    for short in range(3)
)
#: What a row has to say before it is more than begun.
_BEGUN: Final = ("name", "length", "width", "thickness", "material")
_WHOLE: Final = ("length", "material")


@dataclass(frozen=True, slots=True)
class RowFields:
    """One row: its number, or that of the empty one, and its fields."""

    place: str
    cells: tuple[Field, ...]

    @property
    def is_new(self) -> bool:
        """Whether it is the empty row beneath the others."""
        return self.place == NEW_ROW


@dataclass(frozen=True, slots=True)
class ListFields:
    """The fields of a list of parts. `rows` are empty where the list stands in `text`; `left` are the sentences about
    pasted rows that were not taken; the others are what may be chosen."""

    rows: tuple[RowFields, ...]
    text: Field | None
    pasted: Field
    left: tuple[str, ...]
    about: tuple[tuple[Field, str], ...]
    sanded: Field
    count: int
    stock: Options
    bands: Options
    liquids: Options

    def each(self) -> tuple[Field, ...]:
        """Every field."""
        rows = [cell for row in self.rows for cell in row.cells]
        text = () if self.text is None else (self.text,)
        return (*rows, *text, self.pasted, *(field for field, _ in self.about), self.sanded)


def is_list(item: Mapping[str, Any]) -> bool:
    """Whether an item of a document is a list of parts: one that names no design."""
    return not item.get("design")


def is_place(text: str) -> bool:
    """Whether a part of a field's name says a row of a list."""
    return _PLACE.fullmatch(text) is not None


def typed_list(item: Document, half_typed: bool) -> Document:
    """An item with the rows that were typed, in their order; a row that was emptied is gone.

    `half_typed` False leaves the row beneath the others out until it can be cut.
    """
    found = {**item}
    typed: Mapping[str, Mapping[str, str]] = found.pop("parts", {})
    text = str(found.pop("rows", ""))
    rows = [typed[place] for place in sorted((one for one in typed if one != NEW_ROW), key=int)]
    new = typed.get(NEW_ROW, {})
    if half_typed or all(new.get(key) for key in _WHOLE):
        rows.append(new)
    entries = [
        {key: row[key] for key in WRITTEN if row.get(key)} for row in rows if any(row.get(key) for key in _BEGUN)
    ]
    if text:
        read, left = read_text_rows(text)
        entries += read
        found["pasted"] = "\n".join(filter(None, (str(found.get("pasted", "")), left)))
    if entries:
        found["parts"] = entries
    return found


def read_waiting(session: Session, item: Mapping[str, Any], shop: Shop, today: date) -> Pasted:
    """The rows that wait in the box of a list, read against all that the shop can buy."""
    room = MOST_ROWS - len(item.get("parts", ()))
    return read_pasted_parts(str(item.get("pasted", "")), load_catalogue(session, today), shop.length_system, room)


def take_pasted(document: Document, list_id: str, session: Session, shop: Shop, today: date) -> Document:
    """The document with the pasted rows of a list among its parts; those that can't be taken stay in the box."""
    items = []
    for item in document.get("items", ()):
        if item["id"] == list_id and item.get("pasted"):
            read = read_waiting(session, item, shop, today)
            taken = [dict(row.entry) for row in read.taken]
            left = read.left_text(item["pasted"])
            item = {**item, "parts": [*item.get("parts", ()), *taken], "pasted": left}
        items.append({key: value for key, value in item.items() if value})
    return {**document, "items": items}


def left_sentences(
    session: Session, document: Mapping[str, Any], shop: Shop, today: date
) -> dict[str, tuple[str, ...]]:
    """Why pasted rows of the lists of a document were not taken, by item."""
    said = {}
    for item in document.get("items", ()):
        if item.get("pasted"):
            said[str(item["id"])] = read_waiting(session, item, shop, today).sentences
    return said


def swap_in_list(item: Document, stands: tuple[str, str], put: str) -> Document:
    """A list with one material in place of another in all its rows; `stands` is that one's code and name."""
    keys = {key_of(word) for word in stands}
    rows = [
        {
            key: put if key in ("material", "band") and key_of(str(value)) in keys else value
            for key, value in row.items()
        }
        for row in item.get("parts", ())
    ]
    return {**item, "parts": rows} if rows else item


def build_list(
    stem: str, item: Mapping[str, Any], problems: Mapping[str, str], stock: Mapping[Any, Options],
    left: Sequence[str], *, as_text: bool,
) -> ListFields:  # fmt: skip
    """The fields of a list; `stock` holds what may be chosen, by kind."""
    parts: Sequence[Mapping[str, Any]] = item.get("parts", ())

    def field(name: str, label: str, hint: str = "", options: Options = (), value: str | None = None) -> Field:
        held = as_shown(str(item.get(name, ""))) if name == "coats" else str(item.get(name, ""))
        held = held if value is None else value
        return Field(f"{stem}.{name}", label, held, hint, problems.get(f"{stem}.{name}", ""), options)

    text = None
    if as_text:
        hint = "A row on each line, its cells parted by tabs; what stands in each, the first line says."
        text = field("rows", f"The {len(parts)} rows", hint, value=write_rows(parts))
    chosen = {kind: tuple((_shown(code, name, options), "") for code, name in options)
              for kind, options in stock.items() if isinstance(kind, Kind)}  # fmt: skip
    return ListFields(
        rows=() if as_text else tuple(
            _row(f"{stem}.parts", place, part, problems)
            for place, part in (*((str(at), part) for at, part in enumerate(parts, 1)), (NEW_ROW, {}))
        ),
        text=text,
        pasted=field(
            "pasted", "Paste rows",
            in_trade_words(
                "From a spreadsheet, with or without its heading: part, how many, length, width, material, banded "
                "edges. Sizes without a unit are in the shop’s; sawn boards have a thickness too."
            ),
        ),
        left=tuple(left),
        about=(
            (field("band", "Edge band of the list", "Where a row names none."), "bands"),
            (field("finish", "Finish", "On all parts, faces and edges; empty: none."), "liquids"),
            (field("coats", "Coats", "2 where empty."), ""),
            (field("glue", "Glue", in_trade_words("For wide parts of sawn boards, which are glued up.")), "liquids"),
        ),
        sanded=field("sanded", "Sand the wood"),
        count=len(parts),
        stock=tuple(one for kind in CUT_STOCK for one in chosen.get(kind, ())),
        bands=chosen.get(Kind.LENGTH, ()),
        liquids=chosen.get(Kind.LIQUID, ()),
    )  # fmt: skip


def _shown(code: str, name: str, options: Options) -> str:
    """What stands for a material in a field: its name, or its code where several are called so."""
    return name if sum(key_of(other) == key_of(name) for _, other in options) == 1 else code


def _row(stem: str, place: str, part: Mapping[str, Any], problems: Mapping[str, str]) -> RowFields:
    cells = []
    for key in WRITTEN:
        name, value = f"{stem}.{place}.{key}", str(part.get(key, ""))
        value = as_shown(value) if key in NUMBERS else value
        options = {"grain": _GRAINS, "edges": _EDGES}.get(key, ())
        if key == "edges" and (edges := read_edges(value)) is not None:
            value = write_edges(*edges) if any(edges) else ""
        if options and value not in dict(options):
            # What can't be read stays as it was typed.
            options = ((value, value), *options)
        cells.append(Field(name, _WORDS[key], value, "", problems.get(name, ""), options))
    return RowFields(place, tuple(cells))
