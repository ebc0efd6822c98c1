"""What is used within a design, which designs use it, and its newest version offered to all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_changes.attach import renewed, used_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.formulas import name_words
from webapp.documents.printing.paper import reader_of
from webapp.estimating import estimate_one
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import (
    StoredDesign,
    designs_with_inside,
    list_versions,
    load_design,
    newest_document,
    save_design_version,
)
from webapp.persistence.foundation.errors import NotKept, StaleSave
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class UsedRow:
    """A design that is used in another: as what, in which version, and whether there is a newer one."""

    code: str
    name: str
    uses: str
    version: str
    newest: int


@dataclass(frozen=True, slots=True)
class HostRow:
    """A design in which another stands in an earlier version than its last one: what taking that moves, or why it can't
    be taken. `value` is what a form sends for it."""

    code: str
    name: str
    version: int
    holds: str
    value: str
    before: str
    after: str
    wrong: str


@dataclass(frozen=True, slots=True)
class HostsPage:
    """What came of offering a design to those that use it."""

    code: str
    name: str
    kept: tuple[str, ...]
    left: tuple[str, ...]


def used_rows(session: Session, stored: StoredDesign) -> tuple[UsedRow, ...]:
    """What is used in a version of a design, by its text's order."""
    inside = stored.document.get("inside")
    found = []
    for code, uses in used_in(stored.document).items():
        held = inside.get(code) if isinstance(inside, Mapping) else None
        version, newest, name = _version_of(session, code, held)
        found.append(UsedRow(code, name, ", ".join(map(name_words, uses)), version, newest))
    return tuple(found)


def _version_of(session: Session, code: str, held: Mapping[str, Any] | None) -> tuple[str, int, str]:
    """Which version of a design a document is, and its last one; 'not kept' where the shop has no such version."""
    try:
        name, versions = load_design(session, code).name, list_versions(session, code)
    except NotKept:
        return "not kept", 0, code
    digest = document_digest(held) if held is not None else ""
    number = next((str(one.number) for one in versions if one.digest == digest), "not kept")
    return number, 0 if number == str(versions[0].number) else versions[0].number, name


def host_rows(session: Session, stored: StoredDesign, shop: Shop, today: date, user: User) -> tuple[HostRow, ...]:
    """The designs in which an earlier version of this one stands, with what the last one moves in each."""
    found = []
    for host in designs_with_inside(session, stored.code):
        version, newest, _ = _version_of(session, stored.code, host.document["inside"][stored.code])
        if not newest:
            continue
        document, wrong = _with_newest(session, host, stored.code)
        before = after = ""
        if not wrong and sees_money(user):
            before, after = (_price(session, host, one, shop, today) for one in (host.document, document))
        found.append(
            HostRow(host.code, host.name, host.version, version, f"{host.code}:{host.version}", before, after, wrong)
        )
    return tuple(found)


def _with_newest(session: Session, host: StoredDesign, code: str) -> tuple[dict[str, Any], str]:
    """A design's document with the last version of another in it, and why it can't be read so."""
    document, missing = renewed(host.document, code, lambda wanted: newest_document(session, wanted))
    _, problems = read_design(document)
    wrong = next((problem.message for problem in (*missing, *problems)), "")
    return document, wrong


def _price(session: Session, host: StoredDesign, document: Mapping[str, Any], shop: Shop, today: date) -> str:
    """What one costs at its usual sizes, made as a document of it says."""
    _, estimate = estimate_one(session, host.code, host.name, document, shop, today)
    number, unit = reader_of(shop).figure(estimate.totals.price)
    return f"{number} {unit}" if estimate.complete else f"{number} {unit}, with prices missing"


@router.post("/designs/{code}/put-in")
def put_newest_in(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep a new version of each design that is asked for, with the last version of this one in it.

    Those are told by code and version ('cabinet:3'): one that was kept again meanwhile, or that does not read so, is
    left as it is, and said.
    """
    stored = load_design(session, code)
    asked = dict(value.rpartition(":")[::2] for name, value in posted if name == "to")
    ready, left = [], list[str]()
    for host in designs_with_inside(session, code):
        if host.code not in asked:
            continue
        document, wrong = _with_newest(session, host, code)
        if wrong:
            left.append(f"{host.name} was left as it is. {wrong}")
        elif asked[host.code] != str(host.version):
            left.append(f"{host.name} was kept as version {host.version} meanwhile: look at that one first.")
        else:
            ready.append((host, document))
    note = f"With version {stored.version} of {stored.name}"
    kept: list[str] = []

    def save(writing: Session) -> Response:
        for host, document in ready:
            _keep(writing, host, document, note, user.id)
        return RedirectResponse(f"/designs/{code}#hosts", 303)

    def _keep(writing: Session, host: StoredDesign, document: dict[str, Any], note: str, by: UUID) -> None:
        try:
            number = save_design_version(
                writing, host.code, host.name, document, document_digest(document), at=running(request).now(), by=by,
                note=note, after=host.version,
            )  # fmt: skip
        except StaleSave:
            left.append(f"{host.name} was kept again meanwhile: look at it first.")
        else:
            kept.append(f"{host.name} is version {number} now.")

    answer = in_one_write(request, save)
    if not left:
        return answer
    page = HostsPage(code, stored.name, tuple(kept), tuple(left))
    return render(request, "designs/put_in.html", page, 409)
