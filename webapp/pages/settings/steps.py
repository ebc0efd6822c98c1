"""How long each step of the work takes, by whom and on what machine, as one table to be edited."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from webapp.costing.errors import FormError, MeasureError
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import as_kept, as_shown, parse_quantity, write_quantity
from webapp.costing.settings.operations import steps_in
from webapp.costing.settings.rates import SET_UP_BY, OperationRate, Rates
from webapp.pages.settings.keeping import Keeping, keep_set, read_keeping
from webapp.pages.settings.try_out import Trying, open_trying, tried
from webapp.pages.settings.view import PEOPLE_WORDS, GroupLink, group_links, machine_answers, step_words
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.persistence.settings.rates import current_rate_set, own_rates
from webapp.rendering import render
from webapp.running import running

router = PageRouter()

MINUTES: Final = {"set_up": "Set-up", "low": "Low", "likely": "Likely", "high": "High"}
MOST_PEOPLE: Final = 20
MOST_MINUTES: Final = 100_000


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step with what was typed: minutes by name, people, who and on what; `default` is said where it differs."""

    name: str
    label: str
    minutes: tuple[tuple[str, str, str], ...]
    people: str
    by: str
    machine: str
    set_up_by: str
    again: str
    default: str
    problems: tuple[str, ...]
    wrong: frozenset[str]


@dataclass(frozen=True, slots=True)
class StepsPage:
    """The table of steps, with what stands against it."""

    groups: tuple[GroupLink, ...]
    rows: tuple[StepRow, ...]
    who: tuple[tuple[str, str], ...]
    machines: tuple[tuple[str, str], ...]
    set_ups: tuple[tuple[str, str], ...]
    problems: tuple[tuple[str, str], ...]
    keeping: Keeping
    now: str
    trying: Trying


@router.get("/settings/steps")
def show_steps(request: Request, session: StoreSession) -> Response:
    """The steps as they hold now."""
    kept = current_rate_set(session)
    return _page(request, kept.rates, {}, {}, Keeping(kept.number), open_trying(session), 200)


@router.post("/settings/steps")
def keep_steps(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, posted: PostedFields
) -> Response:
    """Keep the steps as a new set; all that stands against them is said at once."""
    typed, rates = dict(posted), current_rate_set(session).rates
    keeping, trying = read_keeping(typed), open_trying(session, typed.get("job", ""))
    problems: dict[str, str] = {}
    steps = {name: _read_step(step, typed, problems) for name, step in rates.operations.items()}
    if problems or keeping.problem:
        return _page(request, rates, typed, problems, keeping, trying, 422)
    own_values, own_steps = own_rates(rates)
    changed = {name: step for name, step in steps.items() if step != rates.operations[name]}
    try:
        kept, keeping = keep_set(
            session, shop, user, running(request).now(), keeping, own_values, {**own_steps, **changed}
        )
    except FormError as error:
        said = {f"{problem.field}.low": problem.message for problem in error.problems}
        return _page(request, rates, typed, said, keeping, trying, 422)
    if kept is None:
        return _page(request, rates, typed, {}, keeping, trying, 409 if keeping.theirs else 200)
    return RedirectResponse("/settings/steps", 303)


@router.post("/settings/steps/try")
def try_steps(request: Request, session: ReadingSession, shop: ShopHere, posted: PostedFields) -> Response:
    """Show what the steps as typed move in a job, or in all work in hand; nothing is kept. `back` puts one back to its
    default."""
    typed, rates = dict(posted), current_rate_set(session).rates
    back = steps_in(rates.edition).get(typed.get("back", ""))
    if back is not None:
        typed.update({f"{back.name}.{key}": _written(getattr(back, key)) for key in MINUTES})
        typed.update({f"{back.name}.people": str(back.people), f"{back.name}.by": back.by})
        typed[f"{back.name}.machine"] = back.machine
        typed[f"{back.name}.set_up_by"] = back.set_up_by
        typed[f"{back.name}.again"] = _written(back.set_up_every)
    problems: dict[str, str] = {}
    steps = {name: _read_step(step, typed, problems) for name, step in rates.operations.items()}
    trying = open_trying(session, typed.get("job", ""))
    if not problems:
        after = replace(rates, operations=steps)
        trying = tried(request, session, shop, trying, rates, after, (), "/settings/steps")
    keeping = replace(read_keeping(typed), problem="")
    return _page(request, rates, typed, problems, keeping, trying, 422 if problems else 200)


