"""A value within a line: as it stands, in double quotes, as a list, as pairs or as needs; written and read back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.tables.form_tables import LIMIT_RULES
from webapp.costing.designs.canonical import DEEPEST

#: A text in double quotes, with nothing but what may follow a value behind it.
QUOTED: Final = re.compile(r'"((?:[^"\\]|\\.)*)"(?=[\s;,\]}]|$)')
#: Where a quotation mark opens: an inch mark has its number before it.
_OPENS: Final = re.compile(r'(?:^|(?<=[\s\[{,;]))"(?=[^\s;,]|$)')
_ESCAPED: Final = re.compile(r"\\(u[0-9a-f]{4}|U[0-9a-f]{8}|.)", re.DOTALL)
_WORD: Final = re.compile(r"[A-Za-z0-9_.]+")
_NAME: Final = re.compile(r"[a-z][a-z0-9_]*")
_BRACKETS: Final = {"(": ")", "[": "]", "{": "}"}
#: What stands between a property that a place needs and its measure, for each of the rules.
_LIMITS: Final = {"equal": "is", "least": "at least", "most": "at most"}
_LIMIT: Final = re.compile(rf"([a-z][a-z0-9_]*) +({'|'.join(_LIMITS.values())}) +(.+)")
#: Both limits of a property at once.
_RANGE: Final = re.compile(r"([a-z][a-z0-9_]*) +(.+?) to (.+)")


class LineError(Exception):
    """A clause that can't be read; `str()` of it goes on after the clause: 'is no …'."""


def parted(text: str, sign: str) -> Iterator[tuple[int, str]]:
    """The pieces of a text between semicolons or commas, with where each begins.

    What is in quotation marks holds together; between commas, what is in brackets as well.
    """
    nested, depth, begin, place = sign == ",", 0, 0, 0
    while place < len(text):
        found = text[place]
        if found == '"' and _OPENS.match(text, place) and (quoted := QUOTED.match(text, place)):
            place = quoted.end()
            continue
        if found == sign and depth == 0:
            yield begin, text[begin:place]
            begin = place + 1
        elif nested and found in "([{":
            depth += 1
        elif nested and found in ")]}":
            depth = max(0, depth - 1)
        place += 1
    yield begin, text[begin:]


def unquoted(inner: str) -> str:
    """What a text in quotation marks says, without them: \\" is a quotation mark, \\n a new line."""

    def plain(found: re.Match[str]) -> str:
        sign = found[1]
        if len(sign) > 1:
            code = int(sign[1:], 16)
            return chr(code) if code < 0x110000 else "\N{REPLACEMENT CHARACTER}"
        return "\n" if sign == "n" else sign

    return _ESCAPED.sub(plain, inner)


def quoted(text: str) -> str:
    """A text in quotation marks, on one line."""

    def safe(sign: str) -> str:
        if sign in '"\\':
            return f"\\{sign}"
        if sign == "\n":
            return "\\n"
        if sign.isprintable():
            return sign
        return f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}"

    spelled = "".join(safe(sign) for sign in text)
    # A mark with a space or a semicolon behind it opens nothing: it may be that of inches.
    return f'"\\{spelled}"' if text[:1] in (" ", ";", ",") and text else f'"{spelled}"'


def _is_bare(text: str, inner: bool) -> bool:
    """Whether a text is read as it stands; `inner` within a list or between pairs."""
    if not text or text != text.strip() or not text.isprintable() or ";" in text or text[0] in '"[{':
        return False
    if '"' in text and _OPENS.search(text):
        return False
    return not inner or (("," not in text or len(list(parted(text, ","))) == 1) and _is_balanced(text))


def _is_balanced(text: str) -> bool:
    waiting: list[str] = []
    for sign in text:
        if sign in _BRACKETS:
            waiting.append(_BRACKETS[sign])
        elif sign in ")]}" and (not waiting or waiting.pop() != sign):
            return False
    return not waiting


