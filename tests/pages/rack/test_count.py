"""The count sheet and what is kept by the unit: counted, used, bought again; each thing wrong said by its field."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape
from uuid import UUID

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import marked_wrong
from tests.pages.rack.test_rack import FIELDS, asked_of, on_rack
from webapp.costing.catalogue.kinds import Kind
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.rack.holds import hold_for
from webapp.persistence.rack.stock import move_stock, moves_of_stock, stock_of


def plain(page: str) -> str:
    """A page's words, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def typed_in(page: str) -> dict[str, str]:
    """The hidden fields of the count sheet: which version of each thing it shows."""
    return dict(re.findall(r'<input type="hidden" name="(version\.[^"]+)" value="(\d+)"', page))


def level(visitor: Visitor, code: str) -> Fraction:
    """How much of a material is in stock."""
    with visitor.program.database.reading() as session:
        return stock_of(session)[code].amount


def find_glue(visitor: Visitor) -> str:
    """A liquid of the demo that several jobs use."""
    with visitor.program.database.reading() as session:
        return next(one.material.code for one in find_materials(session, "glue").entries)


@pytest.fixture
def yard(demo_client: Visitor, unprinted: None) -> tuple[Visitor, str]:
    """The demo with two offcuts of one plywood on the rack, and its glue kept by the litre."""
    page = unescape(demo_client.get("/rack/new?kind=sheet&words=birch+18").text)
    material = re.findall(r"/rack/new\?material=(\w+)", page)[0]
    fields = {**FIELDS, "material": material, "length": "900 mm", "width": "500 mm"}
    assert demo_client.send_form("/rack/new", fields).status_code == 303
    glue = find_glue(demo_client)
    kept = {"material": glue, "amount": "2.5", "least": "1", "place": "Shelf 2"}
    assert demo_client.send_form("/stock/new", kept).headers["location"] == f"/stock/{glue}"
    return demo_client, glue


def test_a_count_ends_in_a_list_of_differences_with_their_money(yard: tuple[Visitor, str]) -> None:
    visitor, glue = yard
    key = on_rack(visitor)[0].offcut.id
    with visitor.program.database.writing() as session:
        hold_for(session, UUID(key), 1, at=visitor.program.now())
        hold_for(session, UUID(key), 2, at=visitor.program.now())
    sheet = visitor.get("/count").text
    assert "2 is right" in plain(sheet)
    assert "2.5 is right" in plain(sheet)
    printed = visitor.get("/count.pdf")
    assert printed.headers["content-type"] == "application/pdf"
    assert "Bay 3" in printed.text
    fields = {**typed_in(sheet), f"count.offcut-{key}": "1", f"count.stock-{glue}": "3.25"}
    found = visitor.send_form("/count", fields)
    told = plain(found.text)
    assert "2 lines counted, 2 differences. Nothing is kept yet." in told
    assert "lost by job 2" in told
    amounts = [float(one.replace(",", "")) for one in re.findall(r"(?:-1|\+0\.75 L) ([+-][\d,.]+)", told)]
    whole = re.search(r"at the shop's cost ([+-][\d,.]+)", told)
    assert len(amounts) == 2
    assert whole is not None
    assert round(sum(amounts), 2) == float(whole[1].replace(",", ""))
    assert level(visitor, glue) == Fraction(5, 2)
    opened = re.findall(r'<details class="steps">.*?</details>', found.text, re.S)
    assert len(opened) == 3
    assert all("price of a pack / what it holds" in plain(one) or "rack" in plain(one) for one in opened)
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', found.text))
    kept = visitor.send_form("/count", sent)
    assert kept.status_code == 303
    after = plain(visitor.get(kept.headers["location"]).text)
    assert "It is kept." in after
    assert whole[0] in after
    assert level(visitor, glue) == Fraction(13, 4)
    assert [one.offcut.count for one in on_rack(visitor)] == [1]
    # Sent once more, nothing is done twice.
    again = visitor.send_form("/count", sent)
    assert again.headers["location"] == kept.headers["location"]
    assert level(visitor, glue) == Fraction(13, 4)
    assert visitor.get("/count/kept?at=never").status_code == 404


