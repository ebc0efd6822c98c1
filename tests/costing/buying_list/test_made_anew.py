"""A list made anew: who bears what is there follows from the makings at which it came."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests.costing.buying_list.list_case import entry, line, making
from webapp.costing.buying_list.cost import cost_of_job
from webapp.costing.buying_list.entries import LOADED, OPEN, SHORT, Said
from webapp.costing.buying_list.lines import ForJob
from webapp.costing.buying_list.settle import settle


def test_what_was_bought_for_two_jobs_stays_shared_when_the_list_is_made_anew_for_one() -> None:
    both = (ForJob(7, "Bench", Fraction(3)), ForJob(9, "Rack", Fraction(1)))
    first, second = line(1, count=4, jobs=both), line(1, count=6, jobs=(ForJob(9, "Rack", Fraction(1)),))
    makings = (making(first), making(second, number=2))
    bought = replace(entry(1, first.id, 1, Said(SHORT, Fraction(3), Decimal("30.00"), with_tax=False)), making=1)
    recounted = replace(entry(2, first.id, 2, Said(LOADED, Fraction(3)), (1,)), making=2)
    for entries in ([bought], [recounted, bought]):
        seven, nine = (cost_of_job(number, [(4, settle(makings, entries))], 2) for number in (7, 9))
        assert (seven.paid.value, nine.paid.value) == (Fraction("22.5"), Fraction("7.5"))
        # What is still to be had is for the job alone that the list is for now.
        assert (seven.to_come.value, nine.to_come.value) == (Fraction(0), Fraction(30))
    # Three more that are bought then are the other job's alone.
    said = Said(LOADED, Fraction(6), Decimal("60.00"), with_tax=False)
    found = settle(makings, [bought, replace(entry(3, first.id, 3, said, (1,)), making=2)])
    borne = [cost_of_job(number, [(4, found)], 2).paid.value for number in (7, 9)]
    assert borne == [Fraction("22.5"), Fraction("37.5")]
    # An entry from before makings were told counts by the last.
    unknown = [replace(one, making=0) for one in (bought, recounted)]
    assert cost_of_job(9, [(4, settle(makings, unknown))], 2).paid.value == 30


def test_a_job_that_joins_when_the_list_is_made_anew_bears_its_part_of_the_whole() -> None:
    """One sheet at 60.00 was for job 7; of three, job 9 wants two: 60.00 and 120.00, by hand."""
    first = line(1, count=1, each="60.00", jobs=(ForJob(7, "Bench", Fraction(60)),))
    second = line(1, count=3, each="60.00", jobs=(ForJob(7, "Bench", Fraction(60)), ForJob(9, "Rack", Fraction(120))))
    entries = [
        replace(entry(1, first.id, 1, Said(LOADED, None, Decimal("60.00"), with_tax=False)), making=1),
        replace(entry(2, first.id, 2, Said(LOADED, Fraction(3), Decimal("180.00"), with_tax=False), (1,)), making=2),
    ]
    found = settle((making(first), making(second, number=2)), entries)
    assert [cost_of_job(number, [(4, found)], 2).paid.value for number in (7, 9)] == [Fraction(60), Fraction(120)]


def test_what_was_ticked_by_mistake_and_undone_is_nobodys() -> None:
    first = line(1, count=2, jobs=(ForJob(7, "Bench", Fraction(20)),))
    second = line(1, count=2, jobs=(ForJob(9, "Rack", Fraction(20)),))
    entries = [
        replace(entry(1, first.id, 1, Said(LOADED, None, Decimal("20.00"))), making=1),
        replace(entry(2, first.id, 2, Said(OPEN), (1,)), making=1),
        replace(entry(3, first.id, 3, Said(LOADED, None, Decimal("20.00"), with_tax=False), (2,)), making=2),
    ]
    found = settle((making(first), making(second, number=2)), entries)
    assert [cost_of_job(number, [(4, found)], 2).paid.value for number in (7, 9)] == [Fraction(0), Fraction(20)]
