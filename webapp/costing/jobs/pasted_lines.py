"""Rows pasted from a spreadsheet -> added lines of a job, each taken or left with the sentence why."""

from __future__ import annotations

from typing import Final

from webapp.costing.jobs.fields import MOST_ITEMS, FormReader
from webapp.costing.jobs.reader import read_line
from webapp.costing.measures.currencies import strip_currency
from webapp.costing.measures.manner import manner
from webapp.costing.measures.quantities import System
from webapp.costing.tables.pasted import Pasted, read_pasted
from webapp.costing.tables.table import Column, Table

COLUMNS: Final = (
    Column("kind", ("type", "sort")),
    Column("says", ("what for", "what", "for", "description", "line", "item")),
    Column("quantity", ("how many", "qty", "pieces", "number", "no")),
    Column("minutes", ("minutes each", "time", "time each", "labour")),
    Column("each", ("cost each", "cost", "price each", "price", "amount")),
)
NUMBERS: Final = ("quantity", "minutes", "each")
#: The order in which rows without a heading are read: that of the table of added lines.
USUAL_ORDER: Final = ("kind", "says", "quantity", "minutes", "each")


def read_pasted_lines(text: str, system: System, room: int = MOST_ITEMS) -> Pasted:
    """Read pasted rows; `room` is how many more lines the job has room for.

    Without a kind, a row with minutes is labour, and one with a cost is a part.
    """

    def judge(number: int, entry: dict[str, str], table: Table) -> tuple[dict[str, str], str]:
        if not entry.get("kind"):
            entry["kind"] = "labour" if entry.get("minutes") and not entry.get("each") else "part"
        entry["kind"] = entry["kind"].casefold()
        if entry.get("each"):
            entry["each"] = strip_currency(entry["each"], manner().currency)
        reader = FormReader(system)
        line = read_line(reader, entry, number, set())
        said = [problem.message for problem in reader.problems]
        if line is not None and line.each is None and line.minutes is None and not said:
            said = [f"“{line.says}” has neither minutes nor a cost."]
        return entry, f"Row {number}: {' '.join(said)}" if said else ""

    most = f"a job holds {MOST_ITEMS} added lines at most."
    return read_pasted(text, COLUMNS, USUAL_ORDER, judge, room, most, NUMBERS)