def written(value: object, *, inner: bool = False, plain: bool = True) -> str:
    """Any value of a document: text as it stands or quoted (always, unless `plain`), [a, b], {name value}."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(_pair(key, each) for key, each in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(written(each, inner=True) for each in value) + "]"
    text = str(value)
    return text if plain and _is_bare(text, inner) else quoted(text)


def _pair(key: str, value: object) -> str:
    return f"{keyed(key)} {written(value, inner=True)}"


def keyed(key: str) -> str:
    """A name before its value: in quotation marks where it is no word."""
    return key if _WORD.fullmatch(key) else quoted(key)


def value_of(text: str, depth: int = 0) -> object:
    """The value that `written` wrote. Raises LineError."""
    text = text.strip()
    if text[:1] == '"' and _OPENS.match(text):
        if found := QUOTED.fullmatch(text):
            return unquoted(found[1])
        raise LineError("has a quotation mark that is not closed at its end")
    if text[:1] not in ("[", "{"):
        return text
    if depth == DEEPEST:
        raise LineError(f"is nested more than {DEEPEST} levels deep")
    if len(text) < 2 or text[-1] != _BRACKETS[text[0]]:
        raise LineError(f"has a {text[0]} that is not closed at its end")
    pieces = [piece.strip() for _, piece in parted(text[1:-1], ",")] if text[1:-1].strip() else []
    if text[0] == "[":
        return [value_of(piece, depth + 1) for piece in pieces]
    return _pairs(pieces, depth + 1)


def _pairs(pieces: list[str], depth: int) -> dict[str, object]:
    found: dict[str, object] = {}
    for piece in pieces:
        key, rest = name_first(piece)
        if (not key and not piece.startswith('"')) or not rest:
            raise LineError(f"needs a name and what it is, and has '{piece[:40]}'")
        if key in found:
            raise LineError(f"says '{key[:40]}' twice")
        found[key] = value_of(rest, depth)
    return found


def name_first(piece: str) -> tuple[str, str]:
    """The name with which a pair or an answer begins, in quotation marks where it is no word, and what follows it."""
    if piece.startswith('"') and (found := QUOTED.match(piece)):
        return unquoted(found[1]), piece[found.end() :].strip()
    key, _, rest = piece.partition(" ")
    return key, rest.strip()


def _is_whole(text: str) -> bool:
    """Whether a list or pairs stand there as any value does, between one pair of quotation marks or brackets."""
    if text[:1] == '"':
        return QUOTED.fullmatch(text) is not None
    return text[:1] in ("[", "{") and len(list(parted(text, ","))) == 1


# The shapes that a value may have in a clause: how it is read, and how written (nothing where the shape does not fit).


def _read_list(text: str) -> object:
    return value_of(text) if _is_whole(text) else [value_of(piece) for _, piece in parted(text, ",")]


def _write_list(value: object) -> str:
    return ", ".join(written(each, inner=True) for each in value) if isinstance(value, list | tuple) else ""


def _read_pairs(text: str) -> object:
    return value_of(text) if _is_whole(text) else _pairs([piece.strip() for _, piece in parted(text, ",")], 0)


def _write_pairs(value: object) -> str:
    return ", ".join(_pair(key, each) for key, each in value.items()) if isinstance(value, Mapping) else ""


def _read_sizes(text: str) -> object:
    """Sizes by the names that they have in another design, each with what it is here."""
    found = _pairs([piece.strip() for _, piece in parted(text, ",")], 0)
    if not all(_NAME.fullmatch(name) for name in found):
        raise LineError(f"needs the name of a size and what it is, and has '{text[:40]}'")
    return found


def _write_sizes(value: object) -> str:
    fits = isinstance(value, Mapping) and all(_NAME.fullmatch(name) for name in value)
    return _write_pairs(value) if fits else ""


def _read_needs(text: str) -> object:
    if _is_whole(text):
        return value_of(text)
    tags, limits = list[object](), {rule: dict[str, object]() for rule in LIMIT_RULES}
    rules = {words: rule for rule, words in _LIMITS.items()}
    for _, piece in parted(text, ","):
        if limit := _LIMIT.fullmatch(piece.strip()):
            held = limits[rules[limit[2]]]
            if limit[1] in held:
                raise LineError(f"says '{limit[1]} {limit[2]}' twice")
            held[limit[1]] = value_of(limit[3])
        elif between := _RANGE.fullmatch(piece.strip()):
            for rule, said in (("least", between[2]), ("most", between[3])):
                if between[1] in limits[rule]:
                    raise LineError(f"says '{between[1]} {_LIMITS[rule]}' twice")
                limits[rule][between[1]] = value_of(said)
        else:
            tags.append(value_of(piece))
    return {**({"tags": tags} if tags else {}), **{rule: held for rule, held in limits.items() if held}}


def _write_needs(value: object) -> str:
    if not isinstance(value, Mapping):
        return ""
    said = [_write_list(value.get("tags"))]
    limits = {rule: held if isinstance(held := value.get(rule), Mapping) else {} for rule in _LIMITS}
    both = [key for key in limits["least"] if key in limits["most"]]
    said += [
        f"{key} {written(limits['least'][key], inner=True)} to {written(limits['most'][key], inner=True)}"
        for key in both
    ]
    for rule, words in _LIMITS.items():
        said += [
            f"{key} {words} {written(each, inner=True)}"
            for key, each in limits[rule].items()
            if rule == "equal" or key not in both
        ]
    return ", ".join(piece for piece in said if piece)


def _read_answers(text: str) -> object:
    answers = re.split(r"(?<! ) +or +(?! )", text)
    if len(answers) < 2 or not all(_NAME.fullmatch(answer) for answer in answers):
        raise LineError("is no row of answers: they are names, with 'or' between them")
    return answers


def _write_answers(value: object) -> str:
    return " or ".join(map(str, value)) if isinstance(value, list | tuple) else ""


def _read_names(text: str) -> object:
    """One name, or several with commas between."""
    names = [name.strip() for name in text.split(",")]
    if not all(_NAME.fullmatch(name) for name in names):
        raise LineError(f"needs a name or several, and has '{text[:40]}'")
    return names if len(names) > 1 else names[0]


def _write_names(value: object) -> str:
    names = [value] if isinstance(value, str) else value
    if not isinstance(names, list | tuple) or not names or (len(names) < 2 and not isinstance(value, str)):
        return ""
    return ", ".join(names) if all(isinstance(one, str) and _NAME.fullmatch(one) for one in names) else ""


def _read_sides(text: str) -> object:
    """Sides as one says them: 'front and back', 'left, right and back'."""
    sides = [side.strip() for piece in text.split(",") for side in re.split(r" and ", piece)]
    if not all(_NAME.fullmatch(side) for side in sides):
        raise LineError(f"needs sides, as 'front and back', and has '{text[:40]}'")
    return sides


def _write_sides(value: object) -> str:
    if not isinstance(value, list | tuple) or not all(isinstance(one, str) and _NAME.fullmatch(one) for one in value):
        return ""
    *most, last = value or [""]
    return f"{', '.join(most)} and {last}" if most else str(last)


_POINT: Final = re.compile(
    r"(?P<along>.+?) by (?P<across>.+?)(?: rounded (?P<rounded>.+?))?(?: bowed (?P<bowed>.+))?", re.DOTALL
)


def _read_points(text: str) -> object:
    """Corners of an outline: '0 mm by 0 mm, 600 mm by 0 mm, 600 mm by 300 mm rounded 50 mm'."""
    found = []
    for _, piece in parted(text, ","):
        corner = _POINT.fullmatch(piece.strip())
        if corner is None:
            raise LineError(f"needs corners, as '600 mm by 300 mm rounded 50 mm', and has '{piece.strip()[:40]}'")
        found.append({key: said.strip() for key, said in corner.groupdict().items() if said is not None})
    return found


def _write_points(value: object) -> str:
    said = []
    for corner in value if isinstance(value, list | tuple) else ():
        if not isinstance(corner, Mapping) or not all(isinstance(one, str) for one in corner.values()):
            return ""
        text = f"{corner.get('along', '')} by {corner.get('across', '')}"
        said.append(text + "".join(f" {key} {corner[key]}" for key in ("rounded", "bowed") if key in corner))
    return ", ".join(said)


def _one(fits: Callable[[str], object], needed: str) -> tuple[Callable[[str], object], Callable[[object], str]]:
    def read(text: str) -> object:
        if not fits(text):
            raise LineError(f"needs {needed}, and has '{text[:40]}'")
        return text

    return read, lambda value: value if isinstance(value, str) and fits(value) else ""


#: name: (how it is read, how it is written)
SHAPES: Final[Mapping[str, tuple[Callable[[str], object], Callable[[object], str]]]] = {
    "": (value_of, lambda value: written(value) if isinstance(value, str) else ""),
    "name": _one(_NAME.fullmatch, "a name"),
    "axis": _one(lambda text: text in ("x", "y", "z"), "x, y or z"),
    "kind": _one(lambda text: text in set(Kind), "a kind of material"),
    "edges": _one(lambda text: text in ("banded", "raw", "all", "long"), "which edges"),
    "list": (_read_list, _write_list),
    "names": (_read_names, _write_names),
    "sides": (_read_sides, _write_sides),
    "points": (_read_points, _write_points),
    "pairs": (_read_pairs, _write_pairs),
    "sizes": (_read_sizes, _write_sizes),
    "needs": (_read_needs, _write_needs),
    "answers": (_read_answers, _write_answers),
}
