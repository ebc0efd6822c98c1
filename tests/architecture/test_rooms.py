"""Which room may import which: what keeps the sums free of the web, the store, files and the clock."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.architecture.house import ALONE, EVERYTHING, ROOMS, drawing
from webapp.costing.cutting.laying.compiled import CUTTING, LOOPS
from webapp.paths import CHECKOUT

WEBAPP = CHECKOUT / "webapp"
STANDARD = frozenset(sys.stdlib_module_names)
MOST_FILES = 15

# Clocks, files, the network, other processes and chance: none of them in the pure core, though the standard library
# has them. Seeded randomness and a deadline are the solvers' own;
# the cases of a sweep are drawn from a seed too, as its row in the table says.
NEVER_IN_THE_CORE = frozenset(
    {"asyncio", "http", "io", "logging", "multiprocessing", "os", "pathlib", "random", "secrets", "shutil", "socket"}
    | {"sqlite3", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid", "zoneinfo"}
)
# The searches are seeded, and a deadline may stop them.
SEARCHES = frozenset({"random", "time"})
# What is compiled is kept on disk.
COMPILER = frozenset({"pathlib", "shutil"})
# A formula's tree is checked node by node against a short list before it is compiled and evaluated.
FORMULA_READERS = frozenset({"formula.py", "formulas.py"})

FILES = sorted(file for file in WEBAPP.rglob("*.py") if file != WEBAPP / "__init__.py")


def imports_of(file: Path) -> Iterator[tuple[int, str, str]]:
    """Every line that imports, the module, and the room of ours that it is in ('' for others); inside functions too."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, name.name, _of_ours(name.name)) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file} imports by a relative name"
            assert node.module is not None
            # What is named may be a file of the room or something in the file.
            for module in {f"{node.module}.{name.name}" for name in node.names}:
                yield node.lineno, module, _of_ours(module)


def _of_ours(module: str) -> str:
    """The room that a module, or a name in one, belongs to."""
    path = WEBAPP.parent
    room = list[str]()
    for part in module.split("."):
        if not (path / part).is_dir():
            break
        path, room = path / part, [*room, part]
    if not room:
        return ""
    file = module.split(".")[len(room) :]
    return ".".join(room[1:]) or (file[0] if file else "")


def room_of(file: Path) -> str:
    """The folder of a file with full stops; a file at the top is a room of its own."""
    parts = file.relative_to(WEBAPP).with_suffix("").parts
    return ".".join(parts[:-1]) or parts[0]


def test_imports_stay_within_the_table() -> None:
    wrong = []
    for file in FILES:
        name = room_of(file)
        if name in EVERYTHING:
            continue
        room = ROOMS.get(name)
        for line, module, ours in imports_of(file):
            head = module.partition(".")[0]
            if head == "webapp":
                allowed = ours == name or (room is not None and ours in room.ours)
            else:
                allowed = _from_outside(name, head)
            if not allowed:
                told = "nothing but the standard library" if room is None else room.words or "nothing of ours"
                wrong.append(f"webapp/{file.relative_to(WEBAPP)}:{line} imports {module}; {name} may import {told}")
    assert not wrong, "\n".join(wrong)


def _from_outside(name: str, package: str) -> bool:
    outside = ROOMS[name].outside if name in ROOMS else frozenset[str]()
    if package in outside:
        return True
    if name.partition(".")[0] == "costing" and package in NEVER_IN_THE_CORE:
        return name.startswith("costing.cutting") and package in SEARCHES | COMPILER
    return package in STANDARD


def test_every_room_is_in_the_table() -> None:
    rooms = {room_of(file) for file in FILES}
    assert rooms == set(ROOMS) | EVERYTHING | ALONE, "add the new room to the table, and say there what it may import"


def test_no_room_imports_one_that_stands_after_it() -> None:
    """So there is no circle between rooms at any depth."""
    order = {name: place for place, name in enumerate(ROOMS)}
    wrong = [
        f"{room.name} may import {other}, which stands after it"
        for room in ROOMS.values()
        for other in room.ours
        if other not in order or order[other] >= order[room.name]
    ]
    assert not wrong, "\n".join(wrong)


def test_no_permission_is_left_over() -> None:
    """A room of the core or of the store may import what it does import: a word of the table that nobody needs goes."""
    used: dict[str, set[str]] = {}
    for file in FILES:
        used.setdefault(room_of(file), set()).update(ours for _, _, ours in imports_of(file) if ours)
    spare = {
        room.name: " ".join(sorted(room.ours - used.get(room.name, set())))
        for room in ROOMS.values()
        if room.name.startswith(("costing", "persistence")) and room.ours - used.get(room.name, set())
    }
    assert not spare


def test_folders_hold_about_a_dozen_files() -> None:
    counted = Counter(room_of(file) for file in FILES if file.name != "__init__.py")
    most = {room: count for room, count in counted.items() if count > MOST_FILES}
    assert not most, f"more than {MOST_FILES} files are two rooms: {most}"


def test_the_drawing_is_made_from_the_table() -> None:
    text = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert drawing() in text, "run `python -m tests.architecture.house`"


def test_estimates_are_read_without_the_solvers() -> None:
    """What only reads, shows or keeps an estimate does not wait for what is compiled."""
    told = "import sys, webapp.costing.estimate.form, webapp.costing.jobs.schema; print(*sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", told], check=True, capture_output=True, text=True).stdout.split()
    assert "webapp.costing.estimate.estimate" in loaded
    assert not {"numba", "highspy", "webapp.costing.cutting.sheets"} & set(loaded)


def test_the_core_opens_no_file_and_asks_no_clock() -> None:
    wrong = []
    for file in FILES:
        if room_of(file).partition(".")[0] != "costing":
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


def test_what_is_compiled_is_kept_under_the_contents_of_all_that_goes_into_it() -> None:
    """A number or a loop from a file that the digest does not know would go stale in what is kept on disk."""
    loops = {CUTTING / name for name in LOOPS}
    compiled = {file for file in FILES if "@compiled(" in file.read_text(encoding="utf-8")}
    assert compiled <= loops
    taken = {f"webapp.costing.cutting.{name.removesuffix('.py').replace('/', '.')}" for name in LOOPS}
    for file in loops:
        ours = set(re.findall(r"^from (webapp\S*)", file.read_text(encoding="utf-8"), re.MULTILINE))
        assert ours <= taken | {"webapp.costing.cutting.laying.compiled"}, f"{file.name} takes in more of the house"
