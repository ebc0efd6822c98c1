"""How far a loaded part sags, on first loading and over the years."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Span
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text, format_quantity
from webapp.costing.takeoff.checks.creeping import creep_factor
from webapp.costing.takeoff.checks.planned import planned_loads
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.rounds import round_moment
from webapp.costing.trade.stiffness import OF_EVEN_LOAD, OF_POINT_LOAD

#: Weight of a kilogram, N.
STANDARD_GRAVITY: Final = Fraction(980665, 100000)
_EVENLY: Final = "sag_uniform(load, span, stiffness, moment, even)"
AID = "A planning aid, not an engineer's approval."


def check_spans(taking: Taking, parts: Sequence[MadePart], meetings: Meetings) -> None:
    """Check each span of the design: a pass, a warning where only the sag over the years passes the limit, a failure
    where the first sag does."""
    made = {one.part.name: one for one in parts}
    for span in filter(taking.environment.active, taking.design.spans.values()):
        one = made.get(span.part)
        if one is None or is_held_alone(span, one, meetings):
            continue
        stiffness = _stiffness(taking, one)
        if stiffness is None or stiffness.value <= 0 or one.taken.width is None or one.taken.thickness is None:
            taking.checks.append(
                Check(
                    f"sag/{span.name}",
                    "warning",
                    f"{one.part.says}: its sag isn't checked; its material states no stiffness that way of the grain.",
                )
            )
            continue
        try:
            reach = _reach(taking, span, one, meetings)
            load = _with_own_weight(taking, span, one, _load(taking, span, one))
            flat = None
            if span.flat is not None:
                flat = taking.figure(f"span/{span.name}/flat", f"{one.part.says}: out of flat at most", "nm", span.flat)
        except FormulaError as error:
            taking.wrong(
                f"spans.{span.name}", f"The sag of “{one.part.says}” can't be checked. {taking.why(error)}", "warning"
            )
            continue
        if reach.value <= 0:
            comes_out = f"The span of “{one.part.says}” comes out at {taking.length(reach.value)}."
            taking.wrong(f"spans.{span.name}", comes_out, "warning")
            continue
        _check_sag(taking, span, one, reach, stiffness, load, flat)


def is_held_alone(span: Span, one: MadePart, meetings: Meetings) -> bool:
    """Whether nothing is said of how far a part spans, and it lies on nothing at two places: then it spans between what
    holds it, as a drawer's bottom under its sides, and is judged with all that do."""
    return span.span is None and not span.load and widest_gap(one, meetings) is None


def _stiffness(taking: Taking, one: MadePart) -> Figure | None:
    """The stiffness in the direction of the part's length as it is cut: along the grain, across it where the grain
    follows the width, and the lesser of both where it may lie either way."""
    role, grain = one.part.stock, one.taken.grain
    along = taking.stated_figure(role, "stiffness", "N/mm2")
    if one.taken.kind is not Kind.SHEET or grain == "length":
        return along
    across = taking.stated_figure(role, "stiffness_across", "N/mm2")
    if grain == "width":
        if across is None and along is not None and taking.stated[role].get("grain") != 1:
            return along
        return across
    if along is None or across is None:
        return along
    return min(along, across, key=lambda figure: figure.value)


def _reach(taking: Taking, span: Span, one: MadePart, meetings: Meetings) -> Figure:
    """The clear span: as typed, else the widest gap between what the part rests on. Raises FormulaError."""
    key, label = f"span/{span.name}/span", f"{one.part.says}: span"
    widest = widest_gap(one, meetings)
    if span.span is not None:
        typed = taking.figure(key, label, "nm", span.span)
        if widest is not None and widest != typed.value:
            said = f"a span of {taking.length(typed.value)} is typed, it rests {taking.length(widest)} apart"
            taking.checks.append(Check(f"typed/{span.name}", "pass", f"{one.part.says}: {said}. What is typed counts."))
        return typed
    if widest is None:
        raise FormulaError("", "It rests on nothing at two places, so its span has to be typed.")
    return taking.given(key, label, widest, "nm", "the widest gap between what it rests on")


