"""What would become of a file of prices, the doubtful first; kept by group or by line, in one go."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import PriceSeen
from webapp.costing.errors import MeasureError
from webapp.costing.measures.manner import whole_number
from webapp.costing.measures.typed_numbers import small_number
from webapp.costing.measures.written import day_in_words, figure_text
from webapp.costing.prices.file import PriceFileRefused
from webapp.costing.prices.judging import GROUPS, ONE_BY_ONE, Answers, JudgedLine
from webapp.costing.prices.stated_price import read_valid_from
from webapp.documents.printing.paper import reader_of
from webapp.pages.prices.shelf import Looked, address_of, look_at, today_of
from webapp.pages.shown.in_hand import SECONDS_A_LOOK, InHandPart, in_hand_part
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn, StoreSession
from webapp.pages.web.errors import is_part
from webapp.pages.web.posting import Posted, PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.price_import import Preview, PricesMoved, keep_prices, preview_prices
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted
from webapp.work_in_hand import TRIALS, Trial, Tried, begin_trial

router = PageRouter()

#: How often a file is held against the store anew where other prices are kept just then.
TRIES: Final = 3
#: So many lines of a group are shown; the others are kept or left with their group.
SHOWN_LINES: Final = 400
_MARKS: Final = {
    "unreadable": "failure", "tenfold": "failure", "jump": "warning", "pack": "warning", "twice": "warning",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line in words: what it was and now is. `asks` is the choice beside it, '' where there is none."""

    number: int
    place: str
    what: str
    before: str
    after: str
    moved: str
    sentence: str
    reason: str
    asks: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class GroupPart:
    """Lines of one kind. `asks` says that the group is only kept where it is ticked."""

    key: str
    words: str
    count: str
    mark: str
    rows: tuple[LineRow, ...]
    hidden: str
    asks: bool
    ticked: bool
    folded: bool


@dataclass(frozen=True, slots=True)
class PreviewPage:
    """What would become of a file."""

    name: str
    seller: str
    address: str
    columns: str
    keep: str
    supplier: str
    valid_from: str
    problem: str
    meanwhile: str
    said: tuple[str, ...]
    sums: str
    groups: tuple[GroupPart, ...]
    gone: tuple[tuple[str, str], ...]
    keeps: str
    nothing: bool
    last: int
    others: str
    file: str
    days: tuple[tuple[str, str], ...]
    today: str
    moves: str
    in_hand: InHandPart | None


@router.get("/prices/import/{key}")
def show_preview(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, key: str, supplier: str = "",
) -> Response:  # fmt: skip
    """What would become of every line; where nobody pointed at the columns yet, that comes first."""
    valid_from = request.query_params.get("from", "")
    looked = look_at(request, session, key, supplier, valid_from)
    if not looked.pointed:
        return RedirectResponse(address_of(key, supplier, page="/columns"), 303)
    return _answer(request, session, shop, user, looked, Answers())


@router.post("/prices/import/{key}/moves")
def show_moves(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, key: str, posted: PostedFields,
    trial: str = "", wholly: str = "",
) -> Response:  # fmt: skip
    """What the prices that are ticked do to work in hand: more of it with each look, or all of it at once."""
    fields, here = dict(posted), running(request)
    begun = TRIALS.get(trial)
    if begun is not None:
        begun.work(here.database, session, None if wholly else SECONDS_A_LOOK)
        if is_part(request):
            return render(request, "prices/moves.html", _part(begun, key))
    looked = look_at(request, session, key, fields.get("supplier", ""), fields.get("from", ""))
    return _answer(request, session, shop, user, looked, _answers(posted), begun=begun)


@router.post("/prices/import/{key}/keep")
def keep(request: Request, shop: ShopHere, user: SignedIn, key: str, posted: PostedFields) -> Response:
    """Keep the prices, held against the store anew: where one was typed meanwhile, that is said and nothing is kept."""
    fields, answers, here = dict(posted), _answers(posted), running(request)

    def keep_it(writing: Session) -> Response:
        taken = keep_prices(writing, preview, at=here.now(), by=user.id)
        return RedirectResponse(f"/prices/import?kept={taken.id}", 303)

    for _ in range(TRIES):
        with here.database.reading() as session:
            looked = look_at(request, session, key, fields.get("supplier", ""), fields.get("from", ""))
            try:
                preview = _previewed(request, session, shop, user, looked, answers)
            except PriceFileRefused:
                return _answer(request, session, shop, user, looked, answers)
            if preview.judged.meanwhile or not preview.judged.keeps:
                return _answer(request, session, shop, user, looked, answers, preview)
        with suppress(PricesMoved):
            return in_one_write(request, keep_it)
    raise PricesMoved


def _answers(posted: Posted) -> Answers:
    def numbers(wanted: str) -> frozenset[int]:
        typed = (small_number(text) for name, text in posted if name == wanted)
        return frozenset(number for number in typed if number is not None)

    last = dict(posted).get("last", "")
    groups = frozenset(text for name, text in posted if name == "group" and text in GROUPS)
    since = int(last) if last.isdecimal() and len(last) < 16 else None
    return Answers(groups, numbers("right"), numbers("out"), since)


def _previewed(
    request: Request, session: Session, shop: Shop, user: User, looked: Looked, answers: Answers
) -> Preview:
    today = today_of(request, shop)
    if looked.sent.valid_from:
        try:
            read_valid_from(looked.sent.valid_from, today)
        except MeasureError as error:
            raise PriceFileRefused(f"Valid from: {error.reason}") from error
    return preview_prices(session, shop, looked.sent, today=today, by=user.name, answers=answers)


