"""The page of what jobs need to buy, held against their own shopping lists; and the suppliers."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from tests.harness.visiting import Visitor
from webapp.costing.catalogue.materials import Comes
from webapp.costing.catalogue.order_terms import OrderTerms
from webapp.costing.jobs.reader import read_job
from webapp.documents.buying.shopping_list import ListFor, shopping_paper
from webapp.persistence.catalogue.changes import edit_offer
from webapp.persistence.catalogue.records import Supplier, list_suppliers, load_offers, price_history
from webapp.persistence.jobs.records import list_jobs, load_job, set_job_state
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now
from webapp.standing import estimate_to_buy

SPACE = "\N{NO-BREAK SPACE}"


def amount_in(words: str) -> Decimal:
    found = re.search(r"([\d,]+\.\d\d)", words)
    assert found is not None, words
    return Decimal(found[1].replace(",", ""))


def list_totals(visitor: Visitor) -> dict[int, Decimal]:
    """The total of each job's shopping list, by the job's number."""
    totals = {}
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        today = shop.today(visitor.program.now())
        for listed in list_jobs(session).entries:
            to_buy = estimate_to_buy(session, load_job(session, listed.id), shop, today)
            job, _ = read_job(to_buy.document, to_buy.inputs.system)
            paper = shopping_paper(to_buy.estimate, job, shop, ListFor("job", True, today), "A4")
            totals[listed.number] = amount_in(paper.total.amount)
    return totals


def sums_on(page: str) -> tuple[Decimal, list[Decimal], list[Decimal]]:
    """The total of a page, its sub-totals and the amounts of its lines."""
    total = re.search(r'class="buy-total">.*?<strong>(.*?)</strong>', page, re.DOTALL)
    assert total is not None
    feet = re.findall(r"<tfoot>.*?data-label=\"Amount, USD\">(.*?)</td>", page, re.DOTALL)
    bodies = " ".join(re.findall(r"<tbody>.*?</tbody>", page, re.DOTALL))
    lines = re.findall(r'data-label="Amount, USD">([\d.,]+)</td>', bodies)
    return amount_in(total[1]), [amount_in(foot) for foot in feet], [amount_in(line) for line in lines]


def test_the_sum_is_that_of_the_shopping_lists_to_the_cent(demo_client: Visitor) -> None:
    lists = list_totals(demo_client)
    page = demo_client.get("/buying", params={"chosen": "yes", "job": list(lists)})
    assert page.status_code == 200
    total, sub_totals, lines = sums_on(page.text)
    assert len(lists) == 5
    assert total == sum(lists.values())
    assert total == sum(sub_totals) == sum(lines)
    for number in lists:
        assert f'href="/jobs/{number}/shopping-list.pdf"' in page.text
    assert re.search(rf"\d+ for job{SPACE}2, \d+ for job{SPACE}4", page.text)
    assert "The sum of what each job buys for itself" in page.text


def test_one_job_alone_has_its_own_list(demo_client: Visitor) -> None:
    lists = list_totals(demo_client)
    for number, total in lists.items():
        page = demo_client.get("/buying", params={"chosen": "yes", "job": str(number)})
        assert sums_on(page.text)[0] == total


def test_it_begins_with_what_is_ordered_and_else_with_what_is_open(demo_client: Visitor) -> None:
    def ticked(page: str) -> set[str]:
        boxes = re.findall(r'<input type="checkbox" name="job" value="(\d+)"( checked)?', page)
        return {number for number, checked in boxes if checked}

    with demo_client.program.database.reading() as session:
        ordered = {one.number: one.id for one in list_jobs(session, state="ordered").entries}
        still_open = {str(one.number) for one in list_jobs(session, state="open").entries}
    assert ticked(demo_client.get("/buying").text) == {str(number) for number in ordered}
    with demo_client.program.database.writing() as session:
        for job_id in ordered.values():
            set_job_state(session, job_id, "done", at=utc_now())
    assert ticked(demo_client.get("/buying").text) == still_open
    none = demo_client.get("/buying", params={"chosen": "yes"})
    assert ticked(none.text) == set()
    assert "Tick the jobs to buy for." in none.text
    assert demo_client.get("/buying?job=999").status_code == 200


def test_what_has_no_price_is_said_and_leads_to_where_it_is_typed(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        (oak,) = (one for one in list_jobs(session).entries if "oak top" in one.title)
    page = demo_client.get("/buying", params={"job": str(oak.number)}).text
    assert "One thing has no price, so the total is too low." in page
    assert "Total as bought, without what has no price" in page
    link = re.search(r'href="(/materials/white_oak#offer-[0-9a-f-]+)"', page)
    assert link is not None
    assert f'id="{link[1].partition("#")[2]}"' in demo_client.get("/materials/white_oak").text


def test_what_lacks_to_a_suppliers_least_order_is_said(demo_client: Visitor) -> None:
    page = demo_client.get("/buying").text
    group = re.search(
        r'To buy from Ottermead.*?data-label="Amount, USD">([\d.,]+)</td><td></td></tr></tfoot>', page, re.DOTALL
    )
    assert group is not None
    bought = amount_in(group[1])
    with demo_client.program.database.writing() as session:
        for code in ("sugar_maple", "softwood_2x4"):
            for stored in load_offers(session, code):
                offer = stored.offer
                changed = type(offer)(
                    offer.id, offer.material, offer.supplier, offer.size, offer.supplier_code, offer.lead_days,
                    bought + 30, offer.retired,
                )  # fmt: skip
                edit_offer(session, changed, stored.version, at=utc_now())
    assert (
        f"Sells from {bought + 30:,}{SPACE}USD on: 30.00{SPACE}USD more is needed." in demo_client.get("/buying").text
    )


def test_an_empty_shop_has_nothing_to_buy_and_nobody_to_buy_from(client: Visitor) -> None:
    page = client.get("/buying")
    assert page.status_code == 200
    assert "No job is open or ordered" in page.text
    assert "Nobody yet." in page.text


# ---- suppliers ----------------------------------------------------------------------------------------------------


def suppliers_of(visitor: Visitor) -> tuple[Supplier, ...]:
    with visitor.program.database.reading() as session:
        return list_suppliers(session)


def test_a_supplier_is_added_and_edited(client: Visitor) -> None:
    added = client.send_form("/buying/suppliers/new", {"name": "Invented Timber", "note": "Shut on Mondays"})
    assert added.status_code == 303
    assert suppliers_of(client) == (Supplier("invented_timber", "Invented Timber", "Shut on Mondays"),)
    assert "Shut on Mondays" in client.get("/buying").text
    address = "/buying/suppliers/invented_timber/edit"
    assert client.send_form(address, {"name": "Invented Yard", "note": "", "version": "1"}).status_code == 303
    late = client.send_form(address, {"name": "Mine", "note": "", "version": "1"})
    assert late.status_code == 409
    assert "Invented Yard" in late.text
    assert 'value="Mine"' in late.text
    assert client.send_form(address, {"name": "Mine", "note": "", "version": "2"}).status_code == 303
    assert [one.name for one in suppliers_of(client)] == ["Mine"]


def test_what_a_supplier_asks_of_an_order_is_typed_kept_and_said(demo_client: Visitor) -> None:
    address = "/buying/suppliers/quillmere/edit"
    form = {
        "name": "Quillmere", "note": "", "comes": "delivered", "carriage": "12.50", "free_from": "400",
        "minimum_order": "55.5", "discount": "12.5", "days": "3", "weekdays": "fri tues",
        "load": "350 kg", "version": "1",
    }  # fmt: skip
    assert demo_client.send_form(address, form).status_code == 303
    kept = next(one for one in suppliers_of(demo_client) if one.code == "quillmere")
    assert kept.terms == OrderTerms(Decimal("55.5"), Decimal(400), Fraction(1, 8), 3, (1, 4), Fraction(350))
    page = demo_client.get(address).text
    for value in ("400.00", "55.50", "12.5", "3", "Tuesday, Friday", "350 kg"):
        assert f'value="{value}"' in page
    said = "Sells from 55.50_USD on. Carriage 12.50_USD, free from 400.00_USD on. On Tuesday, Friday."
    assert said.replace("_", SPACE) in demo_client.get("/buying").text
    wrong = {**form, "version": "2"}
    for more, sentence in (
        ({"discount": "100"}, "it is above 0 and below 100 %"),
        ({"days": "-1"}, "is no whole number of days"),
        ({"weekdays": "noday"}, "“noday” is no day of the week"),
        ({"load": "0"}, "must be above zero"),
        ({"free_from": "much"}, "much"),
        ({"carriage": ""}, "Say what carriage they ask below that"),
    ):
        refused = demo_client.send_form(address, {**wrong, **more})
        assert refused.status_code == 422
        assert sentence in refused.text
        # Nothing typed is lost.
        assert 'value="fri tues"' in refused.text or "weekdays" in more


def test_a_list_price_is_kept_less_the_trade_discount_of_its_supplier(demo_client: Visitor) -> None:
    """80.00 less 12.5 % are 70.00, by hand."""
    form = {"name": "Quillmere", "note": "", "comes": "round", "discount": "12.5", "version": "1"}
    assert demo_client.send_form("/buying/suppliers/quillmere/edit", form).status_code == 303
    with demo_client.program.database.reading() as session:
        offer = next(one.offer for one in load_offers(session, "birch_plywood_18") if one.offer.supplier == "quillmere")
    address = f"/materials/birch_plywood_18/offers/{offer.id}/price"
    told = {"amount": "80.00", "marks": "shown", "list_price": "yes", "confirmed": "70.00"}
    assert demo_client.send_form(address, told).status_code == 303
    with demo_client.program.database.reading() as session:
        last = price_history(session, UUID(offer.id))[0]
    assert last.amount == 70
    assert last.where == "typed, list price 80.00 less 12.5 %"
    assert "our 12.5 % come off it" in demo_client.get("/materials/birch_plywood_18").text


def test_how_the_goods_of_a_supplier_come_is_kept_and_shown_with_its_offers(demo_client: Visitor) -> None:
    address = "/buying/suppliers/quillmere/edit"
    assert '<option value="round" selected>' in demo_client.get(address).text
    form = {"name": "Quillmere", "note": "", "comes": "delivered", "carriage": "12.50", "version": "1"}
    assert demo_client.send_form(address, form).status_code == 303
    kept = next(one for one in suppliers_of(demo_client) if one.code == "quillmere")
    assert (kept.comes, kept.carriage) == (Comes.DELIVERED, Decimal("12.5"))
    assert 'value="12.50"' in demo_client.get(address).text
    assert "<dt>Comes</dt><dd>delivered</dd>" in demo_client.get("/materials/wood_glue").text
    sheets = [demo_client.get(f"/jobs/{number}?open=all").text for number in range(1, 5)]
    assert any("Carriage of Quillmere" in sheet for sheet in sheets)
    late = demo_client.send_form(address, {**form, "comes": "round", "carriage": ""})
    assert late.status_code == 409
    assert "on our weekly round" in late.text
    wrong = {**form, "version": "2", "comes": "round"}
    for more, sentence in (
        ({}, "Only what is delivered costs carriage"),
        ({"carriage": "0", "comes": "delivered"}, "leave it empty where they ask nothing for it"),
        ({"carriage": "", "comes": "by pigeon"}, "Choose how its goods come."),
    ):
        page = demo_client.send_form(address, {**wrong, **more})
        assert page.status_code == 422
        assert sentence in page.text


def test_a_wrong_supplier_is_said_and_not_kept(client: Visitor) -> None:
    client.send_form("/buying/suppliers/new", {"name": "Invented Timber"})
    for name, note, sentence in (
        ("", "", "The supplier needs a name"),
        ("  ", "", "The supplier needs a name"),
        ("x" * 121, "", "The name has 121 characters; at most 120 are kept."),
        ("invented TIMBER", "", "There is a supplier called “invented TIMBER” already."),
        ("Another", "x" * 1001, "The note has 1001 characters; at most 1000 are kept."),
    ):
        page = client.send_form("/buying/suppliers/new", {"name": name, "note": note})
        assert page.status_code == 422
        assert sentence in page.text
    assert len(suppliers_of(client)) == 1


def test_two_names_of_one_code_are_kept_apart(client: Visitor) -> None:
    for name in ("Timber & Co", "Timber, Co", "木材"):
        assert client.send_form("/buying/suppliers/new", {"name": name}).status_code == 303
    assert {one.code for one in suppliers_of(client)} == {"timber_co", "timber_co_2", "supplier"}


def test_an_unknown_supplier_is_not_found(client: Visitor) -> None:
    assert client.get("/buying/suppliers/none/edit").status_code == 404