def widest_gap(one: MadePart, meetings: Meetings) -> Fraction | None:
    """The widest gap along a part's length between the pieces below it that bear it; None where fewer than two do.

    What bears it meets a face turned down, or holds it at its ends.
    """
    axis = "xyz".index(one.part.length_axis)
    widest: Fraction | None = None
    for place, piece in enumerate(meetings.placed):
        if piece.part != one.part.name or piece.body is not None:
            continue
        borne = [
            met.ends(axis)
            for met in meetings.of(place)
            if (met.across == 2 and met.other == place) or met.across == axis
        ]
        reached: Fraction | None = None
        for low, high in sorted(borne):
            if reached is not None and low > reached and (widest is None or low - reached > widest):
                widest = low - reached
            reached = high if reached is None else max(reached, high)
    return widest


def _load(taking: Taking, span: Span, one: MadePart) -> Figure:
    """The load along the length, N/mm: as typed, or so many kilograms spread over the length of one. FormulaError."""
    key, says = f"span/{span.name}/load", one.part.says
    if span.kilograms is not None:
        kilograms = taking.figure(f"{key}/kilograms", f"{says}: kilograms on one", "kg", span.kilograms)
    elif span.load or taking.design.form == "1":
        return taking.given(key, f"{says}: load", span.load, "N/mm")
    else:
        planned = sum(
            (each.kilograms for each in planned_loads(taking) if each.part == one.part.name and each.lies != "middle"),
            Fraction(0),
        )
        kilograms = taking.given(f"{key}/kilograms", f"{says}: kilograms planned on one", planned, "kg", "its loads")
    return taking.derive(
        key, f"{says}: load", "N/mm", "kilograms on one x weight of a kilogram / length",
        "kilograms * gravity / (metres(length) * 1000)", kilograms=kilograms, gravity=_gravity(taking),
        length=one.taken.length,
    )  # fmt: skip


def _gravity(taking: Taking) -> Figure:
    return taking.working.given(
        "spans/gravity", "Weight of a kilogram", STANDARD_GRAVITY, "N/kg",
        "The International System of Units (SI), 9th edition, 2019: standard gravity",
    )  # fmt: skip


def _with_own_weight(taking: Taking, span: Span, one: MadePart, load: Figure) -> Figure:
    """The load with the part's own weight, which always lies on it; a design of the first form is judged without."""
    if taking.design.form == "1" or one.taken.mass is None:
        return load
    return taking.derive(
        f"span/{span.name}/with_own", f"{one.part.says}: load and own weight", "N/mm",
        "load + weight of one x weight of a kilogram / length", "load + mass * gravity / (metres(length) * 1000)",
        load=load, mass=one.taken.mass, gravity=_gravity(taking), length=one.taken.length,
    )  # fmt: skip


def _in_the_middle(taking: Taking, span: Span, one: MadePart) -> Figure | None:
    """The load planned at the middle of one, N; None where there is none, or the span has a load of its own."""
    if span.kilograms is not None or span.load or taking.design.form == "1":
        return None
    kilograms = sum(
        (each.kilograms for each in planned_loads(taking) if each.part == one.part.name and each.lies == "middle"),
        Fraction(0),
    )
    if not kilograms:
        return None
    key, says = f"span/{span.name}/middle", one.part.says
    given = taking.given(f"{key}/kilograms", f"{says}: kilograms in its middle", kilograms, "kg", "its loads")
    return taking.derive(key, f"{says}: load in its middle", "N", "kilograms x weight of a kilogram",
                         "kilograms * gravity", kilograms=given, gravity=_gravity(taking))  # fmt: skip


def point_share(taking: Taking) -> Figure:
    """The share of a load in the middle of a span."""
    return taking.working.given(
        "spans/point_load", "Sag of a load in the middle of a span held simply at both ends", OF_POINT_LOAD, "",
        "beam theory: simple span, load in the middle",
    )  # fmt: skip


