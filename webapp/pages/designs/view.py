"""A design worked out at its usual sizes and put in words: its sheet and its drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, Final, Literal

from sqlalchemy.orm import Session

from webapp.benches import counted_heights
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.model import Design, Size
from webapp.costing.errors import CostingError
from webapp.costing.estimate.estimate import MEASURING_STEP
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import figure_text, format_length
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Outcome, PartTaken, TakeOff
from webapp.documents.printing.paper import day_text, reader_of
from webapp.documents.printing.shape_words import shape_words
from webapp.pages.designs.put_in import HostRow, UsedRow
from webapp.pages.shown.checks import told
from webapp.pages.sweeps.view import SweepShown
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.designs.records import StoredDesign, VersionListed
from webapp.persistence.settings.shop import Shop
from webapp.pictures.bench.thing import Thing, thing_of
from webapp.pictures.drawings.views import BenchView, draw_bench
from webapp.showing import Reader

OUTCOMES: Final[Mapping[Outcome, str]] = {
    "pass": "Holds", "warning": "Warning", "failure": "Fails", "unknown": "Not known",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SizeShown:
    """A size with its limits, in the shop's unit."""

    says: str
    usual: str
    least: str
    most: str
    unit: str


@dataclass(frozen=True, slots=True)
class RoleShown:
    """A stock role and the material that usually fills it; `known` is False where the shop has no such material."""

    says: str
    kind: str
    material: str
    href: str
    known: bool


@dataclass(frozen=True, slots=True)
class PartShown:
    """A kind of part under the number it has on the drawing."""

    number: str
    says: str
    count: str
    size: str
    unit: str
    material: str
    mass: str
    mass_unit: str
    note: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A design as worked out at its usual sizes: figures in sight, drawings, parts, and how the checks came out.

    `without` says what is fitted and not drawn, and which sizes count it.
    """

    figures: tuple[tuple[str, str, str | None, None, None], ...]
    picture: str
    views: tuple[BenchView, ...]
    apart: str
    unit: str
    without: tuple[str, ...]
    parts: tuple[PartShown, ...]
    fastenings: tuple[tuple[str, str, str], ...]
    hardware: tuple[tuple[str, str, str], ...]
    failures: tuple[str, ...]
    warnings: tuple[str, ...]
    unknown: tuple[str, ...]
    checks: tuple[tuple[str, str], ...]
    checks_words: str


@dataclass(frozen=True, slots=True)
class VersionRow:
    """A version in the list of a design's versions; `compare` leads to what differs from the one that is shown."""

    href: str
    number: str
    saved: str
    note: str
    shown: bool
    compare: str


@dataclass(frozen=True, slots=True)
class DesignPage:
    """The sheet of one version of a design; `aloud` is each entry of its text as a sentence, by section.

    `written` is in how many places a unit was written in as it was kept, `sweep` how its sizes were looked through.
    """

    code: str
    name: str
    says: str
    version: int
    is_last: bool
    saved: str
    retired: bool
    sizes: tuple[SizeShown, ...]
    roles: tuple[RoleShown, ...]
    choices: tuple[tuple[str, tuple[str, ...], str], ...]
    scope: str
    not_included: tuple[str, ...]
    sheet: Sheet | None
    unreadable: tuple[str, ...]
    versions: tuple[VersionRow, ...]
    aloud: tuple[tuple[str, tuple[str, ...]], ...]
    used: tuple[UsedRow, ...]
    hosts: tuple[HostRow, ...]
    written: int = 0
    sweep: SweepShown | None = None


def usual_stock(session: Session, design: Design, today: date) -> Catalogue:
    """The materials that usually fill a design's places, as far as the shop has them."""
    return load_catalogue(session, today, {role.usual for role in design.roles.values()})


def work_out(
    design: Design, shop: Shop, catalogue: Catalogue, rates: Rates, working: Working | None = None
) -> tuple[TakeOff | None, str]:
    """What one finished thing at usual sizes, answers and materials comes to; or None and why it can't be said. Its
    figures stand in `working` where one is given."""
    system = shop.length_system
    try:
        return expand(
            design, {}, {}, {}, catalogue, rates, working or Working(), "design", MEASURING_STEP[system], system
        ), ""  # fmt: skip
    except CostingError as error:
        return None, f"The design can't be worked out at its usual sizes: {error}"


def _without(taken: TakeOff, thing: Thing, counted: Mapping[str, str]) -> tuple[str, ...]:
    said = [thing.drawn_without] if thing.drawn_without else []
    return (*said, *(f"{taken.design.sizes[name].says}: {words}." for name, words in counted.items()))


def found_of(taken: TakeOff, outcome: Literal["failure", "warning", "unknown"]) -> tuple[str, ...]:
    """What fails, is in doubt, or is not known, each once."""
    said = [one.message for one in taken.problems if one.severity == outcome]
    return tuple(dict.fromkeys([*said, *(check.sentence for check in taken.checks if check.outcome == outcome)]))


def count_pieces(taken: TakeOff) -> Fraction:
    """How many pieces one finished thing has."""
    return sum((part.count.value for part in taken.parts), Fraction(0))


