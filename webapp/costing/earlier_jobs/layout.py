"""What stands in the columns of a sheet of earlier jobs: guessed by its headings, and pointed at."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import DayOrder, DecimalSign
from webapp.costing.tables.sheets import Headed, Sheet, find_heading, headed_at, is_number

#: What may stand in a column. What tells a job in words may be pointed at more than once.
ROLES: Final[tuple[tuple[str, str], ...]] = (
    ("number", "its number"), ("name", "what was made"), ("size", "its size"), ("customer", "the customer"),
    ("day", "when"), ("price", "what was taken for it"), ("hours", "hours worked"), ("cost", "what it cost the shop"),
    ("note", "a note"),
)  # fmt: skip
SEVERAL: Final = ("name", "size", "note")
#: Words in headings that speak of each, in several languages: common practice. Only a first guess, which whoever points
#: may change; the earlier ones are asked first.
_HEADED: Final[tuple[tuple[str, str], ...]] = (
    ("hours", "hours hrs stunden std heures horas ore uren godziny time worked"),
    ("cost", "cost costs kosten coût coûts coste costo costi koszt kostnad"),
    ("price", "price net netto nett total amount charged sold invoiced paid preis betrag summe rechnungsbetrag prix "
              "montant precio importe prezzo importo prijs bedrag cena kwota revenue quoted took taken"),
    ("day", "date day datum date-of fecha data dato when year month finished delivered jahr année año anno"),
    ("customer", "customer client kunde kundin auftraggeber cliente klant kund klient for buyer"),
    ("size", "size dimensions dimension maße maß masse abmessung format medidas misure afmeting length width height"),
    ("number", "no nr number ref reference auftragsnummer rechnungsnummer numéro número numero id"),
    ("note", "note notes remark remarks comment bemerkung notiz remarque nota"),
    ("name", "job name title item bench product project work description what auftrag bezeichnung produkt désignation "
             "objet trabajo descripción lavoro opis werk"),
)  # fmt: skip
_WORDS: Final = re.compile(r"[^\W\d_]+")


class LayoutRefused(CostingError):
    """Columns that can't be what they were pointed at as, with the sentence why."""


@dataclass(frozen=True, slots=True)
class EarlierLayout:
    """What stands in each column, '' where nothing of it is used, under which headings; whether its prices hold tax,
    and which signs decimals and days have, None where the rows show it."""

    headings: tuple[str, ...]
    columns: tuple[str, ...]
    with_tax: bool
    decimal: DecimalSign | None = None
    days: DayOrder | None = None


def find_jobs_table(sheets: Sequence[Sheet], headings: Sequence[str] = ()) -> tuple[Sheet, Headed] | None:
    """The sheet that holds the table, and the table: one under these headings, where there is one, else that of the
    first sheet in sight that holds anything."""
    shown = [(sheet, headed_at(sheet.rows, find_heading(sheet.rows))) for sheet in sheets if sheet.rows]
    known = (one for one in shown if headings and one[1].names == tuple(headings))
    return next(known, next(iter(shown), None))


def guessed_roles(headed: Headed) -> tuple[str, ...]:
    """What each column seems to hold, by the words of its heading; each role once, but those that may come again.

    >>> from webapp.costing.tables.sheets import Headed
    >>> guessed_roles(Headed(("Date", "Kunde", "Job", "Std.", "Netto", "Total"), (), ()))
    ('day', 'customer', 'name', 'hours', 'price', '')
    """
    columns: list[str] = []
    for heading in headed.headings:
        words = set(_WORDS.findall(heading.casefold()))
        role = next((role for role, said in _HEADED if words & set(said.split())), "")
        columns.append(role if role not in columns or role in SEVERAL else "")
    if "name" not in columns:
        # A column of words that nothing else is known of is likely what was made.
        for at, role in enumerate(columns):
            cells = [row.cells[at] for row in headed.beneath[:40] if at < len(row.cells) and row.cells[at].strip()]
            if not role and cells and not any(map(is_number, cells)):
                columns[at] = "name"
                break
    return tuple(columns)


def check_pointed(columns: Sequence[str]) -> None:
    """Raises LayoutRefused where columns can't be read as they were pointed at."""
    words = dict(ROLES)
    twice = [words[role] for role in words if role not in SEVERAL and columns.count(role) > 1]
    if twice:
        raise LayoutRefused(f"Two columns are “{twice[0]}”; only one can be.")
    for role in ("name", "price"):
        if role not in columns:
            raise LayoutRefused(f"Point at the column that says {words[role]}.")
