"""Labels of offcuts on a sheet of stickers: which, on what sheet, and from which sticker on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, cast
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Property
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import System, as_kept
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.workshop.stickers import (
    MOST_OF_A_SIDE,
    PAGES,
    USUAL,
    StickerLabel,
    StickerSheet,
    faults_of,
    read_sheet,
    sticker_paper,
    write_sheet,
)
from webapp.pages.catalogue.material_form import read_value
from webapp.pages.shown.materials import number_typed, unit_of
from webapp.pages.shown.offcuts import size_words
from webapp.pages.web.answers import pdf_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.reached import address_for_telephones
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import load_material
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.rack.cuts import keep_sticker_sheet, kept_sticker_sheet, put_for_job
from webapp.persistence.rack.records import StoredOffcut, find_offcuts, load_offcut
from webapp.persistence.settings.shop import Paper, Shop
from webapp.pictures.qr import qr_code
from webapp.rendering import render
from webapp.running import running
from webapp.showing import counted

router = PageRouter()

#: So many labels are printed at once: a rack's worth.
MOST_LABELS: Final = 400
SIDES: Final = tuple(
    Property(name, label, "length", name not in ("left", "top"), hint)
    for name, label, hint in (
        ("width", "A sticker is wide", ""),
        ("height", "A sticker is tall", ""),
        ("left", "The first begins from the left edge", "0 where it begins at the edge."),
        ("top", "and from the top edge", ""),
        ("across", "From the left edge of one to the next", "Its width, and the gap beside it."),
        ("down", "From the top of one to the next", "Its height, and the gap below it."),
    )
)
NUMBERS: Final = (("columns", "Stickers beside each other"), ("rows", "Stickers below each other"))


@dataclass(frozen=True, slots=True)
class LabelsPage:
    """What is printed, on what sheet of stickers; `rows` are the offcuts: (id, words, how many, ticked), and `more`
    says how many others have no row."""

    job: str
    only: str
    more: str
    rows: tuple[tuple[str, str, int, bool], ...]
    papers: tuple[tuple[str, str], ...]
    paper: str
    numbers: tuple[Field, ...]
    sides: tuple[Field, ...]
    first: Field
    how_many: str
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]


@router.get("/rack/labels")
def show_labels(request: Request, session: StoreSession, shop: ShopHere, job: str = "", piece: str = "") -> Response:
    """What would be printed: what a job left, one offcut, or all that stands on the rack."""
    return _page(request, session, shop, {"job": job, "only": piece}, {})


@router.post("/rack/labels")
def print_labels(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """The labels as a PDF, each offcut's as often as there are of it; the sheet is kept for the next time."""
    fields = {name: one_line(text) for name, text in posted}
    ticked = [text for name, text in posted if name == "piece"]
    offcuts = [one for one in _offered(session, fields)[0] if one.offcut.id in ticked]
    sheet, first, problems = _read(fields, shop.length_system)
    count = sum(one.offcut.count for one in offcuts)
    if not offcuts:
        problems["piece"] = "Tick at least one offcut to print a label for."
    elif count > MOST_LABELS:
        asked = counted(count, "label")
        problems["piece"] = f"{asked} are asked for; at most {MOST_LABELS} are printed at once. Tick fewer."
    if problems:
        return _page(request, session, shop, fields, problems, ticked)
    labels = [
        label
        for one in offcuts
        for label in [_label(request, session, one, shop)] * one.offcut.count
    ]  # fmt: skip
    keep_sticker_sheet(session, write_sheet(sheet))
    day = shop.today(running(request).now()).isoformat()
    html = sticker_paper("Labels of offcuts", shop.name, day, labels, sheet, first)
    return pdf_answer(WORKER.make(html), "labels.pdf")


def _offered(session: Session, asked: Mapping[str, str]) -> tuple[list[StoredOffcut], int]:
    """The offcuts that labels are offered for, one by its own page, a job's or the rack's; and how many there are."""
    if asked.get("only"):
        try:
            return [load_offcut(session, UUID(asked["only"]))], 1
        except (ValueError, NotKept):
            return [], 0
    job = small_number(asked.get("job", ""))
    if job is not None:
        left = [load_offcut(session, key) for key in put_for_job(session, job)]
        standing = [one for one in left if one.offcut.count]
        return standing, len(standing)
    found = find_offcuts(session, size=MOST_LABELS)
    return list(found.entries), found.total


