"""The pack and the cut plans of an issued quote as they are kept: whole, so that a reprint works nothing out."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from webapp.costing.errors import FormError, Problem
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.measures.plain_values import read_value, write_value
from webapp.documents.workshop.cut_papers import CutFiles, CutPaper
from webapp.documents.workshop.pack import PackFor, WorkshopPack, workshop_pack
from webapp.persistence.foundation.column_types import ordered_json
from webapp.persistence.quotes.records import Document
from webapp.persistence.settings.shop import Paper, Shop

#: Names of what is kept with a quote: the contents of its papers, made with it or later, and PDFs made of them.
CONTENTS: Final = "contents"
MADE_LATER: Final = "contents_made_later"
PACK: Final = "workshop_pack"
CUTS: Final = "cut_plans"

PAPERS_FORM: Final = 2


@dataclass(frozen=True, slots=True)
class KeptDrawings:
    """The drawings of one material as files: of each sheet or length, and of all sheets in one."""

    code: str
    svg: tuple[str, ...]
    dxf: tuple[str, ...]
    all_dxf: str


@dataclass(frozen=True, slots=True)
class KeptPapers:
    """Everything that the papers of the workshop print, in the words and lines they print it in."""

    belongs_to: str
    pack: WorkshopPack
    cuts: CutPaper
    drawings: tuple[KeptDrawings, ...]

    def pack_on(self, paper: Paper) -> WorkshopPack:
        """The pack on a paper of that size."""
        return replace(self.pack, head=replace(self.pack.head, paper=paper))

    def paper(self, paper: Paper) -> CutPaper:
        """The cut plans on a paper of that size."""
        return replace(self.cuts, head=replace(self.cuts.head, paper=paper))

    def svg(self, material: str, number: int) -> str | None:
        """One sheet or length by its number from 1; None where there is no such one."""
        one = self._find(material)
        return one.svg[number - 1] if one is not None and 0 < number <= len(one.svg) else None

    def dxf(self, material: str, number: int | None = None) -> bytes | None:
        """One sheet by its number from 1, or all of a material; None where there is no such one."""
        one = self._find(material)
        if one is None or not one.dxf:
            return None
        if number is None:
            return one.all_dxf.encode()
        return one.dxf[number - 1].encode() if 0 < number <= len(one.dxf) else None

    def _find(self, material: str) -> KeptDrawings | None:
        return next((one for one in self.drawings if one.code == material), None)


def make_papers(inputs: Inputs, estimate: Estimate, shop: Shop, about: PackFor, paper: Paper) -> KeptPapers:
    """The papers of an estimate."""
    files = CutFiles(inputs, estimate, shop, about)
    cuts = files.paper(paper)
    return KeptPapers(
        about.belongs_to,
        workshop_pack(inputs, estimate, shop, about, paper),
        cuts,
        tuple(
            KeptDrawings(
                one.code,
                tuple(files.svg(one.code, n) or "" for n in range(1, len(one.sheets or one.lengths) + 1)),
                tuple(_text(files.dxf(one.code, n)) for n in range(1, len(one.sheets) + 1)),
                _text(files.dxf(one.code)),
            )
            for one in cuts.materials
        ),
    )


def said_first(papers: KeptPapers, said: str) -> KeptPapers:
    """The same papers with a sentence at the head of each."""
    pack, cuts = papers.pack, papers.cuts
    return replace(
        papers,
        pack=replace(pack, opening=f"{said} {pack.opening}"),
        cuts=replace(cuts, opening=f"{said} {cuts.opening}"),
    )


def write_kept(papers: KeptPapers, name: str = CONTENTS) -> Document:
    """The papers as the document that is kept of them; they come on any paper."""
    told = ordered_json({"form": PAPERS_FORM, "papers": write_value(papers)})
    return Document(name, "", zlib.compress(told.encode(), 6))


def read_kept(document: Document) -> KeptPapers:
    """The papers from their document. Raises FormError where it is of another form."""
    told: Mapping[str, Any] = json.loads(zlib.decompress(document.content))
    if told.get("form") == 1:
        told = {"form": PAPERS_FORM, "papers": _from_form_1(told["papers"])}
    if told.get("form") != PAPERS_FORM:
        said = f"This program reads kept papers of form {PAPERS_FORM}, not “{told.get('form')}”."
        raise FormError((Problem("form", said),))
    papers: KeptPapers = read_value(KeptPapers, told["papers"], "papers", "a kept paper")
    return papers


def _from_form_1(papers: Mapping[str, Any]) -> dict[str, Any]:
    """The times of the steps with their unit, which stood in the heading of their column: 534 under Minutes."""
    work = [
        {**group, "steps": [{**step, "minutes": f"{step['minutes']} min"} for step in group["steps"]]}
        for group in papers["pack"]["work"]
    ]
    return {**papers, "pack": {**papers["pack"], "work": work}}


def _text(content: bytes | None) -> str:
    return "" if content is None else content.decode()
