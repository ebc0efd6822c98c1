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
from webapp.documents.workshop.cut_papers import cut_files
from webapp.documents.workshop.kept_cuts import KeptCuts, drawings_of
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
class KeptPapers(KeptCuts):
    """Everything that the papers of the workshop print, in the words and lines they print it in."""

    pack: WorkshopPack

    def pack_on(self, paper: Paper) -> WorkshopPack:
        """The pack on a paper of that size."""
        return replace(self.pack, head=replace(self.pack.head, paper=paper))


def make_papers(inputs: Inputs, estimate: Estimate, shop: Shop, about: PackFor, paper: Paper) -> KeptPapers:
    """The papers of an estimate."""
    files = cut_files(inputs, estimate, shop, about)
    cuts = files.paper(paper)
    pack = workshop_pack(inputs, estimate, shop, about, paper)
    return KeptPapers(about.belongs_to, cuts, drawings_of(files, cuts), pack)


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
