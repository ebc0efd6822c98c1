"""The pages of designs: list, sheet, text as a file, the editor with its sentences, versions that are never lost."""

from __future__ import annotations

import re
from fractions import Fraction
from html import unescape

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.costing.designs.canonical import document_digest
from webapp.design_text import read_text
from webapp.estimating import estimate_job
from webapp.pages.designs.editor import FIRST_TEXT
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import list_versions, load_design, save_design_version
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.settings.shop import load_shop
from webapp.running import utc_now


def _text(visitor: Visitor, code: str = "bench_cabinet") -> str:
    answer = visitor.get(f"/designs/{code}/text")
    assert answer.status_code == 200
    return answer.text


def _versions(database: Database, code: str = "bench_cabinet") -> list[int]:
    with database.reading() as session:
        return [one.number for one in list_versions(session, code)]


def test_the_list_counts_jobs_and_finds_by_words(demo_client: Visitor) -> None:
    page = demo_client.get("/designs").text
    assert re.search(r'<dt>Design, in 2 jobs</dt><dd><a href="[^"]+">Bench cabinet with drawers</a>', page)
    assert "Trestle" not in demo_client.get("/designs", params={"words": "CABINET drawers"}).text.split("In past")[0]
    assert "No design is called that" in demo_client.get("/designs", params={"words": "zeppelin"}).text


def test_the_sheet_counts_the_pieces(demo_client: Visitor) -> None:
    # 26 pieces of the cabinet and 69 of the hollow-core top at usual sizes, as counted by hand in the reference tests.
    for code, pieces in (("bench_cabinet", "26"), ("hollow_core_top", "69")):
        standing = demo_client.get(f"/designs/{code}").text.split("<dt>Pieces</dt>")[1].split("</div>")[0]
        assert f">{pieces}<" in standing


def test_the_text_is_a_file_that_reads_back(demo_client: Visitor, demo_database: Database) -> None:
    answer = demo_client.get("/designs/trestle_bench/text")
    assert answer.headers["content-disposition"] == 'attachment; filename="trestle_bench-version-1.yaml"'
    document, problems = read_text(answer.text)
    assert document is not None, problems
    with demo_database.reading() as session:
        assert document_digest(document) == load_design(session, "trestle_bench").digest


def test_a_changed_text_is_tried_out_and_then_kept_as_the_next_version(
    demo_client: Visitor, demo_database: Database
) -> None:
    text = _text(demo_client).replace("Overall width; 900 mm", "Overall width; 1000 mm")
    tried = demo_client.send_form("/designs/bench_cabinet/edit", {"text": text, "base": "1", "act": "try"})
    assert tried.status_code == 200
    assert "46 of 46 checks hold" in tried.text
    assert _versions(demo_database) == [1]
    fields = {"text": text.replace("\n", "\r\n"), "base": "1", "act": "keep", "note": "A wider one"}
    kept = demo_client.send_form("/designs/bench_cabinet/edit", fields)
    assert (kept.status_code, kept.headers["location"]) == (303, "/designs/bench_cabinet")
    assert _versions(demo_database) == [2, 1]
    page = demo_client.get("/designs/bench_cabinet").text
    assert "A wider one" in page
    assert ">1000<" in page
    earlier = demo_client.get("/designs/bench_cabinet?version=1").text
    assert "There is a later one." in earlier
    assert "Make a job from it" not in earlier


@pytest.mark.parametrize(
    ("old", "new", "line", "sentence"),
    [
        ("Overall width; 900 mm", "Overall width; 5000 mm", 6, "width"),
        ("inner_width: width - 2 * board.thickness", "inner_width: width - drawers", 0, "inner_width"),
        ("pitch: (under_top - base_height) / drawers", "pitch: (under_top - base_height) + drawers", 0, "length"),
        ("sheet birch_plywood_18", "cloth birch_plywood_18", 0, "cloth"),
    ],
)
def test_what_is_wrong_is_said_with_its_line_and_nothing_is_lost(
    demo_client: Visitor, demo_database: Database, old: str, new: str, line: int, sentence: str
) -> None:
    text = _text(demo_client)
    assert old in text
    wrong = text.replace(old, new)
    answer = demo_client.send_form(
        "/designs/bench_cabinet/edit", {"text": wrong, "base": "1", "act": "keep", "note": "try"}
    )
    assert answer.status_code == 422
    expected = line or 1 + wrong[: wrong.index(new)].count("\n")
    assert f'data-line="{expected}"' in answer.text
    problems = unescape(answer.text.split('id="problems"')[1].split("</ul>")[0])
    assert sentence in problems
    typed = unescape(answer.text.split("<textarea")[1].split(">\n", 1)[1].split("</textarea>")[0])
    assert typed == wrong
    assert 'value="try"' in answer.text
    assert _versions(demo_database) == [1]


