"""What is bought together is cut together: the plans, cut list and labels of a list, and the packs of its jobs."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from html import unescape

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.buying_lists.test_lists import JOB, OTHER, made, settled, words_of
from tests.pages.rack.test_rack import asked_of
from webapp.cut_with_others import WithOthers, cut_with_others
from webapp.documents.plans.drawings import cut_parts
from webapp.documents.workshop.cut_together import CutTogether, JobTogether
from webapp.estimating import estimate_job
from webapp.persistence.jobs.records import load_job_by_number, set_job_state
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now


def held(visitor: Visitor, number: int) -> WithOthers:
    with visitor.program.database.reading() as session:
        found = cut_with_others(session, load_job_by_number(session, number))
    assert found is not None
    return found


def blanks_of(visitor: Visitor, number: int, codes: frozenset[str]) -> Counter[str]:
    """How many blanks of each part a job needs of these materials, by its own take-off."""
    with visitor.program.database.reading() as session:
        job, shop = load_job_by_number(session, number), load_shop(session)
        _, found = estimate_job(session, job.document, shop, shop.today(utc_now()), job.id)
    return Counter(
        {
            f"{item.id}/{part.name}": int(part.count.value * part.layers * item.quantity.value)
            for item in found.items
            for part in item.take_off.parts
            if part.material in codes
        }
    )


def lying(job: JobTogether) -> Counter[str]:
    everything = [one for material in job.materials for one in material.lying]
    return Counter({one.name: sum(count for _, count in one.on) for one in everything})


def test_every_blank_of_both_jobs_lies_on_a_plan_and_the_sheets_are_those_of_the_list(demo_client: Visitor) -> None:
    address = made(demo_client, JOB, OTHER)
    found = held(demo_client, JOB).together
    assert [one.number for one in found.jobs] == [JOB, OTHER]
    for job in found.jobs:
        assert lying(job) == blanks_of(demo_client, job.number, job.codes)
    bought = Counter[str]()
    for line in settled(demo_client, address).making.lines:
        if line.id.startswith(("offer:", "rack:")) and len(line.jobs) == 2:
            bought[line.what] += int(line.count)
    for material in found.cuts.materials:
        titles = [*(one.title for one in material.sheets), *(one.words for one in material.lengths)]
        alike = [re.search(r", (one|\d+) (?:sheet|length|offcut)", words) for words in titles]
        sheets = sum(1 if one[1] == "one" else int(one[1]) for one in alike if one is not None)
        assert sheets == bought[material.name] > 0


def test_one_number_names_a_part_on_plan_cut_list_and_label_and_the_code_is_its_jobs_own(demo_client: Visitor) -> None:
    made(demo_client, JOB, OTHER)
    found: CutTogether = held(demo_client, JOB).together
    numbers = [one.number for job in found.jobs for material in job.materials for one in material.lying]
    assert len(numbers) == len(set(numbers))
    listed = Counter[int]()
    for table in found.tables:
        for group in table.groups:
            for row in group.rows:
                listed[row.number] += row.in_all
    labels = Counter(label.number for label in found.labels)
    for job in found.jobs:
        for material in job.materials:
            for one in material.lying:
                assert listed[one.number] == sum(count for _, count in one.on)
                codes = {label.code for label in found.labels if label.number == one.number}
                assert all(code.startswith(f"{job.number}-{one.own:02d}-") for code in codes)
                assert codes
    assert set(labels) == set(numbers)


def test_the_page_the_papers_and_the_files_of_a_list(demo_client: Visitor, unprinted: None) -> None:
    address = made(demo_client, JOB, OTHER)
    assert f'href="{address}/cut"' in demo_client.get(address).text
    page = demo_client.get(f"{address}/cut").text
    said = words_of(page)
    assert f"How it is cut: jobs {JOB} and {OTHER} together" in said
    assert "plan 1 of" in said
    files = re.findall(rf'href="({address}/cut/[^"]+\.(?:svg|dxf))"', page)
    assert any(one.endswith(".dxf") for one in files)
    for one in files[:2]:
        assert demo_client.get(unescape(one)).status_code == 200
    assert demo_client.get(f"{address}/cut.pdf").status_code == 200
    paper = demo_client.get(f"{address}/cut-list.pdf?paper=Letter").text
    assert f"Job {OTHER}, " in words_of(paper)
    assert 'class="label-sheet"' in paper
    single = made(demo_client, JOB)
    assert "/cut" not in demo_client.get(single).text.replace("/cut_", "")
    assert demo_client.get(f"{single}/cut").status_code == 404


def test_the_pack_says_where_its_parts_lie_and_holds_no_plan_of_its_own_for_them(demo_client: Visitor) -> None:
    before = words_of(demo_client.get(f"/jobs/{JOB}/workshop").text)
    address = made(demo_client, JOB, OTHER)
    shared = held(demo_client, JOB)
    name = shared.job.materials[0].name
    assert re.search(rf"{re.escape(name)}, plan \d+ of \d+, one", before)
    page = demo_client.get(f"/jobs/{JOB}/workshop").text
    said = words_of(page)
    assert not re.search(rf"{re.escape(name)}, plan \d+ of \d+, (one|\d)", said)
    assert f"The plans, the cut list and the labels are those of list {address.rpartition('/')[2]}." in said
    for one in shared.job.materials[0].lying:
        assert one.says in said
    assert f'href="{address}/cut"' in page
    cut = words_of(demo_client.get(f"/jobs/{JOB}/cut").text)
    assert f"bought and cut with job {OTHER}" in cut
    assert not re.search(rf"{re.escape(name)}, plan \d+ of", cut)


def test_a_job_that_changed_since_is_cut_by_its_own_plans_and_so_it_says(demo_client: Visitor) -> None:
    address = made(demo_client, JOB, OTHER)
    name = held(demo_client, JOB).job.materials[0].name
    page = demo_client.get(f"/jobs/{JOB}")
    fields = form_fields(page.text, "job-sheet")
    quantity = next(key for key in fields if key.endswith(".quantity"))
    more = {**fields, quantity: str(int(str(fields[quantity])) + 1), "act": "save"}
    assert demo_client.send_form(f"/jobs/{JOB}", more).status_code in (200, 303)
    said = words_of(demo_client.get(f"/jobs/{JOB}/workshop").text)
    assert f"List {address.rpartition('/')[2]} cuts {name}" in said
    assert "this job has changed since. Make the list again from its jobs" in said
    assert re.search(rf"{re.escape(name)}, plan \d+ of \d+, (one|\d)", said)
    other = words_of(demo_client.get(f"/jobs/{OTHER}/workshop").text)
    assert "this job has changed since" not in other


def test_a_part_whose_number_moved_is_no_more_where_the_list_says(demo_client: Visitor) -> None:
    """The labels that are cut apart already bear the number that the part had."""
    made(demo_client, JOB, OTHER)
    shared = held(demo_client, JOB)
    with demo_client.program.database.reading() as session:
        job, shop = load_job_by_number(session, JOB), load_shop(session)
        _, found = estimate_job(session, job.document, shop, shop.today(utc_now()), job.id)
    assert shared.still_fits(found)
    first, *others = found.bought
    moved = replace(found, bought=(*others, first))
    fits = cut_parts(moved).numbers == cut_parts(found).numbers
    assert shared.still_fits(moved) == fits
    assert not fits


def test_what_the_shared_sheets_leave_is_counted_once_with_the_job_cut_first(demo_client: Visitor) -> None:
    made(demo_client, JOB, OTHER)
    shared = held(demo_client, JOB)
    assert shared.together.rests
    page = demo_client.get(f"/jobs/{JOB}/offcuts").text
    assert "is counted here, with the job that is marked cut first." in page
    fields = asked_of(page)
    assert demo_client.send_form(f"/jobs/{JOB}/offcuts", fields).status_code == 303
    second = demo_client.get(f"/jobs/{OTHER}/offcuts").text
    assert f"was counted when job {JOB} was marked cut." in second
    assert not any(material.name in second for material in shared.job.materials)


def test_a_list_of_one_job_alone_takes_it_out_of_what_is_cut_together(demo_client: Visitor) -> None:
    made(demo_client, JOB, OTHER)
    with demo_client.program.database.writing() as session:
        set_job_state(session, load_job_by_number(session, OTHER).id, "dropped", at=utc_now(), by=None)
    made(demo_client, JOB)
    with demo_client.program.database.reading() as session:
        assert cut_with_others(session, load_job_by_number(session, JOB)) is None
    said = words_of(demo_client.get(f"/jobs/{JOB}/workshop").text)
    assert "Cut together with other jobs" not in said
