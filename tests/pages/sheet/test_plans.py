"""A job's cut plans: bettered in the background, followed by its sums, stopped and taken up again."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from threading import Event

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.poor_plan import poor_plan
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cutting.ask.model import SheetRequest
from webapp.costing.cutting.saw.money import sawing_money
from webapp.costing.estimate.snapshot import read_plan
from webapp.costing.plans.again import laid_on
from webapp.estimating import estimate_job
from webapp.persistence.catalogue.changes import edit_offer
from webapp.persistence.catalogue.records import load_offers
from webapp.persistence.jobs.records import load_job_by_number, set_job_state
from webapp.persistence.plans.records import get_many, keep_best
from webapp.persistence.plans.tasks import PlanTask, tasks_of
from webapp.persistence.settings.shop import load_shop
from webapp.plan_worker import work

#: The demo's job of one table, and the sheets that are cut for it.
JOB, BIRCH = 3, "birch_plywood_18"


def plywood_of(visitor: Visitor) -> MaterialBought:
    """The plywood of the job as it would be bought now."""
    with visitor.program.database.reading() as session:
        shop = load_shop(session)
        document = load_job_by_number(session, JOB).document
        _, found = estimate_job(session, document, shop, shop.today(visitor.program.now()))
    return next(one for one in found.bought if one.material.code == BIRCH)


def plan_poorly(visitor: Visitor) -> MaterialBought:
    """Let the store know a poor plan alone; it is what the job then stands on."""
    request = plywood_of(visitor).request
    assert isinstance(request, SheetRequest)
    with visitor.program.database.writing() as session:
        keep_best(session, plywood_of(visitor).plan_key, poor_plan(request), at=visitor.program.now())
    return plywood_of(visitor)


def task_of(visitor: Visitor, key: str) -> PlanTask | None:
    with visitor.program.database.reading() as session:
        return tasks_of(session, [key]).get(key)


def fields_of(page: str) -> dict[str, str]:
    return form_fields(page, "job-sheet")


def net_of(page: str) -> float:
    found = re.search(r'id="now-net"[^>]*><a[^>]*>([^<]+)</a>', page)
    assert found, "the page has no price"
    return float(found[1].replace(",", ""))


def row_of(page: str) -> str:
    """What the part about cut plans says of the plywood, without its tags."""
    part = page[page.index('id="plans"') :]
    rows = re.findall(r"<tr>.*?</tr>", part, re.DOTALL)
    row = next(row for row in rows if f"/plans/{BIRCH}" in row)
    return " ".join(re.sub(r"<[^>]+>", " ", row).split())


def polls(page: str) -> bool:
    return 'hx-trigger="every' in page


def test_a_plan_is_bettered_and_the_sums_follow(demo_client: Visitor) -> None:
    poor = plan_poorly(demo_client)
    assert poor.plan is not None
    page = demo_client.get(f"/jobs/{JOB}").text
    assert "queued" in row_of(page)
    assert "no bound yet" in row_of(page)
    assert polls(page)
    assert "Better plans are being searched for; the sums follow when one is found." in words_of(page)
    work(demo_client.program.database, Event(), until_idle=True)
    better = plywood_of(demo_client)
    assert better.plan is not None
    assert better.plan.price < poor.plan.price

    followed = demo_client.swap(f"/jobs/{JOB}/look-on", fields_of(page))
    told = json.loads(followed.headers["HX-Trigger"])["better-plans"]["said"]
    gained = f"{float(poor.plan.price - better.plan.price):,.2f}"
    assert told.replace("\N{NO-BREAK SPACE}", " ") == f"Cut plans improved: {gained} USD less."
    assert f"found by further search, {gained} USD less" in row_of(followed.text)
    assert not polls(followed.text)
    part = demo_client.swap(f"/jobs/{JOB}/estimate", fields_of(page)).text
    assert net_of(part) < net_of(page)
    assert 'id="drawings" class="to-come"' in part, "the sheets stay drawn as they were cut before"

    # Once the page stands on the new plans it is told nothing more, and nothing is looked for again.
    again = demo_client.get(f"/jobs/{JOB}").text
    assert net_of(again) == net_of(part)
    assert "HX-Trigger" not in demo_client.swap(f"/jobs/{JOB}/look-on", fields_of(again)).headers
    assert not polls(again)
    before = task_of(demo_client, better.plan_key)
    work(demo_client.program.database, Event(), until_idle=True)
    assert task_of(demo_client, better.plan_key) == before


def words_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).replace("\N{NO-BREAK SPACE}", " ").split())


def quote_poorly(visitor: Visitor) -> MaterialBought:
    """Quote the job while the store knows a poor plan alone, with what it truly costs."""
    request = plywood_of(visitor).request
    assert isinstance(request, SheetRequest)
    poor = laid_on(request, poor_plan(request))
    assert poor is not None
    with visitor.program.database.writing() as session:
        keep_best(session, plywood_of(visitor).plan_key, poor, at=visitor.program.now())
    assert visitor.send_form(f"/jobs/{JOB}/issue").status_code == 303
    return plywood_of(visitor)


def test_a_better_plan_moves_no_price_that_was_told_and_is_offered(demo_client: Visitor) -> None:
    poor = quote_poorly(demo_client)
    assert poor.plan is not None
    told = demo_client.get(f"/jobs/{JOB}").text
    assert "queued" in row_of(told)
    stays = "The price stays as quoted; a better plan is offered when one is found."
    assert f"Better plans are being searched for. {stays}" in words_of(told)
    assert "the sums follow" not in words_of(told)
    assert stays in words_of(demo_client.swap(f"/jobs/{JOB}/look-on", fields_of(told)).text)
    work(demo_client.program.database, Event(), until_idle=True)
    assert isinstance(poor.request, SheetRequest)
    with demo_client.program.database.reading() as session:
        best = read_plan(get_many(session, [poor.plan_key])[poor.plan_key].plan)
    gained = poor.plan.price - best.price + sawing_money(poor.request, poor.plan) - sawing_money(poor.request, best)
    assert gained > 0

    page = demo_client.get(f"/jobs/{JOB}").text
    assert net_of(page) == net_of(told), "what was quoted is worked out on the plans of the quote"
    assert f"as it was quoted; a better one is known, {float(gained):,.2f} USD less bought and sawn" in row_of(page)
    assert "HX-Trigger" not in demo_client.swap(f"/jobs/{JOB}/look-on", fields_of(page)).headers

    # Somebody takes it: then the sums of today stand on it, beside what was quoted.
    typed = {**fields_of(page), "notes": "Call before noon"}
    taken = demo_client.send_form(f"/jobs/{JOB}/look-on", {**typed, "search": f"take:{poor.plan_key}"})
    assert (taken.status_code, taken.headers["location"]) == (303, f"/jobs/{JOB}")
    after = demo_client.get(f"/jobs/{JOB}").text
    assert net_of(after) < net_of(told)
    assert "pinned by hand" in row_of(after)
    assert "Call before noon" in after, "nothing typed is lost"
    assert "less than was quoted" in words_of(after)


def test_what_asks_for_something_else_than_was_quoted_follows_a_better_plan(demo_client: Visitor) -> None:
    quote_poorly(demo_client)
    typed = fields_of(demo_client.get(f"/jobs/{JOB}").text)
    quantity = next(name for name in typed if name.endswith(".quantity"))
    other = demo_client.swap(f"/jobs/{JOB}/look-on", {**typed, quantity: "3", "at_rest": "1"}).text
    assert "Better plans are being searched for; the sums follow when one is found." in words_of(other)


def test_a_helper_is_told_of_the_better_plan_and_takes_none(demo_client: Visitor) -> None:
    poor = quote_poorly(demo_client)
    demo_client.get(f"/jobs/{JOB}")
    work(demo_client.program.database, Event(), until_idle=True)
    demo_client.sign_in("helper")
    page = demo_client.get(f"/jobs/{JOB}").text
    assert "as it was quoted; a better one is known" in row_of(page)
    assert "USD" not in row_of(page)
    assert "Take the better plan" not in page
    demo_client.send_form(f"/jobs/{JOB}/look-on", {**fields_of(page), "search": f"take:{poor.plan_key}"})
    assert "as it was quoted; a better one is known" in row_of(demo_client.get(f"/jobs/{JOB}").text)


def test_a_search_is_stopped_and_taken_up_again_with_nothing_typed_lost(demo_client: Visitor) -> None:
    key = plan_poorly(demo_client).plan_key
    page = demo_client.get(f"/jobs/{JOB}").text
    typed = {**fields_of(page), "job": "A title typed meanwhile", "search": f"stop:{key}"}
    stopped = demo_client.swap(f"/jobs/{JOB}/look-on", typed)
    assert "stopped after 0 s" in row_of(stopped.text)
    assert "Search on" in row_of(stopped.text)
    work(demo_client.program.database, Event(), until_idle=True)
    assert plywood_of(demo_client).plan == plan_poorly(demo_client).plan

    # Without script the whole sheet comes back, with what was typed in it.
    whole = demo_client.send_form(f"/jobs/{JOB}/look-on", {**typed, "search": f"go-on:{key}"})
    assert whole.status_code == 200
    assert "queued" in row_of(whole.text)
    assert fields_of(whole.text)["job"] == "A title typed meanwhile"
    assert f'<noscript> <a href="/jobs/{JOB}#plans">Look again</a></noscript>' in whole.text
    other = demo_client.swap(f"/jobs/{JOB}/look-on", {**typed, "search": "stop:of another job"})
    assert "queued" in row_of(other.text)


def test_nothing_is_looked_for_while_one_types_and_what_the_job_left_behind_is_dropped(demo_client: Visitor) -> None:
    key = plan_poorly(demo_client).plan_key
    page = demo_client.get(f"/jobs/{JOB}").text
    item = next(name for name in fields_of(page) if name.endswith(".quantity") and name.startswith("items."))
    typed = {**fields_of(page), item: "3"}
    demo_client.swap(f"/jobs/{JOB}/look-on", typed)
    assert task_of(demo_client, key) is not None, "a key was pressed, and the search was given up at once"
    demo_client.swap(f"/jobs/{JOB}/look-on", {**typed, "at_rest": "yes"})
    assert task_of(demo_client, key) is None


def test_a_job_that_is_done_is_left_alone(demo_client: Visitor) -> None:
    key = plan_poorly(demo_client).plan_key
    with demo_client.program.database.writing() as session:
        set_job_state(session, load_job_by_number(session, JOB).id, "done", at=demo_client.program.now())
    assert not polls(demo_client.get(f"/jobs/{JOB}").text)
    assert task_of(demo_client, key) is None


def test_a_helper_follows_the_search_and_sees_no_price_of_the_shop(demo_client: Visitor) -> None:
    plan_poorly(demo_client)
    demo_client.sign_in("helper")
    page = demo_client.get(f"/jobs/{JOB}").text
    assert "queued" in row_of(page)
    part = demo_client.swap(f"/jobs/{JOB}/look-on", fields_of(page))
    assert part.status_code == 200
    assert 'id="now-net"' not in part.text


def test_whole_sheets_that_come_in_a_pack_are_said_to(demo_client: Visitor) -> None:
    with demo_client.program.database.writing() as session:
        for stored in load_offers(session, BIRCH):
            packed = replace(stored.offer, size={**stored.offer.size, "pack": Fraction(12)})
            edit_offer(session, packed, stored.version, at=demo_client.program.now())
    page = " ".join(demo_client.get(f"/jobs/{JOB}?open=materials").text.split())
    assert "in packs of 12" in page
    assert "of them whole for the rack, since they are sold in packs" in page
