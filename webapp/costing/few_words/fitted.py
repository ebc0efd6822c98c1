"""What is bought and fitted, and how parts hold together: 'castors 100 under each leg', 'rails into legs, glued'."""

from __future__ import annotations

import re
from typing import Any, Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.design_form.tables.form_tables import NEEDS_COUNT
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.designs.drivers import DRIVERS
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.clauses import as_written, by_table, read_clauses, table
from webapp.costing.few_words.line.words import (
    NotReadError,
    bare_words,
    either,
    free_name,
    listed,
    name_from,
    one_said,
    with_figures,
    without_article,
)
from webapp.costing.few_words.named import find, find_answer, find_part, formula, is_formula, matching, with_names
from webapp.costing.few_words.placing import said_places
from webapp.costing.few_words.reading import Entry, Reading
from webapp.costing.few_words.stock import find_stock, materials_by_words

KINDS: Final = (Kind.PIECE, Kind.FASTENER)
_HEAD: Final = re.compile(
    r"(?P<words>.+?)(?: (?P<how>(?:one )?(?:on|in|at|under) (?:each|every)|(?:on|under) the) (?P<each>[^,]+))?",
    re.IGNORECASE,
)
_COUNT: Final = re.compile(
    r"(?P<count>\d+|[a-z][a-z0-9_.]*(?: ?[*/+-] ?[a-z0-9_.]+)+|\d+ ?\* ?[a-z0-9_. */+-]+) (?P<words>.+)", re.IGNORECASE
)
#: A measure before what it is of is no count: 100 mm castors.
_MEASURED: Final = re.compile(r"\d[\d./]* ?(?:mm|cm|in|\") ", re.IGNORECASE)
_NAMED: Final = re.compile(r"(?P<noun>[a-z][a-z _-]*?) of (?P<stock>.+)", re.IGNORECASE)
_ROWS: Final = table((
    (r"F (?:x|×|by) G (?:x|×|by) H", "three"),
        (r"F wide", "wide"), (r"F deep", "deep"), (r"F (?:high|tall)", "tall"),
        (r"under each P", "under each"), (r"(?:screwed |driven )?into (?:the )?P", "into"),
        (r"through F", "through"), (r"(?:fixed |held |screwed )?to (?:the|a) wall", "to the wall"),
        (r"(?:one )?(?:on|in|at) (?:each|every) P", "count"), (r"(?:only )?(?:when|for|with) P", "when"),
))  # fmt: skip


