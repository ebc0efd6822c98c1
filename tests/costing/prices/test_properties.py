"""Whatever a table holds: no row is lost, none breaks the reading, and what is written is read as the same."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final
from xml.sax.saxutils import escape

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from tests.harness.workbooks import MAIN, Cell, workbook
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.prices.file import Telling, read_price_file
from webapp.costing.prices.judging import Answers, Bench, judge_file, match_lines
from webapp.costing.prices.layout import ROLES, Layout, guessed, layout_form, read_layout
from webapp.costing.prices.matching import Offers
from webapp.costing.prices.units import CHOICES, basis_of
from webapp.costing.tables.sheets import Number, Sheet, SheetRow
from webapp.price_shelf import ShelvedFile, shelve, take_down
from webapp.sent_tables import decode, read_table

TODAY: Final = date(2026, 11, 30)
MM: Final = 10**6
SIZES: Final = {"length": Fraction(2440 * MM), "width": Fraction(1220 * MM)}
MATERIALS: Final = {
    "ply": Material("ply", "Birch plywood", Kind.SHEET, {"thickness": Fraction(18 * MM)}),
    "hinge": Material("hinge", "Cabinet hinge", Kind.PIECE),
}
OFFERS: Final = {
    "ply": (Offer("o1", "ply", "yard", SIZES, "P-18"),),
    "hinge": (Offer("o2", "hinge", "yard", {"count": Fraction(1)}, "H1"),),
}
PRICES: Final = {"o1": (PriceSeen("o1", Decimal(64), "EUR", date(2026, 10, 1), "typed"),)}
CATALOGUE: Final = Catalogue(MATERIALS, OFFERS, PRICES, "EUR", TODAY)
CELLS: Final = st.one_of(
    st.sampled_from([
        "P-18", "p 18", "H1", "Birch plywood 2440 x 1220 x 18", "64,00", "1.234,50", "12.5", "1,234", "€ 9", "9 USD",
        "100 St", "m2", "kg", "-4", "0", "free", "=", "12,-", "1'200.00", "31.12.2027", "50 %", "yes", "nothing", "",
    ]),
    st.text(max_size=12),
    st.decimals(0, 10**6, places=2).map(lambda held: Number(f"{held:f}")),
)  # fmt: skip
ROWS: Final = st.lists(st.lists(CELLS, min_size=1, max_size=6), max_size=14)


QUOTES: Final = {'"': "&quot;"}
BASES: Final = st.sampled_from([key for key, _ in CHOICES])


@given(rows=ROWS, roles=st.permutations([role for role, _ in ROLES]), basis=BASES)
@examples(300)
def test_every_row_ends_somewhere(rows: list[list[str]], roles: list[str], basis: str) -> None:
    columns = ("price", *(role for role in roles if role != "price"))[:6]
    held = [row for row in rows if any(cell.strip() for cell in row)]
    sheet = Sheet("", tuple(SheetRow(number, tuple(row)) for number, row in enumerate(held, 1)))
    if not held or max(map(len, held)) != 6:
        return
    layout = Layout(("",) * 6, columns, basis_of(basis))
    file = read_price_file((sheet,), layout, Telling("EUR", 2, TODAY))
    offers = Offers(CATALOGUE, ["yard"], "yard", "metric")
    matches = match_lines(file.lines, offers, own=False)
    bench = Bench(lambda _: CATALOGUE, TODAY, Fraction(15, 100), Fraction(0), 2, "metric", "owner", "price file",
                  frozenset(), frozenset)  # fmt: skip
    everything = Answers(frozenset({"jump", "pack", "twice", "words"}), frozenset(range(99)))
    for answers in (Answers(), everything):
        judged = judge_file(file, matches, offers, bench, answers, whole=True)
        assert len(judged.lines) + judged.others + judged.titles == len(held)
        assert all(line.sentence or line.reason or line.seen is not None for line in judged.lines)
        assert all(seen.amount > 0 for seen in judged.keeps)
    left = Answers(everything.groups, everything.lines, frozenset(range(99)))
    assert judge_file(file, matches, offers, bench, left, whole=True).keeps == ()


@given(rows=ROWS)
@examples(200)
def test_whatever_is_sent_is_guessed_at(rows: list[list[str]]) -> None:
    sheet = Sheet("", tuple(SheetRow(number, tuple(row)) for number, row in enumerate(rows, 1) if any(row)))
    columns, headed = guessed(sheet)
    assert len(columns) == len(headed.headings)
    assert all(columns.count(role) <= 1 for role, _ in ROLES if role != "words")


@given(rows=ROWS, name=st.text(max_size=20), hidden=st.booleans())
@examples(60)
def test_a_file_beside_the_store_is_what_was_put_there(rows: list[list[str]], name: str, hidden: bool) -> None:
    sheet = Sheet(name, tuple(SheetRow(number, tuple(row)) for number, row in enumerate(rows, 1)), hidden, ("A1",))
    file = ShelvedFile(name, (sheet, Sheet("2", ())), ("said",), whole=True)
    with TemporaryDirectory() as folder:
        key = shelve(Path(folder), file)
        taken = take_down(Path(folder), key)
        assert taken == file
        cells = [cell for row in taken.sheets[0].rows for cell in row.cells]
        put = [cell for row in rows for cell in row]
        assert [isinstance(cell, Number) for cell in cells] == [isinstance(cell, Number) for cell in put]
        assert shelve(Path(folder), file) == key


WORDS: Final = st.text("abcdefgh ABC äöüéèßñç", min_size=1, max_size=14).map(str.strip).filter(bool)


@given(rows=st.lists(st.lists(st.one_of(WORDS, st.integers(0, 10**6)), min_size=1, max_size=5), min_size=1, max_size=9))
@examples(60)
def test_a_workbook_is_read_as_it_was_written(rows: list[list[str | int]]) -> None:
    (sheet,) = read_table(workbook({"P": rows})).sheets
    assert [list(row.cells) for row in sheet.rows] == [[str(cell) for cell in row] for row in rows]


#: Words as lists of prices have them, in languages that each encoding was made for: common practice.
WESTERN: Final = ["Türblatt weiß", "Sperrholz für Möbel", "Contreplaqué bouleau", "Tornillo pequeño", "Fräser groß"]
CENTRAL: Final = ["Sklejka żółta świeża", "Dąb łączony", "Śruba ćwierć", "Překližka březová", "Fűrészáru"]


def listed(words: list[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(words), min_size=2)


@given(
    encoded=st.one_of(
        st.tuples(listed(WESTERN), st.sampled_from(["cp1252", "cp850", "utf-8", "utf-16"])),
        st.tuples(listed(CENTRAL), st.sampled_from(["cp1250", "cp852", "utf-8-sig"])),
    )
)
@examples(150)
def test_letters_are_read_in_the_encoding_they_were_written_in(encoded: tuple[list[str], str]) -> None:
    words, encoding = encoded
    text = "\r\n".join(f"{place};{word};12,50" for place, word in enumerate(words))
    assert decode(text.encode(encoding))[0] == text


def test_a_layout_is_kept_as_it_was_told() -> None:
    told = (basis_of("100 piece"), True, None, Fraction(25, 2))
    layout = Layout(("a", ""), ("price", "words"), *told, decimal=",", units={"bd": "m2"})
    assert read_layout(layout_form(layout)) == layout


def test_a_reckoned_number_of_a_workbook_is_rounded_to_what_a_price_holds() -> None:
    cells: list[list[Cell]] = [["Code", "Price"], ["H1", 1050.42016807], ["H2", 12.5]]
    (sheet,) = read_table(workbook({"P": cells})).sheets
    layout = Layout(("code", "price"), ("article", "price"))
    lines = read_price_file((sheet,), layout, Telling("EUR", 2, TODAY)).lines
    assert [line.price and line.price.amount for line in lines] == [Decimal("1050.420168"), Decimal("12.5")]


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("[h]:mm", "31:30"), ("[HH]:MM:SS;@", "31:30"), ("[$-409]h:mm AM/PM", "31:30"), ("[m]", "31:30"),
        ("yyyy-mm-dd hh:mm", "1899-12-31"), ("[$-407]d. mmmm", "1899-12-31"), ("0.00", "1.3125"),
        ('0.00" h"', "1.3125"), ("[Red]0.00", "1.3125"), ("#,##0.00_h", "1.3125"), ("0.0\\s", "1.3125"),
    ],
)  # fmt: skip
def test_a_format_tells_times_from_days_and_from_numbers(code: str, said: str) -> None:
    styles = (
        f'<styleSheet xmlns="{MAIN}"><numFmts count="1"><numFmt numFmtId="164" formatCode="{escape(code, QUOTES)}"/>'
        '</numFmts><cellXfs count="1"><xf numFmtId="164"/></cellXfs></styleSheet>'
    )
    (sheet,) = read_table(workbook({"P": [["Hours"], [1.3125]]}, further={"xl/styles.xml": styles.encode()})).sheets
    assert sheet.rows[1].cells == (said,)
