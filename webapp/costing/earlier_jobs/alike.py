"""Which earlier jobs are like a new one: by the words they share, the rarer the more, then by how near their sizes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, Final, Generic, TypeVar

from webapp.costing.jobs.words import sizes_said
from webapp.costing.measures.quantities import System

Of = TypeVar("Of")
_WORDS: Final = re.compile(r"[^\W\d_]{3,}")
#: Words that say nothing of what a thing is.
_SAY_NOTHING: Final = frozenset(
    ("and", "for", "the", "with", "without", "from", "one", "two", "three", "new", "old", "set", "pair", "per", "made")
)
#: What shares less of the words than one part in so many of what the likest does is another thing.
LEAST_LIKE: Final = 3
#: What differs by more than this in its largest size is no likeness: a bench of more than twice the length is another.
MOST_APART: Final = Fraction(2)


@dataclass(frozen=True, slots=True)
class Known(Generic[Of]):
    """What something is known by: its words, and its sizes in mm, the largest first."""

    of: Of
    words: frozenset[str]
    sizes: tuple[int, ...]
    day: date | None


def known_by(
    of: Of, texts: Iterable[str], sizes: Iterable[str], day: date | None, system: System, customer: str = ""
) -> Known[Of]:
    """What something is known by, from texts that name it and from its sizes as they are typed. Whose it is says
    nothing of what it is: the words of its `customer` are left out."""
    said = tuple(texts)
    words = _words_of(said) - _words_of([customer])
    found = {mm for text in said for mm in sizes_said(text, system)}
    found |= {mm for typed in sizes for mm in sizes_said(typed, system, alone=True)}
    return Known(of, words, tuple(sorted(found, reverse=True)), day)


def _words_of(texts: Iterable[str]) -> frozenset[str]:
    return frozenset(stem(word) for text in texts for word in _WORDS.findall(text.casefold())) - _SAY_NOTHING


def stem(word: str) -> str:
    """A word without its plural.

    >>> [stem(word) for word in ("benches", "carts", "trolleys", "glass", "shelves")]
    ['bench', 'cart', 'trolley', 'glass', 'shelve']
    """
    if word.endswith(("ches", "shes", "sses", "xes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def most_alike(new: Known[Any], others: Sequence[Known[Of]], most: int) -> tuple[Of, ...]:
    """The ones likest to a new thing, the likest first, at most so many; none that shares no word with it, or is more
    than twice as large.

    A word counts the more the fewer of the others have it: that both are benches says less than that both are for
    glaze. Among equals the nearer sizes come first, what says no size last; then the later ones.
    """
    having = Counter(word for one in others for word in one.words)
    scored = []
    for place, one in enumerate(others):
        shared = new.words & one.words
        if not shared or _is_of_another_size(new.sizes, one.sizes):
            continue
        score = sum((Fraction(1, having[word]) for word in shared), Fraction(0))
        age = -one.day.toordinal() if one.day else 0
        scored.append((-score, _apart(new.sizes, one.sizes), age, place, one.of))
    scored.sort(key=lambda one: one[:4])
    return tuple(one[4] for one in scored[:most] if one[0] * LEAST_LIKE <= scored[0][0])


def _is_of_another_size(sizes: Sequence[int], others: Sequence[int]) -> bool:
    """Whether both tell sizes, the largest of which are too far apart."""
    return bool(sizes and others) and max(sizes[0], others[0]) > MOST_APART * min(sizes[0], others[0])


def _apart(sizes: Sequence[int], others: Sequence[int]) -> Fraction:
    """By which factor sizes differ, the largest held against the largest; those not told count as far apart."""
    if not sizes or not others:
        return MOST_APART**3
    factor = Fraction(1)
    for one, other in zip(sizes[:3], others[:3], strict=False):
        factor *= min(MOST_APART, Fraction(max(one, other), min(one, other)))
    return factor
