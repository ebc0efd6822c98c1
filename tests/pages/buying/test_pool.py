"""The page of jobs bought for together: the ticks, the saving to the cent, the one list, and who sees what."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from threading import Event

from tests.harness.visiting import Visitor
from tests.pages.buying.test_buying import amount_in
from webapp.app import create_app
from webapp.costing.estimate.pooling import JobPooled, pool_jobs
from webapp.costing.jobs.reader import read_job
from webapp.costing.measures.money import to_decimal
from webapp.costing.plans.requests import Plan, Request
from webapp.documents.buying.shopping_list import ListFor, pooled_shopping_paper, shopping_paper
from webapp.estimating import PlanBook, estimate_jobs
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.records import load_job_by_number, set_job_state
from webapp.persistence.plans.records import get_many
from webapp.persistence.plans.tasks import PlanTask, tasks_of, wishes_of
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import load_shop
from webapp.plan_worker import solve, work
from webapp.running import utc_now
from webapp.settings import Settings

#: Two cabinets of the demo shop, cut from the same plywood.
NUMBERS = (2, 4)


def cells(page: str, label: str) -> list[Decimal]:
    return [
        Decimal(found.replace(",", ""))
        for found in re.findall(rf'data-label="{label}"[^>]*>(?:<[^>]*>)*([\d,]+\.\d\d)', page)
    ]


def test_shares_and_savings_add_up_and_never_exceed_what_is_paid_alone(demo_client: Visitor) -> None:
    numbers = [*NUMBERS]
    page = demo_client.get("/pool", params={"job": numbers})
    assert page.status_code == 200
    start = page.text.index("What each job pays")
    table = page.text[start : page.text.index("Shopping list for all", start)]
    alone, share, saved = (cells(table, label) for label in ("By itself", "Share", "Saved"))
    assert len(share) == len(numbers) + 1
    for column in (alone, share, saved):
        assert sum(column[:-1]) == column[-1]
    assert all(a - s == saving >= 0 for a, s, saving in zip(alone, share, saved, strict=True))
    assert saved[-1] > 0
    assert "proved cheapest" in page.text or "of the least possible" in page.text
    assert re.search(r"<title>\d+ job \d+: ", page.text)


def test_the_list_for_all_of_them_comes_to_what_they_pay(demo_client: Visitor) -> None:
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
        today = shop.today(demo_client.program.now())
        kept = [load_job_by_number(session, number) for number in NUMBERS]
        worked = estimate_jobs(session, {job.id: job.document for job in kept}, shop, today)
        jobs = [
            JobPooled(job.number, read_job(job.document, inputs.system)[0], found)
            for job, (inputs, found) in zip(kept, worked, strict=True)
        ]
        catalogue = load_catalogue(session, today, {code for one, _ in worked for code in one.catalogue.materials})
        pooled = pool_jobs(jobs, catalogue, current_rates(session), PlanBook(session), shop.length_system, 2)
        paper = pooled_shopping_paper(pooled, shop, today, "A4")
        alone = [shopping_paper(one.estimate, one.job, shop, ListFor("job", True, today), "A4") for one in jobs]
    saved = to_decimal(pooled.saved.value, 2)
    assert saved > 0
    assert amount_in(paper.total.amount) == sum(amount_in(one.total.amount) for one in alone) - saved
    said = [line.shared for group in paper.groups for line in group.lines]
    assert all("for job 2" in one or "for job 4" in one for one in said)
    assert any(re.fullmatch(r".* for job 2; .* for job 4", one) for one in said)
    answer = demo_client.get("/pool/shopping-list.pdf", params={"job": [*NUMBERS]})
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")


def test_a_helper_sees_the_sheets_and_no_costs(settings: Settings, demo_database: Database) -> None:
    helper = Visitor(create_app(settings, demo_database))
    helper.sign_in("helper")
    page = helper.get("/pool", params={"job": [*NUMBERS]}).text
    assert "1 × 2440 × 1220 mm" in page
    assert 'class="sheet-plan"' in page
    main = page[page.index("<main") : page.index("</main>")]
    assert not [label for label in ("By itself", "Share", "Together", "Saved") if cells(main, label)]
    for word in ("Saved", "Share", "By itself", "USD"):
        assert word not in main


def test_below_two_jobs_it_says_what_to_do_and_what_is_left_out(demo_client: Visitor) -> None:
    numbers = [*NUMBERS]
    assert "Tick at least two jobs" in demo_client.get("/pool").text
    assert "tick at least two" in demo_client.get("/pool", params={"job": numbers[:1]}).text
    with demo_client.program.database.writing() as session:
        set_job_state(session, load_job_by_number(session, numbers[0]).id, "done", at=utc_now())
    page = demo_client.get("/pool", params={"job": [*numbers[:2], 999]}).text
    assert f"Job {numbers[0]} is done, so it buys nothing more." in page
    assert "There is no job 999." in page
    assert demo_client.get("/pool/shopping-list.pdf", params={"job": 999}).status_code == 404


def test_what_is_ticked_stays_while_looking_for_others(demo_client: Visitor) -> None:
    numbers = [*NUMBERS]
    page = demo_client.get("/pool", params={"job": numbers[0], "words": "no such words at all"}).text
    assert re.findall(r'name="job" value="(\d+)" checked', page) == [str(numbers[0])]
    assert len(re.findall(r'name="job"', page)) == 1
    empty = demo_client.get("/pool", params={"words": "no such words at all"}).text
    assert "No job that is ordered or open holds these words." in empty


def test_the_buying_page_leads_there_with_its_jobs(demo_client: Visitor) -> None:
    numbers = [*NUMBERS]
    page = demo_client.get("/buying", params={"chosen": "yes", "job": numbers}).text
    link = re.search(r'href="(/pool\?[^"]*)"', page)
    assert link is not None
    assert all(f"job={number}" in link[1] for number in numbers)
    assert re.search(r'href="/buying" aria-current="true"', demo_client.get("/pool").text)


def test_plans_for_several_jobs_are_kept_and_bettered_in_the_background(demo_client: Visitor) -> None:
    database = demo_client.program.database

    def asked() -> dict[str, PlanTask]:
        with database.reading() as session:
            ids = [load_job_by_number(session, number).id for number in NUMBERS]
            # Only what both ask is asked for them together.
            return tasks_of(session, wishes_of(session, ids[0]) & wishes_of(session, ids[1]))

    assert asked() == {}
    before = demo_client.get("/pool", params={"job": [*NUMBERS]}).text
    tasks = asked()
    assert tasks
    assert {one.state for one in tasks.values()} == {"waiting"}
    with database.reading() as session:
        assert get_many(session, tasks).keys() == tasks.keys()
    # Looked at again, nothing is asked anew.
    assert demo_client.get("/pool", params={"job": [*NUMBERS]}).text.count("<svg") == before.count("<svg")
    assert asked() == tasks

    def shortly(request: Request, seed: int, _: float, start: Plan | None, watch: Callable[[Plan], bool]) -> Plan:
        return solve(request, seed, 0.2, start, watch)

    work(database, Event(), until_idle=True, solve=shortly)
    worked = asked()
    assert worked.keys() == tasks.keys()
    assert all(one.state == "done" and one.price <= tasks[key].price for key, one in worked.items())
    after = demo_client.get("/pool", params={"job": [*NUMBERS]}).text
    costs = [cells(page, "Share")[-1] for page in (before, after)]
    assert costs[1] <= costs[0]


def test_what_a_job_wishes_of_its_purchase_is_wished_for_all_and_said(demo_client: Visitor) -> None:
    address = f"/jobs/{NUMBERS[0]}/suppliers"
    assert demo_client.send_form(address, {"without": "quillmere"}).status_code == 303
    assert demo_client.send_form(address, {"fewest": "yes"}).status_code == 303
    page = demo_client.get("/pool", params={"job": [*NUMBERS]}).text
    said = f"Bought as job {NUMBERS[0]} wishes: without Quillmere Finishes, from the fewest suppliers."
    assert said in page
    assert f"job {NUMBERS[1]} wishes" not in page