def _answer(
    request: Request, session: Session, shop: Shop, user: User, looked: Looked, answers: Answers,
    preview: Preview | None = None, begun: Trial | None = None,
) -> Response:  # fmt: skip
    problem = ""
    if preview is None:
        try:
            preview = _previewed(request, session, shop, user, looked, answers)
        except PriceFileRefused as refused:
            problem = str(refused)
    sent, own = looked.sent, looked.sent.layout is None
    status = 422 if preview is None else 409 if preview.judged.meanwhile else 200
    page = PreviewPage(
        looked.file.name, looked.seller, address_of(sent.key),
        "" if own else address_of(sent.key, sent.supplier, page="/columns"), address_of(sent.key, page="/keep"),
        sent.supplier, sent.valid_from, problem,
        _meanwhile(preview), (*looked.file.said, *(preview.file.said if preview else ())),
        _sums(preview), _groups(preview, answers, shop), _gone(preview, shop),
        counted(whole_number(len(preview.judged.keeps)), "price") if preview else "",
        preview is None or not preview.judged.keeps, preview.last if preview else 0,
        whole_number(preview.judged.others) if preview and preview.judged.others else "",
        sent.key, _days(preview), today_of(request, shop).isoformat(), _moves_at(sent.key),
        None if preview is None else _part(begun or _begin(request, session, shop, preview), sent.key),
    )  # fmt: skip
    return render(request, "prices/preview.html", page, status)


def _begin(request: Request, session: Session, shop: Shop, preview: Preview) -> Trial:
    """Try the prices that would be kept and are other than those that hold."""

    def told(seen: PriceSeen) -> tuple[Decimal, bool, bool]:
        return seen.amount, seen.with_tax, seen.delivered

    moved = tuple(
        line.seen
        for line in sorted(preview.lines, key=lambda one: one.number)
        if line.keeps and line.seen is not None and (line.before is None or told(line.before) != told(line.seen))
    )
    return begin_trial(session, shop, today_of(request, shop), Tried(moved))


def _part(trial: Trial, key: str) -> InHandPart:
    return in_hand_part(trial, _moves_at(key), posts=True)


def _moves_at(key: str) -> str:
    return address_of(key, page="/moves")


def _meanwhile(preview: Preview | None) -> str:
    count = len(preview.judged.meanwhile) if preview else 0
    if not count:
        return ""
    return (
        f"{count} of these prices {'was' if count == 1 else 'were'} typed by somebody since the preview was "
        "made. Nothing was kept. Look at the lines marked so, then keep the file once more."
    )


def _days(preview: Preview | None) -> tuple[tuple[str, str], ...]:
    """Days to come that the file names, from which its prices may hold, unless somebody said a day."""
    if preview is None or preview.sent.valid_from:
        return ()
    sent = preview.sent
    return tuple(
        (address_of(sent.key, sent.supplier, day.isoformat()), day_in_words(day)) for day in preview.file.days
    )  # fmt: skip


def _sums(preview: Preview | None) -> str:
    """Where every line of the file ended, in a sentence."""
    if preview is None:
        return ""
    judged = preview.judged
    parts = [f"{whole_number(len(judged.lines))} about something the shop buys"]
    if judged.others:
        parts.append(f"{whole_number(judged.others)} about something it doesn't buy")
    if judged.titles:
        parts.append(f"{whole_number(judged.titles)} without a price of anything")
    told = f"{counted(whole_number(len(preview.file.lines)), 'line')}: {', '.join(parts)}."
    if preview.file.unused:
        told += f" Not used of its columns: {', '.join(preview.file.unused)}."
    return told


def _groups(preview: Preview | None, answers: Answers, shop: Shop) -> tuple[GroupPart, ...]:
    found = []
    reader = reader_of(shop)
    for key, (words, kept) in GROUPS.items() if preview else ():
        lines = [line for line in preview.lines if line.group == key] if preview else []
        if not lines:
            continue
        shown = [_row(line, answers, reader, kept) for line in lines[:SHOWN_LINES]]
        rest = len(lines) - len(shown)
        found.append(GroupPart(
            key, words, whole_number(len(lines)), _MARKS.get(key, ""), tuple(shown),
            f"{counted(whole_number(rest), 'further line')} of this group." if rest else "",
            not kept and key not in (*ONE_BY_ONE, "kept", "empty"), key in answers.groups,
            key in ("again", "older", "kept", "empty"),
        ))  # fmt: skip
    return tuple(found)


def _row(line: JudgedLine, answers: Answers, reader: Reader, kept: bool) -> LineRow:
    can_keep = line.seen is not None and line.group not in ("kept", "unreadable", "empty")
    asks = "" if not can_keep else "out" if kept else "right"
    ticked = line.number in (answers.left_out if kept else answers.lines)

    def amount(seen: PriceSeen | None) -> str:
        return "" if seen is None else reader.each(seen.amount)

    moved = ""
    if line.before is not None and line.seen is not None and line.before.amount != line.seen.amount:
        share = Fraction(line.seen.amount) / Fraction(line.before.amount) - 1
        moved = f"{figure_text(abs(share) * 100, 1)} % {'more' if share > 0 else 'less'}"
    return LineRow(
        line.number, line.place, line.what, amount(line.before), amount(line.seen), moved, line.sentence, line.reason,
        asks, ticked,
    )  # fmt: skip


def _gone(preview: Preview | None, shop: Shop) -> tuple[tuple[str, str], ...]:
    reader = reader_of(shop)
    return tuple((one.what, reader.each(one.before.amount)) for one in preview.judged.gone) if preview else ()