@pytest.mark.parametrize(
    "wrong",
    [
        {"Overall width; 900 mm": "Overall width; 9 ells", "wide carcass_depth along y": "wide carcass_dept along y"},
        {"board sugar_maple": "plank sugar_maple", "Drawers; 3; least 2": "Drawers; 3; leest 2"},
    ],
)
def test_several_problems_are_said_at_once(demo_client: Visitor, wrong: dict[str, str]) -> None:
    text = _text(demo_client)
    for old, new in wrong.items():
        assert old in text
        text = text.replace(old, new)
    answer = demo_client.send_form("/designs/bench_cabinet/edit", {"text": text, "base": "1", "act": "try"})
    lines = {int(line) for line in re.findall(r'data-line="(\d+)"', answer.text)}
    assert {1 + text[: text.index(new)].count("\n") for new in wrong.values()} <= lines


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The text is empty."),
        ("form: 1\n  design: [", "can't be read"),
        ("a: &x 1\nb: *x", "marks something to be used elsewhere"),
        ("name: !!python/object:os.system x", "has no place in a form"),
        ("x" * 270_000, "The text is longer than 256 kB."),
        ("design: new\n", "can't be a design's code"),
    ],
)
def test_hostile_or_unfinished_text_is_refused_in_a_sentence(demo_client: Visitor, text: str, sentence: str) -> None:
    answer = demo_client.send_form("/designs/new", {"text": text, "act": "keep"})
    assert answer.status_code == 422
    assert sentence in unescape(answer.text)


def test_the_first_text_is_a_whole_design(demo_client: Visitor, demo_database: Database) -> None:
    assert "plain_stool" in demo_client.get("/designs/new").text
    tried = demo_client.send_form("/designs/new", {"text": FIRST_TEXT, "act": "try"})
    assert tried.status_code == 200
    assert 'class="note failure"' not in tried.text
    kept = demo_client.send_form("/designs/new", {"text": FIRST_TEXT, "act": "keep"})
    assert (kept.status_code, kept.headers["location"]) == (303, "/designs/plain_stool")
    again = demo_client.send_form("/designs/new", {"text": FIRST_TEXT, "act": "keep"})
    assert again.status_code == 422
    assert "There is a design under “plain_stool” already" in again.text
    assert _versions(demo_database, "plain_stool") == [1]


def test_parts_that_overlap_are_shown_and_kept_only_on_purpose(demo_client: Visitor, demo_database: Database) -> None:
    text = FIRST_TEXT.replace("length: height - board.thickness, width: depth", "length: height, width: depth")
    answer = demo_client.send_form("/designs/new", {"text": text, "act": "keep"})
    assert answer.status_code == 422
    assert 'class="note failure"' in answer.text
    assert "Keep it although it fails checks" in answer.text
    assert _versions(demo_database, "plain_stool") == []
    kept = demo_client.send_form("/designs/new", {"text": text, "act": "keep", "although": "yes"})
    assert kept.status_code == 303
    assert 'class="note failure"' in demo_client.get("/designs/plain_stool").text


def test_a_text_under_another_code_is_not_kept_here(demo_client: Visitor) -> None:
    text = _text(demo_client).replace("design: bench_cabinet", "design: other_cabinet")
    answer = demo_client.send_form("/designs/bench_cabinet/edit", {"text": text, "base": "1", "act": "keep"})
    assert answer.status_code == 422
    assert "This page changes “bench_cabinet”" in unescape(answer.text)


