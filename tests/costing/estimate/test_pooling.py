"""Several jobs bought for together: what it costs, who pays what, and what stays apart."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests import wall_cabinet_case as case
from tests.harness.examples import examples
from webapp.costing.catalogue.materials import Offcut, PriceSeen
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.pool_shares import divide_way
from webapp.costing.estimate.pooling import JobPooled, MaterialPooled, Pool, pool_jobs
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.jobs.reader import read_job
from webapp.costing.ledger.working import Figure, Working, rework, smallest_coin
from webapp.costing.plans.requests import Plan
from webapp.design_text import read_text

F = Fraction
BOOK: dict[str, Plan] = {}

#: Two panels of 1200 x 1195 mm come from a sheet of 2440 x 1220 mm trimmed by 10 mm, with a cut of 3.2 mm between.
PANELS = """
form: 1
design: panel
name: Panel
says: A square panel for a test.
sizes:
  long: {says: Length, usual: 1200 mm, least: 100 mm, most: 2000 mm}
stock:
  ply: {says: Plywood, kind: sheet, usual: thin_sheet}
  peg_stock: {says: Pegs, kind: piece, usual: peg}
parts:
  panel: {says: Panel, stock: ply, count: 1, length: long, width: 1195 mm, runs: {length: x, width: y}}
closes: {x: long, y: 1195 mm, z: ply.thickness}
hardware:
  pegs: {says: Pegs, stock: peg_stock, count: 12}
