"""Beams and hollow panels against solutions of their own: finite differences, and small plates put together."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.trade import stiffness
from webapp.costing.trade.loads import beams, sections
from webapp.costing.trade.loads.beams import PointLoad
from webapp.costing.trade.loads.sections import Strip

F = Fraction
MM = 10**6
Grid = npt.NDArray[np.float64]


def strip(breadth: float, height: float, foot: float = 0, modulus: int = 7000, shear: int = 600) -> Strip:
    return Strip(F(breadth) * MM, F(height) * MM, F(foot) * MM, F(modulus), F(shear))


def panel(upper: float = 1000, webs: int = 5) -> list[Strip]:
    return sections.hollow_core(strip(1000, 12), [strip(18, 80, modulus=9000)] * webs, strip(upper, 12))


# ---- finite differences -------------------------------------------------------------------------------------------


def of_second_difference(values: Grid) -> Grid:
    """What has these second differences at inner points, and nothing at both ends: by elimination, point by point."""
    count = len(values)
    share, known = np.zeros(count), np.zeros(count)
    before = value = 0.0
    for point in range(count):
        under = -2.0 - before
        before, value = 1 / under, (values[point] - value) / under
        share[point], known[point] = before, value
    for point in range(count - 2, -1, -1):
        known[point] -= share[point] * known[point + 1]
    return known


def sag_by_differences(section: list[Strip], load: float, span: float, count: int = 399) -> float:
    """The middle's sag of a strip of panel, mm: the section cut into slices of 0.02 mm, the span into 400 lengths.

    M'' = -w, then y'' = -M / E I for bending; and the levels' shear strains for what shear adds, from the shear flow
    that the slices above each level hold.
    """
    high = float(max(one.foot + one.height for one in section)) / MM
    at = np.arange(0.01, high, 0.02)
    modulus, shear = np.zeros_like(at), np.zeros_like(at)
    for one in section:
        within = (at > float(one.foot) / MM) & (at < float(one.foot + one.height) / MM)
        modulus[within] += float(one.stiffness * one.breadth) / MM
        shear[within] += float(one.shear_modulus * one.breadth) / MM
    axis = float((modulus * at).sum() / modulus.sum())
    rigidity = float((modulus * (at - axis) ** 2).sum() * 0.02)
    flow = np.cumsum((modulus * (at - axis))[::-1])[::-1] * 0.02 / rigidity
    softness = float((flow**2 / shear).sum() * 0.02)
    step = span / (count + 1)
    moment = of_second_difference(np.full(count, -load * step**2))
    bent = of_second_difference(-moment * step**2 / rigidity)
    sheared = of_second_difference(np.full(count, -load * softness * step**2))
    return float((bent + sheared)[count // 2])


def sag_as_checked(section: list[Strip], load: F, span: F) -> float:
    bent = stiffness.sag_uniform(load, span, sections.rigidity(section), F(1))
    sheared = stiffness.sag_of_shear(load * span / MM, span, sections.shear_stiffness(section))
    return float(bent + sheared) / MM


@pytest.mark.parametrize("section", [panel(), panel(upper=600), panel(webs=9), [strip(300, 18)]])
@pytest.mark.parametrize("span", [900, 1800])
def test_a_hollow_core_against_finite_differences(section: list[Strip], span: int) -> None:
    """Both skins alike, an opening through the upper one, more webs, and a plain board."""
    checked = sag_as_checked(section, F(1), F(span * MM))
    assert checked == pytest.approx(sag_by_differences(section, 1.0, float(span)), rel=0.003)


# ---- the panel as small plates, without any rule of beams ------------------------------------------------------------


def plate(wide: float, high: float, modulus: float, shear: float) -> Grid:
    """The stiffness of a small plane plate at its four corners, each with a move along and a move up (four points)."""
    corner = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=float)
    material = np.diag([modulus, modulus, shear])
    found = np.zeros((8, 8))
    for x, z in corner / np.sqrt(3):
        along = corner[:, 0] * (1 + corner[:, 1] * z) / (2 * wide)
        up = corner[:, 1] * (1 + corner[:, 0] * x) / (2 * high)
        strain = np.zeros((3, 8))
        strain[0, 0::2], strain[1, 1::2] = along, up
        strain[2, 0::2], strain[2, 1::2] = up, along
        found += strain.T @ material @ strain * wide * high / 4
    return found


def sag_of_plates(levels: list[tuple[float, float, float]], load: float, span: float, lengths: int) -> float:
    """The middle's sag, mm, of half a span of plates in levels (height, breadth x E, breadth x G) from the foot up.

    Its end is held up over its whole height, its middle cannot go along; the load lies on top. Solved from the end to
    the middle, a row of corners at a time.
    """
    rows, wide = len(levels) + 1, span / 2 / lengths
    own = np.zeros((2, 2, 2 * rows, 2 * rows))
    for level, (high, modulus, shear) in enumerate(levels):
        found = plate(wide, high, modulus, shear)
        near, far = [0, 3], [1, 2]
        for a, one in enumerate((near, far)):
            for b, other in enumerate((near, far)):
                for i, row in enumerate(one):
                    for j, column in enumerate(other):
                        to, of = 2 * (level + i), 2 * (level + j)
                        own[a, b, to : to + 2, of : of + 2] += found[2 * row : 2 * row + 2, 2 * column : 2 * column + 2]
    stiff, pressed = np.zeros((0, 0)), np.zeros(0)
    size = 2 * rows
    for place in range(lengths + 1):
        here = (own[1, 1] if place else 0) + (own[0, 0] if place < lengths else 0)
        force = np.zeros(size)
        force[-1] = -load * wide * (0.5 if place in (0, lengths) else 1)
        if place:
            carried = np.linalg.solve(stiff, np.column_stack([own[0, 1], pressed]))
            here = here - own[1, 0] @ carried[:, :size]
            force = force - own[1, 0] @ carried[:, size]
        if place == 0:
            held = np.arange(1, size, 2)
        elif place == lengths:
            held = np.arange(0, size, 2)
        else:
            held = np.arange(0)
        here = np.array(here)
        here[held, held] += 1e15
        stiff, pressed = here, force
    return float(-np.linalg.solve(stiff, pressed)[1::2].mean())


@pytest.mark.parametrize("span", [1200, 1800])
def test_a_hollow_core_against_small_plates(span: int) -> None:
    """Skins of 12 mm in four levels each, webs of 80 mm in twenty: bending and shear come out of the plates alone."""
    skin, web = (3.0, 1000 * 7000.0, 1000 * 600.0), (4.0, 90 * 9000.0, 90 * 600.0)
    levels = [skin] * 4 + [web] * 20 + [skin] * 4
    checked = sag_as_checked(panel(), F(1), F(span * MM))
    assert checked == pytest.approx(sag_of_plates(levels, 1.0, float(span), span // 10), rel=0.03)


def test_shear_tells_in_a_short_hollow_panel() -> None:
    """Over 900 mm bending alone would tell less than two thirds of the sag."""
    bent = stiffness.sag_uniform(F(1), F(900 * MM), sections.rigidity(panel()), F(1))
    assert float(bent) / MM < 2 / 3 * sag_as_checked(panel(), F(1), F(900 * MM))


# ---- sections -----------------------------------------------------------------------------------------------------


def test_a_plain_board_and_a_tube_as_strips() -> None:
    """A tube of 40 x 40 x 2 is two flanges and two webs."""
    assert sections.rigidity([strip(300, 18)]) == 7000 * 145_800
    tube = [strip(40, 2, 0), strip(2, 36, 2), strip(2, 36, 2), strip(40, 2, 38)]
    outer = stiffness.second_moment_tube(F(40 * MM), F(40 * MM), F(2 * MM))
    assert sections.rigidity(tube) == 7000 * outer
    assert sections.neutral_axis(tube) == 20 * MM


def test_what_is_no_section() -> None:
    with pytest.raises(ValueError, match="stiff"):
        sections.rigidity([strip(100, 18, modulus=0)])
    with pytest.raises(ValueError, match="shear modulus"):
        sections.shear_stiffness([strip(100, 18, shear=0)])
    with pytest.raises(ValueError, match="one height"):
        sections.hollow_core(strip(100, 12), [strip(18, 80), strip(18, 60)], strip(100, 12))


# ---- beams --------------------------------------------------------------------------------------------------------

places = st.integers(0, 1000)
forces = st.integers(1, 500)
loads_on = st.lists(st.tuples(forces, places), max_size=4)


@given(loads_on, st.integers(0, 5))
def test_reactions_carry_the_loads(loads: list[tuple[int, int]], even: int) -> None:
    """Their sum is the load, and nothing turns about either support."""
    span = F(1000 * MM)
    on = [PointLoad(F(force), F(place * MM)) for force, place in loads]
    first, second = beams.reactions(span, on, F(even))
    assert first + second == sum(force for force, _ in loads) + even * 1000
    assert second * 1000 == sum(force * place for force, place in loads) + even * 1000 * 500
    assert first >= 0 <= second


def test_a_load_beyond_a_support_lifts_the_other() -> None:
    first, second = beams.reactions(F(1000), [PointLoad(F(100), F(1300))])
    assert (first, second) == (F(-30), F(130))
    with pytest.raises(ValueError, match="above nothing"):
        beams.reactions(F(0), [])


@given(loads_on, st.integers(0, 5))
def test_moment_and_sag_against_finite_differences(loads: list[tuple[int, int]], even: int) -> None:
    """At 199 points; a point load between two of them is shared, so that the moment there is a little less."""
    count, step = 199, 5.0
    load = np.full(count, even * step)
    for force, place in loads:
        before, share = int(place // step), (place % step) / step
        for point, part in ((before, 1 - share), (before + 1, share)):
            if 1 <= point <= count:
                load[point - 1] += force * part
    moment = of_second_difference(-load * step)
    sag = of_second_difference(-moment * step**2)
    on = [PointLoad(F(force), F(place * MM)) for force, place in loads]
    span, rigidity = F(1000 * MM), F(10**9)
    most = beams.greatest_moment(span, on, F(even))
    assert float(most) == pytest.approx(max(0.0, float(moment.max())), rel=0.01, abs=2 * 500 * step)
    found, at = beams.greatest_sag(span, on, F(even), rigidity)
    assert float(found) / MM == pytest.approx(float(sag.max()) / 1e9, rel=0.01, abs=1e-9)
    assert beams.sag_at(span, on, F(even), rigidity, at) == found
    middle = beams.sag_at(span, on, F(even), rigidity, span / 2)
    assert float(middle) / MM == pytest.approx(float(sag[count // 2]) / 1e9, rel=0.01, abs=1e-9)


def test_slopes_of_a_load_off_the_middle() -> None:
    """P a b (L + b) / 6 L E I at the first, P a b (L + a) / 6 L E I at the second: 300 and 700 of 1000."""
    first, second = beams.slope_at_ends(F(1000 * MM), [PointLoad(F(60), F(300 * MM))], F(0), F(10**9))
    assert first == F(60 * 300 * 700 * 1700, 6 * 1000 * 10**9)
    assert second == F(60 * 300 * 700 * 1300, 6 * 1000 * 10**9)


def test_the_sag_is_asked_for_between_the_supports() -> None:
    with pytest.raises(ValueError, match="between the supports"):
        beams.sag_at(F(10), [PointLoad(F(1), F(11))], F(0), F(1), F(5))


def test_a_top_out_of_flat() -> None:
    assert beams.out_of_flat([F(0), F(-2), F(1)]) == 3
