"""How parts hold together, in few words: 'legs into bearers, dowels 8 x 40 every 40, ends 20, glued'."""

from __future__ import annotations

import re
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.few_words.clause_by_clause import as_written, by_table, read_clauses, table
from webapp.costing.few_words.formulas_said import formula, is_formula, with_names
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.named import answers, find, matching
from webapp.costing.few_words.reading import Entry, NotReadError, Reading
from webapp.costing.few_words.stock import find_stock, materials_by_words
from webapp.costing.few_words.words import free_name, name_from, with_figures, without_article

_HEAD: Final = re.compile(r"(?P<first>.+?) (?:up |down |in )?(?:into|onto|to|on|against|in) (?P<others>.+)", re.IGNORECASE)
_HELD: Final = (
    r"welded (?P<weld>all round|on (?:the )?(?:two|2) sides|on one side|on 1 side|round)|glued|welded|screwed|pegged"
)
#: What a line may say behind the parts that it joins without a comma: 'rails into legs welded all round'.
_BEHIND: Final = re.compile(rf"(?P<others>.+?) (?P<held>(?:{_HELD}|with .+))", re.IGNORECASE)
_ROWS: Final = table((
    (r"welded(?: all)? round|welded", "all_round"), (r"welded on (?:the )?(?:both|2) sides", "two_sides"),
        (r"welded on (?:1|the one) side", "one_side"), (r"(?:welds )?ground(?: flush)?", "ground"),
        (r"glued(?: (?:up|on|in))?(?: with P)?", "glue"), (r"every F", "every"), (r"F apart", "every"),
        (r"ends F || F from (?:the|its|their) ends", "ends"), (r"at least N", "at least"), (r"(?:in )?N rows?", "rows"),
        (r"play F || F of play", "play"), (r"biting lightly|bites lightly", "bites lightly"), (r"N in all", "count"),
        (r"need not touch", "apart"), (r"(?:only )?(?:when|for|with) P", "when"),
))  # fmt: skip
_FASTENED: Final = re.compile(
    r"(?:with |by )?(?:(?P<count>[a-z0-9_. ]+? \* [a-z0-9_. ]+?|\d+) )?(?P<words>.+?)(?: every (?P<every>.+))?", re.IGNORECASE
)


def read_joint(line: str, known: Known, pieces: tuple[str, ...], name: str = "") -> Reading | None:
    """The joint that a line says, with its fastening's role; None where it joins nothing. Raises NotReadError, AskedError."""
    head = _HEAD.fullmatch(pieces[0])
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
    later = [*([held] if held else ()), *pieces[1:]]
    while later and len(named := matching(later[0], known.standing)) == 1:
        into.append(named[0])
        del later[0]
    starts = find(head["first"], parts, line)
    added: list[Entry] = []
    groups = read_clauses(later, lambda one: _clause(one, known, line, added), f"how the {head['first']} hold")
    texts = [f"{starts} into {', '.join(into)}", *(one for group in groups for one in group)]
    own = free_name(name or name_from(f"{starts} into {into[0]}".replace("_", " ")), known.own("joints"))
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


def _clause(clause: str, known: Known, line: str, added: list[Entry]) -> list[str] | None:
    clause = with_figures(clause)
    found = by_table(clause, _ROWS)
    if found is not None and (read := _row(found[0].groupdict(), found[1], known, line, added)) is not None:
        return read
    written = as_written("joints", with_names(clause, known))
    if written is not None and len(clause.split()) > 1:
        return [written]
    fastened = _FASTENED.fullmatch(without_article(clause))
    return _fastened(fastened, known, line, added) if fastened is not None else None


def _row(
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
            answer = name_from(held["p"])
            return [f"when {answer}"] if answer in answers(known) else None
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
