"""What is bought and fitted, in few words: 'castors 100 under each leg', 'bow handles 128 on each front'."""

from __future__ import annotations

import re
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.few_words.clause_by_clause import as_written, by_table, read_clauses, table
from webapp.costing.few_words.formulas_said import formula, is_formula, with_names
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.named import find_part, matching
from webapp.costing.few_words.placing import said_places
from webapp.costing.few_words.reading import Entry, NotReadError, Reading
from webapp.costing.few_words.stock import find_stock, materials_by_words
from webapp.costing.few_words.words import free_name, name_from, singular, with_figures, without_article

KINDS: Final = (Kind.PIECE, Kind.FASTENER)
_HEAD: Final = re.compile(
    r"(?P<words>.+?)(?: (?P<how>(?:one )?(?:on|in|at|under) (?:each|every)|(?:on|under) the) (?P<each>[^,]+))?",
    re.IGNORECASE,
)
_COUNT: Final = re.compile(
    r"(?P<count>\d+|[a-z][a-z0-9_.]*(?: ?[*/+-] ?[a-z0-9_.]+)+|\d+ ?\* ?[a-z0-9_. */+-]+) (?P<words>.+)", re.IGNORECASE
)
_NAMED: Final = re.compile(r"(?P<noun>[a-z][a-z _-]*?) of (?P<stock>.+)", re.IGNORECASE)
_ROWS: Final = table((
    (r"F (?:x|×|by) G (?:x|×|by) H", "three"),
        (r"F wide", "wide"), (r"F deep", "deep"), (r"F (?:high|tall)", "tall"),
        (r"under each P", "under each"), (r"(?:screwed |driven )?into (?:the )?P", "into"),
        (r"through F", "through"), (r"(?:fixed |held |screwed )?to (?:the|a) wall", "to the wall"),
        (r"(?:one )?(?:on|in|at) (?:each|every) P", "count"),
))  # fmt: skip


def read_hardware(line: str, known: Known, pieces: tuple[str, ...], name: str = "") -> Reading | None:
    """The hardware that a line says, with its stock role; None where its words name none.

    Raises NotReadError or AskedError.
    """
    head = _HEAD.fullmatch(with_figures(pieces[0]))
    if head is None:
        return None
    count, words = "", head["words"]
    if (counted := _COUNT.fullmatch(words)) and is_formula(counted["count"], known):
        count, words = formula(counted["count"], known), counted["words"]
    else:
        first, _, rest = words.partition(" ")
        if rest and is_formula(first, known) and not materials_by_words(words, known, KINDS):
            count, words = formula(first, known), rest
    named = _NAMED.fullmatch(without_article(words))
    sought = named["stock"] if named else words
    if not _is_hardware(sought, known):
        return None
    noun = named["noun"] if named else re.sub(r"\d.*", "", without_article(words)).strip(" ,") or words
    wanted = name or name_from(noun)
    own = free_name(wanted, {*known.entries("parts"), *known.own("hardware"), *known.own("uses")})
    role_name = own if own not in known.taken and own != wanted else f"{wanted}_stock"
    kinds = KINDS
    stock = find_stock(sought, known, line, kinds, wanted=role_name if _is_piece(sought, known) else "")
    said = [f"{head['how']} {head['each']}"] if head["how"] else []
    texts = [
        one
        for group in read_clauses([*said, *pieces[1:]], lambda one: _clause(one, known, line, count), f"the {noun}")
        for one in group
    ]
    if any(one.startswith("!count ") for one in texts):
        each = next(one for one in texts if one.startswith("!count ")).removeprefix("!count ")
        texts = [one for one in texts if not one.startswith("!count ")]
        count = f"{count} * {each}" if count and count != "1" else each
    lead = f"{count} of {stock.role}" if count else f"of {stock.role}"
    fields, problems = entry_of("hardware", "; ".join([_capital(noun), lead, *texts]), own)
    if problems:
        raise NotReadError(problems[0].message)
    assert isinstance(fields, dict)
    derived = _completed(fields, known)
    again = (f"There is a “{wanted}” already; this one is called “{own}”.",) if own != wanted else ()
    return Reading((*stock.added, Entry("hardware", own, fields)), derived=(*again, *derived))


def _is_hardware(words: str, known: Known) -> bool:
    roles = {name: one for name, one in known.entries("stock").items() if one.get("kind") in KINDS}
    return bool(materials_by_words(words, known, KINDS)) or name_from(words) in roles


def _is_piece(words: str, known: Known) -> bool:
    return bool(materials_by_words(words, known, (Kind.PIECE,)))


def _capital(noun: str) -> str:
    words = noun.replace("_", " ").split()
    said = " ".join((*words[:-1], singular(words[-1])))
    return said[:1].upper() + said[1:]


def _clause(clause: str, known: Known, line: str, count: str) -> list[str] | None:
    found = by_table(with_figures(clause), _ROWS)
    if found is not None:
        held, kind = found[0].groupdict(), found[1]
        if kind == "three" and all(is_formula(held[one], known) for one in "fgh"):
            return [
                f"{side} {formula(held[one], known)}" for side, one in (("wide", "f"), ("deep", "g"), ("tall", "h"))
            ]
        if kind in ("wide", "deep", "tall", "through") and is_formula(held["f"], known):
            return [f"{kind} {formula(held['f'], known)}"]
        if kind == "under each":
            return [f"under each {find_part(held['p'], known, line)}"]
        if kind == "into":
            return [f"into {find_part(held['p'], known, line)}"]
        if kind == "to the wall":
            return [kind]
        if kind == "count" and len(parts := matching(held["p"], known.entries("parts"))) == 1:
            return [f"!count {parts[0]}.count"]
    if (places := said_places(clause, known, line)) is not None:
        return places
    written = as_written("hardware", with_names(clause, known))
    return [written] if written and len(clause.split()) > 1 else None


def _completed(fields: dict[str, Any], known: Known) -> tuple[str, ...]:
    """How far a piece reaches that says only how high it is: as the part over it, and one where nothing counts it."""
    under = fields.get("under_each")
    if isinstance(under, str) and "tall" in fields and not {"wide", "deep"} & fields.keys():
        fields |= {"wide": f"{under}.width", "deep": f"{under}.thickness"}
        return (f"It is as wide as the {under.replace('_', ' ')} above it.",)
    placed = {"count", "under_each", "four_corners"} & fields.keys() or "at" in fields
    if not placed and "count" not in fields:
        fields["count"] = "1"
        return ("There is one of it.",)
    return ()
