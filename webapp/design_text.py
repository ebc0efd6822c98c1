"""Forms as text, at the edge: every value is plain text, for our own parsers; what hides something is refused."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

import yaml

from webapp.costing.design_form.schema import arrange
from webapp.costing.design_form.tables.form_tables import INSIDE
from webapp.costing.design_lines.lines import LONGEST_LINE, entry_of, line_of, settled
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, has_lines
from webapp.costing.designs.canonical import DEEPEST, MOST_NODES
from webapp.costing.errors import Problem

MOST_BYTES: Final = 256 * 1024
#: A flat list or mapping is kept on its name's line up to this length.
SHORT_LINE: Final = 80
#: Text that means itself without quotation marks, also inside brackets.
_PLAIN: Final = re.compile(r"(?:[\w(]|[.+][0-9])(?:[\w .+\-*/()<>=%';]*[\w.+\-*/()<>=%';])?")
#: The same where no brackets are around it.
_PLAIN_ON_ITS_LINE: Final = re.compile(_PLAIN.pattern.replace("*/()", "*/(){}\\[\\],"))
#: The form in which an entry is a line, and how a text says it before it is read.
LINE_FORM: Final = "2"
_SAYS_LINE_FORM: Final = re.compile(r"""^form: *["']?2["']? *(?:#.*)?$""", re.MULTILINE)
#: A line of a text that reads as it stands: no quotation mark, bracket or sign of the text form at its beginning.
_PLAIN_LINE: Final = re.compile(r"(?:[\w(]|[.+-][0-9(]).*")
#: An entry of its own line, for texts that can't be read as they are.
_ENTRY_LINE: Final = re.compile(r"^( {0,8}\w+: +)(\S.*)$", re.MULTILINE)
_WHOLLY_QUOTED: Final = re.compile(r"""(?:"(?:[^"\\]|\\.)*"|'(?:[^']|'')*')(?: +#.*)?""")
#: So many sentences are said of the lines of one text.
MOST_SAID: Final = 100


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
    text: str
    problems: list[Problem] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    open: list[_Open] = field(default_factory=list)
    document: object = None
    nodes: int = 0
    #: Up to where the text is read; the remarks that wait for the entry they stand before; those by their entries.
    read_to: int = 0
    waiting: list[str] = field(default_factory=list)
    remarks: dict[str, list[str]] = field(default_factory=dict)
    entry: str = ""

    def take(self, event: yaml.Event) -> None:
        if event.start_mark and event.end_mark:
            self.note_remarks(event.start_mark.index)
            self.read_to = max(self.read_to, event.end_mark.index)
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

    def note_remarks(self, until: int) -> None:
        """What stands after # between two events; one beside an entry belongs to that, others to the next."""
        place = self.read_to
        while (place := self.text.find("#", place, until)) >= 0:
            end = self.text.find("\n", place)
            end = len(self.text) if end < 0 else end
            before = self.text[self.text.rfind("\n", 0, place) + 1 : place]
            remark = self.text[place + 1 : end].removeprefix(" ").rstrip()
            if before.strip("\ufeff \t\r"):
                self.remarks.setdefault(self.entry, []).append(remark)
            else:
                self.waiting.append(remark)
            place = end

    def stand_at(self, path: str) -> None:
        """An entry that has a line of its own begins: the remarks before it are its."""
        if len(self.open) == 1 or (len(self.open) == 2 and self.open[1].path not in ONE_LINE):
            self.entry = path
            if self.waiting:
                self.remarks.setdefault(path, []).extend(self.waiting)
                self.waiting.clear()

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
            self.stand_at(path)
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
            self.stand_at(self.place())
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
    document, problems, lines = read_as_far(text)
    return None if problems else document, problems, lines


def read_as_far(text: str) -> tuple[dict[str, object] | None, tuple[Problem, ...], Mapping[str, int]]:
    """As read_text_lines, with the document also where clauses of its lines can't be read: those are left out, so that
    one of them doesn't hide what else is wrong. None where the text falls apart into no entries."""
    if len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        return None, (Problem("", f"The text is longer than {MOST_BYTES // 1024} kB."),), {}
    reader = _read_quickly(text)
    if reader is None and _SAYS_LINE_FORM.search(ended := text.replace("\r\n", "\n")):
        reader = _read_quickly(_ENTRY_LINE.sub(_in_marks, ended))
    if reader is None:
        # The slower of the two readers says more exactly where it is.
        reader = _read_slowly(text)
    if not isinstance(reader.document, dict) or reader.problems:
        return None, tuple(reader.problems) or (Problem("", "The text is empty."),), reader.lines
    _read_lines(reader, reader.document)
    return reader.document, tuple(reader.problems), reader.lines


def _read_lines(reader: _Reader, document: dict[str, object]) -> None:
    """The entries that are lines become their fields, and remarks a field of the document, where its form is that."""
    if not _is_line_form(document):
        return
    for section, held in document.items():
        if section in ONE_LINE and isinstance(held, str) and held.strip():
            document[section] = _fields(reader, section, "", held)
        elif has_lines(section) and section not in ONE_LINE and isinstance(held, dict):
            for name, each in held.items():
                if isinstance(each, str) and each.strip():
                    held[name] = _fields(reader, section, name, each)
    if reader.waiting:
        reader.remarks.setdefault("", []).extend(reader.waiting)
    given = document.get("remarks", {})
    if reader.remarks and isinstance(given, dict):
        document["remarks"] = {**given, **reader.remarks}


def _fields(reader: _Reader, section: str, name: str, text: str) -> object:
    if len(reader.problems) >= MOST_SAID:
        return text
    path = ".".join(each for each in (section, name) if each)
    fields, problems = entry_of(section, text, name)
    for problem in problems[: MOST_SAID - len(reader.problems)]:
        said = f"Line {reader.lines.get(path, 1)}: t{problem.message[1:]}"
        reader.problems.append(Problem(".".join(each for each in (path, problem.field) if each), said))
    return fields


def _is_line_form(document: Mapping[str, object]) -> bool:
    """Whether it is a design (and no job) of the form in which entries are lines."""
    return document.get("form") == LINE_FORM and "job" not in document


def _in_marks(found: re.Match[str]) -> str:
    """An entry's line in quotation marks where the text form would take a colon or a mark in it for its own."""
    name, line = found[1], found[2].rstrip()
    colon = ": " in line or line.endswith(":")
    if line[0] in "{[|>&*!%@`#'" or (not colon and line[0] != '"') or _WHOLLY_QUOTED.fullmatch(line):
        return found[0]
    line, mark, remark = line.partition(" #")
    return f"{name}{_quoted(line.rstrip())}{mark}{remark}"


def _read_quickly(text: str) -> _Reader | None:
    reader = _Reader(text)
    try:
        for event in yaml.parse(text, Loader=yaml.CSafeLoader):
            reader.take(event)
    except _RefusedError:
        pass
    except (yaml.YAMLError, UnicodeError):
        return None
    return reader


def _read_slowly(text: str) -> _Reader:
    reader = _Reader(text)
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
    """A design's document as text, in the form's own order whatever the order in the document. Of the designs that are
    used in it the text has the codes alone.

    In the form of lines an entry is one, and its remarks stand before it; what no line can say stands in brackets.
    """
    arranged = arrange({name: held for name, held in document.items() if name != INSIDE})
    if not _is_line_form(document):
        return write_text(arranged)
    held = arranged.get("remarks")
    remarks: dict[str, object] = {}
    if isinstance(held, Mapping) and all(isinstance(each, list | tuple) for each in held.values()):
        remarks = {**held}
        del arranged["remarks"]
    lines = [line for key, value in arranged.items() for line in _line_section(key, value, remarks)]
    left = [line for path in list(remarks) for line in _remark_lines(remarks, path, "")]
    return "\n".join([*lines, *left]) + "\n"


def _line_section(key: str, value: object, remarks: dict[str, object]) -> Iterator[str]:
    yield from _remark_lines(remarks, key, "")
    if key in ONE_LINE and isinstance(value, Mapping) and value:
        yield _entry_line(key, "", key, value)
    elif isinstance(value, Mapping) and value and (has_lines(key) or any(f"{key}.{name}" in remarks for name in value)):
        yield f"{_scalar(key)}:"
        for name, each in value.items():
            yield from _remark_lines(remarks, f"{key}.{name}", "  ")
            yield f"  {_entry_line(key, name, name, each) if has_lines(key) else _named(_scalar(name), each)}"
    elif isinstance(value, list | tuple) and any(f"{key}.{number}" in remarks for number in range(len(value))):
        yield f"{_scalar(key)}:"
        for number, each in enumerate(value):
            yield from _remark_lines(remarks, f"{key}.{number}", "  ")
            yield f"  - {_flow(each)}"
    else:
        yield from _section_lines(_scalar(key), value)


def _entry_line(section: str, name: str, called: str, held: object) -> str:
    if isinstance(held, Mapping) or (isinstance(held, str) and section in ANSWERED):
        line = line_of(section, held)
        meant = settled(section, held) if isinstance(held, Mapping) else held
        if line and len(line) <= LONGEST_LINE and entry_of(section, line, name) == (meant, ()):
            return f"{_scalar(called)}: {_line_scalar(line)}"
    return _named(_scalar(called), held)


def _line_scalar(line: str) -> str:
    if not line.isprintable():
        return _quoted(line)
    if _PLAIN_LINE.fullmatch(line) and ": " not in line and " #" not in line and line[-1] not in ": ":
        return line
    return _scalar(line) if '"' not in line else "'" + line.replace("'", "''") + "'"


def _remark_lines(remarks: dict[str, object], path: str, margin: str) -> Iterator[str]:
    held = remarks.pop(path, ())
    for remark in held if isinstance(held, list | tuple) else ():
        yield from (f"{margin}# {line}".rstrip() for line in str(remark).splitlines() or [""])


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
    return text if _PLAIN.fullmatch(text) else _quoted(text)


def _quoted(text: str) -> str:
    return '"' + "".join(_escaped(sign) for sign in text) + '"'


def _escaped(sign: str) -> str:
    if sign in '\\"':
        return f"\\{sign}"
    if sign.isprintable():
        return sign
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