def test_what_can_not_be_counted_is_said_by_its_field_and_nothing_is_lost(yard: tuple[Visitor, str]) -> None:
    visitor, glue = yard
    key = on_rack(visitor)[0].offcut.id
    fields = {
        **typed_in(visitor.get("/count").text), f"count.offcut-{key}": "-3", f"count.stock-{glue}": "a few",
    }  # fmt: skip
    page = visitor.send_form("/count", fields)
    assert page.status_code == 422
    assert marked_wrong(page.text) == {f"count-offcut-{key}", f"count-stock-{glue}"}
    assert "“-3” should be a number from 0 up" in plain(page.text)
    assert "“a few” should be a number from 0 up" in plain(page.text)
    assert 'value="-3"' in page.text
    assert 'value="a few"' in page.text
    # What is sent on from there is still what was counted on the first sheet.
    with visitor.program.database.writing() as session:
        move_stock(session, glue, "used", Fraction(1), at=visitor.program.now())
    moved = visitor.send_form("/count", fields)
    assert moved.status_code == 422
    typed = {**typed_in(moved.text), f"count.offcut-{key}": "2", f"count.stock-{glue}": "2.5", "keep": "yes"}
    assert visitor.send_form("/count", typed).status_code == 409
    assert level(visitor, glue) == Fraction(3, 2)
    with visitor.program.database.writing() as session:
        move_stock(session, glue, "returned", Fraction(1), at=visitor.program.now())
    half = visitor.send_form("/count", {**fields, f"count.offcut-{key}": "1.5", f"count.stock-{glue}": "2"})
    assert marked_wrong(half.text) == {f"count-offcut-{key}"}
    assert visitor.send_form("/count", typed_in(visitor.get("/count").text)).status_code == 422
    assert level(visitor, glue) == Fraction(5, 2)
    assert [one.offcut.count for one in on_rack(visitor)] == [2]


def test_two_who_count_at_once_keep_one_count_and_the_second_is_told(yard: tuple[Visitor, str]) -> None:
    visitor, glue = yard
    key = on_rack(visitor)[0].offcut.id
    sheet = typed_in(visitor.get("/count").text)
    first = {**sheet, f"count.offcut-{key}": "1", "keep": "yes"}
    second = {**sheet, f"count.offcut-{key}": "0", f"right.stock-{glue}": "yes", "keep": "yes"}
    assert visitor.send_form("/count", first).status_code == 303
    late = visitor.send_form("/count", second)
    assert late.status_code == 409
    assert f'name="count.offcut-{key}" type="text" value="0"' in late.text
    assert "1 is right" in plain(late.text)
    assert [one.offcut.count for one in on_rack(visitor)] == [1]


def test_what_is_kept_by_the_unit_is_moved_and_said_with_what_is_wrong(yard: tuple[Visitor, str]) -> None:
    visitor, glue = yard
    address = f"/stock/{glue}"
    assert "2.5" in plain(visitor.get("/stock").text)
    wrong = {"what": "sold", "number": "minus three", "job": "twelve", "version": "1"}
    assert marked_wrong(visitor.send_form(f"{address}/move", wrong).text) == {"what", "number", "job"}
    short = visitor.send_form(f"{address}/move", {"what": "used", "number": "3", "version": "1"})
    assert marked_wrong(short.text) == {"number"}
    assert "there is less of it. Count it first." in plain(short.text)
    assert (
        visitor.send_form(f"{address}/move", {"what": "used", "number": "2", "version": "1", "job": "4"}).status_code
        == 303
    )
    page = plain(visitor.get(address).text)
    assert "There is less than the least" in page
    assert "used -2 0.5 job 4" in page
    assert visitor.send_form(f"{address}/move", {"what": "counted", "number": "1", "version": "1"}).status_code == 409
    assert marked_wrong(visitor.send_form(f"{address}/edit", {"least": "some", "version": "2"}).text) == {"least"}
    tiny = visitor.send_form(f"{address}/edit", {"least": "0.0004", "version": "2"})
    assert marked_wrong(tiny.text) == {"least"}
    assert "“0.0004” is less than 0.001" in plain(tiny.text)
    assert visitor.send_form(f"{address}/edit", {"least": "2", "place": "Shelf 3", "version": "2"}).status_code == 303
    assert "Shelf 3" in visitor.get("/stock").text
    assert visitor.get("/stock/nothing_like_it").status_code == 404
    assert marked_wrong(visitor.send_form("/stock/new", {"material": find_screws(visitor), "amount": "-3"}).text) == {
        "amount"
    }


