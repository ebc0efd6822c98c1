"""Round bar and turned parts: weight, finish and sag by the round section, by hand; the materials are invented."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import dist, pi

import pytest

from tests.costing.short_form.rack import MM, catalogue, check_of, kilograms, read
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.pictures.bench.thing import thing_of

RAIL = """
form: 2
design: rail
name: Rail
says: A round rail between two posts.
sizes:
  span: Span; 1000 mm; least 300 mm; most 2000 mm
stock:
  bar: Bar; length round_bar; needs steel_bar
  post_stock: Posts; board ash; needs timber
  oil: Oil; liquid oil_hard; needs wood_finish
  glue: Glue; liquid wood_glue; needs wood_glue
parts:
  post: Post; of post_stock; long 400 mm along z; wide 45 mm along y; thick 45 mm; x 0 mm and span + 45 mm; turned 40 mm
  rail: Rail; of bar; long span along x; wide along y; x 45 mm; y 12.5 mm; z 300 mm
joints:
  rail_on: Rail to the posts; rail into post; glue
finish:
  oiled: Oiled; 1 coat of oil; on rail around
scope: A rail {span} long.
"""


def taken(text: str = RAIL, **values: Fraction) -> TakeOff:
    """The take-off with round steel of 20 mm, 7850 kg/m3, 200 GPa, and ash of 700 kg/m3."""
    side = Fraction(20 * MM)
    bar = {"width": side, "thickness": side, "density": Fraction(7850), "stiffness": Fraction(200_000),
           "round": Fraction(1), **values}  # fmt: skip
    known = catalogue()
    materials = {
        **known.materials,
        "round_bar": Material("round_bar", "Round steel 20 mm", Kind.LENGTH, bar, {}, tags=("steel_bar",)),
        "ash": Material("ash", "Ash", Kind.BOARD, {"density": Fraction(700)}, {}, tags=("hardwood",)),
    }
    design, problems = read(text)
    assert design is not None, problems
    working = Working()
    found = expand(
        design, {}, {}, {}, replace(known, materials=materials), default_rates(), working, "item/x", 100_000, "metric"
    )  # fmt: skip
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
    return found


def test_a_line_says_the_same_again() -> None:
    line = "Post; of ash; long 400 mm; turned 2 * leg - 5 mm"
    fields, wrong = entry_of("parts", line)
    assert not wrong
    assert fields == {"says": "Post", "stock": "ash", "length": "400 mm", "turned": "2 * leg - 5 mm"}
    assert line_of("parts", fields) == line


def test_weight_and_finish_go_by_the_round_section() -> None:
    found = taken()
    # A metre of round steel of 20 mm weighs 2.466 kg; a tube of 20 x 2 is that less a core of 16.
    assert kilograms(found, "rail") == pytest.approx(pi / 4 * 0.02**2 * 7850, rel=1e-9)
    assert kilograms(taken(wall=Fraction(2 * MM)), "rail") == pytest.approx(
        pi / 4 * (0.02**2 - 0.016**2) * 7850, rel=1e-9
    )
    assert kilograms(found, "post") == pytest.approx(pi / 4 * 0.04**2 * 0.4 * 700, rel=1e-9)
    assert float(found.finishes[0].area.value) == pytest.approx(pi * 0.02, rel=1e-9)
    assert found.drivers["turn_parts"].value == 2
    metres = taken(RAIL.replace("scope:", "operations:\n  turn_parts: by turned_metres; over post\nscope:"))
    assert float(metres.drivers["turn_parts"].value) == pytest.approx(0.8)
    seen = taken(RAIL.replace("on rail around", "on post"))
    # Each post's ends and side; the rail covers 20 x 20 of it, as the square that stands for it.
    square = 2 * (4 * 45 * 400 + 2 * 45**2 - 20 * 20)
    assert float(seen.finishes[0].area.value) == pytest.approx(square * 1e-6 * pi / 4 * 40 / 45, rel=1e-9)


def test_the_sag_is_that_of_a_round_bar() -> None:
    found = taken(RAIL.replace("finish:", "spans:\n  rail: rail over span; load 100 kg\nfinish:"))
    sag = next(check for check in found.checks if check.name == "sag/rail")
    # 100 kg and 2.466 of its own: 5/384 x 1.00485 N/mm x 1000^4 / (200000 x pi 20^4 / 64) = 8.33 mm.
    moment = pi * 20**4 / 64
    assert moment == pytest.approx(7853.98, abs=0.01)
    by_hand = 5 / 384 * ((100 + pi / 4 * 0.02**2 * 7850) * 9.80665 / 1000) * 1000**4 / (200_000 * moment)
    assert f"{by_hand:.2f}" == "8.33"
    assert "it sags 8.33 mm under its load" in sag.sentence


def test_a_diameter_that_does_not_come_out_of_its_blank_is_named() -> None:
    found = taken(RAIL.replace("turned 40 mm", "turned 46 mm"))
    assert "The part “Post” is turned to 46 mm, and its blank is 45 mm across; it is left out." in [
        problem.message for problem in found.problems
    ]


def test_a_round_stock_of_two_sizes_is_said() -> None:
    found = taken(thickness=Fraction(10 * MM))
    assert any("is round and stated as 20 mm by 10 mm" in problem.message for problem in found.problems)


def test_turning_that_no_step_counts_is_named() -> None:
    check = check_of(taken(RAIL.replace("scope:", "operations:\n  turn_parts: off\nscope:")), "counted/turned")
    assert (check.outcome, "Turned pieces of “Post”, 2, are turned by no step" in check.sentence) == ("failure", True)


def test_what_can_not_be_turned_is_said() -> None:
    of_sheet = RAIL.replace("Posts; board ash; needs timber", "Posts; sheet ash; needs wood_panel")
    design, problems = read(of_sheet.replace("; thick 45 mm", ""))
    assert design is None
    assert any("what is turned comes out of a length, or out of boards" in problem.message for problem in problems)


def test_round_pieces_are_drawn_round_in_the_middle_of_their_squares() -> None:
    pieces = [piece for piece in thing_of(taken()).pieces if piece.part == "rail"]
    assert len(pieces[0].corners) == 32
    for x, y, z in pieces[0].corners:
        assert x in (45.0, 1045.0)
        assert dist((y, z), (22.5, 310.0)) == pytest.approx(10)
