"""The lists of a job's places: what fits is offered, and a fitting follows the stock that it has to fit."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.jobs.test_jobs import SHEET, estimated, kept
from webapp.pages.sheet import stock as job_stock


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


def put(visitor: Visitor, design: str, role: str, material: str) -> tuple[str, str]:
    """The address of a job from a starter with a material put in a place as a file or an older job would, and its
    sheet."""
    address, page = begun(visitor, design)
    fields = form_fields(page, SHEET)
    name = next(one for one in fields if one.endswith(f".materials.{role}"))
    assert visitor.send_form(address, {**fields, name: material}).status_code == 303
    return address, unescape(visitor.get(address).text)


def places(page: str) -> str:
    """The address of what the lists of the one item leave out."""
    found = re.search(r'href="(/jobs/\d+/items/[^"]+/places)"', page)
    assert found is not None
    return found[1]


def test_a_tube_frame_of_edge_band_is_refused_and_the_list_offers_tubes(demo_client: Visitor) -> None:
    _, page = put(demo_client, "tube_frame_bench", "tube", "edge_band_1")
    assert "“Frame, square tube” takes a steel tube; “Birch edge band 22 x 1 mm” is an edge band." in page
    listed = options(page, ".tube")
    assert listed[0] == ("edge_band_1", "Birch edge band 22 x 1 mm (does not fit)")
    assert all(code.startswith("steel_tube") for code, _ in listed[1:])


def test_a_cart_on_shelf_pegs_is_refused_and_what_is_left_out_stands_on_a_page_with_its_reasons(
    demo_client: Visitor,
) -> None:
    _, page = put(demo_client, "ware_cart", "swivel_castor", "shelf_peg")
    assert "“Swivel castors with brake” takes a swivel castor; “Shelf peg 5 mm” is a shelf peg." in page
    assert [code for code, _ in options(page, ".swivel_castor")] == [
        "shelf_peg", "castor_100", "castor_stem_100", "castor_125", "castor_75",
    ]  # fmt: skip
    assert "17 more of the kind left out: see why below" in page
    address = places(page)
    whole = unescape(demo_client.get(address).text)
    assert "a material of the kind piece, tagged swivel castor and with “Rated load” at least 40 kg" in whole
    one = unescape(demo_client.get(f"{address}?place=swivel_castor").text)
    assert "“Swivel castors with brake” takes a swivel castor; “Rubber pad 4 mm, nailed” is a pad." in one
    few = unescape(demo_client.get(f"{address}?place=swivel_castor&words=hinge").text)
    assert "“Lift-off hinge 80 mm, pair” is a hinge." in few
    assert "Rubber pad 4 mm" not in few
    assert demo_client.get(f"{address}?place=roof").status_code == 404
    assert demo_client.get(address.replace("/places", "x/places")).status_code == 404


def test_of_an_untagged_material_it_is_said_what_to_type_and_then_it_fits(demo_client: Visitor) -> None:
    made = {"name": "Twin-wheel castor", "value.rated_load": "90 kg", "value.mass": "0.5 kg"}
    assert demo_client.send_form("/materials/new?kind=piece", made).status_code == 303
    address, page = put(demo_client, "ware_cart", "swivel_castor", "twin_wheel_castor")
    doubt = "Not known whether “Twin-wheel castor” (twin_wheel_castor) fits “Swivel castors with brake”: no tag says"
    # No warning stands before it: it is in sight of the sheet as it opens.
    assert doubt in page
    # It bears a mark of its own, in words and by its hatch.
    assert '<div class="note unknown">' in page
    assert "Not known, " in page
    assert "Type “swivel castor” under its tags if it is a swivel castor." in page
    assert options(page, ".swivel_castor")[0] == ("twin_wheel_castor", "Twin-wheel castor (not known to fit)")
    left = unescape(demo_client.get(f"{places(page)}?place=fixed_castor").text)
    assert "Not known to fit" in left
    assert "Type “fixed castor” under its tags if it is a fixed castor." in left
    tagged = {"kind": "piece", **made, "tags": "Swivel caster", "version": "1"}
    assert demo_client.send_form("/materials/twin_wheel_castor/edit", tagged).status_code == 303
    page = unescape(demo_client.get(address).text)
    assert doubt not in unescape(demo_client.get(f"{address}?open=checks").text)
    assert ("twin_wheel_castor", "Twin-wheel castor") in options(page, ".swivel_castor")


def test_where_nothing_is_known_to_fit_what_may_be_meant_is_offered_and_marked(client: Visitor) -> None:
    """A shop of its own whose castors nobody has tagged."""
    assert client.send_form("/starters", {}).status_code == 303
    for code in ("castor_75", "castor_100", "castor_125", "castor_stem_100"):
        bare = {"kind": "piece", "name": f"Castor {code}", "value.rated_load": "90 kg", "tags": "", "version": "1"}
        assert client.send_form(f"/materials/{code}/edit", bare).status_code == 303
    _, page = begun(client, "ware_cart")
    assert [words for _, words in options(page, ".swivel_castor")] == [
        "Castor castor_100 (not known to fit)",
        "Castor castor_125 (not known to fit)",
        "Castor castor_75 (not known to fit)",
        "Castor castor_stem_100 (not known to fit)",
    ]


def test_among_more_than_are_looked_at_what_is_tagged_is_found(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job_stock, "MOST_DESCRIBED", 3)
    _, page = begun(demo_client, "ware_cart")
    assert [code for code, _ in options(page, ".swivel_castor")] == ["castor_100", "castor_stem_100", "castor_125"]
    assert [code for code, _ in options(page, ".handle_bolt")] == ["bolt_m10_120"]
    left = unescape(demo_client.get(f"{places(page)}?place=swivel_castor").text)
    assert re.search(r"\d+ more of the kind stand among the materials; words find them", left)


def test_a_tag_that_nobody_knows_is_said_on_the_material_with_the_nearest(demo_client: Visitor) -> None:
    made = {"name": "Wheel", "tags": "castr"}
    assert demo_client.send_form("/materials/new?kind=piece", made).status_code == 303
    page = unescape(demo_client.get("/materials/wheel").text)
    assert "“castr” is no tag that the program knows; did you mean “castor”?" in page
    assert "a wheel under furniture" in unescape(demo_client.get("/materials/new?kind=piece").text)
    assert "a wheel under furniture" in unescape(demo_client.get("/materials/paste").text)
