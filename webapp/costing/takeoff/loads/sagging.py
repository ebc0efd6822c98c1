"""How far every part sags that spans, whether the design names it or not: its own weight, and what is planned on it.

Which part is worst is looked for in plain floats of millimetres, as no fit hangs on it. What is said is worked out
exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from webapp.costing.designs.model import Span
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text, format_quantity
from webapp.costing.takeoff.checks.creeping import creep_factor
from webapp.costing.takeoff.checks.spans import AID, is_held_alone, point_share
from webapp.costing.takeoff.loads.spanning import Spanning, Way, ways_of
from webapp.costing.takeoff.loads.whole import Whole
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.rounds import round_moment
from webapp.costing.trade.stiffness import OF_EVEN_LOAD, second_moment, second_moment_round, second_moment_tube

_MM: Final = 10**6
_AXES: Final = "xyz"


def check_sagging(whole: Whole) -> None:
    """Every part that lies on two supports or more. Those whose spans the design names are checked there, but where
    nothing lies under them: they are judged here, by the limit that the design gives them."""
    taking = whole.taking
    named = {span.part: span for span in taking.design.spans.values() if taking.environment.active(span)}
    usual = taking.setting("shelf_sag", "")
    passed: list[tuple[float, Way]] = []
    stiffness_missing, folded, shaped = list[str](), list[str](), list[str]()
    for one in whole.parts:
        span = named.get(one.part.name)
        if not one.placed or (span is not None and not is_held_alone(span, one, whole.meetings)):
            continue
        if one.outlined is not None:
            # How what stands in convex pieces bends is not asked.
            if _AXES.index(one.part.length_axis) != 2 != _AXES.index(one.part.width_axis):
                shaped.append(one.part.says)
            continue
        if one.folded is not None:
            if any(ways_of(whole, one, piece) is not None for piece in _square_pieces(whole, one)):
                folded.append(one.part.says)
            continue
        found = [ways for piece in _square_pieces(whole, one) if (ways := ways_of(whole, one, piece)) is not None]
        most = usual if span is None else _limit_of(whole, span, one, spans=bool(found))
        if most is None:
            continue
        if not all(found):
            stiffness_missing.append(one.part.says)
        elif found:
            # Each piece by the way that leaves it most in hand, and of the pieces the worst.
            best = [min((_share(whole, way, most), at, way) for at, way in enumerate(ways)) for ways in found]
            share, _, worst_of_kind = max(best, key=lambda each: each[0])
            if span is not None:
                _judge(whole, worst_of_kind, most, name=f"sag/{span.name}")
            elif share > 1:
                _judge(whole, worst_of_kind, most)
            else:
                passed.append((share, worst_of_kind))
    if shaped:
        said = "”, “".join(shaped)
        whole.note(Check("sag/outlined", "unknown", f"How far “{said}” sag, cut to an outline, is not worked out. Load "
                         "one and measure, or type it as a rule."))  # fmt: skip
    if folded:
        said = "”, “".join(folded)
        whole.note(Check("sag/folded", "unknown", f"How far “{said}” sag is not worked out: their folds stiffen them. "
                         "Load one and measure, or type it as a rule."))  # fmt: skip
    if stiffness_missing:
        said = "”, “".join(dict.fromkeys(stiffness_missing))
        whole.note(
            Check(
                "sag",
                "unknown",
                f"How far “{said}” sag is not known: type the stiffness of their material, along and across its grain.",
            )
        )
    if passed:
        passed.sort(key=lambda each: -each[0])
        _judge(whole, passed[0][1], usual, others=len(passed) - 1)


def _limit_of(whole: Whole, span: Span, one: MadePart, *, spans: bool) -> Figure | None:
    """What a span of the design lets a part sag that nothing lies under: a length, or by the shop which share of its
    span. None where that can't be worked out, or nothing holds the part at two places either, which is said."""
    taking, why = whole.taking, "" if spans else "It rests on nothing at two places, so its span has to be typed."
    try:
        if span.kilograms is not None:
            taking.environment.value(span.kilograms)
        if span.flat is not None and spans:
            return taking.figure(f"span/{span.name}/flat", f"{one.part.says}: out of flat at most", "nm", span.flat)
    except FormulaError as error:
        why = taking.why(error)
    if why:
        taking.wrong(f"spans.{span.name}", f"The sag of “{one.part.says}” can't be checked. {why}", "warning")
        return None
    return taking.setting(f"{span.limit}_sag", "")


