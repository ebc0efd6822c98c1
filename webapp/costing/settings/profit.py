"""What is put on a cost: the profit on own work, and the one on what is bought in, each a margin or a markup."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.settings.kinds import CHARGE, choice, share, yes_no
from webapp.costing.settings.rates import Rates, Setting

MARGIN, MARKUP = "margin on price", "markup on cost"
#: The settings that say what a profit is meant as.
PROFITS_AS: Final = ("profit_as", "profit_bought_in_as")

PROFIT_SETTINGS: Final[tuple[Setting, ...]] = (
    choice("profit_as", "Profit is set as", CHARGE, (MARGIN, MARKUP), 0),
    share("profit", "Profit on own work", CHARGE, "22", "22 % as margin is 28.2 % as markup.", "5"),
    share(
        "profit_bought_in",
        "Profit on what is bought in",
        CHARGE,
        "10",
        "Marked materials, parts, hires and services. 10 % as markup: 640 gives 704.",
        "5",
    ),
    replace(
        choice(
            "profit_bought_in_as",
            "Profit on what is bought in is set as",
            CHARGE,
            (MARGIN, MARKUP, "as the profit on own work"),
            1,
        ),
        earlier=((1, Fraction(2)),),
        because="What is bought in is passed on with a markup on its cost, as suppliers and subcontractors are.",
    ),
    replace(
        yes_no(
            "bought_in_apart",
            "What is bought in takes no contingency, and the deposit covers it",
            CHARGE,
            1,
            "Its price is known; unpacking and mounting it are own work.",
        ),
        earlier=((1, Fraction(0)),),
        because="The price of what is bought in is known, and it is paid for before the customer pays.",
    ),
)


def is_margin(rates: Rates, profit: str) -> bool:
    """Whether a profit is a share of the price; else it is one of the cost. Each of the two says which."""
    own = rates["profit_as"] == 0
    return own if profit == "profit" else {0: True, 1: False, 2: own}[int(rates["profit_bought_in_as"])]
