"""What a joint comes to where nothing of it is typed: by the faces that meet. Each figure is worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.rack import MM, changed, check_of, read, refused, take, worked

#: The shelf only 200 mm wide.
NARROW = (
    "shelf: Shelf; of board; long width along x; wide 300",
    "shelf: Shelf; of board; long width along x; wide 200",
)

#: What the rack's finish goes on.
ON = "on side, shelf faces and long edges"


def test_rows_and_runs_follow_from_the_faces_that_meet() -> None:
    # Each side meets the bottom over 300 x 17.8 mm. 300 less two ends of 30 is 240: at most 100 apart makes 3 gaps, 4
    # screws in a row, 2 rows.
    found = take(changed())
    screws = [
        (one.joint, int(one.per_row.value), int(one.rows.value), int(one.count.value)) for one in found.fastenings
    ]
    assert screws == [("bottom_in", 4, 2, 8), ("shelf_in", 4, 2, 8)]
    # Glue on the bottom alone: 2 lines of 300 x 17.8 mm = 0.01068 m2.
    assert [figure.value for figure in found.glue.values()] == [Fraction("0.01068")]
    assert {name: figure.value for name, figure in found.glue_lines.items()} == {"bottom_in": 2}


def test_what_a_screw_passes_through_and_bites_into_follows_too() -> None:
    found = take(changed())
    tip, bite = check_of(found, "tip/bottom_in"), check_of(found, "bite/bottom_in")
    # Through 17.8 mm of the side into 500 mm of the bottom's length with a screw of 50 mm: 467.8 mm are left.
    assert tip.outcome == "pass"
    assert "467.8 mm is left before the tip" in tip.sentence
    # It bites 50 - 17.8 = 32.2 mm; 1.5 x 17.8 = 26.7 mm is wanted.
    assert bite.outcome == "pass"
    assert "bite 32.2 mm; at least 26.7 mm" in bite.sentence


def test_what_is_typed_stands_above_what_meets_and_the_difference_is_said() -> None:
    found = take(changed(("ends 30 mm; glue", "ends 30 mm; run 320 mm; rows 3; glue")))
    said = check_of(found, "typed/bottom_in")
    assert said.outcome == "pass"
    assert "a run of 320 mm is typed, the faces meet over 300 mm" in said.sentence
    assert "3 rows are typed, the faces meet 2 times" in said.sentence
    bottom = next(one for one in found.fastenings if one.joint == "bottom_in")
    # 320 less 60 is 260, 3 gaps: 4 in a row, 3 rows; glue 3 x 320 x 17.8 mm.
    assert bottom.count.value == 12
    assert [figure.value for figure in found.glue.values()] == [Fraction("0.017088")]


def test_what_is_typed_as_it_meets_says_nothing() -> None:
    found = take(changed(("ends 30 mm; glue", "ends 30 mm; run 300 mm; rows 2; glue")))
    assert not [check for check in found.checks if check.name.startswith("typed/")]


def test_a_joint_goes_into_several_parts() -> None:
    text = changed(
        ("side into bottom", "side into bottom, shelf"),
        ("  shelf_in: Sides onto the shelf; side into shelf; with screw; every 100 mm; ends 30 mm\n", ""),
    )
    found = take(text)
    assert [(int(one.rows.value), int(one.count.value)) for one in found.fastenings] == [(4, 16)]


def test_faces_that_meet_over_several_lengths_are_so_many_rows_of_each() -> None:
    # The shelf is only 200 mm wide: two lines of 300 and two of 200, 200 - 60 = 140: 3 screws in a row.
    text = changed(
        NARROW,
        ("side into bottom", "side into bottom, shelf"),
        ("  shelf_in: Sides onto the shelf; side into shelf; with screw; every 100 mm; ends 30 mm\n", ""),
    )
    found = take(text)
    assert [one.count.value for one in found.fastenings] == [2 * 4 + 2 * 3]
    assert [figure.value for figure in found.glue.values()] == [Fraction("0.0178") * Fraction("1.0")]
    assert found.glue_lines["bottom_in"].value == 4


def test_parts_that_meet_nowhere_are_named_and_left_out() -> None:
    found = take(changed(("z 400 mm", "z 400 mm; y 400 mm")))
    left = [problem.message for problem in found.problems if problem.field == "joints.shelf_in"]
    assert left == [
        "The joint “Sides onto the shelf” is left out: no face of “Side” meets one of “Shelf”, and its run and rows "
        "are not typed."
    ]
    assert [one.joint for one in found.fastenings] == ["bottom_in"]


def test_rows_alone_are_not_enough_where_the_faces_meet_over_several_lengths() -> None:
    text = changed(
        NARROW,
        ("side into bottom; with", "side into bottom, shelf; with"),
        ("ends 30 mm; glue", "ends 30 mm; rows 4"),
    )
    left = [problem.message for problem in take(text).problems if problem.field == "joints.bottom_in"]
    assert len(left) == 1
    assert "meets over several lengths (300 mm, 200 mm)" in left[0]


@pytest.mark.parametrize(
    ("change", "place", "said"),
    [
        (("glue\n", "glue pot\n"), "joints.bottom_in.glue", "'pot' is no stock role"),
        (("side into shelf", "side into shelf, lid"), "joints.shelf_in.into", "'lid' is no part"),
        ((ON, "on side, shelf rims"), "finish.oiled.on", "'rims' of shelf is none of faces"),
        ((ON, "on lid"), "finish.oiled.on", "'lid' is no part; there is side, bottom, shelf"),
        (("x between side; z 400 mm", "x between lid; z 400 mm"), "parts.shelf.at.x", "'lid' is no part beside which"),
        (("z 400 mm", "z right of side"), "parts.shelf.at.z", "says where it stands along x, not along z"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_at_its_place(change: tuple[str, str], place: str, said: str) -> None:
    assert said in refused(changed(change))[place]


def test_glue_alone_is_the_one_glue_that_there_is() -> None:
    two = changed(("  oil: Oil;", "  other_glue: Other glue; liquid wood_glue; needs wood_glue\n  oil: Oil;"))
    assert "the design has 2 glues (glue, other_glue): say which" in refused(two)["joints.bottom_in.glue"]
    none = changed(("  glue: Glue; liquid wood_glue; needs wood_glue\n", ""))
    assert "the design has no glue: say which" in refused(none)["joints.bottom_in.glue"]


def test_a_part_that_stands_by_itself_in_the_end_is_named() -> None:
    beside = "bottom: Bottom; of board; long width along x; wide 300 mm along y; x between side"
    found = take(changed(("z 400 mm", "z on bottom"), (beside, f"{beside}; z on shelf")))
    round_ = "goes round in a circle: shelf.top needs bottom.top needs shelf.top"
    assert any(round_ in problem.message for problem in found.problems)


def test_names_of_parts_stand_in_formulas() -> None:
    # The shelf on top of the bottom: 17.8 mm up; a must may ask what all weighs.
    text = changed(
        ("z 400 mm", "z bottom.top + 100 mm"),
        ("scope:", "musts:\n  light: mass <= 3 kg; It weighs {mass}, a shelf {shelf.mass}.\nscope:"),
    )
    found = take(text)
    boxes = {box.part: box for part in found.parts for box in part.boxes if part.name == "shelf"}
    assert boxes["shelf"].corner[2] == 117_800_000
    said = check_of(found, "must/light")
    # 680 kg/m3: sides 2 x 0.8 x 0.3, bottom and shelf 2 x 0.5 x 0.3 = 0.78 m2 x 0.0178 m = 9.44 kg, a shelf 1.82 kg.
    assert said.outcome == "failure"
    assert said.sentence == "It weighs 9.44 kg, a shelf 1.82 kg."


def test_weight_is_not_known_where_parts_are_sized() -> None:
    design, _ = read(changed(("long height along z", "long height * mass / (1 kg) along z")))
    assert design is not None
    found = take(changed(("long height along z", "long height * mass / (1 kg) along z")))
    assert any("The weight of the whole is known when all is made" in problem.message for problem in found.problems)


def test_hardware_stands_under_each_piece_and_counts_in_the_height() -> None:
    text = changed(
        ("finish:", "hardware:\n  feet: Feet; of foot; under each side; wide 40 mm; deep 40 mm; tall 30 mm\nfinish:"),
        ("scope:", "closes: x 535.6 mm; y 300 mm; z height + 30 mm\nscope:"),
    )
    found = take(text)
    feet = found.hardware[0]
    assert feet.count.value == 2
    # In the middle of a side 17.8 mm thick and 300 deep: from -11.1 mm on, 130 mm in, 30 mm below the side.
    assert [box.corner for box in feet.boxes] == [(-11_100_000, 130 * MM, -30 * MM), (506_700_000, 130 * MM, -30 * MM)]
    # The feet stand out 11.1 mm at both sides, and that is said.
    assert "The parts come to 557.8 mm wide; the whole is stated as 535.6 mm." in [one.sentence for one in found.checks]
    assert not [one for one in found.checks if one.name == "closes/z"]


def test_a_load_in_kilograms_is_spread_over_the_part() -> None:
    found, figures = worked(changed(("scope:", "spans:\n  shelf_span: shelf; load 30 kg\nscope:")))
    # 30 kg x 9.80665 N over 500 mm.
    assert figures["item/x/span/shelf_span/load"].value == Fraction("9.80665") * 30 / 500
    assert "over 500 mm it sags" in check_of(found, "sag/shelf_span").sentence
