"""The page on which a quote is issued: what it will say, what it changes, what stands against it, and what is asked."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import read_snapshot
from webapp.costing.measures.manner import whole_number
from webapp.documents.printing.paper import day_text, reader_of
from webapp.documents.quotes.customers_words import sizes_of
from webapp.documents.quotes.frozen import although_of
from webapp.documents.quotes.issue import Against, Consent, against_issuing
from webapp.documents.quotes.options import OfferedWay, OptionLine, option_lines
from webapp.pages.quotes.revision_view import RevisionShown, revision_shown
from webapp.pages.shown.standing import quote_name
from webapp.pages.web.posting import tidy_text
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.quotes.records import Change, ComingQuote, StoredQuote
from webapp.persistence.settings.shop import Shop
from webapp.showing import Reader
from webapp.standing import Worked

#: Who may have wished a change of what was agreed.
WISHES: Final[Mapping[str, str]] = {"customer": "The customer", "shop": "The shop"}
LONGEST_REASON: Final = 500
LONGEST_WORDING: Final = 2000
LETTERS_OF_A_ROW: Final = 38


class NotAskedFor(Exception):
    """A revision of what was agreed that nothing differs in, or of which it wasn't said who wished it."""


class TooLong(Exception):
    """What is said of an item has no room on a quote, or a reason none beside it; its field says so."""


@dataclass(frozen=True, slots=True)
class Wish:
    """Whose wish a change of what was agreed is, as it was typed."""

    of: str = ""
    reason: str = ""

    @property
    def problem(self) -> str:
        """What stands against it."""
        if self.of not in WISHES:
            return "Say who asked for the change."
        return _too_long(self.reason)


NO_WISH: Final = Wish()