def test_a_version_kept_meanwhile_is_said_and_neither_is_lost(demo_client: Visitor, demo_database: Database) -> None:
    mine = _text(demo_client).replace("Overall width; 900 mm", "Overall width; 950 mm")
    with demo_database.writing() as session:
        document = {**load_design(session, "bench_cabinet").document, "says": "Theirs"}
        digest = document_digest(document)
        save_design_version(session, "bench_cabinet", "Theirs", document, digest, at=utc_now(), note="by another")
    answer = demo_client.send_form("/designs/bench_cabinet/edit", {"text": mine, "base": "1", "act": "keep"})
    assert answer.status_code == 409
    assert "Version 2 was kept meanwhile: by another." in answer.text
    assert "Overall width; 950 mm" in answer.text
    assert 'name="base" value="2"' in answer.text
    kept = demo_client.send_form("/designs/bench_cabinet/edit", {"text": mine, "base": "2", "act": "keep"})
    assert kept.status_code == 303
    assert _versions(demo_database) == [3, 2, 1]


def test_the_same_text_makes_no_new_version(demo_client: Visitor, demo_database: Database) -> None:
    answer = demo_client.send_form(
        "/designs/bench_cabinet/edit", {"text": _text(demo_client), "base": "1", "act": "keep"}
    )
    assert (answer.status_code, answer.headers["location"]) == (303, "/designs/bench_cabinet?version=1")
    assert _versions(demo_database) == [1]


def test_a_retired_design_leaves_the_list_and_comes_back(demo_client: Visitor) -> None:
    assert demo_client.send_form("/designs/trestle_bench/retire", {"retired": "yes"}).status_code == 303
    assert "Trestle bench" not in demo_client.get("/designs").text
    assert "Trestle bench" in demo_client.get("/designs?retired=yes").text
    assert "This design is retired" in demo_client.get("/designs/trestle_bench").text
    demo_client.send_form("/designs/trestle_bench/retire", {"retired": "no"})
    assert "Trestle bench" in demo_client.get("/designs").text


@pytest.mark.parametrize(
    "address",
    ["/designs/nothing", "/designs/nothing/edit", "/designs/nothing/text", "/designs/bench_cabinet?version=9"],
)
def test_what_is_not_kept_is_not_found(demo_client: Visitor, address: str) -> None:
    answer = demo_client.get(address)
    assert answer.status_code == 404
    assert "There is no design under" in answer.text


def test_an_empty_shop_is_shown_where_to_begin(client: Visitor) -> None:
    page = client.get("/designs").text
    assert "The shop has no design yet." in page
    assert 'href="/maker"' in page
    tried = client.send_form("/designs/new", {"text": FIRST_TEXT, "act": "try"})
    assert tried.status_code == 200, "a shop without materials still sees what it wrote"
    assert "birch_plywood_18" in tried.text


LINES = """\
# for the page
form: 2
design: plain_bench
name: Plain bench
says: A bench of lines.
stock:
  # beech would do
  leg_stock: Legs; length softwood_4x4
parts:
  leg: Leg; 4 of leg_stock; long 700 mm along z; x "to <b>both</b> ends"
"""


def test_a_clause_that_is_wrong_is_said_with_its_line_and_the_text_stays_as_typed(demo_client: Visitor) -> None:
    typed = LINES.replace("long 700", "looong 700")
    answer = demo_client.send_form("/designs/new", {"text": typed, "act": "keep", "note": "try"})
    assert answer.status_code == 422
    problems = unescape(answer.text.split('id="problems"')[1].split("</ul>")[0])
    assert 'data-line="10"' in problems
    assert "the part leg: 'looong 700 mm along z' is no clause; did you mean 'long'?" in problems
    kept = unescape(answer.text.split("<textarea")[1].split(">\n", 1)[1].split("</textarea>")[0])
    assert kept == typed


def test_a_clause_that_can_not_be_read_hides_nothing_else_that_is_wrong(demo_client: Visitor) -> None:
    foot = "  foot: Foot; 2 of leg_stock; long leg.legnth along y; z nowhere\n"
    typed = LINES.replace("4 of leg_stock; long 700", "looong 700") + foot
    answer = demo_client.send_form("/designs/new", {"text": typed})
    assert answer.status_code == 422
    problems = unescape(answer.text.split('id="problems"')[1].split("</ul>")[0])
    assert "the part leg: 'looong 700 mm along z' is no clause; did you mean 'long'?" in problems
    assert "legnth" in problems
    assert "nowhere" in problems
    # The leg has no stock and no length in what could be read of it: that is not held against it.
    assert problems.count('data-line="10"') == 1
    assert 'data-line="11"' in problems