def sheet_of(taken: TakeOff, shop: Shop, catalogue: Catalogue, rates: Rates) -> Sheet:
    """The worked-out design in words."""
    names = {code: one.name for code, one in catalogue.materials.items()}
    counted = counted_heights(taken, catalogue, rates, shop.length_system)
    reader = reader_of(shop)
    thing = thing_of(taken)
    said = f"{taken.design.name} at its usual sizes, from the front right"
    drawn = draw_bench(thing, said, shop.length_system, called="bench")
    held = sum(1 for check in taken.checks if check.outcome == "pass")
    return Sheet(
        figures=_figures(taken, reader),
        picture=drawn.picture,
        views=drawn.views,
        apart=drawn.apart,
        unit=shop.bare_unit,
        without=_without(taken, thing, counted),
        parts=tuple(part_shown(part, thing.numbers[part.name], reader, names) for part in taken.parts),
        fastenings=tuple(
            (one.says, names.get(one.material, one.material), reader.pair(one.count.value, "")[0])
            for one in taken.fastenings
        )
        + tuple(
            (
                one.says,
                f"weld, {reader.text(one.length.value, one.length.unit)} in all",
                reader.pair(one.count.value, "")[0],
            )
            for one in taken.welds
            if one.count.value
        ),
        hardware=tuple(
            (one.says, names.get(one.material, one.material), reader.pair(one.count.value, "")[0])
            for one in taken.hardware
        ),
        failures=found_of(taken, "failure"),
        warnings=found_of(taken, "warning"),
        unknown=found_of(taken, "unknown"),
        checks=tuple((OUTCOMES[check.outcome], told(check, reader)) for check in taken.checks),
        checks_words=f"{held} of {len(taken.checks)} checks hold at the usual sizes.",
    )


def design_page(
    stored: StoredDesign, design: Design | None, sheet: Sheet | None, unreadable: tuple[str, ...],
    versions: tuple[VersionListed, ...], names: Mapping[str, str], shop: Shop, used: tuple[UsedRow, ...],
    hosts: tuple[HostRow, ...],
) -> DesignPage:  # fmt: skip
    """The sheet of a design; one that a later form no longer reads still shows its name, its text and why."""
    last = versions[0].number
    return DesignPage(
        code=stored.code,
        name=_text(stored.document, "name") or stored.name,
        says=_text(stored.document, "says"),
        version=stored.version,
        is_last=stored.version == last,
        saved=day_text(shop.today(stored.created_at)),
        retired=stored.retired,
        sizes=tuple(_size(one, shop) for one in design.sizes_in(shop.length_system).values()) if design else (),
        roles=tuple(
            RoleShown(
                role.says, role.kind.value, names.get(role.usual, role.usual), f"/materials/{role.usual}",
                role.usual in names,
            )
            for role in design.roles.values()
        ) if design else (),
        choices=tuple(
            (choice.says, tuple(map(answer_words, choice.answers)), answer_words(choice.usual))
            for choice in design.choices.values()
        ) if design else (),
        scope=design.scope if design else "",
        not_included=design.not_included if design else (),
        sheet=sheet,
        unreadable=unreadable,
        versions=tuple(
            VersionRow(
                f"/designs/{stored.code}?version={one.number}", str(one.number), day_text(shop.today(one.created_at)),
                one.note, one.number == stored.version,
                f"/designs/{stored.code}/compare?from={min(one.number, stored.version)}"
                f"&to={max(one.number, stored.version)}" if one.number != stored.version else "",
            )
            for one in versions
        ),
        aloud=read_aloud(stored.document, names),
        used=used,
        hosts=hosts,
    )  # fmt: skip


def answer_words(answer: str) -> str:
    """An answer as it is read: toe base."""
    return name_words(answer)


def _text(document: Mapping[str, Any], name: str) -> str:
    held = document.get(name)
    return held if isinstance(held, str) else ""


def _size(size: Size, shop: Shop) -> SizeShown:
    def written(value: Fraction) -> str:
        if size.is_length:
            return format_length(int(value), shop.length_system, with_unit=False)
        return figure_text(value, 0)

    unit = shop.bare_unit if size.is_length else ""
    return SizeShown(size.says, written(size.usual), written(size.least), written(size.most), unit)


def _figures(taken: TakeOff, reader: Reader) -> tuple[tuple[str, str, str | None, None, None], ...]:
    fastenings = sum((one.count.value for one in taken.fastenings), Fraction(0))
    shown = [
        ("Pieces", figure_text(count_pieces(taken), 0), f"of {len(taken.parts)} kinds"),
        ("Fastenings", figure_text(fastenings, 0), "pieces"),
        ("Weight", *reader.figure(taken.mass)),
    ]
    heaviest = taken.heaviest
    if heaviest is not None and heaviest.mass is not None:
        number, unit = reader.figure(heaviest.mass)
        shown.append((f"Heaviest piece: {heaviest.says.lower()}", number, unit))
    return tuple((words, number, unit, None, None) for words, number, unit in shown)


def part_shown(part: PartTaken, number: int, reader: Reader, names: Mapping[str, str]) -> PartShown:
    """A kind of part as it stands in a table, its materials by name."""
    measured = [figure for figure in (part.length, part.width, part.thickness) if figure is not None]
    pairs = [reader.figure(figure) for figure in measured]
    mass, mass_unit = _mass(part.mass, reader)
    notes = []
    if part.layers > 1:
        notes.append(f"{part.layers} layers")
    if part.strips > 1:
        notes.append(f"{part.strips} strips")
    if part.banded:
        notes.append("band " + ", ".join(face for face, _ in part.banded))
    if part.together:
        notes.append("from one sheet, grain-matched")
    if mitred := shape_words(part, reader.system):
        notes.append(mitred)
    return PartShown(
        str(number), part.says, figure_text(part.count.value, 0), " × ".join(text for text, _ in pairs),
        pairs[0][1] if pairs else "", names.get(part.material, part.material), mass, mass_unit, ", ".join(notes),
    )  # fmt: skip


def _mass(mass: Figure | None, reader: Reader) -> tuple[str, str]:
    return reader.figure(mass) if mass is not None else ("not known", "")
