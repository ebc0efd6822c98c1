"""Designs put into others: equal to the same written flat, wherever and however often they stand."""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.designs.uses_case import FLAT, FOOT, USED, document_of, host, materials, read, take_off
from tests.harness.examples import examples
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.unfold import Unfolded
from webapp.costing.estimate.estimate import System
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text, write_design_text
from webapp.seed import load_designs_for_others

MM = 10**6

def boxes(taken: TakeOff) -> dict[str, list[tuple[Fraction, ...]]]:
    """Where every piece stands, mm, by part."""
    return {
        part.name: sorted(tuple(Fraction(each, MM) for each in box.corner) for box in part.boxes)
        for part in taken.parts
    }


def found(document: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one.field, one.message) for one in read_design(document)[1]]


def test_three_drawers_are_the_same_flat_and_used_three_times() -> None:
    for width in (400, 700, 1000):
        flat, used = (take_off(read(document_of(text)), width=width) for text in (FLAT, USED))
        assert not flat.problems
        assert not used.problems

        def told(taken: TakeOff) -> list[Any]:
            return [
                (one.name, one.material, one.count.value, one.length.value, one.blank_length.value,
                 one.blank_width and one.blank_width.value, one.mass and one.mass.value, one.boxes)
                for one in taken.parts
            ]  # fmt: skip

        assert boxes(used) == boxes(flat)
        assert [each[:-1] for each in told(used)] == [each[:-1] for each in told(flat)]
        held = [[(one.joint, one.material, one.count.value) for one in taken.fastenings] for taken in (flat, used)]
        assert held[0] == held[1]
        assert {name: one.value for name, one in used.drivers.items()} == {
            name: one.value for name, one in flat.drivers.items()
        }
        assert [(one.name, one.count.value) for one in used.hardware] == [
            (one.name, one.count.value) for one in flat.hardware
        ]
        assert used.mass.value == flat.mass.value
        # Where its slides stand is asked for, and so light a shell would tip with full drawers out: no more than that.
        told_of = [check.name for check in used.checks if check.outcome in ("failure", "warning")]
        assert set(told_of) <= {"tips/drawers"}


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_three_drawers_cost_the_same_to_the_cent(system: System) -> None:
    def price(text: str) -> Any:
        form = {"form": "1", "job": "one", "items": [{"id": "one", "design": "three_drawers"}]}
        inputs = Inputs(form, {"one": document_of(text)}, materials(), default_rates(), system, 2, {})
        estimate = estimate_inputs(inputs)
        assert estimate.complete
        bought = {(one.key, tuple((buy.offer.id, buy.packs) for buy in one.purchases)) for one in estimate.bought}
        return estimate.totals.price.value, estimate.totals.minutes_charged.value, bought

    assert price(USED) == price(FLAT)


def test_a_row_and_its_mirrored_partner_stand_where_a_ruler_puts_them() -> None:
    uses = {
        "foot": {"design": "foot", "at": {"x": "0 mm and length / 2"}},
        "right": {"design": "foot", "mirrored": ["x"], "at": {"x": "up to length"}, "sizes": {"high": "100 mm"}},
    }
    taken = take_off(read(host(uses)))
    thick = Fraction("17.8")
    assert boxes(taken) == {
        "plank": [(0, 0, 100)],
        "foot_post": [(60, 0, 0), (560, 0, 0)],
        "foot_toe": [(0, 0, 20), (500, 0, 20)],
        "right_post": [(1000 - 60 - thick, 0, 0)],
        "right_toe": [(1000 - 60, 0, 20)],
    }
    banded = {part.name: [face for face, _ in part.banded] for part in taken.parts if part.banded}
    assert banded == {"foot_toe": ["left"], "right_toe": ["right"]}
    # 80 long, 20 from the ends, 40 apart: (80 - 40) / 40 + 1 = 2 in each of two feet, and in one.
    assert {one.joint: one.count.value for one in taken.fastenings} == {"foot_toe_on": 4, "right_toe_on": 2}
    # Two holes in each of three feet: counts of one step add up.
    assert taken.drivers["drill_holes"].value == 6


def test_a_host_counts_a_step_beside_its_uses_and_may_leave_it_off() -> None:
    uses = {"foot": {"design": "foot", "at": {"x": "0 mm and 500 mm"}}}
    holes = {"drill_holes": {"driver": "holes", "count": "5"}}
    assert take_off(read(host(uses, operations=holes))).drivers["drill_holes"].value == 9
    off = take_off(read(host(uses, operations={"drive_screws": {"off": "yes"}})))
    assert "drive_screws" not in off.drivers
    quiet = copy.deepcopy(FOOT)
    quiet["operations"]["drive_screws"] = {"off": "yes"}
    taken = take_off(read(host(uses, inside={"foot": quiet})))
    assert taken.drivers.get("drive_screws") is None or taken.drivers["drive_screws"].value == 0


