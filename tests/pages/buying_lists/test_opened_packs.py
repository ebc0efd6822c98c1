"""Opened boxes and tins are used up before another is bought, by one job at a time; what a job is priced at stays."""

from __future__ import annotations

from fractions import Fraction
from html import unescape

import pytest

from tests.harness.entering import enter
from tests.harness.visiting import Visitor
from tests.pages.buying_lists.test_lists import JOB, OTHER, made, settled, words_of
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.stock import StockOnHand, may_be_stock
from webapp.costing.buying_list.lines import Line
from webapp.estimating import estimate_job
from webapp.persistence.buying_lists.free_stock import free_stock
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.rack.cuts import mark_cut
from webapp.persistence.rack.stock import keep_in_stock, stock_of
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now


def needed(visitor: Visitor, number: int) -> dict[str, MaterialBought]:
    """What a job needs of what can be kept by the unit, bought by itself."""
    with visitor.program.database.reading() as session:
        job, shop = load_job_by_number(session, number), load_shop(session)
        _, found = estimate_job(session, job.document, shop, shop.today(utc_now()), job.id)
    return {one.material.code: one for one in found.bought if may_be_stock(one.material) and one.required.value}


def shelved(visitor: Visitor, code: str, amount: Fraction) -> None:
    with visitor.program.database.writing() as session:
        keep_in_stock(session, StockOnHand(code, amount, None, "Shelf 2"), at=utc_now())


def of_material(visitor: Visitor, address: str, name: str) -> list[Line]:
    return [line for line in settled(visitor, address).making.lines if line.what == name]


def free(visitor: Visitor, number: int) -> dict[str, Fraction]:
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        return free_stock(session, [load_job_by_number(session, number).id], shop.today(utc_now()))


@pytest.fixture
def common(demo_client: Visitor) -> tuple[MaterialBought, MaterialBought]:
    """A material that two jobs need, as each of them buys it."""
    first, second = needed(demo_client, JOB), needed(demo_client, OTHER)
    code = next(code for code, one in first.items() if code in second and one.purchases and one.unit == "piece")
    return first[code], second[code]


def test_a_job_that_finds_enough_in_the_shop_buys_none(
    demo_client: Visitor, common: tuple[MaterialBought, MaterialBought]
) -> None:
    own, _ = common
    price = words_of(demo_client.get("/jobs").text)
    shelved(demo_client, own.material.code, own.required.value)
    (line,) = of_material(demo_client, made(demo_client, JOB), own.material.name)
    assert (line.id, line.taken, line.count) == (f"shelf:{own.material.code}", True, own.required.value)
    page = words_of(demo_client.get(made(demo_client, JOB)).text)
    assert "Take from what the shop has" in page
    # What a job comes to does not hang on a tin that may be empty by then.
    assert words_of(demo_client.get("/jobs").text) == price


@pytest.mark.parametrize("left_out", [1, 3])
def test_what_is_missing_is_bought_beside_what_is_there(
    demo_client: Visitor, common: tuple[MaterialBought, MaterialBought], left_out: int
) -> None:
    own, _ = common
    shelved(demo_client, own.material.code, own.required.value - left_out)
    lines = of_material(demo_client, made(demo_client, JOB), own.material.name)
    taken, bought = [one for one in lines if one.taken], [one for one in lines if not one.taken]
    assert [one.count for one in taken] == [own.required.value - left_out]
    held = {purchase.offer.id: purchase.offer.size["count"] for purchase in own.purchases}
    packs = sum(one.count for one in bought)
    assert 0 < packs <= sum(purchase.packs for purchase in own.purchases)
    if all(one.id.removeprefix("offer:") in held for one in bought):
        assert sum(one.count * held[one.id.removeprefix("offer:")] for one in bought) >= left_out


def test_two_jobs_do_not_count_on_the_same_box(
    demo_client: Visitor, common: tuple[MaterialBought, MaterialBought]
) -> None:
    own, other = common
    code = own.material.code
    shelved(demo_client, code, own.required.value + other.required.value - 1)
    made(demo_client, JOB)
    assert free(demo_client, OTHER)[code] == other.required.value - 1
    lines = of_material(demo_client, made(demo_client, OTHER), own.material.name)
    assert [one.count for one in lines if one.taken] == [other.required.value - 1]
    assert any(not one.taken for one in lines)
    # Its packs are still to come, so that it uses one less of what is there.
    assert free(demo_client, JOB)[code] == own.required.value + other.required.value - 1 - max(
        Fraction(0),
        other.required.value - sum(one.count * _holds(other, one) for one in lines if not one.taken),
    )


def _holds(bought: MaterialBought, line: Line) -> Fraction:
    offers = {purchase.offer.id: purchase.offer for purchase in bought.purchases}
    offer = offers.get(line.id.removeprefix("offer:"), next(iter(offers.values())))
    return Fraction(offer.size["count"])


def test_what_is_cut_needs_it_no_more(demo_client: Visitor, common: tuple[MaterialBought, MaterialBought]) -> None:
    own, _ = common
    code = own.material.code
    shelved(demo_client, code, own.required.value)
    made(demo_client, JOB)
    assert code not in free(demo_client, OTHER)
    with demo_client.program.database.writing() as session:
        mark_cut(session, load_job_by_number(session, JOB).id, at=utc_now(), by=None)
    assert free(demo_client, OTHER)[code] == own.required.value


def test_a_list_made_anew_still_has_the_lines_that_were_bought(
    demo_client: Visitor, common: tuple[MaterialBought, MaterialBought]
) -> None:
    own, _ = common
    code = own.material.code
    shelved(demo_client, code, Fraction(1))
    address = made(demo_client, JOB)
    before = of_material(demo_client, address, own.material.name)
    line = next(one for one in before if not one.taken)
    assert enter(demo_client, address, line.id, state="loaded", count=str(line.count)).status_code == 303
    with demo_client.program.database.reading() as session:
        assert stock_of(session, [code])[code].amount > 1
    assert demo_client.send_form(f"{address}/anew").status_code == 303
    again = of_material(demo_client, address, own.material.name)
    assert {one.id: one.count for one in again} == {one.id: one.count for one in before}


def test_the_pages_of_what_is_bought_say_what_the_shop_has(
    demo_client: Visitor, common: tuple[MaterialBought, MaterialBought], unprinted: None
) -> None:
    own, other = common
    shelved(demo_client, own.material.code, own.required.value)
    both = {"job": [JOB, OTHER]}
    assert "Take from what the shop has" in unescape(demo_client.get("/buying", params=both).text)
    assert demo_client.get("/pool", params=both).status_code == 200
    paper = demo_client.get("/pool/shopping-list.pdf", params=both).text
    assert "Take from what the shop has" in unescape(paper)
    lines = of_material(demo_client, made(demo_client, JOB, OTHER), own.material.name)
    assert sum(one.count for one in lines if one.taken) == own.required.value
    assert sum(one.count * _holds(other, one) for one in lines if not one.taken) >= other.required.value
    page = words_of(demo_client.get(f"/jobs/{JOB}/suppliers").text)
    assert f"{own.material.name}: nobody offers it" not in page
