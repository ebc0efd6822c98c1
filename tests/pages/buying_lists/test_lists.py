"""Lists at their pages: made from jobs to the cent, entered at by plain forms, by whom, and what jobs paid."""

from __future__ import annotations

import csv
import re
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from html import unescape
from io import StringIO
from uuid import UUID

import pytest

from tests.harness.entering import enter, enter_by_script, fields_of
from tests.harness.visiting import Visitor
from tests.pages.buying.test_buying import amount_in, list_totals
from webapp.app import create_app
from webapp.costing.buying_list.lines import Line
from webapp.costing.buying_list.settle import SettledList, settle
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.tables.given import as_csv
from webapp.documents.buying.order import Order, OrderLine, order_table
from webapp.persistence.buying_lists.records import load_list
from webapp.persistence.catalogue.records import price_history
from webapp.persistence.database.database import Database
from webapp.running import utc_now
from webapp.settings import Settings

#: An open job of the demo, and another that is cut from the same plywood.
JOB, OTHER = 2, 4


def made(visitor: Visitor, *jobs: int) -> str:
    """The address of a list made for these jobs."""
    answer = visitor.send_form("/lists", {"job": [str(job) for job in jobs]})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def settled(visitor: Visitor, address: str) -> SettledList:
    with visitor.program.database.reading() as session:
        stored = load_list(session, int(address.rpartition("/")[2]))
    return settle(stored.makings, stored.entries)


def bought_lines(visitor: Visitor, address: str) -> list[Line]:
    """The lines of offers with a price that stand for one at least."""
    return [line for line in settled(visitor, address).making.lines if line.id.startswith("offer:") and line.till]


def words_of(page: str) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)))


def test_a_list_comes_to_what_the_shopping_list_of_its_job_says(demo_client: Visitor) -> None:
    totals = list_totals(demo_client)
    for number, total in totals.items():
        lines = settled(demo_client, made(demo_client, number)).making.lines
        assert sum(line.expected or 0 for line in lines if not line.taken) == total
        assert all(job.number == number for line in lines for job in line.jobs)


def test_a_list_for_several_jobs_comes_to_what_the_pool_pays(demo_client: Visitor) -> None:
    """Stops and carriage apart, and the parts that jobs name themselves, which no pool plans."""
    lines = settled(demo_client, made(demo_client, JOB, OTHER)).making.lines
    page = demo_client.get("/pool", params={"job": [JOB, OTHER]}).text
    shares = page[page.index("What each job pays") : page.index("Shopping list for all")]
    foot = re.search(r'<tfoot>.*?data-label="Share">([\d,.]+)<', shares, re.DOTALL)
    assert foot is not None
    stops = re.search(r"([\d,.]+)\s*USD", words_of(page[page.index("</tfoot>") : page.index("Shopping list for all")]))
    told = amount_in(foot[1]) - (amount_in(stops[1]) if stops else 0)
    pooled = [line for line in lines if not line.id.startswith("part:")]
    assert sum((line.expected or Decimal(0)) for line in pooled) == told
    assert any(len(line.jobs) == 2 for line in lines)


