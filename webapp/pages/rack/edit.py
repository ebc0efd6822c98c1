"""An offcut put on the rack, and what is said of one that stands there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from uuid import UUID, uuid4

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.catalogue.kinds import KINDS, ON_THE_RACK, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.typed_numbers import small_number
from webapp.pages.catalogue.material_form import differences
from webapp.pages.rack.form import LABELS, WHOLE, fields_of, read_offcut, side_fields, typed_offcut
from webapp.pages.shown.offcuts import size_words
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.fields import Field
from webapp.pages.web.listing import Turning, page_number, turning
from webapp.pages.web.posting import PostedFields, version_to_show
from webapp.pages.web.routing import PageRouter
from webapp.persistence.catalogue.records import find_materials, load_material
from webapp.persistence.foundation.errors import StaleSave
from webapp.persistence.rack.records import StoredOffcut, edit_offcut, load_offcut, put_on_rack
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

KIND_WORDS: Final = tuple((kind.value, KINDS[kind].singular) for kind in ON_THE_RACK)


@dataclass(frozen=True, slots=True)
class ChooseMaterialPage:
    """Of which material an offcut is: found by words, sheets or lengths."""

    words: str
    kind: str
    kinds: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, str], ...]
    turning: Turning


@dataclass(frozen=True, slots=True)
class OffcutFormPage:
    """The form of an offcut; `version` is 0 for a new one, `stale` what somebody else saved in between."""

    title: str
    action: str
    away: str
    material: str
    material_name: str
    version: int
    sides: tuple[Field, ...]
    fields: Mapping[str, str]
    problems: Mapping[str, str]
    listed: tuple[tuple[str, str], ...]
    stale: tuple[tuple[str, str, str], ...]


@router.get("/rack/new")
def show_new(
    request: Request, session: StoreSession, shop: ShopHere, material: str = "", words: str = "", kind: str = "",
    page: int = 1,
) -> Response:  # fmt: skip
    """The form of a new offcut; before its material is chosen, the materials to choose from."""
    if material:
        chosen = load_material(session, material).material
        if chosen.kind in ON_THE_RACK:
            return _form(request, shop, chosen, {"count": "1"}, {})
    wanted = Kind(kind) if kind in ON_THE_RACK else Kind.SHEET
    found = find_materials(session, words, wanted, number=page_number(page))
    shown = ChooseMaterialPage(
        words,
        wanted.value,
        KIND_WORDS,
        tuple((f"/rack/new?material={one.material.code}", one.material.name) for one in found.entries),
        turning("/rack/new", {"words": words, "kind": wanted.value}, found, "material"),
    )
    return render(request, "rack/choose.html", shown)


@router.post("/rack/new")
def add(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields) -> Response:
    """Put a new offcut on the rack."""
    sent = dict(posted)
    material = load_material(session, sent.get("material", "")).material
    if material.kind not in ON_THE_RACK:
        return show_new(request, session, shop)
    fields = typed_offcut(sent)
    offcut, problems = read_offcut(str(uuid4()), material.code, material.kind, fields, shop.length_system)
    if problems:
        return _form(request, shop, material, fields, problems)
    put_on_rack(session, offcut, fields["note"], at=running(request).now(), by=user.id)
    return RedirectResponse(f"/rack?done={offcut.id}", 303)


@router.get("/rack/{offcut_id:uuid}/edit")
def show_edit(request: Request, session: StoreSession, shop: ShopHere, offcut_id: UUID) -> Response:
    """The form of an offcut that is kept."""
    stored = load_offcut(session, offcut_id)
    material = load_material(session, stored.offcut.material).material
    return _form(request, shop, material, fields_of(stored, shop.length_system), {}, stored)


@router.post("/rack/{offcut_id:uuid}/edit")
def edit(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, offcut_id: UUID, posted: PostedFields
) -> Response:
    """Keep another size, place or note; where somebody changed it in between, show both."""
    sent, stored = dict(posted), load_offcut(session, offcut_id)
    material = load_material(session, stored.offcut.material).material
    fields = {**typed_offcut(sent), "count": str(max(stored.offcut.count, 1))}
    shown = fields_of(stored, shop.length_system)
    # A side that is left as it was stays what it is exactly: jobs count on it.
    sides = {one.name: (shown[one.name], getattr(stored.offcut, one.name)) for one in KINDS[material.kind].rack_sides}
    offcut, problems = read_offcut(
        str(offcut_id), material.code, material.kind, fields, shop.length_system, planned=sides
    )  # fmt: skip
    version = sent.get("version", "")
    if problems:
        return _form(request, shop, material, fields, problems, stored, version)
    try:
        edit_offcut(
            session, offcut, fields["note"], small_number(version) or 0, at=running(request).now(),
            by=user.id,
        )  # fmt: skip
    except StaleSave:
        return _form(request, shop, material, fields, {}, stored, stale=True)
    return RedirectResponse(f"/rack/{offcut_id}", 303)


def _form(
    request: Request, shop: Shop, material: Material, fields: Mapping[str, str], problems: Mapping[str, str],
    stored: StoredOffcut | None = None, version: str = "", *, stale: bool = False,
) -> Response:  # fmt: skip
    system, held = shop.length_system, stored.version if stored else 0
    filled = {**dict.fromkeys((*LABELS, WHOLE), ""), **fields}
    theirs = fields_of(stored, system) if stored else {}
    page = OffcutFormPage(
        title=f"Edit an offcut of {material.name}, {size_words(stored.offcut, system)}"
        if stored
        else f"Put on the rack: {material.name}",
        action=f"/rack/{stored.offcut.id}/edit" if stored else "/rack/new",
        away=f"/rack/{stored.offcut.id}" if stored else "/rack",
        material=material.code,
        material_name=material.name,
        version=version_to_show(version, held, stale=stale),
        sides=side_fields(material.kind, filled, problems, system),
        fields=filled,
        problems=problems,
        listed=tuple(problems.items()),
        stale=differences(theirs, filled, LABELS) if stale else (),
    )
    return render(request, "rack/form.html", page, 409 if stale else 422 if problems else 200)
