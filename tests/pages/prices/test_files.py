"""Files of prices: every line said for what it is, one bad line stopping no other, and what was typed meanwhile."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import offers_of, price_address, prices_of, sell_plywood, today
from webapp.costing.prices.judging import Answers
from webapp.persistence.settings.shop import load_shop
from webapp.price_import import Preview, Sent, preview_prices
from webapp.sent_tables import read_text

ADDRESS = "/prices/import"
PLYWOOD = "birch_plywood_3_4"


@pytest.fixture
def plywood(client: Visitor) -> Visitor:
    """The owner's browser, in a shop with one material that one supplier sells at 96."""
    return sell_plywood(client)


def preview(visitor: Visitor, text: str, answers: Answers | None = None) -> Preview:
    with visitor.program.database.reading() as session:
        sent = Sent(read_text(text.removeprefix("\ufeff")).sheets)
        return preview_prices(session, load_shop(session), sent, today=today(visitor), by="owner", answers=answers)


def sent(visitor: Visitor, text: str | bytes) -> tuple[str, str]:
    """Where a file that is sent in is looked at, and the page there."""
    content = text.encode() if isinstance(text, str) else text
    answer = visitor.send_form(ADDRESS, files={"file": ("list.csv", content)})
    assert answer.status_code == 303, answer.text
    place = answer.headers["location"]
    return place.partition("?")[0], visitor.get(place).text


LINES = [
    ("99.50", "changed", ""),
    ("96", "kept", ""),
    ("", "empty", "No price is typed."),
    ("96,50", "changed", ""),
    ("1,034", "unreadable", "“1,034” is unclear: its comma may mark thousands or decimals. Write 1034, or 1.034."),
    ("1,500", "unreadable", "“1,500” is unclear: its comma may mark thousands or decimals. Write 1500, or 1.500."),
    ("0", "unreadable", "“0” is zero"),
    ("-4", "unreadable", "is below zero"),
    ("9 EUR", "unreadable", "is in EUR, but this shop reckons in USD"),
    ("$99", "changed", ""),
    ("€99", "unreadable", "has the sign €, but this shop reckons in USD"),
    ("960", "tenfold", "The last price was seen on"),
    ("9.60", "tenfold", "The last price was seen on"),
    ("120", "jump", "25 % more than the last price"),
]


@pytest.mark.parametrize(("price", "group", "sentence"), LINES)
def test_a_line_is_said_for_what_it_is(plywood: Visitor, price: str, group: str, sentence: str) -> None:
    (line,) = preview(plywood, f'price;material\n"{price}";{PLYWOOD}\n').lines
    assert (line.number, line.group) == (2, group)
    assert sentence in line.sentence


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        ("nothing_such,,,,99,,,,", "There is no material under the code “nothing_such”."),
        (f"{PLYWOOD},,nobody,,99,,,,", "There is no supplier under the code “nobody”. Known are:"),
        (f"{PLYWOOD},,,10 x 10,99,,,,", "is not on offer as “10 x 10”; it is as "),
        (",no-such-article,,,99,,,,", "The article “no-such-article” is not on offer."),
        (",,,,99,,,,", "It names neither a material nor an article."),
        (f"{PLYWOOD},,,,99,CAD,,,", "The price is in CAD, but this shop reckons in USD."),
        (f"{PLYWOOD},,,,99,,31.12.2025,,", "“31.12.2025” is no day"),
        (f"{PLYWOOD},,,,99,,,maybe,", "With tax: “maybe” is neither yes nor no."),
        (f"{PLYWOOD},,,,1,50,,,,", "“1,50” has a comma for a point: write 1.50."),
        (f"{PLYWOOD},,,,1,50,USD,,,yes", "write decimals with a point"),
    ],
)
def test_what_a_line_names_wrongly_is_said_and_stops_no_other(plywood: Visitor, cells: str, sentence: str) -> None:
    heading = "Material,Article,Supplier,Pack,Price,Currency,Seen on,With tax,Delivered"
    found = preview(plywood, f"{heading}\n{cells}\n{PLYWOOD},,,,97,,,,\n")
    refused, good = found.lines
    assert (refused.number, refused.group) == (2, "unreadable")
    assert sentence in refused.sentence
    assert [seen.amount for seen in found.judged.keeps] == [Decimal(97)]
    assert good.group == "changed"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "The file is empty."),
        (b"\xff\xfem\x00\xd8", "The file says that it is UTF-16, but breaks off or is damaged."),
        (b"\x00\x01\x02\x03abcdefghijkl", "The file is no text and no XLSX."),
        (b"%PDF-1.7 and so on", "The file is a PDF"),
        (b"price,price,material\n1,2,3\n", "The heading names price twice"),
        (b"material,price\n", "no price beneath it"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_as_a_whole(plywood: Visitor, content: bytes, sentence: str) -> None:
    answer = plywood.send_form(ADDRESS, files={"file": ("list.csv", content)})
    assert answer.status_code == 422
    assert sentence in answer.text


def test_a_file_is_shown_first_and_kept_once_it_is_said(plywood: Visitor) -> None:
    day = today(plywood)
    place, page = sent(plywood, f"\ufeffmaterial\tprice\tseen on\r\n{PLYWOOD}\t120\t{day}\r\nnothing_such\t1\t\r\n")
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal(96)]
    fields = form_fields(page, "keep-file")
    again = plywood.send_form(f"{place}/keep", fields)
    assert again.status_code == 200, "a jump that nobody confirmed is not kept"
    assert "None is kept yet: tick what is right." in again.text
    kept = plywood.send_form(f"{place}/keep", {**fields, "right": "2"})
    assert "1 price was kept from list.csv." in plywood.get(kept.headers["location"]).text
    latest = prices_of(plywood)[0]
    assert (latest.amount, latest.where, latest.by) == (Decimal(120), "price file", "owner")


