"""A line of the short form itself, 'shelf: of board; long …' or 'joints legs_in: …', read where it fits."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.design_form.tables.form_tables import NAME, SHORTER
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, entry_words
from webapp.costing.few_words.formulas_said import is_formula
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.reading import Answer, AskedError, Entry, NotReadError, Question, Reading
from webapp.costing.few_words.words import listed

_SECTIONS: Final = (*SHORTER, *ONE_LINE)
_LED: Final = re.compile(rf"(?P<section>{'|'.join(_SECTIONS)})(?: (?P<name>[a-z][a-z0-9_]*))?: ?(?P<rest>.+)")
_LINE: Final = re.compile(r"(?P<name>[a-z][a-z0-9_]*): ?(?P<rest>.+)")
#: What the form needs of an entry but fills in itself, or what every line of words has.
_FILLED: Final = ("says", "usual", "coats", "sort", "way", "driver", "with")


def read_own_line(line: str, known: Known) -> Reading | None:
    """An entry in a line of the short form; None where the line is none. Raises AskedError, NotReadError."""
    led = _LED.fullmatch(line)
    if led is not None and (led["name"] or led["section"] in ONE_LINE):
        return _in_section(led["section"], led["name"] or "", led["rest"])
    found = _LINE.fullmatch(line)
    if found is None or not NAME.fullmatch(found["name"]):
        return None
    fitting = [one for section in SHORTER if (one := _fields(section, found["name"], found["rest"], known)) is not None]
    if len(fitting) > 1:
        offered = tuple(Answer(entry_words(one.section), f"{one.section} {line}") for one in fitting)
        kinds = listed(answer.words for answer in offered)
        raise AskedError(Question(f"Is “{found['name']}” a {kinds}?", offered))
    return Reading((fitting[0],)) if fitting else None


def _in_section(section: str, name: str, rest: str) -> Reading:
    fields, problems = entry_of(section, rest, name)
    if problems:
        return Reading(problems=tuple(one.message for one in problems))
    if section not in ONE_LINE and not NAME.fullmatch(name):
        raise NotReadError(f"“{name[:40]}” is no name: it is lower-case words joined by underscores.")
    return Reading((Entry(section, name, fields),))


def _fields(section: str, name: str, rest: str, known: Known) -> Entry | None:
    """The entry, where the line has all that the section needs and says nothing else."""
    if section in ANSWERED:
        return Entry(section, name, rest) if is_formula(rest, known) else None
    fields, problems = entry_of(section, rest, name)
    if problems or not isinstance(fields, dict):
        return None
    needed = {one.name for one in SHORTER[section].fields if one.required and one.name not in _FILLED}
    if not needed <= fields.keys() or not fields.keys() - {"says"} or not _known(section, fields, known):
        return None
    return Entry(section, name, fields)


def _known(section: str, fields: Mapping[str, Any], known: Known) -> bool:
    """Whether what the line names is there: parts, roles, a design of the library."""
    for field in SHORTER[section].fields:
        said = fields.get(field.name)
        if not isinstance(said, str):
            continue
        if field.sort == "part" and said not in known.standing:
            return False
        if field.sort == "role" and said not in known.entries("stock"):
            return False
    if section == "musts" and not re.search(r"[<>=]", str(fields.get("that"))):
        return False
    return section != "uses" or known.design(fields.get("design")) is not None
