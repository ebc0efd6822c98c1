"""What is left beside an opening by an outline of its own, and what lies behind: by that and not the box about it."""

from __future__ import annotations

import pytest

from tests.costing.short_form.rack import check_of, kilograms, take
from tests.costing.short_form.test_openings import LOWER, SKIN_KG, opened
from tests.costing.short_form.test_outlined_openings import AT, ell


def test_holes_are_held_against_the_outline_and_not_the_box_about_it() -> None:
    """In the corner that stays, from 600 to 700 and from 345 to 425: the hole at 650, 385 is 50 from the one side and
    40 from the other, less its 10."""
    hole = "holes:\n  peg: Peg; 20 mm hole through upper; {} from left, {} from front\n"
    check = check_of(take(opened(ell(), further=hole.format("650 mm", "385 mm"))), "openings/hook/holes/peg")
    assert (check.outcome, "30.0 mm are left to the nearest hole of “Peg”; 20.0 mm" in check.sentence) == ("pass", True)
    # At 615, 360, 15 from both sides: the inner corner's arc, of 20 about 620, 365, is 20 - root 50 = 12.93 away.
    near = check_of(take(opened(ell(), further=hole.format("615 mm", "360 mm"))), "openings/hook/holes/peg")
    assert (near.outcome, "2.9 mm are left to the nearest hole of “Peg”" in near.sentence) == ("failure", True)
    into = check_of(take(opened(ell(), further=hole.format("500 mm", "300 mm"))), "openings/hook/holes/peg")
    assert (into.outcome, "1 hole runs into it: no. 1 of “Peg”" in into.sentence) == ("failure", True)


def test_other_openings_are_held_against_the_outline() -> None:
    # In the corner that stays a square of 40 from 640 to 680, 365 to 405: 40 from the one side, 20 from the other.
    for other in ("b: B; 40 mm x 40 mm in upper; 640 mm from left, 365 mm from front",
                  "b: B; 0 by 0, 40 mm by 0, 40 mm by 40 mm, 0 by 40 mm in upper; 640 mm from left, 365 mm from front"):
        check = check_of(take(opened(ell(), other)), "openings/hook/apart/b")
        assert (check.outcome, "20.0 mm are left to “B”; 11.8 mm" in check.sentence) == ("pass", True)
    # A circle of 40 about 660, 385: 60 from the left side less 20, 40 from the other less 20.
    round_ = check_of(take(opened(ell(), "b: B; 40 mm round in upper; 640 mm from left, 365 mm from front")),
                      "openings/hook/apart/b")  # fmt: skip
    assert "20.0 mm are left to “B”" in round_.sentence
    for other in ("b: B; 40 mm x 40 mm in upper; 450 mm from left, 300 mm from front",
                  "b: B; 40 mm x 40 mm in upper; 580 mm from left, 365 mm from front",
                  "b: B; 600 mm x 400 mm in upper; 300 mm from left, 100 mm from front"):
        into = check_of(take(opened(ell(), other)), "openings/hook/apart/b")
        assert (into.outcome, "it runs into “B”" in into.sentence) == ("failure", True)


def test_what_is_left_to_an_edge_is_told_from_where_the_outline_reaches_furthest() -> None:
    # The half circle reaches to 8 from the back.
    arch = "arch: Arch; 0 by 0, 200 mm by 0, 200 mm by 50 mm, 0 by 50 mm bowed 100 mm in upper; 8 mm from back"
    check = check_of(take(opened(arch)), "openings/arch/edge")
    assert (check.outcome, "8.0 mm are left to the back edge of “Skin”; 11.8 mm" in check.sentence) == ("failure", True)


def test_in_a_part_that_is_cut_to_an_outline_the_nearest_of_both_counts() -> None:
    """A notch that comes to a point at 900, 500 from the back; beneath it stands the middle of a side."""
    notch = "1000 mm by 860 mm, 900 mm by 500 mm, 800 mm by 860 mm, 0 by 860 mm of upper"
    text = opened("{}").replace("scope:", f"outlines:\n  nook: 0 by 0, length by 0, length by 860 mm, {notch}\nscope:")
    at = text.index("  web: Long web")
    text = text[:at] + text[text.index("\n", at) + 1 :]
    box = "a: A; 0 by 0, 300 mm by 0, 300 mm by 200 mm, 0 by 200 mm in upper; 750 mm from left, 290 mm from front"
    for line in (box, "a: A; 300 mm x 200 mm in upper; 750 mm from left, 290 mm from front"):
        check = check_of(take(text.replace("{}", line)), "outlines/nook/a")
        assert (check.outcome, "10.0 mm are left to the outline of “Skin”" in check.sentence) == ("failure", True)
    over = check_of(take(text.replace("{}", box.replace("290 mm", "320 mm"))), "outlines/nook/a")
    assert over.outcome == "failure"
    out = box.replace("750 mm", "860 mm").replace("290", "640")
    beside = check_of(take(text.replace("{}", out)), "outlines/nook/a")
    assert (beside.outcome, "beyond the outline of “Skin”" in beside.sentence) == ("failure", True)


