"""How far a loaded part sags, on first loading and over the years."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Span
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.written import figure_text, format_quantity
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check, Held
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.trade.stiffness import OF_EVEN_LOAD

AID = "A planning aid, not an engineer's approval."


def check_spans(taking: Taking, parts: Sequence[MadePart]) -> None:
    """Check each span of the design: a pass, a warning where only the sag over the years passes the limit, a failure
    where the first sag does."""
    made = {one.part.name: one for one in parts}
    for span in filter(taking.environment.active, taking.design.spans.values()):
        one = made.get(span.part)
        if one is None:
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
            reach = taking.figure(f"span/{span.name}/span", f"{one.part.says}: span", "nm", span.span)
        except FormulaError as error:
            taking.wrong(
                f"spans.{span.name}", f"The sag of “{one.part.says}” can't be checked. {taking.why(error)}", "warning"
            )
            continue
        if reach.value <= 0:
            comes_out = f"The span of “{one.part.says}” comes out at {taking.length(reach.value)}."
            taking.wrong(f"spans.{span.name}", comes_out, "warning")
            continue
        _check_sag(taking, span, one, reach, stiffness)


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


def _check_sag(taking: Taking, span: Span, one: MadePart, reach: Figure, stiffness: Figure) -> None:
    key, says = f"span/{span.name}", one.part.says
    assert one.taken.width is not None
    assert one.taken.thickness is not None
    words, formula = "breadth x thickness cubed / 12", "second_moment(breadth, thickness)"
    section = {"breadth": one.taken.width, "thickness": one.taken.thickness}
    wall = taking.stated_figure(one.part.stock, "wall", "nm")
    if wall is not None and wall.value:
        words = "breadth x thickness cubed / 12, less the same of the hollow inside the wall"
        formula, section["wall"] = "second_moment_tube(breadth, thickness, wall)", wall
    moment = taking.derive(f"{key}/moment", f"{says}: second moment of area", "mm4", words, formula, **section)
    load = taking.working.given(f"{taking.prefix}/{key}/load", f"{says}: load", span.load, "N/mm", "the design")
    sag = taking.derive(
        f"{key}/sag", f"{says}: sag on first loading", "nm",
        "sag of an even load x load x span^4 / (stiffness x second moment)",
        "sag_uniform(load, span, stiffness, moment, even)", load=load, span=reach, stiffness=stiffness, moment=moment,
        even=taking.working.given(
            "spans/even_load", "Sag of an even load on a span held simply at both ends", OF_EVEN_LOAD, "",
            "beam theory: simple span, uniform load",
        ),
    )  # fmt: skip
    crept = taking.derive(f"{key}/sag_in_time", f"{says}: sag over the years", "nm", "sag x creep", "sag * creep",
                          sag=sag, creep=taking.setting("creep", ""))  # fmt: skip
    part_of = taking.setting(f"{span.limit}_sag", "")
    limit = taking.derive(f"{key}/limit", f"{says}: most it may sag", "nm", "span / the shop's limit", "span / part_of",
                          span=reach, part_of=part_of)  # fmt: skip
    outcome = "failure" if sag.value > limit.value else "warning" if crept.value > limit.value else "pass"

    def said(figure: Figure) -> str:
        return format_quantity(figure.value, "length", taking.system, 2 if taking.system == "metric" else 3)

    taking.checks.append(
        Check(
            f"sag/{span.name}",
            outcome,
            f"{says}: over {taking.length(reach.value)} it sags {said(sag)} under its load and {said(crept)} over the "
            f"years; {said(limit)} is the most (one part in {figure_text(part_of.value, 2)}). {AID}",
            (sag.id, crept.id, limit.id),
            Held(crept.value, limit.value, "nm"),
        )
    )
