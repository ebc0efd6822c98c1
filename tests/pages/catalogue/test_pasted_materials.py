"""Materials pasted as rows: kept as the form of a material would keep them, or left with their reasons."""

from __future__ import annotations

from fractions import Fraction
from html import unescape

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.persistence.catalogue.records import load_material

ADDRESS = "/materials/paste"
ROWS = (
    "Name;Kind;Thickness (mm);Grain;Density;Spread\n"
    "Poplar plywood 12 mm;sheet;11,6;yes;450 kg/m3;\n"
    "Bamboo board;Boards;;;;\n"
    "Ash board;slab;;;;\n"
    "Grey felt;sheet;;;;\n"
    "Contact glue;liquid;;;;180 g/m2\n"
    "Birch-faced plywood 18 mm;sheet;18;yes;;\n"
    "Cork sheet;sheet;4;;;200 g/m2"
)


def test_rows_are_kept_and_those_that_cannot_be_stay_with_their_reasons(demo_client: Visitor) -> None:
    page = demo_client.send_form(ADDRESS, {"text": ROWS}).text
    said = unescape(page)
    for sentence in (
        "Row 4, “Ash board”: “slab” is none of sheet, board, length",
        "Row 5, “Grey felt”: Thickness as measured is needed.",
        "Row 7, “Birch-faced plywood 18 mm”: there is a material called “Birch-faced plywood 18 mm” already",
        "Row 8, “Cork sheet”: a sheet has no spread",
    ):
        assert sentence in said, sentence
    left = form_fields(page, "paste")["text"].splitlines()
    assert [line.split(";")[0] for line in left] == [
        "Name", "Ash board", "Grey felt", "Birch-faced plywood 18 mm", "Cork sheet",
    ]  # fmt: skip
    with demo_client.program.database.reading() as session:
        plywood = load_material(session, "poplar_plywood_12_mm").material
        glue = load_material(session, "contact_glue").material
        assert load_material(session, "bamboo_board").material.kind == "board"
    assert plywood.values == {"thickness": Fraction(11_600_000), "grain": Fraction(1), "density": Fraction(450)}
    assert glue.values == {"spread": Fraction(180)}
    assert 'href="/materials/contact_glue"' in page


def test_rows_without_a_kind_take_the_one_that_is_chosen(demo_client: Visitor) -> None:
    assert "it says no kind" in unescape(demo_client.send_form(ADDRESS, {"text": "Name\tThickness\nLinden\t20"}).text)
    page = demo_client.send_form(ADDRESS, {"text": "Name\tThickness\nLinden sheet\t20 mm", "kind": "sheet"}).text
    assert "Kept: 1 material." in page
    again = demo_client.send_form(ADDRESS, {"text": "Name\tThickness\nLinden sheet\t20 mm", "kind": "sheet"})
    assert again.status_code == 422
    assert "already" in again.text


def test_an_empty_box_is_said(demo_client: Visitor) -> None:
    assert "Choose a file, or paste some rows first." in demo_client.send_form(ADDRESS, {"text": " "}).text
    assert "What may stand in the columns" in demo_client.get(ADDRESS).text
