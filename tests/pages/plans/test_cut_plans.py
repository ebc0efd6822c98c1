"""Cut plans moved by hand: chosen, moved, refused in words, taken back, pinned, and the job's price follows."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.estimate.snapshot import estimate_inputs, read_snapshot, write_snapshot
from webapp.estimating import estimate_job
from webapp.opening import DEMO_HELPER_NAME
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.settings.shop import load_shop

JOB = 2
PLANS = f"/jobs/{JOB}/plans"
PLYWOOD = f"{PLANS}/birch_plywood_15"


def act(visitor: Visitor, page: str, what: str, fields: Mapping[str, str] | None = None, status: int = 200) -> str:
    """Press a button of the form, as a browser without script does."""
    answer = visitor.send_form(PLYWOOD, {**form_fields(page, "trial"), "act": what, **(fields or {})})
    assert answer.status_code == status, answer.text
    return answer.text


def pinned(visitor: Visitor) -> Mapping[str, object]:
    with visitor.program.database.reading() as session:
        found: Mapping[str, object] = load_job_by_number(session, JOB).document.get("pinned", {})
    return found


def fact(page: str, words: str) -> str:
    found = re.search(rf"<dt>{words}</dt><dd>(.*?)</dd>", page)
    assert found is not None, words
    return re.sub("<[^>]*>", "", found[1]).replace("\N{NO-BREAK SPACE}", " ")


def net(visitor: Visitor) -> str:
    found = re.search(r'id="now-net"[^>]*>(?:<a [^>]*>)?([^<]*)<', visitor.get(f"/jobs/{JOB}").text, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_list_names_each_material_with_how_good_its_plan_is(demo_client: Visitor) -> None:
    page = demo_client.get(PLANS).text
    assert f'href="{PLYWOOD}"' in page
    assert "of the least possible" in page
    assert "proved cheapest" in page
    assert 'value="plans"' in demo_client.get(f"/jobs/{JOB}").text
    assert demo_client.get(f"{PLANS}/no_such_board").status_code == 404


def test_a_piece_is_moved_judged_taken_back_and_pinned_without_script(demo_client: Visitor) -> None:
    page = demo_client.get(PLYWOOD).text
    cost, price = fact(page, "Sheets cost"), net(demo_client)
    page = act(demo_client, page, "choose:0")
    assert "Where it could go" in page
    # Onto its neighbour: said at once, with the way back, and no pin.
    page = act(demo_client, page, "nudge:down", {"nudge_by": "50 mm"})
    assert "overlap by" in page
    assert "lies wrong" in page
    assert 'id="pin"' not in page
    refused = demo_client.send_form(f"{PLYWOOD}/pin", form_fields(page, "trial"))
    assert refused.status_code == 422
    assert "can&#39;t be cut as it lies" in refused.text
    assert pinned(demo_client) == {}
    page = act(demo_client, page, "undo")
    assert "overlap by" not in page
    # Onto a sheet of its own, which costs another one.
    new = re.search(r'value="(new:[^"]*)"', page)
    assert new is not None
    page = act(demo_client, page, new[1])
    assert "It can be cut as it lies." in page
    assert "more" in fact(page, "Against the plan in use")
    assert fact(page, "The job without tax").endswith(f"now {price} USD")
    tried = fact(page, "The job without tax").split(" ")[0]
    kept = demo_client.send_form(f"{PLYWOOD}/pin", form_fields(page, "trial"))
    assert kept.status_code == 303
    after = demo_client.get(kept.headers["location"]).text
    assert "The plan is pinned." in after
    assert fact(after, "In use now").startswith("pinned by hand, within ")
    assert fact(after, "Sheets cost") != cost
    assert net(demo_client) == tried != price
    assert "pinned by hand" in demo_client.get(f"/jobs/{JOB}").text
    # The job's own sheet has no field for it and keeps it all the same.
    sheet = form_fields(demo_client.get(f"/jobs/{JOB}").text, "job-sheet")
    assert demo_client.send_form(f"/jobs/{JOB}", {**sheet, "notes": "kept"}).status_code == 303
    assert list(pinned(demo_client)) == ["birch_plywood_15"]
    released = demo_client.send_form(f"{PLYWOOD}/release", form_fields(after, "trial"))
    assert "released" in demo_client.get(released.headers["location"]).text
    assert net(demo_client) == price


def test_pinning_the_plan_as_it_stands_changes_no_figure(demo_client: Visitor) -> None:
    price = net(demo_client)
    page = demo_client.get(PLYWOOD).text
    assert demo_client.send_form(f"{PLYWOOD}/pin", form_fields(page, "trial")).status_code == 303
    assert list(pinned(demo_client)) == ["birch_plywood_15"]
    assert net(demo_client) == price


def test_what_a_quote_keeps_gives_the_pinned_plan_again(demo_client: Visitor) -> None:
    page = act(demo_client, demo_client.get(PLYWOOD).text, "choose:0")
    new = re.search(r'value="(new:[^"]*)"', page)
    assert new is not None
    demo_client.send_form(f"{PLYWOOD}/pin", form_fields(act(demo_client, page, new[1]), "trial"))
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)
        job = load_job_by_number(session, JOB)
        inputs, found = estimate_job(session, job.document, shop, shop.today(demo_client.program.now()))
    again = estimate_inputs(read_snapshot(json.loads(json.dumps(write_snapshot(inputs, found)))))
    assert [one.plan for one in again.bought] == [one.plan for one in found.bought]
    assert [one.material.code for one in again.bought if one.pinned] == ["birch_plywood_15"]
    assert again.totals.net.value == found.totals.net.value
    # The plan by hand is not taken for what the cutting room found.
    assert all(again.plans[one.plan_key] == one.found_plan for one in again.bought if one.plan is not None)


def test_a_pin_for_other_pieces_is_said_and_not_used(demo_client: Visitor) -> None:
    page = demo_client.get(PLYWOOD).text
    demo_client.send_form(f"{PLYWOOD}/pin", form_fields(page, "trial"))
    sheet = form_fields(demo_client.get(f"/jobs/{JOB}").text, "job-sheet")
    quantity = next(name for name in sheet if name.endswith(".quantity"))
    more = {**sheet, quantity: str(int(sheet[quantity]) + 1)}
    assert demo_client.send_form(f"/jobs/{JOB}", more).status_code == 303
    said = "is for other pieces; it was planned anew."
    assert said in demo_client.get(f"/jobs/{JOB}").text
    plan = demo_client.get(PLYWOOD).text
    assert said in plan
    assert 'id="release"' in plan
    # Moves made on the old pieces can't be laid on the new ones.
    assert "have changed since you opened this plan" in act(demo_client, page, "choose:0", status=409)


def test_fields_that_cannot_be_read_are_said_and_kept(demo_client: Visitor) -> None:
    page = act(demo_client, demo_client.get(PLYWOOD).text, "choose:0")
    page = act(demo_client, page, "place", {"from_left": "about there", "from_top": "300 mm"}, 422)
    assert 'value="about there"' in page
    assert "about there" in page
    assert 'value="300 mm"' in page
    assert 'id="from_left-problem"' in page
    assert "Choose the piece to swap with." in act(demo_client, page, "swap", status=422)
    for rubbish in ("put 0 99 0 0 0", "put 999 0 0 0 0", "fly away"):
        fields = {**form_fields(page, "trial"), "steps": rubbish}
        assert demo_client.send_form(PLYWOOD, fields).status_code == 409
    assert demo_client.send_form(PLYWOOD, {"start": "[" * 9000}).status_code == 409


def test_a_pin_that_someone_else_changed_is_not_covered_unseen(demo_client: Visitor) -> None:
    page = demo_client.get(PLYWOOD).text
    with demo_client.program.database.writing() as session:
        job = load_job_by_number(session, JOB)
        theirs = {**job.document, "pinned": {"birch_plywood_15": {"pieces": "0" * 64, "sheets": ["9x9*1: 0.0@0,0"]}}}
        save_job(session, job.id, theirs, job.version, at=demo_client.program.now())
    answer = demo_client.send_form(f"{PLYWOOD}/pin", form_fields(page, "trial"))
    assert answer.status_code == 409
    assert "Someone else changed what is pinned" in answer.text
    assert demo_client.send_form(f"{PLYWOOD}/pin", form_fields(answer.text, "trial")).status_code == 303


def test_a_helper_sees_the_plans_without_money_and_moves_nothing(demo_client: Visitor) -> None:
    demo_client.sign_in(DEMO_HELPER_NAME)
    for address in (PLANS, PLYWOOD):
        page = demo_client.get(address)
        assert page.status_code == 200
        assert "USD" not in page.text
        assert 'name="act"' not in page.text
    for address in (PLYWOOD, f"{PLYWOOD}/pin", f"{PLYWOOD}/release"):
        assert demo_client.send_form(address).status_code == 403
