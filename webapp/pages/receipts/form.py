"""A receipt's form as it was sent: its fields read as typed, numbers made plain."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import as_kept, as_kept_money, as_shown
from webapp.costing.receipts.reading import MOST_LINES, TypedLine, TypedReceipt, typed_lines
from webapp.costing.receipts.receipt import Listed
from webapp.pages.web.posting import Posted, tidy_text
from webapp.persistence.receipts.records import StoredReceipt

#: Rows that wait to be typed in beside those that hold something.
FREE_ROWS: Final = 5
_LINE: Final = re.compile(r"line\.([1-9][0-9]{0,2})\.(what|count|paid|whose|one_off|sure)")
_LISTED: Final = re.compile(r"([1-9][0-9]{0,8})\|(.{1,200})")


def read_form(posted: Posted) -> TypedReceipt:
    """What was typed, in the words it was typed in."""
    fields = {name: tidy_text(text) for name, text in posted}
    return TypedReceipt(
        supplier=fields.get("supplier", ""),
        day=fields.get("day", ""),
        total=fields.get("total", ""),
        tax=fields.get("tax", ""),
        hold_tax=fields.get("hold_tax", "yes") == "yes",
        comes_back=fields.get("comes_back") == "yes",
        whose=fields.get("whose", ""),
        note=fields.get("note", ""),
        returns=small_number(fields.get("returns", "")),
        lines=_lines(fields),
        listed=tuple(listed_of(text for name, text in posted if name == "listed")),
    )


def plain(typed: TypedReceipt, currency: str) -> TypedReceipt:
    """The same with its numbers as they are read everywhere, whatever sign the shop writes."""

    def money(text: str) -> str:
        return as_kept_money(text, currency)

    return replace(
        typed, total=money(typed.total), tax=money(typed.tax),
        lines=tuple(replace(one, count=as_kept(one.count), paid=money(one.paid)) for one in typed.lines),
    )  # fmt: skip


def listed_of(texts: Iterable[str]) -> Iterable[Listed]:
    """Lines of lists as a form names them; what names none is left out."""
    for text in texts:
        found = _LISTED.fullmatch(text)
        if found:
            yield Listed(int(found[1]), found[2])


def named(listed: Listed) -> str:
    """How a form names a line of a list."""
    return f"{listed.list_number}|{listed.line}"


def as_typed(stored: StoredReceipt) -> TypedReceipt:
    """A kept receipt as its form would be typed."""
    one = stored.receipt
    return TypedReceipt(
        one.supplier, one.day.isoformat(), as_shown(str(abs(one.total))),
        "" if one.tax is None else as_shown(str(abs(one.tax))),
        one.hold_tax, one.total < 0, one.whose, one.note, one.returns, tuple(typed_lines(one)), one.listed,
    )  # fmt: skip


def going_back(stored: StoredReceipt, bought: Iterable[TypedLine]) -> TypedReceipt:
    """What a return of a receipt starts from: its lines, on the jobs that bought them, with those of lists."""
    one = as_typed(stored)
    return TypedReceipt(
        one.supplier, comes_back=True, hold_tax=one.hold_tax, whose=one.whose, returns=stored.number,
        lines=(*one.lines, *bought),
    )  # fmt: skip


def rows_of(typed: TypedReceipt) -> tuple[TypedLine, ...]:
    """The rows to show: what was typed, then free ones."""
    held = max((at for at, one in enumerate(typed.lines, 1) if not one.is_empty), default=0)
    free = min(max(2, FREE_ROWS - held), MOST_LINES - held)
    return (*typed.lines[:held], *(TypedLine() for _ in range(free)))


def _lines(fields: Mapping[str, str]) -> tuple[TypedLine, ...]:
    rows: dict[int, dict[str, str]] = {}
    for name, text in fields.items():
        found = _LINE.fullmatch(name)
        if found:
            rows.setdefault(int(found[1]), {})[found[2]] = text
    found_rows = []
    for number in range(1, max(rows, default=0) + 1):
        row = rows.get(number, {})
        found_rows.append(
            TypedLine(
                row.get("what", ""), row.get("count", ""), row.get("paid", ""), row.get("whose", ""),
                row.get("one_off") == "yes", row.get("sure") == "yes",
            )
        )  # fmt: skip
    return tuple(found_rows)
