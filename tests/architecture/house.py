"""The house: each room of webapp/, a folder or a file at the top, with the rooms and packages that it may import.

Ground first; no room imports one that stands after it. `python -m tests.architecture.house` draws the table anew in
DEVELOPERS.md, where a test compares the two.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from webapp.paths import CHECKOUT

#: What several rooms may import alike. `sums` is the core without the solvers: who shows or keeps an estimate asks for
#: no plan.
GROUPS: Final = {
    "sums": "costing costing.measures costing.trade costing.ledger costing.catalogue costing.tables costing.prices"
    " costing.settings costing.jobs costing.part_lists"
    " costing.designs costing.design_form costing.design_form.tables costing.design_lines costing.design_changes"
    " costing.few_words costing.design_rows"
    " costing.takeoff costing.design_differences costing.items costing.sweep"
    " costing.cutting.ask costing.cutting.saw costing.cutting.hand"
    " costing.plans costing.supplier_choice costing.buying costing.buying_list costing.receipts costing.hours"
    " costing.extras costing.cost_range costing.job_price costing.way_in costing.estimate"
    " costing.library costing.alternates costing.made_before costing.in_hand costing.earlier_jobs",
    "kept": "persistence.foundation persistence.settings persistence.jobs persistence.designs persistence.quotes"
    " persistence.people persistence.catalogue persistence.rack persistence.plans persistence.drafts persistence.maker"
    " persistence.buying_lists persistence.receipts persistence.earlier_jobs persistence.sweeps",
    "papers": "documents.printing documents.plans documents.workshop documents.bench documents.buying documents.quotes",
    "drawn": "pictures pictures.bench pictures.drawings pictures.full_size benches",
    "front": "estimating standing in_short work_in_hand running security drafting rendering showing",
}
PAGE: Final = "fastapi starlette sqlalchemy"


@dataclass(frozen=True, slots=True)
class Room:
    """A room, what of ours it may import, and which packages from outside (the standard library apart)."""

    name: str
    ours: frozenset[str]
    outside: frozenset[str]
    words: str


def _room(name: str, ours: str, outside: str) -> Room:
    floor = name.partition(".")[0]
    named = " ".join(GROUPS.get(word, word) for word in ours.split()).split()
    # A room of the same floor is named by a full stop and what follows.
    return Room(
        name, frozenset(floor + one if one.startswith(".") else one for one in named), frozenset(outside.split()), ours
    )


_ROWS: Final = [
    # the core: plain values in, plain values out
    ("costing", "", ""),
    ("costing.measures", "costing", ""),
    ("costing.trade", ".measures", ""),
    ("costing.space", "costing .measures", ""),
    ("costing.contours", ".space", ""),
    ("costing.trade.loads", ".measures .trade", ""),
    ("costing.trade.ways", ".trade", ""),
    ("costing.ledger", "costing .measures .trade .trade.loads", ""),
    ("costing.catalogue", ".measures .trade", ""),
    ("costing.tables", "costing .measures", ""),
    ("costing.prices", "costing .measures .catalogue .tables", ""),
    ("costing.settings", "costing .measures .ledger .catalogue", ""),
    ("costing.cutting.ask", "costing .measures", ""),
    ("costing.cutting.saw", ".cutting.ask", ""),
    ("costing.cutting.hand", ".measures .cutting.ask .cutting.saw", ""),
    ("costing.cutting.laying", ".cutting.ask", "numba numpy"),
    ("costing.cutting.bounds", ".cutting.ask .cutting.laying", "numpy highspy"),
    ("costing.cutting.sheets", ".cutting.ask .cutting.saw .cutting.laying .cutting.bounds", "numpy highspy"),
    ("costing.cutting.lengths", ".cutting.ask .cutting.laying .cutting.bounds", "numpy highspy"),
    ("costing.cutting", "", ""),
    ("costing.jobs", "costing .measures .tables .settings .cutting.hand", ""),
    ("costing.earlier_jobs", "costing .measures .tables .jobs", ""),
    ("costing.part_lists", "costing .measures .trade .catalogue .tables .jobs", ""),
    ("costing.designs", "costing .measures .ledger .catalogue", ""),
    ("costing.design_form.tables", ".catalogue .designs", ""),
    ("costing.design_form.entries", "costing .measures .ledger .catalogue .designs .design_form.tables", ""),
    ("costing.design_form",
     "costing .measures .ledger .catalogue .designs .design_form.tables .design_form.entries", ""),
    ("costing.design_lines", "costing .measures .catalogue .designs .design_form.tables", ""),
    ("costing.design_changes",
     "costing .measures .ledger .catalogue .jobs .designs .design_form .design_form.tables", ""),
    ("costing.few_words.line", ".measures .design_form.tables .design_lines", ""),
    ("costing.few_words",
     "costing .measures .ledger .catalogue .designs .design_form.tables .design_lines .few_words.line", ""),
    ("costing.design_rows",
     "costing .catalogue .designs .design_form.tables .design_lines .design_changes", ""),
    ("costing.takeoff.placed", "costing .measures .trade .space .ledger .designs", ""),
    ("costing.takeoff", "costing .measures .trade .space .ledger .catalogue .settings .designs .takeoff.placed", ""),
    ("costing.takeoff.amounts", "costing .measures .space .ledger .catalogue .designs .takeoff .takeoff.placed", ""),
    ("costing.takeoff.made", "costing .trade .space .ledger .designs .takeoff .takeoff.placed", ""),
    ("costing.takeoff.checks",
     "costing .measures .trade .trade.loads .space .ledger .catalogue .designs .cutting.ask .takeoff"
     " .takeoff.placed .takeoff.amounts", ""),
    ("costing.takeoff.checks.made",
     "costing .measures .trade .space .catalogue .designs .takeoff .takeoff.placed .takeoff.made", ""),
    ("costing.takeoff.loads", "costing .measures .trade .trade.loads .space .ledger .catalogue .designs .takeoff"
     " .takeoff.placed .takeoff.checks", ""),
    ("costing.design_differences",
     "costing .designs .design_lines .design_changes .takeoff", ""),
    ("costing.items", "costing .measures .ledger .catalogue .settings .designs .takeoff .takeoff.amounts .takeoff.made"
     " .takeoff.checks .takeoff.checks.made .takeoff.loads", ""),
    ("costing.sweep", ".measures .ledger .catalogue .settings .designs .takeoff .takeoff.checks .items", "random"),
    ("costing.way_in", ".measures .trade.ways .ledger .settings .jobs .takeoff .items", ""),
    ("costing.plans",
     "costing .measures .trade .trade.loads .ledger .catalogue .settings .jobs .takeoff .items .cutting.ask"
     " .cutting.saw .cutting.hand .cutting.sheets .cutting.lengths", ""),
    ("costing.supplier_choice", ".cutting.bounds", "numpy highspy"),
    ("costing.buying",
     "costing .measures .trade .ledger .catalogue .settings .items .plans .cutting .cutting.ask .cutting.saw"
     " .cutting.hand .supplier_choice .jobs", ""),
    ("costing.buying_list", "costing .measures .ledger .catalogue .prices .buying", ""),
    ("costing.receipts",
     "costing .measures .ledger .catalogue .prices .buying .buying_list", ""),
    ("costing.hours",
     "costing .trade .ledger .catalogue .settings .designs .jobs .items .plans .buying .cutting.ask .cutting.saw", ""),
    ("costing.cost_range", ".trade .ledger .catalogue .settings .jobs .buying .hours .cutting", "numpy"),
    ("costing.job_price", "costing .measures .ledger .settings .jobs .buying .hours .cost_range", ""),
    ("costing.extras", ".measures .ledger .catalogue .settings .jobs .takeoff .items .buying .hours .job_price", ""),
    ("costing.estimate",
     "costing .measures .ledger .catalogue .settings .designs .design_form .jobs .part_lists .takeoff"
     " .items .plans .buying .hours .cost_range .job_price .extras .way_in .cutting.ask .cutting.hand", ""),
    ("costing.library", "costing .measures .jobs", ""),
    ("costing.alternates",
     ".measures .designs .jobs .design_changes .items .estimate", ""),
    ("costing.made_before",
     ".measures .catalogue .settings .hours .cost_range .estimate", ""),
    ("costing.in_hand", "costing .measures .catalogue .settings .cutting.ask .estimate", ""),
    # what stands between the core and the edge
    ("paths", "", ""),
    ("settings", "", "pydantic pydantic_settings"),
    ("units", "costing.measures", "pint"),
    ("showing", "costing.measures costing.ledger costing.catalogue units", ""),
    ("pictures", "costing.cutting.ask costing.takeoff costing.sweep", "ezdxf segno"),
    ("pictures.bench", "pictures costing.measures costing.catalogue costing.space costing.takeoff", "numpy"),
    ("pictures.drawings", "pictures pictures.bench costing.measures costing.space costing.takeoff", "numpy"),
    ("pictures.full_size",
     "pictures pictures.drawings costing.contours costing.measures costing.takeoff", "ezdxf"),
    ("remembered", "", ""),
    ("benches", "remembered costing.catalogue costing.measures costing.settings costing.takeoff pictures.bench", ""),
    ("design_text",
     "costing costing.designs costing.design_form costing.design_form.tables costing.design_lines", "yaml"),
    ("seed", "costing costing.measures costing.catalogue costing.design_changes paths design_text", "yaml"),
    ("example_job", "costing.measures costing.settings costing.estimate seed", ""),
    ("sent_pictures", "costing.measures", "PIL"),
    ("sent_workbook", "costing.tables", ""),
    ("sent_tables", "costing.tables sent_workbook", ""),
    ("given_workbook", "costing.tables", "xlsxwriter"),
    ("mail", "", ""),
    ("assets", "paths", "starlette"),
    # what is kept
    ("persistence", "", ""),
    ("persistence.foundation", "costing.measures", "sqlalchemy"),
    ("persistence.drafts", ".foundation", "sqlalchemy"),
    ("persistence.maker", "costing.designs .foundation", "sqlalchemy"),
    ("persistence.settings", "costing costing.measures costing.settings .foundation", "sqlalchemy"),
    ("persistence.jobs", "costing.jobs .foundation", "sqlalchemy"),
    ("persistence.designs", "costing.measures .foundation .jobs", "sqlalchemy"),
    ("persistence.quotes", "costing.alternates .foundation .jobs", "sqlalchemy"),
    ("persistence.people", ".foundation .jobs .quotes", "sqlalchemy"),
    ("persistence.catalogue", "costing.catalogue .foundation .settings", "sqlalchemy"),
    ("persistence.rack",
     "costing.catalogue costing.buying .foundation .jobs .quotes .people .catalogue", "sqlalchemy"),
    ("persistence.buying_lists",
     "costing.catalogue costing.buying costing.buying_list .foundation .jobs .people .catalogue .rack", "sqlalchemy"),
    ("persistence.receipts",
     "costing.catalogue costing.receipts .foundation .jobs .catalogue .rack .buying_lists", "sqlalchemy"),
    ("persistence.earlier_jobs",
     "costing.measures costing.jobs costing.earlier_jobs .foundation", "sqlalchemy"),
    ("persistence.plans", "costing costing.plans costing.estimate .foundation .jobs", "sqlalchemy"),
    ("persistence.sweeps", ".foundation", "sqlalchemy"),
    ("persistence.finding",
     "costing.measures costing.catalogue costing.jobs .foundation .jobs .designs .quotes .catalogue .earlier_jobs",
     "sqlalchemy"),
    ("persistence.database",
     "paths .foundation .settings .jobs .designs .quotes .people .catalogue .buying_lists .receipts .earlier_jobs"
     " .plans .drafts .maker .sweeps", "sqlalchemy alembic psycopg"),
    ("persistence.backups", ".foundation .database", "sqlalchemy alembic"),
    # what works with both
    ("own_certificate", "persistence.foundation", "cryptography"),
    ("running", "persistence.database settings", "starlette"),
    ("quiet", "", "starlette"),
    ("security", "costing.measures persistence.foundation persistence.settings persistence.people running settings",
     "fastapi starlette argon2"),
    ("drafting", "persistence.foundation persistence.drafts persistence.people running security showing", "fastapi"),
    ("rendering",
     "costing.measures assets paths units persistence.people running security drafting",
     "fastapi starlette jinja2 markupsafe"),
    ("estimating",
     "remembered costing.measures costing.catalogue costing.design_changes costing.jobs costing.plans costing.buying"
     " costing.estimate persistence.foundation persistence.settings persistence.catalogue persistence.designs"
     " persistence.plans persistence.database", "sqlalchemy"),
    ("in_short",
     "remembered costing.measures costing.settings costing.plans costing.job_price costing.estimate costing.in_hand"
     " estimating persistence.plans persistence.quotes", "sqlalchemy"),
    ("standing",
     "remembered benches costing.measures costing.catalogue costing.jobs costing.estimate costing.alternates"
     " estimating in_short persistence.foundation persistence.settings persistence.jobs persistence.quotes"
     " persistence.catalogue persistence.rack persistence.database", "sqlalchemy"),
    ("work_in_hand",
     "remembered costing.measures costing.ledger costing.catalogue costing.settings costing.buying costing.estimate"
     " costing.in_hand estimating in_short standing persistence.settings persistence.jobs persistence.quotes"
     " persistence.catalogue persistence.database", "sqlalchemy"),
    ("price_shelf", "costing.tables persistence.foundation persistence.catalogue", "sqlalchemy"),
    ("price_import",
     "costing costing.catalogue costing.prices costing.tables persistence.foundation persistence.settings"
     " persistence.catalogue",
     "sqlalchemy"),
    ("starters",
     "costing.measures costing.catalogue costing.designs persistence.foundation persistence.catalogue"
     " persistence.designs seed", "sqlalchemy"),
    ("housekeeping",
     "persistence.foundation persistence.people persistence.plans persistence.drafts persistence.maker"
     " persistence.sweeps persistence.database", "sqlalchemy"),
    ("sweeps",
     "remembered costing.measures costing.catalogue costing.settings costing.designs costing.design_form costing.sweep"
     " persistence.foundation persistence.settings persistence.catalogue persistence.sweeps persistence.database",
     "sqlalchemy"),
    ("plan_worker",
     "costing.plans costing.estimate costing.cutting.ask costing.cutting.sheets costing.cutting.lengths"
     " persistence.foundation persistence.plans persistence.sweeps persistence.database running housekeeping sweeps",
     "sqlalchemy"),
    ("plan_workers", "plan_worker settings", ""),
    # papers
    ("documents", "", ""),
    ("documents.printing",
     "costing.measures costing.ledger costing.space costing.takeoff assets showing persistence.settings",
     "weasyprint babel"),
    ("documents.plans", "sums pictures", ""),
    ("documents.workshop",
     "sums drawn rendering showing persistence.foundation persistence.settings .printing .plans", ""),
    ("documents.bench",
     "sums costing.contours drawn rendering showing persistence.settings .printing .plans .workshop", ""),
    ("documents.buying", "sums showing persistence.settings .printing", ""),
    ("documents.quotes",
     "sums drawn rendering showing persistence.foundation persistence.settings persistence.jobs persistence.quotes"
     " persistence.database .printing .workshop .buying", "sqlalchemy"),
    ("cut_with_others",
     "costing.measures costing.estimate documents.workshop persistence.buying_lists persistence.jobs", "sqlalchemy"),
    # setting up
    ("demo_jobs", "costing.jobs persistence.jobs", ""),
    ("demo_list",
     "costing.buying_list costing.estimate documents.buying documents.printing standing persistence.buying_lists"
     " persistence.jobs persistence.settings", "sqlalchemy"),
    ("demo_earlier", "costing.earlier_jobs persistence.earlier_jobs", "sqlalchemy"),
    ("demo",
     "costing.measures costing.catalogue costing.designs demo_earlier demo_jobs demo_list documents.quotes estimating"
     " running seed persistence.settings persistence.jobs persistence.designs persistence.quotes persistence.catalogue"
     " persistence.rack", "sqlalchemy"),
    ("opening",
     "demo documents.printing running security settings persistence.foundation persistence.settings persistence.people"
     " persistence.database persistence.backups", "sqlalchemy"),
    ("job_file",
     "costing costing.measures costing.catalogue costing.settings costing.jobs costing.estimate costing.alternates"
     " design_text estimating seed running settings persistence.settings persistence.database", "sqlalchemy yaml"),
    # pages
    ("pages", "", ""),
    ("pages.web",
     "costing costing.measures costing.jobs costing.estimate costing.tables given_workbook sent_tables price_shelf"
     " showing documents.printing drafting rendering running own_certificate settings security persistence.foundation"
     " persistence.settings persistence.people persistence.drafts", PAGE),
    ("pages.shown", "sums kept papers front drawn .web", "sqlalchemy"),
    ("pages.prices", "sums kept papers front price_import price_shelf sent_tables .web .shown", PAGE),
    ("pages.catalogue", "sums kept papers front price_import price_shelf sent_tables .web .shown .prices", PAGE),
    ("pages.part_lists", "sums persistence.settings persistence.catalogue .web", PAGE),
    ("pages.sheet",
     "sums kept papers front drawn persistence.database .web .shown .prices .catalogue .part_lists", PAGE),
    ("pages.stock", "sums kept papers front .web .shown .sheet", PAGE),
    ("pages.plans", "sums kept papers front .web .shown .sheet", PAGE),
    ("pages.sweeps", "sums kept front pictures sweeps .web", PAGE),
    ("pages.designs",
     "sums kept papers front drawn remembered design_text persistence.finding .web .shown .sweeps", f"{PAGE} yaml"),
    ("pages.maker", "sums kept papers front drawn design_text .web .shown .sheet .sweeps .designs", f"{PAGE} yaml"),
    ("pages.earlier_jobs", "sums kept papers front price_shelf sent_tables .web", PAGE),
    ("pages.bench", "sums costing.contours kept papers front .web .designs", PAGE),
    ("pages.alternates", "sums kept papers front .web .shown .sheet .part_lists", PAGE),
    ("pages.jobs",
     "sums kept papers front drawn sent_pictures design_text persistence.finding .web .shown .prices .catalogue"
     " .part_lists .sheet .stock .plans .designs .alternates .earlier_jobs", PAGE),
    ("pages.rack", "cut_with_others sums kept papers front pictures .web .shown .catalogue .sheet .stock", PAGE),
    ("pages.quotes", "cut_with_others sums kept papers front mail .web .shown .sheet .stock .plans", PAGE),
    ("pages.buying", "sums kept papers front persistence.finding .web .shown .catalogue .sheet", PAGE),
    ("pages.buying_lists", "sums kept papers front pictures paths .web .shown .plans .buying", PAGE),
    ("pages.receipts", "sums kept papers front sent_pictures .web .buying_lists", PAGE),
    ("pages.settings",
     "sums kept papers front mail own_certificate pictures sent_pictures opening starters persistence.database"
     " persistence.backups .web .shown",
     f"{PAGE} babel"),
    ("pages.drafts", "kept papers front .web", PAGE),
    ("pages.people", "costing.measures kept papers front opening starters .web .settings", f"{PAGE} babel"),
    ("pages.start",
     "sums kept papers front example_job starters persistence.finding .web .shown .prices .catalogue .sheet .quotes"
     " .earlier_jobs", PAGE),
    ("pages.made_before", "sums kept papers front benches .web .shown .prices .sheet .jobs .settings .start", PAGE),
]  # fmt: skip
ROOMS: Final = {name: _room(name, ours, outside) for name, ours, outside in _ROWS}
#: What ties the house together may import all of it; set-up runs before anything is installed.
EVERYTHING: Final = frozenset({"app", "cli", "commands"})
ALONE: Final = frozenset({"bootstrap"})

#: The floors as they are drawn, from the street down to the ground: their words, and their folder of webapp/.
FLOORS: Final = (
    ("What a person meets: webapp/pages", "pages"), ("On paper: webapp/documents", "documents"),
    ("What is kept: webapp/persistence", "persistence"), ("The sums: webapp/costing", "costing"),
    ("Between them: files of webapp", ""),
)  # fmt: skip
WITH_A_FLOOR: Final = frozenset(floor for _, floor in FLOORS if floor)
GROUND: Final = "costing"
WIDEST: Final = 108
BEGINS, ENDS = "<!-- the house, drawn by tests/architecture/house.py -->", "<!-- end of the house -->"


def first_sentence(room: str) -> str:
    """What a room says it is for."""
    path = CHECKOUT / "webapp" / room.replace(".", "/")
    file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    found = re.match(r'"""(.+?)(?:\.\s|\."""|\n\n|""")', file.read_text(encoding="utf-8"), re.DOTALL)
    assert found is not None, f"webapp/{room} does not begin with a sentence that says what it is for"
    return " ".join(found[1].split())


