"""The fields of a form on a page, as a browser without script would send them."""

from __future__ import annotations

from html.parser import HTMLParser


class _Reader(HTMLParser):
    """Reads one form: its fields in order, and the sentences beside them."""

    def __init__(self, form_id: str) -> None:
        super().__init__(convert_charrefs=True)
        self.form_id = form_id
        self.inside = False
        self.fields: list[tuple[str, str]] = []
        self.select: str | None = None
        self.first: str | None = None
        self.chosen: str | None = None
        self.area: str | None = None
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "form":
            self.inside = named.get("id") == self.form_id
        if not self.inside:
            return
        name = named.get("name")
        if tag == "input" and name and (named.get("type") != "checkbox" or "checked" in named):
            self.fields.append((name, named.get("value") or ""))
        elif tag == "select":
            self.select, self.first, self.chosen = name, None, None
        elif tag == "option" and self.select:
            value = named.get("value") or ""
            self.first = value if self.first is None else self.first
            self.chosen = value if "selected" in named else self.chosen
        elif tag == "textarea":
            self.area, self.words = name, ""

    def handle_data(self, data: str) -> None:
        if self.area is not None:
            self.words += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = False
        elif tag == "select" and self.inside and self.select:
            self.fields.append((self.select, self.first or "" if self.chosen is None else self.chosen))
            self.select = None
        elif tag == "textarea" and self.area is not None:
            # The line end straight after the tag is no part of the text.
            self.fields.append((self.area, self.words.removeprefix("\n")))
            self.area = None


def form_fields(page: str, form_id: str) -> dict[str, str]:
    """The names and texts of a form's fields; of fields with one name the last."""
    reader = _Reader(form_id)
    reader.feed(page)
    assert reader.fields, f"there is no form {form_id} on the page"
    return dict(reader.fields)
