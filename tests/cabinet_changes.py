"""The wall cabinet with something changed: its document, its catalogue, its rates; and what is found in a take-off."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from tests import wall_cabinet_case as case
from webapp.costing.catalogue.materials import Catalogue, Material, Offer
from webapp.costing.design_form.reader import read_design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Check, PartTaken, TakeOff

F = Fraction
MM = 10**6


def changed(**entries: object) -> dict[str, object]:
    """The wall cabinet's document with entries put in (by 'section__name') or taken out (None)."""
    document = copy.deepcopy(case.design_document())
    for path, content in entries.items():
        section, _, rest = path.partition("__")
        held = document.setdefault(section, {})
        assert isinstance(held, dict)
        name, _, field = rest.partition("__")
        if field:
            held = held[name]
            name = field
        if content is None:
            del held[name]
        else:
            held[name] = content
    return document


def take(
    document: Mapping[str, object] | None = None,
    *,
    sizes: Mapping[str, F] | None = None,
    choices: Mapping[str, str] | None = None,
    materials: Mapping[str, str] | None = None,
    catalogue: Catalogue | None = None,
    rates: Rates | None = None,
    step: int = 100_000,
) -> TakeOff:
    """The take-off of a document; every figure of it has to work out again, whatever is wrong with the design."""
    design, problems = read_design(document if document is not None else case.design_document())
    assert design is not None, problems
    working = Working()
    found = expand(
        design, sizes or {}, choices or {}, materials or {}, catalogue or case.catalogue(), rates or case.rates(),
        working, "item/x", step, "inch" if step == 396_875 else "metric",
    )  # fmt: skip
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
    return found


def with_material(material: Material, *offers: Offer) -> Catalogue:
    known = case.catalogue()
    return replace(
        known,
        materials={**known.materials, material.code: material},
        offers={**known.offers, material.code: offers or known.offers.get(material.code, ())},
    )


def without_value(code: str, name: str) -> Catalogue:
    one = case.catalogue().materials[code]
    return with_material(replace(one, values={key: value for key, value in one.values.items() if key != name}))


def part(found: TakeOff, name: str) -> PartTaken:
    return next(one for one in found.parts if one.name == name)


def check(found: TakeOff, name: str) -> Check:
    return next(one for one in found.checks if one.name == name)


def said(found: TakeOff, field: str) -> str:
    return " ".join(one.message for one in found.problems if one.field == field)


def corners() -> dict[str, object]:
    joints = case.design_document()["joints"]
    assert isinstance(joints, dict)
    return dict(joints["corners"])


def with_settings(**values: object) -> Rates:
    known = case.rates()
    return replace(known, values={**known.values, **{name: F(str(value)) for name, value in values.items()}})
