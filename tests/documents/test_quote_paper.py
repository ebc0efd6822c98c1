"""The quote: what is printed adds up, and nothing that is the shop's own is printed."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import partial
from io import BytesIO
from typing import Any, Final
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from tests import wall_cabinet_case
from tests.documents.paper_case import DRAFT, ISSUE, LONG_JOB, SHOP, inputs_of, papers_of, text_of, without_prices_of
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.jobs.reader import read_job
from webapp.costing.measures.money import to_decimal
from webapp.costing.measures.written import format_length
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.measured import drawn_boxes
from webapp.documents.printing.paper import DoesNotAddUp
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.quotes.frozen import work_out_again, write_frozen, write_papers
from webapp.documents.quotes.issue import quote_html, shopping_list_html
from webapp.documents.quotes.quote import QuotePaper, quote_paper
from webapp.persistence.foundation.column_types import canonical_json
from webapp.persistence.settings.shop import Paper
from webapp.seed import load_catalogue, load_designs


def amount(text: str) -> Decimal:
    """A printed amount as a number."""
    return Decimal(text.replace(",", "").replace("−", "-").replace("\N{NO-BREAK SPACE}", " ").split()[0])


def rows_of(paper: QuotePaper) -> dict[str, Decimal]:
    """The sums by their words, up to the first comma."""
    return {row.words.split(",")[0]: amount(row.amount) for row in paper.sums}


JOBS = {
    "one cabinet": wall_cabinet_case.JOB,
    "everything": LONG_JOB,
    "collected": {**wall_cabinet_case.JOB, "delivery": {}, "install": "no", "discount": "3 %"},
    "only a line": {
        "form": "1",
        "job": "A hinge",
        "items": [],
        "lines": [{"kind": "part", "says": "Hinge", "quantity": "7", "each": "0.65"}],
    },
}


@pytest.mark.parametrize("name", JOBS)
def test_the_printed_lines_add_up_to_the_printed_total(name: str) -> None:
    found, papers = papers_of(inputs_of(JOBS[name]))
    paper, rows = papers.quote, rows_of(papers.quote)
    assert sum(amount(line.amount) for line in paper.lines) == rows.get(
        "Price before discount", rows["Price without tax"]
    )
    for line in paper.lines:
        assert amount(line.each) * Decimal(line.quantity) == amount(line.amount)
    net = rows.get("Price before discount", rows["Price without tax"]) + rows.get("Discount", Decimal(0))
    assert net == rows["Price without tax"]
    fee = rows.get("Fee for paying by card", Decimal(0))
    assert net + rows["Tax"] + fee == rows["Total to pay"]
    assert rows["Total to pay"] == to_decimal(found.totals.total.value, 2)
    assert sum(amount(row.amount) for row in paper.paid) in (0, rows["Total to pay"])


def test_the_total_in_the_pdf_is_the_estimate_s() -> None:
    found, papers = papers_of(inputs_of())
    text = text_of(make_pdf(quote_html(papers.quote)))
    assert to_decimal(found.totals.total.value, 2) == Decimal("1192.03")
    assert "Total to pay 1,192.03 USD" in text
    assert "Deposit, with the order 476.81 USD" in text
    assert "Balance, when the work is handed over 715.22 USD" in text


def test_every_line_and_sum_is_in_the_pdf() -> None:
    _, papers = papers_of(inputs_of(LONG_JOB))
    text = text_of(make_pdf(quote_html(papers.quote)))
    for line in papers.quote.lines:
        assert " ".join(f"{line.label} {line.scope}".split()) in text
        assert f"{line.quantity} at {line.each} {line.amount}" in text
    for row in (*papers.quote.sums, *papers.quote.paid):
        assert f"{row.words} {row.amount}".replace("\N{NO-BREAK SPACE}", " ") in text
    for sentence in (*papers.quote.not_included, *papers.quote.terms):
        assert sentence in text


def test_a_customer_never_sees_what_is_the_shop_s_own() -> None:
    found, papers = papers_of(inputs_of(LONG_JOB))
    text = text_of(make_pdf(quote_html(papers.quote)))
    for word in ("margin", "profit", "overhead", "contingency", "handling", "markup", "supplier", "hour", "floor 1"):
        assert word not in text.casefold()
    assert not [word for word in text.casefold().replace(",", " ").split() if word in {"cost", "costs", "labour"}]
    printed = {line.amount for line in papers.quote.lines} | {line.each for line in papers.quote.lines}
    inner = [line.cost for line in found.lines] + [figure for line in found.lines for _, figure in line.build_up]
    inner += [found.totals.cost, found.totals.profit, found.totals.floor_target, *(one.bought for one in found.bought)]
    for figure in inner:
        written = f"{to_decimal(figure.value, 2):,}"
        assert written in printed or written not in text.split(), figure.label


def test_what_is_not_included_is_said_by_design_and_job_alone() -> None:
    inputs = inputs_of({**LONG_JOB, "items": [{"id": "cabinet", "design": "wall_cabinet"}]}, without_prices_of("hinge"))
    found, papers = papers_of(inputs, DRAFT)
    assert any("Hinge has no price" in sentence for sentence in found.basis.exclusions)
    assert papers.quote.not_included == (
        "Wiring and wall repair.",
        "Wiring and moving of sockets.",
        "Painting of the wall behind the cabinets.",
    )
    text = text_of(make_pdf(quote_html(papers.quote)))
    assert "no price" not in text
    assert "Incomplete:" in text
    assert "Total so far, incomplete" in text
    assert "Total to pay" not in text


def test_a_draft_is_no_offer_and_has_no_line_to_sign() -> None:
    _, papers = papers_of(inputs_of(), DRAFT)
    text = text_of(make_pdf(quote_html(papers.quote)))
    assert "Draft quote: Wall cabinet" in text
    assert "a budget price, not an offer" in text
    assert "Signature" not in text
    _, papers = papers_of(inputs_of())
    assert text_of(make_pdf(quote_html(papers.quote))).count("Signature and date") == 2


@pytest.mark.parametrize("field", ["price", "net", "tax", "unit_price"])
def test_a_quote_that_does_not_add_up_is_never_made(field: str) -> None:
    inputs = inputs_of()
    found, _ = papers_of(inputs)
    line = found.lines[0]
    wrong = replace(getattr(line, field), value=getattr(line, field).value + Fraction(1, 100))
    broken = replace(found, lines=(replace(line, **{field: wrong}), *found.lines[1:]))
    with pytest.raises(DoesNotAddUp):
        write_papers(inputs, broken, SHOP, ISSUE, 7, "A4")


@pytest.mark.parametrize("field", ["price", "net", "tax", "fee", "total", "deposit", "balance"])
def test_a_total_that_is_a_cent_off_is_never_printed(field: str) -> None:
    inputs = inputs_of(LONG_JOB)
    found, _ = papers_of(inputs)
    figure = getattr(found.totals, field)
    totals = replace(found.totals, **{field: replace(figure, value=figure.value + Fraction(1, 100))})
    job, _ = read_job(inputs.job, inputs.system)
    with pytest.raises(DoesNotAddUp):
        quote_paper(replace(found, totals=totals), job, SHOP, ISSUE, "A4")


def test_what_was_typed_is_printed_as_words_and_never_as_marks() -> None:
    hostile = '<link rel="attachment" href="file:///etc/hostname"><b>Studio & Sons</b>'
    typed: Inputs = inputs_of({**wall_cabinet_case.JOB, "job": hostile, "customer": {"name": hostile}})
    _, papers = papers_of(typed)
    made = make_pdf(quote_html(papers.quote))
    assert "<b>Studio & Sons</b>" in text_of(made)
    assert b"/EmbeddedFile" not in made


def test_a_currency_without_small_coins_prints_none() -> None:
    inputs = inputs_of()
    prices = {
        offer: tuple(replace(one, currency="JPY") for one in seen) for offer, seen in inputs.catalogue.prices.items()
    }
    inputs = replace(inputs, places=0, catalogue=replace(inputs.catalogue, currency="JPY", prices=prices))
    found, papers = papers_of(inputs, shop=replace(SHOP, currency="JPY", currency_places=0))
    assert all("." not in line.amount for line in papers.quote.lines)
    assert found.complete
    assert rows_of(papers.quote)["Total to pay"] == to_decimal(found.totals.total.value, 0)


# ---- what a customer reads ----------------------------------------------------------------------------------------


def starter(code: str, quantity: int = 1, **further: Any) -> Inputs:
    """A job of one of the starters with the demo's stock, delivered."""
    (document,) = [one for one in load_designs() if one["design"] == code]
    items = [{"id": "one", "design": code, "quantity": str(quantity), **further}]
    job = {**wall_cabinet_case.JOB, "job": "Benches", "items": items}
    catalogue = load_catalogue(date(2026, 11, 2))
    return replace(
        inputs_of(), job=job, designs={"one": document}, catalogue=catalogue, rates=default_rates(), plans={}
    )