@dataclass(frozen=True, slots=True)
class Wording:
    """What the quote says of an item, as it stands in its field: first what the design says."""

    item: str
    label: str
    standard: str
    text: str

    @property
    def name(self) -> str:
        """The field's name."""
        return f"wording.{self.item}"

    @property
    def rows(self) -> int:
        """How many rows show all of it in its field."""
        return max(3, len(self.text) // LETTERS_OF_A_ROW + 1)

    @property
    def problem(self) -> str:
        """What stands against it."""
        if len(self.text) <= LONGEST_WORDING:
            return ""
        long, most = whole_number(len(self.text)), whole_number(LONGEST_WORDING)
        return f"This has {long} characters; at most {most} stand on a quote."


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a quote goes out although a check fails, as it stands in its field; `taken` is what is kept of it: a field
    left empty takes what stands above it, since one cause often fails several checks."""

    consent: Consent
    text: str
    taken: str

    @property
    def name(self) -> str:
        """The field's name."""
        return f"why.{self.consent.name}"

    @property
    def problem(self) -> str:
        """What stands against it."""
        if not self.taken:
            return "Write why it goes out all the same."
        return _too_long(self.text)


@dataclass(frozen=True, slots=True)
class Coming:
    """A job worked out, what its next quote will be called, the revision that this one follows, and the other ways that
    it offers as options."""

    job: StoredJob
    worked: Worked
    quote: ComingQuote
    before: StoredQuote | None
    today: date
    offered: tuple[OfferedWay, ...] = ()

    def against(self, shop: Shop) -> Against:
        """What stands against issuing it."""
        return against_issuing(shop, self.worked.inputs, self.worked.estimate, self.offered)

    def options(self, shop: Shop) -> tuple[OptionLine, ...]:
        """Its options as they will be printed."""
        job, _ = self.worked.inputs.read_job(self.worked.inputs.job)
        return option_lines(self.worked.estimate, job, self.offered, reader_of(shop), shop.tax_name or "Tax")

    @property
    def options_marked(self) -> str:
        """What its options come to, in a word: what moved since the page was opened is seen by it."""
        return " ".join(f"{way.id}:{way.beside(self.worked.estimate).total}" for way in self.offered)

    @property
    def agreed(self) -> bool:
        """Whether what it follows is agreed."""
        return self.worked.stands.accepted is not None

    def wordings(self, typed: Mapping[str, str]) -> tuple[Wording, ...]:
        """What it says of each item: as typed, else as the revision before said it of the same, else as designed."""
        found = []
        job, _ = self.worked.inputs.read_job(self.worked.inputs.job)
        for item in self.worked.estimate.items:
            standard = sizes_of(item, job, self.worked.estimate.system).scope()
            text = typed.get(f"wording.{item.id}", self._said_before(item.id) or standard)
            found.append(Wording(item.id, item.label, standard, tidy_text(text)))
        return tuple(found)

    def _said_before(self, item: str) -> str:
        if self.before is None:
            return ""
        kept = self.before.snapshot
        same = _entry(kept["job"], item) == _entry(self.job.document, item)
        return str(kept["quote"].get("wording", {}).get(item, "")) if same else ""

    def reasons(self, against: Against, typed: Mapping[str, str]) -> tuple[Reason, ...]:
        """Why it goes out although checks fail: as typed, else as the revision before said it of the same figures."""
        before = {} if self.before is None else although_of(self.before.snapshot["quote"])
        found, taken = list[Reason](), ""
        for consent in against.consents:
            if consent.asks_why:
                text = tidy_text(typed.get(f"why.{consent.name}", before.get(consent.sentence, ""))).strip()
                taken = text or taken
                found.append(Reason(consent, text, taken))
        return tuple(found)

    def differs(self, reader: Reader) -> RevisionShown | None:
        """What it changes."""
        if self.before is None:
            return None
        return revision_shown(
            quote_name(self.before.listed), "now", (read_snapshot(self.before.snapshot), self.worked.inputs),
            (self.before.estimate, write_estimate(self.worked.estimate)), reader,
        )  # fmt: skip

    def change(self, wish: Wish, reader: Reader) -> Change | None:
        """What is kept of its being a revision. Raises NotAskedFor."""
        if self.before is None:
            return None
        if not self.agreed:
            return Change(self.before.listed.revision)
        differs = self.differs(reader)
        if wish.problem or differs is None or not differs.any:
            raise NotAskedFor
        return Change(self.before.listed.revision, wish.of, wish.reason)


def _too_long(text: str) -> str:
    """That a reason has no room; nothing where it has."""
    if len(text) <= LONGEST_REASON:
        return ""
    return f"The reason has {len(text)} characters; at most {LONGEST_REASON} are kept."


def own_wording(wordings: tuple[Wording, ...]) -> dict[str, str]:
    """What is said otherwise than the designs say it, by the item's id."""
    return {one.item: one.text for one in wordings if one.text not in ("", one.standard)}


def _entry(document: Mapping[str, Any], item: str) -> object:
    return next((one for one in document.get("items", ()) if one.get("id") == item), None)


@dataclass(frozen=True, slots=True)
class IssuePage:
    """What the coming quote will be called and say, what stands against it, and what was ticked already.

    `differs` is what it changes of the revision it follows; where that is `agreed`, it is asked whose wish that was.
    """

    action: str
    job_href: str
    name: str
    revision: str
    version: str
    title: str
    customer: str
    total: str
    currency: str
    complete: bool
    stands_until: str
    refusals: tuple[str, ...]
    consents: tuple[tuple[str, str, bool], ...]
    reasons: tuple[Reason, ...]
    issue_asked: bool
    moved: str
    differs: RevisionShown | None
    agreed: bool
    wishes: tuple[tuple[str, str], ...]
    wish: Wish
    wish_problem: str
    asks_rates: bool
    wordings: tuple[Wording, ...]
    options: tuple[OptionLine, ...]
    options_marked: str

    @property
    def nothing_to_issue(self) -> bool:
        """Whether it would only say again what is agreed."""
        return self.agreed and self.differs is not None and not self.differs.any


def issue_page(
    coming: Coming, against: Against, shop: Shop, ticks: Collection[str], wish: Wish, typed: Mapping[str, str], *,
    refused: bool, moved: str,
) -> IssuePage:  # fmt: skip
    """The page in words."""
    job, found, reader = coming.job, coming.worked.estimate, reader_of(shop)
    return IssuePage(
        action=f"/jobs/{job.number}/issue",
        job_href=f"/jobs/{job.number}",
        name=f"{coming.quote.number}, revision {coming.quote.revision}",
        revision=str(coming.quote.revision),
        version=str(job.version),
        title=job.title,
        customer=job.customer_name,
        total=reader.amount(found.totals.total.value),
        currency=found.currency,
        complete=found.complete,
        stands_until=day_text(coming.today + timedelta(days=found.basis.stands_days)),
        refusals=against.refusals,
        consents=tuple((one.name, one.sentence, one.name in ticks) for one in against.consents if not one.asks_why),
        reasons=coming.reasons(against, typed),
        issue_asked=refused,
        moved=moved,
        differs=coming.differs(reader),
        agreed=coming.agreed,
        wishes=tuple(WISHES.items()),
        wish=wish,
        wish_problem=wish.problem if coming.agreed and refused else "",
        asks_rates=against.asks_rates,
        wordings=coming.wordings(typed),
        options=coming.options(shop),
        options_marked=coming.options_marked,
    )
