"""What is there stays there, whatever is pressed at its line: sent back, ordered, put right, or sent by a stranger."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from html import unescape
from uuid import uuid4

from tests.costing.buying_list.list_case import entry as entered
from tests.costing.buying_list.list_case import line as wanted
from tests.costing.buying_list.list_case import making
from tests.harness.entering import enter, enter_by_script
from tests.harness.visiting import Visitor
from tests.pages.buying_lists.test_lists import JOB, bought_lines, made, settled, words_of
from webapp.costing.buying_list.entries import MOST_ENTRIES, Entry, Said
from webapp.costing.buying_list.settle import settle
from webapp.pages.buying_lists.view import Shower
from webapp.persistence.buying_lists.records import ListHead, keep_entry
from webapp.running import utc_now
from webapp.showing import Reader


def back_form(page: str, line: str) -> dict[str, str]:
    """What the form sends that says that a line was sent back, nothing typed in it."""
    at = page.index('<details class="otherwise-back"', page.index(f'data-line="{line}"'))
    form = page[at : page.index("</form>", at)]
    return {name: unescape(text) for name, text in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}


def test_what_is_sent_back_stays_with_nobody_unless_somebody_says_how_much_of_it(demo_client: Visitor) -> None:
    """The button's own form says that none stays and nothing is paid; the count of what was bought is another field."""
    address = made(demo_client, JOB)
    line = next(one for one in bought_lines(demo_client, address) if one.count == 2)
    enter(demo_client, address, line.id, state="loaded", count="2", paid=str(line.till))
    page = demo_client.get(address).text
    assert 'value="sent back"' not in page[page.index(f'data-line="{line.id}"') :].split("</form>")[0]
    assert demo_client.send_form(address, back_form(page, line.id)).status_code == 303
    found = next(one for one in settled(demo_client, address).lines if one.id == line.id)
    assert [found.state, found.got, found.paid] == ["sent back", 0, None]
    assert "Paid for what is there 0.00 USD" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    # Whoever loads it again loads as many as are wanted.
    row = demo_client.get(address).text
    row = row[row.index(f'data-line="{line.id}"') :].split("</form>")[0]
    assert re.search(rf'name="count" value="2".*name="paid" value="{line.till:,}"|name="paid" value="{line.till:,}".*'
                     r'name="count" value="2"', row, re.DOTALL)  # fmt: skip
    wrong = demo_client.send_form(address, {**back_form(demo_client.get(address).text, line.id), "count": "-1"})
    assert wrong.status_code == 422
    assert back_form(wrong.text, line.id)["count"] == "-1"
    kept = {**back_form(demo_client.get(address).text, line.id), "count": "1", "paid": "3.10"}
    assert demo_client.send_form(address, kept).status_code == 303
    found = next(one for one in settled(demo_client, address).lines if one.id == line.id)
    assert [found.got, found.paid] == [1, Decimal("3.10")]


def test_an_also_bought_line_put_right_stays_with_its_job(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    page = demo_client.get(address).text
    at = page.index('id="also"')
    fields = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', page[at : page.index("</form>", at)]))
    told = {**fields, "state": "loaded", "count": "2", "paid": "7.50", "job": str(JOB), "instead": "Masking tape"}
    assert demo_client.send_form(address, told).status_code == 303
    enter(demo_client, address, fields["line"], state="loaded", count="2", paid="8.50", instead="Masking tape")
    assert "Paid for what is there 8.50 USD" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)


def test_what_came_short_or_stays_is_not_wiped_by_marking_the_rest_as_ordered(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    lines = bought_lines(demo_client, address)
    short = next(line for line in lines if line.count >= 2)
    there = [line for line in lines if line.stop == short.stop]
    enter(demo_client, address, short.id, state="short", count="1", paid="3.10")
    page = demo_client.get(address).text
    row = page[page.index(f'data-line="{short.id}"') :].split("</form>")[0]
    for state in ("ordered", "later"):
        assert re.search(rf'value="{state}" hidden>', row)
    order = demo_client.get(f"{address}/order", params={"stop": short.stop}).text
    assert "Some of 1 line came already" in order
    assert short.what in words_of(order)
    assert demo_client.send_form(f"{address}/order", {"stop": short.stop}).status_code == 303
    found = {one.id: one for one in settled(demo_client, address).lines}
    came = found[short.id]
    assert [came.state, came.got, came.paid] == ["short", 1, Decimal("3.10")]
    assert all(found[line.id].state == "ordered" for line in there if line.id != short.id)
    assert "Paid for what is there 3.10 USD" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)


def test_a_line_takes_only_a_pack_that_it_has_and_so_many_entries(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = next(one for one in bought_lines(demo_client, address) if one.others)
    for offer in ("x" * 5000, "00000000-0000-4000-8000-000000000001"):
        answer = enter_by_script(demo_client, address, line.id, state="loaded", offer=offer)
        assert answer.status_code == 422
        assert answer.json()["problems"]["offer"]
    for one in line.offers:
        assert enter_by_script(demo_client, address, line.id, state="loaded", offer=one.offer).status_code == 200
    whole = int(address.rpartition("/")[2])
    with demo_client.program.database.writing() as session:
        for place in range(MOST_ENTRIES):
            entry = Entry(str(uuid4()), line.id, place + 9, frozenset(), Said("open"), date(2026, 11, 3))
            keep_entry(session, whole, entry, at=utc_now(), by=None)
    full = enter_by_script(demo_client, address, line.id, state="loaded")
    assert full.status_code == 422
    assert "500 entries are kept here" in full.json()["problems"]["line"]
    assert enter_by_script(demo_client, address, bought_lines(demo_client, address)[-1].id, state="loaded").is_success


def test_a_line_says_what_of_its_material_is_there_from_a_line_that_is_gone() -> None:
    """A list made anew that buys another pack buys the same again: so much is said beside it."""
    new = wanted(1)
    pack = new.others[0]
    old = replace(wanted(4), id=f"offer:{pack.offer}", pack=pack.pack, offered=pack, others=())
    loaded = entered(1, old.id, 1, Said("loaded", Fraction(2), Decimal("18.00")))
    found = settle([making(old), making(new, replace(wanted(2), others=()), number=2)], [loaded])
    head = ListHead(uuid4(), 1, "Bench", utc_now(), (7,))
    shown = Shower(head, found, Reader("metric", "USD", 2), money=False, person="Mara", today="2026-11-04").shown()
    notes = {one.id: one.notes for stop in shown.stops for one in stop.lines}
    assert notes[new.id] == (f"2 of {pack.pack} are there already, from a line that is no longer on this list",)
    assert notes[wanted(2).id] == ()
