"""The cut plans of a job as a paper and as files: each sheet drawn, its saw sequence beside it. No price is in it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cutting.ask.model import LengthPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.measures.written import format_length
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import (
    CutDrawing,
    CutParts,
    Cuts,
    cut_parts,
    cuts_without,
    draw_sheet,
    drawn_sheets,
    length_drawings_of,
    saw_plan_of,
)
from webapp.documents.plans.saw_table import Long, SawRow, SettingRow, narrow_caution, saw_rows, setting_rows
from webapp.documents.printing.paper import PaperHead, day_text, in_block, made_by
from webapp.documents.workshop.pack import PackFor
from webapp.persistence.settings.shop import Paper, Shop
from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.sheet_dxf import sheets_dxf
from webapp.rendering import fill

#: How long and how tall a sheet is drawn, beside its table on a page that lies.
DRAWN: Final = (640, 520)
FIRST_OF_ALL: Final = (
    "Local codes, the instructions of the saw's maker and licensed practice come before anything printed here. Whoever "
    "has not been shown a machine does not run it. Measure the first piece of a setting before the others are cut."
)
ROUTED: Final = "The router cuts round each piece; the order of the cuts is its own."


@dataclass(frozen=True, slots=True)
class SheetCut:
    """One sheet: its number among its material's plans, its drawing, its settings in order, and what to mind."""

    number: int
    title: str
    size: str
    svg: str
    rows: tuple[SawRow, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MaterialCut:
    """One material: its sheets or lengths, and the settings of all its sheets where there are several.

    `numbered` says what the numbers in the drawings of its lengths are, which are too small for words.
    """

    code: str
    name: str
    sheets: tuple[SheetCut, ...]
    settings: tuple[SettingRow, ...]
    lengths: tuple[CutDrawing, ...]
    numbered: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class CutPaper:
    """Everything that is printed, in the words it is printed in."""

    head: PaperHead
    name: str
    job: str
    opening: str
    deferring: str
    materials: tuple[MaterialCut, ...]
    title_block: tuple[tuple[str, str], ...]


class CutFiles:
    """The cut plans of one job or of several of a shop, to be had as a paper, as drawings and as files.

    `title` says what is made and `made_for` whose it is.
    """

    def __init__(
        self, cuts: Cuts, rates: Rates, parts: CutParts, shop: Shop, about: PackFor, *, title: str, made_for: str
    ) -> None:  # fmt: skip
        self.cuts, self.rates, self.parts, self.shop, self.about = cuts, rates, parts, shop, about
        self.title, self.made_for = title, made_for
        self.long: Long = lambda nm: format_length(nm, cuts.system)

    def paper(self, paper: Paper) -> CutPaper:
        """All of it, on paper that lies."""
        name, shop, about = "Cut plans", self.shop, self.about
        return CutPaper(
            head=PaperHead(f"{name}: {self.title}", shop.name, about.written_on.isoformat(), paper, about.draft),
            name=name,
            job=self.title,
            opening=f"For {about.belongs_to}, {day_text(about.written_on)}. Cut numbers on a drawing are those of its "
            "table; every cut of the saw runs from edge to edge of what is held.",
            deferring=FIRST_OF_ALL,
            materials=tuple(self._material(one) for one in self.cut),
            title_block=(
                (name, in_block(about.belongs_to[:1].upper() + about.belongs_to[1:])),
                ("Job", in_block(self.title)),
                ("For", in_block(self.made_for or "not named")),
                ("By", made_by(shop)),
                ("Date", day_text(about.written_on)),
            ),
        )

    @property
    def cut(self) -> tuple[MaterialBought, ...]:
        """The materials that are cut by a plan, sheets before lengths."""
        cut = [one for one in self.cuts.bought if one.plan is not None and one.purchases]
        return tuple(sorted(cut, key=lambda one: isinstance(one.plan, LengthPlan)))

    def svg(self, material: str, number: int) -> str | None:
        """One sheet or length by its number from 1; None where there is no such one."""
        one = self._find(material)
        if one is None or number < 1:
            return None
        sheets = drawn_sheets(one, self.rates, self.parts)
        if sheets:
            return draw_sheet(sheets[number - 1], self.cuts.system, 1200, 1200, True) if number <= len(sheets) else None
        lengths = length_drawings_of(one, self.rates, self.parts, self.cuts.system)
        return lengths[number - 1].svg if number <= len(lengths) else None

    def dxf(self, material: str, number: int | None = None) -> bytes | None:
        """One sheet by its number from 1, or all of a material; None where there is no such one."""
        one = self._find(material)
        sheets: Sequence[DrawnSheet] = () if one is None else drawn_sheets(one, self.rates, self.parts)
        if number is not None:
            sheets = sheets[number - 1 : number] if number > 0 else ()
        return sheets_dxf(sheets) if sheets else None

    def _find(self, material: str) -> MaterialBought | None:
        return next((one for one in self.cut if one.material.code == material), None)

    def _material(self, bought: MaterialBought) -> MaterialCut:
        sawn, sheets = saw_plan_of(bought, self.rates), drawn_sheets(bought, self.rates, self.parts)
        drawn: list[SheetCut] = []
        for place, sheet in enumerate(sheets):
            called = [f"{piece.number} {piece.label}" for piece in sheet.pieces]
            rows = () if sawn is None else saw_rows(sawn, place, called, self.long)
            narrow = sawn is not None and any(row.narrow for row in rows)
            note = ROUTED if sawn is None else narrow_caution(self.long, sawn.sheets[place].narrow) if narrow else ""
            # Once is enough: later sheets carry the mark that it speaks of.
            told = any(note in one.notes for one in drawn)
            drawn.append(
                SheetCut(
                    place + 1, sheet.title, f"{self.long(sheet.length)} × {self.long(sheet.width)}",
                    draw_sheet(sheet, self.cuts.system, *DRAWN, True), rows, (note,) if note and not told else (),
                )
            )  # fmt: skip
        settings = setting_rows(sawn, self.long) if sawn is not None and len(sheets) > 1 else ()
        lengths = length_drawings_of(bought, self.rates, self.parts, self.cuts.system)
        numbered = {self.parts.numbers[name]: self.parts.taken[name].says for name in bought.pieces} if lengths else {}
        return MaterialCut(
            bought.material.code, bought.material.name, tuple(drawn), settings, lengths, tuple(sorted(numbered.items()))
        )


def cut_files(
    inputs: Inputs, estimate: Estimate, shop: Shop, about: PackFor, elsewhere: Collection[str] = ()
) -> CutFiles:  # fmt: skip
    """The cut plans of a job; those of parts `elsewhere` stand in another paper."""
    job, _ = inputs.read_job(inputs.job)
    rates, parts = inputs.rates.with_values(job.settings, job.reasons), cut_parts(estimate)
    own = cuts_without(estimate, elsewhere)
    return CutFiles(own, rates, parts, shop, about, title=job.title, made_for=job.customer.name)


def cut_html(paper: CutPaper) -> str:
    """The paper as `make_pdf` takes it."""
    return fill("documents/cut_sheets.html", paper=paper)
