"""What differs is offered in the words of the sheet, and what was removed from it is put back where it stood."""

from __future__ import annotations

import re

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.pages.drafts.drafts_case import (
    JOB,
    SHEET,
    WIDTH,
    offered_rows,
    typed_in,
)


def test_what_differs_is_said_in_the_words_of_the_sheet(demo_client: Visitor) -> None:
    sent = typed_in(demo_client, JOB, SHEET, {WIDTH: "1234 mm", "items.cabinet.minutes.spray.likely": "12"})
    sent |= {"lines.line_7.says": "Brass plate", "lines.line_7.each": "20", "items.rack.design": "sheet_rack"}
    sent |= {"items.rack.quantity": "1", "settings.waste.value": "7 %", "install": "yes", "state": "ordered"}
    was = sent["notes"]
    sent |= {"notes": "", "act": "find-stock"}
    assert demo_client.post(f"{JOB}/estimate", data=sent).status_code == 200
    rows = offered_rows(demo_client.get(JOB).text)
    assert ("sheet rack", "none", "added") in rows
    assert ("Brass plate", "none", "added") in rows
    assert ("waste", "none", "added") in rows
    assert ("state", "open", "ordered") in rows
    assert any(
        words.endswith("Overall width") and (stands, typed) == ("900 mm", "1234 mm") for words, stands, typed in rows
    )
    assert any(words.endswith("spray minutes, likely") and typed == "12" for words, _, typed in rows)
    assert any(
        words.startswith("Notes") and was.startswith(stands[:20]) and typed == "nothing"
        for words, stands, typed in rows
    )
    assert any(typed == "yes" for _, _, typed in rows)


def test_a_row_that_was_removed_from_a_list_is_put_back_where_it_stood(demo_client: Visitor) -> None:
    address = demo_client.send_form("/jobs/new", {"start": "", "title": "Shelves"}).headers["location"]
    sent = typed_in(demo_client, address, SHEET, {"act": "add-list"})
    for place, name in enumerate(("Top", "Side", "Back"), 1):
        row = {f"items.list_1.parts.{place}.{key}": text for key, text in (("name", name), ("length", f"{place}00 mm"))}
        sent |= row
    first = demo_client.post(
        f"{address}/estimate", data={**sent, "items.list_1.quantity": "1", "act": "find-stock"}
    ).text
    fields = form_fields(first, SHEET)
    names = [name for name in fields if re.fullmatch(r"items\.[^.]+\.parts\.[0-9]+\.name", name)]
    assert [fields[name] for name in names] == ["Top", "Side", "Back"]
    listed = names[0].split(".")[1]
    gone = demo_client.post(f"{address}/estimate", data={**fields, "act": f"take-out:rows.{listed}.2"}).text
    assert "Removed: Side." in gone
    left = form_fields(gone, SHEET)
    assert [left[name] for name in names[:2]] == ["Top", "Back"]
    back = form_fields(demo_client.post(f"{address}/estimate", data={**left, "act": "put-back"}).text, SHEET)
    assert [back[name] for name in names] == ["Top", "Side", "Back"]
    assert [back[name.replace(".name", ".length")] for name in names] == ["100 mm", "200 mm", "300 mm"]
    # A list, typed and not saved, is worth an offer.
    assert any(typed == "added" for _, _, typed in offered_rows(demo_client.get(address).text))


def test_an_entry_that_was_removed_is_put_back_where_it_stood(demo_client: Visitor) -> None:
    made = demo_client.send_form("/jobs/new", {"start": "design:trestle_bench", "title": "Two things"})
    address = made.headers["location"]
    page = demo_client.get(address).text
    sent = {**form_fields(page, SHEET), "new_design": "sheet_rack", "act": "add-item"}
    two = form_fields(demo_client.post(f"{address}/estimate", data=sent).text, SHEET)
    two["items.trestle_bench.sizes.length"] = "1777 mm"
    two["items.trestle_bench.label"] = "By the door"
    gone = demo_client.post(f"{address}/estimate", data={**two, "act": "take-out:items.trestle_bench"}).text
    left = form_fields(gone, SHEET)
    assert not {name for name in left if name.startswith("items.trestle_bench.")}
    assert "Removed: By the door." in gone
    left["notes"] = "typed meanwhile"
    back = demo_client.post(f"{address}/estimate", data={**left, "act": "put-back"}).text
    fields = form_fields(back, SHEET)
    assert fields["items.trestle_bench.sizes.length"] == "1777 mm"
    assert fields["notes"] == "typed meanwhile"
    items = list(dict.fromkeys(name.split(".")[1] for name in fields if name.startswith("items.")))
    assert items == ["trestle_bench", "sheet_rack"]
    assert "Removed:" not in back
    assert demo_client.post(address, data=fields).status_code == 303
