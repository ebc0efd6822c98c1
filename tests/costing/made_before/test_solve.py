"""The value at which something comes to a goal: found by trying, whatever steps and bends what is tried goes in."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.made_before.solve import MOST_TRIES, Search, solve

F = Fraction
COIN = F(1, 100)


def search(start: Fraction, *, slack: Fraction = COIN, least: int = 0, most: int = 1000, rises: bool = True) -> Search:
    return Search(start, F(least), F(most), F(5), (F(1), F(1, 10), COIN), slack, rises)


@examples(100)
@given(
    start=st.integers(1, 500), hidden=st.integers(1, 50_000), each=st.integers(1, 400), kink=st.integers(1, 500),
    beyond=st.integers(0, 400), step=st.sampled_from([COIN, F(1), F(5), F(10)]),
)  # fmt: skip
def test_what_made_a_price_is_found_again(
    start: int, hidden: int, each: int, kink: int, beyond: int, step: Fraction
) -> None:
    """A price that goes straight, then steeper or flatter, rounded up: some value gives just what the hidden one
    gave, and it is found in few tries."""
    tries = []

    def price(value: Fraction) -> Fraction:
        tries.append(value)
        exact = each * min(value, F(kink)) + beyond * max(F(0), value - kink)
        return F(ceil(exact / step)) * step

    goal = price(F(hidden, 100))
    now = price(F(start))
    tries.clear()
    found = solve(price, now, goal, search(F(start), slack=step))
    assert found is not None
    assert price(found) == goal
    assert (found / COIN).denominator == 1
    assert len(tries) < MOST_TRIES


def test_the_roundest_is_taken() -> None:
    assert solve(lambda value: F(ceil(value * 3 / 5)) * 5, F(120), F(155), search(F(40), slack=F(5))) == 51
    assert solve(lambda value: value * 3, F(120), F("154.8"), search(F(40))) == F("51.6")


def test_what_falls_as_it_grows_is_found_too() -> None:
    assert solve(lambda value: 1000 / value, F(25), F(40), search(F(40), least=1, rises=False)) == 25


@pytest.mark.parametrize("goal", [F(90), F(3100)])
def test_what_no_value_gives_is_not_made_up(goal: Fraction) -> None:
    """Below the least charge, and above what the limits allow."""
    assert solve(lambda value: max(F(100), 3 * value), F(120), goal, search(F(40))) is None


def test_a_leap_over_the_goal_explains_nothing() -> None:
    assert solve(lambda value: F(200) if value > 50 else F(100), F(100), F(150), search(F(40))) is None


def test_what_stands_already_stays() -> None:
    assert solve(lambda value: value, F(40), F(40), search(F(40))) == 40