def test_one_tick_goes_through_every_layer(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    before = demo_client.get(f"/jobs/{JOB}/bought").text
    assert "Paid for what is there" in before
    answer = enter(demo_client, address, line.id, state="loaded", count=str(line.count), paid=str(line.till))
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(f"{address}#line-")
    page = demo_client.get(address).text
    assert '<b class="stands">loaded</b>' in page
    cost = words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    assert f"Paid for what is there {line.till} USD" in cost
    assert "Difference as expected" in cost
    assert line.offered is not None
    with demo_client.program.database.reading() as session:
        latest = price_history(session, UUID(line.offered.offer))[0]
    assert latest.where == f"list {address.rpartition('/')[2]}"


def test_what_was_paid_otherwise_is_said_in_its_line_and_on_the_job(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = next(one for one in bought_lines(demo_client, address) if one.count == 2)
    assert line.till is not None
    enter(demo_client, address, line.id, state="loaded", count="3", paid=str(line.till + 1))
    page = words_of(demo_client.get(address).text)
    assert f"3 (1 spare) {line.what}" in page
    assert f"paid otherwise: {line.till + 1}" in page
    cost = words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    assert f"Paid for what is there {line.till + 1} USD" in cost


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("count", "-3", "“-3” is below nothing: type how many there are, 0 or more."),
        ("paid", "about forty", "“about forty” can't be read as an amount"),
        ("state", "eaten", "no way in which a line can stand"),
        ("job", "77", "This list is not for job 77."),
    ],
)
def test_what_can_not_be_taken_is_said_beside_its_field_and_nothing_is_lost(
    demo_client: Visitor, field: str, text: str, says: str
) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    typed = {"state": "loaded", "count": "7", "paid": "41.40", "instead": "Another make", field: text}
    answer = enter(demo_client, address, line.id, **typed)
    assert answer.status_code == 422
    form = answer.text[answer.text.index(f'data-line="{line.id}"') :]
    form = form[: form.index("</li>")]
    assert says in words_of(form)
    for name, held in (("count", typed["count"]), ("paid", typed["paid"]), ("instead", "Another make")):
        assert re.search(rf'name="{name}" value="{re.escape(held)}"', form), name
    assert settled(demo_client, address).counter == 0
    part = enter_by_script(demo_client, address, line.id, **typed)
    assert part.status_code == 422
    assert says in part.json()["problems"][field]


