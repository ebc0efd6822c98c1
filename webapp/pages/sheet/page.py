"""A job's document worked out and put together as its sheet: the page whole, and the part that follows the keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Final
from zlib import crc32

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import KINDS
from webapp.costing.catalogue.materials import walk
from webapp.costing.design_changes.rename import under_new_names
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.jobs.job import Job
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import format_quantity
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import cut_parts
from webapp.documents.printing.paper import day_text, reader_of
from webapp.drafting import Offer
from webapp.estimating import estimate_job
from webapp.pages.part_lists.rows import is_list, left_sentences
from webapp.pages.sheet.drawings import Drawings, Stamps, build_drawings, build_stamps, drawings_digest
from webapp.pages.sheet.fields import FieldBuilder, JobFields
from webapp.pages.sheet.form import Removed
from webapp.pages.sheet.materials import Typed
from webapp.pages.sheet.plans import JobPlans, better_known, build_plans, cut_keys, plans_digest, told_on
from webapp.pages.sheet.prices import typed_prices
from webapp.pages.sheet.problems import sort_problems
from webapp.pages.sheet.sections import Cell, Heading, headings, opened, title_cells
from webapp.pages.sheet.stock import Options, Stock, ToChoose, stock_to_choose
from webapp.pages.sheet.strip import NearLimit, Strip, build_strip, draw_price, nearest_to_limit
from webapp.pages.sheet.tables import STEPS_OF_NO_ITEM, Tables, build_tables
from webapp.pages.sheet.words import setting_groups
from webapp.pages.shown.bench import DRAWN, SEEN_FROM, BenchDrawn, draw_benches
from webapp.pages.shown.checks import ChecksInSight, in_sight
from webapp.pages.shown.figures import Shower
from webapp.pages.shown.standing import stands_shown
from webapp.pages.shown.versions import NewerVersion, TakenVersion
from webapp.pages.shown.way import way_in_words, way_of_customer
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import Posted, tidy_text
from webapp.pages.web.roles import seen_by, sees_money
from webapp.persistence.catalogue.records import list_suppliers
from webapp.persistence.designs.records import list_designs, list_versions
from webapp.persistence.jobs.records import JOB_STATES, StoredJob
from webapp.persistence.people.users import User
from webapp.persistence.plans.tasks import tasks_of
from webapp.persistence.quotes.records import quotes_of_job
from webapp.persistence.settings.shop import Shop
from webapp.running import utc_now
from webapp.standing import NOTHING_BINDS, Stands, estimate_stored


@dataclass(frozen=True, slots=True)
class JobPart:
    """What changes with every key: the strip, the drawings, the headings with the tables of the `open` sections, and
    what stands otherwise beside the fields.

    `told` marks what stands beside each field, so that only what is otherwise is sent the next time.
    `planned` marks the cut plans that the sums stand on, `draw_anew` says that they are others than are drawn.
    """

    address: str
    strip: Strip
    price_svg: str
    problems: tuple[tuple[str, str], ...]
    tables: Tables
    checks: ChecksInSight
    open: frozenset[str]
    headings: Mapping[str, Heading]
    cells: tuple[Cell, ...]
    benches: tuple[BenchDrawn, ...]
    stamps: Stamps
    nearest: tuple[NearLimit, ...]
    planned: str
    told: str
    beside: tuple[Field, ...]
    draw_anew: bool
    entry_problems: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class JobPage:
    """The whole sheet of a job. `notice` says what has just been done or not done; `theirs` what someone else saved;
    `further_work` are the free lines for those who don't set them, `removed` the entry that was taken out last,
    `offers` what was typed before and not saved, `saved` when what stands here was, `held` who
    holds what of the rack, `customers_way` the way kept with the customer where it is another, `newer` the newer
    versions of what is made, `taken` one that was taken just now, `ways` how many other ways the job has. Of several
    items the one in work is open, and the cell of the title block in which something was just added."""

    number: int
    address: str
    copy_action: str
    title: str
    version: int
    state: str
    states: Options
    fields: JobFields
    part: JobPart
    plans: JobPlans
    drawings: Drawings | None
    designs: Options
    settings: tuple[tuple[str, Options], ...]
    sees_money: bool
    further_work: tuple[tuple[str, str, str], ...]
    swap_stands: Options
    swap_put: tuple[tuple[str, Options], ...]
    to_choose: ToChoose
    notice: str
    notice_mark: str
    theirs: tuple[tuple[str, str, str], ...]
    unsaved: bool
    focus: str
    item_in_work: str
    opens_cell: str
    title_block: tuple[tuple[str, str], ...]
    removed: Removed | None = None
    offers: tuple[Offer, ...] = ()
    saved: str = ""
    held: tuple[str, ...] = ()
    customers_way: str = ""
    newer: tuple[NewerVersion, ...] = ()
    taken: TakenVersion | None = None
    ways: int = 0


@dataclass(frozen=True, slots=True)
class Worked:
    """A document worked out: what it was made from, the estimate, and the rates with this job's own in them.

    `stands` is what binds the job, `as_agreed` whether the document asks for what was agreed.
    """

    document: Mapping[str, Any]
    job: Job
    inputs: Inputs
    estimate: Estimate
    rates: Rates
    stands: Stands = NOTHING_BINDS
    as_agreed: bool = False


@dataclass(frozen=True, slots=True)
class Asides:
    """What the form holds beside the document: prices in their rows with the sentences about them, the steps whose
    minutes are open to be typed, what the open page shows already (`told` beside the fields, `drawn` as sheets and as
    `benches`), the sections that are `open`, and the words that materials to choose from hold."""

    fields: Mapping[str, str]
    problems: Mapping[str, str]
    new_line: str = ""
    changing: frozenset[str] = frozenset()
    just_opened: str = ""
    told: str = ""
    drawn: str = ""
    stock_words: str = ""
    open: frozenset[str] = frozenset()
    benches: Mapping[str, str] = field(default_factory=dict)


#: The cell of the title block in which a field to go on at stands.
CELLS: Final = {"lines": "free", "settings": "terms", "new_setting": "terms", "pasted": "free", "way": "delivery"}
NOTHING_TYPED: Final = Asides({}, {})


@dataclass(frozen=True, slots=True)
class Notice:
    """A sentence at the head of the page, and what of someone else's save differs: (words, theirs, ours)."""

    text: str = ""
    mark: str = "note"
    theirs: tuple[tuple[str, str, str], ...] = ()


