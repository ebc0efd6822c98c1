"""What drives the rules that are easily forgotten over one item: counted from its take-off, its steps, its purchase."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.extras.counts import Counted, own_steps
from webapp.costing.hours.batch import DRAWING
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.quantities import BOARD_FOOT_M3
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.takeoff.model import FinishTaken, PartTaken

#: Machines whose cutters wear and are changed.
CUTTING_MACHINES: Final = ("saw", "planer", "router")
#: The step that changes the router's cutter for each further thickness.
CUTTERS_CHANGED: Final = "change_cutters"


def _jigs(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    return counted.given(f"{key}/count", "Jigs and templates", counted.job_item(item).jigs, "piece", "the job")


def _materials(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    shares = [one.shares[item.id] for one in counted.bought.values() if item.id in one.shares]
    total = counted.working.total(f"rule/materials/{item.id}", f"{item.label}: materials as charged", "money", shares)
    return total if total.value else None


def _cut_materials(counted: Counted, item: ItemTaken) -> Figure | None:
    """What the item's parts are cut from: sheets, boards and lengths but no edge band, as charged."""
    shares = [
        one.shares[item.id]
        for one in counted.bought.values()
        if item.id in one.shares and one.material.kind in CUT_STOCK and one.material.values.get("spliced") != 1
    ]
    label = f"{item.label}: {in_trade_words('sheets, sawn boards and lengths as charged')}"
    total = counted.working.total(f"rule/cut_materials/{item.id}", label, "money", shares)
    return total if total.value else None


def _parts(counted: Counted, item: ItemTaken) -> Figure:
    return counted.work.total(
        f"rule/parts/{item.id}", f"{item.label}: parts of one", "piece", [part.count for part in item.take_off.parts]
    )


def _joint_sorts(item: ItemTaken) -> set[str]:
    """The sorts of joint: each fastening of its own, and glue alone."""
    taken = item.take_off
    fastened = {fastening.joint for fastening in taken.fastenings}
    sorts = {one.material for one in taken.fastenings if one.material}
    return sorts | {"glue alone" for joint in taken.glue_lines if joint not in fastened}


