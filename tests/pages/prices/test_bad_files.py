"""Files that nobody should send: each is said in a sentence, nothing is lost of what stands, nothing is half done."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Final
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZIP_LZMA, ZipFile

import pytest

from tests.harness.visiting import Visitor
from tests.harness.workbooks import LINKS, MAIN, PACKED, sheet_xml, workbook
from tests.pages.catalogue.plywood_case import offers_of, prices_of, sell_plywood
from webapp.costing.tables.sheets import Number, Sheet, SheetRow, find_heading, is_number
from webapp.costing.tables.table import TableRefused
from webapp.price_shelf import FOLDER, ShelvedFile, shelve, take_down
from webapp.sent_tables import read_table, read_text

ADDRESS: Final = "/prices/import"
HEAD: Final = ["Code", "Description", "Price"]


def bomb(size: int, *, name: str = "xl/worksheets/sheet1.xml", way: int = ZIP_DEFLATED) -> bytes:
    """A workbook of some kilobytes, one part of which unpacks to so many bytes."""
    written = BytesIO()
    with ZipFile(written, "w", way) as packed:
        book = f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets><sheet name="P" r:id="r1"/></sheets></workbook>'
        packed.writestr("xl/workbook.xml", book)
        link = '<Relationship Id="r1" Target="worksheets/sheet1.xml"/>'
        packed.writestr("xl/_rels/workbook.xml.rels", f'<Relationships xmlns="{PACKED}">{link}</Relationships>')
        with packed.open(name, "w") as part:
            part.write(b"<worksheet><sheetData>")
            for _ in range(size // 2**20):
                part.write(b" " * 2**20)
            part.write(b"</sheetData></worksheet>")
    return written.getvalue()


def declaring(entity: str) -> bytes:
    """A workbook whose sheet declares entities, as one that asks for files or swells does."""
    body = sheet_xml([HEAD, ["A", "b", 1]]).replace("?>", f"?><!DOCTYPE a [{entity}]>", 1)
    return workbook({"Prices": body})


BAD: Final[list[tuple[str, Callable[[], bytes], str]]] = [
    ("unpacks to a gigabyte", lambda: bomb(2**30), "The file unpacks to more than"),
    ("is packed by blocks", lambda: bomb(2**23, way=ZIP_BZIP2), "damaged"),
    ("is packed by chains", lambda: bomb(2**23, way=ZIP_LZMA), "damaged"),
    ("shares one text two million times", lambda: sharing(40_000), "hold more than 64 million signs"),
    ("ends its lines by returns", lambda: b"a;1\r" * 60_000, "The file has 60001 lines"),
    ("ends its lines by breaks of pages", lambda: b"a;1\f" * 60_000, "The file has 60001 lines"),
    ("swells by entities", lambda: declaring('<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">'), "declares entities"),
    ("asks for a file", lambda: declaring('<!ENTITY a SYSTEM "file:///etc/passwd">'), "declares entities"),
    ("breaks off", lambda: workbook({"P": [HEAD, ["A", "b", 1]]})[:-40], "damaged"),
    ("is no workbook", lambda: _packed("readme.txt"), "is no XLSX workbook"),
    ("is another workbook", lambda: _packed("content.xml"), "another form"),
    ("is an old workbook", lambda: b"\xd0\xcf\x11\xe0" + bytes(600), "old binary form, or has a password"),
    ("counts wrongly", lambda: workbook({"P": sheet_xml([HEAD]).replace('r="1"', 'r="one"')}), "damaged"),
    ("shares no such text", lambda: workbook({"P": _shared(7)}), "damaged"),
    ("is all hidden", lambda: workbook({"P": [HEAD]}, hidden=["P"]), "All that the file holds is hidden"),
    ("has too many lines", lambda: b"Code;Description;Price\n" + b"A;b;1\n" * 200_000, "The file has 200002 lines"),
    ("has no rows", lambda: b"\r\n\r\n", "The file is empty."),
    ("is no text", lambda: bytes(range(256)) * 8, "is no text and no XLSX"),
]  # fmt: skip


def sharing(times: int) -> bytes:
    """A workbook that holds one long text once and shows it in so many cells."""
    cell = '<c t="s"><v>0</v></c>'
    rows = "".join(f"<row>{cell * 50}</row>" for _ in range(times // 50))
    texts = f'<sst xmlns="{MAIN}"><si><t>{"x" * 2000}</t></si></sst>'.encode()
    body = f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'
    return workbook({"P": body}, further={"xl/sharedStrings.xml": texts})


def _packed(name: str) -> bytes:
    written = BytesIO()
    with ZipFile(written, "w") as packed:
        packed.writestr(name, "words")
    return written.getvalue()


def _shared(place: int) -> str:
    cell = f'<c r="A1" t="s"><v>{place}</v></c>'
    return f'<worksheet xmlns="{MAIN}"><sheetData><row r="1">{cell}</row></sheetData></worksheet>'


@pytest.fixture
def plywood(client: Visitor) -> Visitor:
    return sell_plywood(client)


def test_each_is_said_in_a_sentence_and_nothing_is_kept(plywood: Visitor) -> None:
    before = prices_of(plywood)
    for name, made, sentence in BAD:
        answer = plywood.send_form(ADDRESS, {"text": ""}, files={"file": ("list.xlsx", made())})
        assert answer.status_code == 422, name
        assert sentence in answer.text, name
    assert prices_of(plywood) == before


def test_what_unpacks_to_gigabytes_takes_no_memory() -> None:
    content = bomb(2**30)
    assert len(content) < 2 * 2**20
    tracemalloc.start()
    with pytest.raises(TableRefused):
        read_table(content)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 32 * 2**20


def test_a_file_of_one_column_is_pointed_at_and_refused_there(plywood: Visitor) -> None:
    (offer,) = offers_of(plywood)
    answer = plywood.send_form(ADDRESS, {"supplier": offer.offer.supplier, "text": "Only words\nand words\nand words"})
    columns = plywood.get(answer.headers["location"]).headers["location"]
    assert "Only words" in plywood.get(columns).text
    told = plywood.send_form(columns.partition("?")[0], {"supplier": offer.offer.supplier, "column.0": "words"})
    assert told.status_code == 422
    assert "No column is pointed at as the price." in told.text


def test_a_supplier_with_no_offer_left_is_said(plywood: Visitor) -> None:
    (offer,) = offers_of(plywood)
    place = f"/materials/birch_plywood_3_4/offers/{offer.offer.id}"
    assert plywood.send_form(f"{place}/retire", {"version": str(offer.version)}).status_code == 303
    supplier = offer.offer.supplier
    answer = plywood.send_form(ADDRESS, {"supplier": supplier, "text": "Code\tText\tPrice\nIT-34\tBirch\t99\n"})
    columns = plywood.get(answer.headers["location"]).headers["location"].partition("?")[0]
    fields = {"supplier": supplier, "column.0": "article", "column.1": "words", "column.2": "price"}
    preview = plywood.get(plywood.send_form(columns, fields).headers["location"]).text
    assert f"The shop buys nothing from {supplier} now" in preview
    assert "1 about something it doesn" in preview


def test_a_file_that_is_gone_from_beside_the_store_is_said(plywood: Visitor) -> None:
    for key in ("0" * 40, "nothing", "..%2f..%2fetc"):
        answer = plywood.get(f"{ADDRESS}/{key}")
        assert answer.status_code == 404, key
    assert "no longer kept here. Send it in once more." in plywood.get(f"{ADDRESS}/{'0' * 40}").text


def test_cells_are_read_as_what_they_are() -> None:
    content = workbook(
        {"P": [["a", "b"], [12.349999999999999, (45000, "day")], [1e-7, 3.0], [("=A2", 5.5), ("=A3", None)]]}
    )
    (sheet,) = read_table(content).sheets
    cells = [row.cells for row in sheet.rows]
    # Day 45000 of a workbook is 15 March 2023, since day 1 is 1 January 1900 and 1900 counts a 29 February.
    assert cells == [("a", "b"), ("12.35", "2023-03-15"), ("0.0000001", "3"), ("5.5", "=")]
    assert isinstance(cells[1][0], Number)
    assert sheet.valueless == ("B4",)
    said = read_table(workbook({"P": [["a"], ["b"]]}, further={"xl/vbaProject.bin": b"x"})).said
    assert said == ("Its macros were not looked at.",)


def test_what_is_packed_as_no_workbook_is_takes_no_memory() -> None:
    for way in (ZIP_BZIP2, ZIP_LZMA):
        content = bomb(2**25, way=way)
        tracemalloc.start()
        with pytest.raises(TableRefused):
            read_table(content)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert most < 16 * 2**20


def test_a_file_goes_on_the_shelf_line_by_line(tmp_path: Path) -> None:
    rows = tuple(SheetRow(at, ("x" * 2000, Number("1.50"))) for at in range(1, 8_001))
    file = ShelvedFile("list", (Sheet("P", rows),), ("said",))
    tracemalloc.start()
    key = shelve(tmp_path, file)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 2**20, "the 16 MB of the file were never one text"
    (kept,) = (tmp_path / FOLDER).iterdir()
    assert kept.stat().st_size > 16 * 10**6
    assert take_down(tmp_path, key) == file


def test_a_row_is_cut_where_a_workbook_is_and_that_is_said() -> None:
    for read in (
        read_text(";".join(["a"] * 100 + ["b"]) + "\n"), read_table(workbook({"P": _wide(101)})),
        read_table(";".join(["\u00e9"] * 101).encode("cp1252")),
    ):  # fmt: skip
        assert len(read.sheets[0].rows[0].cells) == 100
        assert "What stands behind its column 100 was not read." in read.said
    for read in (read_text(";".join(["a"] * 100) + "\n"), read_table(workbook({"P": _wide(100)}))):
        assert len(read.sheets[0].rows[0].cells) == 100
        assert read.said == ()


def _wide(cells: int) -> str:
    row = f'<row>{"<c><v>1</v></c>" * cells}</row>'
    return f'<worksheet xmlns="{MAIN}"><sheetData>{row}</sheetData></worksheet>'


def test_a_row_is_looked_through_once_however_many_columns_there_are() -> None:
    class Told(str):
        """A cell that counts how often it is looked at."""

        __slots__ = ()
        looked = 0

        def strip(self, *signs: str | None) -> str:
            Told.looked += 1
            return str.strip(self, *signs)

    rows = [SheetRow(at, tuple(Told("x") for _ in range(1000))) for at in (1, 2, 3)]
    assert find_heading(rows) >= 0
    assert Told.looked < 3 * 1000 * 12


def test_a_number_is_told_at_once_however_many_spaces_it_holds() -> None:
    assert not is_number(f"1{' ' * 100_000}x")
    assert is_number("1  250.00   EUR")