def read_asides(posted: Posted) -> Asides:
    """What the open page holds beside the document."""
    fields = dict(posted)
    changing = frozenset(text for name, text in posted if name == "changing")
    return Asides(
        typed_prices(posted), {}, changing=changing, told=fields.get("told", ""), drawn=fields.get("drawn", ""),
        stock_words=tidy_text(fields.get("stock_words", "")), open=opened(posted, fields.get("act", "")),
        benches={name: text for name, text in posted if name.startswith((DRAWN, SEEN_FROM))},
    )  # fmt: skip


def typed_version(fields: Mapping[str, str], job: StoredJob) -> int:
    """The version that the open page was made from."""
    typed = small_number(fields.get("version", ""))
    return job.version if typed is None else typed


def work_out(
    session: Session, document: Mapping[str, Any], shop: Shop, today: date, stored: StoredJob | None
) -> Worked:
    """Estimate a document on what the job stands at that it belongs to; without one, at today's prices and rates."""
    if stored is None:
        return worked_from(document, *estimate_job(session, document, shop, today))
    worked = estimate_stored(session, stored, document, shop, today)
    return worked_from(document, worked.inputs, worked.estimate, worked.stands, as_agreed=worked.as_agreed)


def worked_from(
    document: Mapping[str, Any],
    inputs: Inputs,
    estimate: Estimate,
    stands: Stands = NOTHING_BINDS,
    *,
    as_agreed: bool = False,
) -> Worked:
    """An estimate with the job that its document is read as, and its rates."""
    document = under_new_names(document, inputs.designs)
    job, _ = inputs.read_job(document)
    rates = inputs.rates.with_values(job.settings, job.reasons)
    return Worked(document, job, inputs, estimate, rates, stands, as_agreed)


