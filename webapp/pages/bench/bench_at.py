"""What the bench gets of a job or a design, under its address: the page that lists it, and each thing as a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from fastapi import Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from webapp.costing.contours.guide import Guide, GuideError
from webapp.costing.errors import MeasureError
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import as_kept, parse_length
from webapp.documents.bench.cut_table import cut_table
from webapp.documents.bench.labels import SHEETS, USUAL, bench_labels, has_room
from webapp.documents.bench.part_files import file_name, part_file, parts_archive
from webapp.documents.bench.routed import Routed, route, routed_of
from webapp.documents.bench.templates import (
    MOST_PAGES,
    Drawn,
    TemplatePage,
    TemplatePaper,
    grid_of,
    pages_of,
    template_html,
    templates_of,
)
from webapp.documents.bench.work import BenchWork
from webapp.documents.printing.pdf_worker import WORKER
from webapp.documents.workshop.stickers import StickerSheet, sticker_paper
from webapp.pages.web.answers import file_answer, pdf_answer
from webapp.pages.web.fields import Field
from webapp.pages.web.given import Form, TableLinks, table_answer, table_links
from webapp.pages.web.listing import address
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import render
from webapp.showing import counted

DXF: Final = "image/vnd.dxf"
ZIP: Final = "application/zip"
MM: Final = 1_000_000
#: Guides and cutters up to so much, nm.
LARGEST: Final = 200 * MM


@dataclass(frozen=True, slots=True)
class BenchAt:
    """What there is to make, its address, what its files are called, whose it is, and where else to go from it:
    (address, words). `asked` is carried by each link: which version of a design. `own` is the sheet of stickers that
    the shop typed last."""

    address: str
    name: str
    work: BenchWork
    shop: Shop
    today: date
    links: tuple[tuple[str, str], ...]
    asked: Mapping[str, str]
    own: StickerSheet | None = None

    def href(self, ending: str) -> str:
        """Where one of its things is."""
        return address(f"{self.address}{ending}", self.asked)


@dataclass(frozen=True, slots=True)
class PartRow:
    """A kind of part with its flat and its file; `href` and `drawing` are '' where a size of it is not known."""

    number: int
    says: str
    pieces: str
    size: str
    href: str
    drawing: str


@dataclass(frozen=True, slots=True)
class TemplateRow:
    """A template: the number of its part, its words, why there is one, how many pages on each paper, and where it is;
    `href` is '' where it takes too many."""

    number: int
    says: str
    why: str
    pages: str
    href: str


@dataclass(frozen=True, slots=True)
class BenchPage:
    """What there is for the bench, with counts; what there is not says why."""

    at: BenchAt
    title: str
    parts: tuple[PartRow, ...]
    files: str
    zip_href: str
    table: TableLinks
    labels: str
    sheets: tuple[tuple[str, str], ...]
    sheet: str
    templates: tuple[TemplateRow, ...]
    all_templates: str
    router: tuple[tuple[str, str], ...]
    which: str
    bush: Field
    cutter: Field
    problem: str
    paper: str
    title_block: tuple[tuple[str, str], ...]


def bench_page(request: Request, at: BenchAt, typed: Mapping[str, str] | None = None, problem: str = "") -> Response:
    """The page; `typed` is what was asked of the router's form, and `problem` what is wrong with it."""
    work, typed = at.work, typed or {}
    outlines = work.outlines()
    templates, paper = templates_of(work), at.shop.paper
    pages = [len(grid_of(one.drawing, paper)[1].windows) for one in templates]
    labels = counted(sum(one.pieces for one in work.made), "label") if work.job is not None else ""
    page = BenchPage(
        at, work.title,
        tuple(
            PartRow(one.number, one.part.says, counted(one.pieces, "piece"), one.size_words(work.system),
                    at.href(f"/parts/{one.number}.dxf") if one.number in outlines else "", outlines.get(one.number, ""))
            for one in work.made
        ),
        counted(len(outlines), "part"), at.href("/parts.zip") if outlines else "",
        table_links("The cut list", f"{at.address}/cut-list", at.asked), labels,
        tuple((key, words) for key, words, _ in _sheets(at)), USUAL[paper] if labels else "",
        tuple(
            TemplateRow(one.one.number, one.says.removeprefix(f"{one.one.number} "), one.why, counted(number, "page"),
                        at.href(f"/templates/{place}.pdf") if number <= MOST_PAGES else "")
            for place, (one, number) in enumerate(zip(templates, pages, strict=True), 1)
        ),
        at.href("/templates.pdf") if 0 < sum(pages) <= MOST_PAGES and len(pages) > 1 else "",
        tuple((one.key, one.says) for one in routed_of(work)), typed.get("which", ""),
        Field("bush", "Guide bush, outside", typed.get("bush", ""), "Across, where it runs along the template.",
              unit=work.unit, required=True),
        Field("cutter", "Cutter", typed.get("cutter", ""), "Across, where it cuts.", unit=work.unit, required=True),
        problem, paper,
        (("Sheet", "For the bench"), ("Of", work.belongs_to), ("Parts", str(len(work.made))), ("Shop", at.shop.name)),
    )  # fmt: skip
    return render(request, "bench/show.html", page, 422 if problem else 200)