def _new_joints(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    if counted.job.novelty != "new":
        return None
    sorts = len(_joint_sorts(item))
    thicknesses = len({part.thickness.value for part in item.take_off.parts if part.thickness is not None})
    return counted.given(
        f"rule/new_joints/{item.id}", f"{item.label}: sorts of joint, and thicknesses", sorts + thicknesses, "piece",
        f"the design: {sorts} sorts of joint, {thicknesses} thicknesses",
    )  # fmt: skip


def _test_parts(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """What is cut up for tests: a part for each sort of joint. Thicknesses are tried on offcuts."""
    if counted.job.novelty != "new":
        return None
    sorts = counted.given(
        f"rule/joint_sorts/{item.id}", f"{item.label}: sorts of joint", len(_joint_sorts(item)), "piece", "the design"
    )
    materials, parts = _cut_materials(counted, item), _parts(counted, item)
    if sorts is None or materials is None or not parts.value:
        return None
    return counted.working.derive(
        f"{key}/material", "Material of one part for each", "money",
        in_trade_words("sorts of joint x sheets, sawn boards and lengths of the item / (parts of one x quantity)"),
        "sorts * materials / (parts * quantity)",
        sorts=sorts, materials=materials, parts=parts, quantity=item.quantity,
    )  # fmt: skip


def _thickness_changes(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """Sheets of another thickness on the saw or the router, boards on the planer: a blade or a cutter is changed.

    Where a step of the item's own changes the router's cutters, those changes are in it.
    """
    cut: dict[str, set[Fraction]] = {}
    for part in item.take_off.parts:
        machine = "planer" if part.kind is Kind.BOARD else "router" if part.by_router else "saw"
        if part.kind in (Kind.SHEET, Kind.BOARD) and part.thickness is not None:
            cut.setdefault(machine, set()).add(part.thickness.value)
    own = own_steps(counted, item)
    used = {step.machine_name for step in own}
    if any(step.operation == CUTTERS_CHANGED for step in own):
        used.discard("router")
    changes = {machine: len(held) - 1 for machine, held in cut.items() if machine in used}
    source = ", ".join(f"{machine}: {count + 1} thicknesses" for machine, count in sorted(changes.items()))
    return counted.given(
        f"{key}/changes", "Changes of thickness on a machine", sum(changes.values()), "change",
        f"{source}; the first of each is in the set-up",
    )  # fmt: skip


def _finished(item: ItemTaken, finish: FinishTaken) -> list[PartTaken]:
    """The parts that a finish goes on."""
    design = item.take_off.design
    on = [design.surfaces[name] for name in design.finishes[finish.name].on]
    return [part for part in item.take_off.parts if any(surface.is_on(part.name, part.role) for surface in on)]


def _pieces_by_coat(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    figures = []
    for finish in item.take_off.finishes:
        counts = [part.count for part in _finished(item, finish)]
        pieces = counted.work.total(f"{key}/{finish.name}", f"{finish.says}: parts", "piece", counts)
        figures.append(
            counted.work.derive(
                f"{key}/{finish.name}/by_coat",
                f"{finish.says}: parts by coats",
                "piece",
                "parts x coats",
                "pieces * coats",
                pieces=pieces,
                coats=counted.work.given(
                    f"{key}/{finish.name}/coats", f"{finish.says}: coats", finish.coats, "coat", "the design"
                ),
            )
        )
    one = counted.work.total(f"{key}/one", "Parts by coats, of one", "piece", figures)
    return counted.times(f"{key}/pieces", "Parts by coats", "piece", one, item)


def _masked_pieces(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    taken = item.take_off
    jointed = {part for name in taken.glue_lines for part in _of_joint(item, name)}
    finished = {part.name: part for finish in taken.finishes for part in _finished(item, finish)}
    counts = [part.count for name, part in finished.items() if name in jointed]
    one = counted.work.total(f"{key}/one", "Finished parts in glued joints, of one", "piece", counts)
    return counted.times(f"{key}/pieces", "Finished parts in glued joints", "piece", one, item)


def _of_joint(item: ItemTaken, name: str) -> tuple[str, ...]:
    joint = item.take_off.design.joints[name]
    return joint.source, *joint.held


def _in_sight(item: ItemTaken) -> set[str]:
    """The joints between two parts that are finished: there glue would show, and a screw's head."""
    finished = {part.name for finish in item.take_off.finishes for part in _finished(item, finish)}
    return {name for name in item.take_off.design.joints if set(_of_joint(item, name)) <= finished}


def _glue_lines(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    seen = _in_sight(item)
    lines = [figure for name, figure in item.take_off.glue_lines.items() if name in seen]
    one = counted.work.total(f"{key}/one", "Glue lines between finished parts, of one", "joint", lines)
    return counted.times(f"{key}/lines", "Glue lines between finished parts", "joint", one, item)


def _is_screwed(item: ItemTaken, name: str) -> bool:
    """Whether a joint has screws: as what its design says they pass through tells, or what fills their place."""
    design = item.take_off.design
    joint = design.joints[name]
    return joint.grip is not None or is_tagged(design.roles[joint.fastener].needs.tags, "screw")


def _plugged_screws(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """Screws that stay in: through a finished part into another, with glue. Others are hidden, or come out again."""
    seen = _in_sight(item) & item.take_off.glue_lines.keys()
    screws = [one.count for one in item.take_off.fastenings if one.joint in seen and _is_screwed(item, one.joint)]
    one = counted.work.total(f"{key}/screws", "Glued screws between finished parts, of one", "piece", screws)
    if not one.value:
        return None
    return counted.work.derive(
        f"{key}/plugged", "Screws that are plugged", "piece", "screws of one x quantity x share that is plugged",
        "screws * quantity * share", screws=one, quantity=item.quantity, share=counted.setting("plugged_share"),
    )  # fmt: skip


def _own_minutes(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """Minutes in the shop: what drawing takes hangs on its own on how new a thing is, and is not made twice."""
    label = f"{item.label}: minutes of its own steps, drawing left out"
    steps = [step for step in own_steps(counted, item) if step.operation != DRAWING]
    return counted.step_minutes(f"rule/minutes/{item.id}", label, steps)


def _own_minutes_if_new(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    return _own_minutes(counted, item, key) if counted.job.novelty == "new" else None


def _person_days(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    minutes = _own_minutes(counted, item, key)
    if minutes is None:
        return None
    return counted.work.derive(
        f"{key}/days", "Person-days", "person-day", "minutes of the item's own steps / 60 / productive hours of a day",
        "minutes / 60 / hours", minutes=minutes, hours=counted.setting("productive_hours"),
    )  # fmt: skip


def _cutter_hours(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    steps = [step for step in own_steps(counted, item) if step.machine_name in CUTTING_MACHINES]
    minutes = counted.step_minutes(f"{key}/minutes", "Minutes of machines that cut", steps)
    parts = _parts(counted, item)
    if minutes is None or not parts.value:
        return None
    sheets = counted.work.total(
        f"{key}/sheet_parts", "Parts cut from sheets, of one", "piece",
        [part.count for part in item.take_off.parts if part.kind is Kind.SHEET],
    )  # fmt: skip
    return counted.work.derive(
        f"{key}/hours", "Hours of cutters, sheets weighing more", "h",
        "minutes / 60 x (1 + share of parts cut from sheets x (their wear - 1))",
        "minutes / 60 * (1 + sheets / parts * (wear - 1))",
        minutes=minutes, sheets=sheets, parts=parts, wear=counted.setting("sharpening_sheets"),
    )  # fmt: skip


def _discs(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    taken = item.take_off
    listed = {code for code, _ in taken.supplies.values()}
    if not taken.finishes or any(
        one.material.kind is Kind.AREA and one.material.code in listed for one in counted.bought.values()
    ):
        return None
    working = counted.work
    raw = working.total(f"{key}/raw", "Area sanded raw, of one", "m2", [one.area for one in taken.finishes])
    between = working.total(
        f"{key}/between", "Area sanded between coats, of one", "m2", [one.between for one in taken.finishes]
    )
    return working.derive(
        f"{key}/discs", "Discs", "piece",
        "(raw area x grits / life on raw wood + area between coats / life between coats) x quantity",
        "(raw * grits / life_raw + between / life_between) * quantity",
        raw=raw, between=between, grits=counted.setting("disc_grits"), life_raw=counted.setting("disc_life_raw"),
        life_between=counted.setting("disc_life_between"), quantity=item.quantity,
    )  # fmt: skip


def _batch_materials(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    batch = item.quantity.value >= counted.setting("spare_parts_from").value
    return _cut_materials(counted, item) if batch else None


def _waste_volume(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """What is bought and in no blank, m3: whole sheets and boards, by the item's share of the need."""
    parts = []
    for name, one in counted.bought.items():
        if (
            item.id not in one.required_by_item
            or one.material.kind not in (Kind.SHEET, Kind.BOARD)
            or not one.required.value
        ):
            continue
        if one.material.kind is Kind.SHEET:
            bought = sum(
                (purchase.packs * purchase.offer.size["length"] * purchase.offer.size["width"]
                 for purchase in one.purchases), Fraction(0),
            ) / 10**18  # fmt: skip
            depth = one.material.values.get("thickness", Fraction(0)) / 10**9
        else:
            bought = sum((purchase.packs * purchase.offer.size["step"] for purchase in one.purchases), Fraction(0))
            depth = BOARD_FOOT_M3
        label, key_of = one.material.name, f"{key}/{name}"
        amount = counted.work.given(f"{key_of}/bought", f"{label}: bought", bought, one.unit, "what is bought")
        each = counted.work.given(f"{key_of}/each", f"{label}: volume of each {one.unit}", depth, "m3", "its size")
        waste = counted.work.derive(
            f"{key_of}/waste", f"{label}: waste of this item", "m3",
            "(bought - needed, never below 0) x volume of each x need of this item / need of all",
            "greatest(0, bought - need) * each * own / need",
            bought=amount, need=one.required, each=each, own=one.required_by_item[item.id],
        )  # fmt: skip
        parts.append(waste)
    total = counted.work.total(f"{key}/volume", "Volume of waste", "m3", parts)
    return total if total.value else None


def _sessions(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    materials = {finish.material for finish in item.take_off.finishes}
    source = "one for each finish put on"
    return counted.given(f"rule/sessions/{item.id}", "Finishing sessions", len(materials), "session", source)


def _cleaning_litres(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    sessions = _sessions(counted, item, key)
    if sessions is None:
        return None
    return counted.work.derive(
        f"{key}/litres", "Cleaning liquid", "L", "sessions x litres of each", "sessions * each",
        sessions=sessions, each=counted.setting("cleaning_per_session"),
    )  # fmt: skip


def _flash_off_hours(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    if not any(step.machine_name == "booth" for step in own_steps(counted, item)):
        return None
    coats = counted.given(
        f"rule/coats/{item.id}", f"{item.label}: coats", sum(one.coats for one in item.take_off.finishes), "coat",
        "the design",
    )  # fmt: skip
    if coats is None:
        return None
    return counted.work.derive(
        f"rule/flash_off/{item.id}", "Hours of flash-off", "h", "coats x minutes of each / 60", "coats * each / 60",
        coats=coats, each=counted.setting("flash_off_minutes"),
    )  # fmt: skip


def _booth_hours(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    flash_off = _flash_off_hours(counted, item, key)
    steps = [step for step in own_steps(counted, item) if step.machine_name == "booth"]
    minutes = counted.step_minutes(f"{key}/minutes", "Minutes in the finishing room", steps)
    if flash_off is None or minutes is None:
        return None
    return counted.work.derive(
        f"{key}/hours", "Hours of the finishing room", "h", "minutes / 60 + hours of flash-off",
        "minutes / 60 + flash_off", minutes=minutes, flash_off=flash_off,
    )  # fmt: skip


def _unwrapped_things(counted: Counted, item: ItemTaken, key: str) -> Figure | None:
    """Finished things whose design lists nothing that comes with each of them, as wrapping does."""
    return None if any(driven is None for _, driven in item.take_off.supplies.values()) else item.quantity


#: Drivers of one item, whole quantity.
ITEM_DRIVERS: Final[Mapping[str, Callable[[Counted, ItemTaken, str], Figure | None]]] = {
    "jigs": _jigs, "new_joints": _new_joints, "test_parts": _test_parts,
    "thickness_changes": _thickness_changes, "pieces_by_coat": _pieces_by_coat, "masked_pieces": _masked_pieces,
    "glue_lines": _glue_lines, "plugged_screws": _plugged_screws, "person_days": _person_days,
    "cutter_hours": _cutter_hours, "discs": _discs, "own_minutes": _own_minutes,
    "own_minutes_if_new": _own_minutes_if_new, "batch_materials": _batch_materials, "materials": _materials,
    "waste_volume": _waste_volume, "cleaning_litres": _cleaning_litres, "flash_off_hours": _flash_off_hours,
    "booth_hours": _booth_hours,
    "unwrapped_things": _unwrapped_things,
}  # fmt: skip