def find_screws(visitor: Visitor) -> str:
    """A fastener of the demo."""
    with visitor.program.database.reading() as session:
        return next(one.material.code for one in find_materials(session, "screw").entries)


def test_a_least_stock_stands_on_the_next_list_at_the_shops_cost_and_comes_in_from_there(
    yard: tuple[Visitor, str],
) -> None:
    visitor, glue = yard
    assert (
        visitor.send_form(f"/stock/{glue}/move", {"what": "counted", "number": "0.5", "version": "1"}).status_code
        == 303
    )
    made = visitor.send_form("/lists", {"job": "2"})
    assert made.status_code == 303
    page = visitor.get(made.headers["location"]).text
    assert "for the shop's own stock" in plain(page)
    line = re.search(r'name="line" value="(stock:[^"]+)"', page)
    assert line is not None
    # A second list does not ask for it again while the first still has it to get.
    other = visitor.send_form("/lists", {"job": "4"})
    assert "for the shop's own stock" not in plain(visitor.get(other.headers["location"]).text)
    entry = {
        "id": "6f1f3c52-0000-4000-8000-000000000001", "line": line[1], "counter": "1", "state": "loaded",
        "day": visitor.program.now().date().isoformat(), "paid": "14.00",
    }  # fmt: skip
    assert visitor.send_form(made.headers["location"], entry).status_code == 303
    brought = level(visitor, glue)
    assert brought > Fraction(1, 2)
    with visitor.program.database.reading() as session:
        last = moves_of_stock(session, glue)[0]
    assert (last.what, last.moved, last.job_number) == ("bought", brought - Fraction(1, 2), None)
    # It says which list, and no sign that only the program knows.
    assert last.note == f"list {made.headers['location'].rpartition('/')[2]}"
    assert "less than the least" not in plain(visitor.get("/stock").text)
    # The shop bears it, unless whoever buys it says which job does.
    assert "14.00" not in plain(visitor.get("/jobs/2/bought").text)
    borne = {
        **entry, "id": "6f1f3c52-0000-4000-8000-000000000002", "counter": "2", "replaces": entry["id"], "job": "2",
    }  # fmt: skip
    assert visitor.send_form(made.headers["location"], {**borne, "job": "4"}).status_code == 422
    assert visitor.send_form(made.headers["location"], borne).status_code == 303
    assert "14.00" in plain(visitor.get("/jobs/2/bought").text)
    assert "borne by job 2" in plain(visitor.get(made.headers["location"]).text)
    assert level(visitor, glue) == brought


def test_a_job_that_is_cut_uses_what_its_estimate_needs_or_what_is_typed_over_it(yard: tuple[Visitor, str]) -> None:
    visitor, _ = yard
    with visitor.program.database.reading() as session:
        liquids = [one.material.code for one in find_materials(session, kind=Kind.LIQUID).entries]
    for code in liquids:
        visitor.send_form("/stock/new", {"material": code, "amount": "2.5", "least": "", "place": ""})
    address = "/jobs/2/offcuts"
    page = visitor.get(address).text
    glue = next(code for code in liquids if f'name="used.{code}"' in page)
    number = 2
    need = re.search(rf'name="used\.{glue}" type="text" value="([\d.]+)"', page)
    assert need is not None
    fields = {name: text for name, text in asked_of(page).items() if name == "asked"}
    odd = visitor.send_form(address, {**fields, f"used.{glue}": "-3"})
    assert marked_wrong(odd.text) == {f"used-{glue}"}
    before = level(visitor, glue)
    sent = {**fields, f"used.{glue}": "9"}
    assert visitor.send_form(address, sent).status_code == 303
    # Another tab that was opened before says the same: it is used once.
    assert visitor.send_form(address, sent).status_code == 409
    # More was used than was known of: it is written down as found first, and nothing falls below nothing.
    assert level(visitor, glue) == 0
    with visitor.program.database.reading() as session:
        moves = moves_of_stock(session, glue)
    assert [(one.what, one.moved) for one in moves[:2]] == [("used", -9), ("counted", 9 - before)]
    assert moves[0].job_number == number
    assert f'name="used.{glue}" type="text" value="0"' in visitor.get(address).text
