"""What somebody typed in a job's sheet and has not saved, as it is offered to them and taken up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.measures.typed_numbers import small_number
from webapp.documents.printing.paper import shortened
from webapp.drafting import DraftsHere, Offer, offer_of, version_of
from webapp.pages.sheet.fields import JobFields
from webapp.pages.sheet.form import read_form, with_ids
from webapp.pages.sheet.page import JobPage, Notice, build_page, read_asides, typed_version, work_out
from webapp.pages.sheet.prices import CONFIRMED, typed_prices
from webapp.pages.sheet.words import LONGEST_SHOWN
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import tidy_text
from webapp.pages.web.roles import sees_money, typed_by
from webapp.pages.web.times import moment, names_of
from webapp.persistence.catalogue.records import load_material, load_offer
from webapp.persistence.drafts.records import Draft, Fields, Typed
from webapp.persistence.foundation.audit import history_of
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import JOB_STATES, StoredJob
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render

Row = tuple[str, str, str]


def job_offers(
    request: Request, session: Session, shop: Shop, user: User, job: StoredJob, page: JobPage
) -> tuple[Offer, ...]:
    """What is offered at the head of the sheet: each with what differs from the job as it stands, and who saved since.

    What says the same as the sheet is not worth an offer.
    """
    drafts, found = DraftsHere(request), []
    for draft in drafts.waiting(page.address):
        typed = (
            *typed_otherwise(page.fields, job.document, draft.fields, terms=sees_money(user)),
            *_beside(session, draft.fields, user, job),
        )
        if typed:
            offer = offer_of(draft, drafts.moment(draft.typed_at))
            found.append(replace(offer, typed=typed, since=_since(session, shop, user, job, draft)))
    return tuple(found)


def typed_otherwise(fields: JobFields, document: Mapping[str, Any], typed: Fields, *, terms: bool) -> Typed:
    """What was typed otherwise than the sheet shows, in the words of its fields: (entry, as it stands, typed).

    Only what the person sees is compared, without `terms` no added lines and settings: what else a form brings counts
    for nothing.
    """
    told = {name: tidy_text(text) for name, text in typed}
    stands = _entries(fields)
    brought = dict.fromkeys(entry for name in told if (entry := _entry_of(name)) and (terms or "items." in entry))
    rows: list[Row] = [(words, "stands", "removed") for entry, words in stands.items() if entry not in brought]
    rows += [(_added(told, entry), "none", "added") for entry in brought if entry not in stands]
    shown = {field.name: field for field in fields.each()}
    for name, field in shown.items():
        entry = _entry_of(name)
        if not entry or entry in brought:
            words = f"{stands[entry]}: " if entry and (len(fields.items) > 1 or not entry.startswith("items.")) else ""
            rows += _row(f"{words}{field.label}", field, told.get(name, ""))
    hidden = {one.name for item in fields.items for one in item.hidden}
    for name, text in told.items():
        entry = _entry_of(name)
        if text and entry in stands and name not in shown and name not in hidden and ".minutes." not in name:
            words = name.removeprefix(entry).replace("_", " ").replace(".", " ")
            rows.append((f"{stands[entry]}: {words}", "nothing", shortened(text, LONGEST_SHOWN)))
    return (*rows, *_minutes(document, told, stands))


def _entry_of(name: str) -> str:
    """The item, line or setting that a field belongs to, as its name begins; empty where it belongs to none."""
    section, _, rest = name.partition(".")
    key, _, field = rest.partition(".")
    return f"{section}.{key}." if section in ("items", "lines", "settings") and field else ""


def _entries(fields: JobFields) -> dict[str, str]:
    """What an entry of the sheet is called, by how its fields' names begin."""
    lines = {one.id: "New line" if one.is_new else one.says.value or "Added line" for one in fields.lines}
    return {
        **{f"items.{item.id}.": item.label.value or item.design for item in fields.items},
        **{f"lines.{key}.": words for key, words in lines.items()},
        **{f"settings.{one.name}.": one.value.label for one in fields.settings},
    }


def _added(told: Mapping[str, str], entry: str) -> str:
    """What an entry is called that the sheet doesn't have."""
    words = next((told[f"{entry}{key}"] for key in ("label", "says", "design") if told.get(f"{entry}{key}")), "")
    return (words or entry.split(".")[1]).replace("_", " ")


