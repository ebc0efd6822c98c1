"""Folds of any angle and folds on folds: laid flat by hand, as they stand, and what is refused or checked of them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.folds_case import MM, STRIP, take_tray, tray
from tests.costing.short_form.rack import check_of, kilograms, refused
from webapp.costing.design_lines.lines import entry_of, line_of
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.takeoff.model import Box, TakeOff
from webapp.design_text import read_text

LIPS = "  lips: Lips; leg up along front and back of tray"
#: No test strip: by the handbooks, from the radius and the thickness alone, both 1.5 mm.
HANDBOOKS = {"fold_radius": STRIP["fold_radius"]}


def folded(lines: str, *changes: tuple[str, str]) -> str:
    return tray((LIPS, lines), *changes)


def flat_mm(found: TakeOff) -> tuple[float, float]:
    one = found.parts[0]
    assert one.blank_width is not None
    return float(one.blank_length.value) / MM, float(one.blank_width.value) / MM


def taken_off(found: TakeOff) -> list[float]:
    return [float(fold.deduction.value) / MM for fold in found.parts[0].folds]


def in_mm(box: Box) -> list[tuple[float, ...]]:
    return [tuple(each / MM for each in corner) for corner in box.corners]


@pytest.mark.parametrize(
    "line",
    [
        "20 mm up along back of shelf; bent 45 degrees",
        "Return; 2 * sheet.thickness + 12 mm inwards on lips; cut back 12 mm",
        "flange outwards on web; bent 135 degrees; when open",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("folds", line)
    assert not wrong
    assert line_of("folds", fields) == line


def test_it_is_read_aloud() -> None:
    document, _ = read_text(folded(f"{LIPS}; bent 45 degrees\n  edge: 12 mm inwards on lips; cut back 5 mm"))
    assert document is not None
    assert dict(read_aloud(document))["Folds"] == (
        "Lips: front and back of “Tray” folded leg up, bent 45 degrees off the flat.",
        "Edge: folded again 12 mm inwards on “Lips”, cut back 5 mm at each end.",
    )


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("  lips: Lips; 9 mm inwards on rim", "'rim' is no row of folds"),
        ("  lips: Lips; 9 mm inwards on lips", "the folds go round in a circle: lips on lips"),
        ("  lips: Lips; 9 mm inwards on rim\n  rim: 9 mm outwards on lips", "in a circle: lips on rim on lips"),
        (f"{LIPS}\n  rim: {{says: Rim, fold_leg: 9 mm, on: lips}}", "whether it is folded inwards, further round,"),
        (f"{LIPS}\n  rim: {{says: Rim, fold_leg: 9 mm, on: lips, turn: inwards, way: top}}",
         "what is folded on the legs of another row is of that part"),
        ("  lips: {says: Lips, fold_leg: 9 mm, part: tray, way: top}", "'edges' is missing"),
        (f"{LIPS}; bent 45 mm degrees", "a length, and a plain number is needed"),
    ],
)  # fmt: skip
def test_what_can_not_be_folded_is_said(lines: str, said: str) -> None:
    document, unread = read_text(folded(lines))
    told = [problem.message for problem in unread] if unread else [*refused(folded(lines)).values()]
    assert any(said in sentence for sentence in told), (told, document)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (f"{LIPS}; bent 0 degrees", "is bent by 0 degrees off the flat: that is no fold; from 5 to 175 are."),
        (f"{LIPS}; bent 180 degrees", "off the flat: that is pressed flat and not folded; from 5 to 175 are."),
        (f"{LIPS}; bent 60 degrees; cut back 200 mm", "cut back by 200 mm at each end, and is 400 mm long: nothing"),
        ("  lips: Lips; 1.7 mm up along front of tray; bent 60 degrees", "round its corner it takes 1.7 mm, and the"),
        (f"{LIPS}\n  rim: Rim; 9 mm inwards on lips\n  more: More; 9 mm outwards on lips",
         "The fold “More” folds the legs of “Lips”, which “Rim” folds already"),
        (f"{LIPS}; bent 4 degrees\n  rim: Rim; 9 mm inwards on lips",
         "The fold “Rim” is folded on the legs of “Lips”, which are not folded"),
    ],
)  # fmt: skip
def test_what_can_not_be_made_is_named_at_its_place_and_left_out(lines: str, said: str) -> None:
    found = take_tray(folded(lines))
    told = {problem.field: problem.message for problem in found.problems}
    assert any(said in message and field.startswith("folds.") for field, message in told.items()), told


# ---- laid flat, by hand --------------------------------------------------------------------------------------------

#: R and T are 1.5 mm: a degree of fold is 0.0173 x 1.5 + 0.0078 x 1.5 = 0.03765 mm, a square one 3.3885, and takes off
#: 2 x (1.5 + 1.5) - 3.3885 = 2.6115.
BY_HAND = pytest.mark.outside(
    source="a naval aviation training course, p. 13-19, allowance; Aviation Maintenance Technician Handbook, Airframe, "
    "volume 1 (2012), ch. 4, setback and figure 4-124, as copied",
    kind="common practice",
)


@BY_HAND
def test_a_z_of_steel() -> None:
    # 25, 60 over its outsides and 25: 110 - 2 x 2.6115 = 104.777.
    lines = "  lips: Web; 60 mm up along front of tray\n  flange: Flange; 25 mm outwards on lips"
    found = take_tray(folded(lines, ("wide 300 mm", "wide 25 mm")), HANDBOOKS)
    assert taken_off(found) == pytest.approx([2.6115, 2.6115], abs=1e-6)
    assert flat_mm(found) == (400.0, 104.8)
    assert kilograms(found) == pytest.approx(0.4 * 0.104777 * 0.0015 * 7850, abs=1e-7)


@BY_HAND
def test_a_channel_of_steel_and_one_with_returns() -> None:
    # 30, 80 and 30: 140 - 2 x 2.6115 = 134.777; with 12 more on each: 164 - 4 x 2.6115 = 153.554.
    wide = ("wide 300 mm", "wide 80 mm")
    assert flat_mm(take_tray(folded(LIPS, wide), HANDBOOKS)) == (400.0, 134.8)
    found = take_tray(folded(f"{LIPS}\n  rim: Rim; 12 mm inwards on lips", wide), HANDBOOKS)
    assert flat_mm(found) == (400.0, 153.6)
    assert kilograms(found) == pytest.approx(0.4 * 0.153554 * 0.0015 * 7850, abs=1e-7)
    assert found.drivers["fold_sheets"].value == 0


@BY_HAND
def test_a_fold_of_45_degrees_and_one_of_135() -> None:
    # 45: setback 3 x 0.41421 = 1.24264, allowance 45 x 0.03765 = 1.69425: 2.48528 - 1.69425 = 0.79103 taken off.
    found = take_tray(folded("  lips: Lip; leg up along front of tray; bent 45 degrees"), HANDBOOKS)
    assert taken_off(found) == pytest.approx([0.79103], abs=1e-5)
    assert flat_mm(found) == (400.0, 329.2)
    # 135, measured to the outermost of the fold: 2 x 3 - 135 x 0.03765 = 0.91725.
    found = take_tray(folded("  lips: Lip; leg up along front of tray; bent 135 degrees"), HANDBOOKS)
    assert taken_off(found) == pytest.approx([0.91725], abs=1e-6)


@pytest.mark.outside(source="an allowance is an arc, angle x (R + K T): it goes by the angle", kind="common practice")
def test_the_shops_strip_goes_by_the_arc() -> None:
    # The strip takes 2.65 off: an arc of 6 - 2.65 = 3.35. 45 degrees: 2.48528 - 1.675 = 0.81028; 135: 6 - 5.025.
    lines = ("  lips: Lip; leg up along front of tray; bent 45 degrees\n"
             "  rim: Rim; leg up along back of tray; bent 135 degrees")  # fmt: skip
    found = take_tray(folded(lines))
    assert taken_off(found) == pytest.approx([0.81028, 0.975], abs=1e-5)
    by = check_of(found, "folds/tray/by")
    assert "each fold takes 0.8 mm bent by 45° and 1.0 mm bent by 135° off the flat" in by.sentence
    assert found.drivers["fold_sheets"].value == 2


# ---- as it stands --------------------------------------------------------------------------------------------------


def test_a_leg_leans_by_its_angle() -> None:
    # 30 x cos 45 = 21.2132 outwards and up from the corner of the outsides; 1.5 x sin 45 = 1.0607 thick either way. The
    # flat ends 1.5 x tan 22.5 = 0.6213 before the corner, where the inside leans off.
    found = take_tray(folded("  lips: Lip; leg up along front of tray; bent 45 degrees"))
    base, leg = found.parts[0].boxes
    assert (base.corner[1] / MM, base.extent[1] / MM) == pytest.approx((0.62132, 299.37868), abs=1e-6)
    at = {(y, z) for x, y, z in in_mm(leg) if x == 0}
    wanted = [(0, 0), (0.62132, 0), (0.62132, 1.5), (-21.2132, 21.2132), (-20.15254, 22.27386)]
    assert sorted(at) == [pytest.approx(each, abs=1e-5) for each in sorted(wanted)]
    assert {x for x, _, _ in in_mm(leg)} == {0.0, 400.0}


def test_a_leg_beyond_square_reaches_no_further_than_its_part() -> None:
    # Folded down at the left: the fold is round (3, -1.5); the leg goes 27 on from there along (0.7071, -0.7071), its
    # outside 3 and its inside 1.5 off that line.
    found = take_tray(folded("  lips: Lip; leg down along left of tray; bent 135 degrees"))
    base, _, leg = found.parts[0].boxes
    assert base.extent[0] == 400 * MM
    at = {(x, z) for x, y, z in in_mm(leg) if y == 0}
    for end in ((19.9706, -22.7132), (21.0312, -21.6525)):
        assert any(each == pytest.approx(end, abs=1e-4) for each in at), at
    assert min(x for x, _ in at) == 0


def test_square_folds_on_folds_stay_exact_boxes() -> None:
    thick = 3 * MM // 2
    found = take_tray(folded(f"{LIPS}\n  rim: Rim; 12 mm inwards on lips; cut back 20 mm"))
    assert found.parts[0].boxes[3:] == (
        Box("tray", 1, (20 * MM, thick, 30 * MM - thick), (360 * MM, 12 * MM - thick, thick), nth=3),
        Box("tray", 1, (20 * MM, 288 * MM, 30 * MM - thick), (360 * MM, 12 * MM - thick, thick), nth=4),
    )
    hat = take_tray(folded(f"{LIPS}\n  rim: Rim; 12 mm outwards on lips"))
    assert hat.parts[0].boxes[3].corner == (0, thick - 12 * MM, 30 * MM - thick)
    assert {check.outcome for check in found.checks} == {"pass"}


def test_what_stands_in_a_leaning_leg_is_said() -> None:
    block = ("folds:", "  block: Block; of sheet; long 50 mm along x; wide 50 mm along y; x 100 mm; y {} mm; z 10 mm\n"
             "folds:")  # fmt: skip
    lines = "  lips: Lip; leg up along front of tray; bent 45 degrees"
    # 10 up the leg's outside stands 10 out: a sheet that ends 12 out is clear of it, one that ends 5 out is not.
    inside = take_tray(folded(lines, (block[0], block[1].format("-55"))))
    assert check_of(inside, "clear").outcome == "failure"
    assert check_of(take_tray(folded(lines, (block[0], block[1].format("-62")))), "clear").outcome == "pass"


def test_what_of_a_leaning_leg_is_in_sight() -> None:
    # The section is 1.5 x (300 + 30) less 1.5 x 1.5 x tan 22.5 = 494.068 mm2; round it go both outsides, both insides
    # (each 0.62132 shorter) and two rims.
    lines = "  lips: Lip; leg up along front of tray; bent 45 degrees"
    paint = "finish:\n  painted: Painted; 1 coat of paint; on tray\nscope:"
    stock = ("parts:", "  paint: Paint; liquid oil_hard; needs wood_finish\nparts:")
    found = take_tray(folded(lines, stock, ("scope:", paint)))
    around = 300 + 30 + 299.37868 + 29.37868 + 2 * 1.5
    assert float(found.finishes[0].area.value) == pytest.approx((400 * around + 2 * 494.068) * 1e-6, abs=2e-9)


# ---- checked -------------------------------------------------------------------------------------------------------


@pytest.mark.outside(source="air bending on a brake: the least leg beyond its fold", kind="common practice")
def test_a_leg_between_two_folds_needs_room_for_both() -> None:
    # 3 x 1.5 between the ends of the folds, and 1.5 + 1.5 round each corner: 10.5.
    lines = "  lips: Lips; leg up along front and back of tray\n  rim: Rim; 12 mm inwards on lips"
    short = check_of(take_tray(folded(lines), leg=10), "folds/lips/leg")
    assert (short.outcome, "are 10 mm; 10.5 mm, three times" in short.sentence) == ("failure", True)
    assert check_of(take_tray(folded(lines), leg=11), "folds/lips/leg").outcome == "pass"


def test_legs_that_run_into_each_other_are_named() -> None:
    # Two returns of 160 over a flat of 300 overlap, each as thick as the sheet.
    check = check_of(take_tray(folded(f"{LIPS}\n  rim: Rim; 160 mm inwards on lips")), "folds/tray/clear/0")
    assert check.outcome == "failure"
    assert check.sentence.startswith("Rim: the leg of 160 mm strikes the leg of “Rim” of “Tray”: they stand 1.5 mm in")
    # Returns all round meet at the corners unless they are cut back there.
    rims = "  lips: Lips; leg up along front, back, left and right of tray\n  rim: Rim; 12 mm inwards on lips"
    assert check_of(take_tray(folded(rims)), "folds/tray/clear/0").outcome == "failure"
    assert check_of(take_tray(folded(f"{rims}; cut back 12 mm")), "folds/tray/clear").outcome == "pass"


def test_a_strip_without_a_radius_is_asked_for_it() -> None:
    values: dict[str, Fraction] = {name: STRIP[name] for name in ("strip_flat", "strip_legs")}
    found = take_tray(folded(f"{LIPS}; bent 45 degrees"), values)
    assert check_of(found, "folds/tray/radius").outcome == "unknown"