def test_ten_times_the_last_price_is_kept_only_where_its_line_is_ticked(plywood: Visitor) -> None:
    text = f"material,price\n{PLYWOOD},960\n"
    assert preview(plywood, text, Answers(groups=frozenset({"jump", "tenfold"}))).judged.keeps == ()
    (seen,) = preview(plywood, text, Answers(lines=frozenset({2}))).judged.keeps
    assert seen.amount == 960


def test_a_price_typed_meanwhile_is_said_and_nothing_kept(plywood: Visitor) -> None:
    place, page = sent(plywood, f"material,price\n{PLYWOOD},99\n")
    fields = form_fields(page, "keep-file")
    plywood.send_form(price_address(plywood), {"amount": "98"})
    answer = plywood.send_form(f"{place}/keep", fields)
    assert answer.status_code == 409
    assert "A price of it was typed since this preview was made" in answer.text
    assert [seen.amount for seen in prices_of(plywood)] == [Decimal(98), Decimal(96)]
    plywood.send_form(f"{place}/keep", form_fields(answer.text, "keep-file"))
    assert prices_of(plywood)[0].amount == 99


def test_an_unchanged_price_seen_again_is_fresh_and_an_older_one_changes_nothing(plywood: Visitor) -> None:
    old = today(plywood) - timedelta(days=400)
    (line,) = preview(plywood, f"material,price,seen on\n{PLYWOOD},50,{old}\n").lines
    assert line.group == "older"
    assert "later and stays in use; this one is kept beside it" in line.sentence
    twice = preview(plywood, f"material,price\n{PLYWOOD},97\n{PLYWOOD},98\n")
    assert [(one.number, one.group, one.keeps) for one in twice.lines] == [(2, "twice", False), (3, "twice", False)]
    assert "Line 3 tells another price of it." in twice.lines[0].sentence
    again = preview(plywood, f"material,price\n{PLYWOOD},97\n{PLYWOOD},97\n")
    assert [(one.number, one.group, one.keeps) for one in again.lines] == [(2, "changed", True), (3, "kept", False)]


def test_prices_sent_out_come_back_unchanged_and_hold_no_formula(demo_client: Visitor) -> None:
    answer = demo_client.get("/prices/export.csv")
    assert answer.content.startswith(b"\xef\xbb\xbfname,material,article")
    found = preview(demo_client, answer.text)
    assert len(found.lines) > 90
    assert {line.group for line in found.lines} <= {"kept", "empty"}
    assert found.judged.keeps == ()
    assert not found.file.unused


def test_a_name_that_would_be_a_formula_is_marked(plywood: Visitor) -> None:
    edited = {"name": "=1+1", "kind": "piece", "version": "0", "code": "odd"}
    assert plywood.send_form("/materials/new", edited).status_code == 303
    (offer,) = offers_of(plywood)
    fields = {"version": "0", "supplier": offer.offer.supplier, "size.count": "1", "supplier_code": "@odd"}
    assert plywood.send_form("/materials/odd/offers/new", fields).status_code == 303
    text = plywood.get("/prices/export.csv").text
    assert "'=1+1,odd,'@odd," in text
    (line,) = (one for one in preview(plywood, text.replace("1,,USD", "1,5,USD")).lines if "=1+1" in one.what)
    assert line.group == "new"


def test_ten_thousand_lines_with_bad_ones_among_them_are_kept_in_one_go(plywood: Visitor) -> None:
    lines = [f"{PLYWOOD},{95 + place % 3},{1 + place}" for place in range(10_000)]
    lines[0] = f"{PLYWOOD},5,1"
    lines[77], lines[5_000] = f'{PLYWOOD},"1,50",78', "nothing_such,3,1"
    place, page = sent(plywood, "\n".join(["material,price,from packs", *lines]))
    answer = plywood.send_form(f"{place}/keep", form_fields(page, "keep-file"))
    assert "9,997 prices were kept" in plywood.get(answer.headers["location"]).text
    assert len(prices_of(plywood)) == 9_998


def test_rows_may_be_pasted_in_place_of_a_file_and_stay_where_they_are_refused(plywood: Visitor) -> None:
    answer = plywood.send_form(ADDRESS, {"text": f"material\tprice\n{PLYWOOD}\t99.50\n"})
    page = plywood.get(answer.headers["location"]).text
    assert "Changed" in page
    assert "was 96.00, now <strong>99.50</strong>, 3.6 % more" in page
    refused = plywood.send_form(ADDRESS, {"text": f"price\tprice\tmaterial\n{PLYWOOD}\t99.50"})
    assert refused.status_code == 422
    assert form_fields(refused.text, "send-file")["text"] == f"price\tprice\tmaterial\n{PLYWOOD}\t99.50"
