"""A page as lines to compare: what it says, asks and leads to, an element a line, without what no two answers share.

Headings, sentences, fields and buttons stand in lines of their own, a row of a table in one. A figure that opens its
working stands between angle marks, a link before its address. How it looks, and the script that follows the keys, is
left to the browser's tests; a drawing is named, not drawn.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Final

#: What flows within a line; every other element begins one.
FLOWS: Final = frozenset({
    "a", "abbr", "b", "button", "code", "del", "em", "i", "img", "input", "ins", "label", "optgroup", "output", "s",
    "select", "small", "span", "strong", "sub", "sup", "textarea", "time", "wbr",
})  # fmt: skip
EMPTY: Final = frozenset({"base", "br", "col", "hr", "img", "input", "link", "meta", "wbr"})
NOT_READ: Final = frozenset({"script", "style", "template"})
CELLS: Final = frozenset({"td", "th"})
#: Elements that a line is named for; what they are within moves it in.
NAMED: Final = frozenset({
    "aside", "dialog", "fieldset", "footer", "form", "h1", "h2", "h3", "h4", "header", "legend", "main", "nav",
    "section", "table",
})  # fmt: skip
OPENS: Final = "/working/"
#: Marks that stand close to what they hold.
TIGHT: Final = re.compile(r"‹ | [›)\]]")
SECRETS: Final = (
    (re.compile(r"\b[0-9a-f]{64}\b|(?<=form_key hidden=)[^]]+|(?<=\[draft hidden=)[^]]+"), "token"),
    (re.compile(r"(?<=\?v=)[0-9a-f]+|(?<=told hidden=)[^]]+|(?<=drawn hidden=)[^]]+"), "digest"),
)
IDS: Final = re.compile(r"\b[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}\b")


class _Reader(HTMLParser):
    """Reads a page into lines, each with how many named elements it stands in."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[tuple[int, str]] = []
        self.line = ""
        self.within: list[str] = []
        self.unread = 0
        self.drawing: str | None = None
        self.links: list[str] = []
        self.chosen: list[str] = []
        self.options = 0
        self.option: bool | None = None

    # ---- the parser's own --------------------------------------------------------------------------------------

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if self.unread or tag in NOT_READ or tag == "svg":
            if tag == "svg" and not self.unread:
                self.say(f"(drawing: {told.get('aria-label', '')})")
            self.unread += tag not in EMPTY
            return
        if tag == "option":
            self.options += 1
            self.option = "selected" in told
            return
        if tag not in FLOWS and not (tag not in CELLS and "tr" in self.within):
            self.end_line() if tag not in CELLS else self.say("| " if self.line.strip() else "")
        if tag not in EMPTY:
            self.within.append(tag)
        if tag in NAMED:
            name = f"#{told['id']}" if told.get("id") else ""
            where = f" -> {told['method'].upper()} {told.get('action', '')}" if told.get("method") else ""
            said = f" ({told['aria-label']})" if told.get("aria-label") else ""
            self.say(f"{tag}{name}{where}{said}: ")
        self.say(self.of_control(tag, told))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if not self.unread:
            self.handle_starttag(tag, attrs)
            if tag not in EMPTY:
                self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.unread:
            self.unread -= tag not in EMPTY
            return
        if tag == "option" or tag in EMPTY:
            self.option = None
            return
        if tag == "a" and self.links:
            self.say(self.links.pop())
        if tag == "button":
            self.line += ")"
        if tag == "select":
            self.say(f"{', '.join(self.chosen) or '-'} of {self.options}]")
            self.chosen, self.options = [], 0
        if tag == "textarea":
            self.line += "]"
        if tag not in FLOWS and tag not in CELLS and not ("tr" in self.within and tag != "tr"):
            self.end_line()
        while tag in self.within and self.within.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self.unread:
            return
        if self.option is not None:
            if self.option and data.strip():
                self.chosen.append(" ".join(data.split()))
            return
        if "textarea" in self.within:
            data = data.strip().replace("\n", " / ")
        if "select" not in self.within:
            self.line += re.sub(r"\s+", " ", data)

    # ---- lines -------------------------------------------------------------------------------------------------

    def say(self, text: str) -> None:
        if text:
            self.line += f" {text}"

    def of_control(self, tag: str, told: dict[str, str]) -> str:
        """What stands in the line for a link or a field."""
        if tag == "a":
            opens = OPENS in told.get("href", "")
            self.links.append("›" if opens else f"<{told.get('href', '')}>")
            return "‹" if opens else ""
        name = told.get("name", "")
        state = "".join(f", {word}" for word in ("disabled", "readonly") if word in told)
        state += ", wrong" if told.get("aria-invalid") == "true" else ""
        if tag == "button":
            sent = f" {name}={told['value']}" if name else ""
            there = f" -> {told['formaction']}" if told.get("formaction") else ""
            return f"(button{sent}{there}{state}: "
        if tag in ("select", "textarea"):
            return f"[{name}{state}: "
        if tag == "input":
            kind = told.get("type", "text")
            if kind in ("checkbox", "radio"):
                return f"[{'x' if 'checked' in told else ' '} {name}={told.get('value', 'on')}{state}]"
            return f"[{name}{'' if kind == 'text' else f' {kind}'}{state}={told.get('value', '')}]"
        return ""

    def end_line(self) -> None:
        text = TIGHT.sub(lambda found: found[0].strip(), " ".join(self.line.split()))
        if text:
            self.lines.append((sum(one in NAMED for one in self.within[:-1]), text))
        self.line = ""


def calm(page: str) -> str:
    """The lines of a page, each moved in by what it stands in, with what differs from answer to answer taken out."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    reader.end_line()
    text = "".join(f"{'  ' * depth}{line}\n" for depth, line in reader.lines)
    for pattern, word in SECRETS:
        text = pattern.sub(word, text)
    seen: dict[str, str] = {}
    return IDS.sub(lambda found: seen.setdefault(found[0], f"id-{len(seen) + 1}"), text)
