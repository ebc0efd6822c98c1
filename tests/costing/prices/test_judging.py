"""Lines held against the price that holds: where somebody has to say that one is right, and what is gone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

import pytest

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.prices.file import Telling, ToldLine, read_price_file
from webapp.costing.prices.judging import Answers, Bench, Judged, judge_file, match_lines
from webapp.costing.prices.layout import Layout
from webapp.costing.prices.matching import Match, Offers
from webapp.sent_tables import read_text

TODAY: Final = date(2026, 11, 30)
BEFORE: Final = date(2026, 10, 1)
MM: Final = 10**6
#: A sheet of exactly one square metre, so that a price for it and for a square metre are one figure.
SHEET: Final = Material("ply", "Birch plywood", Kind.SHEET, {"thickness": Fraction(18 * MM)})
SIZE: Final = {"length": Fraction(2000 * MM), "width": Fraction(500 * MM)}
HINGE: Final = Material("hinge", "Cabinet hinge", Kind.PIECE)
CATALOGUE: Final = Catalogue(
    {"ply": SHEET, "hinge": HINGE},
    {
        "ply": (Offer("o1", "ply", "yard", SIZE, "P-18"),),
        "hinge": (Offer("o2", "hinge", "yard", {"count": Fraction(1)}, "H1"),),
    },
    {
        "o1": (PriceSeen("o1", Decimal(100), "EUR", BEFORE, "typed"),),
        "o2": (PriceSeen("o2", Decimal(3), "EUR", BEFORE, "typed"),),
    },
    "EUR", TODAY,
)  # fmt: skip
LAYOUT: Final = Layout(("code", "text", "unit", "price"), ("article", "words", "unit", "price"))


def judged(text: str, answers: Answers | None = None, *, whole: bool = True, valid_from: str = "") -> Judged:
    sheet = read_text(f"Code;Text;Unit;Price\n{text}").sheets[0]
    offers = Offers(CATALOGUE, ["yard"], "yard", "metric")
    matches: dict[int, Match] = {}

    def wanted(lines: Sequence[ToldLine], own: bool) -> set[int]:
        matches.update(match_lines(lines, offers, own))
        return set(matches)

    file = read_price_file((sheet,), LAYOUT, Telling("EUR", 2, TODAY, valid_from), wanted)
    bench = Bench(lambda _: CATALOGUE, TODAY, Fraction(15, 100), Fraction(0), 2, "metric", "owner", "price file",
                  frozenset(), frozenset)  # fmt: skip
    return judge_file(file, matches, offers, bench, answers or Answers(), whole=whole)


@pytest.mark.parametrize(
    ("line", "group", "keeps"),
    [
        ("P-18;Birch;each;115.00", "changed", True),  # 15 % is where the shop asks
        ("P-18;Birch;each;115.01", "jump", False),
        ("P-18;Birch;each;84.99", "jump", False),
        ("P-18;Birch;each;100.00", "again", True),
        ("P-18;Birch;1000 m2;105000.00", "changed", True),  # reckoned from another unit, 5 % is where it asks
        ("P-18;Birch;1000 m2;105010.00", "jump", False),
        ("P-18;Birch;each;1000.00", "tenfold", False),
        ("P-18;Birch;each;10.00", "tenfold", False),
        ("P-18;Birch;each;10.01", "jump", False),
        ("P-18;Birch;kg;4.00", "unreadable", False),
        ("p18;Birch;each;101.00", "changed", True),
        (";Birch plywood 2000 x 500 x 18;each;101.00", "words", False),
    ],
)
def test_a_line_is_asked_about_where_it_is_doubtful(line: str, group: str, keeps: bool) -> None:
    (found,) = judged(line).lines
    assert (found.group, found.keeps) == (group, keeps), found.sentence
    right = judged(line, Answers(lines=frozenset({2}))).lines[0]
    assert right.keeps == (group != "unreadable")
    whole = judged(line, Answers(groups=frozenset({group}))).lines[0]
    assert whole.keeps == (group not in ("unreadable", "tenfold")), "ten times is never right by the group"
    assert not judged(line, Answers(frozenset({group}), frozenset({2}), frozenset({2}))).lines[0].keeps


def test_what_the_file_no_longer_names_is_said_and_its_price_stays() -> None:
    found = judged("H1;Hinge;each;3.05")
    assert [(one.what.split(",")[0], one.before.amount) for one in found.gone] == [("Birch plywood", Decimal(100))]
    assert judged("H1;Hinge;each;3.05", whole=False).gone == (), "pasted rows are not all that somebody sells"


def test_the_doubtful_stand_first_and_what_a_price_holds_from_is_said() -> None:
    found = judged("H1;Hinge;each;3.05\nP-18;Birch;each;150\nX;Other;each;1\n;Title;;", valid_from="1.2.2027")
    assert [line.group for line in found.lines] == ["jump", "changed"]
    assert (found.others, found.titles) == (1, 1)
    assert all("Holds from 1 February 2027." in line.sentence for line in found.lines)
    assert {seen.seen_on for seen in found.keeps} == {date(2027, 2, 1)}


@pytest.mark.parametrize("price", ["1" * 131_000, "1 " * 60_000, "1" * 131_000 + "/m2", "1/" * 60_000])
def test_a_price_too_long_to_be_one_is_refused_at_once(price: str) -> None:
    (line,) = judged(f"P-18;Birch;;{price}").lines
    assert (line.group, line.sentence) == ("unreadable", "A cell has more than 200 signs.")


def test_what_a_price_is_for_stands_with_it() -> None:
    for told, amount in (("50.00 / 1 pc", "50.00"), ("50,00 pro St.", "50.00"), ("5000.00/100 pcs", "50.00")):
        (line,) = judged(f"P-18;Birch;;{told}").lines
        assert line.seen is not None
        assert line.seen.amount == Decimal(amount), told
    for told in ("per pc 50.00 / 3 / pc", "pc / 50.00"):
        assert judged(f"P-18;Birch;;{told}").lines[0].group == "unreadable", told
