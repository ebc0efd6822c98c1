"""The workshop pack: every part is in the cut list, on one drawing and on its labels, and nothing of it is money."""

from __future__ import annotations

import json
import re
import zlib
from collections import Counter
from dataclasses import replace
from datetime import date
from fractions import Fraction
from io import BytesIO
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.documents.paper_case import LONG_JOB, SHOP, inputs_of, text_of, without_prices_of
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import LengthPlan, SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.documents.plans.drawings import cut_parts
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.quotes.kept_workshop_papers import make_papers, read_kept, write_kept
from webapp.documents.workshop.cautions import RULES, Situation
from webapp.documents.workshop.cut_papers import cut_files
from webapp.documents.workshop.pack import PackFor, WorkshopPack, workshop_html, workshop_pack
from webapp.documents.workshop.part_code import ALPHABET, check_character, part_code
from webapp.persistence.quotes.records import Document
from webapp.persistence.settings.shop import Paper
from webapp.seed import load_catalogue, load_designs

DAY = date(2026, 11, 25)
ABOUT = PackFor("job 7", 7, True, DAY)


def pack_of(inputs: Inputs, paper: Paper = "A4") -> tuple[Estimate, WorkshopPack]:
    """The estimate and its pack."""
    found = estimate_inputs(inputs)
    return found, workshop_pack(inputs, found, SHOP, ABOUT, paper)


def starter(code: str, quantity: int, **further: Any) -> Inputs:
    """A job of one of the starters with the demo's stock."""
    (document,) = [one for one in load_designs() if one["design"] == code]
    items = [{"id": "one", "design": code, "quantity": str(quantity), **further}]
    job = {"form": "1", "job": "Benches", "items": items}
    return replace(
        inputs_of(), job=job, designs={"one": document}, catalogue=load_catalogue(DAY), rates=default_rates(), plans={}
    )


def blanks_of(estimate: Estimate) -> Counter[str]:
    """How many blanks of each part the take-off asks for."""
    return Counter({
        f"{item.id}/{part.name}": int(part.count.value * item.quantity.value) * part.layers
        for item in estimate.items
        for part in item.take_off.parts
    })  # fmt: skip


def listed_of(pack: WorkshopPack) -> Counter[str]:
    """How many blanks of each part the cut list has."""
    counted: Counter[str] = Counter()
    for table in pack.cuts:
        for group in table.groups:
            for row in group.rows:
                counted[row.name] += row.in_all
    return counted


def drawn_of(pack: WorkshopPack, estimate: Estimate) -> Counter[int]:
    """How many pieces of each number the drawings show, a drawing counted for all that are cut like it."""
    counted: Counter[int] = Counter()
    for drawing in (*pack.sheets, *pack.lengths):
        like = re.search(r"(\d+) (?:sheet|length)s alike$", drawing.words)
        for title in re.findall(r'<g class="piece"(?: data-part="\d+")?><title>(\d+) ', drawing.svg):
            counted[int(title)] += int(like[1]) if like else 1
    return counted


def planned_of(estimate: Estimate) -> Counter[int]:
    """How many pieces of each number the cut plans place."""
    numbers, counted = cut_parts(estimate).numbers, Counter[int]()
    for one in estimate.bought:
        if isinstance(one.plan, SheetPlan):
            for sheet in one.plan.sheets:
                for put in sheet.placements:
                    counted[numbers[one.pieces[int(put.piece)]]] += sheet.count
        elif isinstance(one.plan, LengthPlan):
            for cut in one.plan.lengths:
                for piece, _ in cut.pieces:
                    counted[numbers[one.pieces[int(piece)]]] += cut.count
    return counted


