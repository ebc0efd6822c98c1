"""Sizes, values, questions and rules in few words: 'width 900, from 600 to 1200', 'base: feet or castors'."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK
from webapp.costing.design_form.tables.form_tables import NAME
from webapp.costing.errors import MeasureError
from webapp.costing.few_words.known import Known, whole_by
from webapp.costing.few_words.line.words import NotReadError, free_name, name_from, with_figures
from webapp.costing.few_words.named import as_formula, find_answer, formula, rule, sentence
from webapp.costing.few_words.reading import Entry, Reading
from webapp.costing.few_words.stock import materials_by_words
from webapp.costing.measures.written import parse_measure

_SIZE: Final = re.compile(r"(?P<name>[a-z][a-z _]{0,60}?):? (?P<usual>[\d.½¼¾].{0,60})", re.IGNORECASE)
_RANGE: Final = re.compile(r"(?:from )?(?P<least>\d.*?) (?:to|up to) (?P<most>.+)", re.IGNORECASE)
_LIMIT: Final = re.compile(r"(?P<end>(?:at )?least|(?:at )?most|from|up to|to) (?P<said>\d.*)", re.IGNORECASE)
_VALUE: Final = re.compile(r"(?P<name>[a-z][a-z0-9 _]{0,60}?) ?=(?!=) ?(?P<said>.+)", re.IGNORECASE)
_CHOICE: Final = re.compile(r"(?P<name>[a-z][a-z0-9 _]{0,60}): ?(?P<answers>[^;:=]+? or [^;:=]+)", re.IGNORECASE)
_WHOLE: Final = re.compile(
    r"(?:the )?(?:whole|overall) (?P<x>.+?) (?:x|by) (?P<y>.+?) (?:x|by) (?P<z>.+)", re.IGNORECASE
)
_MUST: Final = re.compile(r"(?:(?P<word>must|should)(?: be)? )?(?P<rule>[^:]+?)(?:: ?(?P<says>.+))?", re.IGNORECASE)
#: What tells a rule that does not say 'must'.
_COMPARED: Final = re.compile(r"^[a-z][a-z0-9_. ]* (?:is )?(?:at most|at least|no more than|no less than|<=|>=) ")
_HEAD: Final = ("least", "at least", "from")
_PLAIN: Final = re.compile(r"\d+")


def read_size(pieces: tuple[str, ...], known: Known, *, ranged: bool) -> Reading | None:
    """A size with how far it goes, or with its number alone; None where the line says none. Raises NotReadError."""
    found = _SIZE.fullmatch(with_figures(pieces[0])) if (len(pieces) > 1) == ranged else None
    if found is None or not _is_amount(found["usual"]) or (not ranged and _is_of_stock(found["name"], known)):
        return None
    limits: dict[str, str] = {}
    for piece in pieces[1:]:
        said = with_figures(piece)
        if (both := _RANGE.fullmatch(said)) and _is_amount(both["least"]) and _is_amount(both["most"]):
            limits |= {"least": both["least"].strip(), "most": both["most"].strip()}
        elif (one := _LIMIT.fullmatch(said)) and _is_amount(one["said"]):
            limits["least" if one["end"].lower() in _HEAD else "most"] = one["said"].strip()
        else:
            return None
    name = _name(found["name"])
    if name in known.own("sizes"):
        raise NotReadError(f"There is a size “{name.replace('_', ' ')}” already; change it in its own row.")
    usual = found["usual"].strip()
    derived: tuple[str, ...] = ()
    if len(limits) < 2:
        limits = {**_usual_limits(usual, known), **limits}
        derived = (f"It goes from {limits['least']} to {limits['most']}, until you say how far.",)
    says = name.replace("_", " ")
    size = Entry("sizes", free_name(name, known.taken), {"says": says[:1].upper() + says[1:], "usual": usual, **limits})
    return Reading((size, *_whole(known, name)), derived=derived)


def _name(words: str) -> str:
    """Words as a name, several of what they name as they are: 'Leg tops' -> leg_tops."""
    return "_".join(re.findall(r"[a-z0-9]+", words.lower()))


def _is_of_stock(name: str, known: Known) -> bool:
    """Whether several words name a material among them: an oak top is a part, and no size."""
    words = name.split()
    return len(words) > 1 and any(materials_by_words(word, known, CUT_STOCK) for word in words)


def _is_amount(text: str) -> bool:
    for side in text.split("|"):
        try:
            parse_measure(side.strip())
        except MeasureError:
            if not re.fullmatch(r"\d+(?:\.\d+)?(?: \d+/\d+)?", side.strip()):
                return False
    return True


def _usual_limits(usual: str, known: Known) -> dict[str, str]:
    """Limits about a size: three quarters and five quarters of it; of a count from one to twice as many."""
    if _PLAIN.fullmatch(usual) and int(usual) < (24 if known.system == "metric" else 7):
        return {"least": "1", "most": str(max(2, 2 * int(usual)))}
    return {"least": _share(usual, Fraction(3, 4)), "most": _share(usual, Fraction(5, 4))}


def _share(usual: str, share: Fraction) -> str:
    def of_side(side: str) -> str:
        found = re.fullmatch(r"(\d+)(.*)", side.strip())
        if found is None or "/" in side or "." in side or "'" in side:
            return side.strip()
        value = int(found[1]) * share
        step = 10 if value >= 100 else 1
        return f"{int(value // step * step)}{found[2]}"

    return " | ".join(of_side(side) for side in usual.split("|"))


def _whole(known: Known, name: str) -> tuple[Entry, ...]:
    """What the whole comes to, as soon as its three sizes are there."""
    if known.own("closes"):
        return ()
    found = whole_by({**known.own("sizes"), name: {}})
    return (Entry("closes", "", found),) if len(found) == 3 and name in found.values() else ()


def read_whole(line: str, known: Known) -> Reading | None:
    """What the whole comes to along its three ways: 'whole length x depth x height'."""
    found = _WHOLE.fullmatch(line)
    if found is None:
        return None
    return Reading((Entry("closes", "", {axis: formula(found[axis], known) for axis in ("x", "y", "z")}),))


def read_value(line: str, known: Known) -> Reading | None:
    """A named formula: 'leg top = height - top.thickness'. Raises NotReadError."""
    found = _VALUE.fullmatch(line)
    if found is None or "<" in found["name"] or ">" in found["name"]:
        return None
    name = _name(found["name"])
    if not NAME.fullmatch(name):
        return None
    if name in known.taken:
        raise NotReadError(f"“{name.replace('_', ' ')}” is a name already; call this value otherwise.")
    under = [_under_answer(piece.strip(), known) for piece in found["said"].split(";")]
    by_answer = dict(one for one in under if one is not None)
    if len(by_answer) == len(under):
        return Reading((Entry("values", name, by_answer),))
    return Reading((Entry("values", name, as_formula(found["said"], known)),))


def _under_answer(text: str, known: Known) -> tuple[str, str] | None:
    """An answer and the formula under it: 'castors 125' or 'castors: 125'; None where the text begins with none."""
    words = text.replace(":", " ").split()
    for several in range(min(len(words) - 1, 4), 0, -1):
        if answer := find_answer(" ".join(words[:several]), known):
            return answer, as_formula(" ".join(words[several:]), known)
    return None


def read_choice(line: str, known: Known) -> Reading | None:
    """A question with its answers, the usual one first: 'base: feet or castors'. Raises NotReadError."""
    found = _CHOICE.fullmatch(line)
    if found is None:
        return None
    pieces = [piece.strip() for part in re.split(r" or ", found["answers"]) for piece in part.split(",")]
    if any(len(piece.split()) > 4 for piece in pieces):
        return None
    answers = [_name(piece) for piece in pieces]
    name = _name(found["name"])
    if not all(NAME.fullmatch(one) for one in (*answers, name)):
        return None
    for one in (name, *answers):
        if one in known.taken and one not in known.entries("parts"):
            raise NotReadError(f"“{one.replace('_', ' ')}” is a name already; call it otherwise here.")
    says = found["name"].replace("_", " ").strip()
    fields = {"says": says[:1].upper() + says[1:], "answers": answers, "usual": answers[0]}
    return Reading((Entry("choices", name, fields),), derived=(f"It is {pieces[0]} as a rule.",))


def read_must(line: str, known: Known) -> Reading | None:
    """A rule: 'must mass at most 60 kg: It weighs {mass}.'; 'should …' warns. Raises NotReadError."""
    found = _MUST.fullmatch(line)
    if found is None or not (found["word"] or _COMPARED.search(found["rule"])):
        return None
    that = rule(found["rule"], known)
    fields: dict[str, str] = {"that": that}
    if (found["word"] or "").lower() == "should":
        fields["severity"] = "warning"
    derived: tuple[str, ...] = ()
    if found["says"]:
        fields["says"] = sentence(found["says"].strip(), known)
    else:
        fields["says"] = _what_holds(that)
        derived = (f"Where it doesn't hold, it says: {fields['says']}",)
    stem = name_from(re.sub(r"[^a-z_ ]", " ", that.replace(".", "_")).split()[0]) or "rule"
    return Reading((Entry("musts", free_name(f"{stem}_holds", known.own("musts")), fields),), derived=derived)


_SIGNS: Final = (("<=", "at most"), (">=", "at least"), ("<", "less than"), (">", "more than"))


def _what_holds(that: str) -> str:
    """The sentence for a rule that says none: what has to be how much, and what it is."""
    sign, words = next(one for one in _SIGNS if f" {one[0]} " in that)
    left, _, right = that.partition(f" {sign} ")
    shown = f"; it is {{{left}}}" if re.fullmatch(r"[a-z][a-z0-9_.]*", left) else ""
    return f"{left.replace('_', ' ').capitalize()} has to be {words} {right}{shown}."
