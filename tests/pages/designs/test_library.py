"""The library of designs: found by words, materials and sizes, with pictures that come when they are looked at."""

from __future__ import annotations

import re
from html import unescape
from xml.etree import ElementTree

from tests.harness.visiting import Visitor
from webapp.pages.designs import library
from webapp.persistence.database.database import Database
from webapp.persistence.settings.shop import load_shop


def found(visitor: Visitor, words: str) -> set[str]:
    """The codes of the designs that a search lists."""
    page = visitor.get("/designs", params={"words": words})
    assert page.status_code == 200
    return set(re.findall(r'<a href="/designs/([a-z0-9_]+)">', page.text))


def plain(visitor: Visitor, words: str) -> str:
    page = visitor.get("/designs", params={"words": words}).text
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_designs_are_found_by_what_they_are_for_and_made_of(demo_client: Visitor) -> None:
    assert found(demo_client, "studio trestle") == {"trestle_bench"}
    assert found(demo_client, "maple") >= {"trestle_bench"}
    assert "trestle_bench" not in found(demo_client, "castor")
    assert found(demo_client, "caster") == found(demo_client, "castor") != set()


def test_designs_are_found_by_the_sizes_that_they_can_have(demo_client: Visitor) -> None:
    # A trestle bench is 1200 to 2400 mm long, 500 to 900 wide, 600 to 900 high.
    with demo_client.program.database.reading() as session:
        inches = load_shop(session).length_system == "inch"
    fits, too_long = ("72 x 31", "140 x 31") if inches else ("1800 x 800", "3600 x 800")
    assert "trestle_bench" in found(demo_client, fits)
    assert "trestle_bench" in found(demo_client, f"{fits} bench")
    assert "trestle_bench" not in found(demo_client, too_long)
    assert "trestle_bench" in found(demo_client, "1800 mm x 800 mm, at most 900 mm high")
    assert "trestle_bench" not in found(demo_client, "at most 590 mm high")
    assert "trestle_bench" not in found(demo_client, "over 1000 mm high")
    assert "that can be made at most" in plain(demo_client, "at most 900 mm high")


def test_past_benches_stand_beside_them(demo_client: Visitor) -> None:
    said = plain(demo_client, "trestle")
    assert "In past jobs" in said
    assert "Job 1: Trestle benches" in said
    page = demo_client.get("/designs", params={"words": "trestle"}).text
    assert 'href="/jobs/new?start=job:1"' in page
    assert "In past jobs" not in plain(demo_client, "")


def test_a_picture_is_a_file_that_the_browser_keeps(demo_client: Visitor) -> None:
    page = demo_client.get("/designs").text
    addresses = [unescape(one) for one in re.findall(r'<img src="([^"]+)"', page)]
    assert "/designs/trestle_bench/picture.svg?version=1" in addresses
    for address in addresses:
        answer = demo_client.get(address)
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert "max-age=86400" in answer.headers["cache-control"]
        assert ElementTree.fromstring(answer.text).tag.endswith("svg")
    address = "/designs/trestle_bench/picture.svg?version=1"
    light, dark = (demo_client.get(f"{address}{more}").text for more in ("", "&dark=yes"))
    assert "#2B2D30" in light
    assert "#2B2D30" not in dark
    assert "#FFFFFF" not in dark
    assert light.count("<path") == dark.count("<path") > 3


def test_a_list_works_out_no_design(demo_client: Visitor) -> None:
    library.PICTURES.forget()
    demo_client.get("/designs")
    assert not library.PICTURES._kept
    demo_client.get("/designs/trestle_bench/picture.svg?version=1")
    assert len(library.PICTURES._kept) == 1


def test_what_is_no_version_has_no_picture(demo_client: Visitor, demo_database: Database) -> None:
    assert demo_client.get("/designs/trestle_bench/picture.svg?version=9").status_code == 404
    assert demo_client.get("/designs/no_such/picture.svg").status_code == 404
    assert demo_client.get("/designs/trestle_bench/picture.svg?version=0").status_code == 422