def _square_pieces(whole: Whole, one: MadePart) -> Iterator[int]:
    """Those of a part that lie along the axes: how what stands aslant bends is not asked."""
    return (
        place for place, piece in enumerate(whole.pieces)
        if piece.name == one.part.name and piece.body is None and not whole.meetings.placed[place].nth
    )


def _wall(whole: Whole, one: MadePart) -> Fraction:
    return whole.taking.stated.get(one.part.stock, {}).get("wall") or Fraction(0)


def _sag_in_mm(whole: Whole, each: Spanning) -> float:
    """Its first sag, mm, in floats."""
    breadth, height = (side / _MM for side in each.section)
    moment = breadth * height**3 / 12
    wall = float(_wall(whole, each.one)) / _MM
    section = each.one.taken.round
    if section is not None:
        moment = float(second_moment_round(section.diameter.value, section.wall.value))
    elif wall:
        moment -= max(breadth - 2 * wall, 0) * max(height - 2 * wall, 0) ** 3 / 12
    span = each.gap / _MM
    rigidity = float(each.stiffness) * moment
    of_even = 5 / 384 * float(each.even) / (each.length / _MM) * span**4
    return (of_even + float(each.middle) * span**3 / 48) / rigidity if rigidity else 0.0


def _share(whole: Whole, way: Way, most: Figure) -> float:
    """Its sag over the years as a share of the most that it may sag: a length, or a part of its longest span."""
    each = way[0]
    years = 1 + float(each.lasting) * float(creep_factor(whole.taking, each.one.part.stock).value)
    limit = float(most.value) / _MM if most.unit == "nm" else each.gap / _MM / float(most.value)
    return sum(_sag_in_mm(whole, each) for each in way) * years / limit if limit > 0 else math.inf


def _judge(whole: Whole, way: Way, most: Figure, others: int = 0, name: str = "") -> None:
    """Work it out exactly and say it; the worst of those that pass stands for `others` as well. `most` is a length, or
    which part of its span it may sag."""
    each = way[0]
    taking, says, key = whole.taking, each.one.part.says, f"sags/{each.one.part.name}"
    bent = [_first_sag(whole, one, key if one is each else f"{key}/across") for one in way]
    span, sag = bent[0]
    if len(bent) > 1:
        sag = taking.total(f"{key}/both", f"{says}: sag on first loading, along and across, as it is borne on points",
                           "nm", [one for _, one in bent])  # fmt: skip
    crept = crept_sag(whole, key, says, sag, creep_factor(taking, each.one.part.stock), each.lasting)
    limit, of_span = most, ""
    if most.unit != "nm":
        of_span = f" (one part in {figure_text(most.value, 2)})"
        limit = taking.derive(f"{key}/limit", f"{says}: most it may sag", "nm", "span / the shop's limit",
                              "span / part_of", span=span, part_of=most)  # fmt: skip
    outcome: Outcome = "failure" if sag.value > limit.value else "warning" if crept.value > limit.value else "pass"
    more = f" {others} other parts that span sag less of what they may." if others > 1 else ""
    spans = " and ".join(taking.length(Fraction(one.gap)) for one in way)
    spans += ", borne on points alone," if len(way) > 1 else ""
    whole.note(
        Check(
            name or f"sags/{each.one.part.name}",
            outcome,
            f"{says}: over {spans} it sags {small(whole, sag)} by its own weight and what is "
            f"planned on it, {small(whole, crept)} over the years; {small(whole, limit)} is the most{of_span}."
            f"{more} {AID}",
            (sag.id, crept.id, limit.id),
            Held(crept.value, limit.value, "nm"),
        )
    )


