"""What every file of the core keeps: what is public says what it does, examples hold, no number hides in a formula."""

from __future__ import annotations

import ast
import doctest
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import read_expression
from webapp.paths import CHECKOUT

CORE = CHECKOUT / "webapp" / "costing"
FILES = sorted(file for file in CORE.rglob("*.py") if "cutting" not in file.relative_to(CORE).parts)

#: Numbers that are no figure of the trade: none, one and both; and conversions of units: minutes of an hour, hours and
#: days, centimetres and millimetres of a metre, twelfths.
PLAIN = frozenset({"0", "1", "2", "12", "24", "60", "100", "365", "1000"})
NUMERAL = re.compile(r"(?<![\w.^])\d+(?:\.\d+)?")


def test_the_examples_of_the_core_hold() -> None:
    """Each example in a docstring gives what stands beneath it; those of cutting too."""
    finder, tried, wrong = doctest.DocTestFinder(exclude_empty=True), 0, list[str]()
    runner = doctest.DocTestRunner(verbose=False)
    for file in sorted(CORE.rglob("*.py")):
        if ">>> " not in file.read_text(encoding="utf-8"):
            continue
        name = ".".join(file.relative_to(CHECKOUT).with_suffix("").parts)
        for case in finder.find(import_module(name), name):
            outcome = runner.run(case, out=wrong.append)
            tried += outcome.attempted
    assert tried > 60
    assert not wrong, "".join(wrong)


def test_whatever_is_public_in_the_core_says_what_it_is() -> None:
    """Each public class, function and method has a docstring; a bare promise of a protocol says it by its name."""
    silent = [
        f"{_named(file, node.lineno)}: {node.name}"
        for file in FILES
        for node in _public(ast.parse(file.read_text(encoding="utf-8")))
        if ast.get_docstring(node) is None and not _is_promise(node)
    ]
    assert not silent, "\n".join(silent)


def _public(within: ast.Module | ast.ClassDef) -> Iterator[ast.ClassDef | ast.FunctionDef]:
    for node in within.body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _public(node)


def _is_promise(node: ast.ClassDef | ast.FunctionDef) -> bool:
    return len(node.body) == 1 and ast.unparse(node.body[0]) == "..."


def test_no_number_of_the_trade_hides_in_a_formula() -> None:
    """Whatever a shop or a book could say otherwise is an input of the working, so that it opens with its source."""
    seen, hidden = 0, []
    for file in FILES:
        for line, text in _formulas(file):
            seen += 1
            hidden += [f"{_named(file, line)}: {number} in “{text}”" for number in NUMERAL.findall(text)
                       if number not in PLAIN]  # fmt: skip
    assert seen > 100
    assert not hidden, "\n".join(hidden)


def test_no_value_is_written_into_a_formula() -> None:
    """A formula may be put together from names; what has a value goes in as an input."""
    written = [
        f"{_named(file, call.lineno)}: {ast.unparse(part)}"
        for file in FILES
        for call in _calls(file)
        for part in ast.walk(call.args[4])
        if isinstance(part, ast.FormattedValue)
        and not (isinstance(part.value, ast.Name | ast.Call) and ast.unparse(part.value) in OF_NAMES)
    ]
    assert not written, "\n".join(written)


#: What formulas are put together from: names of inputs, and names of rules.
OF_NAMES = frozenset(
    {"names", "edges", "rule", "whole", "', '.join(named)", "', '.join(last)", "' + '.join(runs)", "' + '.join(inputs)"}
)


def _calls(file: Path) -> Iterator[ast.Call]:
    """The places of a file where a figure is derived, each with its formula as the fifth argument."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "derive":
            assert len(node.args) >= 5, _named(file, node.lineno)
            yield node


def _formulas(file: Path) -> Iterator[tuple[int, str]]:
    """The words of each figure a file derives, and each text in it that is a formula with a sign or a function."""
    calls = [*_calls(file)]
    if not calls:
        return
    for call in calls:
        for part in ast.walk(call.args[3]):
            if isinstance(part, ast.Constant) and isinstance(part.value, str):
                yield part.lineno, part.value
    tree = ast.parse(file.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            text = "".join(str(part.value) if isinstance(part, ast.Constant) else "name" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if re.search(r"[*/(+-]", text) and _is_formula(text):
            yield node.lineno, text


def _is_formula(text: str) -> bool:
    try:
        read_expression(text)
    except FormulaError:
        return False
    return True


def _named(file: Path, line: int) -> str:
    return f"{file.relative_to(CHECKOUT)}:{line}"
