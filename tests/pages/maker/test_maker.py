"""A design made row by row at its page: begun, added to, changed, undone, refused in its place, kept as a version."""

from __future__ import annotations

import re
from html import unescape

import pytest
from httpx2 import Response

from tests.harness.visiting import Visitor
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_versions, load_design

RACK = (
    "width 900, from 600 to 1200",
    "depth 400, from 300 to 600",
    "height 850, from 600 to 1100",
    "4 posts of softwood 2x4, four corners, upright, height long",
)


def begin(visitor: Visitor, name: str = "Rack for boards", **further: str) -> str:
    """Begin a design; where it is gone on with."""
    answer = visitor.send_form("/maker", {"name": name, "as_new": "yes", **further})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def _add(visitor: Visitor, address: str, *lines: str) -> None:
    for line in lines:
        answer = visitor.send_form(address, {"act": "add", "rows": line})
        assert answer.status_code == 303, said(answer.text)


def said(page: str) -> list[str]:
    """What is not taken, asked, or said of rows, in the order of the page."""
    found = re.findall(r'<p class="said [^"]*"[^>]*>(.*?)</p>', page, re.DOTALL)
    return [" ".join(unescape(re.sub("<[^>]+>", "", one)).split()) for one in found]


def word(page: str, own: str) -> str:
    """What is typed in a word of a row."""
    found = re.search(rf'<input class="word[^"]*" id="{own}" name="[^"]*" value="([^"]*)"', page)
    assert found is not None, f"there is no word {own}"
    return unescape(found[1])


def change(visitor: Visitor, address: str, section: str, row: str, **words: str) -> Response:
    """Type words of a row anew."""
    fields = {f"at.{slot.replace('__', '.')}": text for slot, text in words.items()}
    return visitor.send_form(address, {"section": section, "row": row, **fields})


def test_a_rack_is_said_line_by_line_changed_and_undone(demo_client: Visitor) -> None:
    address = begin(demo_client)
    first = demo_client.get(address).text
    assert "Nothing is drawn yet." in first
    _add(demo_client, address, *RACK)
    page = demo_client.get(address).text
    assert word(page, "row-parts-post-count") == "4"
    assert "4 pieces of 850 × " in page
    assert 'id="maker-price"' in page
    assert change(demo_client, address, "sizes", "width", usual="1000").status_code == 303
    assert word(demo_client.get(address).text, "row-sizes-width-usual") == "1000"
    demo_client.send_form(address, {"act": "undo"})
    assert word(demo_client.get(address).text, "row-sizes-width-usual") == "900"
    demo_client.send_form(address, {"act": "redo"})
    assert word(demo_client.get(address).text, "row-sizes-width-usual") == "1000"


def test_what_is_not_taken_stays_typed_with_its_reason(demo_client: Visitor) -> None:
    address = begin(demo_client)
    _add(demo_client, address, RACK[0])
    half = demo_client.send_form(address, {"act": "add", "rows": "shelf of"})
    assert half.status_code == 422
    assert ">shelf of</textarea>" in half.text
    assert said(half.text)[0].startswith("Not taken: ")
    twice = demo_client.send_form(address, {"act": "add", "rows": "sizes width: Again; 1 mm; least 1 mm; most 2 mm"})
    assert twice.status_code == 422
    assert "There is a size called 'width' already" in said(twice.text)[0]
    wrong = change(demo_client, address, "sizes", "width", usual="900 apples")
    assert wrong.status_code == 303
    page = demo_client.get(address).text
    assert word(page, "row-sizes-width-usual") == "900 apples"
    assert any("900 apples" in one for one in said(page))


def test_several_lines_are_pasted_and_one_bad_one_stops_no_other(demo_client: Visitor) -> None:
    address = begin(demo_client)
    answer = demo_client.send_form(address, {"act": "add", "rows": "\n".join((RACK[0], "of nothing", RACK[1]))})
    assert answer.status_code == 422
    assert ">of nothing</textarea>" in answer.text
    page = demo_client.get(address).text
    assert word(page, "row-sizes-width-usual") == "900"
    assert word(page, "row-sizes-depth-usual") == "400"


def test_four_hundred_rows_pasted_are_one_step(demo_client: Visitor) -> None:
    address = begin(demo_client)
    rows = "\n".join(f"place {number} = {number} mm" for number in range(1, 411))
    answer = demo_client.send_form(address, {"act": "add", "rows": rows})
    assert answer.status_code == 422
    assert "410 lines came at once; the first 400 were read, the others stay typed." in " ".join(said(answer.text))
    left = re.search(r'<textarea id="new-row"[^>]*>(.*?)</textarea>', answer.text, re.DOTALL)
    assert left is not None
    assert left[1].splitlines() == [f"place {number} = {number} mm" for number in range(401, 411)]
    assert demo_client.get(address).text.count('id="row-values-') >= 400
    demo_client.send_form(address, {"act": "undo"})
    assert 'id="row-values-' not in demo_client.get(address).text


