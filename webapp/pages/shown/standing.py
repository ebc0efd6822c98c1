"""What a job stands at, in words: the sum that was agreed or quoted, and what this day's sums come to beside it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.estimate.differences import Move
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.documents.printing.paper import day_text
from webapp.persistence.quotes.records import QuoteListed
from webapp.showing import Reader
from webapp.standing import Stands, ToBuy


@dataclass(frozen=True, slots=True)
class StandsShown:
    """A sum that binds, and whose: `label` and `amount` for those who see money, `here` what the sheet's own sum is
    called beside it, `apart` whether it is another one. `leads_on` is where the difference is looked into: (address,
    words)."""

    label: str
    amount: str
    here: str
    apart: bool
    quote: str
    sentences: tuple[str, ...]
    leads_on: tuple[str, str] | None

    @property
    def word(self) -> str:
        """Agreed or quoted."""
        return self.label.partition(",")[0].lower()


def stands_shown(
    stands: Stands, estimate: Estimate | Work, reader: Reader, job_href: str, *, as_agreed: bool
) -> StandsShown | None:
    """What a job stands at beside the sums of its sheet; None where nothing was quoted that holds."""
    at = stands.at
    if at is None:
        return None
    money = isinstance(estimate, Estimate)
    more = estimate.totals.total.value - Fraction(at.total) if isinstance(estimate, Estimate) else Fraction(0)
    apart = bool(more)
    agreed = stands.accepted is not None
    said: list[str] = []
    leads_on = None
    if agreed and not as_agreed:
        said.append("This sheet asks for something else than was agreed; the workshop makes what was agreed.")
        if money:
            leads_on = f"{job_href}/issue", "See what differs, and issue the next revision"
    if isinstance(estimate, Estimate) and apart:
        said.append(_comes_to(estimate, more, reader, agreed=agreed, as_agreed=as_agreed))
    if stands.accepted is not None and stands.quoted is not None:
        sum_ = f" at {reader.money(Fraction(stands.quoted.total))}" if money else ""
        until = day_text(stands.quoted.stands_until)
        said.append(f"Revision {stands.quoted.revision}{sum_} is with the customer until {until}.")
    if agreed:
        here = "As this sheet stands, to pay" if apart else "Agreed, to pay"
    else:
        here = "Today, to pay" if apart else "Quoted, to pay"
    return StandsShown(
        "Agreed, to pay" if agreed else "Quoted, to pay", reader.amount(Fraction(at.total)) if money else "", here,
        apart and money, f"{'agreed' if agreed else 'quoted'} in {quote_name(at)}", tuple(said), leads_on,
    )  # fmt: skip


def today_beside(at: QuoteListed, estimate: Estimate, reader: Reader) -> list[str]:
    """What a job would come to today, where that is not what it stands at."""
    by = estimate.totals.total.value - Fraction(at.total)
    if not by:
        return []
    word = "agreed" if at.state == "accepted" else "quoted"
    return [
        f"Today it would come to {reader.money(estimate.totals.total.value)}: {more_or_less(by, reader)} than {word}."
    ]


def _comes_to(estimate: Estimate, more: Fraction, reader: Reader, *, agreed: bool, as_agreed: bool) -> str:
    total, by = reader.money(estimate.totals.total.value), more_or_less(more, reader)
    if not agreed:
        return f"At today's prices, and as it is typed, it comes to {total}: {by} than was quoted."
    if as_agreed:
        return f"By today's version of the program it would come to {total}; what was agreed holds."
    return f"It comes to {total}: {by} than was agreed."


def more_or_less(by: Fraction, reader: Reader) -> str:
    """By how much a sum is more or less than another."""
    return f"{reader.money(abs(by))} {'more' if by > 0 else 'less'}"


def bought_beside(to_buy: ToBuy, reader: Reader) -> str:
    """What the materials of an agreed job come to beside what was counted for them; nothing of another job."""
    move = bought_move("", to_buy)
    if move is None or move.before is None or move.after is None:
        return ""
    counted, costs = reader.money(move.before), reader.money(move.after)
    if not move.by:
        return f"Its materials were counted at {counted}, and so they come to."
    whose = "the shop bears" if move.by > 0 else "the shop keeps"
    return (
        f"Its materials were counted at {counted} and come to {costs}: {more_or_less(move.by, reader)}, which {whose}."
    )


def bought_move(label: str, to_buy: ToBuy) -> Move | None:
    """What was counted for the materials of an agreed job, and what they come to; None for another job."""
    counted = to_buy.agreed_materials
    if counted is None:
        return None
    return Move(label, label, counted, to_buy.estimate.materials_bought)


def quote_name(listed: QuoteListed) -> str:
    """How a quote is called in a sentence."""
    option = f", with the option {listed.option_name}" if listed.option else ""
    return f"quote {listed.number}, revision {listed.revision}{option}"
