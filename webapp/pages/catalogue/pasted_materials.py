"""Materials pasted as rows, or sent as a file: each is kept, changes what is there, or stays with the sentence why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from typing import Annotated, Final

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.catalogue.meant import key_of
from webapp.costing.measures.manner import PLAIN, writing_as
from webapp.costing.measures.trade_words import in_trade_words, said_in_either
from webapp.costing.measures.written import System
from webapp.costing.tables.pasted import Pasted, read_pasted
from webapp.costing.tables.table import Column, Row, Table, TableRefused
from webapp.pages.catalogue.material_form import (
    differences,
    fields_of,
    kind_named,
    labels_of,
    read_material,
    says_otherwise,
    tags_known,
    typed_material,
    with_unit,
)
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file, rows_sent, text_of
from webapp.persistence.catalogue.changes import CodeTaken, add_material, edit_material
from webapp.persistence.catalogue.records import StoredMaterial, load_material
from webapp.persistence.catalogue.stock import codes_and_names
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.foundation.lists import one_line
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: Where materials are pasted, or sent in as a file.
MATERIALS_IN: Final = "/materials/paste"
#: So many rows at once; a longer list is pasted in parts.
MOST_ROWS: Final = 2_000
_ALL: Final = tuple(one for kind in KINDS.values() for one in kind.properties)
COLUMNS: Final = (
    Column("name", ("material", "called", "description")),
    Column("kind", ("sort", "type")),
    Column("code", ("article", "our code")),
    Column("tags", ("tag",)),
    Column("note", ("notes", "remark")),
    Column("version", ()),
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


@dataclass(frozen=True, slots=True)
class PastePage:
    """The box, what was kept or changed, and why rows stay; `kinds` are for rows that say none. `change` is whether
    rows may change what is there already."""

    kinds: tuple[tuple[str, str], ...]
    kind: str
    text: str
    change: bool
    kept: tuple[tuple[str, str], ...]
    changed: tuple[tuple[str, str], ...]
    alike: int
    sentences: tuple[str, ...]
    said: str
    columns: tuple[tuple[str, str], ...]
    known_tags: tuple[tuple[str, str], ...]


@dataclass(slots=True)
class Taken:
    """What rows come to: materials that are new, those there that change, and how many are there as the rows say."""

    new: list[Material] = field(default_factory=list)
    changed: list[StoredMaterial] = field(default_factory=list)
    alike: int = 0


@router.get(MATERIALS_IN)
def show_box(request: Request) -> Response:
    """The empty box, and what may stand in the columns of each kind."""
    return render(request, "catalogue/paste.html", _page("", "", False, Taken(), (), ""))


@router.post(MATERIALS_IN)
def take(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Keep the rows that can be; the others come back with their reasons."""
    fields = dict(posted)
    kind, change = fields.get("kind", ""), bool(fields.get("change"))
    usual = Kind(kind) if kind in set(Kind) else None
    try:
        written = rows_sent(fields.get("text", ""), sent, COLUMNS)
    except TableRefused as refused:
        page = _page(fields.get("text", ""), kind, change, Taken(), (), str(refused))
        return render(request, "catalogue/paste.html", page, 422)
    taken = Taken()
    read = read_materials(session, written, usual, shop.length_system, taken, change=change)
    at, by = running(request).now(), user.id

    def keep(writing: Session) -> Response:
        for material in taken.new:
            add_material(writing, material, at=at, by=by)
        for stored in taken.changed:
            edit_material(writing, stored.material, stored.version, at=at, by=by)
        page = _page(read.left_text(text_of(written)), kind, change, taken, read.sentences, "")
        any_good = taken.new or taken.changed or taken.alike
        return render(request, "catalogue/paste.html", page, 422 if read.sentences and not any_good else 200)

    try:
        return in_one_write(request, keep, again="/materials")
    except (StaleSave, CodeTaken) as refused:
        page = _page(text_of(written), kind, change, Taken(), (), f"{refused} Nothing was kept; try again.")
        return render(request, "catalogue/paste.html", page, 409)


