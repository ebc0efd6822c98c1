"""The form of an offer: by whom, in what size, at what terms; read back with everything that is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.measures.written import System, as_kept, as_shown
from webapp.pages.catalogue.material_form import free_code, read_value
from webapp.pages.catalogue.supplier_form import problem_with_name, read_days, read_sum
from webapp.pages.shown.materials import number_typed, unit_of
from webapp.pages.web.fields import Field
from webapp.persistence.catalogue.records import Supplier
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.settings.shop import Shop

LONGEST_CODE: Final = 60
#: Sizes that are one unless somebody says otherwise.
COUNTED: Final = frozenset({"count", "step"})
#: Sizes that count whole ones.
IN_WHOLE_ONES: Final = frozenset({"count", "pack"})
#: The choice that goes with a supplier's name typed beside it.
NEW_SUPPLIER: Final = ("new", "A new one, named below")


def labels_of(kind: Kind) -> dict[str, str]:
    """What each field of an offer's form is called."""
    sizes = {f"size.{one.name}": one.label for one in KINDS[kind].sizes}
    return {
        "supplier": "Supplier", "new_supplier": "New supplier", **sizes, "supplier_code": "Their code",
        "lead_days": "Lead time, days", "minimum_order": "Minimum order",
    }  # fmt: skip


def fields_of(offer: Offer, material: Material, shop: Shop) -> dict[str, str]:
    """An offer as its form holds it."""
    sizes = {
        f"size.{one.name}": number_typed(offer.size[one.name], one, shop.length_system)
        for one in KINDS[material.kind].sizes
        if one.name in offer.size
    }
    least = "" if offer.minimum_order is None else as_shown(f"{offer.minimum_order:.{shop.currency_places}f}")
    return {
        "supplier": offer.supplier, "new_supplier": "", **sizes, "supplier_code": offer.supplier_code,
        "lead_days": "" if offer.lead_days is None else str(offer.lead_days), "minimum_order": least,
    }  # fmt: skip


def said_of(fields: Mapping[str, str], suppliers: Mapping[str, str]) -> dict[str, str]:
    """The fields as they are read: the supplier by name."""
    return {**fields, "supplier": suppliers.get(fields["supplier"], fields["supplier"])}


def typed_offer(sent: Mapping[str, str], kind: Kind) -> dict[str, str]:
    """The fields of an offer's form that were sent, tidied; those that were not sent are empty."""
    return {name: one_line(sent.get(name, "")) for name in labels_of(kind)}


def size_fields(
    kind: Kind, fields: Mapping[str, str], problems: Mapping[str, str], system: System
) -> tuple[Field, ...]:
    """The fields of what one purchase holds."""
    return tuple(
        Field(
            f"size.{one.name}", one.label, fields.get(f"size.{one.name}", ""), one.hint,
            problems.get(f"size.{one.name}", ""), unit=unit_of(one, system), required=one.required,
        )
        for one in KINDS[kind].sizes
    )  # fmt: skip


def read_offer(
    offer_id: str, material: Material, fields: Mapping[str, str], suppliers: Sequence[Supplier], shop: Shop
) -> tuple[Offer, dict[str, str]]:
    """The offer that was typed, and everything that is wrong with it, by field."""
    problems: dict[str, str] = {}
    supplier, named = fields["supplier"], fields["new_supplier"]
    if supplier not in {one.code for one in suppliers}:
        supplier = free_code(named, {one.code for one in suppliers}, "supplier")
        if fields["supplier"] != NEW_SUPPLIER[0] and not named:
            problems["supplier"] = f"Choose who sells {material.name}, or name a new supplier."
        elif problem := problem_with_name(named, suppliers):
            problems["new_supplier"] = problem
    elif named:
        problems["new_supplier"] = f"“{named[:60]}” is typed, but another supplier is chosen: empty one of the two."
    size: dict[str, Fraction] = {}
    for one in KINDS[material.kind].sizes:
        value, problem = read_value(one, as_kept(fields[f"size.{one.name}"]), shop.length_system)
        if not problem and one.name in IN_WHOLE_ONES and value is not None and value.denominator != 1:
            problem = f"{one.label}: “{fields[f'size.{one.name}']}” is no whole number."
        if problem:
            problems[f"size.{one.name}"] = problem
        elif value is not None:
            size[one.name] = value
    if len(fields["supplier_code"]) > LONGEST_CODE:
        problems["supplier_code"] = f"The code has {len(fields['supplier_code'])} characters; at most {LONGEST_CODE}."
    lead_days, problem = read_days(fields["lead_days"])
    if problem:
        problems["lead_days"] = problem
    minimum, problem = read_sum(fields["minimum_order"], shop, "where any order will do")
    if problem:
        problems["minimum_order"] = problem
    return Offer(offer_id, material.code, supplier, size, fields["supplier_code"], lead_days, minimum), problems
