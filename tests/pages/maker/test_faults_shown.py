"""What fails is counted once, stands in full at one row and in short at others that it names, and is mended there."""

from __future__ import annotations

import re
from html import unescape

from tests.harness.visiting import Visitor
from tests.pages.maker.test_maker import begin, change, said, word


def row_of(page: str, own: str) -> str:
    """One row of the page."""
    found = re.search(rf'<li class="row[^"]*" id="{own}".*?</li>', page, re.DOTALL)
    assert found is not None, f"there is no row {own}"
    return found[0]


def _overlapping(visitor: Visitor) -> str:
    """A cabinet whose bottom runs into its sides, and whose joint of these finds no faces that meet."""
    address = begin(visitor, of="bench_cabinet", name="Cabinet that overlaps")
    change(visitor, address, "parts", "bottom", length="width")
    return address


def test_an_overlap_is_counted_once_and_said_at_both_parts(demo_client: Visitor) -> None:
    page = demo_client.get(_overlapping(demo_client)).text
    # The two parts overlap, and their joint has no faces that meet: two things are wrong.
    assert "2, each at its row" in page
    assert 'id="the-whole"' not in page
    side, bottom = row_of(page, "row-parts-side"), row_of(page, "row-parts-bottom")
    assert said(side)[0].startswith("Fails: The parts “Side” 1 and “Bottom” 1 overlap by a space 17.8 mm wide")
    assert said(bottom) == ["Fails with Bottom into the sides: it is said there.", "Fails with Side: it is said there."]
    assert 'href="#row-parts-side"' in bottom


def test_each_fault_in_the_strip_leads_to_its_row(demo_client: Visitor) -> None:
    page = demo_client.get(_overlapping(demo_client)).text
    strip = page[page.index('id="maker-faults"') : page.index('class="maker-acts"')]
    leads = re.findall(r'<a href="#([^"]*)">([^<]*)</a>', strip)
    assert leads == [("row-joints-bottom-ends", "Bottom into the sides"), ("row-parts-side", "Side")]
    assert all(f'id="{row}"' in page for row, _ in leads)


def test_what_is_said_of_no_row_has_a_row_of_its_own(demo_client: Visitor) -> None:
    page = demo_client.get(begin(demo_client, of="ware_cart", name="Cart that tips")).text
    whole = row_of(page, "the-whole")
    assert any("it tips before it climbs a threshold" in one for one in said(whole))


def test_the_overall_sizes_fail_at_their_own_row(demo_client: Visitor) -> None:
    address = begin(demo_client, of="drying_rack", name="Rack stated otherwise")
    change(demo_client, address, "closes", "", x="width + 7 mm")
    page = demo_client.get(address).text
    assert any("the whole is stated as" in one for one in said(row_of(page, "row-closes")))
    assert '<a class="bad" href="#row-closes">1, at Overall sizes</a>' in page


def test_what_mends_two_faults_is_offered_at_one_and_named_at_the_other(demo_client: Visitor) -> None:
    address = _overlapping(demo_client)
    asked = demo_client.get(address).text
    link = re.search(r'<noscript><a href="([^"#]*)#row-parts-side">What mends it', row_of(asked, "row-parts-side"))
    assert link is not None
    page = demo_client.get(link[1]).text
    joint, side = row_of(page, "row-joints-bottom-ends"), row_of(page, "row-parts-side")
    assert "Bottom: take width - 2 * board.thickness" in joint
    assert 'What mends <a href="#row-joints-bottom-ends">Bottom into the sides</a> mends this as well.' in side
    press = re.search(r'<form class="act".*?</form>', joint, re.DOTALL)
    assert press is not None
    fields = {name: unescape(text) for name, text in re.findall(r'name="([^"]*)" value="([^"]*)"', press[0])}
    assert demo_client.send_form(address, fields).status_code == 303
    mended = demo_client.get(address).text
    assert word(mended, "row-parts-bottom-length") == "width - 2 * board.thickness"
    assert 'class="said failure' not in mended


def test_a_misspelt_stock_is_said_plainly_and_mended_by_a_press(demo_client: Visitor) -> None:
    address = begin(demo_client)
    for line in ("width 900, from 600 to 1200", "shelf of birch plywood 18, width long, 300 wide from front to back"):
        assert demo_client.send_form(address, {"act": "add", "rows": line}).status_code == 303
    change(demo_client, address, "parts", "shelf", stock="brich")
    row = row_of(demo_client.get(f"{address}/mends").text, "row-parts-shelf")
    assert said(row)[0].startswith("Fails: Stock: 'brich' is no stock role")
    assert "Take birch plywood" in row
    assert "Nothing can be drawn: what it leans on can’t be read." in demo_client.get(address).text


def test_every_fold_says_which_row_it_is_of(demo_client: Visitor) -> None:
    page = demo_client.get(begin(demo_client, of="drying_rack", name="Rack of folds")).text
    fold = r'<summary>(Re[^<]*)<span class="unseen"> ([^<]+), its remark and the row as a line</span>'
    folds = re.findall(fold, page)
    assert len(folds) == page.count('class="row-more"')
    assert {words for words, _ in folds} == {"Rename, remove", "Remark, remove"}


def test_an_empty_design_says_what_comes_next(demo_client: Visitor) -> None:
    page = unescape(demo_client.get(begin(demo_client)).text)
    assert "It has no size: say what a customer may change, as “width 900, from 600 to 1200”." in page
    assert "It has no part: say one" in page
    assert "stock" not in " ".join(re.findall(r'class="note not-yet">(.*?)</p>', page))
