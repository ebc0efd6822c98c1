"""What the bench gets of a job and of a design by its pages: listed, sent, for helpers too and without a price."""

from __future__ import annotations

import csv
import re
from decimal import Decimal
from html import unescape
from io import BytesIO, StringIO
from zipfile import ZipFile

import pytest
from ezdxf.filemanagement import read
from openpyxl import load_workbook
from pypdf import PdfReader

from tests.harness.visiting import Visitor
from webapp.opening import DEMO_HELPER_NAME

#: A job of an assembly table with a field of 112 holes, and a design with openings and a plate let in.
TABLE = "/jobs/3/bench"
WEDGING = "/designs/wedging_table/bench"


def plain(cell: object) -> str:
    """A cell of a workbook as a CSV has it: a number without noughts at its end."""
    return f"{Decimal(str(cell)).normalize():f}" if isinstance(cell, int | float) else str(cell or "")


def hrefs(page: str, ending: str) -> list[str]:
    return [unescape(one) for one in re.findall(rf'href="([^"]+\.{ending}(?:\?[^"]*)?)"', page)]


@pytest.mark.parametrize("address", ["/jobs/2/bench", TABLE, WEDGING, "/designs/splayed_bench/bench"])
def test_every_part_on_the_page_is_a_file_and_in_the_archive(demo_client: Visitor, address: str) -> None:
    page = demo_client.get(address)
    assert page.status_code == 200
    assert "USD" not in page.text
    files = hrefs(page.text, "dxf")
    assert files
    sent = demo_client.get(f"{address}/parts.zip")
    assert sent.headers["content-type"] == "application/zip"
    with ZipFile(BytesIO(sent.content)) as archive:
        names = [name for name in archive.namelist() if name.endswith(".dxf")]
        listed = list(csv.DictReader(StringIO(archive.read("list-of-parts.csv").decode("utf-8-sig"))))
        packed = {name: archive.read(name) for name in names}
    assert len(files) == len(names) == len(listed)
    # Each lies in the tray with its outline, its number and how many pieces there are of it.
    tray = re.findall(r'<li>\s*<div class="flat-room">(.*?)</li>', page.text, re.DOTALL)
    assert [re.findall(r'class="balloon">(\d+)<', one) for one in tray] == [[row["No."]] for row in listed]
    for one, row in zip(tray, listed, strict=True):
        assert "<svg" in one
        assert f">{row['Pieces']} piece" in one
    for href, row in zip(files, listed, strict=True):
        one = demo_client.get(href)
        assert one.headers["content-type"].startswith("image/vnd.dxf")
        assert one.headers["content-disposition"].endswith(f'{row["File"]}"')
        alone, within = (read(StringIO(content.decode())) for content in (one.content, packed[row["File"]]))
        assert not alone.audit().errors
        drawn = [sorted((each.dxftype(), each.dxf.layer) for each in found.modelspace()) for found in (alone, within)]
        assert drawn[0] == drawn[1]


def test_the_cut_list_is_the_same_as_csv_and_as_a_workbook(demo_client: Visitor) -> None:
    for address in ("/jobs/2/bench", WEDGING):
        assert f'href="{address}/cut-list.xlsx"' in demo_client.get(address).text
        texts = demo_client.get(f"{address}/cut-list.csv").content.decode("utf-8-sig")
        written = list(csv.reader(StringIO(texts)))
        sheet = load_workbook(BytesIO(demo_client.get(f"{address}/cut-list.xlsx").content)).worksheets[0]
        kept = [[plain(cell.value) for cell in row] for row in sheet.iter_rows()]
        assert kept == written
        assert len(written) > 4
    assert demo_client.get("/jobs/2/bench/cut-list.pdf").status_code == 404


