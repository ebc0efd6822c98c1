"""Figures of a job opened, prices typed where they are missing, and the price on the telephone."""

from __future__ import annotations

import re
from html import unescape
from uuid import UUID

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.jobs.test_jobs import SHEET, estimated, kept, sheet, shown_total
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.pages.shown.figures import all_figures, stretch_figures
from webapp.persistence.catalogue.changes import add_material
from webapp.persistence.catalogue.records import load_offers, price_history

LINK = re.compile(r'href="(/jobs/\d+/working/[^"]+)"')


def links(page: str) -> list[str]:
    return [unescape(found) for found in LINK.findall(page)]


# ---- workings -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 4])
def test_every_figure_of_the_sheet_has_a_working(demo_client: Visitor, number: int) -> None:
    figures = all_figures(estimated(demo_client, kept(demo_client, number).document))
    opened = {link.partition("/working/")[2] for link in links(demo_client.get(f"/jobs/{number}?open=all").text)}
    assert len(opened) > 100
    assert opened <= set(figures)


def test_a_working_says_its_rule_its_inputs_and_where_they_came_from(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/working/hours/cabinets/spray/labour").text
    assert "minutes / 60 x rate of the maker, rounded half up" in page
    assert "half up(minutes / 60 × rate, coin)" in page
    assert "Maker, an hour with all that it costs" in page
    assert "program&#39;s own figure, to begin with" in page
    assert "<html" in page
    further = links(page)
    assert "/jobs/2/working/hours/cabinets/spray/charged" in further
    for link in further:
        assert demo_client.get(link).status_code == 200
    assert "<html" not in demo_client.swap(further[0], method="GET").text


def test_a_working_follows_what_is_typed(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 4), "items.cabinet.quantity": "7"}
    page = demo_client.swap("/jobs/4/working/item/cabinet/quantity", fields).text
    assert ">7<" in page
    assert ">1<" in demo_client.get("/jobs/4/working/item/cabinet/quantity").text


def test_a_figure_that_is_no_more_is_said_to_be_none(demo_client: Visitor) -> None:
    answer = demo_client.swap("/jobs/4/working/item/cabinet/no_such", sheet(demo_client, 4))
    assert answer.status_code == 404
    assert "There is no figure in this job as it stands now under item/cabinet/no_such." in answer.text


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_the_stretches_of_the_price_add_up_to_the_total(demo_client: Visitor, number: int) -> None:
    found = estimated(demo_client, kept(demo_client, number).document)
    totals = found.totals
    stretches = {figure.id: figure.value for figure in stretch_figures(found)}
    profit = stretches.pop("stretch/profit", totals.profit.value)
    cost = sum(stretches.values())
    assert cost == totals.cost.value
    assert cost + profit - totals.discount.value + totals.tax.value + totals.fee.value == totals.total.value
    page = demo_client.get(f"/jobs/{number}").text
    assert "What the price is made of." in page
    for name in stretches:
        assert f"/working/{name}" in page


# ---- prices -------------------------------------------------------------------------------------------------------


def oak(visitor: Visitor) -> str:
    """The offer of the oak that the demo has no price for."""
    with visitor.program.database.reading() as session:
        offers = load_offers(session, "white_oak")
    page = visitor.get("/jobs/4").text
    return next(one.offer.id for one in offers if f"price.{one.offer.id}" in page)


def test_a_missing_price_is_typed_in_its_row_and_kept_as_seen(demo_client: Visitor) -> None:
    offer = oak(demo_client)
    fields = {
        **sheet(demo_client, 4), f"price.{offer}": "9.40", "keep": offer, "items.cabinet.sizes.width": "1000 mm",
    }  # fmt: skip
    answer = demo_client.swap("/jobs/4/price", fields)
    assert answer.status_code == 200
    assert "incomplete" not in answer.text.lower()
    assert f"price.{offer}" not in answer.text
    with demo_client.program.database.reading() as session:
        seen = price_history(session, UUID(offer))[0]
    assert (str(seen.amount.normalize()), seen.where, seen.currency) == ("9.4", "typed in job 4", "USD")
    assert "sizes" not in kept(demo_client, 4).document["items"][0], "keeping a price saved the job too"
    assert "incomplete" not in demo_client.get("/jobs/4").text.lower()


def test_a_price_that_can_not_be_kept_is_said_in_its_row(demo_client: Visitor) -> None:
    offer = oak(demo_client)
    usual = {**sheet(demo_client, 4), "keep": offer, "notes": "Half a note"}
    for text, sentence in (
        ("", "Type the price of White oak first."),
        ("nine", "“nine” can't be read as an amount"),
        ("9.40 EUR", "EUR"),
        ("0", "a price must be above zero"),
        ("-4", "Price of White oak"),
    ):
        part = demo_client.swap("/jobs/4/price", {**usual, f"price.{offer}": text})
        assert sentence in unescape(part.text)
    whole = demo_client.send_form("/jobs/4/price", {**usual, f"price.{offer}": "nine"})
    assert whole.status_code == 422
    shown = form_fields(whole.text, SHEET)
    assert shown[f"price.{offer}"] == "nine"
    assert shown["notes"] == "Half a note"
    with demo_client.program.database.reading() as session:
        assert price_history(session, UUID(offer)) == ()