# ---- what lies behind it ---------------------------------------------------------------------------------------------


def test_ribs_are_struck_by_the_outline_and_not_by_the_box_about_it() -> None:
    """Webs lie at 210.55 to 228.35 and at 421.1 to 438.9. The triangle's point reaches to 425, between the two others;
    with its broad side there it misses the first."""
    up = "a: A; 0 by 0, 300 mm by 0, 150 mm by 200 mm in upper; 400 mm from left, 225 mm from front"
    assert "it runs over “Long web” no. 1 and 2" in check_of(take(opened(up)), "openings/a/behind").sentence
    # From 235 on, a step of 100 x 250 whose upper end reaches over the second web; the rest stays before it.
    step = "0 by 0, 300 mm by 0, 300 mm by 150 mm, 100 mm by 150 mm, 100 mm by 250 mm, 0 by 250 mm"
    over = "  strut: Strut; of web; long 100 mm along y; wide 80 mm along z; x {}; y 440 mm\nopenings:"
    found = take(opened(f"a: A; {step} in upper; 400 mm from left, 235 mm from front").replace(
        "openings:", over.format("600 mm")))  # fmt: skip
    sentence = check_of(found, "openings/a/behind").sentence
    assert "“Long web” no. 2:" in sentence
    assert "Strut" not in sentence
    found = take(opened(f"a: A; {step} in upper; 400 mm from left, 235 mm from front").replace(
        "openings:", over.format("450 mm")))  # fmt: skip
    assert "“Long web” no. 2 and “Strut” no. 1" in check_of(found, "openings/a/behind").sentence


def test_through_all_behind_webs_and_the_lower_skin_lose_what_the_outline_takes() -> None:
    """The triangle is 300 wide at 225 and comes to its point at 425: on the web from 210.55 to 228.35 it lies over
    3.35, 300 to 300 x (1 - 3.35 / 200) wide; on that from 421.1 on over 3.9, 300 x 3.9 / 200 = 5.85 to 0 wide."""
    line = f"a: A; 0 by 0, 300 mm by 0, 150 mm by 200 mm in upper; {AT}; through all behind"
    found = take(opened(line).replace(*LOWER))
    masses = {part.name: part.mass for part in found.parts}
    assert float(masses["lower"].value) == pytest.approx(kilograms(found))  # type: ignore[union-attr]
    assert kilograms(found) == pytest.approx(float(SKIN_KG) - 30000 * 11.8 * 680e-9, abs=1e-9)
    gone = 3.35 * (300 + 300 * (1 - 3.35 / 200)) / 2 + 3.9 * 5.85 / 2
    web = 1.76 * 0.08 * 0.0178 * 680 - gone * 80 * 680e-9 / 3
    assert float(masses["web"].value) == pytest.approx(web, abs=1e-6)  # type: ignore[union-attr]
    # Two sides of 250 and one of 300 in both skins; in the first web 300 and 80 deep twice, in the second 80 twice.
    assert float(found.drivers["rout_edges"].value) == pytest.approx(2 * 0.8 + 0.3 + 4 * 0.08, abs=1e-6)
    assert found.made["lower"] == found.made["upper"]
    assert {(mark.part, mark.number) for mark in found.marked} == {("upper", 1), ("web", 1), ("web", 2), ("lower", 1)}


def test_a_web_in_the_box_about_it_that_the_outline_goes_by_is_left_whole() -> None:
    # Of the L from 345 on, what reaches over 465 ends at 600; the strut stands beyond, before 545.
    strut = "  strut: Strut; of web; long 100 mm along y; wide 80 mm along z; x 650 mm; y 470 mm\nopenings:"
    found = take(opened(ell("; through all behind", "400 mm from left, 345 mm from front")).replace("openings:", strut))
    assert check_of(found, "openings/hook/behind").sentence.startswith("Hook: “Long web” no. 2 is cut through with it;")
    assert not any(mark.part == "strut" for mark in found.marked)
