"""What a move of prices or rates does to open jobs and quotes, as every page that tries one shows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.in_hand.floors import FLOOR_WORDS
from webapp.costing.measures.manner import whole_number
from webapp.documents.printing.paper import reader_of
from webapp.pages.shown.moves import MoveRow, move_row
from webapp.pages.shown.standing import more_or_less
from webapp.showing import Reader, counted
from webapp.work_in_hand import Moved, Trial

#: So many jobs, and so many quotes, are shown; the others are in the sums above them.
MOST_SHOWN: Final = 40
#: How long one answer works at it while somebody looks on.
SECONDS_A_LOOK: Final = 2.0


@dataclass(frozen=True, slots=True)
class InHandRow:
    """A job or quote that moves. `price` is what the customer pays, `earned` what is left without tax, `share` of the
    price; `floors` what its price is below, and whether that is new. `next` says what a next revision would come to."""

    name: str
    title: str
    href: str
    price: MoveRow
    earned: MoveRow
    share: tuple[str, str]
    floors: tuple[str, ...]
    falls: bool
    marked: bool
    next: str = ""
    revise: str = ""
    withdraw: str = ""


@dataclass(frozen=True, slots=True)
class InHandPart:
    """What moves. While more is to be worked out `on` says where it is asked for, by `GET` or by posting the form that
    it stands in; `worked` of `all_` are done, in words in `progress`."""

    said: tuple[str, ...]
    quotes: tuple[InHandRow, ...]
    jobs: tuple[InHandRow, ...]
    hidden: str
    before: str
    after: str
    worked: int
    all_: int
    progress: str
    on: str
    posts: bool


def in_hand_part(trial: Trial, address: str, *, posts: bool, words: tuple[str, str] = ("now", "then")) -> InHandPart:
    """How far a trial is; `address` is where it is asked about again, `words` are for before and after."""
    reader = reader_of(trial.shop)
    moved = trial.moved
    quotes = sorted((one for one in moved if one.work.quote is not None), key=_by_harm)
    jobs = sorted((one for one in moved if one.work.quote is None), key=_by_harm)
    hidden = max(0, len(quotes) - MOST_SHOWN) + max(0, len(jobs) - MOST_SHOWN)
    whole = len(trial.works)
    marked = sum(1 for one in moved if one.marked)
    progress = ""
    if not trial.over:
        progress = f"{whole_number(trial.done)} of {whole_number(whole)} worked out exactly."
        if marked:
            progress += " What is marked “about” is told in proportion from each job's last sums."
        if trial.unknown:
            progress += f" {counted(whole_number(trial.unknown), 'job')} not reckoned yet."
    return InHandPart(
        _said(trial, quotes, jobs, reader),
        tuple(_quote_row(one, reader) for one in quotes[:MOST_SHOWN]),
        tuple(_job_row(one, reader) for one in jobs[:MOST_SHOWN]),
        f"{whole_number(hidden)} more that move less." if hidden else "",
        *words, trial.done, whole, progress,
        "" if trial.over else f"{address}{'&' if '?' in address else '?'}trial={trial.token}", posts,
    )  # fmt: skip


def _by_harm(one: Moved) -> tuple[int, Fraction, int]:
    """What falls below more than it did first, then what loses most, or moves by most."""
    was, now = one.floors
    by = one.earned[1] - one.earned[0]
    return len(was) - len(now), by if one.quoted_net is not None else -abs(by), one.work.number


def _said(trial: Trial, quotes: Sequence[Moved], jobs: Sequence[Moved], reader: Reader) -> tuple[str, ...]:
    """The whole in a sentence for quotes and one for jobs; nothing of what there is none of."""
    all_quotes = sum(1 for one in trial.works if one.quote is not None)
    all_jobs = len(trial.works) - all_quotes
    about = "about " if any(one.marked for one in (*quotes, *jobs)) else ""
    said = []
    if all_quotes:
        by = sum((one.earned[1] - one.earned[0] for one in quotes), Fraction(0))
        moved = sum(1 for one in quotes if one.moves)
        said.append(_told("open quote", all_quotes, moved, "keep", by, about, reader) + _falls(quotes))
    if all_jobs:
        by = sum((one.after.total - one.before.total for one in jobs), Fraction(0))
        said.append(_told("open job", all_jobs, len(jobs), "move", by, about, reader) + _falls(jobs))
    if trial.further:
        said.append(f"{counted(whole_number(trial.further), 'further open job')} touched longest ago are left out.")
    if not trial.works:
        said.append("No job and no quote is open, so nothing moves.")
    return tuple(said)


def _told(
    what: str, count: int, moved: int, verb: Literal["keep", "move"], by: Fraction, about: str, reader: Reader
) -> str:
    """How many of so many move, and by how much together."""
    more = f"{about}{more_or_less(by, reader)}{' in all' if moved > 1 else ''}" if by else "the same in all"
    whose = f"The {what}" if count == 1 else f"{whole_number(count)} {what}s"
    if verb == "keep":
        keep = "keeps its price" if count == 1 else "keep their price"
        if not moved:
            return f"{whose} {keep} and {'earns' if count == 1 else 'earn'} the same."
        who = "it earns" if count == 1 else f"{whole_number(moved)} of them {'earns' if moved == 1 else 'earn'}"
        return f"{whose} {keep}; {who} {more}."
    if not moved:
        return f"{whose}: none moves." if count > 1 else f"{whose} stays as it is."
    if count == 1:
        return f"{whose} comes to {more}."
    return f"{whole_number(moved)} of {whole_number(count)} {what}s {'moves' if moved == 1 else 'move'}, to {more}."


def _falls(moved: Sequence[Moved]) -> str:
    """How many newly fall below each floor."""
    counts = {
        floor: sum(1 for one in moved if floor in one.floors[1] and floor not in one.floors[0]) for floor in FLOOR_WORDS
    }
    told = [f"{whole_number(count)} {FLOOR_WORDS[floor]}" for floor, count in counts.items() if count]
    return f" New: {', '.join(told)}." if told else ""


def _quote_row(one: Moved, reader: Reader) -> InHandRow:
    quote = one.work.quote
    assert quote is not None
    total = Fraction(quote.total)
    row = _row(one, f"Quote {quote.number}, revision {quote.revision}", f"/quotes/{quote.id}", total, total, reader)
    more = one.after.total - total
    about = "about " if one.marked else ""
    said = f"would come to {about}{reader.money(one.after.total)}"
    said += f", {about}{more_or_less(more, reader)}" if more else ", the same"
    return InHandRow(
        row.name, row.title, row.href, row.price, row.earned, row.share, row.floors, row.falls, row.marked, said,
        f"/jobs/{one.work.number}/issue", f"/quotes/{quote.id}#became",
    )  # fmt: skip


def _job_row(one: Moved, reader: Reader) -> InHandRow:
    number = one.work.number
    return _row(one, f"Job {number}", f"/jobs/{number}", one.before.total, one.after.total, reader)


def _row(one: Moved, name: str, href: str, before: Fraction, after: Fraction, reader: Reader) -> InHandRow:
    def money(amount: Fraction) -> str:
        return reader.amount(amount).replace("-", "−")

    was, now = one.floors
    earned = one.earned
    nets = (one.before.net, one.after.net) if one.quoted_net is None else (one.quoted_net, one.quoted_net)
    shares = [
        reader.percent(left / net).replace("-", "−") if net else "" for left, net in zip(earned, nets, strict=True)
    ]
    new = [floor for floor in now if floor not in was]
    told = [FLOOR_WORDS[floor] if floor in new else f"still {FLOOR_WORDS[floor]}" for floor in now[:1] or ()]
    told += [FLOOR_WORDS[floor] for floor in new if floor not in now[:1]]
    return InHandRow(
        name, one.work.title or "without a name", href, move_row(name, before, after, money),
        move_row(name, *earned, money), (shares[0], shares[1]), tuple(told), bool(new), one.marked,
    )  # fmt: skip
