"""The pages of materials: added, found, edited, retired; and what suppliers offer of them."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from html import unescape

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import (
    OFFER,
    PLYWOOD,
    SHEET,
    marked_wrong,
    offers_of,
    prices_of,
    sell_plywood,
    today,
)
from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.persistence.catalogue.records import (
    find_materials,
    list_suppliers,
    load_material,
)


@pytest.fixture
def plywood(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one material that one supplier sells."""
    return sell_plywood(client)


# ---- materials ----------------------------------------------------------------------------------------------------


def test_a_shop_without_materials_is_told_how_to_begin(client: Visitor) -> None:
    page = client.get("/materials")
    assert page.status_code == 200
    assert "no material yet" in page.text
    assert 'href="/materials/new"' in page.text


def test_every_kind_has_its_own_fields(client: Visitor) -> None:
    kinds = client.get("/materials/new").text
    for kind in Kind:
        assert f"/materials/new?kind={kind.value}" in kinds
        page = client.get("/materials/new", params={"kind": kind.value})
        assert page.status_code == 200
        for one in KINDS[kind].properties:
            assert f'name="value.{one.name}"' in page.text
            assert one.label in page.text
            assert one.hint in unescape(page.text)
        needed = {"value.thickness": "3/4", "value.covers": "10 sq ft"}
        made = client.send_form("/materials/new", {"kind": kind.value, "name": f"Some {kind.value}", **needed})
        assert made.headers["location"] == f"/materials/some_{kind.value}"
        form = client.get(f"/materials/some_{kind.value}/offers/new").text
        assert all(f'name="size.{one.name}"' in form for one in KINDS[kind].sizes)


def test_an_unknown_kind_is_said_so(client: Visitor) -> None:
    answer = client.get("/materials/new", params={"kind": "gas"})
    assert answer.status_code == 404
    assert "“gas” is no kind of material" in answer.text
    assert client.send_form("/materials/new", {"kind": "gas", "name": "Air"}).status_code == 404


def test_a_material_is_kept_exactly_and_shown_with_its_sources(plywood: Visitor) -> None:
    page = plywood.get(SHEET)
    assert page.status_code == 200
    assert "measured by the shop" in page.text
    assert "42.5 lb/ft³" in page.text
    with plywood.program.database.reading() as session:
        kept = load_material(session, "birch_plywood_3_4").material
    # 23/32 in is 18.256 25 mm by the definition of the inch, 25.4 mm.
    assert kept.values["thickness"] == 18_256_250
    assert kept.values["grain"] == 1
    assert "stiffness" not in kept.values


def test_what_a_material_is_is_typed_in_tags(client: Visitor) -> None:
    typed = {"kind": "length", "name": "Band", "tags": "Edge-band, birch"}
    assert client.send_form("/materials/new", typed).status_code == 303
    with client.program.database.reading() as session:
        assert load_material(session, "band").material.tags == ("birch", "edge_band")
    assert "birch, edge band" in client.get("/materials/band").text
    assert 'value="birch, edge band"' in client.get("/materials/band/edit").text
    wrong = client.send_form("/materials/band/edit", {**typed, "tags": "3 mm", "version": "1"})
    assert wrong.status_code == 422
    assert marked_wrong(wrong.text) == {"tags"}
    assert 'value="3 mm"' in wrong.text
    assert client.send_form("/materials/band/edit", {**typed, "tags": "", "version": "1"}).status_code == 303
    with client.program.database.reading() as session:
        assert load_material(session, "band").material.tags == ()


def test_everything_wrong_is_said_at_once_and_nothing_is_lost(client: Visitor) -> None:
    wrong = {
        "kind": "sheet", "name": " ", "code": "No Such/Code", "value.thickness": "18 in by 2",
        "value.density": "heavy", "value.stiffness": "0", "source.thinnest": "a table", "value.grain": "perhaps",
    }  # fmt: skip
    page = client.send_form("/materials/new", wrong)
    assert page.status_code == 422
    assert marked_wrong(page.text) == {
        "name", "code", "value-thickness", "value-density", "value-stiffness", "value-thinnest", "value-grain",
    }  # fmt: skip
    assert "“18 in by 2” can&#39;t be read as a length" in page.text
    for typed in ("No Such/Code", "18 in by 2", "heavy", "a table"):
        assert f'value="{typed}"' in page.text
    with client.program.database.reading() as session:
        assert find_materials(session, retired=None).total == 0


WRONG_FIELDS: list[tuple[dict[str, str], str]] = [
    ({"value.thickness": ""}, "Thickness as measured is needed."),
    ({"value.thickness": "0"}, "is zero. It must be above zero."),
    ({"value.thinnest": "7/8"}, "thicker than it is as measured"),
    ({"name": "x" * 121}, "The name has 121 characters; at most 120 are kept."),
    ({"source.density": "x" * 201}, "The source has 201 characters"),
    ({"code": "birch_plywood_3_4", "name": "Another"}, "under the code birch_plywood_3_4 already"),
]