def test_a_save_keeps_the_prices_that_are_typed_too(demo_client: Visitor) -> None:
    offer = oak(demo_client)
    wrong = demo_client.send_form("/jobs/4", {**sheet(demo_client, 4), f"price.{offer}": "much", "notes": "Kept"})
    assert wrong.status_code == 422
    assert "The job is saved." in wrong.text
    assert kept(demo_client, 4).document["notes"] == "Kept"
    right = demo_client.send_form("/jobs/4", {**form_fields(wrong.text, SHEET), f"price.{offer}": "9.40"})
    assert right.status_code == 303
    assert "incomplete" not in demo_client.get("/jobs/4").text.lower()


def test_a_material_that_nobody_offers_gets_its_first_offer_in_its_row(demo_client: Visitor) -> None:
    program = demo_client.program
    with program.database.writing() as session:
        add_material(session, Material("brass_foot", "Brass foot", Kind.PIECE), at=program.now())
    fields = {
        **sheet(demo_client, 2), "items.cabinets.materials.foot_stock": "brass_foot", "keep_offer": "brass_foot",
        "open.materials": "yes",
    }  # fmt: skip
    assert "Nobody offers it in a size that serves" in demo_client.swap("/jobs/2/estimate", fields).text
    empty = demo_client.swap("/jobs/2/price", {**fields, "offer.brass_foot.count": "none"}).text
    assert "Choose who sells Brass foot, or name a new supplier." in empty
    assert "Pieces in a pack of Brass foot" in empty
    assert "Type the price of Brass foot first." in empty
    kept_one = demo_client.swap(
        "/jobs/2/price",
        {
            **fields, "offer.brass_foot.new_supplier": "Foundry Row", "offer.brass_foot.count": "4",
            "offer.brass_foot.price": "22.00",
        },
    ).text  # fmt: skip
    assert "incomplete" not in kept_one.lower()
    assert "2 × pack of 4, Foundry Row" in kept_one
    with program.database.reading() as session:
        assert [one.offer.supplier for one in load_offers(session, "brass_foot")] == ["foundry_row"]


def test_a_price_for_an_offer_that_is_not_kept_is_refused(demo_client: Visitor) -> None:
    for offer in ("nonsense", "7c31fa07-ad67-5093-836c-000000000000"):
        fields = {**sheet(demo_client, 4), f"price.{offer}": "3", "keep": offer}
        assert demo_client.swap("/jobs/4/price", fields).status_code == 404


# ---- on the telephone ---------------------------------------------------------------------------------------------


def test_a_past_bench_with_three_sizes_and_a_quantity_gives_a_round_price_and_a_day(demo_client: Visitor) -> None:
    page = demo_client.get("/price?words=cabinets").text
    assert re.search(r"Cabinets under the window</a> <span class=\"quiet\">job 2,", page)
    # One field finds it by a customer, a word or a size; what nothing has finds nothing.
    for words in ("window", "850", "cabinets 850 mm"):
        assert 'href="/price?bench=job:2:cabinets"' in demo_client.get("/price", params={"words": words}).text, words
    nothing = demo_client.get("/price?words=no+such+bench").text
    assert "No bench is like that." in nothing
    assert "/price?bench=" not in nothing
    fields = form_fields(demo_client.get("/price?bench=job:2:cabinets").text, "price-form")
    assert [name for name in fields if name.startswith("size_")] == ["size_1", "size_2", "size_3"]
    assert fields["size_1"] == "850 mm"
    typed = {**fields, "size_1": "1000 mm", "size_2": "650 mm", "size_3": "900 mm", "quantity": "3"}
    answer = demo_client.send_form("/price", typed).text
    said = re.search(r'id="spoken-price" data-figure>([\d,]+)<.*?ready on (\w+) \d+ \w+ \d{4}', answer, re.S)
    assert said
    charged = float(_charged(answer))
    # One round price, never less than what a quote would say, and a day on which somebody is at work.
    assert charged <= float(said[1].replace(",", "")) < charged + 50
    assert said[2] not in ("Saturday", "Sunday")
    made = demo_client.send_form("/price/keep", typed)
    job = kept(demo_client, int(made.headers["location"].rpartition("/")[2]))
    item = job.document["items"][0]
    assert (item["quantity"], item["sizes"]["width"], item["choices"]["top"]) == ("3", "1000 mm", "laminate_top")
    assert float(shown_total(demo_client.get(made.headers["location"]).text)) == charged


