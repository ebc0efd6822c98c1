"""A material added, edited, retired and brought back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.catalogue.material_form import (
    differences,
    fields_of,
    labels_of,
    read_material,
    tags_known,
    typed_material,
    value_fields,
)
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import PostedFields, version_to_show
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.changes import CodeTaken, add_material, edit_material, retire_material
from webapp.persistence.catalogue.records import StoredMaterial, load_material
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()


@dataclass(frozen=True, slots=True)
class KindsPage:
    """The kinds to choose from before a material is described: value, name, what belongs to it."""

    kinds: tuple[tuple[str, str, str], ...]
    unknown: str


@dataclass(frozen=True, slots=True)
class MaterialFormPage:
    """The form of a material, what was typed in it and what stands against it.

    `version` is 0 for a new one; `stale` are the fields somebody else saved in between, as (field, theirs, ours).
    """

    title: str
    action: str
    away: str
    kind: str
    kind_words: str
    version: int
    fields: Mapping[str, str]
    values: tuple[tuple[Field, Field], ...]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    known_tags: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]


@router.get("/materials/new")
def show_new(request: Request, shop: ShopHere, kind: str = "", name: str = "") -> Response:
    """The kinds; or the form of the kind that was chosen."""
    if kind not in set(Kind):
        kinds = tuple((kind.value, row.singular, row.belongs) for kind, row in KINDS.items())
        return render(request, "catalogue/kinds.html", KindsPage(kinds, kind[:40]), 404 if kind else 200)
    return _page(request, shop, Kind(kind), {"name": name}, {}, None)


@router.post("/materials/new")
def add(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields, kind: str = ""
) -> Response:
    """Keep a new material."""
    sent = dict(posted)
    chosen = sent.get("kind") or kind
    if chosen not in set(Kind):
        return show_new(request, shop, chosen or "nothing")
    fields = typed_material(sent, Kind(chosen))
    material, problems = read_material(Kind(chosen), fields, shop.length_system)
    if not problems:
        try:
            add_material(session, material, at=running(request).now(), by=user.id)
        except CodeTaken as taken:
            problems["code"] = str(taken)
        else:
            return RedirectResponse(f"/materials/{material.code}", 303)
    return _page(request, shop, Kind(chosen), fields, problems, None)


@router.get("/materials/{code}/edit")
def show_edit(request: Request, session: StoreSession, shop: ShopHere, code: str) -> Response:
    """The form of a material that is kept."""
    stored = load_material(session, code)
    fields = fields_of(stored.material, shop.length_system)
    return _page(request, shop, stored.material.kind, fields, {}, stored)


@router.post("/materials/{code}/edit")
def edit(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str, posted: PostedFields
) -> Response:
    """Keep a changed material; where somebody saved it in between, show what they said beside what is typed."""
    stored, sent = load_material(session, code), dict(posted)
    kind = stored.material.kind
    fields = {**typed_material(sent, kind), "code": code}
    material, problems = read_material(kind, fields, shop.length_system)
    version = sent.get("version", "")
    if problems:
        return _page(request, shop, kind, fields, problems, stored, version)
    changed = replace(material, code=code, retired=stored.material.retired)
    try:
        edit_material(session, changed, small_number(version) or 0, at=running(request).now(), by=user.id)
    except StaleSave:
        return _page(request, shop, kind, fields, {}, stored, stale=True)
    return RedirectResponse(f"/materials/{code}", 303)


@router.post("/materials/{code}/retire")
def retire(
    request: Request,
    session: StoreSession,
    user: SignedIn,
    code: str,
    version: Annotated[int, Form()] = 0,
    retired: Annotated[str, Form()] = "yes",
) -> Response:
    """Take a material out of the list, or bring it back; jobs and designs that use it keep it."""
    retire_material(session, code, version, at=running(request).now(), by=user.id, retired=retired != "no")
    return RedirectResponse(f"/materials/{code}", 303)


def _page(
    request: Request, shop: Shop, kind: Kind, fields: Mapping[str, str], problems: Mapping[str, str],
    stored: StoredMaterial | None, version: str = "", *, stale: bool = False,
) -> Response:  # fmt: skip
    filled = {"code": "", "name": "", "note": "", "tags": "", **fields}
    words = KINDS[kind].singular
    theirs: tuple[tuple[str, str, str], ...] = ()
    if stale and stored is not None:
        theirs = differences(fields_of(stored.material, shop.length_system), filled, labels_of(kind))
    held = stored.version if stored is not None else 0
    page = MaterialFormPage(
        title=f"Edit {stored.material.name}" if stored else f"New material: {words.lower()}",
        action=f"/materials/{stored.material.code}/edit" if stored else f"/materials/new?kind={kind.value}",
        away=f"/materials/{stored.material.code}" if stored else "/materials",
        kind=kind.value,
        kind_words=words,
        version=version_to_show(version, held, stale=stale),
        fields=filled,
        values=value_fields(kind, filled, problems, shop.length_system),
        problems=problems,
        listed=tuple((name.replace(".", "-"), sentence) for name, sentence in problems.items()),
        known_tags=tags_known(),
        stale=theirs,
    )
    return render(request, "catalogue/form.html", page, 409 if stale else 422 if problems else 200)
