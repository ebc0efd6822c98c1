"""The work of an estimate holds nothing of an owner's: whatever the shop charges, it stays the same."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests import wall_cabinet_case as case
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work, work_of
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.jobs.reader import read_job
from webapp.costing.ledger.working import Working
from webapp.costing.settings.table import CHARGE, SETTINGS, default_rates

JOB = {
    **case.JOB,
    "discount": "5 %",
    "settings": {"profit": {"value": "31 %", "why": "An old debt"}},
    "lines": [{"id": "skip", "kind": "hire", "says": "Skip", "each": "95.00"}],
}


def _inputs() -> Inputs:
    return replace(case.inputs(), job=JOB)


def _work(estimate: Estimate) -> Work:
    job, _ = read_job(JOB, "metric")
    return work_of(estimate, job)


def test_no_figure_of_an_owners_is_in_it_or_went_into_it() -> None:
    found = estimate_inputs(_inputs())
    work = _work(found)
    owners = [found.totals.net, found.totals.total, found.totals.cost, found.totals.margin, found.totals.profit]
    owners += [step.labour for step in found.steps] + [line.unit_price for line in found.lines]
    owners += [found.totals.target_per_hour, found.totals.floor_paid_out, found.totals.deposit]
    assert not {one.id for one in owners} & work.figures.keys()
    assert not {
        name for name in work.figures if name.startswith(("setting/labour", "setting/profit", "setting/overhead"))
    }
    for figure in work.figures.values():
        assert {given for _, given in figure.inputs} <= work.figures.keys(), figure.id
    shown = [work.minutes_likely, work.minutes_mean, *(one.bought for one in work.bought)]
    shown += [figure for step in work.steps for figure in (step.units, step.likely, step.mean)]
    assert {one.id for one in shown} <= work.figures.keys()
    assert "31" not in " ".join((*work.basis.assumptions, *work.basis.differences, *work.basis.exclusions))


def test_a_figure_is_the_owners_unless_it_is_marked_where_it_is_made() -> None:
    """Whatever its unit: a share and a number of days are as much the owner's as an amount of money."""
    working = Working()
    marks = {
        "plain": working.given("plain", "A discount", Fraction(1, 20), "share", "the job"),
        "days": working.given("days", "Days until paid", 30, "day", "the job"),
        "marked": working.work.given("marked", "A price seen", 12, "money", "the catalogue"),
        "sum": working.work.derive("sum", "Twice", "money", "twice", "2 * a", a=working.work["marked"]),
        "owners": working.work.owners.total("owners", "All", "money", [working["marked"]]),
    }
    assert {name for name, figure in marks.items() if figure.work} == {"marked", "sum"}
    assert working.figures.keys() == working.work.figures.keys() == marks.keys()
    # Made twice, it is the owner's if one of the two says so.
    working.given("marked", "A price seen", 12, "money", "the catalogue")
    working.work.given("days", "Days until paid", 30, "day", "the job")
    assert not working["marked"].work
    assert not working["days"].work


def test_minutes_of_free_labour_are_counted_once_beside_the_jobs_own_steps() -> None:
    """The shop charges likely minutes, so what is charged over all lines is what is likely over all steps."""
    inputs = replace(
        _inputs(), job={**JOB, "lines": [{"id": "out", "kind": "labour", "says": "Out", "minutes": "90 min"}]}
    )
    rates = inputs.rates.with_values({"rule_survey": Fraction(1), "charged_hours": Fraction(1)}, {})
    totals = estimate_inputs(replace(inputs, rates=rates)).totals
    assert totals.minutes_likely.value == totals.minutes_charged.value


AT_THE_SAW = ("labour_maker", "labour_helper", "labour_office", "overhead_per_hour", "machine_saw")


def test_whatever_the_shop_charges_the_work_stays_the_same() -> None:
    """Every rate, share and step of what the shop charges is moved; nothing that a helper is shown may follow.

    But for what an hour at the saw costs: cut plans are chosen for what they cost bought and sawn, and whoever saws has
    to see the plan.
    """
    inputs = _inputs()
    before = _work(estimate_inputs(inputs))
    moved = {
        one.name: min(one.most, inputs.rates[one.name] * 2 + Fraction(1, 50))
        for one in SETTINGS
        if one.group == CHARGE and one.quantity in ("money", "percent") and one.name not in AT_THE_SAW
    }
    assert len(moved) > 20
    other = replace(inputs, rates=inputs.rates.with_values(moved, {}))
    assert estimate_inputs(other).totals.net.value != estimate_inputs(inputs).totals.net.value
    assert _work(estimate_inputs(other)) == before


def test_what_is_charged_of_a_pack_says_nothing_in_it() -> None:
    """Whether whole packs or what is used of them is charged is the owner's to say."""
    inputs = _inputs()
    by_share = {one.name: Fraction(1) for one in SETTINGS if one.name.startswith("charged_") and one.most >= 1}
    defaults = default_rates()
    assert all(name in defaults.values for name in by_share)
    other = replace(inputs, rates=inputs.rates.with_values(by_share, {}))
    for one, two in zip(_work(estimate_inputs(inputs)).bought, _work(estimate_inputs(other)).bought, strict=True):
        assert (one.charged, one.shares) == (two.charged, two.shares) == (one.bought, {})
