"""Cut plans under an address: as a page, as a PDF, and each sheet as SVG and DXF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from webapp.documents.workshop.cut_papers import CutFiles, CutPaper, MaterialCut, SheetCut
from webapp.documents.workshop.kept_cuts import KeptCuts
from webapp.pages.web.answers import file_answer, pdf_answer
from webapp.persistence.settings.shop import Paper
from webapp.rendering import render

DXF: Final = "image/vnd.dxf"
SVG: Final = "image/svg+xml"


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """A sheet and the addresses of its drawing as files."""

    sheet: SheetCut
    svg_href: str
    dxf_href: str


@dataclass(frozen=True, slots=True)
class MaterialFiles:
    """A material with its sheets; one file of all its sheets where there are several."""

    cut: MaterialCut
    sheets: tuple[SheetFiles, ...]
    dxf_href: str
    lengths: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class SawingPage:
    """The sheets on the screen. `papers` are the PDFs: (address, words); `links` lead back: (address, words)."""

    paper: CutPaper
    says: str
    materials: tuple[MaterialFiles, ...]
    papers: tuple[tuple[str, str], ...]
    links: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CutsAt:
    """The cut plans that an address is about, whose paper they come on, what a file of them is called and what they
    belong to; `pdf` prints them on a paper, `notes` are said before them, `further` are other papers of theirs."""

    address: str
    files: CutFiles | KeptCuts
    paper: Paper
    name: str
    links: tuple[tuple[str, str], ...]
    belongs_to: str
    pdf: Callable[[Paper], bytes]
    notes: tuple[str, ...] = ()
    further: tuple[tuple[str, str], ...] = ()


def cuts_page(request: Request, at: CutsAt) -> Response:
    """The sheets with their saw sequences as a page."""
    paper = at.files.paper(at.paper)
    own: tuple[Paper, ...] = ("A4", "Letter") if at.paper == "A4" else ("Letter", "A4")
    papers = tuple((f"{at.address}.pdf?paper={size}", f"PDF on {size}") for size in own)
    materials = tuple(_material(at.address, one) for one in paper.materials)
    page = SawingPage(paper, at.belongs_to, materials, (*papers, *at.further), at.links, at.notes)
    return render(request, "plans/sawing.html", page)


def _material(address: str, one: MaterialCut) -> MaterialFiles:
    below = f"{address}/{quote(one.code, safe='')}"
    sheets = tuple(
        SheetFiles(sheet, f"{below}/{sheet.number}.svg", f"{below}/{sheet.number}.dxf") for sheet in one.sheets
    )
    lengths = tuple(
        (drawing.svg, drawing.words, f"{below}/{number}.svg") for number, drawing in enumerate(one.lengths, 1)
    )
    return MaterialFiles(one, sheets, f"{below}/all.dxf" if len(sheets) > 1 else "", lengths)


def cuts_pdf(at: CutsAt, paper: Paper | None) -> Response:
    """The same on paper, a sheet to a page."""
    return pdf_answer(at.pdf(paper or at.paper), f"{at.name}-cut-plans.pdf")


def cuts_svg(at: CutsAt, material: str, plan: int) -> Response:
    """One sheet or length as a drawing."""
    return _file(at, at.files.svg(material, plan), SVG, material, str(plan), "svg")


def cuts_dxf(at: CutsAt, material: str, plan: int | None) -> Response:
    """One sheet for another drawing program, or all of a material."""
    return _file(at, at.files.dxf(material, plan), DXF, material, "all" if plan is None else str(plan), "dxf")


def _file(at: CutsAt, content: str | bytes | None, kind: str, material: str, plan: str, ending: str) -> Response:
    """A file to keep, under a name of plain letters whatever the material is called."""
    if content is None:
        raise HTTPException(404, "There is no such sheet to cut: the plan may have changed since.")
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in material)
    return file_answer(content, kind, f"{at.name}-{plain}-{plan}.{ending}")
