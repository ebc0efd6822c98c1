"""Another way typed: the fields of the job's items as that way has them, and what is kept of them: what differs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.alternates.form import free_key, in_other_way, told_as_other_way
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.jobs.alternates import INSTALL, LONGEST_NAME, OTHERWISE_SECTIONS
from webapp.pages.sheet.fields import FieldBuilder, ItemFields, JobFields
from webapp.pages.sheet.form import read_form, with_ids
from webapp.pages.sheet.page import Worked, work_out
from webapp.pages.sheet.problems import sort_problems
from webapp.pages.sheet.stock import stock_to_choose
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import Posted, tidy_text
from webapp.persistence.designs.records import list_versions
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.settings.shop import Shop

NAMELESS = "Say what this way is called, as the customer would read it."
NOTHING_ELSE = "Nothing differs from the job yet: change a size, a choice, a material or how many there are below."
#: Beside how many there are of something that a way may go without.
NONE_OF_IT: Final = "0 leaves it out"


@dataclass(frozen=True, slots=True)
class WayTyped:
    """Another way as it is typed: its id ('' for a new one), its name, and the form of the job as it has it."""

    key: str
    name: str
    on_quote: bool
    form: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class WayPage:
    """The form of another way; one of several items stands open where something in it differs or it was asked for."""

    number: int
    job_href: str
    action: str
    heading: str
    title: str
    version: int
    name: Field
    on_quote: bool
    items: tuple[ItemFields, ...]
    lines: tuple[Field, ...]
    install: Field
    open: frozenset[str]
    problem: str


def way_kept(job: StoredJob, entry: Mapping[str, Any] | None) -> WayTyped:
    """A way as it is kept, or a new one, in which nothing differs yet."""
    document = with_ids(job.document)
    if entry is None:
        return WayTyped("", "", False, document)
    held = in_other_way(document, entry)
    return WayTyped(str(entry["id"]), str(entry.get("name", "")), entry.get("on_quote") == "yes", held)


def way_typed(job: StoredJob, key: str, posted: Posted) -> WayTyped:
    """A way as its form was sent."""
    fields = dict(posted)
    name = tidy_text(fields.get("name", ""))
    typed = read_form(posted).document
    held = {str(item["id"]): item for item in typed.get("items", ())}
    document = with_ids(job.document)
    # What has no field here stays as the job has it.
    items = [{**item, **_only_typed(held[item["id"]])} if item["id"] in held else item for item in document["items"]]
    counts = {str(line["id"]): line.get("quantity", "") for line in typed.get("lines", ())}
    lines = [{**line, "quantity": counts.get(line["id"], line.get("quantity", ""))} for line in _lines(document)]
    form = {**document, "items": items, "lines": lines, INSTALL: fields.get(INSTALL, "no")}
    return WayTyped(key, name, fields.get("on_quote") == "yes", form)


def _only_typed(item: Mapping[str, Any]) -> dict[str, Any]:
    """What the form of a way holds of an item; a table that came empty is empty."""
    tables: dict[str, Any] = {"sizes": {}, "choices": {}, "materials": {}}
    return {**tables, **{name: held for name, held in item.items() if name in (*tables, "version", "quantity")}}


def entry_typed(job: StoredJob, typed: WayTyped, own: Inputs, shop: Shop) -> dict[str, Any]:
    """What the job's form keeps of a way as it is typed."""
    document = with_ids(job.document)
    otherwise = told_as_other_way(document, typed.form, own.designs, shop.length_system)
    entry: dict[str, Any] = {"id": typed.key or free_key(document), "name": typed.name, **otherwise}
    return {**entry, "on_quote": "yes"} if typed.on_quote else entry


def what_is_wrong(typed: WayTyped, entry: Mapping[str, Any]) -> tuple[str, str]:
    """What stands against the name, and against the whole; '' where nothing does."""
    if not typed.name:
        return NAMELESS, ""
    if len(typed.name) > LONGEST_NAME:
        return f"This has {len(typed.name)} letters; at most {LONGEST_NAME} have room.", ""
    return "", "" if any(part in entry for part in (*OTHERWISE_SECTIONS, INSTALL)) else NOTHING_ELSE


def way_page(
    session: Session, job: StoredJob, typed: WayTyped, shop: Shop, today: date, asked: str = "",
    wrong: tuple[str, str] = ("", ""), differs: frozenset[str] = frozenset(),
) -> WayPage:  # fmt: skip
    """The form in words, worked out so that what can't be taken is said beside its field."""
    worked = work_out(session, typed.form, shop, today, job)
    fields = _fields(session, worked)
    items = tuple(_bare(item) for item in fields.items if item.listed is None)
    counts = {line.id: line.quantity for line in fields.lines}
    lines = tuple(
        replace(counts[line["id"]], label=f"{line.get('says') or line.get('kind')}: how many",
                value=counts[line["id"]].value or "1", hint=NONE_OF_IT)
        for line in _lines(typed.form)
    )  # fmt: skip
    several = len(items) > 1
    opened = differs | {asked} if several else frozenset(item.id for item in items)
    if several and not opened & {item.id for item in items} and items:
        opened = frozenset({items[0].id})
    return WayPage(
        job.number, f"/jobs/{job.number}", f"/jobs/{job.number}/alternates/{typed.key or 'new'}",
        typed.name if typed.key else "Another way", job.title, job.version,
        Field("name", "What it is called", typed.name, "As an option on the quote: Maple top.", wrong[0]),
        typed.on_quote, items, lines, fields.install, frozenset(opened), wrong[1],
    )  # fmt: skip


def _lines(form: Mapping[str, Any]) -> tuple[Mapping[str, Any], ...]:
    return tuple(form.get("lines", ()))


def _bare(item: ItemFields) -> ItemFields:
    """The fields of an item without what is the job's alone."""
    kept = ("design", "version", "sizes", "choices", "materials")
    hidden = tuple(one for one in item.hidden if one.name.split(".")[2] in kept)
    return replace(item, hidden=hidden, quantity=replace(item.quantity, hint=NONE_OF_IT))


def _fields(session: Session, worked: Worked) -> JobFields:
    """The fields of this form as the job's sheet has them."""
    bare = FieldBuilder(
        worked.document, worked.inputs, worked.estimate, sort_problems((), worked.document, ()), {}, {}
    ).build()
    names = {field.name for field in bare.each()}
    sorted_ = sort_problems(worked.estimate.problems, worked.document, names)
    codes = {str(item["design"]) for item in worked.document.get("items", ()) if item.get("design")}
    versions = {code: tuple(one.number for one in list_versions(session, code)) for code in codes}
    stock = stock_to_choose(session, worked.inputs, worked.estimate, "").stock
    return FieldBuilder(worked.document, worked.inputs, worked.estimate, sorted_, stock, versions).build()
