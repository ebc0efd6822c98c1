"""Where a job is bought: suppliers as proposed, wishes pressed and taken back, what each costs, without script."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from html import unescape
from typing import Any
from uuid import uuid4

from sqlalchemy import select

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.catalogue.materials import Offcut
from webapp.costing.cutting.ask.model import SheetPlan, SheetRequest
from webapp.costing.cutting.hand.pins import pin_of, write_pin
from webapp.opening import DEMO_HELPER_NAME
from webapp.persistence.catalogue.changes import withdraw_price
from webapp.persistence.catalogue.records import PriceRow
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.rack.records import put_on_rack
from webapp.persistence.settings.shop import load_shop
from webapp.standing import estimate_to_buy

JOB = 2
PAGE = f"/jobs/{JOB}/suppliers"
SPACE = "\N{NO-BREAK SPACE}"


def _wished(visitor: Visitor) -> Any:
    with visitor.program.database.reading() as session:
        return load_job_by_number(session, JOB).document.get("buying")


def _text(visitor: Visitor) -> str:
    answer = visitor.get(PAGE)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", unescape(re.sub("<[^>]*>", " ", answer.text))).replace(SPACE, " ")


def _press(visitor: Visitor, **fields: str) -> None:
    answer = visitor.send_form(PAGE, fields)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"] == PAGE


def _total(visitor: Visitor) -> str:
    found = re.search(r"Goods and their way: ([\d,.]+) USD", _text(visitor))
    assert found is not None
    return found[1]


def _money(text: str) -> int:
    return round(float(text.replace(",", "")) * 100)


def test_the_sum_opens_and_its_parts_add_up_to_it(demo_client: Visitor) -> None:
    page = demo_client.get(PAGE).text
    opened = re.search(r'<details class="steps"><summary>How this sum is reached</summary>(.*?)</details>', page, re.S)
    assert opened is not None
    steps = re.findall(r"<li>(.*?): <b>([\d,.]+) USD</b>(.*?)</li>", unescape(opened[1]).replace(SPACE, " "), re.S)
    (name, total, _), *parts = steps
    assert name == "Goods and their way"
    assert _money(total) == _money(_total(demo_client))
    leaves = [_money(amount) for label, amount, _ in parts if not label.startswith("Goods of")]
    assert sum(leaves) == _money(total)
    assert any("the offer's price for so many" in source for _, _, source in parts)


def test_a_supplier_is_left_out_and_taken_back_at_what_the_page_says_it_costs(demo_client: Visitor) -> None:
    text, before = _text(demo_client), _total(demo_client)
    assert "No other way to buy it from these offers and cut plans is cheaper." in text
    assert "Ottermead Timber" in text
    leaving = re.findall(r'name="without" value="([a-z_]+)"', demo_client.get(PAGE).text)
    assert leaving
    stays = "(?:; [^;]*? stays there, since nobody else sells it)?"
    costs = re.findall(rf"costs (?:([\d,.]+) USD|nothing) more{stays} Leave out", text)
    assert len(costs) == len(leaving)
    supplier, cost = leaving[0], _money(costs[0] or "0")
    _press(demo_client, without=supplier)
    assert _wished(demo_client) == {"without": supplier}
    after, text = _total(demo_client), _text(demo_client)
    assert "is left out: costs" in text
    assert re.search(r"any way to buy it, as it is wished, can|cut plans, as it is wished, is", text)
    assert abs(_money(after) - _money(before) - cost) <= 1
    _press(demo_client, **{"with": supplier})
    assert _wished(demo_client) is None
    assert _total(demo_client) == before


def test_a_day_an_offer_and_the_fewest_are_kept_and_what_is_no_day_is_said(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
    today = shop.today(demo_client.program.now())
    by = (today + timedelta(days=3)).isoformat()
    _press(demo_client, by=by)
    assert _wished(demo_client) == {"by": by}
    assert "All is to be here by" in _text(demo_client)
    for typed, sentence in (("soon", "is no day; write it as"), ("2020-01-01", "is over: choose a day to come")):
        refused = demo_client.send_form(PAGE, {"by": typed})
        assert refused.status_code == 422
        assert sentence in refused.text
        assert f'value="{typed}"' in refused.text
    _press(demo_client, by="")
    page = demo_client.get(PAGE).text
    field, body = re.findall(r'<select id="[^"]*" name="(offer\.[a-z0-9_]+)"[^>]*>(.*?)</select>', page, re.DOTALL)[0]
    offers = [value for value in re.findall(r'<option value="([^"]*)"', body) if value]
    _press(demo_client, **{field: offers[-1]})
    assert _wished(demo_client) == {"chosen": {field.removeprefix("offer."): offers[-1]}}
    assert "is chosen by hand: costs" in _text(demo_client)
    _press(demo_client, **{field: ""})
    _press(demo_client, fewest="yes")
    assert _wished(demo_client) == {"fewest": "yes"}
    assert "From the fewest suppliers: costs" in _text(demo_client)
    # What is proved then holds of so few suppliers alone.
    assert ", with so few suppliers, " in _text(demo_client)
    _press(demo_client, fewest="no")
    assert _wished(demo_client) is None


def test_a_helper_sees_nothing_of_it(demo_client: Visitor) -> None:
    demo_client.sign_in(DEMO_HELPER_NAME)
    assert demo_client.get(PAGE).status_code == 403


def test_saving_the_sheet_keeps_what_was_wished(demo_client: Visitor) -> None:
    _press(demo_client, fewest="yes")
    fields = form_fields(demo_client.get(f"/jobs/{JOB}").text, "job-sheet")
    assert demo_client.send_form(f"/jobs/{JOB}", {**fields, "notes": "Ring first"}).status_code == 303
    assert _wished(demo_client) == {"fewest": "yes"}


def test_a_plan_pinned_by_hand_is_what_the_page_counts(demo_client: Visitor) -> None:
    """Each piece on a sheet of its own: so many sheets stand in the sum."""
    program, before = demo_client.program, _money(_total(demo_client))
    with program.database.reading() as session:
        shop = load_shop(session)
        job = load_job_by_number(session, JOB)
        today = shop.today(program.now())
        found = estimate_to_buy(session, job, shop, today).estimate
    cut = next(one for one in found.bought if isinstance(one.plan, SheetPlan) and len(one.pieces) > 4)
    assert isinstance(cut.plan, SheetPlan)
    assert isinstance(cut.request, SheetRequest)
    wasteful = [
        replace(sheet, count=1, placements=(put,))
        for sheet in cut.plan.sheets for _ in range(sheet.count) for put in sheet.placements
    ]  # fmt: skip
    document = {**job.document, "pinned": {cut.material.code: write_pin(pin_of(cut.request, wasteful))}}
    with program.database.writing() as writing:
        save_job(writing, job.id, document, job.version, at=program.now())
    with program.database.reading() as session:
        found = estimate_to_buy(session, load_job_by_number(session, JOB), shop, today).estimate
    (pinned,) = [one for one in found.bought if one.key == cut.key]
    assert pinned.pinned
    after = _money(_total(demo_client))
    assert abs(after - before - 100 * (pinned.bought.value - cut.bought.value)) <= 1
    assert after > before


def test_pieces_of_the_rack_have_a_row_and_what_has_no_price_is_named(demo_client: Visitor) -> None:
    program = demo_client.program
    text = _text(demo_client)
    assert "From the rack" not in text
    assert "Left out of the sum" not in text
    with program.database.reading() as session:
        shop = load_shop(session)
        today = shop.today(program.now())
        found = estimate_to_buy(session, load_job_by_number(session, JOB), shop, today).estimate
    cut = next(one for one in found.bought if isinstance(one.plan, SheetPlan) and len(one.pieces) > 4)
    size = cut.purchases[0].offer.size
    offcut = Offcut(str(uuid4()), cut.material.code, int(size["length"]), int(size["width"]), 1)
    with program.database.writing() as writing:
        put_on_rack(writing, offcut, "", at=program.now())
    assert "From the rack stands in the shop" in _text(demo_client)
    with program.database.writing() as writing:
        for price in writing.scalars(select(PriceRow.id)).all():
            withdraw_price(writing, price, "the test", at=program.now())
    assert f"{cut.material.name}: it has no price" in _text(demo_client)
