"""The starters in the short form against how they were written before it, entry for entry, and against hand counts.

What the first form said of each line, row, screw and place the short one leaves to the parts as they stand: it has to
come to the same. Where the old form was wrong, that is named in form_1/README.md and in DIFFERENT below.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Final

import pytest

from tests.harness.examples import LONG
from tests.reference.short_forms import (
    FORM_1,
    RATES,
    SYSTEMS,
    Asked,
    corners,
    design_of,
    differences,
    form_1_document,
    samples,
    taken,
    told,
)
from tests.reference.test_starter_hand_counts import COUNTED
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text
from webapp.seed import load_catalogue

#: Starters in the short form.
NAMES: Final = (
    "bench_cabinet",
    "hollow_core_top",
    "sheet_rack",
    "wall_rail_storage",
)
#: What comes out otherwise than before, by the words of `told`; why, stands in form_1/README.md.
DIFFERENT: Final[Mapping[str, frozenset[str]]] = {
    "wall_rail_storage": frozenset({"step glue_up_panels"}),
}

#: At the usual sizes, by the sums of hand_counts/<design>.md: the lines along which faces meet as length x how many,
#: the longest first, what a screw passes through and what it has room in. Millimetres, to hundredths.
MEASURED: Final[Mapping[str, str]] = {
    "bench_cabinet": """
    bottom_ends     | 576.4 x 2              | -    | -
    front_rail_ends | 100 x 2                | 17.8 | 864.4
    back_rail_ends  | 100 x 2                | 17.8 | 864.4
    toe_ends        | 100 x 2                | 17.8 | 864.4
    toe_under       | 864.4 x 1              | 17.8 | 100
    back_on_sides   | 744.4 x 2              | 5.8  | 576.4
    back_on_rails   | 900 x 2                | 5.8  | 100
    plywood_front   | 864.4 x 1              | 17.8 | 35.6
    plywood_back    | 864.4 x 1              | 17.8 | 35.6
    box_corners     | 184.73 x 12            | 14.8 | 809.4
    box_bottoms_on  | 809.4 x 6, 450 x 6     | 5.8  | 184.73
    fronts_on_boxes | -                      | 14.8 | 17.8
    slides_on_boxes | -                      | 1.5  | 14.8
    slides_on_sides | -                      | 1.5  | 17.8
    """,
    "hollow_core_top": """
    skin_on_ribs          | 1760 x 2, 824.4 x 2             | -    | -
    skin_on_webs          | 1724.4 x 3, 192.75 x 24         | -    | -
    skin_under            | 1760 x 2, 1724.4 x 3, 824.4 x 2 | 11.8 | 80
    skin_under_cross_webs | 192.75 x 24                     | 11.8 | 80
    rib_corners           | 80 x 4                          | 17.8 | 824.4
    web_ends              | 80 x 6                          | 17.8 | 1724.4
    cross_ends            | 80 x 48                         | -    | -
    blocks_in_core        | 180 x 4                         | -    | -
    long_edging_on        | 1760 x 2                        | -    | -
    end_edging_on         | 860 x 2                         | -    | -
    rails_in_legs         | 88.9 x 18                       | -    | -
    upper_bearers_held    | 88.9 x 10                       | 38.1 | 703.8
    lower_bearers_held    | 88.9 x 10                       | 38.1 | 703.8
    top_held              | -                               | 2    | 80
    rails_held            | -                               | 2    | 38.1
    shelf_on_bearers      | 602.2 x 6                       | 18   | 88.9
    stop_on_shelf         | 1580.2 x 1                      | 18   | 60
    panels_on_rails       | 602.2 x 2                       | 11.8 | 38.1
    panels_on_shelf       | 602.2 x 2                       | 18   | 529.5
    """,
    "sheet_rack": """
    ends_on_skids    | -         | 38.1  | 88.9
    bearers_on_skids | -         | 38.1  | 88.9
    deck_on          | 700 x 10  | 17.86 | 38.1
    posts_bolted     | -         | -     | -
    rails_in_posts   | 88.9 x 24 | -     | -
    ties_on          | 88.9 x 8  | 19.05 | 1363.95
    stops_on         | 88.9 x 8  | 19.05 | 88.9
    """,
    "wall_rail_storage": """
    levels_on       | 252.6 x 4          | 17.8 | 764.4
    shelves_on      | 252.6 x 2          | 17.8 | 764.4
    back_on         | 764.4 x 2, 600 x 2 | 11.8 | 252.6
    spacer_on_back  | 800 x 2            | 11.8 | 35.6
    strip_on_spacer | 800 x 1            | -    | -
    wall_layers     | 800 x 1            | -    | -
    stand_off_on    | 800 x 1            | 11.8 | 35.6
    """,
}

#: The longest line, and the longest formula of one.
LONGEST_LINE: Final = 200
LONGEST_FORMULA: Final = 80
SAMPLES: Final = 300 if LONG else 6


@cache
def catalogue() -> Catalogue:
    return load_catalogue(date(2026, 11, 2))


def text_of(name: str) -> str:
    return (Path("seed_data") / "designs" / f"{name}.yaml").read_text(encoding="utf-8")


@cache
def both(name: str) -> tuple[Design, Design]:
    """A starter as it was and as it is."""
    before, problems = read_design(form_1_document(name))
    assert before is not None, problems
    return before, design_of(text_of(name))


def with_joined(name: str, said: Mapping[str, object]) -> dict[str, object]:
    """What the old form came to, the fastenings of joints that are one now together."""
    found = dict(said)
    for joint, together in COUNTED[name].joined.items():
        held = [found.pop(f"fastening {one}") for one in together if f"fastening {one}" in found]
        if held:
            materials, counts = zip(*held, strict=True)
            (material,) = set(materials)
            found[f"fastening {joint}"] = (material, sum(counts))
    return found


def is_mended_there(made: TakeOff) -> bool:
    """Whether it was made otherwise at such sizes since, by uprights under shelves or a third screw in each stud: see
    form_1/README.md."""
    if made.design.code != "wall_rail_storage":
        return False
    uprights = any(part.name == "divider" and part.count.value for part in made.parts)
    return made.sizes["planned_load"].value > 45 or (made.choices["inside"] == "level_shelves" and uprights)


def differ(name: str, asked: Asked) -> list[str]:
    before, after = both(name)
    then, now = (taken(design, asked, catalogue()) for design in (before, after))
    assert now.problems == then.problems == (), asked
    if is_mended_there(now):
        return []
    found = differences(with_joined(name, told(then)), told(now))
    return [line for line in found if line.partition(":")[0] not in DIFFERENT.get(name, ())]


@pytest.mark.parametrize("name", NAMES)
def test_the_take_off_is_what_it_was_at_every_corner(name: str) -> None:
    for asked in corners(both(name)[0]):
        assert differ(name, asked) == [], asked


@pytest.mark.parametrize("name", NAMES)
def test_the_take_off_is_what_it_was_in_between(name: str) -> None:
    for asked in samples(both(name)[0], SAMPLES):
        assert differ(name, asked) == [], asked


def priced(name: str, document: Mapping[str, object], system: System) -> Estimate:
    form = {"form": "1", "job": name, "items": [{"id": "one", "design": name}]}
    return estimate_inputs(Inputs(form, {"one": document}, catalogue(), RATES, system, 2, {}))


@pytest.mark.parametrize(("name", "system"), [*itertools.product(NAMES, SYSTEMS)])
def test_hours_and_price_are_what_they_were(name: str, system: System) -> None:
    document, unread = read_text(text_of(name))
    assert document is not None, unread
    then, now = priced(name, form_1_document(name), system), priced(name, document, system)
    assert then.complete
    assert now.complete
    more = {step.operation: step.charged.value for step in now.steps}
    less = {step.operation: step.charged.value for step in then.steps}
    apart = {step for step in more.keys() | less.keys() if more.get(step) != less.get(step)}
    assert {f"step {step}" for step in apart} == DIFFERENT.get(name, frozenset())
    assert [(one.material.code, one.charged.value) for one in now.bought] == [
        (one.material.code, one.charged.value) for one in then.bought
    ]
    if not apart:
        assert now.totals.minutes_charged.value == then.totals.minutes_charged.value
        assert now.totals.price.value == then.totals.price.value


def test_the_short_starters_are_short() -> None:
    """Six tenths of the lines of before at most, none too long to be read."""
    lines = {name: text_of(name).splitlines() for name in NAMES}
    before = sum(len((FORM_1 / f"{name}.yaml").read_text(encoding="utf-8").splitlines()) for name in NAMES)
    assert sum(map(len, lines.values())) <= before * Fraction(6, 10)
    assert [line for text in lines.values() for line in text if len(line) > LONGEST_LINE] == []


@pytest.mark.parametrize("name", NAMES)
def test_no_formula_is_long(name: str) -> None:
    design = both(name)[1]
    formulas = [formula for value in design.values.values() for formula in value.formulas.values()]
    for part in design.parts.values():
        formulas += [one for one in (part.count, part.length, part.width, part.thickness) if one is not None]
        formulas += [*part.at.values(), *(one for each in part.stations.values() for one in each.formulas)]
    for joint in design.joints.values():
        formulas += [one for one in (joint.run, joint.rows, joint.count, joint.grip, joint.room) if one is not None]
    formulas += [piece.count for piece in design.hardware.values() if piece.count is not None]
    formulas += [must.that for must in design.musts.values()]
    formulas += [span.span for span in design.spans.values() if span.span is not None]
    assert len(formulas) > len(design.parts)
    # What is added when a whole number of lengths is judged as measured, nobody types.
    typed = [re.sub(r" [-+] measuring_step_ / 2", "", formula.text) for formula in formulas]
    assert [text for text in typed if len(text) > LONGEST_FORMULA] == []


def millimetres(value: Fraction) -> str:
    """Hundredths of a millimetre, a half going up, without zeros at the end."""
    hundredths = int(value / 10**4 + Fraction(1, 2))
    return f"{hundredths / 100:.2f}".rstrip("0").rstrip(".")


@pytest.mark.parametrize("name", NAMES)
def test_runs_rows_grips_and_rooms_are_those_counted_by_hand(name: str) -> None:
    design, working = both(name)[1], Working()
    usual = {size.name: size.usual for size in design.sizes.values()}
    made = expand(design, usual, {}, {}, catalogue(), RATES, working, "item/1", STEP_NM["metric"], "metric")
    assert made.problems == ()
    expected = [[cell.strip() for cell in row.split("|")] for row in MEASURED[name].strip().splitlines()]
    found = [[joint, *_measured(working, f"item/1/joint/{joint}")] for joint, *_ in expected]
    assert found == expected
    usual_answers = {choice.usual for choice in design.choices.values()}
    assert [joint for joint, *_ in expected] == [
        one.name
        for one in design.joints.values()
        if (not one.when or one.when in usual_answers) and not _holds_nothing(working, one.name)
    ]


def _holds_nothing(working: Working, joint: str) -> bool:
    """Whether its lines come to none: parts of it are not there at these sizes."""
    rows = working.figures.get(f"item/1/joint/{joint}/rows")
    return rows is not None and not rows.value


def _measured(working: Working, key: str) -> list[str]:
    """What a joint comes to: its lines, and what goes into the check of where its tips are."""
    figures = working.figures
    lines = []
    for nth in ("", *(f"_{place}" for place in range(2, 9))):
        # A run typed as a name alone is the figure of that name.
        in_row = figures.get(f"{key}/per_row{nth}")
        run = figures.get(f"{key}/run{nth}") if in_row is None else figures[dict(in_row.inputs)["run"]]
        if run is not None:
            lines.append(f"{millimetres(run.value)} x {figures[f'{key}/rows{nth}'].value}")
    tip = dict(figures[f"{key}/tip"].inputs) if f"{key}/tip" in figures else {}
    said = [millimetres(figures[tip[word]].value) if word in tip else "-" for word in ("grip", "room")]
    return [", ".join(lines) or "-", *said]