def send_part(at: BenchAt, number: int) -> Response:
    """One part as a DXF file."""
    one, content = at.work.by_number(number), part_file(at.work, number)
    if one is None or content is None:
        raise HTTPException(404)
    return file_answer(content, DXF, f"{at.name}-{file_name(one)}")


def send_parts(at: BenchAt) -> Response:
    """All parts with their list as an archive."""
    if not any(one.drawn is not None for one in at.work.made):
        raise HTTPException(404)
    return file_answer(parts_archive(at.work), ZIP, f"{at.name}-parts.zip")


def send_cut_list(at: BenchAt, form: Form) -> Response:
    """The cut list as a table."""
    return table_answer(cut_table(at.work, f"Cut list of {at.work.belongs_to}"), form, f"{at.name}-cut-list")


def send_labels(at: BenchAt, key: str, first: int) -> Response:
    """A label for each piece, on the sheet of stickers asked for, from that sticker on."""
    sheets = {one: sheet for one, _, sheet in _sheets(at)}
    sheet = sheets.get(key, sheets[USUAL[at.shop.paper]])
    labels = bench_labels(at.work, sheet)
    if not labels or at.work.job is None or not 1 <= first <= sheet.on_one:
        raise HTTPException(404)
    html = sticker_paper(
        f"Labels of {at.work.belongs_to}", at.shop.name, at.today.isoformat(), labels, sheet, first
    )  # fmt: skip
    return pdf_answer(WORKER.make(html), f"{at.name}-labels.pdf")


def send_templates(at: BenchAt, place: int | None, paper: Paper) -> Response:
    """One template by its place in their list, or all, where they take no more pages than are printed at once."""
    found = templates_of(at.work)
    if place is not None:
        found = found[place - 1 : place] if place > 0 else ()
    pages = [page for one in found for page in _few_pages(one, at, paper)]
    if not pages or len(pages) > MOST_PAGES:
        raise HTTPException(404)
    return _templates(at, "Templates", pages, paper)


def send_router(request: Request, at: BenchAt, asked: Mapping[str, str], paper: Paper) -> Response:
    """The router template that was asked for; what can't be made of it is said on the page."""
    routed = next((one for one in routed_of(at.work) if one.key == asked.get("which")), None)
    if routed is None:
        raise HTTPException(404)
    try:
        drawn, notes = _route(routed, asked, at.work)
    except (GuideError, MeasureError) as error:
        return bench_page(request, at, asked, in_trade_words(str(error)))
    if len(grid_of(drawn.drawing, paper)[1].windows) > MOST_PAGES:
        return bench_page(request, at, asked, f"It takes more than {MOST_PAGES} pages: take the file of the part.")
    pages = list(pages_of(drawn, paper, at.work.system, tuple(map(in_trade_words, notes))))
    return _templates(at, "Router template", pages, paper)


def _route(routed: Routed, asked: Mapping[str, str], work: BenchWork) -> tuple[Drawn, tuple[str, ...]]:
    across = {}
    for name, words in (("bush", "Guide bush"), ("cutter", "Cutter")):
        text = asked.get(name, "")
        if not text:
            raise GuideError(f"{words}: how wide it is has to be said.")
        across[name] = parse_length(as_kept(text), work.unit)
        if across[name] > LARGEST:
            raise GuideError(f"{words}: “{text[:40]}” is wider than any.")
    return route(routed, Guide(across["bush"] / MM, across["cutter"] / MM), work.system)


def _few_pages(one: Drawn, at: BenchAt, paper: Paper) -> Iterator[TemplatePage]:
    # Pages are counted before they are drawn: a field over a whole floor would be hundreds.
    if len(grid_of(one.drawing, paper)[1].windows) <= MOST_PAGES:
        yield from pages_of(one, paper, at.work.system)


def _templates(at: BenchAt, title: str, pages: list[TemplatePage], paper: Paper) -> Response:
    head = TemplatePaper(
        f"{title}: {at.work.title}", at.shop.name, at.today.isoformat(), paper, tuple(pages)
    )  # fmt: skip
    return pdf_answer(WORKER.make(template_html(head)), f"{at.name}-templates.pdf")


def _sheets(at: BenchAt) -> Iterator[tuple[str, str, StickerSheet]]:
    """The sheets of stickers: key, words, sheet; the one that the shop typed last too, where it has room."""
    for key, (words, sheet) in SHEETS.items():
        yield key, words, sheet
    if at.own is not None and has_room(at.own):
        yield "own", f"the sheet typed for labels of offcuts, {at.own.on_one} on {at.own.paper}", at.own