def test_what_is_within_is_named_by_its_own_corner_inside_and_by_the_whole_outside() -> None:
    inner = copy.deepcopy(FOOT)
    inner["values"]["reach"] = "post.right - toe.left"
    inner["values"]["own"] = "post.count"
    uses = {"foot": {"design": "foot", "at": {"x": "100 mm and 500 mm"}}}
    by_hand = {
        "foot_post.right": "577.8 mm", "foot.right": "577.8 mm", "foot.left": "100 mm", "foot_post.count": "2",
        "foot.count": "2", "foot_reach": "77.8 mm", "foot_own": "1", "2 * foot.mass": "mass - plank.mass",
    }  # fmt: skip
    musts = {
        f"rule_{number}_{side}": {"that": f"{name} {sign} {value}", "says": f"{name} {{foot.mass}}"}
        for number, (name, value) in enumerate(by_hand.items())
        for side, sign in (("low", ">="), ("high", "<="))
    }
    taken = take_off(read(host(uses, musts=musts, inside={"foot": inner})))
    assert not taken.problems
    rules = [check for check in taken.checks if check.name.startswith("must/rule_")]
    assert [check.outcome for check in rules] == ["pass"] * len(musts)


def test_a_use_within_a_use_stands_in_every_place_of_both() -> None:
    pair = {
        "form": "2", "design": "pair", "name": "Pair", "says": "Two feet on a bar.", "sizes": FOOT["sizes"],
        "stock": FOOT["stock"],
        "values": {"spread": "300 mm"},
        "parts": {
            "bar": {
                "says": "Bar", "stock": "board", "count": "1", "length": "spread", "width": "50 mm",
                "runs": {"length": "x", "width": "y"}, "at": {"z": "on foot_post"},
            },
        },
        "uses": {
            "foot": {
                "design": "foot", "sizes": {"high": "high"}, "materials": {"board": "board"}, "mirrored": ["x"],
                "at": {"x": "left and right"},
            }
        },
        "inside": {"foot": FOOT}, "closes": {"x": "spread", "y": "80 mm", "z": "high + board.thickness"},
        "scope": "A pair.",
    }  # fmt: skip
    uses = {"pair": {"design": "pair", "sizes": {"high": "150 mm"}, "at": {"x": "0 mm and 600 mm"}, "mirrored": ["x"]}}
    document = host(uses, inside={"pair": pair})
    document["parts"]["plank"]["at"] = {"z": "on pair"}
    design = read(document)
    assert list(design.roles) == ["board", "pair_board", "pair_tape", "pair_screw", "pair_foot_tape", "pair_foot_screw"]
    taken = take_off(design)
    thick = Fraction("17.8")
    # Mirrored twice, a foot stands as it was made: its post 60 from its own left end.
    ends = [Fraction(0), 300 - 60 - thick, Fraction(600), 900 - 60 - thick]
    assert boxes(taken) == {
        "plank": [(0, 0, 150 + thick)],
        "pair_bar": [(0, 0, 150), (600, 0, 150)],
        "pair_foot_post": [(end + 60, 0, 0) for end in ends],
        "pair_foot_toe": [(end, 0, 20) for end in ends],
    }
    assert {part.name: [face for face, _ in part.banded] for part in taken.parts if part.banded} == {
        "pair_foot_toe": ["left"]
    }
    assert taken.parts[2].says == "Pair: foot: post"


def test_frames_that_stand_against_each_other_are_each_welded_for_themselves() -> None:
    """Two feet back to back: the post of one touches that of the other, and its joint is its own toe's alone."""
    solid = copy.deepcopy(FOOT)
    solid["joints"]["toe_on"]["into"] = ["toe", "post"]
    solid["parts"]["toe"]["when"] = "with_toe"
    uses = {"foot": {"design": "foot", "at": {"y": "0 mm and 80 mm"}}}
    for inside in (FOOT, solid):
        taken = take_off(read(host(uses, inside={"foot": inside})))
        assert {one.joint: one.count.value for one in taken.fastenings} == {"foot_toe_on": 4}


def test_an_answer_is_settled_where_it_is_used() -> None:
    taken = take_off(read(host({"foot": {"design": "foot", "choices": {"toe": "no_toe"}}})))
    nothing = Fraction(0)
    assert boxes(taken) == {"plank": [(nothing, nothing, Fraction(100))], "foot_post": [(nothing, nothing, nothing)]}
    both = {"sort": {"says": "Feet", "answers": ["feet", "bare"], "usual": "bare"}}
    document = host({"foot": {"design": "foot", "when": "feet"}}, choices=both)
    document["parts"]["plank"]["at"] = {}
    assert boxes(take_off(read(document))) == {"plank": [(nothing, nothing, nothing)]}


