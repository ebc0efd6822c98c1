"""A list settled from its entries: alike in every order, and both sides shown where two telephones differ."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.buying_list.list_case import MADE_ON, STOPS, TERMS, entry, entry_id, line, making, offered
from webapp.costing.buying_list.cost import cost_of_job, cost_of_list
from webapp.costing.buying_list.entries import (
    ABSENT,
    ALSO,
    ARRIVED,
    LATER,
    LOADED,
    OPEN,
    ORDERED,
    SENT_BACK,
    SHORT,
    STATES,
    Entry,
    Said,
    read_entry,
    read_said,
    write_said,
)
from webapp.costing.buying_list.lines import ForJob, Line, Making, Terms, read_making, write_making
from webapp.costing.buying_list.prices import offered_as, prices_paid
from webapp.costing.buying_list.settle import SettledList, settle

ORDERS = 500


def everything(found: SettledList) -> tuple[object, ...]:
    """One state, one cost, one price history."""
    cost = cost_of_job(7, [(1, found)], 2)
    paid, expected = cost_of_list(1, found)
    sums = (cost.paid.value, cost.expected.value, cost.to_come.value, paid.value, expected.value)
    return found, sums, prices_paid(found, "list 1"), tuple(sorted(cost.working.figures.items()))


def trip() -> tuple[Making, list[Entry]]:
    """Forty lines ticked by two telephones that know nothing of each other: six paid otherwise, two substituted, one
    sent to the next stop, five said differently by the second telephone, three put right afterwards."""
    lines = [line(number) for number in range(40)]
    entries: list[Entry] = []
    for number, one in enumerate(lines):
        said = Said(LOADED, Fraction(2), Decimal("20.00"))
        if number < 6:
            said = Said(LOADED, Fraction(2), Decimal("20.00") + number + 1)
        elif number < 8:
            said = Said(LOADED, Fraction(2), Decimal("25.00"), instead="another make")
        elif number == 8:
            said = Said(LATER, stop=STOPS[0])
        entries.append(entry(number, one.id, number + 1, said))
    for number in range(10, 15):
        said = Said(LOADED, Fraction(1), Decimal("11.00")) if number % 2 else Said(ABSENT)
        entries.append(entry(100 + number, lines[number].id, number - 9, said, by="Jon"))
    for place, number in enumerate(range(20, 23)):
        right = Said(LOADED, Fraction(3), Decimal("31.00"), sure=True)
        entries.append(entry(200 + number, lines[number].id, 41 + place, right, (number,), day=5))
    glue = Said(LOADED, Fraction(1), Decimal("7.50"), instead="Glue", job=7)
    entries.append(entry(300, f"{ALSO}{entry_id(1)}", 44, glue))
    return making(*lines), entries


def test_five_hundred_orders_doubled_and_shuffled_give_one_state_one_cost_and_one_price_history() -> None:
    made, entries = trip()
    first = everything(settle([made], entries))
    chance = random.Random(20261102)
    for _ in range(ORDERS):
        sent = [*entries, *chance.sample(entries, chance.randrange(len(entries)))]
        chance.shuffle(sent)
        assert everything(settle([made], sent)) == first


#: An entry as some telephone may send it: at one of three lines, counted and replacing as it pleases.
SAID = st.builds(
    Said,
    state=st.sampled_from(sorted(STATES)),
    count=st.none() | st.fractions(0, 9, max_denominator=4),
    paid=st.none() | st.decimals(0, 99, places=2),
    with_tax=st.none() | st.booleans(),
    instead=st.sampled_from(["", "another make"]),
    sure=st.booleans(),
)
ENTRIES = st.lists(
    st.builds(
        entry, number=st.integers(0, 40), at=st.sampled_from([line(number).id for number in range(3)]),
        counter=st.integers(0, 6), said=SAID, replaces=st.lists(st.integers(0, 40), max_size=3).map(tuple),
        day=st.integers(2, 9),
    ),
    max_size=12, unique_by=lambda one: one.id,
)  # fmt: skip


@given(ENTRIES, st.randoms(use_true_random=False))
def test_whatever_is_entered_settles_alike_in_every_order(entries: list[Entry], chance: random.Random) -> None:
    made = making(*(line(number) for number in range(3)))
    shuffled = [*entries, *entries]
    chance.shuffle(shuffled)
    assert everything(settle([made], shuffled)) == everything(settle([made], entries))


def test_the_later_holds_by_its_count_and_both_are_shown() -> None:
    one = line(1)
    here = entry(1, one.id, 1, Said(LOADED, Fraction(2), Decimal("41.40")), by="Mara")
    there = entry(2, one.id, 4, Said(LOADED, Fraction(2), Decimal("44.00")), by="Jon")
    (settled,) = settle([making(one)], [there, here]).lines
    assert settled.paid == Decimal("44.00")
    assert settled.otherwise == (here,)
    # Whoever saw both and enters anew ends it.
    ends = entry(3, one.id, 5, Said(LOADED, Fraction(2), Decimal("41.40")), (1, 2))
    (settled,) = settle([making(one)], [ends, there, here]).lines
    assert (settled.paid, settled.otherwise) == (Decimal("41.40"), ())


def test_two_that_say_the_same_differ_in_nothing() -> None:
    one = line(1)
    both = [entry(number, one.id, 1, Said(LOADED, Fraction(2), Decimal("20.00"))) for number in (1, 2)]
    (settled,) = settle([making(one)], both).lines
    assert settled.otherwise == ()
    assert settled.done


def test_an_entry_of_a_line_that_the_list_no_longer_has_stays_and_is_paid_for() -> None:
    before, after = making(line(1), line(2)), making(line(2, count=3), number=2)
    entries = [
        entry(1, line(1).id, 1, Said(LOADED, Fraction(2), Decimal("20.00"))),
        entry(2, line(2).id, 2, Said(LOADED, Fraction(2), Decimal("20.00"))),
    ]
    found = settle([before, after], entries)
    still, gone = found.lines
    assert [still.line, still.got, still.to_get, still.gone] == [line(2, count=3), 2, 1, False]
    assert [gone.line, gone.gone, gone.to_get] == [line(1), True, 0]
    assert cost_of_job(7, [(1, found)], 2).paid.value == 40


def test_what_was_paid_stays_told_where_somebody_else_only_counts() -> None:
    one = line(1)
    told = entry(1, one.id, 1, Said(LOADED, Fraction(2), Decimal("41.40")))
    counted = entry(2, one.id, 2, Said(SHORT, Fraction(1)), (1,), by="helper")
    (settled,) = settle([making(one)], [told, counted]).lines
    assert [settled.got, settled.paid, settled.to_get] == [1, Decimal("41.40"), 1]
    taken_back = [entry(2, one.id, 2, Said(OPEN), (1,)), entry(3, one.id, 3, Said(LOADED), (2,))]
    (settled,) = settle([making(one)], [told, *taken_back]).lines
    assert settled.paid is None


@pytest.mark.parametrize(
    ("said", "got", "to_get", "paid", "to_come"),
    [
        (Said(OPEN), 0, 2, 0, 20),
        (Said(ORDERED), 0, 2, 0, 20),
        (Said(ABSENT), 0, 2, 0, 20),
        (Said(LATER, stop=STOPS[2]), 0, 2, 0, 20),
        (Said(LOADED, Fraction(2), Decimal("23.00")), 2, 0, 23, 0),
        (Said(LOADED), 2, 0, 20, 0),
        (Said(ARRIVED, Fraction(3), Decimal("30.00")), 3, 0, 30, 0),
        (Said(SHORT, Fraction(1), Decimal("10.00")), 1, 1, 10, 10),
        (Said(SENT_BACK), 0, 2, 0, 20),
        (Said(SENT_BACK, Fraction(1), Decimal("10.50")), 1, 1, Fraction("10.50"), 10),
    ],
)
def test_each_state_says_what_is_there_and_what_is_to_come(
    said: Said, got: int, to_get: int, paid: Fraction, to_come: int
) -> None:
    one = line(1)
    found = settle([making(one)], [entry(1, one.id, 1, said)])
    (settled,), cost = found.lines, cost_of_job(7, [(1, found)], 2)
    assert [settled.got, settled.to_get] == [got, to_get]
    assert [cost.paid.value, cost.to_come.value] == [paid, to_come]


def test_a_pooled_line_is_borne_by_the_jobs_as_the_pool_shares_it() -> None:
    """20.00 shared 13.00 to 7.00; 23.00 were paid, so that 14.95 and 8.05 are borne: 23 x 13 / 20, by hand."""
    jobs = (ForJob(7, "Bench", Fraction(13)), ForJob(9, "Shelf", Fraction(7)))
    one = line(1, jobs=jobs)
    found = settle([making(one)], [entry(1, one.id, 1, Said(LOADED, Fraction(2), Decimal("23.00")))])
    borne = [cost_of_job(number, [(1, found)], 2).paid.value for number in (7, 9)]
    assert borne == [Fraction("14.95"), Fraction("8.05")]


def test_the_shop_bears_the_tax_that_it_does_not_reclaim() -> None:
    """24.00 with a fifth of tax are 20.00 without; a shop that reclaims it bears 20.00, by hand."""
    one = line(1)
    cases = ((True, True, 20), (True, False, 24), (False, True, 24), (False, False, Fraction("28.8")))
    for reclaimed, with_tax, borne in cases:
        terms = Terms("USD", 2, Fraction(1, 5), reclaimed, Fraction(15, 100))
        said = Said(LOADED, Fraction(2), Decimal("24.00"), with_tax)
        found = settle([making(one, terms=terms)], [entry(1, one.id, 1, said)])
        assert cost_of_job(7, [(1, found)], 2).paid.value == borne


def test_a_price_paid_is_one_seen_on_the_day_it_was_bought() -> None:
    one = line(1)
    found = settle([making(one)], [entry(1, one.id, 1, Said(LOADED, Fraction(2), Decimal("21.00")), day=4)])
    (paid,) = prices_paid(found, "list 1")
    assert one.offered is not None
    seen = paid.seen
    assert (seen.offer, seen.amount, seen.seen_on, seen.with_tax) == (
        one.offered.offer, Decimal("10.50"), date(2026, 11, 4), False
    )  # fmt: skip
    assert (seen.where, seen.by, paid.counts) == ("list 1", "Mara", True)


@pytest.mark.parametrize(
    "said",
    [
        Said(LOADED, Fraction(2), Decimal("20.00"), instead="another make"),
        Said(LOADED, Fraction(0), Decimal("20.00")),
        Said(LOADED, Fraction(2)),
        Said(LOADED, Fraction(2), Decimal("0.00")),
        Said(ORDERED, Fraction(2), Decimal("20.00")),
        Said(SENT_BACK, Fraction(1), Decimal("10.00")),
        Said(LOADED, Fraction(2), Decimal("20.00"), stop="A yard that nobody knows"),
    ],
)
def test_what_is_not_the_price_of_the_offer_is_no_price(said: Said) -> None:
    one = line(1)
    assert prices_paid(settle([making(one)], [entry(1, one.id, 1, said)]), "list 1") == ()


def test_another_pack_is_a_price_of_its_own_offer() -> None:
    one = line(1)
    (other,) = one.others
    said = Said(LOADED, Fraction(3), Decimal("27.00"), offer=other.offer)
    (paid,) = prices_paid(settle([making(one)], [entry(1, one.id, 1, said)]), "list 1")
    assert (paid.seen.offer, paid.seen.amount) == (other.offer, Decimal("9.00"))


def test_a_jump_is_asked_about_and_what_was_paid_counts_all_the_same() -> None:
    one = line(1)
    jumps = entry(1, one.id, 1, Said(LOADED, Fraction(2), Decimal("40.00")))
    found = settle([making(one)], [jumps])
    (paid,) = prices_paid(found, "list 1")
    assert paid.jump is not None
    assert not paid.counts
    assert cost_of_job(7, [(1, found)], 2).paid.value == 40
    sure = entry(2, one.id, 2, Said(LOADED, Fraction(2), Decimal("40.00"), sure=True), (1,))
    (paid,) = prices_paid(settle([making(one)], [jumps, sure]), "list 1")
    assert paid.counts


def test_an_order_and_a_price_are_of_one_offer() -> None:
    """By (stop, pack), or by what was chosen; not by whichever offer of a stop the line names first."""
    one = line(1)
    assert one.offered is not None
    other, twin = one.others[0], offered("twin", "8.00", STOPS[0])
    own = one.offered.offer
    one = replace(one, others=(other, replace(twin, pack=one.pack)))
    for said, found in (
        (None, own), (Said(LATER, stop=STOPS[0]), "twin"), (Said(ORDERED, offer=other.offer), other.offer),
        (Said(ORDERED, stop=STOPS[2]), None), (Said(ORDERED, instead="another make"), None),
        (Said(ORDERED, offer=own), own),
    ):  # fmt: skip
        (settled,) = settle([making(one)], [entry(1, one.id, 1, said)] if said else []).lines
        ordered_as = offered_as(settled)
        assert (ordered_as.offer if ordered_as else None) == found, said


GOOD = {
    "id": entry_id(1), "line": "offer:a", "counter": "3", "replaces": entry_id(2), "state": "loaded", "count": "2",
    "paid": "41.40", "marks": "yes", "with_tax": "yes", "day": "2026-11-04", "told_at": "10:42",
}  # fmt: skip
TODAY = date(2026, 11, 6)


def read(**fields: str) -> tuple[Entry | None, object]:
    """An entry read on the sixth."""
    return read_entry({**GOOD, **fields}, "USD", 2, MADE_ON, TODAY, "Mara")


def test_an_entry_is_read_as_it_is_sent_and_kept() -> None:
    found, wrong = read()
    assert wrong == {}
    assert found is not None
    assert found.said == Said(LOADED, Fraction(2), Decimal("41.40"), True)
    assert (found.place, found.replaces, found.day) == ((3, entry_id(1)), frozenset({entry_id(2)}), date(2026, 11, 4))
    assert read_said(write_said(found.said)) == found.said


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("count", "-3", "“-3” is below nothing: type how many there are, 0 or more."),
        ("count", "\N{MINUS SIGN}3", "below nothing"),
        ("count", "many", "can't be read"),
        ("count", "99999999", "more than any van carries"),
        ("paid", "about forty", "can't be read as an amount"),
        ("paid", "-41.40", "is below zero"),
        ("paid", "41.405", "more decimals than the currency"),
        ("paid", "41 EUR", "this shop reckons in USD"),
        ("state", "eaten", "no way in which a line can stand"),
        ("id", "7", "lacks what every entry has"),
        ("counter", "-1", "lacks what every entry has"),
        ("counter", "9" * 30, "lacks what every entry has"),
        ("replaces", "all of them", "lacks what every entry has"),
        ("instead", "x" * 121, "at most 120 are kept"),
    ],
)
def test_what_can_not_be_read_is_said_in_a_sentence(field: str, text: str, says: str) -> None:
    found, wrong = read(**{field: text})
    assert found is None
    assert isinstance(wrong, dict)
    assert says in wrong["id" if field in ("counter", "replaces") else field]


@pytest.mark.parametrize(
    ("day", "counts"),
    [("2025-11-04", MADE_ON), ("2027-11-04", TODAY), ("2026-11-05", date(2026, 11, 5)), ("soon", TODAY)],
)
def test_a_clock_that_is_a_year_off_moves_no_day_beyond_the_list(day: str, counts: date) -> None:
    found, _ = read(day=day)
    assert found is not None
    assert found.day == counts


def test_a_making_reads_as_it_was_written() -> None:
    made, _ = trip()
    again = read_making(1, write_making(made))
    assert again == made
    lines: tuple[Line, ...] = again.lines
    assert len(lines) == 40
    assert again.terms == TERMS


def test_what_is_put_on_the_next_stop_is_the_price_of_the_offer_there() -> None:
    """At the last stop there is no next one, and the line stays where it is."""
    lines = [line(number) for number in (2, 3, 4)]
    first = min(lines, key=lambda one: [each.stop for each in lines].index(one.stop))
    same = replace(offered("other", "9.00", lines[1].stop), pack=first.pack)
    made = making(replace(first, others=(same,)), *lines[1:])
    later = entry(1, first.id, 1, Said(LATER))
    one = settle([made], [later]).lines[0]
    assert [one.stop, one.next_stop, one.to_get] == [lines[1].stop, lines[1].stop, 2]
    loaded = entry(2, first.id, 2, Said(LOADED, Fraction(2), Decimal("18.20"), stop=lines[1].stop), (1,))
    (paid,) = prices_paid(settle([made], [later, loaded]), "list 1")
    assert (paid.seen.offer, paid.seen.amount) == ("other", Decimal("9.10"))
    at_last = settle([made], [entry(3, lines[2].id, 1, Said(LATER))]).lines[2]
    assert (at_last.stop, at_last.next_stop) == (lines[2].stop, "")


def test_a_thing_on_two_lists_of_a_job_is_to_be_had_once() -> None:
    """And not at all where it came by the first of them."""
    made = making(line(1), line(2))
    first = settle([made], [entry(1, line(1).id, 1, Said(LOADED, Fraction(2), Decimal("21.00")))])
    cost = cost_of_job(7, [(1, first), (2, settle([made], []))], 2)
    assert [cost.paid.value, cost.expected.value, cost.to_come.value] == [21, 20, 20]
