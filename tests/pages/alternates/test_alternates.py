"""A job in other ways: made from its sheet, priced beside it, put on its quote as options, and one of them accepted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from sqlalchemy import text

from tests.documents.paper_case import text_of
from tests.harness.visiting import Visitor
from webapp.costing.alternates.form import in_other_way
from webapp.documents.printing.paper import reader_of
from webapp.documents.quotes.frozen import same_figures, same_papers, work_out_again
from webapp.documents.quotes.options import OfferedWay, option_lines, read_options
from webapp.persistence.jobs.records import StoredJob, load_job_by_number, save_job
from webapp.persistence.quotes.records import StoredQuote, load_quote, quotes_of_job
from webapp.persistence.settings.shop import Shop, load_shop
from webapp.standing import estimate_stored, estimate_to_make, estimate_ways

CODE = "trestle_bench"
NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def number(demo_client: Visitor) -> int:
    """The number of a job of one bench."""
    answer = demo_client.send_form("/jobs/new", {"start": f"design:{CODE}", "title": "A bench in several ways"})
    return int(answer.headers["location"].rpartition("/")[2])


def stored(visitor: Visitor, number: int) -> StoredJob:
    with visitor.program.database.reading() as session:
        return load_job_by_number(session, number)


def shop_of(visitor: Visitor) -> Shop:
    with visitor.program.database.reading() as session:
        return load_shop(session)


def words(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split()).replace(NBSP, " ")


def add_way(visitor: Visitor, number: int, name: str, offered: bool = False, **changed: str) -> str:
    """Another way kept as its form would send it; its id."""
    (item,) = stored(visitor, number).document["items"]
    stem = f"items.{item['id']}"
    fields = {f"{stem}.sizes.{key}": value for key, value in item["sizes"].items()}
    fields |= {
        "name": name, "version": str(stored(visitor, number).version), f"{stem}.design": CODE,
        f"{stem}.version": str(item["version"]), f"{stem}.quantity": "1", **({"on_quote": "yes"} if offered else {}),
        **{f"{stem}.{key.replace('__', '.')}": value for key, value in changed.items()},
    }  # fmt: skip
    answer = visitor.send_form(f"/jobs/{number}/alternates/new", fields)
    assert answer.status_code == 303, words(answer.text)
    return str(stored(visitor, number).document["alternates"][-1]["id"])


def total_of(visitor: Visitor, number: int, key: str = "") -> Decimal:
    """What the job comes to, or another way of it, by its own estimate."""
    at = visitor.program.now()
    with visitor.program.database.reading() as session:
        shop, job = load_shop(session), load_job_by_number(session, number)
        form: Mapping[str, Any] = job.document
        if key:
            form = in_other_way(form, next(one for one in form["alternates"] if one["id"] == key))
        found = estimate_stored(session, job, form, shop, shop.today(at)).estimate
        return Decimal(found.totals.total.value.numerator) / Decimal(found.totals.total.value.denominator)


def issue(visitor: Visitor, number: int) -> StoredQuote:
    page = visitor.get(f"/jobs/{number}/issue").text
    fields = dict(re.findall(r'<input type="hidden" name="(revision|version|total|options)" value="([^"]*)"', page))
    fields |= dict.fromkeys(re.findall(r'name="(why\.[^"]+)"', page), "As the customer wants it.")
    ticks = re.findall(r'name="agreed" type="checkbox" value="([^"]+)"', page)
    answer = visitor.send_form(f"/jobs/{number}/issue", {**fields, "agreed": ticks})
    assert answer.status_code == 303, words(answer.text)
    return last_quote(visitor, number)


def last_quote(visitor: Visitor, number: int) -> StoredQuote:
    with visitor.program.database.reading() as session:
        today = load_shop(session).today(visitor.program.now())
        listed = quotes_of_job(session, load_job_by_number(session, number).id, today)[0]
        return load_quote(session, listed.id, today)


def test_a_way_is_made_from_the_sheet_and_keeps_what_differs_alone(demo_client: Visitor, number: int) -> None:
    (item,) = stored(demo_client, number).document["items"]
    sheet = demo_client.get(f"/jobs/{number}").text
    assert f'value="another.{item["id"]}"' in sheet
    form = demo_client.get(f"/jobs/{number}/alternates/new?item={item['id']}").text
    assert f'name="items.{item["id"]}.choices.top"' in form
    key = add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    (way,) = stored(demo_client, number).document["alternates"]
    assert way == {"id": key, "name": "Softwood top", "items": {item["id"]: {"choices": {"top": "softwood_top"}}}}
    assert "1 other way, side by side" in demo_client.get(f"/jobs/{number}").text
    side = words(demo_client.get(f"/jobs/{number}/alternates").text)
    assert "Top: softwood top in place of hardwood top" in side


def test_a_way_without_a_name_or_a_difference_is_not_taken(demo_client: Visitor, number: int) -> None:
    (item,) = stored(demo_client, number).document["items"]
    stem = f"items.{item['id']}"
    fields = {"name": "", f"{stem}.design": CODE, f"{stem}.quantity": "2"}
    answer = demo_client.send_form(f"/jobs/{number}/alternates/new", fields)
    assert answer.status_code == 422
    assert "Say what this way is called" in answer.text
    assert re.search(rf'name="{stem}.quantity"[^>]*value="2"', answer.text)
    same = {"name": "The same", f"{stem}.design": CODE, f"{stem}.version": item["version"], f"{stem}.quantity": "1"}
    same |= {f"{stem}.sizes.{key}": value for key, value in item["sizes"].items()}
    answer = demo_client.send_form(f"/jobs/{number}/alternates/new", same)
    assert answer.status_code == 422
    assert "Nothing differs" in answer.text
    assert "alternates" not in stored(demo_client, number).document


def test_side_by_side_each_way_says_by_how_much_it_is_more_or_less(demo_client: Visitor, number: int) -> None:
    soft = add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    long = add_way(demo_client, number, "Two of them", quantity="2")
    own = total_of(demo_client, number)
    page = demo_client.get(f"/jobs/{number}/alternates").text
    for key in (soft, long):
        other = total_of(demo_client, number, key)
        row = words(page.split(f'<tr id="{key}">')[1].split("</tr>")[0])
        by = other - own
        assert f"{other:,.2f}" in row
        assert f"{'+' if by > 0 else '−'}{abs(by):,.2f}" in row
        assert "hold" in row
        assert "working day" in row


def test_the_job_itself_is_priced_as_before(demo_client: Visitor, number: int) -> None:
    before = total_of(demo_client, number)
    add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top")
    assert total_of(demo_client, number) == before


def test_a_save_of_the_sheet_leaves_the_ways_as_they_are(demo_client: Visitor, number: int) -> None:
    add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    job = stored(demo_client, number)
    (item,) = job.document["items"]
    fields = {"job": "Called otherwise", "version": str(job.version), f"items.{item['id']}.design": CODE,
              f"items.{item['id']}.quantity": "3"}  # fmt: skip
    assert demo_client.send_form(f"/jobs/{number}", fields).status_code == 303
    assert stored(demo_client, number).document["alternates"] == job.document["alternates"]
    assert stored(demo_client, number).document["items"][0]["quantity"] == "3"


def test_a_way_made_the_jobs_own_is_put_back_by_the_same_press(demo_client: Visitor, number: int) -> None:
    key = add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    before, wanted = stored(demo_client, number), total_of(demo_client, number, key)
    assert demo_client.send_form(f"/jobs/{number}/alternates/{key}/take").status_code == 303
    assert stored(demo_client, number).document["items"][0]["choices"] == {"top": "softwood_top"}
    assert total_of(demo_client, number) == wanted
    assert "As before: Softwood top" in demo_client.get(f"/jobs/{number}/alternates").text
    assert demo_client.send_form(f"/jobs/{number}/alternates/{key}/take").status_code == 303
    assert stored(demo_client, number).document == before.document


def test_a_way_is_changed_taken_off_the_quote_and_removed(demo_client: Visitor, number: int) -> None:
    key = add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top")
    form = demo_client.get(f"/jobs/{number}/alternates/{key}").text
    assert 'value="Softwood top"' in form
    assert re.search(r'value="softwood_top" selected', form)
    demo_client.send_form(f"/jobs/{number}/alternates/{key}/offer", {"on_quote": "no"})
    assert "on_quote" not in stored(demo_client, number).document["alternates"][0]
    demo_client.send_form(f"/jobs/{number}/alternates/{key}/remove")
    assert "alternates" not in stored(demo_client, number).document
    assert demo_client.get(f"/jobs/{number}/alternates/{key}").status_code == 404


def test_what_somebody_else_saved_meanwhile_is_not_saved_over(demo_client: Visitor, number: int) -> None:
    key = add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    answer = demo_client.send_form(f"/jobs/{number}/alternates/{key}/remove", {"version": "1"})
    assert answer.status_code == 409
    assert stored(demo_client, number).document["alternates"]


def test_a_helper_sees_no_prices_of_ways(demo_client: Visitor, number: int) -> None:
    demo_client.sign_in("helper")
    assert demo_client.get(f"/jobs/{number}/alternates").status_code == 403
    assert "Try another way" not in demo_client.get(f"/jobs/{number}").text


def test_options_add_up_to_the_cent_on_page_in_pdf_and_in_what_is_kept(demo_client: Visitor, number: int) -> None:
    keys = [
        add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top"),
        add_way(demo_client, number, "Two benches", offered=True, quantity="2"),
    ]
    own, others = total_of(demo_client, number), [total_of(demo_client, number, key) for key in keys]
    quote = issue(demo_client, number)
    assert quote.listed.total == own
    assert Decimal(quote.estimate["totals"]["total"]) == own
    for option, other in zip(quote.estimate["options"], others, strict=True):
        by = {part: Decimal(amount) for part, amount in option["by"].items()}
        assert by["net"] + by["tax"] + by["fee"] == by["total"]
        assert own + by["total"] == other == Decimal(option["total"])
    page = words(demo_client.get(f"/quotes/{quote.listed.id}").text)
    paper = " ".join(text_of(demo_client.get(f"/quotes/{quote.listed.id}/quote.pdf").content).split())
    paper = paper.replace(NBSP, " ")
    for name, other in zip(("Softwood top", "Two benches"), others, strict=True):
        more = other - own
        for said in (page, paper):
            assert f"Option: {name}" in said
            row = said.split(f"Option: {name}")[1]
            assert f"{'+' if more > 0 else '−'}{abs(more):,.2f}" in row
            assert f"{other:,.2f}" in row
    assert f"{own:,.2f}" in paper


def test_what_is_kept_of_options_prints_the_same_again(
    demo_client: Visitor, number: int, unprinted: None
) -> None:
    add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top")
    quote = issue(demo_client, number)
    found, papers = work_out_again(quote.snapshot)
    assert same_papers(quote.snapshot, papers)
    assert [one.label for one in papers.quote.options] == ["Option: Softwood top"]
    assert same_figures(quote.estimate, found)
    # A price that moves since moves no option that was told.
    (kept,) = read_options(quote.snapshot)
    assert f"{kept.beside(found).total}" == quote.estimate["options"][0]["total"]


def test_a_quote_accepted_with_an_option_stands_at_it(demo_client: Visitor, number: int, unprinted: None) -> None:
    key = add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top")
    own, other = total_of(demo_client, number), total_of(demo_client, number, key)
    quote = issue(demo_client, number)
    address = f"/quotes/{quote.listed.id}"
    assert f'name="option" value="{key}"' in demo_client.get(address).text
    answer = demo_client.send_form(f"{address}/state", {"state": "accepted", "option": key, "note": "By letter"})
    assert answer.status_code == 303
    accepted = last_quote(demo_client, number)
    assert (accepted.listed.state, accepted.listed.option, accepted.listed.total) == ("accepted", key, other)
    assert "with the option Softwood top: By letter" in words(demo_client.get(address).text)
    # The job is made so, at what was agreed, and asks for nothing else.
    assert stored(demo_client, number).document["items"][0]["choices"] == {"top": "softwood_top"}
    sheet = words(demo_client.get(f"/jobs/{number}").text)
    assert f"{other:,.2f}" in sheet
    assert "asks for something else" not in sheet
    with demo_client.program.database.reading() as session:
        job, shop = load_job_by_number(session, number), load_shop(session)
        _, made = estimate_to_make(session, job, shop, shop.today(demo_client.program.now()))
    assert made.items[0].take_off.choices["top"] == "softwood_top"
    pack = demo_client.get(f"/jobs/{number}/workshop").text
    assert "Plank of the top" in pack
    assert "Top, glued up" not in pack
    assert f"{other:,.2f}" in demo_client.get("/jobs").text
    # Taken back, the quote stands at its own price, and the job is made as it was quoted.
    demo_client.send_form(f"{address}/state", {"state": "standing", "note": "A mistake"})
    back = last_quote(demo_client, number)
    assert (back.listed.state, back.listed.option, back.listed.total) == ("standing", "", own)
    assert stored(demo_client, number).document["items"][0].get("choices", {}) == {}
    assert demo_client.send_form(f"{address}/state", {"state": "accepted"}).status_code == 303
    assert last_quote(demo_client, number).listed.total == own
    assert "Top, glued up" in demo_client.get(f"/jobs/{number}/workshop").text


def test_an_option_that_the_quote_does_not_have_is_not_accepted(
    demo_client: Visitor, number: int, unprinted: None
) -> None:
    quote = issue(demo_client, number)
    answer = demo_client.send_form(f"/quotes/{quote.listed.id}/state", {"state": "accepted", "option": "way_9"})
    assert answer.status_code == 404
    assert last_quote(demo_client, number).listed.state == "standing"


def test_an_option_that_can_not_be_priced_stops_the_quote(demo_client: Visitor, number: int, unprinted: None) -> None:
    add_way(demo_client, number, "As tall as a tree", offered=True, sizes__height="9000 mm")
    ways = words(demo_client.get(f"/jobs/{number}/alternates").text)
    assert "See what the quote lacks" in ways
    assert "Issue quote" not in ways
    page = words(demo_client.get(f"/jobs/{number}/issue").text)
    assert "Option As tall as a tree:" in page
    assert demo_client.send_form(f"/jobs/{number}/issue").status_code == 422


def test_what_a_total_leaves_out_is_said_beside_it(demo_client: Visitor, number: int) -> None:
    """No price is known of the hardwood: the job by itself lacks it, and its way with a softwood top does not."""
    add_way(demo_client, number, "Softwood top", choices__top="softwood_top")
    before = words(demo_client.get(f"/jobs/{number}/alternates").text)
    assert "Incomplete" not in before
    with demo_client.program.database.writing() as session:
        offers = "SELECT offers.id FROM offers JOIN materials ON materials.id = material_id WHERE code = 'sugar_maple'"
        session.execute(text(f"DELETE FROM price_observations WHERE offer_id IN ({offers})"))
    page = words(demo_client.get(f"/jobs/{number}/alternates").text)
    assert page.count("Incomplete: its total leaves something out.") == 1
    assert "has no price" in page


def test_the_frozen_rows_are_still_never_changed(demo_client: Visitor, number: int, unprinted: None) -> None:
    issue(demo_client, number)
    with (
        pytest.raises(Exception, match="never changed"),
        demo_client.program.database.writing() as session,
    ):
        session.execute(text("UPDATE quotes SET total = 1"))


@pytest.mark.parametrize("places", [0, 2, 3])
def test_options_add_up_with_tax_discount_and_a_card(demo_client: Visitor, number: int, places: int) -> None:
    add_way(demo_client, number, "Softwood top", offered=True, choices__top="softwood_top")
    at = demo_client.program.now()
    with demo_client.program.database.writing() as session:
        job = load_job_by_number(session, number)
        settings = {"tax_goods": {"value": "8.25 %"}, "tax_services": {"value": "8.25 %"}}
        document = {**job.document, "discount": "7 %", "card": "yes", "settings": settings}
        save_job(session, job.id, document, job.version, at=at)
    with demo_client.program.database.reading() as session:
        shop, job = replace(load_shop(session), currency_places=places), load_job_by_number(session, number)
        own = estimate_stored(session, job, job.document, shop, shop.today(at))
        ways = estimate_ways(session, job, own, shop, shop.today(at))
    offered = [OfferedWay(way.entry, made.inputs, made.estimate) for way, made in ways.values()]
    read, _ = own.inputs.read_job(own.inputs.job)
    (line,) = option_lines(own.estimate, read, offered, reader_of(shop), "VAT")
    assert [row.words for row in line.amounts] == ["Without VAT", "VAT", "Card fee", "To pay"]
    net, tax, fee, total = (Decimal(row.amount.replace("−", "-").replace(",", "")) for row in line.amounts)
    assert net + tax + fee == total
    assert min(abs(net), abs(tax), abs(fee)) > 0
    assert total.as_tuple().exponent == -places
    told = Decimal(own.estimate.totals.total.value.numerator) / Decimal(own.estimate.totals.total.value.denominator)
    assert Decimal(line.total.split(NBSP)[0].split(" ")[0].replace(",", "")) == told + total


def test_an_option_goes_without_an_item_and_without_a_line(demo_client: Visitor, number: int, unprinted: None) -> None:
    """With or without: an item or an added line that a customer may leave out, told by name and priced to the cent."""
    job = stored(demo_client, number)
    (item,) = job.document["items"]
    document = {
        **job.document, "items": [item, {**item, "id": "second", "label": "The second bench"}],
        "lines": [{"id": "skip", "kind": "service", "says": "Skip hire", "each": "50"}],
    }  # fmt: skip
    with demo_client.program.database.writing() as session:
        save_job(session, job.id, document, job.version, at=demo_client.program.now(), by=None)
    form = demo_client.get(f"/jobs/{number}/alternates/new").text
    assert 'name="lines.skip.quantity"' in form
    fields = {
        "name": "One bench only", "version": str(stored(demo_client, number).version), "on_quote": "yes",
        "items.second.design": CODE, "items.second.version": str(item["version"]), "items.second.quantity": "0",
        "lines.skip.quantity": "0", **{f"items.second.sizes.{key}": value for key, value in item["sizes"].items()},
    }  # fmt: skip
    answer = demo_client.send_form(f"/jobs/{number}/alternates/new", fields)
    assert answer.status_code == 303, words(answer.text)
    (way,) = stored(demo_client, number).document["alternates"]
    assert way["items"] == {"second": {"quantity": "0"}}
    assert way["lines"] == {"skip": {"quantity": "0"}}
    side = words(demo_client.get(f"/jobs/{number}/alternates").text)
    assert "without “The second bench”" in side
    assert "without “Skip hire”" in side
    assert "is left out" not in side
    alone = {**document, "items": [item], "lines": []}
    at = demo_client.program.now()
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
        bare = estimate_stored(session, job, alone, shop, shop.today(at)).estimate.totals.total.value
    assert total_of(demo_client, number, way["id"]) == Decimal(bare.numerator) / Decimal(bare.denominator)
    quote = issue(demo_client, number)
    (option,) = read_options(quote.snapshot)
    assert option.estimate.totals.total.value == bare
    _, papers = work_out_again(quote.snapshot)
    assert set(papers.quote.options[0].says) == {"without “The second bench”", "without “Skip hire”"}


def test_an_item_of_which_there_is_none_is_said_at_its_field(demo_client: Visitor, number: int) -> None:
    (item,) = stored(demo_client, number).document["items"]
    stem = f"items.{item['id']}"
    page = demo_client.send_form(f"/jobs/{number}/estimate", {
        "job": "A bench", f"{stem}.design": CODE, f"{stem}.version": str(item["version"]), f"{stem}.quantity": "0",
    }).text  # fmt: skip
    assert "is left out: how many there are of it is 0." in unescape(page)
