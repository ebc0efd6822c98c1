"""What a job is found by beside its number, title, customer and site: the words and sizes that its form holds.

Only the form is read, whatever else is wrong with it: a job that can't be worked out can still be found.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any, Final, Literal

from webapp.costing.errors import MeasureError
from webapp.costing.measures.money import half_up
from webapp.costing.measures.quantities import NM_PER_INCH, System
from webapp.costing.measures.written import parse_length

NM_PER_MM: Final = 10**6
#: What is smaller than this, in mm, is a thickness or a count, and no size that a bench is known by.
LEAST_SIZE: Final = 50
#: What a person puts between the sides of a thing: 2000 x 750.
_BY: Final = re.compile(r"(?<=[\d\"'a-z])\s*(?:[x×*]|\bby\b)\s*(?=\d)", re.IGNORECASE)
_BARE: Final = re.compile(r"\d+(?:[.,]\d+)?")
_FIGURE: Final = r"(?:\d+(?:[ -]\d+/\d+|[.,]\d+|/\d+)?)"
_MEASURE: Final = re.compile(
    rf"(?:{_FIGURE}\s*(?:feet|foot|ft|')\s*{_FIGURE}\s*(?:inch(?:es)?|in|\")"
    rf"|{_FIGURE}\s*(?:mm|cm|m|inch(?:es)?|in|feet|foot|ft|\"|'))(?!\w)",
    re.IGNORECASE,
)

_UNIT: Final = re.compile(r"\s*(?:mm|cm|m|inch(?:es)?|in|feet|foot|ft|\"|')\s*$", re.IGNORECASE)
#: Feet and inches are one size, the inches less than twelve; behind a stroke they need no sign of their own.
_INCHES: Final = r"(?:(?:\d|1[01])(?:[ -]\d+/\d+|\.\d+)?|\d+/\d+)"
_ONE: Final = (
    rf"(?:\d+\s*(?:(?:feet|foot|ft)(?!\w)|')\s*-?\s*{_INCHES}\s*(?:(?:inch(?:es)?|in)(?!\w)|\"|'')"
    rf"|\d+'{_INCHES}(?![\w.,/])"
    rf"|{_FIGURE}\s*(?:(?:mm|cm|m|inch(?:es)?|in|feet|foot|ft)(?!\w)|\"|')?)"
)
#: Sizes beside one another, or one.
_RUN: Final = re.compile(rf"(?<![\w.,/-]){_ONE}(?:\s*(?:[x×*]|\bby\b)\s*{_ONE})*", re.IGNORECASE)
#: Sizes are looked for in so much of a text.
_LOOKED_THROUGH: Final = 400
#: Whole millimetres with their thousands parted: nobody measures a bench to the thousandth of one.
_THOUSANDS: Final = re.compile(r"[1-9]\d{0,2}(?:[.,]\d{3})+(?=\s*(?:mm)?$)", re.IGNORECASE)


def words_of_job(document: Mapping[str, Any]) -> str:
    """The words of a job form's items, added lines and notes, and its sizes. What is no text is left out.

    >>> words_of_job({"items": [{"label": "Glaze bench", "sizes": {"width": "2000 mm"}}]})
    'Glaze bench 2000'
    """
    said: list[str] = []
    for item in entries_of(document.get("items")):
        said.append(_text(item, "label"))
        said += [word for typed in _texts(item.get("sizes")) for word in size_words(typed)]
        said += [choice.replace("_", " ") for choice in _texts(item.get("choices"))]
    said += [_text(line, "says") for line in entries_of(document.get("lines"))]
    said.append(_text(document, "notes"))
    return " ".join(word for word in said if word)


def size_words(typed: str) -> list[str]:
    """How a size is looked for: as it was typed, in whole millimetres and, in quarters of an inch, in inches.

    A bare figure stands for itself, in whatever the shop measures; of one place it is a count, and no size.

    >>> size_words("6 ft"), size_words("775"), size_words("3"), size_words("30.5 in")
    (['1829', '72'], ['775'], [], ['775', '30 1/2'])
    """
    plain = typed.strip()
    if _BARE.fullmatch(plain):
        return [plain] if len(plain) > 1 else []
    try:
        length = parse_length(plain, "mm")
    except MeasureError:
        return []
    words = [str(half_up(Fraction(length, NM_PER_MM)))]
    inches = Fraction(length, NM_PER_INCH)
    if (inches * 4).denominator == 1:
        whole, rest = divmod(inches, 1)
        words.append(f"{whole} {rest}" if rest and whole else str(rest or whole))
    return words


def searched_words(typed: str) -> tuple[str, ...]:
    """The words that somebody looks for, each for itself: '2000 x 750' is two sizes, '6 ft' is looked for in mm.

    >>> searched_words("bench 2000x750 mm"), searched_words('72" bench'), searched_words("oak 2 m")
    (('bench', '2000', '750'), ('1829', 'bench'), ('oak', '2000'))
    """
    apart = _BY.sub(" ", typed)
    return tuple(_MEASURE.sub(_in_millimetres, apart).split())


def sizes_said(text: str, system: System, *, alone: bool = False) -> tuple[int, ...]:
    """The sizes that a text speaks of, in whole mm: those with a unit, and bare ones that stand beside another by an x;
    these are in the unit behind the last of them, else in the shop's. `alone` says that a bare figure is a size too.

    >>> sizes_said("Bench 2000 x 750", "metric"), sizes_said("Shelf 6 ft, 2024", "inch"), sizes_said("6 x 2 ft", "inch")
    ((2000, 750), (1829,), (1829, 610))
    >>> sizes_said("750", "metric", alone=True), sizes_said("750", "metric")
    ((750,), ())
    """
    runs = _RUN.finditer(" ".join(text.split())[:_LOOKED_THROUGH])
    return tuple(mm for run in runs for mm in _sizes_in(run[0], system, alone=alone) if mm >= LEAST_SIZE)


def parted_sizes(text: str, system: System, least: int) -> tuple[tuple[tuple[int, ...], ...], str]:
    """The runs of sizes that a text speaks of, in whole mm, each of which has one of at least so many; and the text
    without them.

    >>> parted_sizes("oak bench 1800 x 800", "metric", 200), parted_sizes("oak 2 x 4", "inch", 200)
    ((((1800, 800),), 'oak bench'), ((), 'oak 2 x 4'))
    """
    plain, found = " ".join(text.split())[:_LOOKED_THROUGH], []

    def taken(run: re.Match[str]) -> str:
        sizes = tuple(_sizes_in(run[0], system, alone=True))
        if max(sizes, default=0) < least:
            return run[0]
        found.append(sizes)
        return " "

    rest = _RUN.sub(taken, plain)
    return tuple(found), " ".join(rest.split())


def _sizes_in(run: str, system: System, *, alone: bool) -> Iterator[int]:
    """The sizes that stand beside one another, in whole mm."""
    bare: Literal["in", "mm"] = "in" if system == "inch" else "mm"
    figures = _BY.split(run)
    if len(figures) == 1 and not alone and not _UNIT.search(run) and "'" not in run:
        return
    last = _UNIT.search(figures[-1])
    for figure in figures:
        typed = figure.strip() if _UNIT.search(figure) or last is None else f"{figure.strip()} {last[0].strip()}"
        if bare == "mm" or typed.casefold().endswith("mm"):
            typed = _THOUSANDS.sub(lambda number: re.sub(r"[.,]", "", number[0]), typed)
        try:
            yield int(half_up(Fraction(parse_length(typed, bare), NM_PER_MM)))
        except MeasureError:
            continue


def _in_millimetres(found: re.Match[str]) -> str:
    try:
        return f" {half_up(Fraction(parse_length(found[0].strip(), 'mm'), NM_PER_MM))} "
    except MeasureError:
        return found[0]


def entries_of(value: object) -> Iterator[Mapping[str, Any]]:
    """The entries of a part of a form, a list or a table of them; what is no entry is passed over.

    >>> list(entries_of({"a": {"id": "one"}, "b": "two"}))
    [{'id': 'one'}]
    """
    held = value.values() if isinstance(value, Mapping) else value if isinstance(value, list | tuple) else ()
    yield from (one for one in held if isinstance(one, Mapping))


def _texts(value: object) -> Iterator[str]:
    held = value.values() if isinstance(value, Mapping) else ()
    yield from (one for one in held if isinstance(one, str))


def _text(entry: Mapping[str, Any], name: str) -> str:
    held = entry.get(name)
    return held if isinstance(held, str) else ""
