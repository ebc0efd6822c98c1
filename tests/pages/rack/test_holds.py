"""Two jobs of the demo that need one offcut: the second is told who holds it, and what it pays instead."""

from __future__ import annotations

import re
from html import unescape
from uuid import UUID

import pytest

from tests.harness.visiting import Visitor
from tests.pages.catalogue.plywood_case import marked_wrong
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Offcut
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.rack.holds import holds_on
from webapp.persistence.rack.records import move_offcut, put_on_rack
from webapp.running import utc_now

#: The demo's job of drawer cabinets, which nothing was quoted for.
FIRST = 2


def plain(page: str) -> str:
    """A page's words, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.fixture
def two_jobs(demo_client: Visitor, unprinted: None) -> tuple[Visitor, int, int, list[UUID]]:
    """The first job, another like it, and a whole sheet of each material on the rack, of each only one."""
    with demo_client.program.database.writing() as session:
        keys = []
        for place, one in enumerate(find_materials(session, kind=Kind.SHEET).entries):
            keys.append(UUID(f"00000000-0000-4000-8000-{place:012}"))
            whole = Offcut(str(keys[-1]), one.material.code, 2440 * 10**6, 1220 * 10**6, 1, "Bay 7")
            put_on_rack(session, whole, "", at=utc_now())
        job_id = load_job_by_number(session, FIRST).id
    copied = demo_client.send_form(f"/jobs/{job_id}/copy")
    return demo_client, FIRST, int(copied.headers["location"].rpartition("/")[2]), keys


def accept(visitor: Visitor, number: int) -> str:
    """Issue a quote of a job and accept it; the address of the quote."""
    issued = visitor.send_form(f"/jobs/{number}/issue")
    assert issued.status_code == 303, plain(issued.text)
    address = str(issued.headers["location"])
    assert visitor.send_form(f"{address}/state", {"state": "accepted"}).status_code == 303
    return address


def money(text: str) -> float:
    return float(text.replace(",", ""))


def test_the_second_of_two_jobs_is_told_who_holds_the_offcut_and_what_it_pays(
    two_jobs: tuple[Visitor, int, int, list[UUID]],
) -> None:
    visitor, first, second, keys = two_jobs
    before = plain(visitor.get(f"/jobs/{second}").text)
    assert "Bay 7" in before
    assert "held for job" not in before
    # Both are quoted while the piece is free: whoever is accepted first has it.
    second_quote = str(visitor.send_form(f"/jobs/{second}/issue").headers["location"])
    offered = plain(visitor.get(second_quote).text)
    assert "What it takes from the rack" in offered
    assert re.search(r"Bay 7 1 free", offered)
    quote = accept(visitor, first)
    assert "1 held for this job" in plain(visitor.get(quote).text)
    with visitor.program.database.reading() as session:
        held = {key for key, found in holds_on(session, keys).items() for one in found if one.job_number == first}
    assert held
    told = plain(visitor.get(second_quote).text)
    number = re.search(r"Quote (\d+), revision 1", plain(visitor.get(quote).text))
    assert number is not None
    assert f"held for job {first} (quote {number[1]}, revision 1)" in told
    instead = re.search(
        r"the job costs ([\d,.]+) USD in place of ([\d,.]+) USD: ([\d,.]+) USD more, which the shop bears", told
    )
    assert instead is not None
    assert money(instead[3]) > 0
    assert round(money(instead[1]) - money(instead[2]), 2) == money(instead[3])
    # The rack says it too, and what is bought for the second job is bought new.
    assert f"held for job {first} (quote" in plain(visitor.get("/rack").text)
    assert "Take from the rack" not in plain(visitor.get(f"/buying?job={second}&chosen=yes").text)
    assert "Take from the rack" in plain(visitor.get(f"/buying?job={first}&chosen=yes").text)
    # It is accepted all the same, and its pack is made from what can be had.
    assert visitor.send_form(f"{second_quote}/state", {"state": "accepted"}).status_code == 303
    sheet = plain(visitor.get(f"/jobs/{second}").text)
    assert f"held for job {first} (quote" in sheet
    assert instead[0] in sheet
    assert "Bay 7" not in plain(visitor.get(f"/jobs/{second}/offcuts").text)
    assert "Bay 7" in plain(visitor.get(f"/jobs/{first}/offcuts").text)
    # Withdrawn, it is free again; the second has it once it is settled anew.
    back = {"state": "standing", "note": "The studio thinks it over."}
    assert visitor.send_form(f"{quote}/state", back).status_code == 303
    assert "1 free" in plain(visitor.get(second_quote).text)


def test_an_open_job_is_told_what_another_holds_and_a_helper_sees_no_money(
    two_jobs: tuple[Visitor, int, int, list[UUID]],
) -> None:
    visitor, first, second, _ = two_jobs
    accept(visitor, first)
    told = plain(visitor.get(f"/jobs/{second}").text)
    assert re.search(rf"Bay 7: held for job {first} \(quote \d+, revision 1\)\.", told)
    assert re.search(r"its materials come to [\d,.]+ USD in place of [\d,.]+ USD, [\d,.]+ USD more", told)
    visitor.sign_in("helper")
    told = plain(visitor.get(f"/jobs/{second}").text)
    assert f"held for job {first} (quote" in told
    assert "its materials come to" not in told


def test_the_owner_takes_a_piece_for_a_rush_job_and_the_loser_is_told_its_new_cost(
    two_jobs: tuple[Visitor, int, int, list[UUID]],
) -> None:
    visitor, first, second, keys = two_jobs
    quote = accept(visitor, first)
    with visitor.program.database.reading() as session:
        key = next(iter(holds_on(session, keys)))
    address = f"/rack/{key}"
    refused = visitor.send_form(f"{address}/hold", {"hold": str(second)})
    assert refused.status_code == 422
    assert marked_wrong(refused.text) == {"hold"}
    assert f"none is free, the rest is held for job {first}." in plain(refused.text)
    odd = visitor.send_form(f"{address}/hold", {"hold": "minus three"})
    assert marked_wrong(odd.text) == {"hold"}
    assert 'value="minus three"' in odd.text
    assert "job 999 is not there" in plain(visitor.send_form(f"{address}/hold", {"hold": "999"}).text)
    # A helper takes nothing that is held, by no button.
    taken = visitor.send_form(f"{address}/move", {"what": "taken", "number": "1", "version": "1"})
    assert marked_wrong(taken.text) == {"number"}
    visitor.sign_in("helper")
    assert visitor.send_form(f"{address}/hold", {"hold": str(second), "whatever": "yes"}).status_code == 403
    visitor.sign_in()
    assert visitor.send_form(f"{address}/hold", {"hold": str(second), "whatever": "yes"}).status_code == 303
    page = plain(visitor.get(address).text)
    assert "one lost by the job that held it" in page
    assert f"job {first}; taken for job {second}" in page
    for told in (plain(visitor.get(quote).text), plain(visitor.get(f"/jobs/{first}").text)):
        assert f"held for job {second}" in told
        assert re.search(r"the job costs [\d,.]+ USD in place of [\d,.]+ USD: [\d,.]+ USD more", told)
    assert visitor.send_form(f"{address}/hold", {"hold": str(second), "let_go": "yes"}).status_code == 303
    assert "held for job" not in plain(visitor.get(f"/jobs/{first}").text)


def test_what_was_taken_for_an_agreed_job_is_not_bought_again(two_jobs: tuple[Visitor, int, int, list[UUID]]) -> None:
    visitor, first, _, keys = two_jobs
    accept(visitor, first)
    address = f"/buying?job={first}&chosen=yes"
    before = plain(visitor.get(address).text)
    assert "Take from the rack" in before
    with visitor.program.database.reading() as session:
        held = {key: len(found) for key, found in holds_on(session, keys).items()}
    assert held
    with visitor.program.database.writing() as session:
        for key, number in held.items():
            move_offcut(session, key, "taken", number, 1, at=visitor.program.now(), job=first)
    assert plain(visitor.get(address).text) == before


def test_a_piece_that_was_made_smaller_is_missing_and_the_job_is_told(
    two_jobs: tuple[Visitor, int, int, list[UUID]],
) -> None:
    visitor, first, _, keys = two_jobs
    quote = accept(visitor, first)
    with visitor.program.database.reading() as session:
        key = min(holds_on(session, keys))
    form = visitor.get(f"/rack/{key}/edit").text
    fields = dict(re.findall(r'name="(length|width|place|version)"[^>]*value="([^"]*)"', form))
    # Put elsewhere it is the same piece.
    assert visitor.send_form(f"/rack/{key}/edit", {**fields, "place": "Bay 8"}).status_code == 303
    assert "no longer as it was counted on" not in plain(visitor.get(quote).text)
    typed = {**fields, "version": "2", "length": "300 mm", "width": "200 mm"}
    assert visitor.send_form(f"/rack/{key}/edit", typed).status_code == 303
    assert "no longer as it was counted on" in plain(visitor.get(quote).text)
    assert "The agreed plan counts on one of" in plain(visitor.get(f"/jobs/{first}").text)
    page = plain(visitor.get(f"/rack/{key}").text)
    assert "one lost by the job that held it" in page
    assert "it has another size by now" in page
