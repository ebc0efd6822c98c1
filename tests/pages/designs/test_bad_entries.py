"""Entries that can't be made, typed in the editor: said on their lines, and the text stays as it was typed."""

from __future__ import annotations

import re
from html import unescape

import pytest

from tests.harness.visiting import Visitor

HOLES = "closes: x length"
#: Of 60 in a row, 100 apart from 100 on, those from 1800 on reach over the edge of a top 1800 long; the last by
#: 100 + 59 x 100 + 10 - 1800.
FIELD = "holes:\n  field: 20 mm holes through worktop; {}; 100 mm from left, 100 mm from front\n" + HOLES

#: What of the splayed bench is changed into what, the line on which it is said, and what is said there.
ENTRIES = [
    ("splayed 8 degrees", "splayed 90 degrees", "  leg:", "a tilt of 90° lays a part flat or turns it over"),
    ("wide 60 mm along z", "wide 0 mm along z", "  brace:", "“Brace” 1 has no width: it comes to nothing."),
    ("wide 60 mm along z", "wide width - 900 mm along z", "  brace:", "“Brace” 1 has no width: it comes to nothing."),
    (HOLES, FIELD.format("60 by 2; 100 mm apart each way"), "  field:", "86 of them stand outside “Worktop”, by 4210"),
    (HOLES, FIELD.format("100 by 100; 1 mm apart each way"), "  field:", "makes 10000 holes in one piece"),
    ("oil: Finish; liquid", 'oil: "Finish; liquid', "  oil:", "a quotation mark that is not closed"),
]


@pytest.mark.parametrize(("old", "new", "entry", "sentence"), ENTRIES)
def test_what_can_not_be_made_is_said_on_its_line(
    demo_client: Visitor, old: str, new: str, entry: str, sentence: str
) -> None:
    text = demo_client.get("/designs/splayed_bench/text").text
    assert old in text
    wrong = text.replace(old, new, 1)
    answer = demo_client.send_form("/designs/splayed_bench/edit", {"text": wrong, "base": "1", "act": "try"}).text
    line = 1 + wrong[: wrong.index(f"\n{entry}") + 1].count("\n")
    said = re.findall(rf'data-line="{line}">Line {line}</a>: ([^<]*)', unescape(answer))
    assert any(sentence in one for one in said), said
    typed = unescape(answer.split("<textarea")[1].split(">\n", 1)[1].split("</textarea>")[0])
    assert typed == wrong


@pytest.mark.parametrize("share", [1, 2, 3, 4])
def test_a_text_cut_short_is_said_and_nothing_of_it_is_lost(demo_client: Visitor, share: int) -> None:
    text = demo_client.get("/designs/splayed_bench/text").text
    short = text[: len(text) * share // 5]
    answer = demo_client.send_form("/designs/splayed_bench/edit", {"text": short, "base": "1", "act": "keep"})
    assert answer.status_code == 422
    said = unescape(answer.text.split('id="problems"')[1].split("</ul>")[0])
    assert re.search(r"The design lacks '\w+'|Line \d+</a>: It can't be read", said)
    assert unescape(answer.text.split("<textarea")[1].split(">\n", 1)[1].split("</textarea>")[0]) == short
