"""Tables that leave the house: as filtered, alike as CSV and XLSX, no cell a formula, amounts for owners alone; and
materials taken back from them. Workbooks are read by openpyxl, which had no part in writing them."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from html import unescape
from io import BytesIO, StringIO
from typing import Any, Final

import pytest
from hypothesis import given
from hypothesis import strategies as some
from openpyxl import load_workbook

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.harness.workbooks import Cell as WorkbookCell
from tests.harness.workbooks import workbook
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.tables.given import Cell, Given, as_csv
from webapp.given_workbook import as_workbook
from webapp.opening import DEMO_HELPER_NAME
from webapp.persistence.buying_lists.records import page_of_lists
from webapp.persistence.catalogue.records import find_materials, load_material
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.rack.records import find_offcuts
from webapp.persistence.settings.shop import load_shop
from webapp.standing import estimate_stored

COMMA: Final = {"decimal_sign": ",", "thousands_sign": "."}
TABLES: Final = (
    "/materials", "/prices/export", "/prices/example", "/rack", "/jobs", "/jobs/2/costs", "/jobs/1/bought", "/lists/1",
    "/receipts",
)  # fmt: skip


def csv_rows(content: bytes, delimiter: str = ",") -> list[list[str]]:
    assert content.startswith(b"\xef\xbb\xbf"), "a spreadsheet would not take it for UTF-8"
    return list(csv.reader(StringIO(content.decode("utf-8-sig")), delimiter=delimiter))


def workbook_rows(content: bytes) -> list[list[Any]]:
    sheet = load_workbook(BytesIO(content)).worksheets[0]
    assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    return [[cell.value for cell in row] for row in sheet.iter_rows()]


def as_text(cell: Any) -> str:
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, float):
        return f"{Decimal(str(cell)).normalize():f}"
    return "" if cell is None else str(cell)


def plain(text: str) -> str:
    """A cell of a CSV as a number has it, where it is one: 12.50 and 12.5 are the same."""
    bare = text.removeprefix("'") if text[1:2] in "=+-@" else text
    try:
        return f"{Decimal(bare).normalize():f}" if bare and "_" not in bare else bare
    except ArithmeticError:
        return bare


@pytest.fixture
def filled(demo_client: Visitor) -> Visitor:
    """The demo shop with two offcuts on its rack and a receipt."""
    for length, place in (("700", "Bay 3"), ("612.5", "=Attic")):
        fields = {"material": "birch_plywood_18", "length": length, "width": "300", "count": "2", "place": place}
        assert demo_client.send_form("/rack/new", fields).status_code == 303
    receipt = {
        "supplier": "Brasslow Hardware", "day": "", "total": "12.50", "tax": "0.50", "hold_tax": "no", "whose": "job:4",
        "line.1.what": "Hinges", "line.1.count": "2", "line.1.paid": "12", "line.1.whose": "job:4",
    }  # fmt: skip
    answer = demo_client.send_form("/receipts/new", receipt)
    assert answer.status_code == 303, answer.text
    return demo_client


@pytest.mark.parametrize("address", TABLES)
def test_a_table_is_the_same_as_csv_and_as_a_workbook(filled: Visitor, address: str) -> None:
    texts, cells = (filled.get(f"{address}.{form}") for form in ("csv", "xlsx"))
    assert (texts.status_code, cells.status_code) == (200, 200)
    assert 'attachment; filename="' in texts.headers["content-disposition"]
    written, kept = csv_rows(texts.content), workbook_rows(cells.content)
    assert len(written) > 1
    assert [[plain(as_text(one)) for one in row] for row in kept] == [[plain(one) for one in row] for row in written]
    assert filled.get(f"{address}.pdf").status_code == 404
    # The page that shows it leads to it.
    if not address.startswith(("/prices/", "/jobs/2")):
        page = filled.get(address.removesuffix(".csv")).text
        assert f'href="{address}.csv"' in page


def test_a_table_holds_what_its_page_was_narrowed_to(demo_client: Visitor) -> None:
    page = demo_client.get("/materials", params={"words": "plywood", "kind": "sheet"}).text
    assert 'href="/materials.csv?words=plywood&amp;kind=sheet"' in page
    rows = csv_rows(demo_client.get("/materials.csv?words=plywood&kind=sheet").content)
    with demo_client.program.database.reading() as session:
        every = find_materials(session, size=500).entries
    names = [one.material.name for one in every if one.material.kind == "sheet"]
    wanted = [name for name in names if "plywood" in name.lower()]
    assert [row[1] for row in rows[1:]] == wanted
    assert "thickness (mm)" in rows[0]
    offered = csv_rows(demo_client.get("/prices/export.csv?words=plywood&kind=sheet").content)
    assert {row[0] for row in offered[1:]} == set(wanted)
    jobs = csv_rows(demo_client.get("/jobs.csv?state=ordered&sort=number").content)
    assert jobs[1:]
    assert {row[3] for row in jobs[1:]} == {"ordered"}
    assert [int(row[0]) for row in jobs[1:]] == sorted(int(row[0]) for row in jobs[1:])


def test_numbers_have_the_shops_decimal_sign_and_come_back_as_they_went(demo_client: Visitor) -> None:
    assert demo_client.send_form("/settings/shop", COMMA).status_code == 303
    content = demo_client.get("/prices/export.csv").content
    rows = csv_rows(content, ";")
    assert all("." not in row[6] for row in rows[1:])
    assert any("," in row[6] for row in rows[1:])
    for name, sent in (("prices.csv", content), ("prices.xlsx", demo_client.get("/prices/export.xlsx").content)):
        answer = demo_client.send_form("/prices/import", files={"file": (name, sent)})
        seen = demo_client.get(answer.headers["location"]).text
        assert "Nothing of it would change a price" in seen or 'id="changed"' not in seen, name


def test_the_costs_of_a_job_add_up_to_what_it_asks_for(demo_client: Visitor) -> None:
    rows = csv_rows(demo_client.get("/jobs/2/costs.csv").content)[1:]
    here = demo_client.program
    with here.database.reading() as session:
        job, shop = load_job_by_number(session, 2), load_shop(session)
        found = estimate_stored(session, job, job.document, shop, shop.today(here.now())).estimate
    whole = {row[1]: Decimal(row[4]) for row in rows if row[0] == "The whole job"}
    assert whole["To pay"] == Decimal(f"{float(found.totals.total.value):.2f}")
    of_line: dict[str, list[tuple[str, Decimal]]] = {}
    for row in rows:
        if row[0].startswith("Price: "):
            of_line.setdefault(row[0], []).append((row[1], Decimal(row[4])))
    assert of_line
    for stretches in of_line.values():
        names = [name for name, _ in stretches]
        before = stretches[: names.index("Price")]
        assert abs(sum(amount for _, amount in before) - dict(stretches)["Price"]) <= Decimal("0.01") * len(before)


@pytest.mark.parametrize("address", ["/jobs.csv", "/lists/1.csv", "/jobs/1/bought.csv", "/rack.csv", "/materials.csv"])
def test_a_helper_is_given_no_money(filled: Visitor, address: str) -> None:
    filled.sign_in(DEMO_HELPER_NAME)
    rows = csv_rows(filled.get(address).content)
    assert rows[1:]
    assert not [head for head in rows[0] if "USD" in head or "pay" in head.lower() or "paid" in head.lower()]
    for closed in ("/jobs/2/costs.csv", "/receipts.csv", "/prices/export.csv"):
        assert filled.get(closed).status_code == 403


CELLS: Final = some.one_of(
    some.none(),
    some.text(some.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Co", "Cn")), max_size=40),
    some.sampled_from(["=1+1", "+49", "-5", "@here", '=HYPERLINK("x")', "https://example.org", "00123", "3/4"]),
    some.integers(-(10**9), 10**9),
    some.decimals(-(10**6), 10**6, places=2),
    some.dates(date(1900, 3, 1), date(2100, 1, 1)),
)


@given(some.lists(some.tuples(CELLS, CELLS, CELLS), max_size=8), some.sampled_from([".", ","]))
def test_any_cells_are_written_as_they_are(rows: Sequence[tuple[Cell, ...]], decimal: Any) -> None:
    table = Given("Any", ("a", "=b", "c"), rows)
    with writing_as(Manner(decimal, "." if decimal == "," else ",")):
        text = "".join(as_csv(table))
    read = list(csv.reader(StringIO(text, newline=""), delimiter=";" if decimal == "," else ","))
    assert read[0] == ["a", "'=b", "c"]
    held = workbook_rows(as_workbook(table))
    assert held[0] == ["a", "=b", "c"]
    for row, texts, cells in zip(rows, read[1:], [*held[1:], *[[None] * 3] * 8], strict=False):
        for cell, told, kept in zip(row, texts, cells, strict=True):
            match cell:
                case None | "":
                    assert (told, kept) == ("", None)
                case str():
                    assert told in (cell, f"'{cell}")
                    assert not told.startswith(("=", "+", "-", "@"))
                    assert kept == cell
                case date():
                    assert told == cell.isoformat()
                    assert kept == datetime(cell.year, cell.month, cell.day)
                case _:
                    assert Decimal(told.replace(",", ".")) == cell
                    assert Decimal(str(kept)) == cell


def test_materials_come_back_as_they_went_and_changes_only_where_they_may(demo_client: Visitor) -> None:
    for name in ("materials.csv", "materials.xlsx"):
        sent = demo_client.get(f"/{name}").content
        page = demo_client.send_form("/materials/paste", files={"file": (name, sent)}).text
        with demo_client.program.database.reading() as session:
            count = find_materials(session, size=1).total
        assert f"{count} materials are there as the rows say." in page, name
        assert "Not taken" not in page
    rows = csv_rows(demo_client.get("/materials.csv?words=birch_plywood_18").content)
    at = {head: place for place, head in enumerate(rows[0])}
    with demo_client.program.database.reading() as session:
        before = load_material(session, "birch_plywood_18").material
    assert before.sources.get("density")
    rows[1][at["density (kg/m³)"]], rows[1][at["thinnest (mm)"]] = "701", ""
    text = "\n".join("\t".join(row) for row in rows)
    asked = demo_client.send_form("/materials/paste", {"text": text})
    assert asked.status_code == 422
    assert "would be 701" in asked.text
    assert "Thinnest it may come: 17.5 would be nothing" in asked.text or "would be nothing" in asked.text
    with demo_client.program.database.reading() as session:
        assert load_material(session, "birch_plywood_18").material == before
    left = form_fields(asked.text, "paste")["text"]
    page = demo_client.send_form("/materials/paste", {"text": left, "change": "yes"}).text
    assert "Changed: 1 material." in page
    with demo_client.program.database.reading() as session:
        after = load_material(session, "birch_plywood_18").material
    assert after.values["density"] == 701
    assert "thinnest" not in after.values
    assert "density" not in after.sources, "where the former density came from is no source of this one"
    kept = set(before.values) - {"density", "thinnest"}
    assert {name: after.values[name] for name in kept} == {name: before.values[name] for name in kept}


def test_a_row_that_is_there_twice_or_of_another_kind_is_named(demo_client: Visitor) -> None:
    rows = ("code\tname\tkind\tthickness", "odd\tOdd sheet\tsheet\t5", "odd\tOdder sheet\tsheet\t6",
            "birch_plywood_18\tx\tliquid\t")  # fmt: skip
    said = unescape(demo_client.send_form("/materials/paste", {"text": "\n".join(rows), "change": "yes"}).text)
    assert "the code “odd” stands in an earlier row too" in said
    assert "is a sheet, not a liquid; a kind can't be changed here" in said


def test_a_list_says_how_its_lines_stand(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        (stored, *_) = page_of_lists(session).entries
    rows = csv_rows(demo_client.get(f"/lists/{stored.head.number}.csv").content)
    assert len(rows) - 1 >= len(stored.makings[-1].lines)
    stands = {row[5] for row in rows[1:]}
    assert {"loaded", "not yet had"} <= stands


def test_whether_a_piece_is_whole_goes_out_and_comes_back(filled: Visitor) -> None:
    kept = {"material": "birch_plywood_18", "length": "2440", "width": "1220", "count": "1", "whole": "yes"}
    assert filled.send_form("/rack/new", kept).status_code == 303
    head, *rows = csv_rows(filled.get("/rack.csv").content)
    at = {name: place for place, name in enumerate(head)}
    assert sorted(row[at["whole"]] for row in rows) == ["no", "no", "yes"]
    assert "3 offcuts stand there as the rows say." in filled.send_form(
        "/rack/paste", files={"file": ("rack.csv", filled.get("/rack.csv").content)}
    ).text  # fmt: skip
    (whole,) = [row for row in rows if row[at["whole"]] == "yes"]
    fresh = ["" if name == "offcut" else cell for name, cell in zip(head, whole, strict=True)]
    otherwise = ["no" if name == "whole" else cell for name, cell in zip(head, whole, strict=True)]
    odd = ["half" if name == "whole" else cell for name, cell in zip(head, fresh, strict=True)]
    text = "\n".join("\t".join(row) for row in (head, fresh, otherwise, odd))
    said = unescape(filled.send_form("/rack/paste", {"text": text}).text)
    assert "Put on the rack: 1 offcut." in said
    assert "Whole, as it was bought: yes would be nothing" in said
    assert "whole “half” should be yes or no" in said
    after = csv_rows(filled.get("/rack.csv").content)[1:]
    assert sorted(row[at["whole"]] for row in after) == ["no", "no", "yes", "yes"]


def test_the_rack_comes_back_as_it_went_and_is_put_right_from_a_table(filled: Visitor) -> None:
    for name in ("rack.csv", "rack.xlsx"):
        page = filled.send_form("/rack/paste", files={"file": (name, filled.get(f"/{name}").content)}).text
        assert "2 offcuts stand there as the rows say." in page, name
    head, *rows = csv_rows(filled.get("/rack.csv").content)
    at = {name: place for place, name in enumerate(head)}
    assert sorted(row[at["length (mm)"]] for row in rows) == ["612.5", "700"]
    rows[0][at["count"]], rows[1][at["count"]] = "0", "5"
    rows[1][at["place"]] = "Bay 4"
    rows += [["", "", "Birch-faced plywood 18 mm", "400", "250", "", "Floor", "", ""],
             ["", "hard_to_find", "", "400", "250", "1", "", "", ""],
             ["", "birch_plywood_18", "", "30 m", "250", "1", "", "", ""],
             ["1234", "birch_plywood_18", "", "300", "250", "1", "", "", ""]]  # fmt: skip
    text = "\n".join("\t".join(row) for row in (head, *rows))
    first = unescape(filled.send_form("/rack/paste", {"text": text}).text)
    for sentence in (
        "Put on the rack: 1 offcut.", "How many: 2 would be 0", "Where it stands: ", "no material is called so",
        "is longer than 20 m", "offcut “1234” is none of ours",
    ):  # fmt: skip
        assert sentence in first, sentence
    left = form_fields(first, "paste")["text"]
    assert "Put right: 2 offcuts." in filled.send_form("/rack/paste", {"text": left, "change": "yes"}).text
    after = csv_rows(filled.get("/rack.csv").content)[1:]
    assert sorted((row[at["length (mm)"]], row[at["count"]], row[at["place"]]) for row in after) == sorted(
        [(rows[1][at["length (mm)"]], "5", "Bay 4"), ("400", "1", "Floor")]
    )
    gone = csv_rows(filled.get("/rack.csv?gone=yes").content)[1:]
    assert [row[at["offcut"]] for row in gone] == [rows[0][at["offcut"]]]
    assert "counted" in filled.get(f"/rack/{rows[1][at['offcut']]}").text


def test_last_weeks_table_sets_nothing_back_that_was_changed_since(filled: Visitor) -> None:
    materials, rack = (csv_rows(filled.get(f"/{name}.csv").content) for name in ("materials", "rack"))
    material, offcut = materials[0].index("version"), rack[0].index("offcut")
    own = next(row for row in materials[1:] if row[materials[0].index("code")] == "birch_plywood_18")
    # Since then the material has another note, and one of the offcuts was used.
    newer = [materials[0], [*own]]
    newer[1][materials[0].index("note")] = "Asked for again in spring"
    text = "\n".join("\t".join(row) for row in newer)
    assert "Changed: 1 material." in filled.send_form("/materials/paste", {"text": text, "change": "yes"}).text
    key, count = rack[1][offcut], rack[0].index("count")
    page = filled.get(f"/rack/{key}").text
    version = re.search(r'name="version" value="(\d+)"', page)
    assert version is not None
    taken = {"what": "taken", "number": "1", "job": "", "note": "", "version": version[1]}
    assert filled.send_form(f"/rack/{key}/move", taken).status_code == 303
    left = int(rack[1][count]) - 1
    for address, table, words in (("/materials/paste", materials, "Note: "), ("/rack/paste", rack, "How many: ")):
        brought = {"text": "\n".join("\t".join(row) for row in table), "change": "yes"}
        said = unescape(filled.send_form(address, brought).text)
        assert said.count("it was changed since this table went out") == 1, address
        assert words in said
    head, kept = csv_rows(filled.get("/materials.csv?words=birch_plywood_18").content)
    assert kept[head.index("note")] == "Asked for again in spring"
    now = {row[offcut]: row[count] for row in csv_rows(filled.get("/rack.csv").content)[1:]}
    assert int(now.get(key, "0")) == left
    # Whoever means it says so.
    own[material] = ""
    meant = {"text": "\n".join("\t".join(row) for row in (materials[0], own)), "change": "yes"}
    assert "Changed: 1 material." in filled.send_form("/materials/paste", meant).text


def test_rows_beyond_the_most_are_not_taken_and_a_double_press_puts_nothing_there_twice(filled: Visitor) -> None:
    head = "material\tlength\twidth\tcount"
    rows = [head, *(f"birch_plywood_18\t{300 + number}\t200\t1" for number in range(2_003))]
    page = filled.send_form("/rack/paste", {"text": "\n".join(rows)}).text
    assert "Put on the rack: 2,000 offcuts." in page or "Put on the rack: 2000 offcuts." in page
    assert "Row 2002: 2000 rows at most" in page
    assert form_fields(page, "paste")["text"].count("\n") == 3
    with filled.program.database.reading() as session:
        assert find_offcuts(session).total == 2_002
    form = dict(form_fields(filled.get("/rack/paste").text, "paste"))
    sent = {**form, "text": f"{head}\nbirch_plywood_18\t900\t200\t1\nnothing\t1\t1\t1"}
    assert filled.post("/rack/paste", data=sent).status_code == 200
    assert filled.post("/rack/paste", data=sent).headers["location"] == "/rack"
    with filled.program.database.reading() as session:
        assert find_offcuts(session).total == 2_003


def test_marks_and_numbers_of_a_workbook_come_in_as_they_stand(demo_client: Visitor) -> None:
    """A ditto mark is no quote, and a number of a workbook has no thousands, whatever the shop writes."""
    assert demo_client.send_form("/settings/shop", COMMA).status_code == 303
    rows: list[list[WorkbookCell]] = [
        ["name", "kind", "thickness (mm)", "note"],
        ["Sheet A", "sheet", 3.175, '"'],
        ["Sheet B", "sheet", 12.0, "0.5 kg"],
        ['"Sapele" C', "sheet", 9.0, '"'],
    ]
    page = demo_client.send_form("/materials/paste", files={"file": ("sheets.xlsx", workbook({"One": rows}))}).text
    assert "Kept: 3 materials." in page
    with demo_client.program.database.reading() as session:
        first, second, third = (load_material(session, code).material for code in ("sheet_a", "sheet_b", "sapele_c"))
    assert (first.values["thickness"], first.note) == (Fraction(3_175_000), '"')
    assert (second.values["thickness"], second.note) == (Fraction(12_000_000), "0.5 kg")
    assert third.name == '"Sapele" C'


def test_odd_addresses_are_answered(demo_client: Visitor) -> None:
    assert demo_client.get("/jobs", params={"customer": "9" * 5_000}).status_code in (200, 404)
    assert demo_client.get("/jobs", params={"customer": "9" * 20}).status_code == 200
    for address in ("/earlier-jobs.csv", "/materials.csv", "/rack.csv", "/materials"):
        assert demo_client.get(address, params={"words": "ab " * 1_100}).status_code == 200
