"""The job form: a nested text document -> a Job, with every problem named by its field."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.hand.pins import Pin, PinError, read_pin
from webapp.costing.errors import MeasureError, Problem
from webapp.costing.jobs.alternates import read_alternates
from webapp.costing.jobs.fields import FormReader
from webapp.costing.jobs.job import (
    FACTS,
    LINE_KINDS,
    NOVELTIES,
    Customer,
    Delivery,
    DesignItem,
    FreeLine,
    Job,
    MinutesChange,
    left_out,
)
from webapp.costing.jobs.listed import LIST_KEYS, note_waiting, read_parts_list
from webapp.costing.jobs.way import read_way
from webapp.costing.jobs.wishes import read_wishes
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import System, whole_number
from webapp.costing.settings.table import RETIRED, SETTINGS_BY_NAME
from webapp.costing.settings.typed import read_setting

MOST_OF_ONE: Final = 10_000
MOST_JIGS: Final = 100

#: What each section of the form may hold, and in words what it is; the JSON Schema is written from the same table.
JOB_KEYS: Final[Mapping[str, str]] = {
    "form": "The version of this form: 1",
    "job": "What the job is called",
    "customer": "Customer: name, address, email, phone, tax_number",
    "site": "Where it goes",
    "way": "The way there: doors, corridors, stair and lift, what is typed of them",
    "due": "The day it is wanted by, as 2026-12-20",
    "novelty": "repeat, known or new: the contingency follows from it",
    "items": "Designs to make, and lists of parts without a design",
    "lines": "Added lines: labour, parts, hires, services",
    "pasted": "Rows pasted as added lines that are not taken yet",
    "delivery": "The trip: distance, travel, people",
    "install": "yes or no",
    "discount": "A percentage",
    "card": "Does the customer pay by card: yes or no",
    "settings": "The shop's settings changed for this job, each with its reason",
    "facts": "What few jobs need: samples, customer's own material, storage, days until paid, months waited, visits",
    "rack": "Are offcuts from the rack used: yes or no; empty is the shop's default",
    "pinned": "Cut plans pinned by hand, by material: the digest of the pieces they are for, and how those lie",
    "buying": "What is wanted of its purchase: suppliers left out, by a day, the fewest, offers chosen by hand",
    "alternates": "Other ways in which it could be made: each its name, and what of it is otherwise",
    "notes": "Notes for the shop",
    "not_included": "What the quote says is not included",
}
ITEM_KEYS: Final = (
    "id", "design", "version", "label", "quantity", "sizes", "choices", "materials", "minutes", "jigs", "parts",
    *LIST_KEYS,
)  # fmt: skip
LINE_KEYS: Final = ("id", "kind", "says", "quantity", "each", "minutes", "carriage", "waiver")
CUSTOMER_KEYS: Final = ("name", "address", "email", "phone", "tax_number")
FACT_KEYS: Final = tuple(fact.name for fact in FACTS)
DELIVERY_KEYS: Final = ("distance", "travel", "people")
MINUTES_KEYS: Final = ("why", "set_up", "low", "likely", "high")
SETTING_KEYS: Final = ("value", "why")
_ID: Final = re.compile(r"[a-z0-9_-]{1,40}")


@dataclass(frozen=True, slots=True)
class JobRead:
    """A job with what was wrong in its form, and the system in which bare numbers were read."""

    job: Job
    problems: tuple[Problem, ...]
    system: System


def read_job(document: Mapping[str, object], system: System) -> tuple[Job, tuple[Problem, ...]]:
    """Read a job form. Always gives a job of what could be read; `system` says what a bare number is measured in."""
    reader = FormReader(system)
    top = reader.mapping(document, "", tuple(JOB_KEYS))
    if reader.text(top.get("form", "1"), "form") != "1":
        reader.wrong("form", f"This program reads job form 1, not “{top.get('form')}”.")
    title = reader.text(top.get("job"), "job")
    if not title:
        reader.wrong("job", "The job has no name: say what it is, so that it can be found again.")
    who = reader.mapping(top.get("customer"), "customer", CUSTOMER_KEYS)
    customer = Customer(*(reader.text(who.get(key), f"customer.{key}") for key in CUSTOMER_KEYS))
    novelty = reader.text(top.get("novelty"), "novelty") or "known"
    if novelty not in NOVELTIES:
        reader.wrong("novelty", f"“{novelty}” is none of {', '.join(NOVELTIES)}.")
        novelty = "known"
    seen: set[str] = set()
    items = tuple(
        item
        for place, entry in enumerate(reader.entries(top.get("items"), "items"), 1)
        if (item := _item(reader, entry, place, seen))
    )
    lines = [
        line
        for place, entry in enumerate(reader.entries(top.get("lines"), "lines"), 1)
        if (line := read_line(reader, entry, place, seen))
    ]
    for line in lines:
        if line.quantity == 0:
            reader.wrong(f"lines.{line.id}.quantity", left_out(line.says), "warning")
    note_waiting(reader, top.get("pasted"), "pasted", "among the added lines")
    discount = reader.number(top.get("discount"), "discount", "percent", Fraction(0)) or Fraction(0)
    if not 0 <= discount < 1:
        reader.wrong(
            "discount", f"A discount of “{top.get('discount')}” is out of range; it goes from 0 % to under 100 %."
        )
        discount = Fraction(0)
    settings, reasons = _settings(reader, top.get("settings"))
    job = Job(
        title,
        customer,
        reader.text(top.get("site"), "site"),
        items,
        tuple(line for line in lines if line.quantity),
        _delivery(reader, top.get("delivery")),
        reader.yes(top.get("install"), "install"),
        novelty,
        discount,
        reader.yes(top.get("card"), "card"),
        settings,
        reasons,
        reader.text(top.get("notes"), "notes"),
        reader.texts(top.get("not_included"), "not_included"),
        document,
        _facts(reader, top.get("facts")),
        reader.yes(top.get("rack"), "rack") if reader.text(top.get("rack"), "rack") else None,
        pins=_pins(reader, top.get("pinned")),
        due=reader.day(top.get("due"), "due"),
        buying=read_wishes(reader, top.get("buying")),
        way=read_way(reader, top.get("way")),
        alternates=read_alternates(
            reader, top.get("alternates"), {"items": [one.id for one in items], "lines": [one.id for one in lines]}
        ),
    )
    return job, tuple(reader.problems)


def _identity(reader: FormReader, value: object, field: str, fallback: str, seen: set[str]) -> str:
    found = reader.text(value, field) or fallback
    if not _ID.fullmatch(found) or found == "trip" or found == "minimum":
        reader.wrong(
            field, f"“{found}” is no name for an entry: use small letters, digits and _ (and neither trip nor minimum)."
        )
        found = fallback
    if found in seen:
        reader.wrong(field, f"Two entries of the job are called “{found}”.")
        found = next(name for number in range(2, 10_000) if (name := f"{fallback}_{number}") not in seen)
    seen.add(found)
    return found


def _item(reader: FormReader, entry: object, place: int, seen: set[str]) -> DesignItem | None:
    field = f"items.{place}"
    values = reader.mapping(entry, field, ITEM_KEYS)
    code = reader.text(values.get("design"), f"{field}.design")
    listed = read_parts_list(reader, values, field)
    if code and listed is not None:
        reader.wrong(f"{field}.parts", f"Item {place} names a design and lists parts as well; the list is left out.")
        listed = None
    if not code and listed is None:
        reader.wrong(f"{field}.design", f"Item {place} names no design, and lists no parts.")
        return None
    name = _identity(reader, values.get("id"), f"{field}.id", f"item_{place}", seen)
    version = values.get("version")
    texts = {
        key: {
            inner: typed
            for inner, text in reader.mapping(values.get(key), f"{field}.{key}", None).items()
            if (typed := reader.text(text, f"{field}.{key}.{inner}"))
        }
        for key in ("sizes", "choices", "materials")
    }
    return DesignItem(
        name,
        code,
        reader.whole(values.get("quantity"), f"{field}.quantity", 1, MOST_OF_ONE, "Quantity", least=0),
        reader.text(values.get("label"), f"{field}.label"),
        reader.whole(version, f"{field}.version", 1, 10**6, "Version") if version else None,
        texts["sizes"],
        texts["choices"],
        texts["materials"],
        _minutes(reader, values.get("minutes"), f"{field}.minutes"),
        _jigs(reader, values.get("jigs"), f"{field}.jigs"),
        listed,
    )


def _jigs(reader: FormReader, value: object, field: str) -> int:
    found = reader.number(value, field, "number", Fraction(0)) or Fraction(0)
    if found.denominator != 1 or not 0 <= found <= MOST_JIGS:
        typed = reader.text(value, field)
        reader.wrong(field, f"Jigs and templates: “{typed}” should be a whole number from 0 to {MOST_JIGS}.")
        return 0
    return int(found)


def _minutes(reader: FormReader, value: object, field: str) -> dict[str, MinutesChange]:
    changed = {}
    for name, entry in reader.mapping(value, field, None).items():
        values = reader.mapping(entry, f"{field}.{name}", MINUTES_KEYS)
        why = reader.text(values.get("why"), f"{field}.{name}.why")
        numbers = {
            key: reader.number(values.get(key), f"{field}.{name}.{key}", "duration", None)
            for key in MINUTES_KEYS
            if key != "why"
        }
        if not why:
            reader.wrong(f"{field}.{name}.why", f"The minutes of “{name}” are changed without saying why.")
        known = [minutes for key in ("low", "likely", "high") if (minutes := numbers[key]) is not None]
        if known != sorted(known):
            reader.wrong(f"{field}.{name}", f"The minutes of “{name}” should go up from low to likely to high.")
            continue
        if len(known) == 1 and numbers["likely"] is not None:
            # One number typed is what the step will take: low and high come along.
            numbers["low"] = numbers["high"] = numbers["likely"]
        changed[name] = MinutesChange(
            why or "no reason given", numbers["set_up"], numbers["low"], numbers["likely"], numbers["high"]
        )
    return changed


def read_line(reader: FormReader, entry: object, place: int, seen: set[str]) -> FreeLine | None:
    """An added line; None where its kind is none."""
    field = f"lines.{place}"
    values = reader.mapping(entry, field, LINE_KEYS)
    says = reader.text(values.get("says"), f"{field}.says")
    kind = reader.text(values.get("kind"), f"{field}.kind")
    if kind not in LINE_KINDS:
        reader.wrong(f"{field}.kind", f"Line {place}: “{kind}” is none of {', '.join(LINE_KINDS)}.")
        return None
    if not says:
        reader.wrong(f"{field}.says", f"Line {place} says nothing: name what it is for.")
        says = kind
    quantity = reader.number(values.get("quantity"), f"{field}.quantity", "number", Fraction(1))
    if quantity is None or not 0 <= quantity <= MOST_OF_ONE * 100:
        reader.wrong(f"{field}.quantity", f"“{says}”: a quantity of “{values.get('quantity')}” is out of range.")
        quantity = Fraction(1)
    idle, words, why = (
        ("each", "the cost of one", "labour is priced by its minutes")
        if kind == "labour"
        else ("minutes", "the time", "only labour has it")
    )
    if reader.text(values.get(idle), f"{field}.{idle}"):
        reader.problems.append(
            Problem(f"{field}.{idle}", f"“{says}”: {words} typed with a line of {kind} is not used; {why}.", "warning")
        )
    for key, what in (("carriage", in_trade_words("carriage")), ("waiver", "a damage waiver")):
        if kind != "hire" and reader.text(values.get(key), f"{field}.{key}"):
            message = f"“{says}”: {what} typed with a line of {kind} is not used; only a hire has it."
            reader.problems.append(Problem(f"{field}.{key}", message, "warning"))
    waiver = reader.number(values.get("waiver"), f"{field}.waiver", "percent", None)
    if waiver is not None and not 0 <= waiver <= 1:
        reader.wrong(f"{field}.waiver", f"“{says}”: a waiver of “{values.get('waiver')}” is out of range; 0 to 100 %.")
        waiver = None
    name = _identity(reader, values.get("id"), f"{field}.id", f"line_{place}", seen)
    return FreeLine(
        name, kind, says, quantity, reader.amount(values.get("each"), f"{field}.each"),
        reader.number(values.get("minutes"), f"{field}.minutes", "duration", None),
        reader.amount(values.get("carriage"), f"{field}.carriage"), waiver,
    )  # fmt: skip


def _delivery(reader: FormReader, value: object) -> Delivery | None:
    values = reader.mapping(value, "delivery", DELIVERY_KEYS)
    if not any(values.values()):
        return None
    return Delivery(
        reader.number(values.get("distance"), "delivery.distance", "distance", Fraction(0)) or Fraction(0),
        reader.number(values.get("travel"), "delivery.travel", "duration", Fraction(0)) or Fraction(0),
        reader.whole(values.get("people"), "delivery.people", 1, 20, "People on the trip"),
    )  # fmt: skip


def _facts(reader: FormReader, value: object) -> dict[str, Fraction]:
    """What is stated of the facts that few jobs need."""
    values, found = reader.mapping(value, "facts", FACT_KEYS), {}
    for fact in FACTS:
        field = f"facts.{fact.name}"
        text = values.get(fact.name)
        read = reader.amount(text, field) if fact.quantity == "money" else reader.number(text, field, "number", None)
        if read is None:
            continue
        if not 0 <= read <= fact.most:
            most = whole_number(int(fact.most))
            reader.wrong(field, f"{fact.label}: “{text}” is out of range; it goes from 0 to {most}.")
            continue
        found[fact.name] = read
    return found


def _pins(reader: FormReader, value: object) -> dict[str, Pin]:
    """The cut plans pinned by hand; one that can't be read is left out, and its material planned anew."""
    found = {}
    for code, entry in reader.mapping(value, "pinned", None).items():
        try:
            found[code] = read_pin(entry)
        except PinError as error:
            message = f"The pinned cut plan of “{code}” can't be read, since {error}; it was planned anew."
            reader.problems.append(Problem(f"pinned.{code}", message, "warning"))
    return found


def _settings(reader: FormReader, value: object) -> tuple[dict[str, Fraction], dict[str, str]]:
    changed, reasons = {}, {}
    for name, entry in reader.mapping(value, "settings", None).items():
        field = f"settings.{name}"
        setting = SETTINGS_BY_NAME.get(name)
        if setting is None and name in RETIRED:
            message = f"“{RETIRED[name]}” is no setting any more: what this job says of it moves nothing."
            reader.problems.append(Problem(field, message, "warning"))
            continue
        if setting is None:
            reader.wrong(field, f"The shop has no setting called “{name}”.")
            continue
        values = {"value": entry} if isinstance(entry, str) else reader.mapping(entry, field, SETTING_KEYS)
        try:
            changed[name] = read_setting(setting, reader.text(values.get("value"), field), reader.system)
        except MeasureError as error:
            reader.wrong(field, error.reason)
            continue
        reasons[name] = reader.text(values.get("why"), f"{field}.why")
    return changed, reasons