def hold_pack(estimate: Estimate, pack: WorkshopPack) -> None:
    """Cut list, drawings and labels hold just what the take-off counts."""
    assert listed_of(pack) == blanks_of(estimate)
    assert drawn_of(pack, estimate) == planned_of(estimate)
    labelled = Counter(label.number for label in pack.labels)
    numbers = cut_parts(estimate).numbers
    layers = {f"{item.id}/{part.name}": part.layers for item in estimate.items for part in item.take_off.parts}
    if sum(blanks_of(estimate).values()) <= 600:
        assert labelled == {numbers[name]: count // layers[name] for name, count in blanks_of(estimate).items()}
    assert len({label.code for label in pack.labels}) == len(pack.labels)


@examples(8)
@given(
    st.lists(
        st.fixed_dictionaries({
            "quantity": st.integers(1, 9).map(str),
            "sizes": st.fixed_dictionaries({
                "width": st.integers(400, 1200).map(lambda mm: f"{mm} mm"),
                "height": st.integers(400, 1200).map(lambda mm: f"{mm} mm"),
            }),
        }),
        min_size=1, max_size=3,
    )
)  # fmt: skip
def test_every_part_is_listed_drawn_and_labelled_as_often_as_it_is_made(wanted: list[dict[str, Any]]) -> None:
    items = [{"id": f"item_{place}", "design": "wall_cabinet", **one} for place, one in enumerate(wanted)]
    hold_pack(*pack_of(inputs_of({"form": "1", "job": "Cabinets", "items": items})))


@pytest.mark.parametrize("code", sorted(str(one["design"]) for one in load_designs()))
def test_the_pack_of_every_starter_is_whole(code: str) -> None:
    found, pack = pack_of(starter(code, 2))
    hold_pack(found, pack)
    (item,) = pack.schedules
    fastened = sum(one.count.value for one in found.items[0].take_off.fastenings)
    assert sum(int(row.for_one or 0) for row in item.joints if " × " in row.size or row.fastener) >= fastened
    steps = [step for group in pack.work for step in group.steps]
    assert [step.says for step in steps] == [step.label for step in found.steps]
    told = [one.name for step in steps for one in step.cautions]
    assert len(told) == len(set(told))


def test_what_fits_no_sheet_or_has_no_plan_is_listed_all_the_same() -> None:
    items = [{"id": "wide", "design": "wall_cabinet", "sizes": {"width": "1200 mm"}}]
    inputs = inputs_of({"form": "1", "job": "Cabinets", "items": items})
    nothing = replace(inputs.catalogue, offers={**inputs.catalogue.offers, "thick_sheet": ()})
    found, pack = pack_of(replace(inputs, catalogue=nothing))
    assert listed_of(pack) == blanks_of(found)
    assert any("No cut plan holds these" in table.note for table in pack.cuts)


def test_nothing_in_the_pack_is_money() -> None:
    inputs = inputs_of(LONG_JOB, without_prices_of("hinge"))
    found, pack = pack_of(inputs)
    said = re.sub(r"<[^>]+>", " ", workshop_html(pack))
    assert found.currency not in said
    for word in ("price", "margin", "cost", "profit", "overhead"):
        assert not re.search(rf"\b{word}s?\b", said, re.IGNORECASE), word
    amounts = {f"{float(line.price.value):.2f}" for line in found.lines if line.price.value}
    assert not amounts & set(re.findall(r"\d+\.\d\d\b", said))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_kept_papers_come_back_to_the_letter_on_any_paper(paper: Paper) -> None:
    inputs = inputs_of(LONG_JOB)
    found = estimate_inputs(inputs)
    about = PackFor("quote 1042, revision 2", 7, False, DAY)
    kept = read_kept(write_kept(make_papers(inputs, found, SHOP, about, "A4")))
    files = cut_files(inputs, found, SHOP, about)
    assert kept.belongs_to == about.belongs_to
    assert kept.pack_on(paper) == workshop_pack(inputs, found, SHOP, about, paper)
    assert kept.paper(paper) == files.paper(paper)
    for material in kept.cuts.materials:
        for number in range(3):
            assert kept.svg(material.code, number) == files.svg(material.code, number)
            assert (kept.dxf(material.code, number) is None) == (files.dxf(material.code, number) is None)
        assert kept.svg(material.code, 99) is None
    assert kept.svg("nothing", 1) is None


# ---- codes --------------------------------------------------------------------------------------------------------


@pytest.mark.outside(source="ISO/IEC 7064:2003, MOD 37,36: the worked code A12425GABC1234002M of the GRid standard")
def test_the_check_character_is_that_of_the_standard() -> None:
    assert check_character("A12425GABC1234002") == "M"


@given(st.text(ALPHABET, min_size=1, max_size=12), st.data())
def test_one_character_misread_is_always_noticed(text: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.sampled_from(ALPHABET.replace(text[place], "")))
    assert check_character(f"{text[:place]}{other}{text[place + 1 :]}") != check_character(text)


def test_a_code_names_job_part_and_piece() -> None:
    assert part_code(7, 3, 12).rpartition("-")[0] == "7-03-012"
    assert part_code(None, 3, 12).startswith("F-")


# ---- cautions -----------------------------------------------------------------------------------------------------


def due(operation: str, *traits: str, machine: str = "", on_site: bool = False) -> set[str]:
    """The names of the cautions of a step."""
    step = Situation(operation, operation.replace("_", " "), machine, on_site, frozenset(traits))
    return {rule.caution.name for rule in RULES if rule.due(step)}


@pytest.mark.outside(source="what each kind of work in a shop is warned of", kind="common practice")
@pytest.mark.parametrize(
    ("names", "told"),
    [
        (due("saw_sheet_parts", "sheet", machine="saw"), {"Eyes and ears", "Sawing", "Dust of sheet materials"}),
        (due("plane_parts", "hardwood", machine="planer"), {"Planing", "Dust of hardwood"}),
        (due("spray", machine="booth"), {"Spraying", "Vapours"}),
        (due("brush", "oil"), {"Oily rags", "Vapours"}),
        (due("weld_run", "metal", machine="welder"), {"Welding", "Fire watch", "Eyes and ears"}),
        (due("grind_welds", "metal"), {"Cutting and grinding steel", "Fire watch"}),
        (due("load_up", "heavy", on_site=True), {"Lifting", "Loading"}),
        (due("install", "tall", "site", on_site=True), {"Tipping", "Anchoring to a wall"}),
        (due("fit_hardware", "rated"), {"Castors and rated loads"}),
    ],
)
def test_a_step_has_the_cautions_that_it_needs(names: set[str], told: set[str]) -> None:
    assert told <= names


def test_a_step_in_the_office_has_none() -> None:
    assert not due("draw", "sheet", "hardwood", "oil", "heavy", "metal")


def test_strips_under_the_shops_smallest_are_named_beside_the_saw() -> None:
    inputs = starter("bench_cabinet", 1)
    wide = replace(inputs, rates=inputs.rates.with_values({"smallest_strip": Fraction(120_000_000)}, {}))
    _, pack = pack_of(wide)
    (told,) = [
        one for group in pack.work for step in group.steps for one in step.cautions if one.name == "Narrow strips"
    ]
    assert "Under 120 mm wide" in told.sentence
    assert "Toe board (100 mm)" in told.sentence


def test_a_caution_is_told_once_and_recalled_by_its_letter() -> None:
    _, pack = pack_of(starter("bench_cabinet", 1))
    steps = [step for group in pack.work for step in group.steps]
    told: set[str] = set()
    for step in steps:
        fresh = {one.letter for one in step.cautions if one.letter}
        assert not fresh & told
        told |= fresh
        assert fresh <= set(step.minded.split()) <= told, step
        assert not step.again
    assert sum(len(step.minded.split()) for step in steps) > len(told)
    html = workshop_html(pack)
    for rule in RULES:
        assert html.count(rule.caution.sentence.partition("{")[0][:60] or rule.caution.sentence[-40:]) <= 1


# ---- what the papers say ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", sorted(str(one["design"]) for one in load_designs()))
def test_no_heading_stands_over_nothing(code: str) -> None:
    found, pack = pack_of(starter(code, 1))
    bare = replace(pack, schedules=(), glue=(), work=(), cuts=(), sheets=(), lengths=(), labels=())
    for heading in ("Cut list", "Sheets and lengths", "Hardware", "Finish", "Order of work", "Weights", "Labels"):
        assert not re.search(rf"<h1[^>]*>{heading}", workshop_html(bare)), heading
    finished = any(one.area.value for item in found.items for one in item.take_off.finishes)
    assert bool(re.search("<h1[^>]*>Finish", workshop_html(pack))) == finished


def test_a_glued_up_top_says_how_wide_its_strips_are_ripped() -> None:
    inputs = starter("trestle_bench", 1, choices={"top": "hardwood_top"})
    found, pack = pack_of(inputs)
    part = next(part for part in found.items[0].take_off.parts if part.strips > 1)
    assert part.blank_width is not None
    (note,) = {row.note for table in pack.cuts for group in table.groups for row in group.rows if "glued" in row.note}
    said = re.fullmatch(r"glued up of (\d+) strips, each ripped ([\d.]+) mm wide", note)
    assert said is not None, note
    assert int(said[1]) == part.strips
    together = Fraction(said[2]) * part.strips * 1_000_000
    assert 0 <= together - part.blank_width.value < Fraction(1, 10) * part.strips * 1_000_000


def test_times_are_said_as_one_says_them() -> None:
    found, pack = pack_of(starter("bench_cabinet", 4))
    steps = [step for group in pack.work for step in group.steps]
    for step, taken in zip(steps, found.steps, strict=True):
        said = re.fullmatch(r"(?:(\d+) h)? ?(?:(\d+) min)?", step.minutes)
        assert said is not None, step.minutes
        minutes = int(said[1] or 0) * 60 + int(said[2] or 0)
        assert abs(minutes - taken.mean.value) <= Fraction(1, 2)
        assert int(said[2] or 0) < 60
    assert re.fullmatch(r"\d+ h( \d\d min)?", pack.hours)


def test_papers_kept_by_an_earlier_program_print_the_figures_they_printed() -> None:
    """They kept plain minutes under a heading that said so, and recalled cautions in words."""
    inputs = inputs_of(LONG_JOB)
    found = estimate_inputs(inputs)
    kept = write_kept(make_papers(inputs, found, SHOP, PackFor("quote 1042, revision 2", 7, False, DAY), "A4"))
    told = json.loads(zlib.decompress(kept.content))
    for group in told["papers"]["pack"]["work"]:
        for step in group["steps"]:
            step["minutes"] = "534"
            step["again"] = "As before: Eyes and ears (step 2)."
            del step["minded"]
            for caution in step["cautions"]:
                del caution["letter"]
    earlier = Document(kept.name, kept.paper, zlib.compress(json.dumps({**told, "form": 1}).encode()))
    pack = read_kept(earlier).pack_on("A4")
    assert {step.minutes for group in pack.work for step in group.steps} == {"534 min"}
    said = workshop_html(pack)
    assert "As before: Eyes and ears (step 2)." in said
    assert "Mind" not in said


# ---- paper --------------------------------------------------------------------------------------------------------


@pytest.mark.outside(source="ISO 14289-1:2014 (PDF/UA-1), clause 7.3: figures have other text")
def test_it_is_printed_whole_and_tagged_on_the_paper_asked_for() -> None:
    _, pack = pack_of(inputs_of(), "Letter")
    made = make_pdf(workshop_html(pack))
    reader = PdfReader(BytesIO(made))
    assert {round(float(page.mediabox.height)) for page in reader.pages} == {792}
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    text = text_of(made)
    for heading in (
        "Cut list",
        "Sheets and lengths to cut",
        "Labels",
        "Hardware and fastenings",
        "Order of work",
        "Weights",
    ):
        assert heading in text
    for label in pack.labels:
        assert label.code in text
