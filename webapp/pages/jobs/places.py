"""Which materials the lists of a job's places leave out, and why: those that don't fit, and those nobody knows of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.fitting import fit_words, needed_words
from webapp.costing.designs.model import Role
from webapp.costing.designs.needs import Needs
from webapp.costing.takeoff.model import TakeOff
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.page import work_out
from webapp.pages.sheet.stock import Judge
from webapp.pages.web.dependencies import ReadingSession, ShopHere
from webapp.pages.web.posting import tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import load_job_by_number
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

#: So many of each sort are told of; words find the others.
MOST_TOLD: Final = 100


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A place of the design: what it is, what it takes, what it holds, and how many fit and are left out."""

    href: str
    says: str
    takes: str
    holds: str
    fits: int
    left_out: int
    shown: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A material that a list leaves out, and why."""

    name: str
    href: str
    why: str


@dataclass(frozen=True, slots=True)
class PlacesPage:
    """The places of one item; of the one that is looked at, what fits it, what doesn't, and what nobody knows of."""

    address: str
    number: int
    job: str
    item: str
    words: str
    place: str
    says: str
    rows: tuple[PlaceRow, ...]
    fits: tuple[tuple[str, str], ...]
    misfits: tuple[LeftOut, ...]
    unknown: tuple[LeftOut, ...]
    further: int


@router.get("/jobs/{number:int}/items/{item_id}/places")
def show_places(
    request: Request, session: ReadingSession, shop: ShopHere, number: int, item_id: str, place: str = "",
    words: str = "",
) -> Response:  # fmt: skip
    """The places of an item of the job as it is kept; those of one `place` by name, among those that hold `words`."""
    job = load_job_by_number(session, number)
    words = tidy_text(words)
    worked = work_out(session, with_ids(job.document), shop, shop.today(running(request).now()), job)
    item = next((one for one in worked.estimate.items if one.id == item_id), None)
    if item is None:
        raise NotKept("item in this job as it stands now", item_id)
    taken, judging = item.take_off, Judge(session, worked.inputs, words)
    address = f"/jobs/{number}/items/{item_id}/places"
    asking = [role for role in taken.design.roles.values() if role.needs != Needs()]
    rows = tuple(_row(judging, role, taken, address, role.name == place) for role in asking)
    looked_at = next((role for role in asking if role.name == place), None)
    if place and looked_at is None:
        raise NotKept("place in this design that says what it takes", place)
    found = {} if looked_at is None else judging.place(looked_at, taken).by_fit
    told = {
        fit: tuple(_left_out(judging, looked_at, taken, one) for one in found[fit][:MOST_TOLD])
        for fit in found if looked_at is not None and fit != "fits"
    }  # fmt: skip
    shown = len(found.get("fits", ())) + sum(map(len, told.values()))
    page = PlacesPage(
        address, number, job.title, item.label, words, place, looked_at.says if looked_at is not None else "", rows,
        tuple((one.name, f"/materials/{one.code}") for one in found.get("fits", ())), told.get("misfit", ()),
        told.get("not known", ()),
        max(judging.in_all(looked_at.kind) - shown, 0) if looked_at is not None else 0,
    )  # fmt: skip
    return render(request, "jobs/places.html", page)


def _row(judging: Judge, role: Role, taken: TakeOff, address: str, shown: bool) -> PlaceRow:
    found = judging.place(role, taken)
    fits, code = len(found.by_fit["fits"]), taken.materials[role.name]
    held = judging.inputs.catalogue.materials.get(code)
    return PlaceRow(
        f"{address}?place={role.name}", role.says,
        needed_words(role, judging.followed(role, taken), judging.inputs.system),
        held.name if held is not None else code, fits, found.in_all - fits, shown,
    )  # fmt: skip


def _left_out(judging: Judge, role: Role, taken: TakeOff, one: Material) -> LeftOut:
    why = fit_words(role, one, judging.followed(role, taken), judging.judge(role, taken, one))
    return LeftOut(one.name, f"/materials/{one.code}", why)
