"""A typed line -> entries of the design, a question, or what is missing: `read_few_words`."""

from __future__ import annotations

from typing import Final

from webapp.costing.few_words.features import read_holes, read_joinery, read_opening
from webapp.costing.few_words.hardware import read_hardware
from webapp.costing.few_words.joints import read_joint
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.library import read_use
from webapp.costing.few_words.loads import read_finish, read_hold, read_load, read_move, read_span
from webapp.costing.few_words.own_lines import read_own_line
from webapp.costing.few_words.parts import half_typed, read_part
from webapp.costing.few_words.reading import AskedError, NotReadError, Reading
from webapp.costing.few_words.sizes import first_read, read_choice, read_must, read_size, read_value, read_whole
from webapp.costing.few_words.words import clauses, plain

#: A line that is longer than this is no entry in few words.
LONGEST: Final = 2_000


def read_few_words(line: str, known: Known) -> Reading:
    """What a line says: the entries that it adds, each new stock role before what is cut from it.

    A line that can be read in several ways is a question whose answers are complete lines; one that can't be read, or
    not yet, is a problem in a sentence that says what comes next. Never raises.
    """
    if len(line) > LONGEST:
        return Reading(problems=(f"The line has {len(line)} characters; {LONGEST} are read at most.",))
    said = plain(line)
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
    if (half := half_typed(line, known)) is not None:
        raise half
    read = first_read((
        lambda: read_choice(line, known), lambda: read_own_line(line, known),
        lambda: read_must(line, known), lambda: read_value(line, known),
        lambda: read_whole(line, known), lambda: read_opening(line, known, pieces),
        lambda: read_holes(line, known, pieces), lambda: read_finish(line, known, pieces),
        lambda: read_span(line, known), lambda: read_load(line, known, pieces), lambda: read_move(line, known),
        lambda: read_joinery(line, known), lambda: read_joint(line, known, pieces), lambda: read_size(pieces, known, ranged=True), lambda: read_use(line, known),
        lambda: read_hardware(line, known, pieces), lambda: read_part(line, known, pieces),
        lambda: read_hold(line, known),
        lambda: read_size(pieces, known, ranged=False),
    ))  # fmt: skip
    if read is None:
        raise NotReadError(
            f"“{line[:60]}” can't be read: say what it is of, as 'shelf of birch plywood 18', or how much, "
            "as 'width 900'."
        )
    return read
