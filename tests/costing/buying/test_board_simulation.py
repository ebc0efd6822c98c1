"""Boards of random width: limiting cases counted by hand, what must rise with what, and how an estimate tells of it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import wall_cabinet_case as case
from tests.harness.examples import examples
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.cutting.boards import BoardQuestion, fit_no_board, simulate_purchases
from webapp.costing.estimate.basis import Basis
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs

F = Fraction
MM = 10**6
USABLE = F(62, 100)
KERF = 3 * MM


def question(
    blanks: tuple[tuple[int, int, int], ...],
    widths: tuple[int, int] = (100, 250),
    lengths: tuple[int, int] = (1800, 3600),
    usable: Fraction = USABLE,
) -> BoardQuestion:
    """A question typed in mm."""
    return BoardQuestion(
        KERF, (widths[0] * MM, widths[1] * MM), (lengths[0] * MM, lengths[1] * MM), usable,
        tuple((length * MM, width * MM, count) for length, width, count in blanks),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("blanks", "boards"),
    [
        # 70 + 3 + 70 = 143 across 150; 3 x 750 + 2 x 3 = 2256 along 2400: six a board.
        (((750, 70, 20),), 4),
        (((750, 70, 24),), 4),
        (((750, 70, 25),), 5),
        # Two strips of 73.5 mm and one cut are 150 mm to the tenth; a tenth more, and only one strip is left.
        (((2400, 73, 2),), 1),
        (((2400, 74, 2),), 2),
        # One long blank to a strip; the short one goes into what is left of the second strip.
        (((1500, 70, 2), (890, 60, 2)), 1),
        (((1500, 70, 2), (890, 60, 3)), 2),
        (((2400, 150, 1),), 1),
    ],
)
def test_clear_boards_of_one_size_are_counted_as_by_hand(blanks: tuple[tuple[int, int, int], ...], boards: int) -> None:
    found = simulate_purchases(question(blanks, (150, 150), (2400, 2400), F(1)))
    assert found.unfinished == 0
    assert set(found.areas) == {boards * 150 * 2400 * MM * MM}
    assert found.clear == 1


def test_one_blank_takes_one_board_or_those_before_it_that_were_too_small() -> None:
    found = simulate_purchases(question(((1700, 90, 1),), usable=F(1)))
    assert found.areas[0] >= 100 * 1800 * MM * MM
    assert found.areas[-1] <= 250 * 3600 * MM * MM
    # A blank as wide as the widest boards alone waits for one.
    rare = simulate_purchases(question(((1700, 240, 1),), usable=F(1)))
    assert rare.areas[-1] > 250 * 3600 * MM * MM


def test_in_a_long_run_the_usable_share_is_met() -> None:
    blanks = ((925, 76, 160), (625, 76, 160), (460, 51, 240), (300, 51, 400))
    for usable in (F(1, 2), F(62, 100), F(7, 10)):
        found = simulate_purchases(question(blanks, usable=usable))
        net = sum(length * width * count for length, width, count in blanks) * MM * MM
        assert abs(net * len(found.areas) / sum(found.areas) - usable) < 0.05
        assert found.clear > usable


def test_more_than_clear_boards_give_is_never_promised() -> None:
    clear = simulate_purchases(question(((2025, 131, 60),), usable=F(1)))
    asked = simulate_purchases(question(((2025, 131, 60),), usable=F(9, 10)))
    assert asked == clear


SIZES = st.tuples(st.integers(200, 1500), st.integers(30, 90), st.integers(1, 8))


@examples(25)
@given(
    st.lists(SIZES, min_size=1, max_size=3), st.integers(50, 99), st.integers(50, 99), st.integers(40, 100)
)  # fmt: skip
def test_more_certainty_never_takes_less_and_the_same_seed_gives_the_same(
    blanks: list[tuple[int, int, int]], one: int, other: int, usable: int
) -> None:
    asked = question(tuple(blanks), usable=F(usable, 100))
    found = simulate_purchases(asked)
    low, high = (found.that_suffices(F(percent, 100)) for percent in sorted((one, other)))
    assert low is not None
    assert high is not None
    assert low <= high
    assert found.sufficed(F(high)) >= ceil(F(max(one, other), 100) * found.count)
    simulate_purchases.cache_clear()
    assert simulate_purchases(asked) == found
    net = sum(length * width * count for length, width, count in blanks) * MM * MM
    assert found.areas[0] >= net


def test_another_seed_gives_other_purchases_of_much_the_same_size() -> None:
    asked = question(((925, 76, 16), (460, 51, 24)))
    first, second = simulate_purchases(asked, 0), simulate_purchases(asked, 1)
    assert first.areas != second.areas
    middles = [sum(found.areas) / len(found.areas) for found in (first, second)]
    assert abs(middles[0] / middles[1] - 1) < 0.1


def test_what_fits_no_board_is_named_and_what_seldom_fits_is_given_up() -> None:
    asked = question(((3700, 90, 1), (900, 90, 1), (900, 260, 1)))
    assert fit_no_board(asked) == (0, 2)
    never = simulate_purchases(question(((3600, 250, 4),)))
    assert never.that_suffices(F(1, 2)) is None
    assert never.unfinished == never.count


# ---- in an estimate -----------------------------------------------------------------------------------------------


def estimated(values: dict[str, object], **of_maple: int) -> Estimate:
    """The hand-worked cabinet, its boards bought by simulation."""
    start = case.inputs()
    rates = replace(start.rates, values={**start.rates.values, **{name: F(str(one)) for name, one in values.items()}})
    maple = start.catalogue.materials["maple"]
    said = replace(maple, values={**maple.values, **{name: F(one) for name, one in of_maple.items()}})
    catalogue = replace(start.catalogue, materials={**start.catalogue.materials, "maple": said})
    return estimate_inputs(replace(start, rates=rates, catalogue=catalogue), None)


def maple_of(estimate: Estimate) -> MaterialBought:
    return next(one for one in estimate.bought if one.material.kind is Kind.BOARD)


def said_in(basis: Basis) -> str:
    return " ".join(basis.assumptions)


def test_an_estimate_buys_what_suffices_and_says_how_surely() -> None:
    usual = maple_of(estimated({}))
    assert usual.chance is None
    found = estimated({"boards_by_simulation": 1})
    one = maple_of(found)
    assert one.chance is not None
    assert one.chance.certainty >= F(9, 10) > F(one.chance.by_share, one.chance.purchases)
    figures = found.figures
    assert figures[f"buy/{one.key}/gross"].value == figures[f"buy/{one.key}/simulated"].value
    assert figures[f"buy/{one.key}/gross_by_share"].value == figures[f"buy/{one.key}/need"].value / F(3, 4)
    assert figures[f"buy/{one.key}/chance"].value == one.chance.certainty
    assert one.bought.value > usual.bought.value
    assert f"what is bought sufficed in {one.chance.sufficed} of 400 simulated purchases" in said_in(found.basis)
    surer = maple_of(estimated({"boards_by_simulation": 1, "board_chance": "0.99"}))
    assert surer.bought.value >= one.bought.value


def test_a_material_may_say_its_own_boards() -> None:
    one = maple_of(estimated({"boards_by_simulation": 1}, narrowest=200 * MM, widest=200 * MM, shortest=2 * 10**9))
    assert one.chance is not None
    assert one.chance.boards == "200 mm wide and 2000 mm to 3600 mm long"


@pytest.mark.parametrize(
    ("of_maple", "sentence"),
    [
        ({"narrowest": 300 * MM}, "The narrowest board of Maple (300 mm) is more than the widest board (250 mm)"),
        ({"shortest": 300 * MM, "longest": 400 * MM}, "needs a larger board of Maple than the largest, 250 mm wide"),
    ],
)
def test_boards_that_cannot_be_are_said_and_the_usable_share_holds(of_maple: dict[str, int], sentence: str) -> None:
    found = estimated({"boards_by_simulation": 1}, **of_maple)
    one, usual = maple_of(found), maple_of(estimated({}))
    assert one.chance is None
    assert one.bought.value == usual.bought.value
    (problem,) = (problem for problem in found.problems if problem.field == "materials.maple")
    assert sentence in problem.message
    assert problem.severity == "warning"
    assert "bought by its usable share" in problem.message