def _row(words: str, field: Field, typed: str) -> Iterator[Row]:
    stands, answers = tidy_text(field.value), dict(field.options)
    if typed == stands or (field.name.endswith(".kind") and field.name.startswith("lines.new.")):
        return
    said = (shortened(answers.get(text, text) or "nothing", LONGEST_SHOWN) for text in (stands, typed))
    yield words, next(said), next(said)


def _minutes(document: Mapping[str, Any], told: Mapping[str, str], stands: Mapping[str, str]) -> Iterator[Row]:
    """Minutes of steps, which have fields only where somebody typed them."""
    held = {
        f"items.{item.get('id')}.minutes.{step}.{part}": str(text)
        for item in with_ids(document).get("items", ())
        for step, entry in item.get("minutes", {}).items()
        if isinstance(entry, Mapping)
        for part, text in entry.items()
    }
    here = {name for name in (*held, *told) if ".minutes." in name and _entry_of(name) in stands}
    for name in sorted(here):
        was, is_now = held.get(name, ""), told.get(name, "")
        if was != is_now and name.count(".") == 4:
            *_, step, part = name.split(".")
            words = f"{stands[_entry_of(name)]}: {step} minutes, {part}".replace("_", " ")
            yield words, was or "nothing", shortened(is_now, LONGEST_SHOWN) or "nothing"


def take_up(
    request: Request, session: Session, shop: Shop, today: date, user: User, job: StoredJob, draft: Draft
) -> Response:
    """The sheet as it was typed, on the version it was typed on: a save of it still asks about what others saved."""
    fields = dict(draft.fields)
    document = typed_by(user, read_form(draft.fields).document, with_ids(job.document))
    since = _since(session, shop, user, job, draft)
    notice = Notice(f"This is what you typed on {moment(draft.typed_at, shop)}. It is not saved yet. {since}".strip())
    page = build_page(
        session, job, work_out(session, document, shop, today, job), shop, today, user,
        asides=read_asides(draft.fields), notice=notice, version=typed_version(fields, job),
        state=fields.get("state", "") if sees_money(user) else "",
    )  # fmt: skip
    return render(request, "jobs/show.html", page)


def saved_words(job: StoredJob, shop: Shop, today: date) -> str:
    """When the job was saved: the hour where it was today."""
    said = moment(job.updated_at, shop)
    return f"saved {said.rpartition(', ')[2] if shop.today(job.updated_at) == today else said}"


def _since(session: Session, shop: Shop, user: User, job: StoredJob, draft: Draft) -> str:
    """Who saved the job after it was opened for what was typed, and when; empty where nobody did."""
    was = small_number(version_of(draft))
    if was is None or was >= job.version:
        return ""
    saves = [one for one in history_of(session, "job", str(job.id)) if one.what == "saved"]
    by_others = [one for one in saves if one.details.get("version", 0) > was and one.user_id != user.id]
    last = (by_others or saves)[-1] if saves else None
    if last is None or last.user_id is None:
        return "The job was saved with other changes since you began to type."
    when = moment(last.at, shop)
    if last.user_id == user.id:
        return f"You saved other changes to the job since, on {when}."
    name = names_of(session, [last.user_id]).get(last.user_id, "Someone else")
    return f"{name} saved the job since, on {when}: look at both before you save yours over it."


def _beside(session: Session, fields: Fields, user: User, job: StoredJob) -> Iterator[Row]:
    """What the sheet takes beside the job: prices of materials, and how the job stands."""
    for name, text in typed_prices(fields).items():
        if text and not name.endswith(CONFIRMED) and (name.startswith("price.") or name.endswith(".price")):
            yield f"price of {_material(session, name)}", "not typed", text
    state = dict(fields).get("state", job.state)
    if sees_money(user) and state in JOB_STATES and state != job.state:
        yield "state", job.state, state


def _material(session: Session, name: str) -> str:
    """The material whose price a field holds, or is to hold with its first offer."""
    section, _, rest = name.partition(".")
    try:
        code = load_offer(session, UUID(rest.partition(".")[0])).offer.material if section == "price" else ""
        return load_material(session, code or rest.removesuffix(".price")).material.name
    except (NotKept, ValueError):
        return "a material"