def test_a_row_that_others_lean_on_goes_and_comes_back_by_one_press(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack")
    before = demo_client.get(address).text
    gone = demo_client.send_form(address, {"section": "sizes", "row": "width", "act": "remove"})
    assert gone.status_code == 303
    page = demo_client.get(address).text
    assert any("width" in one for one in said(page))
    demo_client.send_form(address, {"act": "undo"})
    after = demo_client.get(address).text
    assert re.findall(r'id="row-[^"]*"', after) == re.findall(r'id="row-[^"]*"', before)


def test_two_windows_do_not_write_over_each_other(demo_client: Visitor) -> None:
    address = begin(demo_client)
    _add(demo_client, address, RACK[0])
    opened = {"section": "sizes", "row": "width", "step": "1"}
    mine = demo_client.send_form(address, {**opened, "at.usual": "1000", "at.least": "600"})
    assert mine.status_code == 303
    # The other window was opened before: what it changes besides is taken, the same word is asked about.
    other = demo_client.send_form(address, {**opened, "at.usual": "900", "at.least": "500"})
    assert other.status_code == 303
    page = demo_client.get(address).text
    assert (word(page, "row-sizes-width-usual"), word(page, "row-sizes-width-least")) == ("1000", "500")
    both = demo_client.send_form(address, {**opened, "at.usual": "800"})
    assert both.status_code == 422
    assert "This says '1000' by now, from another window; you typed '800'." in " ".join(said(both.text))
    assert word(both.text, "row-sizes-width-usual") == "800"


def test_it_is_kept_as_a_version_and_gone_on_with(demo_client: Visitor, demo_database: Database) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack of ours")
    kept = demo_client.send_form(f"{address}/keep", {"head.name": "Rack of ours", "note": "narrower"})
    assert kept.headers["location"] == "/designs/rack_of_ours"
    change(demo_client, address, "parts", next(iter(_parts(demo_database))), says="Called otherwise")
    again = demo_client.send_form(f"{address}/keep", {})
    assert again.status_code == 303
    with demo_database.reading() as session:
        assert [one.number for one in list_versions(session, "rack_of_ours")] == [2, 1]


def _parts(database: Database) -> dict[str, object]:
    with database.reading() as session:
        return dict(load_design(session, "drying_rack").document["parts"])


def test_a_version_kept_meanwhile_is_said_before_another_is(demo_client: Visitor) -> None:
    one = demo_client.send_form("/maker", {"of": "drying_rack"}).headers["location"]
    two = demo_client.send_form("/maker", {"of": "drying_rack"}).headers["location"]
    for address, says in ((one, "Mine"), (two, "Theirs")):
        demo_client.send_form(address, {"act": "head", "head.says": says})
    assert demo_client.send_form(f"{one}/keep", {}).status_code == 303
    held = demo_client.send_form(f"{two}/keep", {})
    assert held.status_code == 409
    assert "Version 2 was kept meanwhile. Yours was not kept yet" in held.text
    assert demo_client.send_form(f"{two}/keep", {}).status_code == 303


def test_a_design_that_fails_or_is_none_yet_says_so_before_it_is_kept(demo_client: Visitor) -> None:
    address = begin(demo_client)
    none = demo_client.send_form(f"{address}/keep", {})
    assert none.status_code == 422
    assert "It is no whole design yet." in none.text
    other = begin(demo_client, of="bench_cabinet", name="Cabinet that fails")
    change(demo_client, other, "parts", "bottom", length="width")
    page = demo_client.get(other).text
    assert any("17.8" in one for one in said(page))
    refused = demo_client.send_form(f"{other}/keep", {})
    assert refused.status_code == 422
    assert "Keep it although it fails checks" in refused.text
    assert demo_client.send_form(f"{other}/keep", {"although": "yes"}).status_code == 303


def test_rows_and_text_are_the_same_both_ways(demo_client: Visitor) -> None:
    address = begin(demo_client, of="tool_cart", name="Cart as text")
    page = demo_client.get(f"{address}/text").text
    text = unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL)[1])  # type: ignore[index]
    step = re.search(r'name="step" value="(\d+)"', page)
    assert step is not None
    bad = demo_client.send_form(f"{address}/text", {"text": f"{text}joints: [", "step": step[1]})
    assert bad.status_code == 422
    assert "Nothing was changed" in bad.text
    taken = demo_client.send_form(f"{address}/text", {"text": text.replace("900 mm |", "950 mm |", 1), "step": step[1]})
    assert taken.status_code == 303
    assert word(demo_client.get(address).text, "row-sizes-length-usual") == "950 mm | 36 in"
    late = demo_client.send_form(f"{address}/text", {"text": text, "step": step[1]})
    assert late.status_code == 409


