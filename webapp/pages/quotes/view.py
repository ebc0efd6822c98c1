"""What the pages of issued quotes show, put in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import read_snapshot
from webapp.costing.measures.manner import grouped
from webapp.documents.printing.paper import day_text, reader_of
from webapp.documents.quotes.frozen import Papers, although_of, same_papers
from webapp.documents.quotes.kept_workshop_papers import MADE_LATER
from webapp.pages.quotes.revision_view import RevisionShown, revision_shown
from webapp.pages.stock.held import NOTHING_OF_RACK, RackOfQuote
from webapp.pages.web.listing import Turning, turning
from webapp.pages.web.times import moment
from webapp.persistence.foundation.lists import Page
from webapp.persistence.quotes.mails import Mail
from webapp.persistence.quotes.records import Change, QuoteListed, StoredQuote
from webapp.persistence.quotes.tables import QUOTE_SORTS, QUOTE_WORDS, TRANSITIONS, QuoteSort
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader, counted

SORT_WORDS: Final[Mapping[QuoteSort, str]] = {
    "issued": "the last issued first",
    "number": "the highest number first",
    "lapses": "the first to lapse first",
    "total": "the largest first",
    "customer": "by customer",
}
VERBS: Final[Mapping[str, str]] = {
    "accepted": "Mark accepted",
    "declined": "Mark declined",
    "withdrawn": "Withdraw it",
    "standing": "Take the acceptance back",
}
#: Quotes in these states may still be sent.
MAY_BE_SENT: Final = ("standing", "accepted")
MAIL_WORDS: Final = {
    "sending": "Being sent", "sent": "Sent", "refused": "Not sent", "unknown": "Not known whether it went",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class QuoteRowShown:
    """A quote in the list, in words."""

    href: str
    name: str
    title: str
    customer: str
    state: str
    issued: str
    total: str
    currency: str


@dataclass(frozen=True, slots=True)
class QuotesPage:
    """The list, what it was narrowed to, and where it goes on."""

    words: str
    state: str
    states: tuple[tuple[str, str], ...]
    sort: str
    sorts: tuple[tuple[str, str], ...]
    caption: str
    rows: tuple[QuoteRowShown, ...]
    turning: Turning
    narrowed: bool


@dataclass(frozen=True, slots=True)
class QuotePage:
    """One quote: what was printed, what only the shop sees, what became of it, and what may become of it."""

    href: str
    job_href: str
    name: str
    title: str
    customer: str
    state: str
    left: str
    issued: str
    stands_until: str
    by: str
    currency: str
    lines: tuple[Mapping[str, str], ...]
    sums: tuple[Mapping[str, str], ...]
    paid: tuple[Mapping[str, str], ...]
    options: tuple[Mapping[str, Any], ...]
    may_accept: tuple[tuple[str, str], ...]
    accepted_with: str
    own: tuple[tuple[str, str, str | None, None, None], ...]
    agreed: tuple[str, ...]
    although: tuple[tuple[str, str], ...]
    events: tuple[tuple[str, str, str], ...]
    revision: RevisionShown | None
    changed: str
    moves: tuple[tuple[str, str], ...]
    note: str
    note_problem: str | None
    revisions: tuple[tuple[str, str, str], ...]
    made_later: bool
    may_be_sent: bool
    mails: tuple[tuple[str, str, str, str], ...]
    rack: RackOfQuote

    @property
    def takes_back(self) -> bool:
        """Whether all that may be said is that it was not accepted after all."""
        return [state for state, _ in self.moves] == ["standing"]


@dataclass(frozen=True, slots=True)
class AgainPage:
    """The figures of a quote as kept and as worked out again from its snapshot.

    `same` goes by the figures; where they are, the papers of today may still be `reworded`.
    """

    href: str
    name: str
    title: str
    currency: str
    same: bool
    reworded: bool
    rows: tuple[tuple[str, str, str, bool], ...]
    engines: str


def quotes_page(
    quotes: Page[QuoteListed], words: str, state: str, sort: QuoteSort, today: date, shop: Shop
) -> QuotesPage:
    """The list as it was narrowed."""
    asked = {"words": words, "state": state, "sort": "" if sort == QUOTE_SORTS[0] else sort}
    return QuotesPage(
        words,
        state,
        (("", "any status"), *QUOTE_WORDS.items()),
        sort,
        tuple(SORT_WORDS.items()),
        f"Issued quotes, {SORT_WORDS[sort]}",
        tuple(_row(one, today, reader_of(shop)) for one in quotes.entries),
        turning("/quotes", asked, quotes, "quote"),
        bool(words or state or quotes.number > 1),
    )


def again_page(stored: StoredQuote, estimate: Estimate, papers: Papers) -> AgainPage:
    """What was kept, line by line, beside what its snapshot gives today."""
    reader = Reader(estimate.system, estimate.currency, estimate.places)
    kept, totals = stored.estimate["totals"], estimate.totals
    lines_again = {line.id: reader.amount(line.net.value) for line in estimate.lines}
    lines_kept = {line["id"]: line for line in stored.estimate["lines"]}
    rows = [
        (line["label"], _written(line["net"]), lines_again.get(name, "no such line"))
        for name, line in lines_kept.items()
    ]
    rows += [(line.label, "no such line", lines_again[line.id]) for line in estimate.lines if line.id not in lines_kept]
    rows += [
        (words, _written(kept[name]), reader.amount(getattr(totals, name).value))
        for words, name in (
            ("Price without tax", "net"),
            ("Tax", "tax"),
            ("Total to pay", "total"),
            ("Deposit", "deposit"),
            ("Cost", "cost"),
        )
    ]
    same = all(before == again for _, before, again in rows)
    reworded = same and not same_papers(stored.snapshot, papers)
    engines = (
        f"It was issued by version {stored.engine_version} of the sums, and worked out again by version "
        f"{estimate.engine_version}."
    )
    shown = tuple((words, before, again, before == again) for words, before, again in rows)
    listed = stored.listed
    return AgainPage(
        f"/quotes/{listed.id}", _name(listed), listed.title, estimate.currency, same, reworded, shown, engines
    )


def quote_page(
    stored: StoredQuote, revisions: tuple[QuoteListed, ...], before: StoredQuote | None, today: date, shop: Shop,
    note: str = "", note_problem: str | None = None, mails: tuple[Mail, ...] = (),
    rack: RackOfQuote = NOTHING_OF_RACK,
) -> QuotePage:  # fmt: skip
    """The sheet of one quote as it stands on a day, beside the revision it follows; a note that was not taken comes
    back with its problem."""
    listed, kept = stored.listed, stored.snapshot
    printed, totals = kept["papers"]["quote"], stored.estimate["totals"]
    return QuotePage(
        href=f"/quotes/{listed.id}",
        job_href=f"/jobs/{kept['quote']['job_number']}",
        name=_name(listed),
        title=listed.title,
        customer=listed.customer_name,
        state=QUOTE_WORDS[listed.state],
        left=_left(listed, today),
        issued=day_text(listed.issued_on),
        stands_until=day_text(listed.stands_until),
        by=kept["shop"]["name"],
        currency=listed.currency,
        lines=tuple(printed["lines"]),
        sums=tuple(printed["sums"]),
        paid=tuple(printed["paid"]),
        options=tuple(printed.get("options", ())),
        may_accept=_may_accept(kept, listed, reader_of(shop)),
        accepted_with=listed.option_name,
        own=_own_figures(totals, kept.get("risk"), listed, shop),
        agreed=tuple(kept["agreed"]),
        although=tuple(although_of(kept["quote"]).items()),
        events=_events(stored, shop),
        revision=_beside(before, stored, shop) if before is not None else None,
        changed=change_of(stored).sentence,
        moves=tuple((state, VERBS[state]) for state in TRANSITIONS[listed.state]),
        note=note,
        note_problem=note_problem,
        revisions=tuple(
            (f"/quotes/{one.id}", _name(one), QUOTE_WORDS[one.state]) for one in revisions if one.id != listed.id
        ),
        made_later=any(name == MADE_LATER for name, _, _ in stored.documents),
        may_be_sent=listed.state in MAY_BE_SENT,
        mails=mails_shown(mails, shop),
        rack=rack,
    )


def _may_accept(kept: Mapping[str, Any], listed: QuoteListed, reader: Reader) -> tuple[tuple[str, str], ...]:
    """What a quote may be accepted as, where it has options: (id of the option, words)."""
    options = kept.get("options", ())
    if not options or "accepted" not in TRANSITIONS[listed.state]:
        return ()
    with_each = (
        (one["entry"]["id"], f"with the option {one['entry']['name']}", one["estimate"]["totals"]["total"])
        for one in options
    )
    return tuple(
        (key, f"{words}, {reader.money(Fraction(total))}")
        for key, words, total in (("", "as it is priced", str(listed.total)), *with_each)
    )


def change_of(stored: StoredQuote) -> Change:
    """Which revision a quote changes and by whose wish; of quotes that keep no such thing it is the one before."""
    kept = stored.snapshot.get("change")
    return Change(**kept) if kept else Change(stored.listed.revision - 1)


def _beside(before: StoredQuote, stored: StoredQuote, shop: Shop) -> RevisionShown:
    return revision_shown(
        f"revision {before.listed.revision}", f"revision {stored.listed.revision}",
        (read_snapshot(before.snapshot), read_snapshot(stored.snapshot)), (before.estimate, stored.estimate),
        reader_of(shop),
    )  # fmt: skip


def _events(stored: StoredQuote, shop: Shop) -> tuple[tuple[str, str, str], ...]:
    """What became of a quote; to stand after it was accepted is to have that taken back."""
    states = [event.state for event in stored.events]
    words = [
        "Acceptance taken back" if state == "standing" and before == "accepted" else QUOTE_WORDS[state]
        for before, state in zip(["", *states], states, strict=False)
    ]
    return tuple((moment(one.at, shop), said, one.note) for one, said in zip(stored.events, words, strict=True))


def _own_figures(
    totals: Mapping[str, Any], risk: Mapping[str, Any] | None, listed: QuoteListed, shop: Shop
) -> tuple[tuple[str, str, str | None, None, None], ...]:
    """What only the shop sees, from the estimate and its range as they were kept; older quotes hold no range."""
    reader = reader_of(shop)
    figures = [
        ("Cost", _written(totals["cost"]), listed.currency),
        ("Profit", _written(totals["profit"]), listed.currency),
        ("Margin", reader.percent(Fraction(totals["margin"])), None),
        ("Hours, charged", reader.hours(Fraction(totals["minutes_charged"])), None),
    ]
    if totals["earned_per_hour"] is not None:
        figures.append(("An hour earns", _written(totals["earned_per_hour"]), listed.currency))
    if risk is not None:
        figures.append(("One job in five costs more than", _written(risk["cost"]["p80"]), listed.currency))
    return tuple((words, text, unit, None, None) for words, text, unit in figures)


def _row(listed: QuoteListed, today: date, reader: Reader) -> QuoteRowShown:
    left = _left(listed, today)
    return QuoteRowShown(
        f"/quotes/{listed.id}", _name(listed), listed.title, listed.customer_name,
        f"{QUOTE_WORDS[listed.state]}, {left}" if left else QUOTE_WORDS[listed.state], day_text(listed.issued_on),
        reader.amount(Fraction(listed.total)), listed.currency,
    )  # fmt: skip


def _name(listed: QuoteListed) -> str:
    return f"{listed.number}, revision {listed.revision}"


def _left(listed: QuoteListed, today: date) -> str:
    """For how long it still stands, where it does."""
    if listed.state != "standing":
        return ""
    days = (listed.stands_until - today).days
    return f"{counted(days, 'day')} left" if days else "today is its last day"


def _written(amount: str) -> str:
    """A kept amount as it is read: 1,192.03."""
    return grouped(f"{Decimal(amount):f}")


def mails_shown(mails: tuple[Mail, ...], shop: Shop) -> tuple[tuple[str, str, str, str], ...]:
    """The letters with a quote: when, to whom, what became of it, and the server's sentence."""
    return tuple((moment(one.begun_at, shop), one.sent_to, MAIL_WORDS[one.state], one.said) for one in mails)