@pytest.mark.parametrize(
    ("use", "field", "sentence"),
    [
        ({"design": "leg"}, "uses.foot.design",
         "Use foot, design: no design “leg” is at hand. Take the code of a design that is kept."),
        ({"design": "plank"}, "uses.foot.design",
         "Use foot, design: the designs go round in a circle: plank uses plank."),
        ({"design": "foot", "sizes": {"hihg": "2 mm"}}, "uses.foot.sizes.hihg",
         "Use foot, sizes.hihg: “foot” has no size 'hihg'; did you mean 'high'?"),
        ({"design": "foot", "sizes": {"high": "3"}}, "uses.foot.sizes.high",
         "Use foot, high: it comes out as a plain number, and a length is needed."),
        ({"design": "foot", "sizes": {"high": "zzz / 2"}}, "uses.foot",
         "Value foot_high: the formula 'zzz / 2' uses 'zzz', which nothing defines."),
        ({"design": "foot", "materials": {"board": "plate"}}, "uses.foot.materials.board",
         "Use foot, materials.board: 'plate' is no stock role of this design."),
        ({"design": "foot", "materials": {"screw": "board"}}, "uses.foot.materials.screw",
         "Use foot, materials.screw: the stock 'board' is of kind sheet, and fastener is needed."),
        ({"design": "foot", "choices": {"toe": "heel"}}, "uses.foot.choices.toe",
         "Use foot, choices.toe: 'heel' is none of the answers with_toe, no_toe."),
        ({"design": "foot", "mirrored": ["up"]}, "uses.foot.mirrored",
         "Use foot, mirrored: the axes along which it is mirrored are needed: some of x, y and z."),
        ({"design": "foot", "colour": "red"}, "uses.foot.colour", "Use foot has a field 'colour', which there isn't."),
        ({"design": "foot", "at": {"z": "on floor"}}, "uses.foot.at.z",
         "Use foot, at.z: 'floor' is no part beside which it could stand."),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_use_is_said_at_its_place(use: dict[str, Any], field: str, sentence: str) -> None:
    assert (field, sentence) in found(host({"foot": use}))


def test_a_name_of_a_use_means_one_thing() -> None:
    assert found(host({"plank": {"design": "foot"}})) == [
        ("uses.plank", "Use plank: there is a part of that name already; it has to mean one thing."),
        ("parts.plank.at.z", "Part plank, at.z: 'foot' is no part beside which it could stand."),
    ]
    document = host({"foot": {"design": "foot"}})
    document["parts"]["foot_toe"] = document["parts"]["plank"]
    said = "Use foot: 'foot_toe' is a name of its own in parts already; call one of them otherwise."
    assert ("uses.foot", said) in found(document)


def test_only_a_whole_design_of_the_short_form_is_put_in() -> None:
    for change, sentence in (
        ({"form": "1"}, "“foot” is not of form 2 with parts in space; only such are put in."),
        ({"closes": {"x": "wide"}}, "“foot” does not say under 'closes' how far it goes along x, y and z."),
        ({"uses": {"toe": {"design": "nail"}}, "parts": {"post": FOOT["parts"]["post"]}},
         "“foot” can't be put in. Use toe, design: no design “nail” is at hand."),
    ):  # fmt: skip
        problems = found(host({"foot": {"design": "foot"}}, inside={"foot": {**FOOT, **change}}))
        assert any(field == "uses.foot.design" and sentence in said for field, said in problems), problems


def test_designs_stand_four_deep_at_most() -> None:
    def nested(depth: int) -> dict[str, Any]:
        document = {**copy.deepcopy(FOOT), "design": f"level_{depth}"}
        document["parts"]["toe"].pop("band")
        if depth:
            document["uses"] = {"next": {"design": f"level_{depth - 1}", "at": {"y": f"{depth} m"}}}
            document["inside"] = {f"level_{depth - 1}": nested(depth - 1)}
        return document

    assert len(read(nested(3)).uses) == 3
    ((field, said),) = found(nested(4))
    assert field == "uses.next.design"
    assert "level_4 uses level_3 uses level_2 uses level_1 uses level_0: designs stand 4 deep in each other" in said


def test_a_circle_further_in_is_named() -> None:
    inner = {**FOOT, "uses": {"round": {"design": "plank"}}, "inside": {"plank": host({})}}
    problems = found(host({"foot": {"design": "foot"}}, inside={"foot": inner}))
    assert any("the designs go round in a circle: plank uses foot uses plank" in said for _, said in problems)


def test_a_size_beyond_its_limits_fails_with_the_use_and_the_figure() -> None:
    taken = take_off(read(host({"foot": {"design": "foot", "sizes": {"high": "length / 2"}}})))
    failed = [check.sentence for check in taken.checks if check.outcome == "failure"]
    beyond = [said for said in failed if "is the most" in said]
    assert beyond == ["Foot, height: it comes out at 500 mm, and 300 mm is the most."]


def test_too_many_in_all_are_refused_in_a_sentence() -> None:
    taken = take_off(read(host({"foot": {"design": "foot", "at": {"x": "4000 from 0 mm every 80 mm"}}}, values={})))
    assert any("makes more than 5000 pieces in all" in problem.message for problem in taken.problems)


def test_uses_of_uses_of_uses_stay_within_bounds() -> None:
    """Forty of forty of forty: 64,000 in all, were they counted to the end."""
    document: dict[str, Any] = FOOT
    for level in ("inner", "outer"):
        uses = {f"{level}_{number}": {"design": document["design"]} for number in range(40)}
        document = {**host(uses, closes=FOOT["closes"], inside={document["design"]: document}), "design": level}
    problems = found(host({f"use_{number}": {"design": "outer"} for number in range(40)}, inside={"outer": document}))
    assert any("with it there are more than 400 stock roles in all" in said for _, said in problems)


def test_a_place_that_goes_by_what_is_in_it_is_a_circle() -> None:
    document = host({"foot": {"design": "foot", "at": {"x": "foot_post.right"}}})
    taken = take_off(read(document))
    assert any("goes round in a circle" in problem.message for problem in taken.problems)


def test_the_text_names_the_code_and_the_document_holds_the_design() -> None:
    document = document_of(USED)
    assert document["inside"]["drawer_box"]["design"] == "drawer_box"
    text = write_design_text(document)
    assert "inside" not in text
    assert "  drawer: drawer_box; width box_width, depth box_depth, height box_height; material board box_board" in text
    again, problems = read_text(text)
    assert not problems
    assert again == {name: held for name, held in document.items() if name != "inside"}


def test_unfolding_leaves_its_document_alone_and_is_done_once() -> None:
    for document in (document_of(USED), host({"foot": {"design": "foot"}}), *load_designs_for_others()):
        before = copy.deepcopy(document)
        once = Unfolded(document).document
        assert document == before
        assert Unfolded(once).document == once


FORMULAS = st.sampled_from(["100 mm", "length / 8", "4 in", "least(length, 120 mm)", "high", "3", "(", ""])
PLACES = st.sampled_from(
    ["0 mm", "left and right", "3 evenly from 0 mm to length", "on plank", "behind foot", "up to 2 m"]
)
USES = st.fixed_dictionaries(
    {"design": st.sampled_from(["foot", "foot", "plank", "none", ""])},
    optional={
        "sizes": st.dictionaries(st.sampled_from(["high", "x"]), FORMULAS, max_size=2),
        "materials": st.dictionaries(st.sampled_from(["board", "tape"]), st.sampled_from(["board", "nail"])),
        "choices": st.dictionaries(st.just("toe"), st.sampled_from(["with_toe", "no_toe", "x"])),
        "at": st.dictionaries(st.sampled_from(["x", "y", "z"]), PLACES, max_size=3),
        "mirrored": st.lists(st.sampled_from(["x", "y", "z"]), max_size=3),
        "count": FORMULAS, "when": st.just("never"), "says": st.just("Foot"),
    },
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(["foot", "other", "plank", "foot_toe"]), USES, max_size=3))
@examples(100)
def test_any_uses_are_written_out_once(uses: dict[str, Any]) -> None:
    document = host(uses)
    once = Unfolded(document).document
    assert Unfolded(once).document == once
    design, problems = read_design(document)
    assert (design is None) == bool(problems)
    if design is not None:
        take_off(design)


JUNK = st.recursive(
    st.sampled_from(["", "x", "foot", "2", "yes", "{a}", "1 +", "left and right"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from([*FOOT, "toe", "with", "count", "at", "x", "when", "of"]), inner, max_size=4),
    max_leaves=12,
)


@given(st.sampled_from(sorted(FOOT)), JUNK, JUNK)
@examples(150)
def test_a_design_within_may_hold_anything(section: str, held: object, use: object) -> None:
    document = host({"foot": {"design": "foot"}, "other": use}, inside={"foot": {**FOOT, section: held}})
    design, problems = read_design(document)
    assert (design is None) == bool(problems)
