"""Something entered at a line of a list, as its page's own form would send it."""

from __future__ import annotations

import re
from html import unescape

import httpx2

from tests.harness.visiting import Visitor

_HIDDEN = re.compile(r'<input type="hidden" name="([^"]+)" value="([^"]*)"')


def fields_of(page: str, line: str) -> dict[str, str]:
    """The hidden fields of a line's form."""
    at = page.index(f'data-line="{line}"')
    start = page.index('<form class="enter"', at)
    return {name: unescape(text) for name, text in _HIDDEN.findall(page[start : page.index("</form>", start)])}


def enter(visitor: Visitor, address: str, line: str, **told: str) -> httpx2.Response:
    """Open the list and send what is told at one of its lines, as its form would."""
    return visitor.send_form(address, _entry(visitor, address, line, told))


def enter_by_script(visitor: Visitor, address: str, line: str, **told: str) -> httpx2.Response:
    """The same as a telephone sends it that had no signal."""
    return visitor.swap(address, _entry(visitor, address, line, told))


def _entry(visitor: Visitor, address: str, line: str, told: dict[str, str]) -> dict[str, str]:
    fields = {**fields_of(visitor.get(address).text, line), **told}
    del fields["csrf_token"], fields["form_key"]
    return fields