def test_the_same_entry_sent_twice_and_a_line_that_never_was(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    fields = {**fields_of(demo_client.get(address).text, line.id), "state": "loaded", "paid": "41.40"}
    del fields["csrf_token"], fields["form_key"]
    answers = [demo_client.swap(address, fields) for _ in range(3)]
    assert [one.json() for one in answers] == [{"kept": fields["id"]}] * 3
    assert len(settled(demo_client, address).lines[0].entries) <= 1
    wrong = demo_client.swap(address, {**fields, "line": "offer:of-nobody"})
    assert wrong.status_code == 422
    assert "never had such a line" in wrong.json()["problems"]["line"]
    assert demo_client.swap("/lists/77", fields).status_code == 404


def test_two_that_differ_are_both_shown_and_the_later_holds(demo_client: Visitor, demo_database: Database) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    helper = Visitor(create_app(demo_client.program.settings, demo_database))
    helper.sign_in("helper")
    pages = [demo_client.get(address).text, helper.get(address).text]
    for visitor, page, paid, counter in ((demo_client, pages[0], "41.40", "1"), (helper, pages[1], "44.00", "2")):
        fields = {**fields_of(page, line.id), "state": "loaded", "paid": paid, "count": "2", "counter": counter}
        del fields["csrf_token"], fields["form_key"]
        assert visitor.swap(address, fields).status_code == 200
    said = words_of(demo_client.get(address).text)
    assert (
        "2 loaded, paid 41.40 by demo, 2 loaded, paid 44.00 by helper, neither knowing of the other: the later holds, "
        "2 loaded, paid 44.00." in said
    )
    # The next entry knows of both.
    enter(demo_client, address, line.id, state="loaded", count="2", paid="44.00")
    assert "neither knowing" not in demo_client.get(address).text


def test_a_price_that_jumps_is_asked_about_and_kept_once_somebody_is_sure(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    assert line.till is not None
    assert line.offered is not None
    offer, twice = UUID(line.offered.offer), str(line.till * 2)
    with demo_client.program.database.reading() as session:
        before = price_history(session, offer)
    enter(demo_client, address, line.id, state="loaded", count=str(line.count), paid=twice)
    page = demo_client.get(address).text
    assert "each is 100 % more than the" in words_of(page)
    assert f"Paid for what is there {twice} USD" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    with demo_client.program.database.reading() as session:
        assert price_history(session, offer) == before
    at = page.index('<form class="enter right"')
    sent = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', page[at : page.index("</form>", at)]))
    assert demo_client.send_form(address, sent).status_code == 303
    assert "is right" not in words_of(demo_client.get(address).text)
    with demo_client.program.database.reading() as session:
        assert Fraction(price_history(session, offer)[0].amount) * line.count == line.till * 2


def test_a_list_made_anew_keeps_what_was_entered(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    enter(demo_client, address, line.id, state="loaded", count=str(line.count), paid=str(line.till))
    assert demo_client.send_form(f"{address}/anew").headers["location"] == address
    found = settled(demo_client, address)
    assert found.making.number == 2
    assert next(one for one in found.lines if one.id == line.id).done
    assert "for the second time" in words_of(demo_client.get(address).text)


def test_also_bought_stands_on_the_list_and_on_its_job(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    page = demo_client.get(address).text
    line = re.search(r'name="line" value="(also:[^"]+)"', page)
    assert line is not None
    at = page.index('id="also"')
    fields = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', page[at : page.index("</form>", at)]))
    told = {**fields, "state": "loaded", "count": "2", "paid": "7.50", "job": str(JOB)}
    nameless = demo_client.send_form(address, {**told, "instead": ""})
    assert nameless.status_code == 422
    assert "Say what was bought." in nameless.text
    assert 'name="paid" value="7.50"' in nameless.text
    assert demo_client.send_form(address, {**told, "instead": "Masking tape"}).status_code == 303
    assert "Masking tape" in demo_client.get(address).text
    cost = words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    assert "Paid for what is there 7.50 USD" in cost
    assert "Masking tape" in cost


def test_a_helper_enters_what_was_paid_and_sees_no_other_price(settings: Settings, demo_database: Database) -> None:
    app = create_app(settings, demo_database)
    owner, helper = Visitor(app), Visitor(app)
    owner.sign_in("demo")
    helper.sign_in("helper")
    address = made(owner, JOB)
    first, second = bought_lines(owner, address)[:2]
    enter(owner, address, first.id, state="loaded", count=str(first.count), paid="1234.56")
    assert enter(helper, address, second.id, state="loaded", count="1", paid="4321.09").status_code == 303
    # What the helper counts anew leaves what the owner told.
    assert enter(helper, address, first.id, state="loaded", count=str(first.count)).status_code == 303
    assert next(one for one in settled(owner, address).lines if one.id == first.id).paid == Decimal("1234.56")
    amounts = {f"{one:,}" for line in settled(owner, address).making.lines for one in (line.till, line.expected) if one}
    for page in (helper.get(address).text, helper.get("/lists").text, helper.get(f"/jobs/{JOB}/bought").text):
        seen = set(re.findall(r"\d[\d,]*\.\d\d", words_of(page) + " ".join(re.findall(r'value="([^"]*)"', page))))
        assert not seen & {*amounts, "1,234.56", "77.16"}
    assert len(amounts) > 10
    assert "4,321.09" in helper.get(address).text
    assert "1,234.56" in owner.get(address).text


def test_a_code_on_paper_opens_the_list_or_offers_one(demo_client: Visitor) -> None:
    offered = demo_client.get("/lists/for", params={"job": JOB})
    assert offered.status_code == 200
    assert "No list was made yet for job 2" in words_of(offered.text)
    address = made(demo_client, JOB)
    assert demo_client.get("/lists/for", params={"job": JOB}).headers["location"] == address
    assert "There is no job 999." in demo_client.get("/lists/for", params={"job": 999}).text
    assert "Name a job to buy for." in demo_client.send_form("/lists").text
    assert demo_client.get("/lists/77").status_code == 404


@pytest.mark.usefixtures("unprinted")
def test_the_papers_carry_the_code_where_a_telephone_reaches_the_shop(
    settings: Settings, demo_database: Database, demo_client: Visitor
) -> None:
    """From this very machine none is printed where the shop has no other name: no telephone would find it."""
    reached = Visitor(create_app(settings.model_copy(update={"host_names": ("shop.example",)}), demo_database))
    reached.sign_in()
    address = made(demo_client, JOB)
    name = f"List {address.rpartition('/')[2]}"
    papers = {
        f"/jobs/{JOB}/shopping-list.pdf": "Opens this list on a telephone",
        f"/pool/shopping-list.pdf?job={JOB}&job={OTHER}": "Opens this list on a telephone",
        f"{address}/list.pdf": name,
        address: f"{name} at http://shop.example{address}",
        f"/jobs/{JOB}/bought": f"{name} at http://shop.example{address}",
    }
    for paper, says in papers.items():
        assert 'class="qr"' not in demo_client.get(paper).text
        assert f"<title>{says}</title>" in reached.get(paper).text, paper


def test_a_tick_that_comes_a_day_late_is_a_price_of_the_day_it_was_bought(
    settings: Settings, demo_database: Database, demo_client: Visitor
) -> None:
    """And one whose telephone names a day a year off, or after the list was made anew, is kept all the same."""
    address = made(demo_client, JOB)
    first, second = bought_lines(demo_client, address)[:2]
    today = settled(demo_client, address).making.made_on
    later = Visitor(create_app(settings, demo_database, lambda: utc_now() + timedelta(days=1)))
    later.sign_in()
    page = later.get(address).text
    assert later.send_form(f"{address}/anew").status_code == 303
    for line, day in ((first, today.isoformat()), (second, f"{today.year - 1}-06-01")):
        fields = {**fields_of(page, line.id), "state": "loaded", "paid": str(line.till), "count": str(line.count)}
        del fields["csrf_token"], fields["form_key"]
        assert later.swap(address, {**fields, "day": day, "told_at": "10:42 last year"}).status_code == 200
        assert line.offered is not None
        with demo_database.reading() as session:
            assert price_history(session, UUID(line.offered.offer))[0].seen_on == today


@pytest.mark.usefixtures("unprinted")
def test_an_order_holds_what_is_still_to_be_had_and_no_price(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    lines = bought_lines(demo_client, address)
    stop = lines[0].stop
    there = [line for line in lines if line.stop == stop]
    enter(demo_client, address, there[0].id, state="loaded", count=str(there[0].count), paid=str(there[0].till))
    asked = {"stop": stop, "day": "2026-12-04"}
    page = demo_client.get(f"{address}/order", params=asked)
    assert page.status_code == 200
    words = re.search(r"<textarea[^>]*>(.*?)</textarea>", page.text, re.DOTALL)
    assert words is not None
    table = demo_client.get(f"{address}/order.csv", params=asked)
    rows = list(csv.reader(StringIO(table.text.removeprefix("\ufeff"))))
    assert rows[0] == ["Their code", "What", "Size or pack", "How many", "Wanted by"]
    assert [row[1] for row in rows[1:]] == [line.what for line in there[1:]]
    told = [unescape(words[1]), table.text, *(demo_client.get(f"{address}/{name}.pdf", params=asked).text
            for name in ("order", "receiving"))]  # fmt: skip
    for said in told:
        for line in there[1:]:
            assert line.offered is not None
            assert line.offered.code in said
            assert f"{line.till}" not in said
    assert "4 December 2026" in told[0]
    wrong = demo_client.get(f"{address}/order", params={"stop": stop, "day": "Friday"})
    assert wrong.status_code == 422
    assert "“Friday” is no day" in wrong.text
    assert demo_client.send_form(f"{address}/order", {"stop": stop}).status_code == 303
    states = {one.id: one.state for one in settled(demo_client, address).lines}
    assert [states[line.id] for line in there] == ["loaded", *["ordered"] * (len(there) - 1)]
    assert "All of it is marked as ordered." in demo_client.get(f"{address}/order", params=asked).text


def test_no_cell_of_an_order_is_a_formula() -> None:
    order = Order(4, "Brasslow", None, (OrderLine("a", "=1+1", "@SUM(A1)", "-3", "2"),))
    (_, row) = list(csv.reader(StringIO("".join(as_csv(order_table(order))))))
    assert row == ["'=1+1", "'@SUM(A1)", "'-3", "2", ""]
    with writing_as(Manner(",", ".")):
        assert "".join(as_csv(order_table(order))).splitlines()[0].count(";") == 4


@pytest.mark.usefixtures("unprinted")
def test_prices_are_left_off_a_list_that_leaves_the_house(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    assert f"{line.expected}" in demo_client.get(f"{address}/list.pdf").text
    bare = demo_client.get(f"{address}/list.pdf", params={"prices": "none"}).text
    assert f"{line.expected}" not in bare
    assert line.what in bare