def test_labels_are_as_many_as_pieces_on_the_sheet_that_is_chosen(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/bench").text
    rows = list(csv.DictReader(StringIO(demo_client.get("/jobs/2/bench/cut-list.csv").content.decode("utf-8-sig"))))
    pieces = sum(int(row["Pieces"]) for row in rows)
    assert f"{pieces} labels" in page
    paper = PdfReader(BytesIO(demo_client.get("/jobs/2/bench/labels.pdf?sheet=letter-6&first=2").content))
    said = " ".join(one.extract_text() for one in paper.pages)
    assert len(paper.pages) == -(-(pieces + 1) // 6)
    assert len(re.findall(r"2-\d{2,}-\d{3}-\w", said)) == pieces
    assert "Next: Band edges" in said
    assert "second from the floor" in said
    assert demo_client.get("/jobs/2/bench/labels.pdf?first=99").status_code == 404
    # A design has no job whose code a label could bear.
    assert "labels.pdf" not in demo_client.get(WEDGING).text


def test_templates_and_router_templates_are_sent(demo_client: Visitor) -> None:
    page = demo_client.get(WEDGING).text
    (template,) = hrefs(page, "pdf")
    assert template == f"{WEDGING}/templates/1.pdf"
    paper = PdfReader(BytesIO(demo_client.get(f"{template}?paper=A4").content))
    said = re.search(r"(\d+) pages", page)
    assert said is not None
    assert len(paper.pages) == int(said[1])
    for which in re.findall(r'<option value="(1-[^"]+)"', page):
        asked = {"which": which, "bush": "24 mm", "cutter": "1/2 in", "paper": "Letter"}
        sent = demo_client.get(f"{WEDGING}/router.pdf", params=asked)
        assert sent.content.startswith(b"%PDF-")
        words = PdfReader(BytesIO(sent.content)).pages[0].extract_text()
        assert "For a guide bush of 24 mm and a cutter of 12.7 mm" in " ".join(words.split())


@pytest.mark.parametrize(
    ("bush", "cutter", "said"),
    [
        ("", "12 mm", "Guide bush: how wide it is has to be said."),
        ("12 mm", "12 mm", "the bush has to be larger"),
        ("24 mm", "wide", "can't be read"),
        ("24 mm", "-3 mm", "is below zero"),
        ("900 mm", "12 mm", "is wider than any"),
    ],
)
def test_a_guide_that_makes_no_template_is_said_on_the_page(
    demo_client: Visitor, bush: str, cutter: str, said: str
) -> None:
    answer = demo_client.get(f"{WEDGING}/router.pdf", params={"which": "1-1", "bush": bush, "cutter": cutter})
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    if bush:
        assert f'value="{bush}"' in answer.text, "what was typed is still there"


def test_the_pages_of_a_job_and_of_a_design_lead_there(demo_client: Visitor) -> None:
    assert 'value="bench"' in demo_client.get("/jobs/2").text
    assert 'href="/jobs/2/bench"' in demo_client.get("/jobs/2/workshop").text
    assert 'href="/designs/wedging_table/bench?version=1"' in demo_client.get("/designs/wedging_table").text
    versioned = demo_client.get(f"{WEDGING}?version=1").text
    assert f"{WEDGING}/parts.zip?version=1" in versioned
    assert '<input type="hidden" name="version" value="1">' in versioned


def test_a_job_without_parts_and_what_needs_no_template_say_so(demo_client: Visitor) -> None:
    answer = demo_client.send_form("/jobs/new", {"title": "Nothing yet"})
    empty = demo_client.get(f"{answer.headers['location']}/bench")
    assert empty.status_code == 200
    assert "There is no part in it yet" in empty.text
    plain = demo_client.get("/jobs/2/bench").text
    assert "every part is a plain rectangle" in plain
    assert "nothing has an opening, a pocket or an outline" in plain


def test_helpers_get_all_of_it(demo_client: Visitor) -> None:
    demo_client.sign_in(DEMO_HELPER_NAME)
    for address in ("/jobs/2/bench", TABLE, WEDGING):
        page = demo_client.get(address)
        assert page.status_code == 200
        assert "USD" not in page.text
    for file in ("parts.zip", "parts/1.dxf", "cut-list.csv", "cut-list.xlsx"):
        assert demo_client.get(f"/jobs/2/bench/{file}").status_code == 200


def test_what_is_not_there_is_gone(demo_client: Visitor) -> None:
    for wrong in (
        "/jobs/987654/bench", "/jobs/2/bench/parts/99.dxf", "/jobs/2/bench/templates.pdf", f"{WEDGING}/templates/0.pdf",
        f"{WEDGING}/templates/7.pdf", f"{WEDGING}/router.pdf?which=9-9&bush=24&cutter=12", "/designs/nothing/bench",
        "/jobs/2/bench/parts/0.dxf",
    ):  # fmt: skip
        assert demo_client.get(wrong).status_code == 404, wrong


def test_an_inch_shop_reads_inches(demo_client: Visitor) -> None:
    assert demo_client.send_form("/settings/shop", {"length_system": "inch"}).status_code == 303
    rows = list(csv.DictReader(StringIO(demo_client.get("/jobs/2/bench/cut-list.csv").content.decode("utf-8-sig"))))
    assert "Length, in" in rows[0]
    found = read(StringIO(demo_client.get("/jobs/2/bench/parts/1.dxf").text))
    assert found.header["$INSUNITS"] == 1
    # Without a unit they are inches there.
    asked = {"which": "1-1", "bush": "5/8", "cutter": "1/2"}
    sent = demo_client.get(f"{WEDGING}/router.pdf", params=asked)
    assert sent.content.startswith(b"%PDF-")
    words = " ".join(PdfReader(BytesIO(sent.content)).pages[0].extract_text().split())
    assert "the template runs 1/16 in outside the cut" in words
