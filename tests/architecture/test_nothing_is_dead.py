"""What stands at the head of a module is named somewhere in the program, or has a reason here why it is not."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from webapp.paths import CHECKOUT, TEMPLATES

WEBAPP: Final = CHECKOUT / "webapp"

#: What nothing in the program names though it is wanted.
WANTED: Final = {
    "moved_between": "what a setting moved: how tests hold every setting to what it says it moves",
    "with_what_follows": "what a setting moves, with what hangs on that: for the same tests",
    "rework": "a figure worked out anew from its formula: how tests hold the working to what it says",
    "MIGRATIONS": "where the migrations stand; the migrations tool reads its own settings",
    "WITH_TABLES": "the modules that are imported so that the tables are whole",
    "__all__": "what a module passes on",
    "turn_of_rise": "how parts are turned by a rise in a run",
    "length_along": "how long what slopes is, rounded once",
    "swept_free": "whether a drawer has its way",
}

#: Published sums that tests/reference holds to their rows and that no figure is worked out by. One that a check calls
#: goes from here.
_ROWS: Final = """
    bend_deduction flat_length
    left_between net_section of_test_cuts
    greatest_moment greatest_sag out_of_flat slope_at_ends
    outside_rating
    duration_of lifts_a_minute
    LAG_IN_END_GRAIN LAG_ULTIMATE NAIL_ULTIMATE SCREW_ULTIMATE lag_withdrawal nail_withdrawal screw_withdrawal
    outside_moisture play_needed play_of_button play_of_slot
    OF_EVEN_LOAD_CANTILEVER OF_EVEN_LOAD_FIXED OF_POINT_LOAD_CANTILEVER OF_POINT_LOAD_FIXED
    SHEAR_OF_EVEN_LOAD_CANTILEVER SHEAR_OF_POINT_LOAD SHEAR_OF_POINT_LOAD_CANTILEVER
    clear_width headroom_upright
"""
HELD_TO_THEIR_ROWS: Final = frozenset(_ROWS.split())

#: (name, first line, last line) of a definition.
Defined = tuple[str, int, int]


def defined_in(tree: ast.Module) -> Iterator[Defined]:
    """Functions, classes and names at the head of a module; a page's function is called by its route."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            if not any(".router." in f".{ast.unparse(one)}" for one in node.decorator_list):
                yield node.name, node.lineno, node.end_lineno or node.lineno
        elif isinstance(node, ast.ClassDef):
            yield node.name, node.lineno, node.end_lineno or node.lineno
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            for target in node.targets if isinstance(node, ast.Assign) else [node.target]:
                if isinstance(target, ast.Name):
                    yield target.id, node.lineno, node.end_lineno or node.lineno


def named_in(tree: ast.Module) -> Iterator[tuple[str, int]]:
    """Every name that is used, with its line. That something is imported is no use yet, unless under another name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id, node.lineno
        elif isinstance(node, ast.Attribute):
            yield node.attr, node.lineno
        elif isinstance(node, ast.ImportFrom):
            yield from ((one.name, node.lineno) for one in node.names if one.asname is not None)


def dead_in(texts: dict[str, str], beside: str = "") -> set[tuple[str, str]]:
    """What no file of all these, by path, names outside its own definition; `beside` is text that names things too."""
    trees = {path: ast.parse(text) for path, text in texts.items()}
    named: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for path, tree in trees.items():
        for name, line in named_in(tree):
            named[name].append((path, line))
    elsewhere = set(re.findall(r"\w+", beside))
    return {
        (path, name)
        for path, tree in trees.items()
        for name, first, last in defined_in(tree)
        if name not in elsewhere and all(file == path and first <= line <= last for file, line in named[name])
    }


def _text(file: Path) -> str:
    return file.read_text(encoding="utf-8")


def test_nothing_stands_in_the_program_that_nothing_names() -> None:
    texts = {str(file.relative_to(CHECKOUT)): _text(file) for file in sorted(WEBAPP.rglob("*.py"))}
    beside = " ".join([*(_text(file) for file in TEMPLATES.rglob("*.html")), _text(CHECKOUT / "pyproject.toml")])
    dead = {(path, name) for path, name in dead_in(texts, beside) if name not in WANTED.keys() | HELD_TO_THEIR_ROWS}
    assert not dead, "\n".join(f"{path}: nothing names {name}" for path, name in sorted(dead))


def test_no_reason_is_left_over() -> None:
    texts = {str(file.relative_to(CHECKOUT)): _text(file) for file in sorted(WEBAPP.rglob("*.py"))}
    wanted = WANTED.keys() | HELD_TO_THEIR_ROWS
    assert wanted == {name for _, name in dead_in(texts) if name in wanted}


def test_what_is_dead_is_seen() -> None:
    texts = {
        "a.py": "def used(): ...\ndef dead(): dead()\nclass Alone: ...\nKEPT = 1\nLOST = 2\n"
        "@router.get('/')\ndef page(): ...\n",
        "b.py": "from a import used, Alone\nfrom a import other as alias\nprint(used(), KEPT)\n",
    }
    assert dead_in(texts) == {("a.py", "dead"), ("a.py", "Alone"), ("a.py", "LOST")}
    assert dead_in(texts, "{{ dead }} {{ Alone }}") == {("a.py", "LOST")}