def test_materials_are_named_in_words_that_a_customer_knows() -> None:
    _, papers = papers_of(
        starter("bench_cabinet", choices={"top": "solid_top"}, materials={"top_wood": "white_oak"}), DRAFT
    )
    (line, *_) = papers.quote.lines
    told = dict(line.made_of)
    assert told["Top"] == "White oak"
    assert told["Body and fronts; drawer sides and ends; back and drawer bottoms"] == "Birch-faced plywood"
    assert told["Handles"] == "Bow handle with screws"
    assert told["Finish"] == (
        "Water-borne lacquer, satin: fronts, outsides and edges, toe board in three coats; insides and drawers in two "
        "coats. Hard-wax oil: solid top, both faces alike in two coats"
    )
    assert "solid top" in line.scope
    said = " ".join(words for pair in line.made_of for words in pair)
    assert not re.search(r"\d+ ?mm|OT-|screw\b|glue|biscuit", said, re.IGNORECASE)


@pytest.mark.parametrize("code", sorted(str(one["design"]) for one in load_designs()))
def test_every_starter_says_what_it_is_made_of_and_is_drawn_with_its_three_sizes(code: str) -> None:
    found, papers = papers_of(starter(code))
    line = papers.quote.lines[0]
    assert len(line.made_of) >= 2
    assert all(place and words for place, words in line.made_of)
    assert ElementTree.fromstring(line.picture).get("role") == "img"
    written = set(re.findall(r">([\d.]+ mm)<", line.picture))
    taken = found.items[0].take_off
    boxes = drawn_boxes(taken.design, taken.parts, taken.hardware)
    for axis in range(3):
        low = min(box.corner[axis] for box in boxes)
        high = max(box.corner[axis] + box.extent[axis] for box in boxes)
        assert format_length(high - low, "metric") in written


