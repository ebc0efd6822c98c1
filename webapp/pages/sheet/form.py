"""The job sheet as a form: what was posted -> the job's document, and the acts that add an entry or take one out.

Every field is named by where it stands in the document, its parts joined by full stops, with the entry's own id in
place of its number: items.bench.sizes.width. So a field keeps its name whatever is added or taken out around it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.jobs.fields import MOST_ITEMS
from webapp.costing.jobs.job import FACTS
from webapp.costing.jobs.listed import LIST_KEYS, PART_KEYS
from webapp.costing.jobs.pasted_lines import read_pasted_lines
from webapp.costing.jobs.reader import CUSTOMER_KEYS, DELIVERY_KEYS, FACT_KEYS, LINE_KEYS, MINUTES_KEYS, SETTING_KEYS
from webapp.costing.jobs.way import WAY_KEYS
from webapp.costing.measures.quantities import System
from webapp.costing.measures.written import as_kept, as_kept_money, as_shown
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.settings.typed import kept_setting
from webapp.pages.part_lists.rows import NEW_ROW, is_list, is_place, swap_in_list, typed_list
from webapp.pages.web.posting import Document, Posted, tidy_table, tidy_text

TEXT_FIELDS: Final = ("job", "site", "due", "novelty", "install", "discount", "card", "rack", "notes", "pasted")
PARTED_FIELDS: Final = {
    "customer": CUSTOMER_KEYS, "way": tuple(WAY_KEYS), "delivery": DELIVERY_KEYS, "facts": FACT_KEYS,
}  # fmt: skip
ITEM_FIELDS: Final = ("design", "version", "label", "quantity", "jigs", "rows", *LIST_KEYS)
ITEM_TABLES: Final = ("sizes", "choices", "materials")
#: Before the names of fields that were taken out with their entry, so that it can be put back; and where it stood.
REMOVED: Final = "removed."
STOOD_BEFORE: Final = "removed.stood-before"
#: The empty row beneath the free lines.
NEW_LINE: Final = "new"
_ID: Final = re.compile(r"[a-z0-9_-]{1,40}")
#: Fields that hold a table as text.
_TABLE: Final = re.compile(r"(^|\.)(pasted|rows)$")
#: Fields that hold a number or a measure, and those of them that hold money: kept plain, shown as the shop writes.
_NUMBER: Final = re.compile(
    r"discount|delivery\.(distance|travel|people)|way\.(?!stair$)\w+|facts\.\w+|settings\.\w+\.value"
    r"|items\.[^.]+\.(quantity|jigs|coats|sizes\.[^.]+|minutes\.[^.]+\.(set_up|low|likely|high)"
    r"|parts\.[^.]+\.(count|length|width|thickness))|lines\.[^.]+\.(quantity|minutes|each|carriage|waiver)"
)
_MONEY: Final = re.compile(
    rf"lines\.[^.]+\.(each|carriage)|facts\.({'|'.join(fact.name for fact in FACTS if fact.quantity == 'money')})"
)
_NAME: Final = re.compile(r"[A-Za-z0-9_-]{1,80}")
_ROW: Final = re.compile(r"(items\.[^.]+\.parts\.)([0-9]{1,3})\.")


@dataclass(frozen=True, slots=True)
class FormRead:
    """The document that was typed; `new_line` is the id that the row beneath the lines was given, if it was filled."""

    document: Document
    new_line: str = ""


@dataclass(frozen=True, slots=True)
class Removed:
    """The entry that was taken out last, in a word, and its fields as the page holds them meanwhile."""

    words: str
    fields: Posted


def read_form(posted: Posted, *, half_typed: bool = True) -> FormRead:
    """The document of a posted form. Empty fields and names that no job has are left out.

    `half_typed` False leaves the row beneath the lines out until it says what and how much, and that beneath a list of
    parts until it can be cut.
    """
    fields = {name: _kept(name, (tidy_table if _TABLE.search(name) else tidy_text)(text)) for name, text in posted}
    document: Document = {"form": "1"}
    for name in TEXT_FIELDS:
        _put(document, name, fields.get(name, ""))
    for section, keys in PARTED_FIELDS.items():
        _put(document, section, _filled({key: fields.get(f"{section}.{key}", "") for key in keys}))
    items, lines, settings = _gather(fields)
    new_line = ""
    if _worth_a_line(lines.get(NEW_LINE, {}), half_typed):
        new_line = free_id("line", [*items, *lines])
        lines[new_line] = lines[NEW_LINE]
    lines.pop(NEW_LINE, None)
    _put(document, "items", [
        {"id": key, **_filled(typed_list(item, half_typed) if is_list(item) else item)} for key, item in items.items()
    ])  # fmt: skip
    _put(document, "lines", [{"id": key, **_filled(line)} for key, line in lines.items()])
    _put(document, "settings", {name: _filled(entry) for name, entry in settings.items() if entry.get("value")})
    _put(
        document, "not_included", [line.strip() for line in fields.get("not_included", "").split("\n") if line.strip()]
    )
    return FormRead(document, new_line)


def in_field(name: str, kept: str) -> str:
    """What stands in the field of that name for what is kept."""
    return as_shown(kept) if _NUMBER.fullmatch(name) else kept


def _kept(name: str, text: str) -> str:
    """What is kept of a field's text: a number plain, whatever the shop writes now or later."""
    if not text or not _NUMBER.fullmatch(name):
        return text
    if name.startswith("settings."):
        setting = SETTINGS_BY_NAME.get(name.split(".")[1])
        return text if setting is None else kept_setting(setting, text)
    return as_kept_money(text) if _MONEY.fullmatch(name) else as_kept(text)