def test_one_wrong_field_has_its_sentence(plywood: Visitor) -> None:
    for fields, sentence in WRONG_FIELDS:
        page = plywood.send_form("/materials/new", {**PLYWOOD, **fields})
        assert page.status_code == 422, fields
        assert sentence in page.text, fields


def test_a_share_above_the_whole_is_refused(client: Visitor) -> None:
    page = client.send_form("/materials/new", {"kind": "board", "name": "Oak", "value.yield": "140"})
    assert page.status_code == 422
    assert "“140” is more than the whole" in page.text


def test_saving_an_unchanged_form_changes_no_value(plywood: Visitor) -> None:
    with plywood.program.database.reading() as session:
        before = load_material(session, "birch_plywood_3_4").material
    form = plywood.get(f"{SHEET}/edit").text
    fields = dict(re.findall(r'<input id="[^"]*" name="([^"]+)"[^>]*? value="([^"]*)"', form))
    answer = plywood.send_form(f"{SHEET}/edit", {**fields, "value.grain": "yes", "version": "1"})
    assert answer.status_code == 303
    with plywood.program.database.reading() as session:
        after = load_material(session, "birch_plywood_3_4")
    assert (after.material, after.version) == (before, 2)


def test_two_who_edit_one_material_both_see_both(plywood: Visitor) -> None:
    mine = {**PLYWOOD, "note": "Mine", "version": "1"}
    assert plywood.send_form(f"{SHEET}/edit", {**PLYWOOD, "note": "Theirs", "version": "1"}).status_code == 303
    answer = plywood.send_form(f"{SHEET}/edit", mine)
    assert answer.status_code == 409
    assert "someone else saved this material" in answer.text
    assert "Theirs" in answer.text
    assert "Mine</textarea>" in answer.text
    version = re.search(r'name="version" value="(\d+)"', answer.text)
    assert version is not None
    assert plywood.send_form(f"{SHEET}/edit", {**mine, "version": version[1]}).status_code == 303
    assert "Mine" in plywood.get(SHEET).text


def test_a_retired_material_leaves_the_list_and_comes_back(plywood: Visitor) -> None:
    assert plywood.send_form(f"{SHEET}/retire", {"version": "1", "retired": "yes"}).status_code == 303
    assert "Birch plywood" not in plywood.get("/materials").text
    assert "Birch plywood" in plywood.get("/materials?retired=yes").text
    assert plywood.send_form(f"{SHEET}/retire", {"version": "1", "retired": "no"}).status_code == 409
    assert plywood.send_form(f"{SHEET}/retire", {"version": "2", "retired": "no"}).status_code == 303
    assert "Birch plywood" in plywood.get("/materials").text


def test_words_and_kind_narrow_the_list(demo_client: Visitor) -> None:
    found = demo_client.get("/materials", params={"words": "PLYWOOD birch 18"}).text
    assert "/materials/birch_plywood_18" in found
    assert "/materials/birch_plywood_12" not in found
    boards = demo_client.get("/materials", params={"kind": "board"}).text
    assert "/materials/white_oak" in boards
    assert "/materials/birch_plywood_18" not in boards
    assert "No material is like that." in demo_client.get("/materials?words=nothing+like+it").text
    for address in ("/materials?kind=gas&page=-3", "/materials?page=99999999999999999999"):
        assert demo_client.get(address).status_code == 200


def test_what_is_typed_is_never_markup(client: Visitor) -> None:
    name = '<b onclick="x">Oak</b>'
    client.send_form("/materials/new", {"kind": "service", "name": name, "code": "oak", "note": "</textarea><i>"})
    for address in ("/materials", "/materials/oak", "/materials/oak/edit", "/materials/oak/offers/new"):
        page = client.get(address).text
        assert "<b onclick" not in page
        assert "</textarea><i>" not in page
        assert "&lt;b onclick" in page


def test_what_is_not_kept_is_not_found(client: Visitor) -> None:
    for address in ("/materials/none", "/materials/none/edit", "/materials/none/offers/new"):
        assert client.get(address).status_code == 404


# ---- offers -------------------------------------------------------------------------------------------------------


def test_an_offer_is_kept_with_its_new_supplier_and_first_price(plywood: Visitor) -> None:
    (stored,) = offers_of(plywood)
    # 8 ft by 4 ft, with 304.8 mm to the foot.
    assert stored.offer.size == {"length": Fraction(2_438_400_000), "width": Fraction(1_219_200_000)}
    assert (stored.offer.lead_days, stored.offer.minimum_order) == (3, Decimal(250))
    assert stored.offer.seller == "Invented Timber"
    (seen,) = prices_of(plywood)
    assert (seen.amount, seen.seen_on, seen.where, seen.by) == (Decimal(96), today(plywood), "typed", "owner")
    page = plywood.get(SHEET).text
    for words in ("Invented Timber", "96 × 48 in", "IT-34", "3 days", "96.00"):
        assert words in page


