"""What is said to people: words that were taken out stay out, and a word of one trade is said in the shop's set."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from webapp.costing.measures.trade_words import TERMS
from webapp.paths import CHECKOUT

#: What stood on pages and papers and jarred at the bench, each with what is said now.
RETIRED = {
    r"unlike the usual": "changed from standard",
    r"\bdeeds?\b": "history",
    r"as the shop sets": "shop default",
    r"or not as typed": "not in the total",
    r"proved least|found at once|waits? its turn|waiting its turn": "proved cheapest, first plan, queued",
    r"within 100 %": "no bound yet",
    r"\brides on\b": "value affected",
    r"otherwise than|works? it out otherwise|saved (the job )?otherwise|come otherwise": "differently, or what differs",
    r"^That are$|^In order$": "status, sort",
    r"\bfree lines?\b|^For whom$|^What is made$": "added lines, customer, items",
    r"\btake (it )?out\b|write it down|say it was accepted": "remove, record, mark accepted",
    r"all as they came": "all at default",
    r"word of consent": "approval",
    r"router by numbers": "CNC router",
    r"\bsingly\b|grain runs? on|grain running on": "separate, grain-matched",
    r"tallest (or widest )?(thing|seat)": "clear height",
    r"flat under the head": "pan or washer head",
    r"can't be, here|here can't be|is nothing; (it|a price)": "must be above zero",
    r"binds nobody": "a budget price, not an offer",
    r"standing quotes|quotes that stand|\bstands? until\b|would stand\b": "open quotes, valid until",
    r"\bby telephone\b": "on the telephone",
    r"\b(mass|masses) (of|along|x)\b": "weight",
    r"\bout of sense\b": "out of range",
    r"\(invented\)": "said once, in the banner and in the title block",
}
#: Names in the store and in code that are no words for people.
KEPT_NAMES = {"webapp/persistence/foundation/audit.py": {"deeds"}}
#: Where terms stand in the British set and are said in the shop's by whatever shows them: tables of words.
TABLES = frozenset({
    "webapp/costing/catalogue/kinds.py", "webapp/costing/catalogue/tags.py",
    "webapp/costing/design_form/tables/form_tables.py",
    "webapp/costing/estimate/comparison.py", "webapp/costing/made_before/stages.py",
    "webapp/costing/measures/trade_words.py",
    "webapp/costing/settings/extras.py", "webapp/costing/settings/moves.py", "webapp/costing/settings/operations.py",
    "webapp/costing/settings/table.py", "webapp/costing/designs/drivers.py", "webapp/demo_jobs.py",
    "webapp/documents/workshop/cautions.py", "webapp/pages/shown/figures.py",
})  # fmt: skip
#: What reads people's own words has to know both sets, and so has the choice between them.
READS = frozenset({
    "webapp/costing/design_lines/table.py",
    "webapp/costing/estimate/left_out.py", "webapp/pages/settings/shop_fields.py", "webapp/pictures/bench/thing.py",
})  # fmt: skip
#: Names in a template, and what goes through the filter; formulas.
NO_WORDS = re.compile(r"'[^']*' \| trade|'[a-z_]+'|\w[\w.]*\.\w+")
FORMULA = re.compile(r"\w+\([\w, *]+\)")
#: A word that both trades have, in whatever sense, is nobody's.
BOTH = frozenset({"board", "planer", "jointer and planer"})


def test_no_word_that_was_taken_out_is_said_again() -> None:
    found = [
        f"{where}:{line}: “{text.strip()[:90]}”: say {better}"
        for where, line, text in _said()
        for pattern, better in RETIRED.items()
        if re.search(pattern, text, re.IGNORECASE) and text not in KEPT_NAMES.get(where, ())
    ]
    assert not found, "\n".join(found)


def test_a_word_of_one_trade_is_said_through_the_table() -> None:
    """Outside the tables of words, what holds a term of either set goes through `in_trade_words` or the filter."""
    terms = {form for pair in TERMS for term in pair for form in _forms(term)} - BOTH - {f"{word}s" for word in BOTH}
    sought = re.compile(rf"(?<![\w-])(?:{'|'.join(sorted(map(re.escape, terms), key=len)[::-1])})(?![\w-])", re.I)
    found = [
        f"{where}:{line}: “{text.strip()[:90]}”"
        for where, line, text in (*_said_outside(), *_templates(filtered=True))
        if where not in TABLES | READS and " " in text.strip() and sought.search(text) and not FORMULA.fullmatch(text)
    ]
    assert not found, "\n".join(found)


def test_what_is_looked_for_would_be_found() -> None:
    """The walk sees pages, sentences, seed data and the pages on the program, and enough of each."""
    seen = [where for where, _, _ in _said()]
    for begin, least in (("templates/", 1500), ("webapp/costing/", 3000), ("webapp/pages/", 2000), ("seed_data/", 900)):
        assert sum(where.startswith(begin) for where in seen) > least, begin
    assert {"README.md", "DEVELOPERS.md"} <= set(seen)


def _forms(term: str) -> Iterator[str]:
    one, _, several = term.partition("|")
    yield from (one, several or f"{one}s")


def _said() -> Iterator[tuple[str, int, str]]:
    """Everything that may be read by people: (file, line, text)."""
    for file in _python():
        for line, text, _ in _strings(file):
            yield _named(file), line, text
    yield from _templates()
    for file in (*CHECKOUT.glob("seed_data/**/*.*"), CHECKOUT / "README.md", CHECKOUT / "DEVELOPERS.md"):
        for number, text in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
            yield _named(file), number, text


def _said_outside() -> Iterator[tuple[str, int, str]]:
    """Texts in the code that don't go through the table of trade words."""
    for file in _python():
        for line, text, through in _strings(file):
            if not through:
                yield _named(file), line, text


def _templates(*, filtered: bool = False) -> Iterator[tuple[str, int, str]]:
    for file in sorted(CHECKOUT.glob("templates/**/*.html")):
        bare = re.sub(r"\{#.*?#\}", lambda one: "\n" * one[0].count("\n"), file.read_text(encoding="utf-8"), flags=re.S)
        for number, text in enumerate(bare.splitlines(), 1):
            yield _named(file), number, NO_WORDS.sub("", text) if filtered else text


def _python() -> list[Path]:
    return sorted(CHECKOUT.glob("webapp/**/*.py"))


def _strings(file: Path) -> Iterator[tuple[int, str, bool]]:
    """Each text in a file that is no docstring, by its line, and whether it goes through the table of trade words."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    through = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        and node.func.id in {"in_trade_words", "said_in_either"}
        for part in ast.walk(node)
    }  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value, id(node) in through


def _named(file: Path) -> str:
    return file.relative_to(CHECKOUT).as_posix()
