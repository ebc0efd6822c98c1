"""Forms as text, at the edge: every value is plain text, for our own parsers; what hides something is refused."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

import yaml

from webapp.costing.designs.canonical import DEEPEST, MOST_NODES
from webapp.costing.designs.schema import arrange
from webapp.costing.errors import Problem

MOST_BYTES: Final = 256 * 1024
#: A flat list or mapping is kept on its name's line up to this length.
SHORT_LINE: Final = 80
#: Text that means itself without quotation marks, also inside brackets.
_PLAIN: Final = re.compile(r"(?:[\w(]|[.+][0-9])(?:[\w .+\-*/()<>=%';]*[\w.+\-*/()<>=%';])?")
#: The same where no brackets are around it.
_PLAIN_ON_ITS_LINE: Final = re.compile(_PLAIN.pattern.replace("*/()", "*/(){}\\[\\],"))


class _RefusedError(Exception):
    """Reading stops here: going on would cost too much, or mean nothing."""


@dataclass(slots=True)
class _Open:
    """A mapping or list that is being read; `key` is the name whose content comes next, None where a name does."""

    path: str
    content: dict[str, object] | list[object]
    key: str | None = None


@dataclass(slots=True)
class _Reader:
    problems: list[Problem] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    open: list[_Open] = field(default_factory=list)
    document: object = None
    nodes: int = 0

    def take(self, event: yaml.Event) -> None:
        line = event.start_mark.line + 1 if event.start_mark else 1
        match event:
            case yaml.DocumentStartEvent(explicit=explicit):
                if self.document is not None or explicit:
                    self.refuse(line, "a line of three dashes or a directive has no place in a form")
            case yaml.AliasEvent():
                self.refuse(line, f"'*{event.anchor}' stands for something written elsewhere; write it out")
            case yaml.ScalarEvent():
                self.node(event, line)
                self.scalar(event.value, line)
            case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                self.node(event, line)
                self.start({} if isinstance(event, yaml.MappingStartEvent) else [], line)
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                self.open.pop()

    def refuse(self, line: int, reason: str) -> None:
        self.problems.append(Problem(self.place(), f"Line {line}: {reason}."))
        raise _RefusedError

    def place(self) -> str:
        if not self.open:
            return ""
        last = self.open[-1]
        inner = str(len(last.content)) if isinstance(last.content, list) else last.key or ""
        return ".".join(each for each in (last.path, inner) if each)

    def node(self, event: yaml.NodeEvent, line: int) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.refuse(line, f"the text holds more than {MOST_NODES} entries")
        if event.anchor is not None:
            self.refuse(line, f"'&{event.anchor}' marks something to be used elsewhere; write it out there")
        tag = getattr(event, "tag", None)
        if tag is not None:
            self.refuse(line, f"the tag '{tag}' has no place in a form; every value is plain text")

    def scalar(self, value: str, line: int) -> None:
        if not self.open:
            self.refuse(line, "the text has to start with a name and a colon")
        last = self.open[-1]
        if isinstance(last.content, dict) and last.key is None:
            path = f"{last.path}.{value}" if last.path else value
            if value in last.content:
                self.problems.append(
                    Problem(
                        path,
                        f"Line {line}: '{value[:80]}' is written twice; the first stands on line {self.lines[path]}.",
                    )
                )
            self.lines.setdefault(path, line)
            last.key = value
        else:
            self.put(value, line)

    def start(self, content: dict[str, object] | list[object], line: int) -> None:
        if not self.open:
            if isinstance(content, list):
                self.refuse(line, "the text has to start with a name and a colon, not with a list")
            self.document = content
            self.open.append(_Open("", content))
            return
        if isinstance(self.open[-1].content, dict) and self.open[-1].key is None:
            self.refuse(line, "a name has to be plain text, not a list or a mapping")
        if len(self.open) >= DEEPEST:
            self.refuse(line, f"the text is nested more than {DEEPEST} levels deep")
        path = self.place()
        self.put(content, line)
        self.open.append(_Open(path, content))

    def put(self, value: object, line: int) -> None:
        last = self.open[-1]
        self.lines.setdefault(self.place(), line)
        if isinstance(last.content, list):
            last.content.append(value)
        else:
            assert last.key is not None
            last.content.setdefault(last.key, value)
            last.key = None


def read_text(text: str) -> tuple[dict[str, object] | None, tuple[Problem, ...]]:
    """A form's text as nested mappings, lists and text, or None and what is wrong, with line numbers. Never raises."""
    document, problems, _ = read_text_lines(text)
    return document, problems


