"""Single changes in money, take-off and buying, drawn from a seed: does a test catch each?

Run as `python -m tests.bench.seeded_faults`; a hundred take an hour. A change is a sign, a comparison, an 'and' for an
'or', a line dropped or a yes for a no. Each is made in a copy of the checkout. The core's tests run there once, with
what each passes over written down; a change is then held against those that pass over its lines, the quickest first,
stopped at the first failure; one that only counts while modules are imported against the tests of its room. What
escapes is held against all other tests but the browser's. It ends with 1 where a change escaped, and tells which.
"""

from __future__ import annotations

import argparse
import ast
import re
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Final

from coverage import CoverageData

from webapp.paths import CHECKOUT

#: Money, take-off and buying.
ROOMS: Final = (
    "ledger", "catalogue", "takeoff", "takeoff/checks", "items", "plans", "buying", "hours", "extras", "job_price",
)  # fmt: skip
SEED: Final = 8
LEFT_OUT: Final = shutil.ignore_patterns(".git", ".venv", "data", "__pycache__", ".*_cache", ".hypothesis")
CORE: Final = ("tests/costing", "tests/reference", "--ignore=tests/costing/cutting")
LEFT_FOR_LAST: Final = (
    "--ignore=tests/browser", "--ignore=tests/architecture", "--ignore=tests/costing", "--ignore=tests/reference",
)  # fmt: skip
FEW, MORE = 40, 340
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


class Tests:
    """The tests of a copy of the checkout, and which of the core's pass over which lines."""

    def __init__(self, copy: Path, processes: str) -> None:
        self.copy = copy
        self.processes = processes
        told = self.run(
            *CORE, "--cov=webapp/costing", "--cov-context=test", "--cov-report=", "--durations=0",
            "--durations-min=0.005", "-n", processes, stop=False,
        )  # fmt: skip
        if told.returncode != 0:
            raise SystemExit(f"the tests fail without any change:\n{told.stdout[-2000:]}")
        self.seconds = defaultdict[str, float](float)
        for took, name in re.findall(r"^([\d.]+)s (?:setup|call) +(\S.*)$", told.stdout, re.MULTILINE):
            self.seconds[name] += float(took)
        self.covered = CoverageData(str(copy / ".coverage"))
        self.covered.read()

    def run(self, *asked: str, stop: bool = True) -> subprocess.CompletedProcess[str]:
        """Run some tests in the copy."""
        command = [sys.executable, "-m", "pytest", "-q", *(["-x"] if stop else []), "-p", "no:cacheprovider", *asked]
        return subprocess.run(command, cwd=self.copy, capture_output=True, text=True, check=False)

    def over(self, fault: Fault) -> list[str]:
        """The tests that pass over the statement of a change, the quickest first; for what is imported, its room's."""
        tree = ast.parse(fault.file.read_text(encoding="utf-8"))
        first, last = min(
            (
                (node.lineno, node.end_lineno or node.lineno)
                for node in ast.walk(tree)
                if isinstance(node, ast.stmt) and node.lineno <= fault.line <= (node.end_lineno or node.lineno)
            ),
            key=lambda lines: lines[1] - lines[0],
        )
        by_line = self.covered.contexts_by_lineno(str(self.copy / fault.file.relative_to(CHECKOUT)))
        names = {context.rpartition("|")[0] for line in range(first, last + 1) for context in by_line.get(line, ())}
        names.discard("")
        if not names:
            room = fault.file.relative_to(CHECKOUT / "webapp" / "costing").parts[0]
            return [f"tests/costing/{room}"] if (self.copy / "tests" / "costing" / room).is_dir() else list(CORE)
        return sorted(names, key=lambda name: self.seconds[name])

    def catching(self, fault: Fault) -> str:
        """The first set of tests that fails with the change, or nothing."""
        there = self.copy / fault.file.relative_to(CHECKOUT)
        whole = fault.file.read_bytes()
        there.write_bytes(whole[: fault.start] + fault.instead.encode() + whole[fault.end :])
        try:
            names = self.over(fault)
            for start, end in ((0, FEW), (FEW, MORE), (MORE, len(names))):
                if names[start:end] and self.run(*names[start:end]).returncode != 0:
                    return f"{start + 1} to {min(end, len(names))} of {len(names)} that pass over it"
            if self.run("tests", *LEFT_FOR_LAST, "-n", self.processes).returncode != 0:
                return "the rest"
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
        tests = Tests(copy, asked.processes)
        faults = drawn(asked.count, asked.seed)
        for number, fault in enumerate(faults, 1):
            by = tests.catching(fault)
            escaped += not by
            place, words = f"{fault.file.relative_to(CHECKOUT)}:{fault.line}", " ".join(fault.words.split())
            print(f"{number:3} {place}: {words[:60]!r} -> {fault.instead[:60]!r}: {by or 'ESCAPED'}", flush=True)
    print(f"{len(faults) - escaped} of {len(faults)} caught")
    return int(bool(escaped))


if __name__ == "__main__":
    sys.exit(main())
