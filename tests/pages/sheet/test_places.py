"""The lists of a job's places: what fits is offered, and a fitting follows the stock that it has to fit."""

from __future__ import annotations

import re
from html import unescape

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.jobs.test_jobs import SHEET, estimated, kept


def begun(visitor: Visitor, design: str) -> tuple[str, str]:
    """The address of a new job from a starter, and its sheet."""
    answer = visitor.send_form("/jobs/new", {"start": f"design:{design}", "title": "A bench"})
    assert answer.status_code == 303
    return answer.headers["location"], visitor.get(answer.headers["location"]).text


def options(page: str, ending: str) -> list[tuple[str, str]]:
    """Value and words of each answer of the list whose name ends so."""
    found = re.search(rf'<select[^>]*name="[^"]*{re.escape(ending)}"[^>]*>(.*?)</select>', page, re.DOTALL)
    assert found is not None, ending
    return re.findall(r'<option value="([^"]*)"[^>]*>([^<]*)</option>', unescape(found[1]))


def test_edge_bands_alone_are_offered_as_edge_band(demo_client: Visitor) -> None:
    _, page = begun(demo_client, "bench_cabinet")
    assert [code for code, _ in options(page, "materials.edge_band")] == ["edge_band_1", "edge_band_2"]


def test_plugs_follow_the_tube_and_a_choice_that_does_not_fit_is_said(demo_client: Visitor) -> None:
    address, page = begun(demo_client, "tube_frame_bench")
    number = int(address.rpartition("/")[2])
    fields = form_fields(page, SHEET)
    item = next(name for name in fields if name.endswith(".materials.tube")).removesuffix(".tube")
    assert fields[f"{item}.plug_stock"] == ""
    assert options(page, ".plug_stock")[0] == ("", "What fits: Threaded plug for 50 mm square tube")
    tubes = [code for code, _ in options(page, ".tube")]
    assert "steel_tube_40" in tubes
    assert not any(code.startswith(("edge", "softwood")) for code in tubes)

    assert demo_client.send_form(address, {**fields, f"{item}.tube": "steel_tube_40"}).status_code == 303
    page = demo_client.get(address).text
    assert options(page, ".plug_stock") == [
        ("", "What fits: Threaded plug for 40 mm square tube"),
        ("tube_plug_40", "Threaded plug for 40 mm square tube"),
    ]
    assert "Taken to fit “Square steel tube 40 x 40 x 2 mm”." in unescape(page)
    found = estimated(demo_client, kept(demo_client, number).document)
    assert "tube_plug_40" in {one.material.code for one in found.bought}
    assert found.complete

    fields = form_fields(page, SHEET)
    assert demo_client.send_form(address, {**fields, f"{item}.plug_stock": "tube_plug_50"}).status_code == 303
    page = unescape(demo_client.get(address).text)
    assert "does not fit there with “Square steel tube 40 x 40 x 2 mm”" in page
    assert ("tube_plug_50", "Threaded plug for 50 mm square tube (does not fit)") in options(page, ".plug_stock")