def read_text_lines(text: str) -> tuple[dict[str, object] | None, tuple[Problem, ...], Mapping[str, int]]:
    """As read_text; and the line on which each path ('parts.side.length') stands, for problems that are found later."""
    if len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        return None, (Problem("", f"The text is longer than {MOST_BYTES // 1024} kB."),), {}
    reader = _Reader()
    try:
        for event in yaml.parse(text, Loader=yaml.CSafeLoader):
            reader.take(event)
    except _RefusedError:
        pass
    except (yaml.YAMLError, UnicodeError):
        # The slower of the two readers says more exactly where it is.
        reader = _read_slowly(text)
    if reader.document is None and not reader.problems:
        reader.problems.append(Problem("", "The text is empty."))
    whole = reader.document if isinstance(reader.document, dict) and not reader.problems else None
    return whole, tuple(reader.problems), reader.lines


def _read_slowly(text: str) -> _Reader:
    reader = _Reader()
    try:
        for event in yaml.parse(text, Loader=yaml.SafeLoader):
            reader.take(event)
    except _RefusedError:
        pass
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"Line {mark.line + 1}" if mark else "The text"
        sentence = (
            f"{where} can't be read: look for a missing colon, comma or bracket, or put the value in quotation marks."
        )
        reader.problems.append(Problem(reader.place(), sentence))
    except yaml.YAMLError:
        reader.problems.append(Problem("", "The text holds signs that can't be printed."))
    return reader


def write_text(document: Mapping[str, object]) -> str:
    """A document as text that reads back as the same document: an entry a line, so that a change shows as a line."""
    written = [line for key, value in document.items() for line in _section_lines(_scalar(key), value)]
    return "\n".join(written or ["{}"]) + "\n"


def write_design_text(document: Mapping[str, object]) -> str:
    """A design's document as text, in the form's own order whatever the order in the document."""
    return write_text(arrange(document))


def _section_lines(key: str, value: object) -> Iterator[str]:
    line = _named(key, value)
    if isinstance(value, str) or not value or (len(line) <= SHORT_LINE and _is_flat(value)):
        yield line
    elif isinstance(value, Mapping):
        yield f"{key}:"
        yield from (f"  {_named(_scalar(name), each)}" for name, each in value.items())
    elif isinstance(value, list | tuple):
        yield f"{key}:"
        yield from (f"  - {_flow(each)}" for each in value)


def _named(key: str, value: object) -> str:
    """A name and what belongs to it on one line of its own."""
    plain = isinstance(value, str) and _PLAIN_ON_ITS_LINE.fullmatch(value)
    return f"{key}: {value if plain else _flow(value)}"


def _is_flat(value: object) -> bool:
    inner = value.values() if isinstance(value, Mapping) else value
    return isinstance(inner, Iterable) and all(isinstance(each, str) for each in inner)


def _flow(value: object) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_scalar(key)}: {_flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_flow(each) for each in value) + "]"
    return _scalar(str(value))


def _scalar(text: str) -> str:
    """Plain where nothing in it could be taken for something else, otherwise between quotation marks."""
    if _PLAIN.fullmatch(text):
        return text
    return '"' + "".join(_escaped(sign) for sign in text) + '"'


def _escaped(sign: str) -> str:
    if sign in '\\"':
        return f"\\{sign}"
    if sign.isprintable():
        return sign
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
