"""Issuing a quote: what stands against it, and everything that is frozen with it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from types import MappingProxyType
from typing import Final

from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.errors import CostingError
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.jobs.job import Job
from webapp.costing.measures.money import to_decimal
from webapp.costing.settings.first_rates import still_asked
from webapp.costing.settings.rates import Rates
from webapp.documents.buying.shopping_list import ListFor, ShoppingPaper, shopping_paper
from webapp.documents.printing.paper import picture_address
from webapp.documents.quotes.frozen import Papers, hold_to_snapshot, pack_for, write_frozen, write_papers
from webapp.documents.quotes.kept_workshop_papers import make_papers, write_kept
from webapp.documents.quotes.options import OfferedWay, write_offered
from webapp.documents.quotes.quote import Issue, QuotePaper
from webapp.persistence.jobs.records import StoredJob
from webapp.persistence.quotes.records import Change, ComingQuote, Document, QuoteToIssue
from webapp.persistence.settings.shop import Paper, Shop
from webapp.pictures.qr import qr_code
from webapp.rendering import fill
from webapp.showing import Reader

QUOTE: Final = "quote"
SHOPPING_LIST: Final = "shopping_list"
#: Where nothing fails, nobody has to write why.
NO_REASONS: Final[Mapping[str, str]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Consent:
    """Something that does not stop a quote where somebody says so: its name and its sentence. A tick says so, or, of a
    check that fails, the maker's own words why it goes out all the same."""

    name: str
    sentence: str
    asks_why: bool = False


@dataclass(frozen=True, slots=True)
class Against:
    """What stands against issuing: `refusals` stop it, `consents` have to be ticked or reasoned.

    `asks_rates` says that the shop has yet to give figures of its own.
    """

    refusals: tuple[str, ...]
    consents: tuple[Consent, ...]
    asks_rates: bool = False

    def still_open(self, agreed: Collection[str], reasons: Mapping[str, str] = NO_REASONS) -> bool:
        """Whether the quote can't go out with these ticks, and these reasons by the name of what they are for."""
        return bool(self.refusals) or any(
            not reasons.get(consent.name) if consent.asks_why else consent.name not in agreed
            for consent in self.consents
        )


class NotToBeIssued(CostingError):
    """The estimate lacks something, or a consent is missing; nothing was issued."""

    def __init__(self, against: Against) -> None:
        sentences = (*against.refusals, *(consent.sentence for consent in against.consents))
        super().__init__("The quote can't be issued yet. " + " ".join(sentences))
        self.against = against


def what_stands_against(estimate: Estimate, reader: Reader, rates: Rates | None = None) -> Against:
    """Everything that stands against issuing a quote of this estimate. No total may silently leave a line out.

    `rates` are those of a shop that has to have given a few of its own; a demonstration goes by the program's.
    """
    refusals = [] if rates is None else [
        f"{one.label}: the shop has no figure of its own yet, and no quote goes out at the program's."
        for one in still_asked(rates)
    ]  # fmt: skip
    refusals += [problem.message for problem in estimate.problems if problem.severity == "failure"]
    named = {problem.field for problem in estimate.problems}
    refusals += [
        doubt.sentence
        for doubt in estimate.basis.doubts
        if doubt.state == MISSING and f"materials.{doubt.material}" not in named
    ]
    if not estimate.lines:
        refusals.append("The job holds nothing to quote: add an item or a line.")
    elif not estimate.complete and not refusals:
        refusals.append("The estimate is incomplete.")
    asks_rates = rates is not None and bool(still_asked(rates))
    return Against(tuple(dict.fromkeys(refusals)), _consents(estimate, reader), asks_rates)


def against_issuing(
    shop: Shop, inputs: Inputs, estimate: Estimate, offered: Sequence[OfferedWay] = ()
) -> Against:  # fmt: skip
    """What stands against a quote of this shop, with the options that it would offer."""
    reader = Reader(estimate.system, estimate.currency, estimate.places)
    own = what_stands_against(estimate, reader, None if shop.is_demo else inputs.rates)
    refusals, consents = list(own.refusals), list(own.consents)
    for way in offered:
        theirs = what_stands_against(way.estimate, reader)
        refusals += [f"{option_words(way.name)}{one}" for one in theirs.refusals if one not in own.refusals]
        known = {consent.sentence for consent in own.consents}
        consents += [
            Consent(f"option:{way.id}/{one.name}", f"{option_words(way.name)}{one.sentence}", one.asks_why)
            for one in theirs.consents
            if one.sentence not in known
        ]
    return Against(tuple(dict.fromkeys(refusals)), tuple(consents), own.asks_rates)


def option_words(name: str) -> str:
    """What stands before a sentence that is about an option alone."""
    return f"Option {name}: "


