"""What is planned to stand on a part, and what a small table on castors makes of it; every figure worked by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from tests.reference.golden_figures import DAY
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import Check, TakeOff
from webapp.design_text import read_text, write_design_text
from webapp.seed import load_catalogue

MM = 10**6

TABLE = """
form: 2
design: small_table
name: Small table
says: A table on castors for a test.
sizes:
  length: Length; 1000 mm; least 500 mm; most 2000 mm
  planned: Planned load in kilograms; 60; least 0; most 200
stock:
  sheet: Top; sheet birch_plywood_18
  wood: Legs; board sugar_maple
  castor: Castors; piece castor_100
  screw: Screws; fastener screw_4_50
parts:
  top: Top; of sheet; long length along x; wide 600 mm along y; z on leg; grain length
  leg: Leg; 4 of wood; long 400 mm along z; wide 50 mm along x; thick 44 mm; four corners; z 125 mm
closes: x length; y 600 mm; z top.top
joints:
  top_on: Top onto the legs; top into leg; with screw; every 100 mm; ends 10 mm
hardware:
  castor: Castor; of castor; under each leg; wide 80 mm; deep 80 mm; tall 125 mm
loads:
  work: planned * 1 kg on each top; half lasting
scope: A table.
"""

#: 1000 x 600 x 17.8 mm at 680 kg/m3, four legs of 50 x 44 x 400 mm at 705.6, and four castors of 0.9 kg.
OWN = 1.0 * 0.6 * 0.0178 * 680 + 4 * 0.05 * 0.044 * 0.4 * 705.6 + 4 * 0.9


@cache
def catalogue() -> Catalogue:
    return load_catalogue(DAY)


def stated(code: str, **values: Fraction | None) -> Catalogue:
    """The catalogue with other values of a material; None takes one away."""
    material = catalogue().materials[code]
    kept = {name: value for name, value in {**material.values, **values}.items() if value is not None}
    return replace(catalogue(), materials={**catalogue().materials, code: replace(material, values=kept)})


def taken(text: str = TABLE, sizes: Mapping[str, Fraction] | None = None, stock: Catalogue | None = None) -> TakeOff:
    document, unread = read_text(text)
    assert document is not None, unread
    design, problems = read_design(document)
    assert design is not None, problems
    working = Working()
    known = stock or catalogue()
    found = expand(design, sizes or {}, {}, {}, known, default_rates(), working, "item/x", MM, "metric")
    # Each figure follows from those that are printed beside it.
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
    # A check opens on figures that are there.
    assert all(name in working for check in found.checks for name in check.figures)
    return found


def said(found: TakeOff) -> dict[str, Check]:
    return {check.name: check for check in found.checks}


def test_a_load_is_read_from_its_line_and_written_as_it_was() -> None:
    document, unread = read_text(TABLE)
    assert document is not None, unread
    assert document["loads"] == {"work": {"kilograms": "planned * 1 kg", "on": "top", "lasting": "1/2"}}
    assert "  work: planned * 1 kg on each top; half lasting\n" in write_design_text(document)
    aloud = dict(read_aloud(document))
    assert aloud["Loads"] == ("Work: planned x 1 kg on each “Top”, half of it lasting.",)


@pytest.mark.parametrize(
    ("line", "fields"),
    [
        ("12 kg on each top; in the middle", {"kilograms": "12 kg", "on": "top", "lies": "middle"}),
        ("12 kg on each top; at the edge; lasting 0.3",
         {"kilograms": "12 kg", "on": "top", "lies": "edge", "lasting": "0.3"}),
    ],
)  # fmt: skip
def test_how_a_load_lies(line: str, fields: dict[str, str]) -> None:
    text = TABLE.replace("planned * 1 kg on each top; half lasting", line)
    document, unread = read_text(text)
    assert document is not None, unread
    assert document["loads"] == {"work": fields}
    assert line in write_design_text(document)


def test_play_walls_and_flatness_are_said_in_lines() -> None:
    text = TABLE.replace("ends 10 mm\n", "ends 10 mm; play 4 mm\n")
    text = text.replace("tall 125 mm\n", "tall 125 mm; to the wall\n")
    text += "spans:\n  flat_top: top over 800 mm; limit flat 0.5 mm\n"
    document, unread = read_text(text)
    assert document is not None, unread
    design, problems = read_design(document)
    assert design is not None, problems
    assert design.joints["top_on"].play is not None
    assert design.hardware["castor"].to_wall
    assert design.spans["flat_top"].flat is not None
    again, _ = read_text(write_design_text(document))
    assert again == document


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("12 mm on each top", "is a length, and a weight is needed"),
        ("12 kg on each tops", "'tops' is no part"),
        ("12 kg on each top; lasting 3 mm", "is a length"),
    ],
)
def test_a_load_that_means_nothing_is_said_at_its_place(line: str, sentence: str) -> None:
    document, _ = read_text(TABLE.replace("planned * 1 kg on each top; half lasting", line))
    assert document is not None
    design, problems = read_design(document)
    assert design is None
    assert all(problem.field.startswith("loads.work") for problem in problems)
    assert any(sentence in problem.message for problem in problems), problems


@pytest.mark.parametrize("line", ["(planned - 61) * 1 kg on each top", "12 kg on each top; lasting planned / 50"])
def test_a_load_below_nothing_or_a_share_above_all_is_left_out_and_said(line: str) -> None:
    found = taken(TABLE.replace("planned * 1 kg on each top; half lasting", line))
    assert [problem.field for problem in found.problems] == ["loads.work"]
    assert "from 0 to 1" in found.problems[0].message


def test_four_castors_of_which_one_is_lifted() -> None:
    check = said(taken())["bears/castor"]
    assert check.held is not None
    assert float(check.held.needs) == pytest.approx((OWN + 60) / 3, abs=0.001)
    assert float(check.held.has) == 100 / 1.25
    assert check.outcome == "pass"


def test_two_across_may_bear_it_all_while_another_is_lifted() -> None:
    """180 kg in the middle: a third of 193.7 is 64.6, within 80; on two across it is 96.8, beyond."""
    check = said(taken(sizes={"planned": Fraction(180)}))["bears/castor"]
    assert check.outcome == "warning"
    assert f"by where the weight acts, {(OWN + 180) / 2:.1f} kg comes on one" in check.sentence


@pytest.mark.parametrize(("kilograms", "outcome"), [(60, "failure"), (40, "pass")])
def test_a_load_at_the_edge_beyond_the_castors_swung_in(kilograms: int, outcome: str) -> None:
    """Pivots 22 mm from the edge, swung in by 0.3 x 125: the load acts 59.5 beyond, its own weight 240.5 within."""
    check = said(taken(sizes={"planned": Fraction(kilograms)}, stock=stated("castor_100", swing=None)))["tips"]
    assert check.outcome == outcome
    assert check.held is not None
    assert float(check.held.needs) == pytest.approx(kilograms * 9.81 * 0.0595, abs=0.06)
    assert float(check.held.has) == pytest.approx(OWN * 9.81 * 0.2405, abs=0.06)


def test_a_swing_that_the_castor_states_counts_in_place_of_the_usual() -> None:
    check = said(taken(stock=stated("castor_100", swing=Fraction(20 * MM))))["tips"]
    assert check.outcome == "pass"
    assert check.held is not None
    assert float(check.held.needs) == pytest.approx(60 * 9.81 * 0.042, abs=0.06)


def test_a_push_over_a_sill() -> None:
    """Wheels of 0.8 x 125 = 100 mm; along the length the contacts swung in are 62.5 from each end, c = 437.5: over a
    sill of 10 mm t = 30 / 40, so up to 50 + 437.5 / 0.75 = 633.3 mm the wheel climbs; the top is at 542.8."""
    check = said(taken(stock=stated("castor_100", swing=None, wheel=None)))["tips/pushed"]
    assert check.outcome == "pass"
    assert check.held is not None
    assert float(check.held.has) / MM == pytest.approx(50 + 437.5 / 0.75, abs=0.1)
    assert float(check.held.needs) / MM == pytest.approx(542.8, abs=0.1)


def test_what_weighs_nobody_knows_what_is_not_known_to_stand() -> None:
    found = said(taken(stock=stated("birch_plywood_18", density=None)))
    for name in ("tips", "bears"):
        assert found[name].outcome == "unknown"
        assert "type the density of what “Top” is made of" in found[name].sentence


def test_the_top_sags_between_its_legs_by_its_own_weight_and_its_load() -> None:
    """On four legs alone it sags over 900 mm along and over 512 mm across its grain at once. Half of 60 kg stays, and
    its own 7.26."""
    check = said(taken())["sags/top"]
    assert check.held is not None
    own = 1.0 * 0.6 * 0.0178 * 680

    def sag(span: float, breadth: float, length: float, modulus: float) -> float:
        return 5 / 384 * (own + 60) * 9.80665 / length * span**4 / (modulus * breadth * 17.8**3 / 12)

    first = sag(900, 600, 1000, 6960) + sag(512, 1000, 600, 4200)
    stays = (own + 30) / (own + 60)
    assert float(check.held.needs) / MM == pytest.approx(first * (1 + 0.8 * stays), rel=0.001)
    assert "over 900 mm and 512 mm, borne on points alone," in check.sentence


def test_stiffness_that_nothing_states_is_asked_for() -> None:
    found = said(taken(stock=stated("birch_plywood_18", stiffness=None, stiffness_across=None)))
    assert found["sag"].outcome == "unknown"
    assert "How far “Top” sag is not known" in found["sag"].sentence


def test_a_span_without_a_load_of_its_own_takes_the_planned_one() -> None:
    text = TABLE + "spans:\n  top_span: top over 900 mm; limit bench\n"
    check = said(taken(text))["sag/top_span"]
    own = 1.0 * 0.6 * 0.0178 * 680
    first = 5 / 384 * (own + 60) * 9.80665 / 1000 * 900**4 / (6960 * 600 * 17.8**3 / 12)
    assert check.held is not None
    assert float(check.held.needs) / MM == pytest.approx(first * (1 + 0.8 * (own + 30) / (own + 60)), rel=0.001)
    assert float(check.held.has) / MM == pytest.approx(900 / 360)
    assert "sags/top" not in said(taken(text))


def test_a_span_judged_by_flatness() -> None:
    text = TABLE + "spans:\n  top_span: top over 900 mm; limit flat 0.5 mm\n"
    check = said(taken(text))["sag/top_span"]
    assert check.held is not None
    assert check.held.has == MM // 2
    assert "0.50 mm is the most." in check.sentence


#: A solid top: its grain runs along, so it moves across 600 mm.
SOLID = (
    TABLE.replace("top: Top; of sheet;", "top: Top; of wood; thick 30 mm;")
    .replace("  sheet: Top; sheet birch_plywood_18\n", "")
    .replace("parts:\n", "parts:\n  bar: Bar; 2 of wood; long 500 mm along y; wide 30 mm along x; thick 30 mm; "
             "x 0 mm and length - 30 mm; y 50 mm; z 495 mm\n")
    .replace("joints:\n", "joints:\n  bars: Bars under the top; top into bar; with screw; every 100 mm; ends 10 mm\n")
)  # fmt: skip


def test_a_solid_top_held_fast_across() -> None:
    """600 x 0.00353 x 4 = 8.472 mm; legs and bars that stand across its grain give it none."""
    check = said(taken(SOLID))["moves/top"]
    assert check.outcome == "failure"
    assert check.held is not None
    assert float(check.held.needs) / MM == pytest.approx(8.472, abs=0.0005)
    assert check.held.has == 0


def test_how_much_wood_moves_that_nothing_states_is_asked_for() -> None:
    check = said(taken(SOLID, stock=stated("sugar_maple", movement=None)))["moves/top"]
    assert check.outcome == "unknown"
    assert check.sentence.endswith("type the movement of its material.")