def read_materials(
    session: Session, text: str | Sequence[Row], usual: Kind | None, system: System, taken: Taken, *, change: bool
) -> Pasted:  # fmt: skip
    """Read pasted rows as the form of a material does; those that can be kept are put into `taken`.

    A row whose code is there already changes that material, where `change` allows it: in the columns that the rows have
    and in no others; an empty cell takes out what stood there. Without it the row stays, and says what it would change;
    so does one with the version of a table that went out before somebody changed the material.
    """
    codes, names = codes_and_names(session)
    met: set[str] = set()

    def judge(number: int, entry: dict[str, str], table: Table) -> tuple[dict[str, str], str]:
        who = f"Row {number}, “{entry.get('name', entry.get('code', ''))[:60]}”"
        code = entry.get("code", "").casefold()
        stored = load_material(session, code) if code in codes and code not in met else None
        usual_here = stored.material.kind if stored else usual
        kind = kind_named(entry["kind"]) if entry.get("kind") else usual_here
        if kind is None:
            such = f"“{entry['kind'][:40]}” is none of {', '.join(KINDS)}" if entry.get("kind") else "it says no kind"
            return entry, f"{who}: {such}."
        if stored is not None and stored.material.kind is not kind:
            return entry, f"{who}: “{code}” is a {stored.material.kind}, not a {kind}; a kind can't be changed here."
        known = {one.name: one for one in KINDS[kind].properties}
        of_all = ("name", "kind", "code", "tags", "note", "version")
        foreign = [key for key in entry if key not in known and key not in of_all]
        if foreign:
            said = ", ".join(name.replace("_", " ") for name in foreign)
            return entry, f"{who}: a {kind} has no {said}; empty the cell, or take another kind."
        before = _plain_fields(stored.material, system) if stored else {}
        sent = before | _typed(entry, table, set(known), before)
        material, problems = read_material(kind, typed_material(sent, kind), system, plain=True)
        if not problems and material.code in codes and stored is None:
            problems["code"] = (
                f"the code “{material.code}” stands in an earlier row too."
                if material.code in met
                else f"there is a material under “{material.code}” already."
            )
        if not problems and key_of(material.name) in names - {key_of(stored.material.name) if stored else ""}:
            problems["name"] = f"there is a material called “{material.name}” already; give it a name of its own."
        if problems:
            return entry, f"{who}: {' '.join(problems.values())}"
        met.add(material.code)
        names.add(key_of(material.name))
        if stored is None:
            codes.add(material.code)
            taken.new.append(material)
            return entry, ""
        material = replace(
            material, retired=stored.material.retired,
            # Where a value came from is no longer said of another one.
            sources={
                name: source
                for name, source in material.sources.items()
                if material.values[name] == stored.material.values.get(name)
            },
        )  # fmt: skip
        since = entry.get("version", "") not in ("", str(stored.version))
        if material == stored.material:
            taken.alike += 1
        elif change and not since:
            taken.changed.append(StoredMaterial(material, stored.version))
        else:
            met.remove(material.code)
            moved = differences(before, _plain_fields(material, system), labels_of(kind))
            return entry, f"{who}: {says_otherwise(moved, since=change)}"
        return entry, ""

    most = f"{MOST_ROWS} rows at most are kept at once."
    return read_pasted(text, COLUMNS, USUAL_ORDER, judge, MOST_ROWS, most, NUMBERS)


def _plain_fields(material: Material, system: System) -> dict[str, str]:
    """The material as its form holds it, its numbers as they are kept."""
    with writing_as(PLAIN):
        return fields_of(material, system)


def _typed(
    entry: Mapping[str, str], table: Table, known: Set[str], before: Mapping[str, str]
) -> dict[str, str]:  # fmt: skip
    """What a row says, as the fields of a material's form: of a material that is there, an empty cell under a heading
    empties the field."""
    asked = {name for name in table.columns if name} if before and table.headed else set(entry)
    sent: dict[str, str] = {name: entry.get(name, "") for name in ("code", "tags", "note") if name in asked}
    if entry.get("name"):
        sent["name"] = entry["name"]
    if before and sent.get("note") == one_line(before["note"]):
        sent["note"] = before["note"]
    for name in asked & known:
        cell = entry.get(name, "")
        sent[f"value.{name}"] = with_unit(cell, table.units.get(name, ""))
        if not cell:
            sent[f"source.{name}"] = ""
    return sent


def _page(
    text: str, kind: str, change: bool, taken: Taken, sentences: tuple[str, ...], said: str
) -> PastePage:  # fmt: skip
    kinds = (("", "as each row says"), *((one.value, row.singular) for one, row in KINDS.items()))
    columns = tuple(
        (row.singular, in_trade_words(", ".join(one.name.replace("_", " ") for one in row.properties)))
        for row in KINDS.values()
    )
    return PastePage(
        kinds, kind, text, change, tuple((one.code, one.name) for one in taken.new),
        tuple((one.material.code, one.material.name) for one in taken.changed), taken.alike, sentences, said, columns,
        tags_known(),
    )  # fmt: skip