def read_hardware(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """The hardware that a line says, with its stock role; None where its words name none.

    Raises NotReadError or AskedError.
    """
    head = _HEAD.fullmatch(with_figures(pieces[0]))
    if head is None:
        return None
    count, words = "", head["words"]
    if (counted := _COUNT.fullmatch(words)) and is_formula(counted["count"], known) and not _MEASURED.match(words):
        count, words = formula(counted["count"], known), counted["words"]
    else:
        first, _, rest = words.partition(" ")
        if (
            rest
            and is_formula(first, known)
            and not _MEASURED.match(words)
            and not materials_by_words(words, known, KINDS)
        ):
            count, words = formula(first, known), rest
    named = _NAMED.fullmatch(without_article(words))
    sought = named["stock"] if named else words
    if not _is_hardware(sought, known):
        return None
    unmeasured = _MEASURED.sub("", without_article(words))
    noun = named["noun"] if named else re.sub(r"\d.*", "", unmeasured).strip(" ,") or words
    wanted = name_from(noun)
    own = free_name(wanted, {*known.entries("parts"), *known.own("hardware"), *known.own("uses")})
    role_name = own if own not in known.taken and own != wanted else f"{wanted}_stock"
    stock = find_stock(sought, known, line, KINDS, wanted=role_name if _is_piece(sought, known) else "")
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
    fields, problems = entry_of("hardware", "; ".join([one_said(noun), lead, *texts]), own)
    if problems:
        raise NotReadError(problems[0].message)
    assert isinstance(fields, dict)
    derived = _completed(fields, known)
    again = (f"There is a “{wanted}” already; this one is called “{own}”.",) if own != wanted else ()
    return Reading((*stock.added, Entry("hardware", own, fields)), derived=(*again, *derived))


def _is_hardware(words: str, known: Known) -> bool:
    roles = {name: one for name, one in known.entries("stock").items() if one.get("kind") in KINDS}
    sought = {word for one in either(words) for word in bare_words(one)}
    called = any(sought & _heads(one) for one in materials_by_words(words, known, KINDS))
    return called or name_from(words) in roles


def _heads(material: Material) -> set[str]:
    """What a piece is called at the end of its words: a drawer slide is a slide, and no drawer."""
    stem = re.sub(r"[_-][a-z]?\d.*", "", material.code)
    return {bare_words(text.replace("_", " "))[-1] for text in (stem, *material.tags) if bare_words(text)}


def _is_piece(words: str, known: Known) -> bool:
    return bool(materials_by_words(words, known, (Kind.PIECE,)))


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
        if kind == "when" and (answer := find_answer(held["p"], known)):
            return [f"when {answer}"]
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


_USED: Final = re.compile(r"(?P<words>.+?),? used (?:up )?by (?:the )?(?P<driver>[a-z_ ]+)", re.IGNORECASE)
_USED_UP: Final = tuple(kind for kind in Kind if kind not in CUT_STOCK)


def read_supply(line: str, known: Known) -> Reading | None:
    """What is used up with the work: 'welding wire used by weld metres'. Raises NotReadError or AskedError."""
    found = _USED.fullmatch(line)
    if found is None:
        return None
    driver = "_".join(found["driver"].lower().replace("_", " ").split())
    if driver not in DRIVERS or driver in NEEDS_COUNT:
        there = listed(one.replace("_", " ") for one in DRIVERS if one not in NEEDS_COUNT)
        raise NotReadError(f"“{found['driver']}” drives nothing; there is {there}.")
    stock = find_stock(found["words"], known, line, _USED_UP)
    if not stock.added:
        raise NotReadError(f"“{stock.role.replace('_', ' ')}” is there already; say in its own row what uses it up.")
    (role,) = stock.added
    assert not isinstance(role.fields, str)
    return Reading((Entry("stock", role.name, {**role.fields, "used_by": driver}),))


_JOINED: Final = re.compile(
    r"(?P<first>.+?)(?: (?P<how>glued|screwed|pegged|dowelled|bolted|nailed|welded|fixed|held))? (?:up |down |in )?"
    r"(?:into|onto|to|on|against|in) (?P<others>.+)",
    re.IGNORECASE,
)
_HELD: Final = (
    r"welded (?P<weld>all round|on (?:the )?(?:two|2) sides|on one side|on 1 side|round)|glued|welded|screwed|pegged"
)
#: What a line may say behind the parts that it joins without a comma: 'rails into legs welded all round'.
_BEHIND: Final = re.compile(rf"(?P<others>.+?) (?P<held>(?:{_HELD}|(?:with|every) .+))", re.IGNORECASE)
_JOINT_ROWS: Final = table((
    (r"welded(?: all)? round|welded", "all_round"), (r"welded on (?:the )?(?:both|2) sides", "two_sides"),
        (r"welded on (?:1|the one) side", "one_side"), (r"(?:welds )?ground(?: flush)?", "ground"),
        (r"glued(?: (?:up|on|in))?(?: with P)?", "glue"), (r"every F", "every"), (r"F apart", "every"),
        (r"ends F || F from (?:the|its|their) ends", "ends"), (r"at least N", "at least"), (r"(?:in )?N rows?", "rows"),
        (r"play F || F of play", "play"), (r"biting lightly|bites lightly", "bites lightly"), (r"N in all", "count"),
        (r"need not touch", "apart"), (r"(?:only )?(?:when|for|with) P", "when"),
))  # fmt: skip
_FASTENED: Final = re.compile(
    r"(?:with |by )?(?:(?P<count>[a-z0-9_. ]+? \* [a-z0-9_. ]+?|\d+) )?(?P<words>.+?)(?: every (?P<every>.+))?",
    re.IGNORECASE,
)


def read_joint(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """The joint that a line says, with its fastening's role; None where it joins nothing.

    Raises NotReadError or AskedError.
    """
    head = _JOINED.fullmatch(pieces[0])
    if head is None:
        return None
    parts = known.entries("parts")
    first = matching(head["first"], parts)
    if not first:
        return None
    held, others = "", head["others"]
    behind = _BEHIND.fullmatch(others)
    if behind is not None and matching(behind["others"].split(" and ")[0], known.standing):
        others, held = behind["others"], behind["held"]
    into = [find(one, known.standing, line) for one in re.split(r" and ", others)]
    how = (head["how"] or "").lower()
    later = [*([how] if how in ("glued", "welded") else ()), *re.split(r" (?=with )", held), *pieces[1:]]
    later = [one for one in later if one]
    while later and len(named := matching(later[0], known.standing)) == 1:
        into.append(named[0])
        del later[0]
    starts = find(head["first"], parts, line)
    added: list[Entry] = []
    groups = read_clauses(later, lambda one: _joint_clause(one, known, line, added), f"how the {head['first']} hold")
    texts = [f"{starts} into {', '.join(into)}", *(one for group in groups for one in group)]
    own = free_name(name_from(f"{starts} into {into[0]}".replace("_", " ")), known.own("joints"))
    fields, problems = entry_of("joints", "; ".join(texts), own)
    if problems:
        raise NotReadError(problems[0].message)
    assert isinstance(fields, dict)
    if not {"with", "glue", "weld"} & fields.keys():
        what = f"the {head['first']}"
        raise NotReadError(f"What holds {what}? Type as 'dowels 8 x 40 every 40', 'glued' or 'welded all round'.")
    spaced = "with" in fields and not {"count", "spacing"} & fields.keys()
    if spaced:
        raise NotReadError("How far apart are they? Type as 'every 150', or how many there are before them.")
    return Reading((*added, Entry("joints", own, fields)))


def _joint_clause(clause: str, known: Known, line: str, added: list[Entry]) -> list[str] | None:
    clause = with_figures(clause)
    found = by_table(clause, _JOINT_ROWS)
    if found is not None and (read := _joint_row(found[0].groupdict(), found[1], known, line, added)) is not None:
        return read
    fastened = _FASTENED.fullmatch(without_article(clause))
    if fastened is not None and (read := _fastened(fastened, known, line, added)) is not None:
        return read
    written = as_written("joints", with_names(clause, known))
    return [written] if written is not None and len(clause.split()) > 1 else None


def _joint_row(
    held: dict[str, str], kind: str, known: Known, line: str, added: list[Entry]
) -> list[str] | None:  # fmt: skip
    text = held.get("f") or held.get("n")
    if kind in ("every", "ends", "at least", "rows", "play", "count"):
        return [f"{kind} {formula(text, known)}"] if text and is_formula(text, known) else None
    match kind:
        case "all_round" | "two_sides" | "one_side":
            return [f"weld {kind}"]
        case "glue":
            return _glue(held.get("p"), known, line, added)
        case "when":
            answer = find_answer(held["p"], known)
            return [f"when {answer}"] if answer else None
        case _:
            return [kind]


def _glue(words: str | None, known: Known, line: str, added: list[Entry]) -> list[str]:
    """Glued with what the line says, else with the one glue there is, which is added where there is none yet."""
    glues = [name for name, one in known.own("stock").items() if "wood_glue" in str(one)]
    if words:
        found = find_stock(words, known, line, (Kind.LIQUID,), added=added)
        added += found.added
        return [f"glue {found.role}"]
    if not glues:
        added += find_stock("wood glue", known, line, (Kind.LIQUID,), wanted="glue", added=added).added
    return ["glue"]


def _fastened(found: re.Match[str], known: Known, line: str, added: list[Entry]) -> list[str] | None:
    """'24 screws 4 x 25', 'dowels 8 x 40 every 40', 'screws': with what, how many or how far apart."""
    words, count = found["words"], found["count"]
    roles = {name: one for name, one in known.entries("stock").items() if one.get("kind") == Kind.FASTENER}
    if not materials_by_words(words, known, (Kind.FASTENER,)) and not matching(words, roles):
        return None
    noun = name_from(re.split(r" (?=M?\d)", without_article(words))[0])
    stock = find_stock(words, known, line, (Kind.FASTENER,), wanted=noun, added=added)
    added += stock.added
    said = [f"with {stock.role}"]
    if count:
        said.append(f"count {formula(count, known)}")
    if found["every"]:
        said.append(f"every {formula(found['every'], known)}")
    return said