def _read_step(step: OperationRate, typed: Mapping[str, str], problems: dict[str, str]) -> OperationRate:
    """A step as typed; what can't be taken stays as it is, with a sentence under the field's name."""
    minutes = {key: _read_minutes(step, key, typed, problems) for key in MINUTES}
    if not minutes["low"] <= minutes["likely"] <= minutes["high"]:
        problems.setdefault(f"{step.name}.likely", f"{step.label}: minutes go up from low over likely to high.")
    count = typed.get(f"{step.name}.people", str(step.people)).strip()
    people = small_number(count) or 0
    if not 1 <= people <= MOST_PEOPLE:
        problems[f"{step.name}.people"] = f"{step.label}: “{count}” people is out of range; 1 to {MOST_PEOPLE} are."
        people = step.people
    by, machine = typed.get(f"{step.name}.by", step.by), typed.get(f"{step.name}.machine", step.machine)
    if by not in PEOPLE_WORDS:
        problems[f"{step.name}.by"] = f"{step.label}: “{by}” is nobody the shop has a rate for."
        by = step.by
    if machine not in machine_answers():
        problems[f"{step.name}.machine"] = f"{step.label}: “{machine}” is no machine the shop has a rate for."
        machine = step.machine
    set_up_by = next((one for one in SET_UP_BY if one == typed.get(f"{step.name}.set_up_by", step.set_up_by)), None)
    if set_up_by is None:
        problems[f"{step.name}.set_up_by"] = f"{step.label}: a set-up is for one of {', '.join(SET_UP_BY.values())}."
        set_up_by = step.set_up_by
    return replace(
        step,
        set_up=minutes["set_up"],
        low=minutes["low"],
        likely=minutes["likely"],
        high=minutes["high"],
        people=people,
        by=by,
        machine=machine,
        set_up_by=set_up_by,
        set_up_every=_read_again(step, typed, problems),
    )


def _read_again(step: OperationRate, typed: Mapping[str, str], problems: dict[str, str]) -> Fraction:
    """After how many units it is set up again; nothing typed is never."""
    text = typed.get(f"{step.name}.again", "").strip()
    if not text or text == _written(step.set_up_every):
        return step.set_up_every if text or f"{step.name}.again" not in typed else Fraction(0)
    try:
        return parse_quantity(as_kept(text), "number", "metric")
    except MeasureError as error:
        problems[f"{step.name}.again"] = f"{step.label}, set up again after: {error.reason}"
        return step.set_up_every


def _read_minutes(step: OperationRate, key: str, typed: Mapping[str, str], problems: dict[str, str]) -> Fraction:
    held: Fraction = getattr(step, key)
    text = typed.get(f"{step.name}.{key}")
    if text is None or text.strip() == _written(held):
        return held
    try:
        read = parse_quantity(as_kept(text), "duration", "metric")
    except MeasureError as error:
        problems[f"{step.name}.{key}"] = f"{step.label}, {MINUTES[key].lower()}: {error.reason}"
        return held
    if read > MOST_MINUTES:
        problems[f"{step.name}.{key}"] = f"{step.label}, {MINUTES[key].lower()}: “{text}” is out of range."
        return held
    return read


def _written(minutes: Fraction) -> str:
    """Minutes as they stand in the table, whose heading has their unit."""
    return as_shown(write_quantity(minutes, "duration", "metric").removesuffix(" min"))


def _page(
    request: Request, rates: Rates, typed: Mapping[str, str], problems: Mapping[str, str], keeping: Keeping,
    trying: Trying, status: int,
) -> Response:  # fmt: skip
    rows = tuple(_row(step, rates, typed, problems) for step in rates.operations.values())
    listed = [(f"step-{name}", sentence) for name, sentence in problems.items()]
    if keeping.problem:
        listed.append(("why", keeping.problem))
    page = StepsPage(
        group_links(rates), rows, tuple(PEOPLE_WORDS.items()), tuple(machine_answers().items()),
        tuple(SET_UP_BY.items()), tuple(listed), keeping,
        "the defaults" if keeping.base == 0 else f"set {keeping.base}", trying,
    )  # fmt: skip
    return render(request, "settings/steps.html", page, status)


def _row(step: OperationRate, rates: Rates, typed: Mapping[str, str], problems: Mapping[str, str]) -> StepRow:
    own = {field: sentence for field, sentence in problems.items() if field.partition(".")[0] == step.name}
    given = steps_in(rates.edition).get(step.name)
    return StepRow(
        step.name,
        step.label,
        tuple(
            (key, words, typed.get(f"{step.name}.{key}", _written(getattr(step, key))))
            for key, words in MINUTES.items()
        ),
        typed.get(f"{step.name}.people", str(step.people)),
        typed.get(f"{step.name}.by", step.by),
        typed.get(f"{step.name}.machine", step.machine),
        typed.get(f"{step.name}.set_up_by", step.set_up_by),
        typed.get(f"{step.name}.again", _written(step.set_up_every) if step.set_up_every else ""),
        f"Yours, {step.source}. Default: {step_words(given)}." if step.name in rates.own and given else "",
        tuple(own.values()),
        frozenset(own),
    )
