"""Values that nothing holds any more are looked for while nobody waits, not in the middle of somebody's key press.

Python begins a whole round over everything that is held in memory whenever enough was made: that is while a page is
worked out, and in a shop that has been open for a while a round takes some tenths of a second. Here rounds are made
once nobody has asked for anything for a moment. What has outlasted one is set aside, so that the next looks at what is
new alone; all of it is looked through once nobody has asked for a minute, and every ten minutes in a shorter rest.
"""

from __future__ import annotations

import asyncio
import gc
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Final

from starlette.types import ASGIApp, Receive, Scope, Send

#: Young values are looked at after so many were made; the middle round after twenty of those. The last figure keeps
#: whole rounds from happening in a request, unless nobody leaves the shop alone for a very long time.
BETWEEN_ROUNDS: Final = (20_000, 20, 50)
MOMENT: Final = 1.0
"""Seconds without a request after which a round may begin: longer than a hand rests between two keys."""
LONG_WHILE: Final = 60.0
#: A page that asks by itself now and then never leaves a long while: this long a rest does after so many seconds.
SHORT_WHILE: Final = 5.0
AT_LATEST: Final = 600.0
LOOK_EVERY: Final = 0.5


class Quiet:
    """Knows whether somebody waits, and makes the rounds when nobody does."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self.waiting = 0
        self.last_asked = self.last_whole = clock()
        self._asked_since_round = self._asked_since_whole = True

    def begin(self) -> None:
        """Somebody asks for something."""
        self.waiting += 1
        self._asked_since_round = self._asked_since_whole = True

    def end(self) -> None:
        """It was answered."""
        self.waiting -= 1
        self.last_asked = self.clock()

    def look(self) -> bool:
        """Make the round that is due, if any; whether one was made."""
        rested = self.clock() - self.last_asked
        if self.waiting or not self._asked_since_whole or rested < MOMENT:
            return False
        overdue = self.clock() - self.last_whole >= AT_LATEST and rested >= SHORT_WHILE
        if rested >= LONG_WHILE or overdue:
            gc.unfreeze()
            self.last_whole = self.clock()
            self._asked_since_whole = False
        elif not self._asked_since_round:
            return False
        self._asked_since_round = False
        gc.collect()
        gc.freeze()
        return True

    @asynccontextmanager
    async def rounds(self) -> AsyncIterator[None]:
        """While the program runs, rounds are made here; afterwards Python makes its own again."""
        usual = gc.get_threshold()
        gc.set_threshold(*BETWEEN_ROUNDS)
        looking = asyncio.create_task(self._keep_looking())
        try:
            yield
        finally:
            looking.cancel()
            gc.unfreeze()
            gc.set_threshold(*usual)

    async def _keep_looking(self) -> None:
        while True:
            await asyncio.sleep(LOOK_EVERY)
            self.look()


class CountedRequests:
    """Tells of each request when it comes and when it is answered."""

    def __init__(self, app: ASGIApp, quiet: Quiet) -> None:
        self.app = app
        self.quiet = quiet

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        self.quiet.begin()
        try:
            await self.app(scope, receive, send)
        finally:
            self.quiet.end()