def free_id(stem: str, taken: Iterable[str]) -> str:
    """An id that no entry has yet: line_1, line_2."""
    held = set(taken)
    return next(name for number in range(1, 10_000) if (name := f"{stem}_{number}") not in held)


def with_ids(document: Mapping[str, Any]) -> Document:
    """The document with an id on every item and line, as the form needs it; what is no entry or no table left out."""
    found: Document = {**document}
    for section in ("customer", "way", "delivery", "facts", "settings"):
        _put(found, section, _table(document, section))
    told = document.get("not_included")
    _put(found, "not_included", [line for line in told if isinstance(line, str)] if isinstance(told, list) else [])
    taken: set[str] = set()
    for section, stem in (("items", "item"), ("lines", "line")):
        held = document.get(section)
        entries = [entry for entry in held if isinstance(entry, Mapping)] if isinstance(held, list | tuple) else []
        named = []
        for place, entry in enumerate(entries, 1):
            name = str(entry.get("id") or "")
            if not _ID.fullmatch(name) or name in taken or name == NEW_LINE:
                name = f"{stem}_{place}"
                if name in taken:
                    name = free_id(stem, taken)
            taken.add(name)
            names = (*ITEM_TABLES, "minutes") if section == "items" else ()
            tables: Document = {table: _table(entry, table) for table in names if table in entry}
            if section == "items" and "parts" in entry:
                rows = entry["parts"] if isinstance(entry["parts"], list | tuple) else ()
                tables["parts"] = [row for row in rows if isinstance(row, Mapping)]
            named.append({**entry, **tables, "id": name})
        _put(found, section, named)
    return found


def take_out(document: Document, path: str) -> Document:
    """The document without an entry: items.bench, lines.skip, settings.profit, minutes.bench.spray, rows.list.3."""
    section, _, name = path.partition(".")
    found: Document = {**document}
    if section in ("items", "lines"):
        _put(found, section, [entry for entry in document.get(section, ()) if entry.get("id") != name])
    elif section == "settings":
        _put(found, section, {key: entry for key, entry in document.get(section, {}).items() if key != name})
    elif section == "rows":
        list_id, _, place = name.partition(".")
        found["items"] = [_without_row(item, place) if item["id"] == list_id else item for item in found["items"]]
    elif section == "minutes":
        item_id, _, step = name.partition(".")
        found["items"] = [_without_minutes(item, step) if item["id"] == item_id else item for item in found["items"]]
    return found


