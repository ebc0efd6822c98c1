"""An item of a job kept as a design: as the next version of the one it was made from, or as a new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import Annotated, Any, Final

from fastapi import Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.design_changes.keep import KeptAs, keep_as_design, minutes_words
from webapp.costing.design_changes.rename import under_new_names
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.model import Design
from webapp.costing.estimate.lists import make_lists
from webapp.costing.estimate.snapshot import read_design_once
from webapp.costing.jobs.job import DesignItem
from webapp.costing.jobs.reader import read_job
from webapp.design_text import write_design_text
from webapp.estimating import gather_inputs
from webapp.pages.catalogue.material_form import code_from
from webapp.pages.designs.editor import LONGEST_NOTE, TAKEN_CODES
from webapp.pages.designs.view import found_of, usual_stock, work_out
from webapp.pages.sheet.form import with_ids
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.designs.records import StoredDesign, is_kept, list_versions, load_design, save_design_version
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

ADDRESS: Final = "/jobs/{number:int}/items/{item_id}/design"
LONGEST_CODE: Final = 40
#: What a design made of a list of parts lacks.
NO_PLACES: Final = (
    "What is missing: where its parts stand. It can be used as it is, and comes to the same; for a drawing, and for "
    "the checks that parts fit, give each part its place (at), say the overall sizes (closes), and remove “loose” in "
    "the text of the design."
)
NEW: Final = "new"
VERSION: Final = "version"


@dataclass(frozen=True, slots=True)
class Typed:
    """The form: a new design or the next version, its code and name, a note, and what is agreed to."""

    kept: str = NEW
    code: str = ""
    name: str = ""
    note: str = ""
    widen: bool = False
    although: bool = False
    base: int = 0


@dataclass(frozen=True, slots=True)
class Made:
    """What an item was made from: the job, the item as the estimate reads it, and the version of the design; none where
    it is a list of parts, with what of the list can't be made."""

    job: StoredJob
    item: DesignItem
    stored: StoredDesign | None
    design: Design
    last: int
    left_out: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What it was made from is called."""
        return self.design.name if self.stored is None else self.stored.name

    @property
    def earlier(self) -> Mapping[str, Any]:
        """The document that the new one follows; an empty one where there was no design."""
        return {} if self.stored is None else self.stored.document


@dataclass(frozen=True, slots=True)
class KeepPage:
    """The form, what stands against it, and what would be otherwise: lines of text, each taken out or put in."""

    action: str
    back: str
    job: str
    title: str
    from_words: str
    missing: str
    ways: tuple[tuple[str, str], ...]
    typed: Typed
    problems: Mapping[str, str]
    limits: tuple[str, ...]
    lines: tuple[tuple[str, str], ...]
    minutes: tuple[str, ...]
    failures: tuple[str, ...]
    said: str


@router.get(ADDRESS)
def show_keeping(request: Request, session: StoreSession, shop: ShopHere, number: int, item_id: str) -> Response:
    """The form, with a free code and the item's own name, and the difference from what it was made from."""
    made = _made(session, shop, number, item_id)
    name = made.item.label or f"{made.name}, job {number}"
    typed = Typed(code=_free_code(session, name), name=name, base=made.last)
    return render(request, "jobs/design.html", _page(session, shop, made, typed, _document(made, typed, shop)))


@router.post(ADDRESS)
def keep(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, number: int, item_id: str,
    kept: Annotated[str, Form()] = NEW, code: Annotated[str, Form()] = "", name: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "", widen: Annotated[str, Form()] = "", although: Annotated[str, Form()] = "",
    base: Annotated[int, Form()] = 0, act: Annotated[str, Form()] = "",
) -> Response:  # fmt: skip
    """Show the difference, or keep the design; nothing is kept while something stands against it."""
    made = _made(session, shop, number, item_id)
    typed = Typed(
        kept if kept in (NEW, VERSION) else NEW, one_line(code), one_line(name), one_line(note), bool(widen),
        bool(although), base,
    )  # fmt: skip
    document = _document(made, typed, shop)
    page = _page(session, shop, made, typed, document, asked=act == "keep")
    if page.problems or page.limits or act != "keep":
        return render(request, "jobs/design.html", page, 422 if act == "keep" else 200)
    if typed.kept == VERSION and made.last != base:
        said = f"Version {made.last} was kept meanwhile; look at it first. Keep puts yours after it."
        return render(request, "jobs/design.html", replace(page, typed=replace(typed, base=made.last), said=said), 409)
    digest = document_digest(document)
    earlier = [one.number for one in list_versions(session, str(document["design"])) if one.digest == digest]
    if earlier:
        said = f"That is the same as version {earlier[0]} of it, so there is nothing to keep."
        return render(request, "jobs/design.html", replace(page, said=said), 422)
    if page.failures and not typed.although:
        said = "At these sizes the design fails checks. Put the job right, or say that it is to be kept so."
        return render(request, "jobs/design.html", replace(page, said=said), 422)
    at = running(request).now()
    told = " ".join((typed.note or f"From job {number}, {made.job.title}.", *page.minutes))
    after = made.last if typed.kept == VERSION else 0

    def save(writing: Session) -> Response:
        code, known_as = str(document["design"]), str(document["name"])
        save_design_version(writing, code, known_as, document, digest, at=at, by=user.id, note=told, after=after)
        return RedirectResponse(f"/designs/{code}", 303)

    return in_one_write(request, save)


