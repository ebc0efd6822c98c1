"""The pages of sweeps: asked for from a design, each on a page of its own, watched, stopped and taken up again."""

from __future__ import annotations

import os
import socket
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.estimate.snapshot import read_design_once
from webapp.pages.sweeps.view import SweepShown, shown
from webapp.pages.web.dependencies import ReadingSession, ShopHere, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_versions, load_design, newest_document
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.settings.shop import Shop
from webapp.persistence.sweeps.tasks import Sweep, ask, ask_to_stop, find_sweep, go_on, swept_text
from webapp.rendering import render
from webapp.running import Running, running
from webapp.sweeps.gathered import key_of
from webapp.sweeps.work import work_a_slice

router = PageRouter()


@router.post("/designs/{code}/sweep")
def sweep_design(
    request: Request, session: StoreSession, shop: ShopHere, code: str, version: Annotated[int, Form()] = 0,
    anew: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Ask for the sweep of a version of a design, the last one where none is named; its page shows how far it is."""
    stored = load_design(session, code, version or None)
    ask_for(session, stored.document, code, stored.name, shop, running(request), anew=bool(anew))
    last = list_versions(session, code)[0].number
    asked = "" if stored.version == last else f"?version={stored.version}"
    return RedirectResponse(f"/designs/{code}{asked}#sweep", 303)


@router.get("/sweeps/{key}")
def show_sweep(request: Request, session: StoreSession, shop: ShopHere, key: str) -> Response:
    """A sweep on a page of its own: what it came to, or how far it is."""
    return render(request, "sweeps/show.html", _shown(request, session, shop, key))


@router.post("/sweeps/{key}/look")
def look_on(request: Request, session: ReadingSession, shop: ShopHere, key: str) -> Response:
    """How far a sweep is. In a shop without workers it is worked on here for a moment, while somebody looks on."""
    sweep, _ = _found(session, key)
    if sweep.goes_on:
        work_where_nobody_does(running(request), key)
    return _looked_again(request, shop, key)


@router.post("/sweeps/{key}/{act}")
def change_sweep(request: Request, session: ReadingSession, shop: ShopHere, key: str, act: str) -> Response:
    """Leave a sweep where it is ('stop'), take it up there ('on'), or sweep by what the shop has now ('anew')."""
    here = running(request)
    sweep, document = _found(session, key)
    with here.database.writing() as writing:
        if act == "stop":
            ask_to_stop(writing, key, at=here.now())
        elif act == "on":
            go_on(writing, key, at=here.now())
        elif act == "anew":
            ask(writing, key, sweep.code, sweep.name, document, at=here.now(), anew=True)
        else:
            raise NotKept("act of a sweep", act)
    return _looked_again(request, shop, key)


def ask_for(
    session: Session, document: Mapping[str, Any], code: str, name: str, shop: Shop, here: Running, *,
    anew: bool = False,
) -> str:  # fmt: skip
    """Ask for the sweep of a text, kept or not, and say under which key it is."""
    key = key_of(document, shop)
    ask(session, key, code, name, document, at=here.now(), anew=anew)
    return key


def work_where_nobody_does(here: Running, key: str) -> None:
    """Work on a sweep for a moment where the shop runs no workers."""
    if here.settings.plan_workers == 0:
        work_a_slice(here.database, key, f"{socket.gethostname()}:{os.getpid()}:page", here.now)


def _found(session: Session, key: str) -> tuple[Sweep, Mapping[str, Any]]:
    sweep, document = find_sweep(session, key), swept_text(session, key)
    if sweep is None or document is None:
        raise NotKept("sweep", key)
    return sweep, document


def _shown(request: Request, session: Session, shop: Shop, key: str) -> SweepShown:
    sweep, document = _found(session, key)
    design = read_design_once(document)[0] if sweep.state == "done" else None
    page = shown(session, sweep, document, design, shop, running(request))
    # A text may have been swept while it was drawn, and never kept.
    return page if newest_document(session, sweep.code) is not None else replace(page, design_at="")


def _looked_again(request: Request, shop: Shop, key: str) -> Response:
    """The part of the page that is open, as it stands now; without script the page of the sweep."""
    if not is_part(request):
        return RedirectResponse(f"/sweeps/{key}", 303)
    with running(request).database.reading() as afterwards:
        return render(request, "sweeps/part.html", _shown(request, afterwards, shop, key))