def _crept(taking: Taking, span: Span, one: MadePart, sag: Figure) -> Figure:
    """The sag over the years: by material where the table knows it, on what stays; else as the shop sets it."""
    key, says = f"span/{span.name}", one.part.says
    if taking.design.form == "1":
        return taking.derive(f"{key}/sag_in_time", f"{says}: sag over the years", "nm", "sag x creep", "sag * creep",
                             sag=sag, creep=taking.setting("creep", ""))  # fmt: skip
    lasting = taking.given(f"{key}/lasting", f"{says}: share of its load that stays", _lasting(taking, span, one), "",
                           "its own weight always, of what is planned what the design says")  # fmt: skip
    return taking.derive(
        f"{key}/sag_in_time", f"{says}: sag over the years", "nm", "sag x (1 + share x creep)",
        "final_sag(sag, creep, lasting)", sag=sag, creep=creep_factor(taking, one.part.stock), lasting=lasting,
    )  # fmt: skip


def _lasting(taking: Taking, span: Span, one: MadePart) -> Fraction:
    """The share of all on it that stays, its own weight with it."""
    planned = [each for each in planned_loads(taking) if each.part == one.part.name]
    if span.kilograms is not None or span.load or not planned:
        return Fraction(1)
    own = Fraction(0) if one.taken.mass is None else one.taken.mass.value
    whole = own + sum((each.kilograms for each in planned), Fraction(0))
    stays = own + sum((each.kilograms * each.lasting for each in planned), Fraction(0))
    return stays / whole if whole else Fraction(1)


def _check_sag(
    taking: Taking, span: Span, one: MadePart, reach: Figure, stiffness: Figure, load: Figure, flat: Figure | None
) -> None:
    key, says = f"span/{span.name}", one.part.says
    assert one.taken.width is not None
    assert one.taken.thickness is not None
    words, formula = "breadth x thickness cubed / 12", "second_moment(breadth, thickness)"
    section = {"breadth": one.taken.width, "thickness": one.taken.thickness}
    wall = taking.stated_figure(one.part.stock, "wall", "nm")
    if wall is not None and wall.value:
        words = "breadth x thickness cubed / 12, less the same of the hollow inside the wall"
        formula, section["wall"] = "second_moment_tube(breadth, thickness, wall)", wall
    if one.taken.round is not None:
        moment = round_moment(taking, f"{key}/moment", says, one.taken.round)
    else:
        moment = taking.derive(f"{key}/moment", f"{says}: second moment of area", "mm4", words, formula, **section)
    words, formula = "sag of an even load x load x span^4 / (stiffness x second moment)", _EVENLY
    inputs = {
        "load": load, "span": reach, "stiffness": stiffness, "moment": moment,
        "even": taking.working.given(
            "spans/even_load", "Sag of an even load on a span held simply at both ends", OF_EVEN_LOAD, "",
            "beam theory: simple span, uniform load",
        ),
    }  # fmt: skip
    point = _in_the_middle(taking, span, one)
    if point is not None:
        words += " + the same of a load in the middle"
        formula += " + sag_point(point, span, stiffness, moment, at_point)"
        inputs["point"], inputs["at_point"] = point, point_share(taking)
    sag = taking.derive(f"{key}/sag", f"{says}: sag on first loading", "nm", words, formula, **inputs)
    crept = _crept(taking, span, one, sag)
    limit, share = flat, ""
    if limit is None:
        part_of = taking.setting(f"{span.limit}_sag", "")
        share = f" (one part in {figure_text(part_of.value, 2)})"
        limit = taking.derive(f"{key}/limit", f"{says}: most it may sag", "nm", "span / the shop's limit",
                              "span / part_of", span=reach, part_of=part_of)  # fmt: skip
    outcome: Outcome = "failure" if sag.value > limit.value else "warning" if crept.value > limit.value else "pass"

    def said(figure: Figure) -> str:
        return format_quantity(figure.value, "length", taking.system, 2 if taking.system == "metric" else 3)

    taking.checks.append(
        Check(
            f"sag/{span.name}",
            outcome,
            f"{says}: over {taking.length(reach.value)} it sags {said(sag)} under its load and {said(crept)} over the "
            f"years; {said(limit)} is the most{share}. {AID}",
            (sag.id, crept.id, limit.id),
            Held(crept.value, limit.value, "nm"),
        )
    )
