"""The designs: the sheet of each version with its drawings, its text as a file, and retiring one."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.design_form.reader import read_design
from webapp.design_text import write_design_text
from webapp.pages.designs import compare, library, put_in
from webapp.pages.designs import editor as design_editor
from webapp.pages.designs.put_in import host_rows, used_rows
from webapp.pages.designs.view import design_page, sheet_of, usual_stock, work_out
from webapp.pages.sweeps.view import sweep_of
from webapp.pages.web.answers import file_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_versions, load_design, retire_design
from webapp.persistence.settings.rates import current_rates
from webapp.rendering import render
from webapp.running import running

router = PageRouter()
#: Its address of a new design has to be looked for before a design of that code.
router.include_router(design_editor.router)
router.include_router(put_in.router)
router.include_router(compare.router)
router.include_router(library.router)


@router.get("/designs/{code}")
def show_design(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, version: int | None = None,
    units: int = 0,
) -> Response:
    """One version of a design, the last one where none is named; `units` were written in as it was just kept."""
    stored = load_design(session, code, version)
    today = shop.today(running(request).now())
    design, problems = read_design(stored.document)
    sheet, unreadable, names = None, tuple(problem.message for problem in problems), dict[str, str]()
    if design is not None:
        stock, rates = usual_stock(session, design, today), current_rates(session)
        names = {code: one.name for code, one in stock.materials.items()}
        taken, why = work_out(design, shop, stock, rates)
        if taken is None:
            unreadable = (why,)
        else:
            sheet = sheet_of(taken, shop, stock, rates)
    versions = list_versions(session, code)
    hosts = host_rows(session, stored, shop, today, user) if stored.version == versions[0].number else ()
    used = used_rows(session, stored)
    page = design_page(stored, design, sheet, unreadable, versions, names, shop, used, hosts)
    here = running(request)
    swept = sweep_of(session, stored.document, design, stored.name, shop, here, stored.version) if design else None
    return render(request, "designs/show.html", replace(page, written=units, sweep=swept))


@router.get("/designs/{code}/text")
def send_text(session: StoreSession, code: str, version: int | None = None) -> Response:
    """The text form of a version, as a file."""
    stored = load_design(session, code, version)
    name = f"{stored.code}-version-{stored.version}.yaml"
    return file_answer(write_design_text(stored.document), "application/yaml; charset=utf-8", name)


@router.post("/designs/{code}/retire")
def retire(
    request: Request, session: StoreSession, user: SignedIn, code: str, retired: Annotated[str, Form()] = "yes"
) -> Response:
    """Take a design out of the list, or bring it back; jobs that use it keep it."""
    retire_design(session, code, at=running(request).now(), by=user.id, retired=retired != "no")
    return RedirectResponse(f"/designs/{code}", 303)
