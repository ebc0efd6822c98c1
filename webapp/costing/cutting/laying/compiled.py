"""The few innermost loops that are compiled to machine code, when their module is first imported.

A search by ruin and recreate lays pieces some millions of times; compiled it lays twenty times as many in the same
time. Types are given with each function, so that nothing is compiled once a clock runs, and what was compiled is kept
on disk for as long as its own file stays as it is: a file with compiled code takes in nothing else of the house, or
what is kept would go stale. Whole numbers throughout, and the order of floating-point sums is as written: all machines
give the same plans.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba

Takes = ParamSpec("Takes")
Gives = TypeVar("Gives")


def compiled(types: str) -> Callable[[Callable[Takes, Gives]], Callable[Takes, Gives]]:
    """Compile a function for arguments of the given types, written as `result(argument, argument)`."""

    def compile_it(function: Callable[Takes, Gives]) -> Callable[Takes, Gives]:
        try:
            made = numba.njit(types, cache=True, nogil=True)(function)
        except RuntimeError:
            # No place on this disk may be written: then each start compiles anew.
            made = numba.njit(types, nogil=True)(function)
        return cast("Callable[Takes, Gives]", made)

    return compile_it
