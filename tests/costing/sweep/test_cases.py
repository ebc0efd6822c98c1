"""The cases of a sweep: rows that cover every pair, extremes one at a time, all within the limits, always the same."""

from __future__ import annotations

from itertools import combinations, product
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.costing.sweep.stool_case import stool
from tests.harness.examples import tried
from webapp.costing.sweep.cases import PAIR_ROWS, SAMPLES, changes, sweep_cases, usual_case
from webapp.costing.sweep.pairs import PairCover, cover_pairs

Pair = tuple[int, int, int, int]


def every_pair(values: list[int]) -> set[Pair]:
    """Each value of one thing with each of another, counted out."""
    return {
        (one, place, other, beside)
        for one, other in combinations(range(len(values)), 2)
        for place, beside in product(range(values[one]), range(values[other]))
    }


def pairs_in(cover: PairCover) -> set[Pair]:
    """The pairs that stand together in a row."""
    return {
        (one, row[one], other, row[other])
        for row in cover.rows
        for one, other in combinations(range(len(row)), 2)
    }  # fmt: skip


@settings(max_examples=tried(60))
@given(st.lists(st.integers(1, 5), min_size=1, max_size=9), st.integers(0, 99))
def test_every_pair_stands_together_in_a_row(values: list[int], seed: int) -> None:
    cover = cover_pairs(values, 200, Random(seed))
    assert len(cover.rows) == 200
    assert all(0 <= place < many for row in cover.rows for place, many in zip(row, values, strict=True))
    assert pairs_in(cover) == every_pair(values)
    assert cover.covered == cover.pairs == len(every_pair(values))


@settings(max_examples=tried(30))
@given(st.lists(st.integers(2, 6), min_size=2, max_size=6), st.integers(1, 12), st.integers(0, 99))
def test_of_too_few_rows_it_is_said_how_many_pairs_they_cover(values: list[int], rows: int, seed: int) -> None:
    cover = cover_pairs(values, rows, Random(seed))
    assert cover.pairs == len(every_pair(values))
    assert cover.covered == len(pairs_in(cover))


def test_ten_things_of_four_take_few_rows() -> None:
    """The least possible is 16; a greedy cover stays within twice that."""
    cover = cover_pairs([4] * 10, 32, Random(1))
    assert cover.covered == cover.pairs == 45 * 16


def test_the_same_seed_gives_the_same_rows() -> None:
    assert cover_pairs([3, 4, 2, 5], 40, Random(7)) == cover_pairs([3, 4, 2, 5], 40, Random(7))
    assert cover_pairs([3, 4, 2, 5], 40, Random(7)) != cover_pairs([3, 4, 2, 5], 40, Random(8))


def test_a_sweep_has_the_usual_each_extreme_alone_rows_and_samples() -> None:
    subject = stool("metric")
    cases = sweep_cases(subject)
    # Three sizes, none of whose limits is its usual value.
    assert (cases.extremes, cases.pair_rows, cases.samples) == (6, 200, 300)
    assert len(cases.all) == 1 + 6 + PAIR_ROWS + SAMPLES
    assert cases.all[0] == usual_case(subject)
    assert [changes(subject, case) for case in cases.all[1:7]] == [
        (("size", name),) for name in ("width", "width", "depth", "depth", "height", "height")
    ]
    assert sweep_cases(subject).all == cases.all


def test_every_case_lies_within_the_limits_on_whole_millimetres() -> None:
    subject = stool("metric")
    for case in sweep_cases(subject).all:
        for name, value in case.sizes.items():
            assert subject.size(name).least <= value <= subject.size(name).most
            assert value % 1_000_000 == 0
    samples = sweep_cases(subject).all[-SAMPLES:]
    assert all(not case.materials for case in samples)
    assert len({case.key for case in samples}) > SAMPLES - 10
