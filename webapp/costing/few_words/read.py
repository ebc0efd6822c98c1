"""A typed line -> entries of the design, a question, or what is missing: `read_few_words`."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from webapp.costing.design_form.tables.form_tables import NAME, SHORTER
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, entry_words
from webapp.costing.few_words.features import read_holes, read_joinery, read_opening
from webapp.costing.few_words.fitted import read_hardware, read_joint, read_supply
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.library import read_use
from webapp.costing.few_words.line.words import NotReadError, clauses, listed, plain
from webapp.costing.few_words.loads import read_finish, read_hold, read_load, read_move, read_span
from webapp.costing.few_words.named import is_formula, matching
from webapp.costing.few_words.parts import half_typed, read_part
from webapp.costing.few_words.reading import Answer, AskedError, Entry, Question, Reading
from webapp.costing.few_words.sizes import read_choice, read_must, read_size, read_value, read_whole
from webapp.costing.measures.trade_words import in_trade_words

#: A line that is longer than this is no entry in few words.
LONGEST: Final = 2_000


def read_few_words(line: str, known: Known) -> Reading:
    """What a line says: the entries that it adds, each new stock role before what is cut from it.

    A line that can be read in several ways is a question whose answers are complete lines; one that can't be read, or
    not yet, is a problem in a sentence that says what comes next. Never raises.
    """
    if len(line) > LONGEST:
        return Reading(problems=(f"The line has {len(line)} characters; {LONGEST} are read at most.",))
    said = plain(line).rstrip(" ,;")
    if not said:
        return Reading(
            problems=("Type a part, a size or what is fitted, as 'shelf of birch plywood 18' or 'width 900'.",)
        )
    try:
        return _read(said, known)
    except AskedError as asked:
        return Reading(question=asked.question)
    except NotReadError as error:
        return Reading(problems=(str(error),))
    except RecursionError:
        return Reading(problems=("The line is nested too deep to be read.",))


def _read(line: str, known: Known) -> Reading:
    pieces = clauses(line)
    if not pieces:
        return Reading(problems=(f"“{line[:40]}” says nothing.",))
    if (half := half_typed(pieces[0], known)) is not None:
        raise half
    readers: tuple[Callable[[], Reading | None], ...] = (
        lambda: read_choice(line, known), lambda: read_own_line(line, known), lambda: read_must(line, known),
        lambda: read_value(line, known), lambda: read_whole(line, known), lambda: read_opening(line, known, pieces),
        lambda: read_holes(line, known, pieces), lambda: read_finish(line, known, pieces),
        lambda: read_supply(line, known), lambda: read_span(line, known), lambda: read_load(line, known, pieces),
        lambda: read_move(line, known), lambda: read_joinery(line, known), lambda: read_joint(line, known, pieces),
        lambda: read_size(pieces, known, ranged=True), lambda: read_use(line, known),
        lambda: read_hardware(line, known, pieces), lambda: read_part(line, known, pieces),
        lambda: read_hold(line, known), lambda: read_size(pieces, known, ranged=False),
    )  # fmt: skip
    for reader in readers:
        if (read := reader()) is not None:
            return read
    raise NotReadError(what_comes_next(line, known))


#: How a line begins, and what it needs: the first that fits is said.
_NEXT: Final = tuple(
    (re.compile(pattern, re.IGNORECASE), said)
    for pattern, said in (
        (r"(?:must|should)\b.*", "what has to hold? Type as 'must mass at most 60 kg'."),
        (r"(?:round )?(?:opening|cut-?out|hatch)s?\b.*", "how large is it? Type as 'opening 300 x 200'."),
        (r"(?:plate|insert|pocket)s?\b.*", "how large is it, how deep? Type as 'plate 306 x 229 x 10, flush'."),
        (r"(?:.* )?holes?\b.*", "how wide are the holes, and where? Type as 'holes 20, every 100'."),
        (r"(?:\d+ |[a-z]+ )?coats?\b.*", "coats of what, and on what? Type as '2 coats of oil on all parts'."),
        (r".*\d ?(?:kg|lbs?)\b.*", "on what does it stand? Type as '120 kg on the top'."),
        (r"tenons?\b.*", "how long and how thick, and of what? Type as 'tenons 30 x 12 of rails into legs'."),
        (r"(?:housing|dado)s?\b.*", "what is let into what, and how deep? Type as 'shelf housed 6 into sides'."),
        (r"(?:rebate|rabbet)s?\b.*", in_trade_words("where, how deep? Type 'rebate 10 x 6 along the back of side'.")),
        (r".*\b(?:drawn|pulled|swung)\b.*", "which way? Type as 'drawers drawn to the front on slides'."),
        (r".*\bfolded\b.*", "which edges, how far? Type as 'front and back edges of the tray folded 20 up'."),
        (r".*=.*", "what does it come to? Type as 'leg top = height - 40'."),
        (r".* (?:into|onto|to|on)", "into what? Type as 'rails into legs, dowels 8 x 40 every 40, glued'."),
        (r"(?:length|width|depth|height)\b.*", "how much? Type as 'width 900, from 600 to 1200'."),
        (r"[a-z]+ [a-z_]+:?", ""),
    )
)  # fmt: skip
_GENERAL: Final = (
    "say what it is of, as 'shelf of birch plywood 18', how much, as 'width 900', or what holds it, as "
    "'rails into legs, glued'."
)


def what_comes_next(line: str, known: Known) -> str:
    """A sentence about a line that nothing reads: what it needs to be one."""
    if len(found := matching(line, known.entries("parts"))) == 1:
        part = found[0].replace("_", " ")
        return f"There is a {part} already: say what of it, as '{part} into sides, glued' or '40 kg on the {part}'."
    said = next((said for pattern, said in _NEXT if pattern.fullmatch(line)), "")
    return f"“{line[:60]}”: {in_trade_words(said)}" if said else f"“{line[:60]}” can't be read yet: {_GENERAL}"


_SECTIONS: Final = (*SHORTER, *ONE_LINE)
_LED: Final = re.compile(rf"(?P<section>{'|'.join(_SECTIONS)})(?: (?P<name>[a-z][a-z0-9_]*))?: ?(?P<rest>.+)")
_LINE: Final = re.compile(r"(?P<name>[a-z][a-z0-9_]*): ?(?P<rest>.+)")
#: What the form needs of an entry but fills in itself, or what every line of words has.
_FEWEST: Final = 2
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
    told = fields.keys() - {"says", "when"}
    if not needed <= fields.keys() or len(fields) < _FEWEST or not told or not _known(section, fields, known):
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