def _made(session: Session, shop: Shop, number: int, item_id: str) -> Made:
    """The item of a job as it is saved, with the version of the design that it uses. Raises NotKept."""
    job = load_job_by_number(session, number)
    read, _ = read_job(with_ids(job.document), shop.length_system)
    item = next((one for one in read.items if one.id == item_id), None)
    if item is None:
        raise NotKept(f"item in job {number}", item_id)
    if item.listed is not None:
        return _made_of_list(session, shop, job, item)
    stored = load_design(session, item.design, item.version)
    # Sizes that were typed under names of an earlier version are those of this one.
    followed = under_new_names(with_ids(job.document), {item_id: stored.document})
    item = next(one for one in read_job(followed, shop.length_system)[0].items if one.id == item_id)
    design, _ = read_design(stored.document)
    if design is None:
        raise NotKept("design that can be read", item.design)
    return Made(job, item, stored, design, list_versions(session, stored.code)[0].number)


def _made_of_list(session: Session, shop: Shop, job: StoredJob, item: DesignItem) -> Made:
    """The design that a list of parts makes. Raises NotKept where it makes none."""
    inputs = gather_inputs(session, with_ids(job.document), shop, shop.today(job.updated_at))
    design = read_design_once(inputs.designs[item.id])[0] if item.id in inputs.designs else None
    if design is None:
        raise NotKept(f"part that can be made in the list of job {job.number}", item.id)
    wrong = make_lists(inputs.read_job(inputs.job)[0], inputs.catalogue, inputs.rates)[1]
    of_item = tuple(
        one.message for one in wrong if one.field.startswith(f"items.{item.id}.") and one.severity == "failure"
    )
    return Made(job, item, None, design, 0, of_item)


def _document(made: Made, typed: Typed, shop: Shop) -> dict[str, Any]:
    return keep_as_design(made.design, made.item, _kept_as(made, typed), shop.length_system)[0]


def _kept_as(made: Made, typed: Typed) -> KeptAs:
    code = made.stored.code if typed.kept == VERSION and made.stored is not None else typed.code
    return KeptAs(code, typed.name or made.name, typed.widen)


def _page(
    session: Session, shop: Shop, made: Made, typed: Typed, document: Mapping[str, Any], *, asked: bool = False
) -> KeepPage:
    _, wrong = keep_as_design(made.design, made.item, _kept_as(made, typed), shop.length_system)
    problems = _problems(session, typed) if asked else {}
    failures = made.left_out
    design, unread = read_design(document)
    limits = [problem.message for problem in wrong]
    if design is None:
        # A code or a size that is already named needs no second sentence.
        named = {"design"} if typed.kept == NEW else set()
        limits += [one.message for one in unread if one.field not in named]
    else:
        today = shop.today(made.job.updated_at)
        taken, why = work_out(design, shop, usual_stock(session, design, today), current_rates(session))
        failures += (why,) if taken is None else found_of(taken, "failure")
    steps = {name: one.label for name, one in current_rates(session).operations.items()}
    last = made.last
    ways: tuple[tuple[str, str], ...] = ((NEW, "a new design"),)
    sorts = len(made.design.parts)
    from_words = f"a list of parts, {'one sort' if sorts == 1 else f'{sorts} sorts'}"
    if made.stored is not None:
        ways = (*ways, (VERSION, f"the next version of {made.name}, number {last + 1}"))
        before = "" if made.stored.version == last else f"; the last one is {last}"
        from_words = f"{made.name}, version {made.stored.version}{before}"
    return KeepPage(
        action=f"/jobs/{made.job.number}/items/{made.item.id}/design",
        back=f"/jobs/{made.job.number}",
        job=f"Job {made.job.number}, {made.job.title}",
        title=made.item.label or made.name,
        from_words=from_words,
        missing=NO_PLACES if made.design.loose else "",
        ways=ways,
        typed=typed,
        problems=problems,
        limits=tuple(dict.fromkeys(limits)),
        lines=differing_lines(write_design_text(made.earlier) if made.earlier else "", write_design_text(document)),
        minutes=minutes_words(made.item.minutes, steps, shop.length_system),
        failures=failures,
        said="",
    )


def _problems(session: Session, typed: Typed) -> dict[str, str]:
    problems = {}
    if not typed.name:
        problems["name"] = "The design needs a name; jobs and quotes are called by it."
    if len(typed.note) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(typed.note)} characters; at most {LONGEST_NOTE} are kept."
    if typed.kept == NEW:
        if not typed.code:
            problems["code"] = "The design needs a code: lower-case words joined by underscores, such as potters_bench."
        elif typed.code in TAKEN_CODES or is_kept(session, typed.code):
            problems["code"] = f"There is a design under “{typed.code}” already: take another code."
        elif code_from(typed.code) != typed.code or not typed.code[0].isalpha() or len(typed.code) > LONGEST_CODE:
            problems["code"] = (
                f"“{typed.code[:60]}” is no code of a design: lower-case words joined by underscores are needed, "
                f"at most {LONGEST_CODE} letters."
            )
    return problems


def _free_code(session: Session, name: str) -> str:
    """A code that no design has yet, made of a name."""
    stem = code_from(name)[: LONGEST_CODE - 3].strip("_")
    stem = stem if stem[:1].isalpha() else f"design_{stem}".rstrip("_")
    number, code = 1, stem
    while code in TAKEN_CODES or is_kept(session, code):
        number += 1
        code = f"{stem}_{number}"
    return code


def differing_lines(before: str, after: str) -> tuple[tuple[str, str], ...]:
    """What two texts say otherwise, line by line in their order: ('out' or 'in', the line)."""
    old, new = before.splitlines(), after.splitlines()
    told: list[tuple[str, str]] = []
    for what, old_from, old_to, new_from, new_to in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what != "equal":
            told += [("out", line.strip()) for line in old[old_from:old_to]]
            told += [("in", line.strip()) for line in new[new_from:new_to]]
    return tuple(told)
