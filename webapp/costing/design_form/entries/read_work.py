"""Entries of the design form that count: what is used up, and the steps of the work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from webapp.costing.design_form.entries.read_fields import Entry
from webapp.costing.design_form.tables.driver_tables import DRIVER_SECTIONS, INCLUDED, MADE_SECTIONS, NEEDS_OF
from webapp.costing.design_form.tables.form_tables import NEEDS_COUNT, SHORT_FORM, SHORTER
from webapp.costing.designs.drivers import DRIVERS, JOINT_DRIVERS, WELD_DRIVERS
from webapp.costing.designs.model import Operation, Supply


def _driven(entry: Entry) -> tuple[str, tuple[str, ...]]:
    """The driver of an operation or supply, and what of it counts."""
    driver = entry.one_of("driver")
    if not driver:
        if entry.reading.form == SHORT_FORM and not entry.has("driver"):
            entry.wrong("driver", "nothing says what drives it, and it is no usual step: say it, as 'by fastenings'.")
        return "", ()
    sections = DRIVER_SECTIONS.get(driver, ())
    if entry.reading.form == SHORT_FORM:
        sections = MADE_SECTIONS.get(driver, sections)
    if not sections:
        if entry.has("of"):
            entry.wrong("of", f"the driver {driver} counts {DRIVERS[driver][1]}; nothing can be named for it.")
        return driver, ()
    if driver in NEEDS_OF and not entry.has("of"):
        entry.wrong("of", f"the driver {driver} needs the names of its {sections[0]}.")
    of = _named_of(entry, "of", sections)
    if driver in WELD_DRIVERS or driver in JOINT_DRIVERS:
        _check_welds_counted(entry, driver, of)
    return driver, of


def _named_of(entry: Entry, field: str, sections: Sequence[str]) -> tuple[str, ...]:
    """A list of names of entries of some sections."""
    known = [name for section in sections for name in entry.reading.declared(section)]
    called = ["hardware" if section == "hardware" else SHORTER[section].entry for section in sections]
    return entry.names(field, known, " or ".join(called))


def _check_welds_counted(entry: Entry, driver: str, of: tuple[str, ...]) -> None:
    """Welds are counted by their own drivers, and by no others."""
    joints = entry.reading.document.get("joints")
    for name in of:
        content = joints.get(name) if isinstance(joints, Mapping) else None
        if not isinstance(content, Mapping):
            continue
        if ("weld" in content) != (driver in WELD_DRIVERS):
            counted = "is welded" if "weld" in content else "is not welded"
            entry.wrong("of", f"the joint '{name}' {counted}, and the driver {driver} counts {DRIVERS[driver][1]}.")


def read_supply(entry: Entry) -> Supply:
    """Something used up."""
    driver, of = _driven(entry)
    return Supply(entry.name, entry.words("says"), entry.role("stock"), driver, of, entry.when())


def read_operation(entry: Entry) -> Operation:
    """A step of the work; only holes and counts are counted here, everything else from the take-off."""
    driver, of = _driven(entry)
    counts = driver in NEEDS_COUNT and not of
    both = driver in NEEDS_COUNT and bool(of)
    if driver and not both and counts != entry.has("count"):
        entry.wrong(
            "count",
            f"the driver {driver} {'needs a count' if counts else 'is counted from the take-off; it takes no count'}.",
        )
    includes = _named_of(entry, "includes", INCLUDED) if entry.has("includes") else ()
    return Operation(
        entry.name, entry.words("says"), driver, of, entry.formula_or_none("count"), entry.when(), includes
    )  # fmt: skip
