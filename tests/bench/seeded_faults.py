"""Single changes in money, take-off and buying, drawn from a seed: does a test catch each?

Run as `python -m tests.bench.seeded_faults`; a hundred take an hour. A change is a sign, a comparison, an 'and' for an
'or', a line dropped or a yes for a no. Each is made in a copy of the checkout and held against the tests of its room,
then against the rest of the core's, then against all but the browser's, stopped at the first failure. It ends with 1
where a change escaped, and tells which.
"""

from __future__ import annotations

import argparse
import ast
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Final

from webapp.paths import CHECKOUT

#: Money, take-off and buying.
ROOMS: Final = (
    "ledger", "catalogue", "takeoff", "takeoff/checks", "items", "plans", "buying", "hours", "extras", "pricing",
)  # fmt: skip
SEED: Final = 8
LEFT_OUT: Final = shutil.ignore_patterns(".git", ".venv", "data", "__pycache__", ".*_cache", ".hypothesis")
SECONDS: Final = 900
COMPARED: Final = {
    ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==", ast.Is: "is not",
    ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in",
}  # fmt: skip
SIGNS: Final = {ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*"}


@dataclass(frozen=True, slots=True)
class Fault:
    """One change: a stretch of a file, and what stands there instead."""

    file: Path
    line: int
    start: int
    end: int
    words: str
    instead: str


def faults_of(file: Path) -> Iterator[Fault]:
    """Every single change that a file offers."""
    text = file.read_text(encoding="utf-8")
    lines = [0]
    for line in text.encode().splitlines(keepends=True):
        lines.append(lines[-1] + len(line))
    raw = text.encode()

    def change(node: ast.expr | ast.stmt, instead: str) -> Fault:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start, end = lines[node.lineno - 1] + node.col_offset, lines[node.end_lineno - 1] + node.end_col_offset
        return Fault(file, node.lineno, start, end, raw[start:end].decode(), instead)

    annotated = _annotations(tree := ast.parse(text))
    for node in ast.walk(tree):
        if node in annotated:
            continue
        if isinstance(node, ast.BinOp) and type(node.op) in SIGNS and not _is_text(node):
            yield change(node, f"({ast.unparse(node.left)}) {SIGNS[type(node.op)]} ({ast.unparse(node.right)})")
        elif isinstance(node, ast.Compare) and len(node.ops) == 1:
            other = COMPARED[type(node.ops[0])]
            yield change(node, f"({ast.unparse(node.left)} {other} {ast.unparse(node.comparators[0])})")
        elif isinstance(node, ast.BoolOp):
            word = " or " if isinstance(node.op, ast.And) else " and "
            yield change(node, "(" + word.join(f"({ast.unparse(one)})" for one in node.values) + ")")
        elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
            yield change(node, str(not node.value))
        elif (isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)) or isinstance(node, ast.AugAssign):
            yield change(node, "pass")


def _annotations(tree: ast.Module) -> set[ast.AST]:
    """What only tells of types or of classes: no estimate goes through it."""
    told = [node.annotation for node in ast.walk(tree) if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation]
    told += [node.returns for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.returns]
    told += [one for node in ast.walk(tree) if isinstance(node, ast.ClassDef) for one in node.decorator_list]
    return {part for one in told for part in ast.walk(one)}


def _is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(one, ast.JoinedStr | ast.List | ast.Tuple)
        or (isinstance(one, ast.Constant) and isinstance(one.value, str))
        for one in sides
    )


def drawn(count: int, seed: int) -> list[Fault]:
    """So many changes, each of another place."""
    every: list[Fault] = []
    for room in ROOMS:
        for file in sorted((CHECKOUT / "webapp" / "costing" / room).glob("*.py")):
            every += sorted(faults_of(file), key=lambda one: (one.start, one.end, one.instead))
    return Random(seed).sample(every, min(count, len(every)))


def caught_by(fault: Fault, copy: Path, processes: str) -> str:
    """The first set of tests that fails with the change, or nothing."""
    there = copy / fault.file.relative_to(CHECKOUT)
    whole = fault.file.read_bytes()
    there.write_bytes(whole[: fault.start] + fault.instead.encode() + whole[fault.end :])
    room = fault.file.relative_to(CHECKOUT / "webapp" / "costing").parts[0]
    try:
        for name, asked in (
            ("the room", [f"tests/costing/{room}"]),
            ("the core", ["tests/costing", "tests/reference"]),
            ("the rest", ["tests", "--ignore=tests/browser", "--ignore=tests/architecture", "--ignore=tests/costing"]),
        ):
            if not (copy / asked[0]).is_dir():
                continue
            command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", processes, "-p", "no:cacheprovider", *asked]
            try:
                ended = subprocess.run(command, cwd=copy, capture_output=True, timeout=SECONDS, check=False)
            except subprocess.TimeoutExpired:
                return f"{name}, which did not end"
            if ended.returncode != 0:
                return name
    finally:
        there.write_bytes(whole)
    return ""


def main() -> int:
    """Make each change in a copy and tell what caught it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--processes", default="2")
    asked = parser.parse_args()
    escaped = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        shutil.copytree(CHECKOUT, copy, ignore=LEFT_OUT)
        faults = drawn(asked.count, asked.seed)
        for number, fault in enumerate(faults, 1):
            by = caught_by(fault, copy, asked.processes)
            escaped += not by
            place, words = f"{fault.file.relative_to(CHECKOUT)}:{fault.line}", " ".join(fault.words.split())
            print(f"{number:3} {place}: {words[:60]!r} -> {fault.instead[:60]!r}: {by or 'ESCAPED'}", flush=True)
    print(f"{len(faults) - escaped} of {len(faults)} caught")
    return int(bool(escaped))


if __name__ == "__main__":
    sys.exit(main())