def removed_from(posted: Posted, path: str) -> Removed | None:
    """What goes with an entry that is taken out; None where there is none."""
    section, _, name = path.partition(".")
    item, _, place = name.partition(".")
    begins = {"minutes": f"items.{item}.minutes.{place}.", "rows": f"items.{item}.parts.{place}."}.get(
        section, f"{path}."
    )
    gone = tuple((f"{REMOVED}{name}", text) for name, text in posted if name.startswith(begins))
    ids = list(dict.fromkeys(name.split(".")[1] for name, _ in posted if name.startswith(f"{section}.")))
    after = ids[ids.index(item) + 1 :] if item in ids else []
    if not gone:
        return None
    told = {name.removeprefix(f"{REMOVED}{begins}"): tidy_text(text) for name, text in gone}
    words = told.get("label") or told.get("says") or told.get("name") or (place or item).replace("_", " ")
    return Removed(words, (*gone, (STOOD_BEFORE, f"{section}.{after[0]}." if after else "")))


def with_removed(posted: Posted) -> Posted:
    """The form with the entry that was taken out of it last, where it stood."""
    back = [
        (name.removeprefix(REMOVED), text) for name, text in posted if name.startswith(REMOVED) and name != STOOD_BEFORE
    ]
    before = next((text for name, text in posted if name == STOOD_BEFORE), "")
    rest = [field for field in posted if not field[0].startswith(REMOVED)]
    row = next((found for name, _ in back if (found := _ROW.match(name))), None)
    if row is not None:
        # Rows are known by their number: those that came up move down again.
        rest = [(_moved_down(name, row[1], int(row[2])), text) for name, text in rest]
    place = next((at for at, (name, _) in enumerate(rest) if before and name.startswith(before)), len(rest))
    return (*rest[:place], *back, *rest[place:])


def _moved_down(name: str, listed: str, place: int) -> str:
    found = _ROW.match(name)
    if found is None or found[1] != listed or int(found[2]) < place:
        return name
    return f"{found[1]}{int(found[2]) + 1}.{name[found.end() :]}"


def _table(entry: Mapping[str, Any], name: str) -> Document:
    held = entry.get(name)
    return dict(held) if isinstance(held, Mapping) else {}


def _without_row(item: Document, place: str) -> Document:
    found = {**item}
    _put(found, "parts", [row for at, row in enumerate(item.get("parts", ()), 1) if str(at) != place])
    return found


def _without_minutes(item: Document, step: str) -> Document:
    found = {**item}
    _put(found, "minutes", {name: entry for name, entry in item.get("minutes", {}).items() if name != step})
    return found


def add_item(document: Document, design: Mapping[str, Any], version: int, sizes: Mapping[str, str]) -> Document:
    """The document with one more item, of this version of a design at these sizes."""
    held = list(document.get("items", ()))
    taken = [str(entry["id"]) for entry in (*held, *document.get("lines", ()))]
    code = str(design["design"])
    item_id = code if _ID.fullmatch(code) and code not in {*taken, "trip", "minimum"} else free_id("item", taken)
    item = {"id": item_id, "design": code, "version": str(version), "quantity": "1", "sizes": dict(sizes)}
    return {**document, "items": [*held, {key: value for key, value in item.items() if value}]}


def add_list(document: Document) -> tuple[Document, str]:
    """The document with one more item, an empty list of parts, and the field to go on at."""
    held = list(document.get("items", ()))
    list_id = free_id("parts", [str(entry["id"]) for entry in (*held, *document.get("lines", ()))])
    return {**document, "items": [*held, {"id": list_id, "quantity": "1"}]}, f"items.{list_id}.parts.{NEW_ROW}.name"


