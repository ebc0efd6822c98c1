"""A shop's own sheet of materials with prices: each row a material with what is sold of it and its price, or named."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from html import unescape

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.harness.workbooks import Cell, workbook
from webapp.costing.catalogue.materials import current_price
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue, load_material
from webapp.running import utc_now

ADDRESS = "/materials/bring"
SHEET = (
    "Our materials;;;;;\n"
    "Description;Size;Supplier;Art.No.;Price;per\n"
    "Beech plywood;2500 x 1250 x 15 mm;North Fell Timber;NF-15;71,50;sheet\n"
    "Ash, square edged;27 mm;North Fell Timber;;6,20;board foot\n"
    "Screw 4 x 55 mm;;Brasslow Hardware;BR-455;4,80;100\n"
    "Hard wax oil 750 ml;;Quillmere Finishes;;31,90;\n"
    "Birch-faced plywood 18 mm;;Brasslow Hardware;;80;\n"
    "Oddment;3 mm;;;5;bundle\n"
    "Nothing asked;;Brasslow Hardware;;;\n"
)


def words_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def sent(visitor: Visitor, content: bytes = SHEET.encode("cp1252"), name: str = "stock.csv") -> str:
    answer = visitor.send_form(ADDRESS, files={"file": (name, content)})
    assert answer.status_code == 303, words_of(answer.text)
    return answer.headers["location"]


@pytest.mark.both
def test_each_row_becomes_a_material_with_its_price_or_says_why_not(demo_client: Visitor) -> None:
    place = sent(demo_client)
    page = demo_client.get(place).text
    said = words_of(page)
    assert "What would be kept 4 materials; 2 rows to put right" in said, said
    assert "There is a material of this name already" in said
    assert "“bundle”" in said
    assert "Nothing asked Brasslow Hardware It tells no price." in said
    fields = dict(form_fields(page, "point"))
    kinds = {fields[name.replace("kind", "name")]: kind for name, kind in fields.items() if name.startswith("kind.")}
    assert kinds["Beech plywood 2500 x 1250 x 15 mm"] == "sheet"
    assert kinds["Ash, square edged 27 mm"] == "board"
    assert kinds["Screw 4 x 55 mm"] == "fastener"
    assert kinds["Hard wax oil 750 ml"] == "liquid"
    answer = demo_client.send_form(place, {**fields, "act": "keep"})
    assert answer.status_code == 303, words_of(answer.text)
    assert "4 materials came along." in words_of(demo_client.get(answer.headers["location"]).text)
    with demo_client.program.database.reading() as session:
        catalogue = load_catalogue(session, utc_now().date())
        plywood = load_material(session, "beech_plywood_2500_x_1250_x_15_mm").material
        names = {one.name: one.code for one in list_suppliers(session)}
    assert plywood.values == {"thickness": Fraction(15_000_000)}
    assert plywood.sources == {"thickness": "the shop's own sheet"}
    (offer,) = catalogue.offers_of(plywood.code)
    assert (offer.supplier, offer.supplier_code) == (names["North Fell Timber"], "NF-15")
    assert offer.size == {"length": Fraction(2_500_000_000), "width": Fraction(1_250_000_000)}
    price = current_price(catalogue, offer.id)
    assert price is not None
    assert (price.breaks[0].amount, price.breaks[0].with_tax) == (Decimal("71.50"), False)
    (screws,) = catalogue.offers_of("screw_4_x_55_mm")
    assert screws.size["count"] == 100
    paid = current_price(catalogue, screws.id)
    assert paid is not None
    assert paid.breaks[0].amount == Decimal("4.80")
    again = words_of(demo_client.get(sent(demo_client)).text)
    assert "What would be kept nothing yet" in again


def test_a_row_is_put_right_in_its_place_and_one_bad_row_stops_no_other(demo_client: Visitor) -> None:
    rows: list[list[Cell]] = [
        ["What", "Cost", "Group"], ["Cork", 12.5, "sheets"], ["Felt strip", 3.0, "sort of"], ["Odd", 4.0, "piece"],
    ]  # fmt: skip
    place = sent(demo_client, workbook({"Stock": rows}), "stock.xlsx")
    page = demo_client.get(place).text
    assert page.count("It does not say who sells it") >= 2
    assert "“sort of” is none of sheet" in unescape(page)
    fields = dict(form_fields(page, "point"))
    numbers = {fields[name]: name.split(".")[1] for name in fields if name.startswith("name.")}
    right = {
        **fields, "sold_by": "Brasslow Hardware", f"size.{numbers['Cork']}": "900 x 600 x 4 mm",
        f"kind.{numbers['Felt strip']}": "piece", f"size.{numbers['Felt strip']}": "a roll",
        f"leave.{numbers['Odd']}": "yes", "act": "keep",
    }  # fmt: skip
    looked = demo_client.send_form(place, {**right, "act": "look"})
    assert looked.status_code == 200
    assert form_fields(looked.text, "point")[f"size.{numbers['Felt strip']}"] == "a roll"
    assert "What would be kept 1 material; 1 row to put right" in words_of(looked.text)
    assert demo_client.send_form(place, right).status_code == 303
    with demo_client.program.database.reading() as session:
        assert load_material(session, "cork").material.values == {"thickness": Fraction(4_000_000)}
    assert demo_client.get("/materials/felt_strip").status_code == 404
    assert demo_client.get("/materials/odd").status_code == 404


def test_a_column_that_is_pointed_at_anew_is_read_anew(demo_client: Visitor) -> None:
    place = sent(demo_client, b"A\tB\tC\nalpha\tCork board\t5\nbeta\tFelt\t6\n")
    fields = dict(form_fields(demo_client.get(place).text, "point"))
    first = demo_client.send_form(place, {**fields, "column.0": "words", "column.1": "", "column.2": "price"}).text
    assert "alpha" in form_fields(first, "point").values()
    fields = {**form_fields(first, "point"), "column.0": "article", "column.1": "words"}
    second = form_fields(demo_client.send_form(place, fields).text, "point")
    assert "Cork board" in second.values()
    assert "alpha" not in second.values()
    none = demo_client.send_form(place, {**fields, "column.2": "", "act": "keep"})
    assert none.status_code == 422
    assert "No column is pointed at as the price." in none.text


def test_a_changed_column_is_looked_at_before_anything_is_kept_and_what_is_left_out_stays_so(
    demo_client: Visitor,
) -> None:
    place = sent(demo_client, b"Material;Price;Price\nCork roll;5;6\nFelt roll;7;8\n")
    fields = dict(form_fields(demo_client.get(place).text, "point"))
    numbers = {fields[name]: name.split(".")[1] for name in fields if name.startswith("name.")}
    told = {**fields, "sold_by": "Brasslow Hardware", f"leave.{numbers['Felt roll']}": "yes", "act": "keep"}
    other = demo_client.send_form(place, {**told, "column.1": "", "column.2": "price"})
    assert other.status_code == 422
    assert "Look at the rows as they are now, then keep them." in other.text
    again = dict(form_fields(other.text, "point"))
    assert f"leave.{numbers['Felt roll']}" in again
    assert demo_client.send_form(place, {**again, "act": "keep"}).status_code == 303
    with demo_client.program.database.reading() as session:
        catalogue = load_catalogue(session, utc_now().date())
    (offer,) = catalogue.offers_of("cork_roll")
    price = current_price(catalogue, offer.id)
    assert price is not None
    assert price.breaks[0].amount == Decimal(6)
    assert "felt_roll" not in catalogue.materials


def test_a_column_of_tags_comes_along_and_can_be_put_right_in_its_row(demo_client: Visitor) -> None:
    sheet = (
        "Description;Supplier;Price;Tags\n"
        "Twin wheel 80 mm;Brasslow Hardware;4.10;Swivel castor\n"
        "Pull, black;Brasslow Hardware;2.10;3 mm\n"
    )
    place = sent(demo_client, sheet.encode())
    page = demo_client.get(place).text
    assert "“3 mm”: a tag is words of plain letters and digits" in words_of(page)
    fields = form_fields(page, "point")
    wrong = next(name for name, text in fields.items() if name.startswith("tags.") and text == "3 mm")
    told = {**fields, wrong: "handle", "act": "keep"}
    assert demo_client.send_form(place, told).status_code == 303
    with demo_client.program.database.reading() as session:
        assert load_material(session, "twin_wheel_80_mm").material.tags == ("swivel_castor",)
        assert load_material(session, "pull_black").material.tags == ("handle",)
