"""Rows taken over from another design: the rows of that design read aloud, each with a press that takes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_lines.read_aloud import entries_aloud
from webapp.costing.design_lines.table import ONE_LINE
from webapp.costing.design_rows.rows import LISTS, SIZES
from webapp.costing.design_rows.taken import take_over
from webapp.pages.maker.acts import called
from webapp.pages.maker.view import making_address, row_id
from webapp.pages.web.dependencies import SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import list_designs, load_design
from webapp.persistence.maker.records import add_step, load_making
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class RowsPage:
    """The designs whose rows may be taken, and the rows of one: each its section, its name and its sentence."""

    address: str
    title: str
    designs: tuple[tuple[str, str], ...]
    of: str = ""
    rows: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...] = ()


@router.get("/maker/{making_id}/rows")
def show_rows(request: Request, session: StoreSession, user: SignedIn, making_id: UUID, of: str = "") -> Response:
    """The rows of another design, or which designs there are."""
    making = load_making(session, user.id, making_id)
    designs = tuple((one.code, one.name) for one in list_designs(session) if one.code != making.document.get("design"))
    page = RowsPage(making_address(making_id), making.name, designs, of, _rows_of(session, of) if of else ())
    return render(request, "maker/from_another.html", page)


def _rows_of(session: Session, code: str) -> tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...]:
    """The rows of a design in their lists, each as its sentence."""
    told = entries_aloud(load_design(session, code).document)
    lists = {
        words: tuple(
            (section, name, said)
            for section in sections if section not in ONE_LINE for name, said in told.get(section, {}).items()
        )
        for words, sections in {"Sizes": (SIZES,), **LISTS}.items()
    }  # fmt: skip
    return tuple((words, rows) for words, rows in lists.items() if rows)


@router.post("/maker/{making_id}/rows")
def take_row(
    request: Request, session: StoreSession, user: SignedIn, making_id: UUID, of: Annotated[str, Form()] = "",
    section: Annotated[str, Form()] = "", row: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Take one row over, with the sizes, values and stock that it leans on, as one step."""
    making = load_making(session, user.id, making_id)
    stored = load_design(session, of)
    document, along = take_over(making.document, stored.document, section, row)
    said = f"{called(section, row)} of {stored.name}" + (f", with {len(along)} rows it leans on" if along else "")
    add_step(session, user.id, making_id, making.at, document, said, at=running(request).now())
    name = next(reversed(document[section]))
    return RedirectResponse(f"{making_address(making_id)}#{row_id(f'{section}.{name}')}", 303)