def test_a_design_of_lines_is_a_file_of_lines_and_is_read_aloud(demo_client: Visitor, demo_database: Database) -> None:
    document, problems = read_text(LINES)
    assert document is not None, problems
    with demo_database.writing() as session:
        digest = document_digest(document)
        save_design_version(session, "plain_bench", "Plain bench", document, digest, at=utc_now(), note="")
    assert _text(demo_client, "plain_bench") == LINES.replace('"to <b>both</b> ends"', "to <b>both</b> ends")
    assert "# beech would do" in demo_client.get("/designs/plain_bench/edit").text
    page = demo_client.get("/designs/plain_bench").text
    aloud = page.split('id="read-aloud"')[1].split("</details>")[0]
    assert "<h3>Parts</h3>" in aloud
    said = "Leg: four of them, cut from “Legs”, 700 mm long, standing, from left to right: to <b>both</b> ends."
    assert said in unescape(aloud)
    assert "<b>" not in aloud


def test_the_editor_says_how_a_line_goes(demo_client: Visitor) -> None:
    page = demo_client.get("/designs/new").text
    assert "<code>SAYS; COUNT of STOCK; long LENGTH along x; wide WIDTH along x;" in page
    assert "<code>THAT; warning; when WHEN; SAYS</code>" in page


def test_a_bare_length_of_the_second_form_gets_the_shop_s_unit_and_the_page_says_so(demo_client: Visitor) -> None:
    text = FIRST_TEXT.replace("form: 1", "form: 2").replace("end: 40 mm", "end: 40")
    text = text.replace("usual: 400 mm", "usual: 400")
    page = demo_client.send_form("/designs/new", {"text": text, "act": "try"}).text
    units = page.split('id="units"')[1].split("</div>")[0]
    assert re.findall(r"<li>(\S+): <code>(.+?)</code> is <code>(.+?)</code>", units) == [
        ("sizes.width.usual", "400", "400 mm"), ("values.end", "40", "40 mm"),
    ]  # fmt: skip
    kept = demo_client.get("/designs/bench_cabinet?units=2").text
    assert "one was written in: in 2 places." in kept
    assert 'id="units"' not in demo_client.send_form("/designs/new", {"text": FIRST_TEXT, "act": "try"}).text


def test_a_name_is_changed_in_the_text_and_jobs_follow(demo_client: Visitor, demo_database: Database) -> None:
    text = _text(demo_client)
    fields = {"text": text, "base": "1", "act": "rename", "name_now": "width", "name_new": "overall_width"}
    answer = demo_client.send_form("/designs/bench_cabinet/edit", fields)
    assert "“width” is called “overall_width” now" in unescape(answer.text)
    changed = unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.DOTALL)[1])  # type: ignore[index]
    assert "renamed:\n  sizes: {width: overall_width}" in changed
    assert _versions(demo_database) == [1]
    number = next(one for one in range(1, 6) if "Cabinets under the window" in demo_client.get(f"/jobs/{one}").text)
    before, total = form_fields(demo_client.get(f"/jobs/{number}").text, "job-sheet"), _total(demo_client, number)
    kept = demo_client.send_form("/designs/bench_cabinet/edit", {"text": changed, "base": "1", "act": "keep"})
    assert kept.status_code == 303
    # A job that takes the newer version has under the new name what it had typed under the old one.
    after = form_fields(demo_client.get(f"/jobs/{number}").text, "job-sheet")
    assert before["items.cabinets.sizes.width"] == after["items.cabinets.sizes.overall_width"] == "850 mm"
    assert "items.cabinets.sizes.width" not in after
    assert _total(demo_client, number) == total


def _total(visitor: Visitor, number: int) -> Fraction:
    """What a job comes to as it is kept, at today's prices."""
    with visitor.program.database.reading() as session:
        job, shop = load_job_by_number(session, number), load_shop(session)
        return estimate_job(session, job.document, shop, shop.today(visitor.program.now()))[1].totals.total.value


@pytest.mark.parametrize(
    ("now", "new", "sentence"),
    [
        ("widht", "wide", "no entry 'widht'"),
        ("width", "depth", "'depth' is a size of the design already"),
        ("width", "Wide one", "is no name for a size"),
    ],
)
def test_a_name_that_can_not_be_changed_is_said(demo_client: Visitor, now: str, new: str, sentence: str) -> None:
    fields = {"text": _text(demo_client), "base": "1", "act": "rename", "name_now": now, "name_new": new}
    answer = demo_client.send_form("/designs/bench_cabinet/edit", fields)
    assert answer.status_code == 422
    assert sentence in unescape(answer.text)