def _consents(estimate: Estimate, reader: Reader) -> tuple[Consent, ...]:
    labels = {item.id: item.label for item in estimate.items}
    consents = [
        Consent(f"check:{item}/{check.name}", f"{labels.get(item, item)}: {check.sentence}", asks_why=True)
        for item, check in estimate.checks
        if check.outcome == "failure"
    ]
    discount = estimate.figures["job/discount"].value
    limit = estimate.figures["setting/discount_consent"].value
    if discount > limit:
        consents.append(
            Consent(
                "discount",
                f"The discount of {reader.percent(discount)} is over {reader.percent(limit)}, "
                "so it needs the owner's approval.",
            )
        )
    kept = estimate.figures.get("risk/contingency")
    if kept is not None and kept.value > estimate.figures["setting/contingency_asked"].value:
        consents.append(
            Consent(
                "contingency",
                f"The contingency by the range, {reader.percent(kept.value)} of the direct cost, is over "
                f"{reader.percent(estimate.figures['setting/contingency_asked'].value)}, so the owner has to agree to "
                "it.",
            )
        )
    totals = estimate.totals
    if totals.net.value < totals.floor_cost.value:
        consents.append(
            Consent(
                "below_cost",
                f"The price without tax, {reader.money(totals.net.value)}, is below the cost of "
                f"{reader.money(totals.floor_cost.value)}, so it needs the owner's approval.",
            )
        )
    return tuple(consents)


def ready_quote(
    job: StoredJob,
    coming: ComingQuote,
    shop: Shop,
    inputs: Inputs,
    estimate: Estimate,
    today: date,
    agreed: Collection[str],
    make: Callable[[str], bytes],
    change: Change | None = None,
    wording: Mapping[str, str] | None = None,
    logo: bytes = b"",
    reasons: Mapping[str, str] = NO_REASONS,
    offered: Sequence[OfferedWay] = (),
) -> QuoteToIssue:
    """Both papers rendered by `make` under the coming number, with all that is kept of them, a `change` among it, and
    the other ways that are `offered` as options.

    `wording` is what it says of its items where that is not what the designs say, `logo` the shop's own picture,
    `reasons` why it goes out although a check fails, by the name of its consent.

    Raises NotToBeIssued where something stands against it.
    """
    against = against_issuing(shop, inputs, estimate, offered)
    if against.still_open(agreed, reasons):
        raise NotToBeIssued(against)
    until = today + timedelta(days=estimate.basis.stands_days)
    issue = Issue(coming.number, coming.revision, today, until, wording or {})
    papers = write_papers(inputs, estimate, shop, issue, job.number, shop.paper, offered)
    ticked = tuple(consent.sentence for consent in against.consents if not consent.asks_why)
    although = {one.sentence: reasons[one.name] for one in against.consents if one.asks_why}
    snapshot = write_frozen(inputs, estimate, shop, issue, job.number, papers, ticked, although, offered)
    if change is not None:
        snapshot["change"] = asdict(change)
    hold_to_snapshot(snapshot)
    for_workshop = make_papers(inputs, estimate, shop, pack_for(snapshot["quote"]), shop.paper)
    return QuoteToIssue(
        job_id=job.id,
        job_version=job.version,
        coming=coming,
        issued_on=today,
        stands_until=issue.stands_until,
        currency=estimate.currency,
        total=to_decimal(estimate.totals.total.value, estimate.places),
        engine_version=estimate.engine_version,
        snapshot=snapshot,
        estimate={**write_estimate(estimate), **write_offered(estimate, offered)},
        documents=(*render_papers(papers, shop.paper, make, logo), write_kept(for_workshop)),
        change=change,
    )


def draft_papers(
    job_number: int | None, shop: Shop, inputs: Inputs, estimate: Estimate, today: date, paper: Paper,
    offered: Sequence[OfferedWay] = (),
) -> Papers:  # fmt: skip
    """Both papers as they stand today, marked as drafts and kept nowhere; a job in a file has no number."""
    stands_until = today + timedelta(days=estimate.basis.stands_days)
    return write_papers(inputs, estimate, shop, Issue(None, 0, today, stands_until), job_number, paper, offered)


def draft_list(number: int, shop: Shop, estimate: Estimate, job: Job, today: date, paper: Paper) -> ShoppingPaper:
    """The shopping list alone, of a job as far as somebody may see it."""
    return shopping_paper(estimate, job, shop, ListFor(f"job {number}, a draft", True, today), paper)


def render_papers(
    papers: Papers, paper: Paper, make: Callable[[str], bytes], logo: bytes = b""
) -> tuple[Document, ...]:
    """The PDFs of both papers."""
    return (
        Document(QUOTE, paper, make(quote_html(papers.quote, logo))),
        Document(SHOPPING_LIST, paper, make(shopping_list_html(papers.shopping_list, logo))),
    )


def quote_html(paper: QuotePaper, logo: bytes = b"") -> str:
    """The quote as `make_pdf` takes it."""
    return fill("documents/quote.html", paper=paper, logo=picture_address(logo))


def shopping_list_html(paper: ShoppingPaper, logo: bytes = b"", opens: str = "") -> str:
    """The shopping list as `make_pdf` takes it; `opens` is the address of its list for a telephone, or empty."""
    code = qr_code(opens, "Opens this list on a telephone", size=84) if opens else ""
    return fill("documents/shopping_list.html", paper=paper, logo=picture_address(logo), code=code)
