"""The maker's page as it is shown: rows in their lists with what is said at each, sizes, drawings and the price."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final
from uuid import UUID

from webapp.costing.design_rows.rows import FieldOfRow, RowOfDesign, rows_of
from webapp.costing.designs.formulas import name_words
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.takeoff.model import PartTaken, TakeOff
from webapp.documents.printing.paper import reader_of
from webapp.pages.designs.view import OUTCOMES
from webapp.pages.maker.mending import MendShown
from webapp.pages.maker.worked import Found, WorkedOut
from webapp.pages.shown.checks import told
from webapp.pages.shown.figures import Shower, Shown
from webapp.pages.sweeps.view import RangeShown, SweepShown
from webapp.persistence.maker.records import Making
from webapp.persistence.settings.shop import Shop
from webapp.pictures.bench.thing import thing_of
from webapp.pictures.drawings.views import BenchView, draw_bench
from webapp.showing import Reader, counted

#: A drawing's longest side on this page.
LONGEST: Final = 300.0
#: The lists that come first stand open.
OPEN_LISTS: Final = ("Parts", "Made into parts", "Joints", "Hardware", "Finish")
#: Rows that others name.
NAMED: Final = ("stock", "parts", "hardware", "joints", "finish", "folds")
_WIDEST_FIELD: Final = 46
#: Of the sentences of one row so many are shown.
MOST_AT_ROW: Final = 4
#: The id of the row at which stands what is said of no other.
WHOLE: Final = "the-whole"
#: How rows say along which axis a place is told.
ALONG: Final[Mapping[str, str]] = {"at.x": "from left to right", "at.y": "from front to back", "at.z": "in height"}


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a row's sentence: words, or where `slot` is not None a field with its answers."""

    words: str
    slot: str | None = None
    id: str = ""
    label: str = ""
    wide: int = 0
    answers: tuple[tuple[str, str], ...] = ()
    typed: str = ""
    problem: str = ""
    is_name: bool = False


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence at a row: how grave it is, and whether it may be mended by one press."""

    outcome: str
    words: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Row:
    """A row as it is shown; `number` is that of its part on the drawing, `title` what sentences call it.

    `also` are the rows, by id and title, at which something that fails is said of this one as well; `mended_at` is the
    row at which stands what mends it.
    """

    id: str
    section: str
    name: str
    called: str
    title: str
    number: str
    pieces: tuple[Piece, ...]
    derived: str
    line: str
    remark: str
    said: tuple[Said, ...]
    faulty: bool
    mends: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    open: bool = False
    line_problem: str = ""
    range: RangeShown | None = None
    also: tuple[tuple[str, str], ...] = ()
    more_said: int = 0
    mended_at: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class RowList:
    """A list of rows: what it holds, the last one first."""

    name: str
    rows: tuple[Row, ...]
    open: bool


@dataclass(frozen=True, slots=True)
class Answered:
    """A line that was not taken as it stands: why, or what is asked about it with a line for each answer."""

    line: str = ""
    problems: tuple[str, ...] = ()
    question: str = ""
    answers: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """A change of a row that was not made: its place, the word, what was typed, and why."""

    path: str = ""
    slot: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
    why: str = ""
    act: str = ""


NOT_ASKED: Final = Answered()
NOT_REFUSED: Final = Refused()


@dataclass(frozen=True, slots=True)
class MakerPage:
    """A design being made, as it stands. `not_yet` says what it lacks to be a whole one.

    `faults` are each the id of the row that it stands at, what that is called, and the sentence; `mended` is whether it
    was tried what mends them.
    """

    address: str
    title: str
    code: str
    next_version: int
    at: int
    history: tuple[tuple[int, str], ...]
    undo: str
    redo: str
    said: str
    lists: tuple[RowList, ...]
    sizes: tuple[Row, ...]
    heads: tuple[tuple[str, str, str], ...]
    picture: str
    views: tuple[BenchView, ...]
    apart: str
    without: tuple[str, ...]
    price: Shown | None
    price_firm: bool
    hours: Shown | None
    weight: Shown | None
    faults: tuple[tuple[str, str, str], ...]
    checks_words: str
    checks: tuple[tuple[str, str], ...]
    whole: tuple[Said, ...]
    not_yet: tuple[str, ...]
    answered: Answered
    names: tuple[str, ...]
    entries: int
    next_entry: int
    pieces: str
    stock: str
    unit: str
    mended: bool
    sweep: SweepShown | None = None
    keep_problem: str = ""
    although: bool = False
    note: str = ""


def row_id(path: str) -> str:
    """The id of a row on the page."""
    return f"row-{path.replace('.', '-').replace('_', '-')}"


def maker_page(
    making: Making, worked: WorkedOut, estimate: Estimate | None, shop: Shop, answered: Answered = NOT_ASKED,
    refused: Refused = NOT_REFUSED, mends: Sequence[MendShown] | None = None,
    sweep: SweepShown | None = None, history: Sequence[tuple[int, str]] = (),
) -> MakerPage:  # fmt: skip
    """The page of a design being made; `mends` is None where it was not tried what mends it."""
    shower = Shower(making_address(making.id), reader_of(shop))
    reader, taken = reader_of(shop), worked.taken
    materials = {code: one.name for code, one in worked.catalogue.materials.items()}
    thing = thing_of(taken) if taken is not None else None
    numbers = {} if thing is None else thing.numbers
    derived = _derived(taken, reader) if taken is not None else {}
    rows = rows_of(making.document, materials)
    titles = {row.path: _title(row) for those in rows.values() for row in those}
    listed = {
        words: tuple(_row(row, worked, numbers, derived, refused, mends or (), titles) for row in those)
        for words, those in rows.items()
    }
    drawn = draw_bench(thing, f"{making.name} as it stands", shop.length_system, LONGEST, "bench") if thing else None
    at_row = {row.id for rows in listed.values() for row in rows if row.said}
    return MakerPage(
        address=f"/maker/{making.id}",
        title=making.name,
        code=making.code,
        next_version=making.base + 1,
        at=making.at,
        history=tuple(history),
        undo=making.said if making.at else "",
        redo=making.again,
        # Of a row that is gone there is no place to say it at.
        said="" if any(row.path == refused.path for those in rows.values() for row in those) else refused.why,
        lists=tuple(
            RowList(words, tuple(reversed(rows)), words in OPEN_LISTS or any(row.said or row.open for row in rows))
            for words, rows in listed.items() if words != "Sizes"
        ),
        sizes=_with_ranges(listed["Sizes"], making, sweep),
        heads=tuple(
            (name, label, str(making.document.get(name, "")))
            for name, label in (("name", "Name"), ("says", "What it is"), ("scope", "What a quote says of it"))
        ),
        picture=drawn.picture if drawn else "",
        views=drawn.views if drawn else (),
        apart=drawn.apart if drawn else "",
        without=(thing.drawn_without,) if thing is not None and thing.drawn_without else (),
        price=shower.figure(estimate.totals.price, "now-price") if estimate is not None else None,
        price_firm=estimate is not None and estimate.complete and not worked.faults,
        hours=shower.hours(estimate.totals.minutes_mean, "now-hours") if estimate is not None else None,
        weight=shower.figure(taken.mass, "now-weight") if taken is not None else None,
        faults=tuple(
            (row_id(one.row) if row_id(one.row) in at_row else WHOLE, titles.get(one.row, "the whole"), _at_row(one))
            for one in sorted(worked.faults, key=lambda one: one.row not in titles)
        ),
        checks_words=_checks_words(taken),
        checks=tuple((OUTCOMES[one.outcome], told(one, reader)) for one in taken.checks) if taken is not None else (),
        whole=tuple(
            _said(one) for one in worked.found
            if one.outcome != "pass" and row_id(one.row) not in at_row
        ),
        not_yet=worked.not_yet,
        sweep=sweep,
        answered=answered,
        names=tuple(sorted({name_words(row.name) for rows in listed.values() for row in rows if row.section in NAMED})),
        entries=(entries := sum(len(rows) for rows in listed.values())),
        next_entry=entries + 1,
        pieces=counted(sum(int(part.count.value) for part in taken.parts), "piece") if taken is not None else "",
        stock=_stock(worked, materials),
        unit=shop.bare_unit,
        mended=mends is not None,
    )  # fmt: skip


def _row(
    row: RowOfDesign, worked: WorkedOut, numbers: Mapping[str, int], derived: Mapping[str, str], refused: Refused,
    mends: Sequence[MendShown], titles: Mapping[str, str],
) -> Row:  # fmt: skip
    own, about = row_id(row.path), refused if refused.path == row.path else NOT_REFUSED
    said = worked.by_row.get(row.path, ())
    also = tuple(dict.fromkeys(one.row for one in worked.also.get(row.path, ())))
    number = numbers.get(row.name) if row.section == "parts" else None
    return Row(
        id=own,
        section=row.section,
        name=row.name,
        called=name_words(row.name) or "overall",
        title=titles[row.path],
        number="" if number is None else str(number),
        pieces=tuple(_piece(piece, own, about) for piece in row.pieces),
        derived=derived.get(row.path, ""),
        line=about.typed.get("line", row.line) if about.act == "line" else row.line,
        remark="\n".join(row.remarks),
        said=tuple(_said(one) for one in said[:MOST_AT_ROW]),
        faulty=bool(also) or any(one.outcome == "failure" for one in said),
        mends=tuple((one.words, one.fields) for one in mends if one.row == row.path and one.fields),
        open=bool(about.act) or not row.pieces,
        line_problem=about.why if about.act else "",
        also=tuple((row_id(path), titles[path]) if path in titles else (WHOLE, "the whole") for path in also),
        more_said=len(said[MOST_AT_ROW:]),
        mended_at=next(
            ((row_id(one.elsewhere), titles[one.elsewhere]) for one in mends
             if one.row == row.path and one.elsewhere in titles and one.elsewhere != row.path),
            None,
        ),
    )


def _title(row: RowOfDesign) -> str:
    """What sentences call a row: what it says that it is, else its name."""
    said = next((one.text for one in row.pieces if isinstance(one, FieldOfRow) and one.slot == "says"), "")
    return said or name_words(row.name).capitalize() or "Overall sizes"


def _with_ranges(rows: tuple[Row, ...], making: Making, sweep: SweepShown | None) -> tuple[Row, ...]:
    """The sizes with how far each goes by the last sweep."""
    ranges = {one.says: one for one in sweep.result.ranges} if sweep is not None and sweep.result is not None else {}
    if not ranges:
        return rows
    sizes = making.document["sizes"]
    return tuple(replace(row, range=ranges.get(str(sizes[row.name].get("says", "")))) for row in rows)


def _said(found: Found) -> Said:
    return Said(found.outcome, OUTCOMES[found.outcome], _at_row(found))


def _at_row(found: Found) -> str:
    """A sentence as it reads at its row: the row is in sight and is not named again, its word as the row has it."""
    name = found.row.partition(".")[2]
    told = re.fullmatch(rf"[A-Z][a-z ]+ {re.escape(name)}(?:, ([\w.]+))?: (.+)", found.sentence) if name else None
    if told is None:
        return found.sentence
    word = ALONG.get(told[1], name_words(told[1].replace(".", " "))) if told[1] else ""
    said = f"{word}: {told[2]}" if word else told[2]
    return f"{said[:1].upper()}{said[1:]}"


def _piece(piece: str | FieldOfRow, row: str, refused: Refused) -> Piece:
    if isinstance(piece, str):
        return Piece(piece)
    wrong = refused.why if not refused.act and refused.slot == piece.slot and refused.path else ""
    typed = refused.typed.get(piece.slot, piece.text) if refused.path else piece.text
    wide = max(3, min(_WIDEST_FIELD, len(typed) + 1))
    place = f"{row}-{piece.slot.replace('.', '-').replace('_', '-') or 'it'}"
    return Piece(piece.words, piece.slot, place, piece.label, wide, piece.answers, typed, wrong, piece.is_name)


def _derived(taken: TakeOff, reader: Reader) -> dict[str, str]:
    """What follows of each row at the usual sizes, in a few words."""
    found = {f"parts.{part.name}": _of_part(part, reader) for part in taken.parts}
    for one in taken.fastenings:
        found[f"joints.{one.joint}"] = counted(int(one.count.value), "fastening")
    for weld in taken.welds:
        length = reader.text(weld.length.value, weld.length.unit)
        found[f"joints.{weld.joint}"] = f"{counted(int(weld.count.value), 'weld')}, {length} in all"
    for hardware in taken.hardware:
        found[f"hardware.{hardware.name}"] = f"{counted(int(hardware.count.value), 'piece')} in all"
    for finish in taken.finishes:
        found[f"finish.{finish.name}"] = f"{reader.text(finish.area.value, finish.area.unit)} to coat"
    return found


def _of_part(part: PartTaken, reader: Reader) -> str:
    sizes = [figure for figure in (part.length, part.width, part.thickness) if figure is not None]
    measured = " × ".join(reader.figure(figure)[0] for figure in sizes)
    unit = reader.figure(sizes[0])[1] if sizes else ""
    mass = f", {reader.text(part.mass.value, part.mass.unit)} each" if part.mass is not None else ""
    return f"{counted(int(part.count.value), 'piece')} of {measured} {unit}{mass}"


def _checks_words(taken: TakeOff | None) -> str:
    if taken is None:
        return ""
    said = [
        f"{sum(1 for one in taken.checks if one.outcome == outcome)} {words}"
        for outcome, words in (("pass", "hold"), ("failure", "fail"), ("warning", "warn"), ("unknown", "are not known"))
        if any(one.outcome == outcome for one in taken.checks)
    ]
    return f"Of {counted(len(taken.checks), 'check')} {', '.join(said)}." if said else ""


def _stock(worked: WorkedOut, materials: Mapping[str, str]) -> str:
    """What is cut for it, in a few words."""
    used: Sequence[str] = tuple(dict.fromkeys(part.material for part in worked.taken.parts)) if worked.taken else ()
    return "; ".join(materials.get(code, name_words(code)) for code in used)


def making_address(making_id: UUID) -> str:
    """Where a design being made is gone on with."""
    return f"/maker/{making_id}"