def build_part(
    session: Session, job: StoredJob, worked: Worked, shop: Shop, today: date, user: User, asides: Asides,
    stock: Stock | None = None, versions: Mapping[str, tuple[int, ...]] | None = None,
    left: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[JobPart, JobFields]:  # fmt: skip
    """The part that follows the keys, and the fields that belong to it, as far as `user` may see them."""
    found, document = seen_by(user, worked.estimate, worked.job), worked.document
    shower = shower_of(job, shop, found)
    names = _names(worked)
    sorted_ = sort_problems(found.problems, document, names, asides.new_line)
    fields = FieldBuilder(
        document,
        worked.inputs,
        worked.estimate,
        sorted_,
        stock or {},
        versions or {},
        terms=sees_money(user),
        left=left or {},
    ).build()
    suppliers = {one.code: one.name for one in list_suppliers(session)}
    typed = Typed(asides.fields, asides.problems, suppliers, asides.changing, asides.just_opened)
    seen = tuple(fields.each())
    marks = tuple(_mark(field) for field in seen)
    earlier = asides.told.split(".")
    same = earlier if len(earlier) == len(marks) else [""] * len(marks)
    quotes = quotes_of_job(session, job.id, today)
    differs = found.basis.differences
    stands_at = stands_shown(worked.stands, found, shower.reader, f"/jobs/{job.number}", as_agreed=worked.as_agreed)
    strip = build_strip(found, worked.rates, shower, quotes, today, stands_at)
    tables = build_tables(
        found, document, worked.inputs.catalogue, worked.inputs.rates, shower, sorted_, typed, differs, asides.open
    )
    # A price that is missing is asked for where it is typed, and told nowhere else.
    unpriced = {row.id for row in tables.unpriced}
    part = JobPart(
        address=f"/jobs/{job.number}",
        strip=strip,
        price_svg=draw_price(found, shower, stands_at) if isinstance(found, Estimate) else "",
        problems=tuple(one for one in sorted_.everything if one[0] not in unpriced),
        tables=tables,
        checks=in_sight(tables.checks),
        open=asides.open,
        headings=headings(found, strip, differs, shower),
        cells=tuple(title_cells(document, fields, worked.estimate, shower.reader if sees_money(user) else None)),
        benches=draw_benches(
            worked.estimate.items,
            worked.inputs.catalogue,
            worked.rates,
            worked.estimate.system,
            asides.benches,
            cut_parts(worked.estimate).numbers,
            {item.id for item in fields.items if any(one.problem for one in item.sizes)},
        ),
        stamps=build_stamps(worked.estimate, worked.rates),
        nearest=nearest_to_limit(found, shower.reader),
        planned=plans_digest(worked.estimate),
        told=".".join(marks),
        beside=tuple(field for field, mark, was in zip(seen, marks, same, strict=True) if mark != was),
        draw_anew=asides.drawn != drawings_digest(worked.estimate, worked.rates),
        entry_problems=tuple(
            (f"{section}.{one.id}", one.problems)
            for section, entries in (("items", fields.items), ("lines", fields.lines))
            for one in entries
        ),
    )
    return part, fields


def build_page(
    session: Session, job: StoredJob, worked: Worked, shop: Shop, today: date, user: User, *,
    asides: Asides = NOTHING_TYPED, notice: Notice | None = None, version: int | None = None, state: str = "",
    focus: str = "", plans: JobPlans | None = None,
) -> JobPage:  # fmt: skip
    """The whole sheet; `version` is the one a save is made against where it is not the stored one."""
    notice = notice or Notice()
    versions = {
        code: tuple(one.number for one in list_versions(session, code))
        for code in {str(item["design"]) for item in worked.document.get("items", ()) if not is_list(item)}
    }
    to_choose = stock_to_choose(session, worked.inputs, worked.estimate, asides.stock_words)
    stock = to_choose.stock
    left = left_sentences(session, worked.document, shop, today)
    # A page that is made anew shows every drawing, whatever an earlier one showed.
    whole = replace(asides, benches={name: held for name, held in asides.benches.items() if name.startswith(SEEN_FROM)})
    part, fields = build_part(session, job, worked, shop, today, user, whole, stock, versions, left)
    held, kept = state or job.state, way_of_customer(session, job.customer_id)
    if plans is None:
        tasks = tasks_of(session, cut_keys(worked.estimate))
        plans = build_plans(
            worked.estimate, tasks, job, reader_of(shop), utc_now(), money=sees_money(user),
            known=better_known(session, worked.estimate), quoted_keys=told_on(worked.estimate, worked.inputs.plans),
        )  # fmt: skip
    return JobPage(
        number=job.number,
        address=f"/jobs/{job.number}",
        copy_action=f"/jobs/{job.id}/copy",
        title=str(worked.document.get("job", "")) or "A job without a name",
        version=job.version if version is None else version,
        state=held,
        states=tuple((one, one) for one in JOB_STATES),
        fields=fields,
        part=part,
        plans=plans,
        drawings=build_drawings(worked.estimate, worked.rates) if "plans" in asides.open else None,
        designs=tuple((one.code, one.name) for one in list_designs(session)),
        settings=setting_groups(worked.document) if sees_money(user) else (),
        sees_money=sees_money(user),
        customers_way=way_in_words(kept) if kept != worked.document.get("way", {}) else "",
        further_work=() if sees_money(user) else _further_work(worked.job),
        swap_stands=tuple(_in_use(worked).items()),
        swap_put=tuple((row.plural.capitalize(), stock[kind]) for kind, row in KINDS.items() if stock.get(kind)),
        to_choose=to_choose,
        notice=notice.text,
        notice_mark=notice.mark,
        theirs=notice.theirs,
        unsaved=worked.document != job.document,
        focus=focus,
        item_in_work=_in_work(fields, focus),
        opens_cell=CELLS.get(focus.partition(".")[0], ""),
        title_block=(
            ("Job", f"{job.number}, {worked.document.get('job', '')}".rstrip(", ")),
            ("For", str(worked.document.get("customer", {}).get("name", "")) or "not named"),
            ("Quote", part.strip.revision),
            ("Status", job.state),
            ("Saved", day_text(shop.today(job.updated_at))),
        ),
    )


def _in_work(fields: JobFields, focus: str) -> str:
    """The item to be opened: that of the field to go on at, else the first with something wrong, else the first."""
    for item in fields.items:
        if focus.startswith(f"items.{item.id}."):
            return item.id
    wrong = (item for item in fields.items if item.problems or any(one.problem for one in item.each()))
    return next((item.id for item in (*wrong, *fields.items)), "")


def shower_of(job: StoredJob, shop: Shop, seen: Estimate | Work) -> Shower:
    """How the figures of a job are shown, and where those open that may be."""
    return Shower(f"/jobs/{job.number}", reader_of(shop), seen.figures if isinstance(seen, Work) else None)


def _further_work(job: Job) -> tuple[tuple[str, str, str], ...]:
    """The free lines as somebody reads them who doesn't set them: what for, how many, minutes each."""
    return tuple(
        (
            line.says,
            format_quantity(line.quantity, "number", "metric"),
            "" if line.minutes is None else format_quantity(line.minutes, "duration", "metric"),
        )
        for line in job.lines
    )


def _in_use(worked: Worked) -> dict[str, str]:
    """The materials that the job buys, in the order of its table."""
    ordered = sorted(worked.estimate.bought, key=lambda one: walk(one.material))
    return {one.material.code: one.material.name for one in ordered}


def _mark(field: Field) -> str:
    """A short mark of what stands beside a field."""
    return f"{crc32(repr((field.problem, field.hint, field.idle)).encode()) & 0xFFFF:x}"


def _names(worked: Worked) -> set[str]:
    """The names of the fields that the sheet has for a document."""
    fields = FieldBuilder(
        worked.document, worked.inputs, worked.estimate, sort_problems((), worked.document, ()), {}, {}
    ).build()
    names = {field.name for field in fields.each()}
    for step in worked.estimate.steps:
        if step.item not in STEPS_OF_NO_ITEM:
            names |= {f"items.{step.item}.minutes.{step.operation}.{key}" for key in ("set_up", "likely", "why")}
    return names
