"""What somebody enters at a line: a whole state of it, never a change of one, so that it may come late or twice.

An entry has its id from where it was made. It counts higher than every entry of its list that was seen there, and names
those of its line that it takes the place of: that, and no clock, is what two telephones are put in order by.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from webapp.costing.errors import MeasureError
from webapp.costing.measures.amounts import parse_money
from webapp.costing.measures.written import parse_quantity

OPEN, LOADED, ORDERED, ARRIVED, SHORT = "open", "loaded", "ordered", "arrived", "short"
ABSENT, LATER, SENT_BACK = "not there", "later", "sent back"
#: How a line can stand, and what is said of one that does.
STATES: Final[Mapping[str, str]] = {
    OPEN: "", LOADED: "loaded", ORDERED: "ordered", ARRIVED: "arrived", SHORT: "came short", ABSENT: "not there",
    LATER: "put on a later stop", SENT_BACK: "sent back",
}  # fmt: skip
#: What stands in the shop, or on the van: somebody pays for it.
GOT: Final = frozenset({LOADED, ARRIVED, SHORT})

#: Before the id of a line that was bought without standing on the list.
ALSO: Final = "also:"
HIGHEST: Final = 2**31 - 1
LONGEST_WORDS: Final = 120
LONGEST_TIME: Final = 40
MOST_REPLACED: Final = 50
#: More was never entered at one line; of things that stand on no list there are no more either.
MOST_ENTRIES: Final = 500
LARGEST_COUNT: Final = 1_000_000

_ID: Final = re.compile("[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class Said:
    """How a line stands by one entry.

    `count` and `paid` are None where nobody told them, `with_tax` where it is as the price before. `offer` is another
    pack of the same, `instead` another thing in words, `stop` another place than the list's; `job` is for a thing that
    was also bought. `sure` answers what is asked about a price that jumps.
    """

    state: str
    count: Fraction | None = None
    paid: Decimal | None = None
    with_tax: bool | None = None
    one_off: bool = False
    offer: str = ""
    instead: str = ""
    stop: str = ""
    job: int | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """What was entered at a line: under which id and count, in place of which entries, on which of the shop's days.

    `told_at` is the telephone's time, as words: nothing is put in order by it. `making` counts the making of the list
    that it was entered at, 0 where that is not known.
    """

    id: str
    line: str
    counter: int
    replaces: frozenset[str]
    said: Said
    day: date
    told_at: str = ""
    by: str = ""
    making: int = 0

    @property
    def place(self) -> tuple[int, str]:
        """Where it stands among all entries."""
        return self.counter, self.id


def read_entry(
    fields: Mapping[str, str], currency: str, places: int, made_on: date, today: date, by: str
) -> tuple[Entry | None, Mapping[str, str]]:
    """An entry as a form or a telephone sends it, its numbers plain, or what stands against it by field.

    The day is the one that the telephone reckoned from the shop's own; one on which it can't have been bought, since
    the list was not made yet or the day is still to come, is the next that can be.
    """
    wrong: dict[str, str] = {}
    count = paid = None
    try:
        count = _count(fields.get("count", ""))
    except MeasureError as error:
        wrong["count"] = error.reason
    try:
        paid = parse_money(fields["paid"], currency, places) if fields.get("paid") else None
    except MeasureError as error:
        wrong["paid"] = error.reason
    for name in ("instead", "stop", "offer", "told_at"):
        longest = LONGEST_TIME if name == "told_at" else LONGEST_WORDS
        if len(fields.get(name, "")) > longest:
            wrong[name] = f"This has {len(fields[name])} characters; at most {longest} are kept."
    state = fields.get("state", "")
    if state not in STATES:
        wrong["state"] = f"“{state[:40]}” is no way in which a line can stand."
    line, also = fields.get("line", ""), fields.get("line", "").startswith(ALSO)
    if also and state in GOT and not fields.get("instead"):
        wrong["instead"] = "Say what was bought."
    counter, job = fields.get("counter", ""), fields.get("job", "")
    replaces = fields.get("replaces", "").split()
    known = (
        bool(_ID.fullmatch(fields.get("id", "")))
        and _is_number(counter)
        and len(replaces) <= MOST_REPLACED
        and all(_ID.fullmatch(one) for one in replaces)
        and (not job or _is_number(job))
        and (not also or bool(_ID.fullmatch(line.removeprefix(ALSO))))
    )
    if not known:
        wrong["id"] = "This entry lacks what every entry has: its id and its count. Open the list again and enter it."
    if wrong:
        return None, wrong
    said = Said(
        state, count, paid, _told(fields, "with_tax"), bool(fields.get("one_off")), fields.get("offer", ""),
        fields.get("instead", ""), fields.get("stop", ""), int(job) if job else None, bool(fields.get("sure")),
    )  # fmt: skip
    day = min(max(_day(fields.get("day", ""), today), made_on), today)
    entry = Entry(
        fields["id"], line, int(counter), frozenset(replaces), said, day, fields.get("told_at", ""), by,
        int(fields.get("making", "")) if _is_number(fields.get("making", "")) else 0,
    )  # fmt: skip
    return entry, {}


def _count(text: str) -> Fraction | None:
    """How many; None where nobody told. Raises MeasureError."""
    if not text:
        return None
    if text.lstrip().startswith(("-", "\N{MINUS SIGN}")):
        raise MeasureError(text, f"“{text}” is below nothing: type how many there are, 0 or more.")
    count = parse_quantity(text, "number", "inch")
    if count > LARGEST_COUNT:
        raise MeasureError(text, f"“{text}” is more than any van carries.")
    return count


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= 10 and int(text) <= HIGHEST


def _told(fields: Mapping[str, str], name: str) -> bool | None:
    # A tick that isn't sent says no only where the form showed it.
    return bool(fields.get(name)) or (False if fields.get("marks") else None)


def _day(text: str, today: date) -> date:
    try:
        return date.fromisoformat(text) if len(text) == 10 else today
    except ValueError:
        return today


def write_said(said: Said) -> dict[str, Any]:
    """What an entry says, as a document that is kept; what was not told is left out."""
    document = {
        "state": said.state, "count": None if said.count is None else str(said.count),
        "paid": None if said.paid is None else str(said.paid), "with_tax": said.with_tax,
        "one_off": said.one_off or None, "offer": said.offer or None, "instead": said.instead or None,
        "stop": said.stop or None, "job": said.job, "sure": said.sure or None,
    }  # fmt: skip
    return {name: value for name, value in document.items() if value is not None}


def read_said(document: Mapping[str, Any]) -> Said:
    """What an entry says, as it was kept."""
    return Said(
        document["state"], Fraction(document["count"]) if "count" in document else None,
        Decimal(document["paid"]) if "paid" in document else None, document.get("with_tax"),
        document.get("one_off", False), document.get("offer", ""), document.get("instead", ""),
        document.get("stop", ""), document.get("job"), document.get("sure", False),
    )  # fmt: skip