def _label(request: Request, session: Session, stored: StoredOffcut, shop: Shop) -> StickerLabel:
    offcut = stored.offcut
    material = load_material(session, offcut.material).material
    grain = "Grain along the first measure" if material.values.get("grain") == 1 else ""
    address = address_for_telephones(request, f"/rack/{offcut.id}")
    lines = (grain, offcut.place, stored.note, shop.today(stored.put_at).isoformat())
    return StickerLabel(
        stored.material_name, size_words(offcut, shop.length_system), tuple(line for line in lines if line),
        qr_code(address, f"This offcut at {address}") if address else "",
    )  # fmt: skip


def _read(fields: Mapping[str, str], system: System) -> tuple[StickerSheet, int, dict[str, str]]:
    """The sheet that was typed, from which sticker on, and what is wrong, by field."""
    problems: dict[str, str] = {}
    paper = cast(Paper, fields["paper"] if fields.get("paper") in PAGES else "A4")
    numbers: dict[str, int] = {}
    for name, label in NUMBERS:
        numbers[name] = _whole(fields.get(name, ""), label, MOST_OF_A_SIDE, name, problems)
    sides: dict[str, int] = {}
    for one in SIDES:
        text = as_kept(fields.get(one.name, ""))
        value, problem = read_value(one, "" if text in ("0", "0 mm", "0 in") and not one.required else text, system)
        if problem:
            problems[one.name] = problem
        sides[one.name] = int(value or 0)
    sheet = StickerSheet(paper, **numbers, **sides)
    if not problems:
        problems |= faults_of(sheet, system)
    first = _whole(fields.get("first", "") or "1", "Begin with sticker", sheet.on_one, "first", problems)
    return sheet, first, problems


def _whole(text: str, label: str, most: int, name: str, problems: dict[str, str]) -> int:
    number = small_number(text)
    if number is not None and 1 <= number <= most:
        return number
    problems[name] = f"{label}: “{text[:40]}” should be a whole number from 1 to {most}."
    return 1


def _page(
    request: Request, session: Session, shop: Shop, fields: Mapping[str, str], problems: Mapping[str, str],
    ticked: Sequence[str] | None = None,
) -> Response:  # fmt: skip
    offcuts, of_all = _offered(session, fields)
    kept = kept_sticker_sheet(session)
    sheet, system = read_sheet(kept) if kept else USUAL[shop.paper], shop.length_system
    rows = tuple(
        (
            one.offcut.id, f"{one.material_name}, {size_words(one.offcut, system)}"
            + (f", {one.offcut.place}" if one.offcut.place else ""),
            one.offcut.count, ticked is None or one.offcut.id in ticked,
        )
        for one in offcuts
    )  # fmt: skip
    numbers = tuple(
        Field(name, label, fields.get(name, str(getattr(sheet, name))), problem=problems.get(name, ""), required=True)
        for name, label in NUMBERS
    )
    sides = tuple(
        Field(
            one.name, one.label, fields.get(one.name, number_typed(getattr(sheet, one.name), one, system)), one.hint,
            problems.get(one.name, ""), unit=unit_of(one, system), required=one.required,
        )
        for one in SIDES
    )  # fmt: skip
    first = Field(
        "first", "Begin with sticker", fields.get("first", "1"), "Counted along the rows: 1 is a whole sheet.",
        problems.get("first", ""),
    )  # fmt: skip
    more = (
        f"{counted(of_all, 'offcut')} stand on the rack; the first {len(offcuts)} by their material are here. The label"
        " of another is printed from its own page."
        if of_all > len(offcuts)
        else ""
    )
    page = LabelsPage(
        fields.get("job", ""), fields.get("only", ""), more, rows, tuple((name, name) for name in PAGES),
        fields.get("paper", sheet.paper), numbers, sides, first,
        counted(sum(count for _, _, count, _ in rows), "label"), problems, tuple(problems.items()),
    )  # fmt: skip
    return render(request, "rack/labels.html", page, 422 if problems else 200)
