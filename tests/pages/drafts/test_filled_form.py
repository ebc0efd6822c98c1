"""A form filled anew with what was typed in it: every text as it was, and nothing else of the page changed."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.harness.examples import tried
from tests.pages.drafts.drafts_case import kept_fields
from webapp.pages.web.typed_forms import filled

FORM = """
<form data-kept="/place" method="post">
<input type="hidden" name="csrf_token" value="t"><input type="hidden" name="version" value="1">
<input id="a" name="a" value="was &quot;so&quot;"><input name="twice" value=""><input name="twice" value="2">
<input id="tick" name="tick" type="checkbox" value="yes" checked> <input type="checkbox" name="other" value="yes">
<select name="kind"><option value="">none</option>
<option value="x &amp; y" selected>X</option><option value="z">Z</option></select>
<textarea name="notes" rows="3">
before</textarea>
</form>
<form method="post"><input name="a" value="not ours"></form>
"""
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30)


@given(TEXTS, TEXTS, TEXTS, st.booleans(), st.sampled_from(["", "x & y", "z"]), st.lists(TEXTS, max_size=3))
@settings(max_examples=tried(100))
def test_a_filled_form_holds_what_was_typed_and_nothing_else_is_changed(
    first: str, second: str, third: str, ticked: bool, kind: str, lines: list[str]
) -> None:
    notes = "\n".join(lines)
    fields = [("version", "7"), ("a", first), ("twice", second), ("twice", third), ("kind", kind), ("notes", notes)]
    fields += [("tick", "yes")] if ticked else [("other", "yes")]
    fields += [("csrf_token", "stolen"), ("unknown", "x")]
    page = filled(FORM, "/place", tuple(fields))
    read = kept_fields(page)
    assert read == {
        "csrf_token": "t", "version": "7", "a": first, "twice": third, "kind": kind, "notes": notes,
        ("tick" if ticked else "other"): "yes",
    }  # fmt: skip
    assert page.endswith('<form method="post"><input name="a" value="not ours"></form>\n')
    assert filled(page, "/place", (("a", "again"),)) == page
    assert filled(FORM, "/elsewhere", tuple(fields)) == FORM
