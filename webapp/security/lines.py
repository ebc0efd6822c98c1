"""A line in which work waits for one thread of its own, so that however long it gets, pages are answered by theirs."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Result = TypeVar("Result")


class LineFull(Exception):
    """So many wait already that one more would wait too long."""


class Line:
    """Work done one after another. Whoever waits in it holds neither a thread nor a connection to the store."""

    def __init__(self, name: str, *, longest: int) -> None:
        self._thread = ThreadPoolExecutor(1, name)
        self._longest = longest
        self._waiting = 0

    async def run(self, work: Callable[[], Result]) -> Result:
        """Do the work when its turn comes. Raises LineFull at once, and what the work raises."""
        if self._waiting >= self._longest:
            raise LineFull
        self._waiting += 1
        try:
            return await asyncio.get_running_loop().run_in_executor(self._thread, work)
        finally:
            self._waiting -= 1
