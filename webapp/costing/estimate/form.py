"""An estimate as a plain document, for the command line, for quotes and for other programs; and its JSON Schema."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cost_range.range import range_schema, simulate, write_range
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.ledger.working import Figure
from webapp.costing.measures.money import to_decimal

ESTIMATE_FORM: Final = 2

#: The foot of the estimate: name in the document -> attribute of the totals. Money with the currency's decimals.
_MONEY_TOTALS: Final = (
    "price",
    "discount",
    "net",
    "tax",
    "fee",
    "total",
    "deposit",
    "balance",
    "cost",
    "profit",
    "bought_in_profit",
    "floor_paid_out",
    "floor_cost",
    "floor_target",
    "earned_per_hour",
    "target_per_hour",
    "spoken",
)
_SHARE_TOTALS: Final = ("margin", "markup")
_MINUTE_TOTALS: Final = ("minutes_low", "minutes_likely", "minutes_mean", "minutes_high", "minutes_charged")


def exact_text(value: Fraction) -> str:
    """An exact value as text: a plain decimal where it has one of at most 18 places, else numerator/denominator."""
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    if rest == 1:
        decimal = Decimal(value.numerator) / Decimal(value.denominator)
        if Fraction(decimal) == value:
            return format(decimal, "f")
    return f"{value.numerator}/{value.denominator}"


def write_estimate(estimate: Estimate) -> dict[str, object]:
    """The estimate with every figure's working and its range. Amounts are text with the currency's decimals, so none
    is rounded."""
    risk = simulate(estimate.range_question)

    def money(figure: Figure | None) -> str | None:
        return None if figure is None else str(to_decimal(figure.value, estimate.places))

    def amount(figure: Figure | None) -> dict[str, str | None]:
        return {"amount": money(figure), "figure": None if figure is None else figure.id}

    totals: dict[str, object] = {name: money(getattr(estimate.totals, name)) for name in _MONEY_TOTALS}
    totals |= {name: exact_text(getattr(estimate.totals, name).value) for name in (*_SHARE_TOTALS, *_MINUTE_TOTALS)}
    totals["taxes"] = [{"rate": exact_text(rate.value), "amount": money(tax)} for rate, tax in estimate.totals.taxes]
    return {
        "form": ESTIMATE_FORM,
        "engine_version": estimate.engine_version,
        "currency": estimate.currency,
        "complete": estimate.complete,
        "totals": totals,
        "lines": [
            {
                "id": line.id,
                "label": line.label,
                "sort": line.sort,
                "quantity": exact_text(line.quantity.value),
                "build_up": [{"name": name, **amount(figure)} for name, figure in line.build_up],
                "minutes": exact_text(line.minutes.value),
                "direct": money(line.direct),
                "contingency": money(line.contingency),
                "reserves": [{"name": name, **amount(figure)} for name, figure in line.reserves],
                "cost": money(line.cost),
                "each": money(line.unit_price),
                "price": money(line.price),
                "discount": money(line.discount),
                "net": money(line.net),
                "tax_rate": exact_text(line.tax_rate.value),
                "tax": money(line.tax),
            }
            for line in estimate.lines
        ],
        "materials": [
            {
                "code": one.material.code,
                "name": one.material.name,
                "kind": str(one.material.kind),
                "unit": one.unit,
                "need": exact_text(one.required.value),
                "price_state": one.price_state,
                "bought": money(one.bought),
                "by_share": money(one.by_share),
                "charged": money(one.charged),
                "figure": one.charged.id,
                "purchases": [
                    {
                        "supplier": purchase.offer.supplier,
                        "offer": purchase.offer.id,
                        "size": {name: exact_text(value) for name, value in purchase.offer.size.items()},
                        "packs": purchase.packs,
                        "each": money(purchase.unit_price),
                        "amount": money(purchase.amount),
                        "price_state": purchase.price_state,
                        "age_days": purchase.age_days,
                    }
                    for purchase in one.purchases
                ],
                "plan": _plan(one, estimate),
            }
            for one in estimate.bought
        ],
        "steps": [
            {
                "item": step.item,
                "operation": step.operation,
                "label": step.label,
                "units": exact_text(step.units.value),
                "unit": step.unit,
                "set_up": exact_text(step.set_up.value),
                "low": exact_text(step.low.value),
                "likely": exact_text(step.likely.value),
                "mean": exact_text(step.mean.value),
                "high": exact_text(step.high.value),
                "charged": exact_text(step.charged.value),
                "labour": money(step.labour),
                "machine": money(step.machine),
                "changed": step.changed,
            }
            for step in estimate.steps
        ],
        "items": [
            {
                "id": item.id,
                "design": item.take_off.design.code,
                "digest": item.take_off.design.digest,
                "label": item.label,
                "quantity": exact_text(item.quantity.value),
                "mass_kg": exact_text(item.take_off.mass.value),
                "parts": [
                    {
                        "name": part.name,
                        "says": part.says,
                        "material": part.material,
                        "count": exact_text(part.count.value),
                        "length_nm": int(part.length.value),
                        "width_nm": None if part.width is None else int(part.width.value),
                        "thickness_nm": None if part.thickness is None else int(part.thickness.value),
                    }
                    for part in item.take_off.parts
                ],
            }
            for item in estimate.items
        ],
        "checks": [
            {"item": item, "name": check.name, "outcome": check.outcome, "sentence": check.sentence}
            for item, check in estimate.checks
        ],
        "problems": [
            {"field": one.field, "message": one.message, "severity": one.severity} for one in estimate.problems
        ],
        "basis": {
            "assumptions": list(estimate.basis.assumptions),
            "exclusions": list(estimate.basis.exclusions),
            "prices_in_doubt": [
                {
                    "material": doubt.material,
                    "state": doubt.state,
                    "amount": None if doubt.amount is None else str(to_decimal(doubt.amount, estimate.places)),
                    "sentence": doubt.sentence,
                }
                for doubt in estimate.basis.doubts
            ],
            "differences": list(estimate.basis.differences),
            "stands_days": estimate.basis.stands_days,
        },
        "calendar": {
            "ready_days": int(estimate.calendar.ready.value),
            "figure": estimate.calendar.ready.id,
            "parts": [
                {"name": words, "days": exact_text(figure.value), "figure": figure.id}
                for words, figure in estimate.calendar.parts
            ],
        },
        "risk": write_range(risk, estimate.places),
        "figures": write_figures(tuple({**risk.figures, **estimate.calendar.figures, **estimate.figures}.values())),
    }


def write_figures(figures: Sequence[Figure]) -> dict[str, object]:
    """Figures by id: value (exact), unit, and how it was reached."""
    return {
        figure.id: {
            "label": figure.label, "value": exact_text(figure.value), "unit": figure.unit, "words": figure.words,
            "formula": figure.expression, "inputs": dict(figure.inputs), "source": figure.source,
        }
        for figure in figures
    }  # fmt: skip


def _plan(bought: MaterialBought, estimate: Estimate) -> dict[str, object] | None:
    plan, pieces = bought.plan, bought.pieces
    if plan is None:
        return None
    price, bound, proved = (getattr(plan, name) for name in ("price", "bound", "proved"))
    shared = {
        "key": bought.plan_key,
        "pinned": bought.pinned,
        "price": str(to_decimal(price, estimate.places)),
        "bound": str(to_decimal(bound, estimate.places)),
        "proved": proved,
    }
    if isinstance(plan, SheetPlan):
        return {
            **shared,
            "pieces": list(pieces),
            "cuts": plan.cuts,
            "sheets": [
                {
                    "stock": one.stock,
                    "count": one.count,
                    "placements": [
                        {"piece": pieces[int(put.piece)], "x_nm": put.x, "y_nm": put.y, "turned": put.turned}
                        for put in one.placements
                    ],
                }
                for one in plan.sheets
            ],
        }
    parts = {part.id: part for part in plan.parts}

    def laid(name: str, start: int) -> dict[str, object]:
        """A piece, or one part of a piece that is joined of several."""
        part = parts.get(name)
        if part is None:
            return {"piece": pieces[int(name)], "at_nm": start}
        return {
            "piece": pieces[int(part.piece)], "part": part.number, "of": part.of, "length_nm": part.length,
            "at_nm": start,
        }  # fmt: skip

    return {
        **shared,
        "pieces": list(pieces),
        "cuts": plan.cuts,
        "lengths": [
            {"stock": one.stock, "count": one.count, "pieces": [laid(name, start) for name, start in one.pieces]}
            for one in plan.lengths
        ],
    }


def estimate_schema() -> dict[str, object]:
    """JSON Schema of the estimate's document."""
    text, texts = {"type": "string"}, {"type": "array", "items": {"type": "string"}}
    amount = {"type": ["string", "null"], "description": "an amount in the currency, as text"}
    exact = {"type": "string", "description": "an exact value: a decimal, or numerator/denominator"}
    totals: dict[str, object] = dict.fromkeys(_MONEY_TOTALS, amount)
    totals |= dict.fromkeys((*_SHARE_TOTALS, *_MINUTE_TOTALS), exact)
    totals["taxes"] = {"type": "array", "items": {"type": "object", "properties": {"rate": exact, "amount": amount}}}
    entries = {"type": "array", "items": {"type": "object"}}
    figure = {
        "type": "object",
        "required": ["label", "value", "unit", "words", "formula", "inputs", "source"],
        "properties": {
            "label": text,
            "value": exact,
            "unit": text,
            "words": text,
            "formula": text,
            "source": text,
            "inputs": {"type": "object", "additionalProperties": text},
        },
    }
    properties: dict[str, object] = {
        "form": {"const": ESTIMATE_FORM},
        "engine_version": {"type": "integer"},
        "currency": text,
        "complete": {"type": "boolean"},
        "totals": {"type": "object", "properties": totals, "required": list(totals)},
        "lines": entries,
        "materials": entries,
        "steps": entries,
        "items": entries,
        "checks": entries,
        "problems": entries,
        "basis": {
            "type": "object",
            "properties": {
                "assumptions": texts,
                "exclusions": texts,
                "differences": texts,
                "prices_in_doubt": entries,
                "stands_days": {"type": "integer"},
            },
        },
        "calendar": {
            "type": "object",
            "description": "the earliest ready day, in working days",
            "properties": {"ready_days": {"type": "integer"}, "figure": text, "parts": entries},
        },
        "risk": range_schema(),
        "figures": {"type": "object", "additionalProperties": figure},
    }
    by = {"type": "object", "additionalProperties": text}
    option = {
        "type": "object",
        "description": "another way on the quote: by how much net, tax, fee and total are more, and the total with it",
        "properties": {"id": text, "name": text, "by": by, "total": text},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Estimate",
        "type": "object",
        "properties": {**properties, "options": {"type": "array", "items": option}},
        "required": list(properties),
        "additionalProperties": False,
    }