def test_one_press_mends_where_there_is_one_answer(demo_client: Visitor) -> None:
    address = begin(demo_client, of="bench_cabinet", name="Cabinet to mend")
    good = word(demo_client.get(address).text, "row-parts-bottom-length")
    change(demo_client, address, "parts", "bottom", length=good.replace("inner", "iner"))
    page = demo_client.get(f"{address}/mends").text
    row = page[page.index('id="row-parts-bottom"') :]
    press = re.search(r'name="at.length" value="([^"]*)"><button class="second">(Take [^<]*)<', row)
    assert press is not None
    assert (unescape(press[1]), press[2]) == ("inner_width", "Take inner width")


@pytest.mark.parametrize("address", ["/maker", "/maker/{}", "/maker/{}/text", "/maker/{}/offers?line=shelf of"])
def test_each_is_its_makers_alone(demo_client: Visitor, address: str) -> None:
    making = begin(demo_client, name="Mine alone").rpartition("/")[2]
    demo_client.sign_in("helper")
    answer = demo_client.get(address.format(making))
    assert answer.status_code == (200 if address == "/maker" else 404)
    assert "Mine alone" not in answer.text


def test_a_circle_is_said_at_its_rows_and_undone_by_one_press(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack in a circle")
    _add(demo_client, address, "second = 5 mm", "first = second")
    change(demo_client, address, "values", "second", **{"": "first"})
    page = demo_client.get(address).text
    row = page[page.index('id="row-values-second"') :]
    assert "circle" in said(row)[0] or "itself" in said(row)[0], said(row)[:2]
    assert 'id="maker-price"' in page
    demo_client.send_form(address, {"act": "undo"})
    assert word(demo_client.get(address).text, "row-values-second-it") == "5 mm"


def test_a_step_of_the_history_is_gone_to(demo_client: Visitor) -> None:
    address = begin(demo_client)
    _add(demo_client, address, *RACK[:3])
    page = demo_client.get(address).text
    assert "Added: size height" in page
    demo_client.send_form(address, {"act": "go_to", "to": "1"})
    back = demo_client.get(address).text
    assert 'id="row-sizes-width"' in back
    assert 'id="row-sizes-depth"' not in back
    # Beyond the last step nothing is.
    demo_client.send_form(address, {"act": "go_to", "to": "99"})
    assert 'id="row-sizes-depth"' not in demo_client.get(address).text


def test_a_row_of_another_design_is_taken_with_what_it_leans_on(demo_client: Visitor) -> None:
    address = begin(demo_client)
    shown = demo_client.get(f"{address}/rows", params={"of": "drying_rack"}).text
    assert "Drying rack" in shown
    row = re.findall(r'name="section" value="parts"><input type="hidden" name="row" value="([^"]*)"', shown)[0]
    fields = {"of": "drying_rack", "section": "parts", "row": row}
    assert demo_client.send_form(f"{address}/rows", fields).status_code == 303
    page = demo_client.get(address).text
    assert f'id="row-parts-{row.replace("_", "-")}"' in page
    assert 'id="row-stock-' in page


def test_a_design_gets_no_code_that_another_or_a_page_has(demo_client: Visitor) -> None:
    for name in ("New", "Drying rack"):
        refused = demo_client.send_form("/maker", {"name": name, "as_new": "yes"})
        assert refused.status_code == 422
        assert f"There is a design called {name} already" in refused.text
    address = demo_client.send_form("/maker", {"of": "drying_rack"}).headers["location"]
    page = demo_client.get(f"{address}/text").text
    text = unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL)[1])  # type: ignore[index]
    demo_client.send_form(f"{address}/text", {"text": text.replace("drying_rack", "wet_rack", 1), "step": "0"})
    held = demo_client.send_form(f"{address}/keep", {})
    assert held.status_code == 422
    assert "This page changes “drying_rack”, and the text is called “wet_rack”" in unescape(held.text)


def test_what_cannot_be_done_to_a_row_that_is_gone_is_said(demo_client: Visitor) -> None:
    address = begin(demo_client)
    answer = change(demo_client, address, "parts", "gone", length="1 mm")
    assert answer.status_code == 422
    assert "The row 'gone' is not there any more." in unescape(answer.text)
