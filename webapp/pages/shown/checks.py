"""Checks as pages list them: what somebody has to decide stands before what is only to be minded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.takeoff.model import OWN_RULE, Check
from webapp.pages.shown.figures import Shown
from webapp.showing import Reader, counted

#: What fails is for its maker to answer, what is not known for somebody to find out and type; a warning is a caution.
ORDER: Final = ("failure", "unknown", "warning")
#: How the names of checks begin that go before others of their sort: what doubts a choice is typed in a moment, and a
#: day that can't be kept is somebody's word.
FIRST: Final = ("fits/", "due")
#: So many of each stand in sight without a click; of the cautions one more where nothing else is open.
MOST_FAILING: Final = 4
MOST_UNKNOWN: Final = 2


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check that did not pass: what it says, and the figures behind it."""

    item: str
    sentence: str
    mark: str
    figures: tuple[tuple[str, Shown], ...]


@dataclass(frozen=True, slots=True)
class ChecksInSight:
    """The checks that stand in sight without a click: those that fail, the others, and how many more there are of what
    sort, in words."""

    failing: tuple[CheckRow, ...]
    others: tuple[CheckRow, ...]
    more: str

    @property
    def more_failing(self) -> str:
        """What fails besides the first, where there is room for that alone."""
        return and_more_fail(len(self.failing) - 1)


def told(check: Check, reader: Reader) -> str:
    """A check in a sentence that is true as it came out: that of a rule of the design's own says what is wrong where
    the rule isn't kept."""
    if check.outcome != "pass" or not check.name.startswith(OWN_RULE):
        return check.sentence
    measured = ""
    if check.held is not None:
        needs, has = (reader.text(one, check.held.unit) for one in (check.held.needs, check.held.has))
        measured = f": {needs} is no more than {has}"
    called = in_trade_words(check.name.removeprefix(OWN_RULE).replace("_", " "))
    return f"the rule “{called}” is kept{measured}."


def to_decide(checks: Iterable[tuple[str, Check]]) -> tuple[tuple[str, Check], ...]:
    """The checks that did not pass, each with its item: what fails, what is not known, what is a caution.

    Of each sort what was chosen for a place stands first, and the day that is wanted; then what the items bring before
    what holds for the whole job, as they come.
    """
    open_ = [one for one in checks if one[1].outcome in ORDER]
    return tuple(sorted(open_, key=lambda one: (ORDER.index(one[1].outcome), not one[1].name.startswith(FIRST))))


def and_more_fail(count: int) -> str:
    """How many more fail than the one in sight; nothing where none does."""
    return f"{count} more {'fails' if count == 1 else 'fail'}" if count > 0 else ""


def in_sight(rows: Sequence[CheckRow]) -> ChecksInSight:
    """What of the rows, in their order, stands in sight. A caution never takes the place of what is to be decided."""
    failing, unknown, cautions = ([row for row in rows if row.mark == mark] for mark in ORDER)
    others = (*unknown[:MOST_UNKNOWN], *cautions[: 1 if unknown else 2])
    left = Counter(row.mark for row in rows)
    left.subtract(row.mark for row in (*failing[:MOST_FAILING], *others))
    words = [
        f"{left['failure']} {'fails' if left['failure'] == 1 else 'fail'}" if left["failure"] else "",
        f"{left['unknown']} not known" if left["unknown"] else "",
        counted(left["warning"], "warning") if left["warning"] else "",
    ]
    return ChecksInSight(tuple(failing[:MOST_FAILING]), others, ", ".join(filter(None, words)))
