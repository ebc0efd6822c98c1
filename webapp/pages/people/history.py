"""Who did what and when: the trail, narrowed to a person, a kind of thing or a day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.documents.printing.paper import shortened
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.listing import page_number
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.persistence.foundation.audit import HistoryEntry, kinds_in_history, list_history
from webapp.persistence.people.history_subjects import customers_kept, jobs_named, quotes_named
from webapp.persistence.people.users import list_people
from webapp.rendering import render
from webapp.showing import counted

router = PageRouter()

#: Kinds of things as one reads them; any other kind is shown as it is kept.
KIND_WORDS: Final[Mapping[str, str]] = {
    "job": "Job", "quote": "Quote", "material": "Material", "offer": "Offer", "supplier": "Supplier",
    "rates": "Settings", "design": "Design", "customer": "Customer", "person": "Person", "shop": "The shop",
    "offcut": "Offcut", "list": "List", "receipt": "Receipt",
}  # fmt: skip
#: What of an entry's details the subject says already, or nobody reads.
UNSAID: Final = frozenset({"version", "number", "revision", "title", "offer"})
LONGEST_DETAILS: Final = 160


@dataclass(frozen=True, slots=True)
class EntryShown:
    """One entry of the trail in words; `href` is empty where there is no page of it."""

    when: str
    who: str
    what: str
    subject: str
    href: str
    details: str


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """A page of the trail, and what it was narrowed to."""

    person: str
    people: tuple[tuple[str, str], ...]
    kind: str
    kinds: tuple[tuple[str, str], ...]
    day: str
    day_problem: str
    rows: tuple[EntryShown, ...]
    where: str
    earlier: str | None
    further: str | None
    narrowed: bool


@router.get("/people/history")
def show_history(
    request: Request, session: StoreSession, shop: ShopHere, person: str = "", kind: str = "", day: str = "",
    page: int = 1,
) -> Response:  # fmt: skip
    """What was done, the last first."""
    people = {str(one.user.id): one.user.name for one in list_people(session)}
    kinds = kinds_in_history(session)
    chosen = person if person in people else ""
    of_kind = kind if kind in kinds else ""
    on, day_problem = _read_day(day)
    found = list_history(
        session, by=UUID(chosen) if chosen else None, kind=of_kind, on=on, zone=shop.time_zone, number=page_number(page)
    )
    asked = {key: text for key, text in (("person", chosen), ("kind", of_kind), ("day", day.strip())) if text}

    def turned(number: int) -> str | None:
        there = urlencode({**asked, "page": str(number)})
        return f"/people/history?{there}" if 1 <= number <= found.pages else None

    shown = HistoryPage(
        chosen,
        (("", "anybody"), *people.items()),
        of_kind,
        (("", "anything"), *((one, KIND_WORDS.get(one, one)) for one in kinds)),
        day.strip(),
        day_problem,
        tuple(
            EntryShown(moment(entry.at, shop), people.get(str(entry.user_id), "The program"), entry.what, *said)
            for entry, said in zip(found.entries, _subjects(session, found.entries, people), strict=True)
        ),
        f"Page {found.number} of {found.pages}; {counted(found.total, 'entry')}",
        turned(found.number - 1),
        turned(found.number + 1),
        bool(asked),
    )
    return render(request, "people/history.html", shown, 422 if day_problem else 200)


def _read_day(day: str) -> tuple[date | None, str]:
    text = day.strip()
    if not text:
        return None, ""
    try:
        return date.fromisoformat(text), ""
    except ValueError:
        return None, f"“{text[:40]}” is no day; write it as 2025-03-31."


def _subjects(
    session: Session, entries: tuple[HistoryEntry, ...], people: Mapping[str, str]
) -> list[tuple[str, str, str]]:
    """For each entry what it tells of, where that is shown, and what else was kept of it."""
    jobs, quotes = jobs_named(session, entries), quotes_named(session, entries)
    customers = customers_kept(session, entries)
    found = []
    for entry in entries:
        key, details = entry.subject_id, entry.details
        name, href = str(details.get("name", key)), ""
        match entry.subject_kind:
            case "job" if key in jobs:
                number, title = jobs[key]
                name, href = f"{number}, {title}" if title else str(number), f"/jobs/{number}"
            case "quote" if key in quotes:
                name, href = "{}, revision {}".format(*quotes[key]), f"/quotes/{key}"
            case "customer" if key in customers:
                href = f"/customers/{key}"
            case "material" | "design":
                href = f"/{entry.subject_kind}s/{key}"
            case "offer":
                name = f"of {details.get('material', key)}"
                href = f"/materials/{details['material']}" if "material" in details else ""
            case "supplier":
                href = f"/buying/suppliers/{key}/edit"
            case "offcut":
                href = f"/rack/{key}"
            case "list":
                name, href = f"{key}, {details.get('title', '')}".rstrip(", "), f"/lists/{key}"
            case "receipt":
                name, href = f"{key}, {details.get('supplier', '')}".rstrip(", "), f"/receipts/{key}"
            case "rates":
                name, href = f"set {key}", f"/settings/sets/{key}"
            case "person":
                name, href = people.get(key, name), f"/people/{key}"
            case "shop":
                name, href = "", "/settings/shop"
        subject = f"{KIND_WORDS.get(entry.subject_kind, entry.subject_kind)} {name}".strip()
        found.append((shortened(subject, LONGEST_DETAILS), href, _details(details, name)))
    return found


def _details(details: Mapping[str, Any], name: str) -> str:
    said = [
        f"{key.replace('_', ' ')} {value}"
        for key, value in details.items()
        if key not in UNSAID and value not in ("", None, name) and not isinstance(value, dict | list)
    ]
    return shortened("; ".join(said), LONGEST_DETAILS)
