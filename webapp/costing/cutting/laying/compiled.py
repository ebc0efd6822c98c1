"""The few innermost loops that are compiled to machine code, when their module is first imported.

A search by ruin and recreate lays pieces some millions of times; compiled it lays twenty times as many in the same
time. Types are given with each function, so that nothing is compiled once a clock runs. Whole numbers throughout, and
the order of floating-point sums is as written: all machines give the same plans.

What was compiled is kept on disk under the contents of all files with loops, since one may call another: after a change
in any of them all are compiled anew. Such a file takes in nothing else of the house, or what is kept would go stale.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final, Literal, ParamSpec, TypeVar, cast

import numba

Takes = ParamSpec("Takes")
Gives = TypeVar("Gives")

CUTTING: Final = Path(__file__).parents[1]
LOOPS: Final = (
    "laying/rows.py", "laying/saw_laying.py", "laying/router_laying.py", "laying/rounds.py",
    "laying/laid_again.py", "bounds/guillotine_table.py",
)  # fmt: skip


def keep_in(folder: Path) -> None:
    """Keep what is compiled from here on in a folder of these contents, and drop what was kept of others."""
    contents = hashlib.sha256()
    for name in LOOPS:
        contents.update((CUTTING / name).read_bytes())
    current = folder / f"loops-{contents.hexdigest()[:16]}"
    current.mkdir(parents=True, exist_ok=True)
    for other in folder.glob("loops-*"):
        if other != current:
            shutil.rmtree(other, ignore_errors=True)
    numba.config.CACHE_DIR = str(current)  # type: ignore[attr-defined]


try:
    keep_in(CUTTING / "__pycache__")
except OSError:
    # The program's own folder is not ours to write; where no folder is, each start compiles anew.
    with suppress(OSError):
        keep_in(Path.home() / ".cache" / "shop-reckoner")


def compiled(types: str, *, inlined: bool = False) -> Callable[[Callable[Takes, Gives]], Callable[Takes, Gives]]:
    """Compile a function for arguments of the given types, written as `result(argument, argument)`.

    What is `inlined` becomes part of the loop that calls it: to hand over tables piece by piece takes its time.
    """
    inline: Literal["always", "never"] = "always" if inlined else "never"

    def compile_it(function: Callable[Takes, Gives]) -> Callable[Takes, Gives]:
        try:
            made = numba.njit(types, cache=True, nogil=True, inline=inline)(function)
        except RuntimeError:
            # No place on this disk may be written: then each start compiles anew.
            made = numba.njit(types, nogil=True, inline=inline)(function)
        return cast("Callable[Takes, Gives]", made)

    return compile_it