def test_the_day_it_can_be_ready_is_that_of_the_calendar() -> None:
    found, papers = papers_of(inputs_of())
    days = int(found.calendar.ready.value)
    # 2 November 2026 is a Monday: the word is due in five working days, on the Monday after.
    assert f"if you order by 9 November 2026; after that, {days} working days after your order" in papers.quote.ready
    day = date(2026, 11, 9)
    left = days
    while left:
        day += timedelta(days=1)
        left -= day.weekday() < 5
    assert papers.quote.ready.startswith(f"From {day.day} {day:%B %Y} on")
    _, draft = papers_of(inputs_of(), DRAFT)
    assert draft.quote.ready == f"About {days} working days after your order."
    _, lacking = papers_of(inputs_of(catalogue=without_prices_of("hinge")), DRAFT)
    assert lacking.quote.ready == ""


def test_what_is_said_of_an_item_may_be_said_otherwise_and_is_kept_with_the_quote() -> None:
    inputs = inputs_of()
    otherwise = "A cabinet for the glaze room, as we talked it over."
    found, papers = papers_of(inputs, replace(ISSUE, wording={"cabinet": otherwise}))
    assert papers.quote.lines[0].scope == otherwise
    kept = write_frozen(inputs, found, SHOP, replace(ISSUE, wording={"cabinet": otherwise}), 7, papers, ())
    again = json.loads(canonical_json(kept))
    assert work_out_again(again)[1].quote.lines[0].scope == otherwise
    # A quote that was issued before any wording was kept says what its design says.
    del again["quote"]["wording"]
    assert work_out_again(again)[1].quote.lines[0].scope == found.items[0].take_off.scope


def test_what_is_priced_is_never_said_to_be_left_out() -> None:
    inputs = inputs_of({**wall_cabinet_case.JOB, "not_included": ["Delivery", "Installation", "Lamps"]})
    _, papers = papers_of(inputs)
    assert papers.quote.not_included == ("Wiring and wall repair.", "Lamps.")


# ---- the page -----------------------------------------------------------------------------------------------------

#: Above the title block, and below the upper edge, in points.
FOOT, HEAD = 34 * 72 / 25.4, 16 * 72 / 25.4
LEAST_ON_LAST: Final = 0.25


def filled(made: bytes) -> list[float]:
    """How much of each page's height holds something of the paper, its title block left out."""
    shares = []
    for page in PdfReader(BytesIO(made)).pages:
        heights: list[float] = []

        def note(text: str, turned: Any, place: Any, *_: Any, heights: list[float] = heights) -> None:
            height = place[4] * turned[1] + place[5] * turned[3] + turned[5]
            if text.strip() and height > FOOT:
                heights.append(float(height))

        page.extract_text(visitor_text=note)
        top = float(page.mediabox.height) - HEAD
        shares.append((top - min(heights)) / (top - FOOT) if heights else 0.0)
    return shares


PAPERS: dict[str, Callable[[], Inputs]] = {
    "one cabinet": inputs_of, "everything": lambda: inputs_of(LONG_JOB),
    **{code: partial(starter, code) for code in ("bench_cabinet", "tube_frame_bench", "drying_rack", "ware_cart")},
}  # fmt: skip


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("name", PAPERS)
def test_no_page_holds_only_a_remainder(name: str, size: Paper) -> None:
    _, papers = papers_of(PAPERS[name](), shop=replace(SHOP, paper=size))
    for html in (quote_html(papers.quote), shopping_list_html(papers.shopping_list)):
        shares = filled(make_pdf(html))
        assert len(shares) == 1 or shares[-1] >= LEAST_ON_LAST, shares
