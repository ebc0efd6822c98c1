"""By how much the things of a job come out otherwise than they are charged: every figure of it stands here.

A shop sets most of them; closed jobs are to put what was seen in place of what is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.settings.kinds import CHARGE, RANGE, choice, number, share
from webapp.costing.settings.rates import Rates

#: How often a job is drawn, and what the draws start from: the same job is drawn alike on every machine.
DRAWS: Final = 10_000
SEED: Final = 1
#: How strongly a step that the shop knows gathers round its likely minutes: the shape of the usual beta-PERT.
PERT_SHAPE: Final = 4
#: What is made again is low, likely and high so many times the likely share of it.
AGAIN: Final = (Fraction(0), Fraction(1), Fraction(3))
#: Prices seen over less than this tell nothing of how they move.
LEAST_DAYS_SEEN: Final = 30
#: What is drawn of the range: the name, the share of the draws that stay within it, and words.
QUANTILES: Final = (
    ("p10", Fraction(10, 100), "one job in ten stays within it"),
    ("p50", Fraction(50, 100), "every second job stays within it"),
    ("p80", Fraction(80, 100), "one job in five goes beyond it"),
    ("p90", Fraction(90, 100), "one job in ten goes beyond it"),
)
#: How many of the things that move a range most are named.
MOST_NAMED: Final = 3

CONTINGENCY_SETTINGS: Final = (
    share("contingency_repeat", "Contingency: a job done before", CHARGE, "3"),
    share("contingency_known", "Contingency: a known kind of job", CHARGE, "7"),
    share("contingency_new", "Contingency: a new kind of job", CHARGE, "15"),
    choice(
        "contingency_from", "Contingency is", CHARGE,
        ("a share of the cost", "what four jobs in five stay within, less the mean charged"), 0,
        "The second follows the range of each job; the shares above then rest.",
    ),
    share("contingency_least", "Contingency by the range: never below, share of the cost", CHARGE, "3"),
    share("contingency_asked", "Contingency by the range: above this it needs approval", CHARGE, "25"),
)  # fmt: skip

RANGE_SETTINGS: Final = (
    share(
        "hours_together", "How much the hours of steps go together", RANGE, "30",
        "A good or a bad week moves all steps; 20 to 50 %. At 0 they make up for each other.", "1",
    ),
    share("again_repeat", "Made again, likely share of hours and cut material: a job done before", RANGE, "1"),
    share("again_known", "Made again: a known kind of job", RANGE, "2"),
    share("again_new", "Made again: a new kind of job", RANGE, "4"),
    share(
        "prices_together", "How much the prices of one supplier go together", RANGE, "50",
        "Of different suppliers each moves by itself.", "1",
    ),
    share(
        "price_spread_fresh", "A price of today, when we buy, is off by", RANGE, "2",
        "Two prices in three stay within it.", "0.5",
    ),
    share(
        "price_spread_year", "A price a year old is off by", RANGE, "10",
        "Grows with the root of its age; where prices were seen often enough, it is taken from them.", "0.5",
    ),
    number(
        "prices_seen_from", "How prices move is taken from those seen, from so many on", RANGE, "4", "", "3",
        "100",
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RangeParameters:
    """What the draws of one job go by."""

    hours_together: Fraction
    prices_together: Fraction
    draws: int = DRAWS
    seed: int = SEED
    pert_shape: int = PERT_SHAPE


def parameters_of(rates: Rates) -> RangeParameters:
    """The parameters as a shop sets them."""
    return RangeParameters(rates["hours_together"], rates["prices_together"])