def test_an_offer_with_one_wrong_field_keeps_nothing(client: Visitor) -> None:
    client.send_form("/materials/new", PLYWOOD)
    wrong = {**OFFER, "size.width": "wide", "lead_days": "soon", "minimum_order": "12,5,0", "amount": "96 EUR"}
    page = client.send_form(f"{SHEET}/offers/new", wrong)
    assert page.status_code == 422
    assert marked_wrong(page.text) == {"size-width", "lead_days", "minimum_order", "amount"}
    assert "is in EUR, but this shop reckons in USD" in page.text
    assert 'value="Invented Timber"' in page.text
    assert offers_of(client) == ()
    with client.program.database.reading() as session:
        assert list_suppliers(session) == ()


UNCLEAR_SUPPLIERS: list[tuple[dict[str, str], str, str]] = [
    ({"supplier": "", "new_supplier": ""}, "supplier", "Choose who sells Birch plywood 3/4"),
    ({"supplier": "invented_timber"}, "new_supplier", "empty one of the two"),
    ({"new_supplier": "invented  TIMBER"}, "new_supplier", "There is a supplier called"),
    ({"supplier": "invented_timber", "new_supplier": ""}, "supplier", "is on offer there in this size already"),
]


def test_whose_offer_it_is_has_to_be_clear(plywood: Visitor) -> None:
    for fields, field, sentence in UNCLEAR_SUPPLIERS:
        page = plywood.send_form(f"{SHEET}/offers/new", {**OFFER, **fields})
        assert page.status_code == 422, fields
        assert marked_wrong(page.text) == {field}, fields
        assert sentence in page.text, fields
        assert len(offers_of(plywood)) == 1, fields


def test_a_pack_holds_whole_pieces(client: Visitor) -> None:
    client.send_form("/materials/new", {"kind": "fastener", "name": "Screw"})
    page = client.send_form("/materials/screw/offers/new", {**OFFER, "size.count": "2.5"})
    assert page.status_code == 422
    assert "“2.5” is no whole number" in page.text


def test_sheets_sold_in_packs_say_so(plywood: Visitor) -> None:
    in_packs = {**OFFER, "supplier": "invented_timber", "new_supplier": "", "size.pack": "5"}
    assert "“2.5” is no whole number" in plywood.send_form(f"{SHEET}/offers/new", {**in_packs, "size.pack": "2.5"}).text
    assert plywood.send_form(f"{SHEET}/offers/new", in_packs).status_code == 303
    assert sorted(one.offer.in_packs_of for one in offers_of(plywood)) == [1, 5]
    assert "96 × 48 in, in packs of 5" in plywood.get(SHEET).text


def test_an_offer_is_edited_and_a_late_save_shows_both(plywood: Visitor) -> None:
    (stored,) = offers_of(plywood)
    address = f"{SHEET}/offers/{stored.offer.id}/edit"
    assert 'value="96 in"' not in plywood.get(address).text
    changed = {**OFFER, "supplier": "invented_timber", "new_supplier": "", "lead_days": "9", "version": "1"}
    assert plywood.send_form(address, changed).status_code == 303
    late = plywood.send_form(address, {**changed, "lead_days": "12"})
    assert late.status_code == 409
    assert 'value="12"' in late.text
    assert offers_of(plywood)[0].offer.lead_days == 9
    assert plywood.send_form(address, {**changed, "lead_days": "12", "version": "2"}).status_code == 303
    assert offers_of(plywood)[0].offer.lead_days == 12
    assert len(prices_of(plywood)) == 1


def test_what_is_no_longer_sold_leaves_the_list_with_its_prices_kept(plywood: Visitor) -> None:
    (stored,) = offers_of(plywood)
    address = f"{SHEET}/offers/{stored.offer.id}/retire"
    assert plywood.send_form(address, {"version": "1", "retired": "yes"}).status_code == 303
    assert "Nobody offers it." in plywood.get("/materials").text
    assert "1 no longer sold" in plywood.get(SHEET).text
    assert len(prices_of(plywood)) == 1
    assert plywood.send_form(address, {"version": "2", "retired": "no"}).status_code == 303
    assert "Nobody offers it." not in plywood.get("/materials").text


def test_an_offer_has_no_page_under_another_material(plywood: Visitor) -> None:
    plywood.send_form("/materials/new", {"kind": "service", "name": "Hire"})
    (stored,) = offers_of(plywood)
    assert plywood.get(f"/materials/hire/offers/{stored.offer.id}/edit").status_code == 404
    sent = plywood.send_form(f"/materials/hire/offers/{stored.offer.id}/price", {"amount": "1"})
    assert sent.status_code == 404
