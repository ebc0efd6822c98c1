"""The shopping list: everything needed is on it, by supplier, and its sums are the sums as bought."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from tests import wall_cabinet_case
from tests.documents.paper_case import ISSUE, LONG_JOB, SHOP, inputs_of, papers_of, text_of, without_prices_of
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.measures.money import to_decimal
from webapp.documents.buying.shopping_list import NAMED_PARTS, NO_SUPPLIER, ShoppingPaper
from webapp.documents.printing.paper import DoesNotAddUp
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.quotes.frozen import write_papers
from webapp.documents.quotes.issue import shopping_list_html


def amount(text: str) -> Decimal:
    """A printed amount as a number."""
    return Decimal(text.replace(",", "").replace("\N{NO-BREAK SPACE}", " ").split()[0])


def lines_of(paper: ShoppingPaper) -> dict[str, tuple[str, str, str, str]]:
    """Size, number, price of one and amount by what is bought."""
    return {line.what: (line.size, line.buy, line.each, line.amount) for group in paper.groups for line in group.lines}


def two_suppliers() -> Catalogue:
    """The case's catalogue, with screws, hinges and the like from a second supplier that has a least order."""
    whole = wall_cabinet_case.catalogue()
    second = ("hinge", "handle", "screw_4_40", "screw_35_16", "biscuit")
    offers = {
        code: tuple(
            replace(offer, supplier="Corner counter", minimum_order=Decimal(20), lead_days=3) for offer in of
        )
        if code in second
        else of
        for code, of in whole.offers.items()
    }
    return replace(whole, offers=offers)


def test_the_list_is_the_hand_worked_purchase() -> None:
    _, papers = papers_of(inputs_of())
    lines = lines_of(papers.shopping_list)
    assert lines["Plywood 18"] == ("1525 × 1525 mm", "1", "78.00", "78.00")
    assert lines["Maple"] == ("25.4 mm rough", "2.5 BF", "7.40", "18.50")
    assert lines["Edge band 1 mm"] == ("run of 25 m", "1", "14.00", "14.00")
    assert lines["Screw 3.5 x 16"] == ("pack of 50", "1", "4.20", "4.20")
    assert lines["Hinge"] == ("single", "4", "4.20", "16.80")
    assert lines["Lacquer"] == ("1 L", "2", "24.00", "48.00")
    assert papers.shopping_list.total.amount == "260.25\N{NO-BREAK SPACE}USD"
    text = text_of(make_pdf(shopping_list_html(papers.shopping_list)))
    assert "Total as bought 260.25 USD" in text


def test_sub_totals_by_supplier_add_up_to_what_is_bought() -> None:
    found, papers = papers_of(inputs_of(catalogue=two_suppliers()))
    paper = papers.shopping_list
    assert [group.name for group in paper.groups] == ["Corner counter", "the case's supplier"]
    for group in paper.groups:
        assert sum(amount(line.amount) for line in group.lines) == amount(group.sub_total.amount)
    whole = to_decimal(sum((one.bought.value for one in found.bought), Fraction(0)), 2)
    assert sum(amount(group.sub_total.amount) for group in paper.groups) == amount(paper.total.amount) == whole
    assert paper.groups[0].note == "Sells from 20.00\N{NO-BREAK SPACE}USD on."
    assert paper.groups[0].lines[0].note == "Takes 3 days"


def test_nothing_needed_is_left_off() -> None:
    found, papers = papers_of(inputs_of(LONG_JOB, without_prices_of("hinge")))
    listed = [line.what for group in papers.shopping_list.groups for line in group.lines]
    assert {one.material.name for one in found.bought} <= set(listed)
    assert "Splash sheet, cut to size" in listed


