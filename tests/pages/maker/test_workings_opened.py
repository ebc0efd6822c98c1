"""Figures of a design being made are opened: price, hours and weight, each with its rule and where it came from."""

from __future__ import annotations

import re
from html import unescape

from tests.harness.visiting import Visitor
from tests.pages.maker.test_maker import begin


def _opened(visitor: Visitor, address: str) -> dict[str, str]:
    """Where the figures of the strip open, by their ids."""
    page = visitor.get(address).text
    return dict(re.findall(r'id="(now-[a-z]+)" data-figure><a href="([^"]*)"', page))


def test_price_hours_and_weight_open_and_lead_on(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack to open")
    opened = _opened(demo_client, address)
    assert set(opened) == {"now-price", "now-hours", "now-weight"}
    for link in opened.values():
        page = demo_client.get(link)
        assert page.status_code == 200
        assert "How a figure was worked out" in page.text
        assert f'<a href="{address}">Rack to open</a>, as it stands, being made.' in page.text
        further = [unescape(one) for one in re.findall(rf'href="({address}/working/[^"]*)"', page.text)]
        assert further
        assert all(demo_client.get(one).status_code == 200 for one in further)
    part = demo_client.swap(opened["now-weight"], method="GET").text
    assert "<html" not in part
    assert '<section class="working" id="working"' in part


def test_what_is_opened_is_what_the_strip_says(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack to compare")
    page = demo_client.get(address).text
    price = re.search(r'id="now-price" data-figure><a href="([^"]*)"><span class="value">([^<]*)<', page)
    assert price is not None
    assert f'<span class="value">{price[2]}</span>' in demo_client.get(price[1]).text


def test_a_weight_opens_where_no_price_can_be_made(demo_client: Visitor) -> None:
    demo_client.sign_in("helper")
    address = begin(demo_client, of="drying_rack", name="Rack of a helper")
    opened = _opened(demo_client, address)
    assert set(opened) == {"now-weight"}
    assert demo_client.get(opened["now-weight"]).status_code == 200


def test_what_there_is_not_or_is_anothers_does_not_open(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack of mine")
    opened = _opened(demo_client, address)
    assert demo_client.get(f"{address}/working/no_such").status_code == 404
    demo_client.sign_in("helper")
    theirs = begin(demo_client, of="drying_rack", name="Rack of theirs")
    assert demo_client.get(opened["now-weight"]).status_code == 404
    assert demo_client.get(opened["now-weight"].replace(address, theirs)).status_code == 200
    for figure in ("now-price", "now-hours"):
        assert demo_client.get(opened[figure].replace(address, theirs)).status_code == 404
