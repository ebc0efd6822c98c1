"""A supplier's file of 20,000 lines, as CSV and as XLSX, of which the shop buys 600: seconds until the preview stands,
until its prices are kept, and how much memory that took, on both databases.

Run as `python -m tests.bench.price_file_bench` on an otherwise idle machine; `--bought 20000` lets the shop buy all.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from random import Random
from time import perf_counter
from typing import Final
from uuid import uuid4

from sqlalchemy import insert, select

from tests.bench.yardstick import yardstick_seconds
from tests.conftest import fill_with_shop
from tests.harness.form_fields import form_fields
from tests.harness.stores import SqliteStores, Stores, postgresql_cluster
from tests.harness.visiting import Visitor
from tests.harness.workbooks import Cell, workbook
from webapp.app import create_app
from webapp.persistence.catalogue.changes import add_supplier
from webapp.persistence.catalogue.records import MaterialRow, OfferRow, Supplier, SupplierRow
from webapp.persistence.database.database import Database, open_database
from webapp.running import utc_now
from webapp.settings import Settings

LINES: Final = 20_000
HEADING: Final = ("Code", "Description", "Size", "Unit", "Price")
NM: Final = 10**6


def rows(random: Random) -> list[list[Cell]]:
    """What the supplier sells: sheets, screws, tubes and fittings, each with its code."""
    found: list[list[Cell]] = [list(HEADING)]
    for place in range(LINES):
        thick = 3 + place % 27
        found.append([
            f"N-{place:05}", f"Plywood grade {place % 40} birch", f"2440 x 1220 x {thick}",
            "m2" if place % 2 else "ea", round(10 + random.random() * 80, 2),
        ])  # fmt: skip
    return found


def fill(database: Database, bought: int) -> None:
    """Materials with an offer each, every tenth without its supplier's code."""
    with database.writing() as session:
        add_supplier(session, Supplier("north", "North"), at=utc_now())
        supplier = session.scalars(select(SupplierRow.id)).one()
        every = LINES // bought
        session.execute(insert(MaterialRow), [
            {
                "code": f"m{place}", "name": f"Plywood {place}", "name_key": f"plywood {place}", "kind": "sheet",
                "search": f"plywood {place}", "sources": {}, "note": "", "retired": False, "tags": None,
                "values": {"thickness": str((3 + place * every % 27) * NM)}, "version": 1,
            }
            for place in range(bought)
        ])  # fmt: skip
        ids = {row.code: row.id for row in session.execute(select(MaterialRow.code, MaterialRow.id))}
        size = {"length": str(Fraction(2440 * NM)), "width": str(Fraction(1220 * NM))}
        session.execute(insert(OfferRow), [
            {
                "id": uuid4(), "material_id": ids[f"m{place}"], "supplier_id": supplier, "size": size,
                "supplier_code": f"N-{place * every:05}" if place % 10 else "", "lead_days": None,
                "minimum_order": None, "retired": False, "version": 1,
            }
            for place in range(bought)
        ])  # fmt: skip


def grown() -> float:
    """The most memory that this process ever held, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def measure(name: str, stores: Stores, folder: Path, bought: int, content: bytes, ending: str) -> None:
    """Print one line: the file sent, looked at and kept."""
    database = open_database(stores.copy("shop", fill_with_shop))
    fill(database, bought)
    visitor = Visitor(create_app(Settings(data_folder=folder, port=0), database))
    visitor.sign_in()
    visitor.get("/prices/import")
    before = grown()
    started = perf_counter()
    sent = visitor.send_form("/prices/import", {"supplier": "north"}, files={"file": (f"list.{ending}", content)})
    place = sent.headers["location"]
    columns = visitor.get(place).headers["location"]
    fields = form_fields(visitor.get(columns).text, "point")
    pointed = visitor.send_form(columns.partition("?")[0], fields)
    first = perf_counter() - started
    assert pointed.status_code == 303, pointed.text
    started = perf_counter()
    place = visitor.send_form(
        "/prices/import", {"supplier": "north"}, files={"file": (f"list.{ending}", content)}
    ).headers["location"]  # fmt: skip
    page = visitor.get(place).text
    shown = perf_counter() - started
    started = perf_counter()
    kept = visitor.send_form(f"{place.partition('?')[0]}/keep", form_fields(page, "keep-file"))
    taken = perf_counter() - started
    assert kept.status_code == 303, kept.text
    said = visitor.get(kept.headers["location"]).text.split('role="status"><span>')[1].split("</span>")[0]
    print(
        f"{name:12}{ending:>5}: pointed at {first:5.1f} s, preview {shown:5.1f} s, kept {taken:5.1f} s, "
        f"{grown() - before:4.0f} MB more; {said}", flush=True,
    )  # fmt: skip
    database.close()


def main(given: Sequence[str] | None = None) -> None:
    """Measure both files on both databases."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bought", type=int, default=600)
    bought = parser.parse_args(given).bought
    listed = rows(Random(20))
    text = "\r\n".join(";".join(str(cell).replace(".", ",") for cell in row) for row in listed).encode("cp1252")
    book = workbook({"Prices": listed})
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms; {LINES} lines, {bought} bought")
    with tempfile.TemporaryDirectory() as folder:
        sqlite = SqliteStores(Path(folder), Path(folder))
        for content, ending in ((text, "csv"), (book, "xlsx")):
            measure("SQLite", sqlite, Path(folder) / ending, bought, content, ending)
        with postgresql_cluster() as postgresql:
            for content, ending in ((text, "csv"), (book, "xlsx")):
                measure("PostgreSQL", postgresql, Path(folder) / f"p{ending}", bought, content, ending)


if __name__ == "__main__":
    main()