def test_what_has_no_price_has_a_field_for_it_and_no_amount() -> None:
    catalogue = without_prices_of("hinge")
    catalogue = replace(catalogue, offers={code: of for code, of in catalogue.offers.items() if code != "handle"})
    _, papers = papers_of(inputs_of(catalogue=catalogue))
    paper = papers.shopping_list
    without = {line.what for group in paper.groups for line in group.lines if not line.priced}
    assert without == {"Hinge", "Handle"}
    assert [line.what for group in paper.groups if group.name == NO_SUPPLIER for line in group.lines] == ["Handle"]
    assert paper.total.words == "Total as bought, without the open prices"
    assert amount(paper.total.amount) == Decimal("260.25") - Decimal("16.80") - Decimal("7.50")
    text = text_of(make_pdf(shopping_list_html(paper)))
    assert text.count("price?") == 2
    assert "2 things have no price yet" in text


def test_parts_that_the_job_names_are_bought_too() -> None:
    found, papers = papers_of(inputs_of(LONG_JOB))
    group = next(group for group in papers.shopping_list.groups if group.name == NAMED_PARTS)
    assert [(line.what, line.buy, line.each, line.amount) for line in group.lines] == [
        ("Splash sheet, cut to size", "3", "42.10", "126.30")
    ]
    materials = to_decimal(sum((one.bought.value for one in found.bought), Fraction(0)), 2)
    assert amount(papers.shopping_list.total.amount) == materials + Decimal("126.30")


def test_a_need_shared_by_several_items_says_for_which() -> None:
    _, papers = papers_of(inputs_of(LONG_JOB))
    hinge = next(line for group in papers.shopping_list.groups for line in group.lines if line.what == "Hinge")
    assert hinge.needed == "60"
    assert hinge.shared.startswith("8 for Wall cabinet; 48 for Wide wall cabinets")
    assert hinge.shared.endswith("; 4 for Sample cabinet")


def test_an_inch_shop_reads_inches_feet_and_gallons() -> None:
    inputs = replace(inputs_of(), system="inch")
    _, papers = papers_of(inputs, shop=replace(SHOP, length_system="inch"))
    lines = lines_of(papers.shopping_list)
    assert lines["Plywood 6"][0] == "96 1/16 × 48 1/32 in"
    assert lines["Maple"][0] == "1 in rough"
    assert lines["Edge band 1 mm"][0] == "run of 82 ft"
    assert lines["Lacquer"][0].endswith(" gal")


def test_a_list_that_does_not_add_up_is_never_made() -> None:
    inputs = inputs_of()
    found, _ = papers_of(inputs)
    first = found.bought[0]
    wrong = replace(first, bought=replace(first.bought, value=first.bought.value + Fraction(1, 100)))
    with pytest.raises(DoesNotAddUp):
        write_papers(inputs, replace(found, bought=(wrong, *found.bought[1:])), SHOP, ISSUE, 7, "A4")


def test_a_sum_stands_only_where_it_says_something() -> None:
    """Neither the one line of a supplier again, nor the total again where all comes from one place."""
    _, one = papers_of(inputs_of())
    (group,) = one.shopping_list.groups
    assert not one.shopping_list.sub_totalled(group)
    assert "Sub-total" not in shopping_list_html(one.shopping_list)
    _, two = papers_of(inputs_of(catalogue=two_suppliers()))
    assert all(two.shopping_list.sub_totalled(group) for group in two.shopping_list.groups)
    _, named = papers_of(inputs_of(LONG_JOB))
    alone = next(group for group in named.shopping_list.groups if group.name == NAMED_PARTS)
    assert len(alone.lines) == 1
    assert not named.shopping_list.sub_totalled(alone)
    html = shopping_list_html(named.shopping_list)
    # The total stands in the last group's own table, with a line that it sums.
    assert html.index("Total as bought") < html.rindex("</table>") < len(html)
    assert html.count('class="total"') == 1


def test_what_is_had_whole_is_needed_whole() -> None:
    _, papers = papers_of(inputs_of(LONG_JOB))
    for group in papers.shopping_list.groups:
        for line in group.lines:
            if line.size.startswith(("single", "pack of")):
                assert line.needed == "" or line.needed.isdecimal(), line
