"""Materials pasted as rows from a spreadsheet: each is kept, or stays in its box with the sentence why."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Form, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.catalogue.meant import key_of
from webapp.costing.measures.trade_words import in_trade_words, said_in_either
from webapp.costing.measures.written import System
from webapp.costing.tables.pasted import Pasted, read_pasted
from webapp.costing.tables.table import Column, Table
from webapp.pages.catalogue.material_form import read_material, typed_material
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.posting import tidy_table
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.catalogue.changes import add_material
from webapp.persistence.catalogue.stock import codes_and_names
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: So many rows at once; a longer list is pasted in parts.
MOST_ROWS: Final = 500
_BARE: Final = re.compile(r"[0-9]+([.,][0-9]+)?")
_ALL: Final = tuple(one for kind in KINDS.values() for one in kind.properties)
COLUMNS: Final = (
    Column("name", ("material", "called", "description")),
    Column("kind", ("sort", "type")),
    Column("code", ("article", "our code")),
    Column("tags", ("tag",)),
    Column("note", ("notes", "remark")),
    *(
        Column(
            name,
            tuple(
                {said for one in _ALL if one.name == name for said in said_in_either(key_of(one.label))}
                | set(said_in_either(key_of(name)))
            ),
        )
        for name in dict.fromkeys(one.name for one in _ALL)
    ),
)
#: The columns that hold a number or a measure.
NUMBERS: Final = tuple(dict.fromkeys(one.name for one in _ALL if one.quantity != "yes_no"))
#: The order in which rows without a heading are read.
USUAL_ORDER: Final = ("name", "kind", "thickness", "width")
_KIND_OF: Final[Mapping[str, Kind]] = {
    key_of(word): kind
    for kind, row in KINDS.items()
    for own in (kind.value, row.singular, row.plural)
    for word in said_in_either(own)
}


@dataclass(frozen=True, slots=True)
class PastePage:
    """The box, what was kept, and why rows stay; `kinds` are for rows that say none."""

    kinds: tuple[tuple[str, str], ...]
    kind: str
    text: str
    kept: tuple[tuple[str, str], ...]
    sentences: tuple[str, ...]
    said: str
    columns: tuple[tuple[str, str], ...]


@router.get("/materials/paste")
def show_box(request: Request) -> Response:
    """The empty box, and what may stand in the columns of each kind."""
    return render(request, "catalogue/paste.html", _page("", "", (), (), ""))


@router.post("/materials/paste")
def take(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn,
    text: Annotated[str, Form()] = "", kind: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Keep the rows that can be; the others come back with their reasons."""
    written = tidy_table(text)
    usual = Kind(kind) if kind in set(Kind) else None
    if not written:
        return render(request, "catalogue/paste.html", _page("", kind, (), (), "Paste some rows first."), 422)
    materials: list[Material] = []
    read = read_materials(session, written, usual, shop.length_system, materials)
    at, by = running(request).now(), user.id

    def keep(writing: Session) -> Response:
        for material in materials:
            add_material(writing, material, at=at, by=by)
        kept = tuple((one.code, one.name) for one in materials)
        page = _page(read.left_text(written), kind, kept, read.sentences, "")
        return render(request, "catalogue/paste.html", page, 422 if read.sentences and not kept else 200)

    return in_one_write(request, keep)


def read_materials(
    session: Session, text: str, usual: Kind | None, system: System, found: list[Material]
) -> Pasted:  # fmt: skip
    """Read pasted rows as the form of a material does; those that can be kept are put into `found`."""
    codes, names = codes_and_names(session)

    def judge(number: int, entry: dict[str, str], table: Table) -> tuple[dict[str, str], str]:
        who = f"Row {number}, “{entry.get('name', '')[:60]}”"
        kind = _KIND_OF.get(key_of(entry.get("kind", ""))) if entry.get("kind") else usual
        if kind is None:
            such = f"“{entry['kind'][:40]}” is none of {', '.join(KINDS)}" if entry.get("kind") else "it says no kind"
            return entry, f"{who}: {such}."
        known = {one.name: one for one in KINDS[kind].properties}
        foreign = [key for key in entry if key not in known and key not in ("name", "kind", "code", "tags", "note")]
        if foreign:
            said = ", ".join(name.replace("_", " ") for name in foreign)
            return entry, f"{who}: a {kind} has no {said}; empty the cell, or take another kind."
        sent: dict[str, str] = {name: entry[name] for name in ("name", "code", "tags", "note") if name in entry}
        for name in entry.keys() & known.keys():
            unit = table.units.get(name, "") if _BARE.fullmatch(entry[name]) else ""
            sent[f"value.{name}"] = f"{entry[name]} {unit}".strip()
        material, problems = read_material(kind, typed_material(sent, kind), system, plain=True)
        if not problems and material.code in codes:
            problems["code"] = f"there is a material under “{material.code}” already."
        if not problems and key_of(material.name) in names:
            problems["name"] = f"there is a material called “{material.name}” already; give it a name of its own."
        if problems:
            return entry, f"{who}: {' '.join(problems.values())}"
        codes.add(material.code)
        names.add(key_of(material.name))
        found.append(material)
        return entry, ""

    most = f"{MOST_ROWS} rows at most are kept at once."
    return read_pasted(text, COLUMNS, USUAL_ORDER, judge, MOST_ROWS, most, NUMBERS)


def _page(
    text: str, kind: str, kept: tuple[tuple[str, str], ...], sentences: tuple[str, ...], said: str
) -> PastePage:  # fmt: skip
    kinds = (("", "as each row says"), *((one.value, row.singular) for one, row in KINDS.items()))
    columns = tuple(
        (row.singular, in_trade_words(", ".join(one.name.replace("_", " ") for one in row.properties)))
        for row in KINDS.values()
    )
    return PastePage(kinds, kind, text, kept, sentences, said, columns)
