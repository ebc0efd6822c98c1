"""How sheets are sawn, as a page and as files: the same sheets in all of them, for helpers too, and without a price."""

from __future__ import annotations

import re
from io import BytesIO, StringIO
from xml.etree import ElementTree

from ezdxf.filemanagement import read
from pypdf import PdfReader

from tests.harness.visiting import Visitor


def files_of(page: str, ending: str) -> list[str]:
    return re.findall(rf'href="([^"]+\.{ending})"', page)


def test_every_sheet_of_a_job_is_drawn_told_and_to_be_had_as_a_file(demo_client: Visitor) -> None:
    page = demo_client.get("/jobs/2/cut")
    assert page.status_code == 200
    sheets = [href for href in files_of(page.text, "dxf") if not href.endswith("all.dxf")]
    assert sheets
    assert page.text.count('class="saw-table"') == len(sheets)
    assert "USD" not in page.text
    for href in sheets:
        sent = demo_client.get(href)
        drawing = read(StringIO(sent.text))
        assert not drawing.audit().errors
        svg = demo_client.get(href.removesuffix("dxf") + "svg")
        assert svg.headers["content-type"].startswith("image/svg+xml")
        assert "attachment" in svg.headers["content-disposition"]
        drawn = ElementTree.fromstring(svg.text)
        pieces = [one for one in drawn.iter() if one.get("class") == "piece"]
        assert len(drawing.modelspace().query('LWPOLYLINE[layer=="PIECES"]')) == len(pieces) > 0


def test_each_sheet_is_whole_on_a_page_and_no_page_is_a_title_alone(demo_client: Visitor) -> None:
    paper = PdfReader(BytesIO(demo_client.get("/jobs/2/cut.pdf?paper=Letter").content))
    box = paper.pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)
    pages = [one.extract_text() for one in paper.pages]
    assert "Trim, " in pages[0], "the first page holds a sheet or the settings of all"
    said = " ".join(pages)
    assert "Trim, rip" in said
    assert "USD" not in said


def test_a_sheet_that_is_not_there_is_said_to_be_gone(demo_client: Visitor) -> None:
    for wrong in ("/jobs/2/cut/nothing/1.svg", "/jobs/2/cut/nothing/all.dxf", "/jobs/987654/cut"):
        assert demo_client.get(wrong).status_code == 404
    first = files_of(demo_client.get("/jobs/2/cut").text, "dxf")[-1]
    assert demo_client.get(re.sub(r"\d+\.dxf", "999.dxf", first)).status_code == 404
    assert demo_client.get(re.sub(r"\d+\.dxf", "0.svg", first)).status_code == 404


def test_an_issued_quote_gives_the_sheets_that_it_was_made_with(demo_client: Visitor) -> None:
    quotes = re.findall(r'href="(/quotes/[0-9a-f-]{36})"', demo_client.get("/quotes").text)
    page = demo_client.get(f"{quotes[0]}/cut")
    assert page.status_code == 200
    assert "How it is cut" in page.text
    for href in files_of(page.text, "svg")[:1]:
        assert href.startswith(quotes[0])
        assert demo_client.get(href).status_code == 200