def _first_sag(whole: Whole, each: Spanning, key: str) -> tuple[Figure, Figure]:
    """The gap that it spans along one axis, and how far it sags by it, worked out exactly."""
    taking, says = whole.taking, each.one.part.says
    breadth, height = (taking.given(f"{key}/{name}", f"{says}: {name} as it lies", size, "nm", "where it stands")
                       for name, size in zip(("breadth", "height"), each.section, strict=True))  # fmt: skip
    span = taking.given(f"{key}/span", f"{says}: widest gap under it", each.gap, "nm", "the parts that bear it")
    wall = _wall(whole, each.one)
    if each.one.taken.round is not None:
        moment = round_moment(taking, f"{key}/moment", says, each.one.taken.round)
    elif wall:
        moment = taking.derive(
            f"{key}/moment", f"{says}: second moment of area", "mm4", "that of the outside less that of the hollow",
            "second_moment_tube(breadth, height, wall)", breadth=breadth, height=height,
            wall=taking.given(f"{key}/wall", f"{says}: wall", wall, "nm", "its material"),
        )  # fmt: skip
        assert moment.value == second_moment_tube(breadth.value, height.value, wall)
    else:
        moment = taking.derive(f"{key}/moment", f"{says}: second moment of area", "mm4",
                               "breadth x height cubed / 12", "second_moment(breadth, height)", breadth=breadth,
                               height=height)  # fmt: skip
        assert moment.value == second_moment(breadth.value, height.value)
    stiffness = taking.given(f"{key}/stiffness", f"{says}: stiffness along its span", each.stiffness, "N/mm2",
                             "its material, by how its grain lies")  # fmt: skip
    load = taking.given(f"{key}/load", f"{says}: own weight and what is spread on it", each.even * _MM / each.length,
                        "N/mm", "weights to the gram")  # fmt: skip
    even = taking.working.given("spans/even_load", "Sag of an even load on a span held simply at both ends",
                                OF_EVEN_LOAD, "", "beam theory: simple span, uniform load")  # fmt: skip
    words, formula, inputs = (
        "sag of an even load x load x span^4 / (stiffness x second moment)",
        "sag_uniform(load, span, stiffness, moment, even)",
        {"load": load, "span": span, "stiffness": stiffness, "moment": moment, "even": even},
    )
    if each.middle:
        words += " + the same of a load in the middle"
        formula += " + sag_point(point, span, stiffness, moment, at_point)"
        inputs["point"] = taking.given(f"{key}/point", f"{says}: load in its middle", each.middle, "N", "the design")
        inputs["at_point"] = point_share(taking)
    return span, taking.derive(f"{key}/sag", f"{says}: sag on first loading", "nm", words, formula, **inputs)


def crept_sag(whole: Whole, key: str, says: str, sag: Figure, factor: Figure, share: Fraction) -> Figure:
    """A sag over the years, of which a share of the load stays."""
    taking = whole.taking
    lasting = taking.given(f"{key}/lasting", f"{says}: share of its load that stays", share, "",
                           "its own weight always, of what is planned what the design says")  # fmt: skip
    return taking.derive(f"{key}/sag_in_time", f"{says}: sag over the years", "nm", "sag x (1 + share x creep)",
                         "final_sag(sag, creep, lasting)", sag=sag, creep=factor, lasting=lasting)  # fmt: skip


def small(whole: Whole, figure: Figure) -> str:
    """A sag as it is read."""
    return format_quantity(figure.value, "length", whole.taking.system, 2 if whole.taking.system == "metric" else 3)
