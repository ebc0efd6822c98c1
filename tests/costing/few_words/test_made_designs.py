"""Four designs made from nothing in few words: each comes to what its starter comes to, or to a count by hand."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any, Final

import pytest

from tests.harness.hand_count import counted
from tests.harness.made import HEAD, catalogue, made, made_of
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.design_lines.table import ONE_LINE
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_designs

#: Each design with the lines that it may take: two actions of a person make about one line.
MOST_LINES: Final = {"rack": 30, "splayed_bench": 45, "tool_cart": 40, "wedging_table": 34}
STARTERS: Final = ("splayed_bench", "tool_cart", "wedging_table")
RATES: Final = default_rates()
SYSTEMS: Final[tuple[System, ...]] = ("metric", "inch")
MM: Final = 10**6


@cache
def starter(name: str) -> Mapping[str, Any]:
    return next(one for one in load_designs() if one["design"] == name)


def taken(document: Mapping[str, Any], system: System, sizes: Mapping[str, Fraction] | None = None) -> TakeOff:
    whole, _ = write_units_in(document, "metric")
    design, problems = read_design(whole)
    assert design is not None, problems
    asked = {name: size.usual for name, size in design.sizes.items()} | dict(sizes or {})
    return expand(design, asked, {}, {}, catalogue(), RATES, Working(), "item/1", STEP_NM[system], system)


def value(figure: Figure | None) -> Fraction | None:
    return None if figure is None else figure.value


def told(take_off: TakeOff) -> Counter[tuple[object, ...]]:
    """All that costs, whatever it is called: pieces and where they stand, what joins them, what is put on."""
    said: Counter[tuple[object, ...]] = Counter()
    for part in take_off.parts:
        sizes = tuple(map(value, (part.length, part.width, part.thickness, part.count, part.blank_length)))
        said["part", part.material, part.grain, part.layers, part.strips, *sizes, part.banded] += 1
        said.update(("piece", part.material, box.corner, box.extent) for box in part.boxes)
    said.update(("fastenings", one.material, one.per_row.value, one.rows.value) for one in take_off.fastenings)
    said.update(("weld", one.material, one.count.value, one.length.value) for one in take_off.welds)
    said.update(("hardware", one.material, one.count.value) for one in take_off.hardware)
    said.update(("finish", one.material, one.coats, one.area.value, one.coated.value) for one in take_off.finishes)
    said.update(("step", name, figure.value) for name, figure in take_off.drivers.items() if figure.value)
    said.update(("supply", code, value(figure)) for code, figure in take_off.supplies.values())
    said.update(("glue", code, figure.value) for code, figure in take_off.glue.items())
    said.update(("band", code, figure.value) for code, figure in take_off.band.items())
    said["weight", take_off.mass.value] += 1
    return said


def not_passed(take_off: TakeOff) -> Counter[str]:
    return Counter(one.outcome for one in take_off.checks if one.outcome != "pass")


@pytest.mark.parametrize("name", MOST_LINES)
def test_each_line_is_read_by_itself(name: str) -> None:
    design = made(name)
    unread = [
        (line, one.problems, one.question)
        for line, one in zip(design.lines, design.readings, strict=True)
        if not one.entries or one.problems or one.question
    ]
    assert unread == []
    assert len(design.lines) <= MOST_LINES[name]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", STARTERS)
def test_it_comes_to_what_the_starter_comes_to(name: str, system: System) -> None:
    ours, theirs = taken(made(name).document, system), taken(starter(name), system)
    assert ours.problems == ()
    assert told(ours) - told(theirs) == Counter()
    assert told(theirs) - told(ours) == Counter()
    assert not_passed(ours) == not_passed(theirs)


@pytest.mark.parametrize("name", MOST_LINES)
def test_bare_numbers_are_in_the_shops_unit(name: str) -> None:
    """Typed without a unit and without what holds in inches, each length comes to the same millimetres."""
    design = made(name)
    lines = tuple(MILLIMETRES.sub(r"\1", PAIRED.sub(r"\1", line)) for line in design.lines)
    assert lines != design.lines
    head = {one: design.document[one] for one in ("form", "design", *HEAD)}
    assert told(taken(made_of(lines, head).document, "metric")) == told(taken(design.document, "metric"))


#: The inch side of a pair, and the unit of a metric measure.
PAIRED: Final = re.compile(r"(\d mm) \| (?:length - )?[\d /]+ (?:in|ft)\b")
MILLIMETRES: Final = re.compile(r"(\d) mm\b")


@pytest.mark.parametrize("name", STARTERS)
def test_its_price_is_that_of_the_starter(name: str) -> None:
    ours, theirs = priced(name, made(name).document), priced(name, starter(name))
    assert ours.complete
    assert ours.totals.price.value == theirs.totals.price.value
    assert ours.totals.minutes_charged.value == theirs.totals.minutes_charged.value
    bought = [sorted((one.material.code, one.charged.value) for one in each.bought) for each in (ours, theirs)]
    assert bought[0] == bought[1]


def priced(name: str, document: Mapping[str, Any]) -> Estimate:
    form = {"form": "1", "job": name, "items": [{"id": "one", "design": name}]}
    whole, _ = write_units_in(document, "metric")
    return estimate_inputs(Inputs(form, {"one": whole}, catalogue(), RATES, "metric", 2, {}))


def test_the_rack_is_priced_whole() -> None:
    assert priced("rack", made("rack").document).complete


@pytest.mark.outside(source="Two-shelf rack counted by hand, hand_counts/rack.md", kind="common practice")
@pytest.mark.parametrize("case", ["least", "usual", "most"])
def test_the_rack_comes_to_its_count_by_hand(case: str) -> None:
    count = counted("rack")
    place = list(count.cases).index(case)
    sizes = {name: Fraction(size * MM) for name, size in count.cases[case][0].items()}
    found = taken(made("rack").document, "metric", sizes)
    assert {one.name: said(one.count, one.length, one.width) for one in found.parts} == table(count.parts, place)
    assert {one.joint: said(one.per_row, one.rows) for one in found.fastenings} == table(count.joints, place)
    assert {one.name: said(one.count) for one in found.hardware} == table(count.hardware, place)
    assert (sum(one.count.value for one in found.welds), sum(one.length.value for one in found.welds)) == (16, 256)
    areas = {one.name: f"{float(one.area.value):g}" for one in found.finishes}
    assert areas["primer_coats"] == areas["paint_coats"] == STEEL[case]
    sheets = Fraction(0)
    for one in found.parts:
        if one.kind == "sheet" and one.width is not None:
            sheets += one.count.value * one.length.value * one.width.value
    assert f"{float(sheets / MM**2 / 10**6):g}" == table(count.areas, place)["plywood"]
    assert f"{float(found.mass.value):.3f}" == count.masses[case]
    assert {one.name for one in found.checks if one.outcome != "pass"} <= {"tips/pushed"}


#: The steel that is coated, once, m2, by hand.
STEEL: Final = {"least": "0.926208", "usual": "1.21421", "most": "1.53421"}


def table(text: str, place: int) -> dict[str, str]:
    """A column of a table counted by hand, without the row of all."""
    found = [[cell.strip() for cell in line.split(" | ")] for line in text.splitlines()]
    return {row[0]: row[1 + place] for row in found if row[0] != "ALL"}


def said(*figures: Figure | None) -> str:
    """Counts, and lengths to a tenth of a millimetre, as a count by hand has them: 2 x 820 x 40."""
    values = [value(figure) or Fraction(0) for figure in figures]
    return " x ".join(f"{float(one / MM if one >= MM / 10 else one):g}" for one in values)


@pytest.mark.parametrize("name", MOST_LINES)
def test_each_entry_is_read_aloud(name: str) -> None:
    document = made(name).document
    aloud = dict(read_aloud(document))
    for one in made(name).readings:
        for entry in one.entries:
            sentences = aloud[entry.section.replace("_", " ").capitalize()]
            if entry.section in ONE_LINE:
                assert len(sentences) == 1
                continue
            assert len(sentences) == len(document[entry.section])
            place = list(document[entry.section]).index(entry.name)
            assert sentences[place].endswith(".")
            assert len(sentences[place]) > len(entry.name)