def drawing() -> str:
    """The house as DEVELOPERS.md shows it: what each room is for, and which others of its floor it may import."""
    lines = ["```text"]
    for title, floor in FLOORS:
        lines += [title.upper(), ""]
        for room in ROOMS.values():
            within, _, name = room.name.partition(".")
            if within == floor and (name or room.name == GROUND):
                # What it takes from other floors stands in the table; here is how the rooms of one floor lean.
                near = [word for word in room.words.split() if word.startswith(".")]
                lines += _drawn(name or room.name, first_sentence(room.name), " ".join(near))
            elif not floor and within not in WITH_A_FLOOR:
                lines += _drawn(room.name, first_sentence(room.name), "")
        lines.append("")
    lines.append("```")
    return "\n".join([BEGINS, "", *lines, "", ENDS])


def _drawn(name: str, sentence: str, imports: str) -> list[str]:
    says = [*wrap(sentence, WIDEST - 17), *wrap(f"< {imports}" if imports else "", WIDEST - 17)]
    return [f"{'' if place else name:<16} {text}" for place, text in enumerate(says)]


def main() -> None:
    """Draw the house anew in DEVELOPERS.md."""
    file = CHECKOUT / "DEVELOPERS.md"
    text = file.read_text(encoding="utf-8")
    before, _, rest = text.partition(BEGINS)
    _, _, after = rest.partition(ENDS)
    file.write_text(before + drawing() + after, encoding="utf-8")


if __name__ == "__main__":
    main()
