"""Welded joints: how many there are, how far their welds run, by the section of the part or as given, and what they
use up."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.model import Joint, Operation, Supply
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.joint_lines import counted_welds
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import Check, WeldTaken
from webapp.costing.takeoff.parts import MadePart

#: How far a weld runs by the section of the bar or tube whose end it holds: the rule in words, and as a formula in nm.
_BY_SECTION: Final = {
    "all_round": ("around the section: 2 x (width + thickness)", "2 * (width + thickness)"),
    "two_sides": ("two wide sides of the section: 2 x width", "2 * width"),
    "one_side": ("one wide side of the section: width", "width"),
}

#: Below this no metal is that a shop welds: the lightest, magnesium, has 1,740 kg/m3 and wood at most 1,300.
_LIGHTEST_METAL: Final = Fraction(1700)


def weld(taking: Taking, joint: Joint, entry: str, parts: tuple[MadePart, ...], meetings: Meetings) -> WeldTaken:
    """The welds of one joint. Raises LeftOut or FormulaError where they can't be counted or measured."""
    key, says = f"joint/{joint.name}", joint.says
    made = {one.part.name: one for one in parts}
    count = counted_welds(taking, joint, entry, meetings)
    run = _run(taking, joint, entry, made.get(joint.source))
    if run.value <= 0:
        raise LeftOut(f"{entry} has a weld of {taking.length(run.value)}; it is left out.")
    each = taking.derive(f"{key}/each", f"{says}: weld of one", "cm", "in centimetres", "metres(run) * 100", run=run)
    length = taking.derive(f"{key}/length", f"{says}: length of weld", "cm", "weld of one x count", "each * count",
                           each=each, count=count)  # fmt: skip
    _check_metal(taking, joint, [made[name] for name in (joint.source, *joint.held) if name in made])
    code = made[joint.source].taken.material if joint.source in made else ""
    return WeldTaken(joint.name, says, code, count, each, length, _is_ground(taking, joint))


def _is_ground(taking: Taking, joint: Joint) -> bool:
    """Whether the welds are ground flush: the joint asks for it, and a step under the answers chosen does it."""
    steps: tuple[Operation | Supply, ...] = (*taking.design.operations.values(), *taking.design.supplies.values())
    return joint.ground and any(
        step.driver == "ground_centimetres" and (not step.of or joint.name in step.of)
        for step in steps
        if taking.environment.active(step)
    )


def _run(taking: Taking, joint: Joint, entry: str, source: MadePart | None) -> Figure:
    key, label = f"joint/{joint.name}/run", f"{joint.says}: run of one weld"
    if joint.weld_run is not None:
        return taking.figure(key, label, "nm", joint.weld_run)
    says = taking.design.parts[joint.source].says
    if source is None or source.taken.width is None or source.taken.thickness is None:
        raise LeftOut(f"{entry} needs the section of “{says}”, which is not known; it is left out.")
    if source.taken.round is not None and joint.weld == "all_round":
        return taking.derive(key, label, "nm", "round the section", "round_around(diameter)",
                             diameter=source.taken.round.diameter)  # fmt: skip
    words, formula = _BY_SECTION[joint.weld]
    sides = {"width": source.taken.width}
    if "thickness" in formula:
        sides["thickness"] = source.taken.thickness
    return taking.derive(key, label, "nm", words, formula, **sides)


def _check_metal(taking: Taking, joint: Joint, joined: list[MadePart]) -> None:
    """What is too light to be a metal can't be welded; a material that states no density is taken at its word."""
    for one in joined:
        stated = taking.stated.get(one.part.stock, {})
        if stated.get("density", _LIGHTEST_METAL) < _LIGHTEST_METAL:
            material = taking.stock[one.part.stock]
            taking.checks.append(
                Check(
                    f"weld/{joint.name}",
                    "failure",
                    f"{joint.says}: “{material.name}”, chosen for “{taking.design.roles[one.part.stock].says}”, is no "
                    f"metal{' but a sheet of wood' * (material.kind is Kind.SHEET)}, so it can't be welded.",
                )
            )
            return


def used_in_weld(working: Working, key: str, material: Material, metres: Figure, quantity: Figure) -> Figure | None:
    """How much of a material the welds of an item use up: litres of a gas, pieces of all else.

    `metres` is the length of weld of one. None where the material does not say how far it goes.
    """
    name, label, unit = (
        ("weld_litres", "litres for a metre of weld", "L/m")
        if material.kind is Kind.LIQUID
        else ("weld", "length of weld that one does", "nm")
    )
    value = material.values.get(name)
    if not value:
        return None
    source = material.sources.get(name, "the catalogue")
    each = working.given(f"material/{material.code}/{name}", f"{material.name}: {label}", value, unit, source)
    if material.kind is Kind.LIQUID:
        return working.derive(
            key, material.name, "L", "metres of weld x litres for a metre, by quantity", "metres * each * quantity",
            metres=metres, each=each, quantity=quantity,
        )  # fmt: skip
    return working.derive(
        key, material.name, "piece", "metres of weld / metres that one does, by quantity",
        "length / metres(each) * quantity", length=metres, each=each, quantity=quantity,
    )  # fmt: skip