def take_lines(document: Document, system: System) -> Document:
    """The document with pasted rows among its added lines; those that can't be taken stay in their box."""
    held, waiting = list(document.get("lines", ())), str(document.get("pasted", ""))
    read = read_pasted_lines(waiting, system, MOST_ITEMS - len(held))
    for row in read.taken:
        taken = [str(entry["id"]) for entry in (*document.get("items", ()), *held)]
        held.append({"id": free_id("line", taken), **row.entry})
    found: Document = {**document}
    _put(found, "lines", held)
    _put(found, "pasted", read.left_text(waiting))
    return found


def swap_material(
    document: Document, roles: Mapping[str, Mapping[str, str]], stands: str, put: str, called: str = ""
) -> Document:
    """The document with one material in place of another, wherever a role is filled with it or a list names it.

    `roles` are, by item id, the usual materials of the roles that the new one can fill; `called` is the name of the
    other one, by which lists may name it.
    """
    items = []
    for item in document.get("items", ()):
        if is_list(item):
            items.append(swap_in_list(item, (stands, called or stands), put))
            continue
        chosen = dict(item.get("materials", {}))
        for role, usual in roles.get(item["id"], {}).items():
            if chosen.get(role, usual) == stands:
                chosen[role] = put
        items.append({**item, "materials": chosen} if chosen else item)
    return {**document, "items": items} if items else document


def add_setting(document: Document, name: str, value: str) -> Document:
    """The document with a setting of its own, which starts from the shop's value."""
    held = document.get("settings", {})
    return document if name in held else {**document, "settings": {**held, name: {"value": value}}}


def _gather(
    fields: Mapping[str, str],
) -> tuple[dict[str, Document], dict[str, Document], dict[str, Document]]:
    """Items, lines and settings as they were named by the fields, in the form's order."""
    items: dict[str, Document] = {}
    lines: dict[str, Document] = {}
    settings: dict[str, Document] = {}
    for name, text in fields.items():
        match name.split("."):
            case ["items", key, field] if _ID.fullmatch(key) and field in ITEM_FIELDS:
                items.setdefault(key, {})[field] = text
            case ["items", key, "parts", row, field] if _ID.fullmatch(key) and is_place(row) and field in PART_KEYS:
                items.setdefault(key, {}).setdefault("parts", {}).setdefault(row, {})[field] = text
            case ["items", key, table, entry] if _ID.fullmatch(key) and table in ITEM_TABLES and _NAME.fullmatch(entry):
                items.setdefault(key, {}).setdefault(table, {})[entry] = text
            case ["items", key, "minutes", step, part] if (
                _ID.fullmatch(key) and _NAME.fullmatch(step) and part in MINUTES_KEYS
            ):
                items.setdefault(key, {}).setdefault("minutes", {}).setdefault(step, {})[part] = text
            case ["lines", key, field] if _ID.fullmatch(key) and field in LINE_KEYS:
                lines.setdefault(key, {})[field] = text
            case ["settings", key, field] if _NAME.fullmatch(key) and field in SETTING_KEYS:
                settings.setdefault(key, {})[field] = text
    return items, lines, settings


def _worth_a_line(typed: Mapping[str, str], half_typed: bool) -> bool:
    says, amount = typed.get("says", ""), typed.get("each", "") or typed.get("minutes", "")
    return bool(says or amount) if half_typed else bool(says and amount)


def _filled(entry: Mapping[str, Any]) -> Document:
    """What is filled in an entry, in its tables too."""
    found: Document = {}
    for key, value in entry.items():
        _put(found, key, _filled(value) if isinstance(value, Mapping) else value)
    return found


def _put(document: Document, key: str, value: Any) -> None:
    if value:
        document[key] = value
    else:
        document.pop(key, None)