@pytest.mark.parametrize("number", [2, 3])
def test_a_past_bench_costs_on_the_telephone_what_its_job_costs_today(demo_client: Visitor, number: int) -> None:
    """One item a job, with delivery and lines beside it: the same job, so the same price to the cent."""
    document = kept(demo_client, number).document
    (item,) = document["items"]
    typed = form_fields(demo_client.get(f"/price?bench=job:{number}:{item['id']}").text, "price-form")
    typed["quantity"] = item["quantity"]
    assert typed["terms"] == "yes"
    told = demo_client.send_form("/price", typed).text
    on_the_sheet = shown_total(demo_client.get(f"/jobs/{number}").text)
    assert _charged(told) == on_the_sheet
    assert "delivery" in told
    # What the job had beside the bench can be left out, and is then in no price.
    alone = {name: text for name, text in typed.items() if name != "terms"}
    assert float(_charged(demo_client.send_form("/price", alone).text)) < float(on_the_sheet)
    made = demo_client.send_form("/price/keep", alone).headers["location"]
    assert "delivery" not in kept(demo_client, int(made.rpartition("/")[2])).document
    assert shown_total(demo_client.get(made).text) == _charged(demo_client.send_form("/price", alone).text)


@pytest.mark.parametrize("novelty", ["repeat", "known", "new"])
def test_the_telephone_takes_the_contingency_of_the_job(demo_client: Visitor, novelty: str) -> None:
    made = demo_client.send_form("/jobs/new", {"start": "design:trestle_bench", "title": "As last year"})
    address = made.headers["location"]
    fields = {**sheet(demo_client, int(address.rpartition("/")[2])), "novelty": novelty, "discount": "4 %"}
    assert demo_client.send_form(address, fields).status_code == 303
    bench = f"/price?bench=job:{address.rpartition('/')[2]}:trestle_bench"
    assert _charged(demo_client.get(bench).text) == shown_total(demo_client.get(address).text)


def _charged(page: str) -> str:
    found = re.search(r"Price, as charged</dt><dd>.*?value\">([\d,.]+)<", page)
    assert found
    return found[1].replace(",", "")


def test_another_bench_does_not_take_the_sizes_of_the_one_before(demo_client: Visitor) -> None:
    fields = form_fields(demo_client.get("/price?bench=design:bench_cabinet").text, "price-form")
    other = demo_client.send_form("/price", {**fields, "size_1": "1111 mm", "bench": "design:trestle_bench"}).text
    assert "1111 mm" not in other
    assert form_fields(other, "price-form")["was"] == "design:trestle_bench"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"size_1": "wide"}, "Overall width: “wide” can&#39;t be read as a length"),
        ({"size_1": "11008 mm"}, "Overall width: “11008 mm” is out of its limits"),
        ({"size_1": ""}, "Type the overall width"),
        ({"quantity": "0"}, "Quantity: “0” should be a whole number"),
        ({"quantity": ""}, "Type how many are wanted."),
    ],
)  # fmt: skip
def test_what_cannot_be_read_on_the_telephone_is_refused_and_nothing_is_priced(
    demo_client: Visitor, typed: dict[str, str], sentence: str
) -> None:
    fields = form_fields(demo_client.get("/price?bench=design:bench_cabinet").text, "price-form")
    for answer in (
        demo_client.send_form("/price", {**fields, **typed}),
        demo_client.swap("/price", {**fields, **typed}),
    ):
        assert sentence in answer.text
        assert "No price" in answer.text
        assert 'id="spoken-price"' not in answer.text
        assert "Price, as charged" not in answer.text
        assert form_fields(answer.text, "price-form")["size_2"] == fields["size_2"]
    jobs = demo_client.get("/jobs").text.count('href="/jobs/')
    refused = demo_client.send_form("/price/keep", {**fields, **typed})
    assert refused.status_code == 422
    assert sentence in refused.text
    assert demo_client.get("/jobs").text.count('href="/jobs/') == jobs


def test_a_size_that_is_not_asked_for_is_refused_by_its_sentence(demo_client: Visitor) -> None:
    fields = {**sheet(demo_client, 2), "items.cabinets.sizes.tallest_thing": "tall"}
    assert demo_client.send_form("/jobs/2", fields).status_code == 303
    page = demo_client.get("/price?bench=job:2:cabinets").text
    assert "“tall” can&#39;t be read as a length" in page
    assert 'id="spoken-price"' not in page


def test_what_the_design_warns_of_is_said_on_the_telephone(demo_client: Visitor) -> None:
    fields = form_fields(demo_client.get("/price?bench=design:bench_cabinet").text, "price-form")
    usual = demo_client.send_form("/price", fields).text
    assert "With all drawers pulled out it may tip" not in usual
    page = demo_client.send_form("/price", {**fields, "size_2": "560 mm", "size_3": "920 mm"}).text
    assert "With all drawers pulled out it may tip" in page
    assert 'id="spoken-price"' in page
    gone = demo_client.get("/price?bench=job:2:no_such").text
    assert "That bench is no longer kept; choose another." in gone


def test_a_shop_without_designs_is_told_so_on_the_telephone(client: Visitor) -> None:
    assert "There is no design and no past job to price yet." in client.get("/price").text
