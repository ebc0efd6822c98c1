"""Which room may import which: what keeps the sums free of the web, the store, files and the clock."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from webapp.paths import CHECKOUT

WEBAPP = CHECKOUT / "webapp"
STANDARD = frozenset(sys.stdlib_module_names)

# Clocks, files, the network, other processes and chance: none of them in the pure core, though the standard library
# has them. Seeded randomness and a deadline are the solvers' own.
NEVER_IN_THE_CORE = frozenset(
    {"asyncio", "http", "io", "logging", "multiprocessing", "os", "pathlib", "random", "secrets", "shutil", "socket"}
    | {"sqlite3", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid", "zoneinfo"}
)
CORE_SOLVERS = frozenset({"numba", "numpy", "highspy", "random", "time"})
# The draws of a job's range are many numbers at once, from a generator of our own.
RISK_DRAWS, RISK_FILES = frozenset({"numpy"}), frozenset({"risk.py", "risk_draws.py"})

# A formula's tree is checked node by node against a short list before it is compiled and evaluated.
FORMULA_READERS = frozenset({"arithmetic.py", "formulas.py"})

# Room -> rooms of ours, and packages from outside, that it may import. A room is a folder or a file of webapp/.
ROOMS: dict[str, tuple[frozenset[str], frozenset[str]]] = {
    name: (frozenset(ours.split()), frozenset(outside.split()))
    for name, ours, outside in [
        ("costing", "", ""),
        ("drawing", "costing", "ezdxf"),
        ("units", "costing", "pint"),
        ("showing", "costing units", ""),
        ("paths", "", ""),
        ("settings", "", "pydantic pydantic_settings"),
        ("persistence", "costing paths", "sqlalchemy alembic psycopg"),
        ("design_text", "costing units", "yaml"),
        ("seed", "costing design_text paths units", "yaml"),
        ("estimating", "costing persistence", "sqlalchemy"),
        ("standing", "costing estimating persistence", "sqlalchemy"),
        ("price_import", "costing persistence", "sqlalchemy"),
        ("assets", "paths", "starlette"),
        ("running", "persistence settings", "starlette"),
        ("security", "persistence running settings", "fastapi starlette argon2"),
        (
            "rendering",
            "assets costing paths persistence running security showing units",
            "fastapi starlette jinja2 markupsafe",
        ),
        ("documents", "assets costing drawing paths persistence rendering showing units", "weasyprint babel"),
        ("job_file", "costing design_text estimating persistence running seed settings units", "yaml"),
        ("plan_worker", "costing persistence running", "sqlalchemy"),
        ("plan_workers", "plan_worker settings", ""),
        ("demo_jobs", "costing persistence", ""),
        ("demo", "costing demo_jobs documents estimating persistence running seed", "sqlalchemy"),
        ("example_job", "costing seed", ""),
        ("starters", "costing persistence seed", "sqlalchemy"),
        ("opening", "demo documents persistence running security settings", "sqlalchemy"),
        (
            "pages",
            "assets costing design_text documents drawing estimating opening paths persistence"
            " price_import rendering running example_job security settings showing standing starters units",
            "fastapi starlette sqlalchemy babel yaml",
        ),
    ]
}
EVERYTHING = frozenset({"app", "cli", "commands"})
ALONE = frozenset({"bootstrap"})


def imports_of(file: Path) -> Iterator[str]:
    """Every module a file imports, inside functions too."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file} imports by a relative name"
            assert node.module is not None
            if node.module == "webapp":
                yield from (f"webapp.{name.name}" for name in node.names)
            else:
                yield node.module


def room_of(file: Path) -> str:
    return file.relative_to(WEBAPP).parts[0].removesuffix(".py")


FILES = sorted(file for file in WEBAPP.rglob("*.py") if file != WEBAPP / "__init__.py")


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(WEBAPP)))
def test_imports_stay_within_the_table(file: Path) -> None:
    room, wrong = room_of(file), list[str]()
    for module in imports_of(file):
        head, _, rest = module.partition(".")
        if head == "webapp":
            other = rest.partition(".")[0]
            allowed = other == room or other in _ours(room)
        elif room == "costing" and head in NEVER_IN_THE_CORE:
            allowed = head in _outside(file, room)
        else:
            allowed = head in STANDARD or head in _outside(file, room)
        if not allowed and room not in EVERYTHING:
            wrong.append(module)
    assert not wrong, f"webapp/{file.relative_to(WEBAPP)} may not import {', '.join(wrong)}"


def _outside(file: Path, room: str) -> frozenset[str]:
    if room in ALONE:
        return frozenset()
    if room == "costing":
        if file.is_relative_to(WEBAPP / "costing" / "cutting"):
            return CORE_SOLVERS
        return RISK_DRAWS if file.parent == WEBAPP / "costing" and file.name in RISK_FILES else frozenset()
    return ROOMS.get(room, (frozenset(), frozenset()))[1]


def _ours(room: str) -> frozenset[str]:
    return ROOMS.get(room, (frozenset(), frozenset()))[0]


def test_every_room_is_in_the_table() -> None:
    rooms = {room_of(file) for file in FILES}
    assert rooms <= set(ROOMS) | EVERYTHING | ALONE, "add the new room to the table, and say there what it may import"


def test_the_core_opens_no_file_and_asks_no_clock() -> None:
    wrong = []
    for file in FILES:
        if room_of(file) != "costing":
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                evaluates = called == "eval" and file.name not in FORMULA_READERS
                if evaluates or called in {"open", "print", "input", "exec"}:
                    wrong.append(f"{file.name}:{node.lineno} {called}")
                if called.endswith((".now", ".today", ".utcnow")):
                    wrong.append(f"{file.name}:{node.lineno} {called}")
    assert not wrong, wrong


def test_what_is_compiled_is_kept_as_long_as_its_file_alone_is_what_it_was() -> None:
    """Compiled code is kept under its own file's date: a number or a loop from another file would go stale in it."""
    compiled = [file for file in FILES if "@compiled(" in file.read_text(encoding="utf-8")]
    assert len(compiled) >= 2
    for file in compiled:
        ours = set(re.findall(r"^from (webapp\S*)", file.read_text(encoding="utf-8"), re.MULTILINE))
        assert ours == {"webapp.costing.cutting.compiled"}, f"{file.name} takes in more of the house"