scope: A panel.
"""
DESIGN = read_text(PANELS)[0] or {}


def a_job(number: int, panels: str, **more: object) -> tuple[JobPooled, Inputs]:
    """A job of so many panels."""
    items = [{"id": "one", "design": "panel", "quantity": panels}]
    document = {"form": "1", "job": f"Panels {number}", "items": items, **more}
    inputs = replace(case.inputs(), job=document, designs={"one": DESIGN})
    found = estimate_inputs(inputs, BOOK)
    assert not [one for one in found.problems if one.field.startswith("items")], found.problems
    return JobPooled(number, read_job(document, "metric")[0], found), inputs


def pool(*jobs: tuple[JobPooled, Inputs], inputs: Inputs | None = None) -> Pool:
    start = inputs or jobs[0][1]
    return pool_jobs([one for one, _ in jobs], start.catalogue, start.rates, BOOK, "metric", 2)


def of(pooled: Pool, key: str) -> MaterialPooled:
    return next(one for one in pooled.materials if one.key == key)


def test_two_half_sheets_make_one_sheet_and_each_job_pays_half() -> None:
    pooled = pool(a_job(7, "1"), a_job(9, "1"))
    sheets = of(pooled, "thin_sheet")
    assert sheets.together
    assert sheets.pooled is not None
    assert sheets.alone_cost.value == 2 * 38
    assert sheets.cost.value == 38
    assert [one.packs for one in sheets.pooled.purchases] == [1]
    assert isinstance(sheets.pooled.plan, SheetPlan)
    assert sheets.pooled.plan.proved
    assert sheets.pooled.pieces == ("7/one/panel", "9/one/panel")
    assert [(one.number, one.share.value, one.saved.value) for one in sheets.shares] == [
        (7, F(19), F(19)),
        (9, F(19), F(19)),
    ]
    # A pack of 20 pegs at 3.20 for 12 and 12 pegs: two packs, as alone.
    pegs = of(pooled, "peg")
    assert pegs.cost.value == pegs.alone_cost.value == F("6.40")
    assert pooled.saved.value == 38
    assert [one.share.value for one in pooled.shares] == [F("22.20"), F("22.20")]


def test_unequal_jobs_pay_by_what_they_would_pay_alone() -> None:
    pooled = pool(a_job(1, "3"), a_job(2, "1"), a_job(3, "5"))
    sheets = of(pooled, "thin_sheet")
    # Alone two, one and three sheets; together nine panels on five.
    assert sheets.alone_cost.value == 6 * 38
    assert sheets.cost.value == 5 * 38
    assert [one.share.value for one in sheets.shares] == [F("63.33"), F("31.67"), F("95.00")]
    for figure in pooled.figures.values():
        if figure.expression and all(name in pooled.figures for _, name in figure.inputs):
            assert rework(figure, pooled.figures) == figure.value


PRICES = st.decimals("0.01", "999.99", places=2)


@examples(15)
@given(st.lists(st.integers(1, 9), min_size=2, max_size=6), PRICES, PRICES)
def test_shares_add_up_to_the_cent_and_nobody_pays_more_than_alone(
    panels: list[int], sheet: Decimal, peg: Decimal
) -> None:
    start = case.inputs().catalogue
    prices = dict(start.prices)
    for code, price in (("thin_sheet", sheet), ("peg", peg)):
        offer = start.offers[code][0].id
        prices[offer] = (PriceSeen(offer, price, "USD", case.TODAY, "the test"),)
    catalogue = replace(start, prices=prices)
    jobs = []
    for number, count in enumerate(panels, 1):
        one, inputs = a_job(number, str(count))
        found = estimate_inputs(replace(inputs, catalogue=catalogue), BOOK)
        jobs.append(replace(one, estimate=found))
    pooled = pool_jobs(jobs, catalogue, case.rates(), BOOK, "metric", 2)
    for material in pooled.materials:
        assert sum(one.share.value for one in material.shares) == material.cost.value
        assert material.cost.value <= material.alone_cost.value
        for paid in material.shares:
            exact = material.cost.value * paid.alone.value / material.alone_cost.value
            assert (paid.share.value * 100).denominator == 1
            assert 0 <= paid.share.value <= paid.alone.value
            assert abs(paid.share.value - exact) < F(1, 100)
    assert sum(one.share.value for one in pooled.shares) == pooled.cost.value
    assert pooled.alone.value - pooled.cost.value == pooled.saved.value >= 0


def test_a_job_with_cutting_rules_of_its_own_is_left_out_and_named() -> None:
    own = {"settings": {"kerf": {"value": "4 mm", "why": "the old blade"}}}
    pooled = pool(a_job(7, "1"), a_job(8, "1", **own), a_job(9, "1"))
    assert [number for number, _ in pooled.apart] == [8]
    assert "“Width of a saw cut”" in pooled.apart[0][1]
    assert [one.number for one in pooled.shares] == [7, 9]


def test_an_offcut_that_two_jobs_count_on_is_taken_once() -> None:
    stock = case.inputs().catalogue
    offcut = Offcut("left", "thin_sheet", 1300 * case.MM, 1220 * case.MM, 1)
    catalogue = replace(stock, offcuts={"thin_sheet": (offcut,)})
    jobs = []
    for number in (1, 2):
        one, inputs = a_job(number, "1")
        jobs.append(replace(one, estimate=estimate_inputs(replace(inputs, catalogue=catalogue), {})))
    alone = [next(own for own in one.estimate.bought if own.key == "thin_sheet") for one in jobs]
    assert all(own.purchases[0].from_rack for own in alone)
    sheets = of(pool_jobs(jobs, catalogue, case.rates(), {}, "metric", 2), "thin_sheet")
    assert sheets.together
    assert "counts on the same offcuts" in sheets.why
    assert sheets.pooled is not None
    # One new sheet at 38 holds both panels; the offcut and a new sheet would be dearer.
    assert sheets.cost.value == 38 > sheets.alone_cost.value
    assert sum(one.share.value for one in sheets.shares) == 38


def test_a_job_that_leaves_the_rack_alone_is_left_out() -> None:
    pooled = pool(a_job(1, "1"), a_job(2, "1", rack="no"), a_job(3, "1", rack="yes"))
    assert [number for number, _ in pooled.apart] == [2]


def test_too_many_pieces_are_said_and_stay_with_their_jobs() -> None:
    pooled = pool(a_job(1, "3000"), a_job(2, "2001"))
    sheets = of(pooled, "thin_sheet")
    assert not sheets.together
    assert sheets.pooled is None
    assert sheets.why == "5,001 pieces are more than the 5,000 that are planned as one"
    assert sheets.cost.value == sheets.alone_cost.value
    assert [one.key for _, one in pooled.single] == ["thin_sheet", "thin_sheet"]


def test_one_job_alone_buys_as_it_does() -> None:
    pooled = pool(a_job(4, "3"))
    assert pooled.materials == ()
    assert pooled.saved.value == 0
    assert pooled.cost.value == sum(one.bought.value for _, one in pooled.single) == 2 * 38 + F("6.40")
    assert pool_jobs([], case.catalogue(), case.rates(), BOOK, "metric", 2).cost.value == 0


def test_jobs_bought_for_together_share_a_stop() -> None:
    catalogue = case.catalogue()
    pegs = tuple(replace(one, supplier="counter", supplier_name="Counter") for one in catalogue.offers["peg"])
    start = replace(case.inputs(), catalogue=replace(catalogue, offers={**catalogue.offers, "peg": pegs}))
    jobs = []
    for number in (7, 9):
        one, inputs = a_job(number, "1")
        found = estimate_inputs(replace(inputs, catalogue=start.catalogue), BOOK)
        assert found.stops is not None
        assert found.stops.value == 25
        jobs.append((replace(one, estimate=found), start))
    pooled = pool(*jobs, inputs=start)
    assert [(one.alone.value, one.share.value) for one in pooled.getting] == [(F(25), F("12.50"))] * 2
    materials = sum((one.cost.value for one in pooled.materials), F(0))
    assert pooled.cost.value == materials + 25
    assert all(one.share.value <= one.alone.value for one in pooled.shares)


def two_counters(*offers: tuple[str, str, str, int, str], others: str = "yard") -> Inputs:
    """Inputs where all is fetched: these offers (name, material, supplier, how many in a pack, its price), and all
    other goods from one supplier."""
    start = case.inputs()
    catalogue = start.catalogue
    held = {
        code: tuple(replace(one, supplier=others, supplier_name=others.title()) for one in sold)
        for code, sold in catalogue.offers.items() if code not in {one[1] for one in offers}
    }  # fmt: skip
    prices = dict(catalogue.prices)
    for name, code, supplier, holds, price in offers:
        like = catalogue.offers[code][0]
        size = {"count": F(holds)} if holds else like.size
        offer = replace(like, id=name, supplier=supplier, supplier_name=supplier.title(), size=size)
        held[code] = (*held.get(code, ()), offer)
        prices[name] = (PriceSeen(name, Decimal(price), "USD", case.TODAY, "the test"),)
    return replace(start, catalogue=replace(catalogue, offers=held, prices=prices))


def jobs_at(start: Inputs, *panels: str, **materials: str) -> list[JobPooled]:
    """Jobs of so many panels each, bought by these inputs; `materials` are those of the last."""
    jobs = []
    for number, count in enumerate(panels, 1):
        item: dict[str, object] = {"id": "one", "design": "panel", "quantity": count}
        document = {"form": "1", "job": f"Panels {number}", "items": [item]}
        if number == len(panels) and materials:
            item |= {"materials": materials}
        found = estimate_inputs(replace(start, job=document, designs={"one": DESIGN}), BOOK)
        jobs.append(JobPooled(number, read_job(document, "metric")[0], found))
    return jobs


def pool_at(start: Inputs, jobs: list[JobPooled]) -> Pool:
    return pool_jobs(jobs, start.catalogue, start.rates, BOOK, "metric", 2)


def test_a_stop_that_only_buying_together_brings_is_paid() -> None:
    """By itself a job buys 20 pegs at the yard for 20.00; both buy 24 at the counter for 10.00 and drive there for
    25.00, which is 5.00 less than 40.00. With one sheet of 38.00 in place of two that is 73.00, not 48.00."""
    start = two_counters(("near", "peg", "yard", 20, "20"), ("far", "peg", "counter", 24, "10"))
    jobs = jobs_at(start, "1", "1")
    assert [one.estimate.stops for one in jobs] == [None, None]
    pooled = pool_at(start, jobs)
    assert pooled.alone.value == 2 * (38 + 20)
    assert pooled.cost.value == 38 + 10 + 25
    assert sum(one.share.value for one in pooled.getting) == 25
    assert sum(one.share.value for one in pooled.shares) == 73
    assert all(one.share.value <= one.alone.value for one in pooled.shares)


def test_goods_that_are_dearer_together_stay_where_that_saves_a_drive() -> None:
    """By itself a job buys 12 pegs at the counter for 3.00 and a drive of 25.00, not 100 at the yard for 30.00; both
    together buy those 100, which is 1.00 less than 6.00 and the drive."""
    start = two_counters(("near", "peg", "yard", 100, "30"), ("far", "peg", "counter", 12, "3"))
    pooled = pool_at(start, jobs_at(start, "1", "1"))
    pegs = of(pooled, "peg")
    assert pegs.together
    assert pegs.why == "its goods cost more together, which saves more on the way"
    assert pegs.alone_cost.value == 6
    assert pegs.cost.value == 30
    assert pooled.alone.value == 2 * (38 + 3 + 25)
    assert pooled.cost.value == 38 + 30
    assert [one.share.value for one in pooled.shares] == [34, 34]


def test_where_goods_and_way_are_dearer_together_each_job_buys_by_itself() -> None:
    """One job buys its sheet and pegs at the yard, the other at the mill. Together the pegs would be 1.00 cheaper, and
    somebody would drive to both for 25.00."""
    start = two_counters(
        ("thin", "thin_sheet", "yard", 0, "38"), ("thick", "thick_sheet", "mill", 0, "80"),
        ("near", "peg", "yard", 20, "3"), ("far", "peg", "mill", 20, "3"), ("many", "peg", "yard", 24, "5"),
    )  # fmt: skip
    jobs = jobs_at(start, "1", "1", ply="thick_sheet")
    assert [one.estimate.stops for one in jobs] == [None, None]
    pooled = pool_at(start, jobs)
    assert pooled.cost.value == pooled.alone.value == 38 + 80 + 3 + 3
    assert not of(pooled, "peg").together
    assert of(pooled, "peg").why == "goods and their way together come to more than each job by itself"
    assert pooled.getting == ()
    assert [one.key for _, one in pooled.single] == ["peg", "thin_sheet", "peg", "thick_sheet"]


COINS = st.integers(1, 6000).map(lambda coins: str(Decimal(coins) / 100))
PEGS = st.tuples(st.sampled_from(("yard", "counter", "mill")), st.integers(6, 60), COINS)


@examples(12)
@given(st.lists(st.integers(1, 4), min_size=2, max_size=3), st.lists(PEGS, min_size=1, max_size=4))
def test_the_way_of_what_is_bought_together_is_paid_and_nobody_is_worse_off(
    panels: list[int], pegs: list[tuple[str, int, str]]
) -> None:
    """A drive to each supplier but the first is 25.00, counted here anew from who sells what is bought."""
    offers = [(f"pegs {at}", "peg", *one) for at, one in enumerate(pegs)]
    start = two_counters(*offers)
    jobs = jobs_at(start, *(str(count) for count in panels))
    pooled = pool_at(start, jobs)
    alone = F(0)
    for one in jobs:
        theirs = [purchase for bought in one.estimate.bought for purchase in bought.purchases]
        goods = sum(purchase.amount.value for purchase in theirs if purchase.amount is not None)
        alone += goods + 25 * (len({purchase.offer.supplier for purchase in theirs}) - 1)
    assert pooled.alone.value == alone
    everything = [*pooled.bought, *(bought for _, bought in pooled.single)]
    together = [purchase for bought in everything for purchase in bought.purchases]
    goods = sum(purchase.amount.value for purchase in together if purchase.amount is not None)
    way = 25 * (len({purchase.offer.supplier for purchase in together}) - 1)
    assert pooled.cost.value in (goods + way, alone)
    assert pooled.cost.value <= min(goods + way, alone)
    assert sum(one.share.value for one in pooled.shares) == pooled.cost.value
    assert all(one.share.value <= one.alone.value for one in pooled.shares)
    assert sum(one.share.value for one in pooled.getting) + sum(
        one.cost.value for one in pooled.materials
    ) + sum(bought.bought.value for _, bought in pooled.single if bought.key not in {
        one.key for one in pooled.materials
    }) == pooled.cost.value  # fmt: skip


def test_a_job_whose_goods_are_dearer_than_its_way_is_made_good() -> None:
    """Goods cost the first job 10 more, the others save 4 and 30 by theirs; their ways alone are 0, 5 and 25, and 20
    together. The first saves nothing then, and the others pay 30 by what they would save, 9 and 55."""
    working = Working()
    coin = smallest_coin(working, 2)

    def given_all(name: str, *amounts: int) -> dict[int, Figure]:
        return {
            number: working.given(f"{name}/{number}", name, amount, "money", "the test")
            for number, amount in enumerate(amounts, 1)
        }

    ways, saved = given_all("way", 0, 5, 25), given_all("saved", -10, 4, 30)
    cost = working.given("cost", "Way", 20, "money", "the test")
    alone = working.total("alone", "Ways", "money", [*ways.values()])
    shares = divide_way(cost, alone, ways, saved, coin, working)
    # 30 x 9 / 64 is 4.21875, and 30 x 55 / 64 is 25.78125.
    assert [one.share.value for one in shares] == [-10, F("4.22"), F("25.78")]
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value
