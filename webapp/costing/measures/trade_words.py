"""Two sets of trade words, one of which the shop chooses: what the program says is written in the British set, and said
in the shop's.

Only the program's own words go through here. What a person typed, and what a shop's own catalogue or design holds, is
never rewritten; what comes to a shop from the program, as a starter design, comes in the set of that day.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from webapp.costing.measures.manner import TradeWords, manner

#: One term in each set, British and American; a plural that is more than an s stands after the bar.
#: A board is a sheet in British trade and sawn wood in American: sawn boards are called so, and sheets by their kind.
TERMS: Final[tuple[tuple[str, str], ...]] = (
    ("castor", "caster"),
    ("housing", "dado"),
    ("rebate", "rabbet"),
    ("lipping", "solid edging|solid edging"),
    ("planer-thicknesser", "jointer and planer|jointers and planers"),
    ("surface planer", "jointer"),
    ("thicknesser", "planer"),
    ("plane and thickness|", "joint and plane|"),
    ("planed and thicknessed|", "jointed and planed|"),
    ("timber|", "lumber|"),
    ("sawn timber|", "lumber|"),
    ("sawn board", "board"),
    ("carriage|", "freight|"),
    ("countersunk|", "flat head|"),
)
#: A stick is named by its sides in inches: 4 by 2 in British trade, 2x4 in American. No stick is wider than this.
WIDEST_STICK: Final = 12
_BY: Final[Mapping[TradeWords, re.Pattern[str]]] = {
    "British": re.compile(r"(?<![\d./])(\d{1,2}) by (\d{1,2})(?![\d./]| ?mm| ?in\b)"),
    "American": re.compile(r"(?<![\d./])(\d{1,2}) ?[x×] ?(\d{1,2})(?![\d./]| ?mm| ?in\b)"),
}


def _forms(term: str) -> tuple[str, ...]:
    """A term alone and in the plural; a bar with nothing after it says that there is none."""
    one, bar, several = term.partition("|")
    return (one, several) if several else (one,) if bar else (one, f"{one}s")


def _table(of: TradeWords) -> Mapping[str, str]:
    """Each form in one set, with what the other says in its place."""
    pairs = TERMS if of == "British" else tuple((theirs, ours) for ours, theirs in TERMS)
    found: dict[str, str] = {}
    for term, other in pairs:
        forms, others = _forms(term), _forms(other)
        for place, form in enumerate(forms):
            found.setdefault(form, others[min(place, len(others) - 1)])
    return found


def _pattern(forms: Mapping[str, str]) -> re.Pattern[str]:
    longest_first = sorted(forms, key=lambda form: (-len(form), form))
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE)


_OTHER: Final[Mapping[TradeWords, Mapping[str, str]]] = {"British": _table("British"), "American": _table("American")}
_FOUND: Final[Mapping[TradeWords, re.Pattern[str]]] = {of: _pattern(forms) for of, forms in _OTHER.items()}


_SOUGHT: Final = re.compile(
    "|".join(one.pattern for of in ("British", "American") for one in (_FOUND[of], _BY[of])), re.IGNORECASE
)


def in_trade_words(text: str) -> str:
    """The program's own words, which are written in the British set, as the shop says them.

    >>> in_trade_words("Castors, housings and 4 by 2")
    'Castors, housings and 4 by 2'
    >>> from webapp.costing.measures.manner import Manner, writing_as
    >>> with writing_as(Manner(words="American")):
    ...     in_trade_words("Castors, housings and 4 by 2")
    'Casters, dados and 2x4'
    """
    return text if manner().words == "British" else _put(text, "British")


#: Nobody looks for more than this, and a database takes no endless question.
LONGEST_SOUGHT: Final = 400


def terms_sought(text: str, words_of: Callable[[str], Iterable[str]] = str.split) -> tuple[tuple[str, ...], ...]:
    """What somebody looks for, term by term, each as it was typed and as either set has it: caster finds castor.

    What is between terms of the trade is parted by `words_of`.

    >>> terms_sought("caster 125"), terms_sought("oak 2 x 4")
    ((('caster', 'castor'), ('125',)), (('oak',), ('2 x 4', '4 by 2', '2x4')))
    """
    found: list[tuple[str, ...]] = []
    at, text = 0, text[:LONGEST_SOUGHT]
    for one in _SOUGHT.finditer(text):
        either = said_in_either(one[0])
        if len(either) > 1:
            found += ((word,) for word in words_of(text[at : one.start()]))
            found.append(either)
            at = one.end()
    return (*found, *((word,) for word in words_of(text[at:])))


def said_in_either(text: str) -> tuple[str, ...]:
    """What somebody typed to find something, as it is and in each of the two sets: who types caster finds castor.

    >>> said_in_either("caster 125"), said_in_either("2 x 4"), said_in_either("oak")
    (('caster 125', 'castor 125'), ('2 x 4', '4 by 2', '2x4'), ('oak',))
    """
    british = _put(text, "American")
    return tuple(dict.fromkeys((text, british, _put(text, "British"), _put(british, "British"))))


def _put(text: str, of: TradeWords) -> str:
    """A text with the terms of one set put into the other."""

    def term(found: re.Match[str]) -> str:
        # A pattern takes a dotless i for an i, which no form has.
        other = _OTHER[of].get(found[0].casefold(), found[0])
        return f"{other[:1].upper()}{other[1:]}" if found[0][:1].isupper() else other

    def stick(found: re.Match[str]) -> str:
        first, second = int(found[1]), int(found[2])
        if not 0 < min(first, second) <= max(first, second) <= WIDEST_STICK:
            return found[0]
        return f"{second}x{first}" if of == "British" else f"{second} by {first}"

    return _BY[of].sub(stick, _FOUND[of].sub(term, text))
