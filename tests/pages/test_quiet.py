"""Whole rounds of Python's collector happen while nobody waits, and find what was set aside before."""

from __future__ import annotations

import asyncio
import gc
import weakref
from collections.abc import Iterator
from contextlib import nullcontext

import pytest
from starlette.types import Message, Receive, Scope, Send

from webapp.quiet import AT_LATEST, BETWEEN_ROUNDS, LONG_WHILE, MOMENT, CountedRequests, Quiet


class Ring:
    """Holds itself: only the collector finds that nobody else does."""

    def __init__(self) -> None:
        self.itself = self


class Clock:
    """A clock that goes on as it is told."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Iterator[Clock]:
    usual = gc.get_threshold()
    gc.disable()
    yield Clock()
    gc.enable()
    gc.unfreeze()
    gc.set_threshold(*usual)


def let_go() -> weakref.ref[Ring]:
    return weakref.ref(Ring())


def test_a_round_waits_until_all_were_answered_and_a_moment_has_gone(clock: Clock) -> None:
    quiet, ring = Quiet(clock), let_go()
    quiet.begin()
    quiet.begin()
    clock.now += 2 * MOMENT
    assert not quiet.look()
    quiet.end()
    clock.now += 2 * MOMENT
    assert not quiet.look()
    quiet.end()
    clock.now += MOMENT / 2
    assert not quiet.look()
    assert ring() is not None
    clock.now += MOMENT / 2
    assert quiet.look()
    assert ring() is None
    # Nobody has asked since: nothing new can be found.
    clock.now += MOMENT
    assert not quiet.look()


def test_what_was_set_aside_and_let_go_later_is_found_after_a_minute(clock: Clock) -> None:
    quiet, held = Quiet(clock), Ring()
    ring = weakref.ref(held)
    clock.now += MOMENT
    assert quiet.look()
    del held
    quiet.begin()
    quiet.end()
    clock.now += MOMENT
    assert quiet.look()
    assert ring() is not None
    clock.now += LONG_WHILE
    assert quiet.look()
    assert ring() is None
    clock.now += LONG_WHILE
    assert not quiet.look()


def test_what_was_set_aside_is_found_though_a_page_asks_every_while(clock: Clock) -> None:
    quiet, held = Quiet(clock), Ring()
    ring = weakref.ref(held)
    clock.now += MOMENT
    assert quiet.look()
    del held
    for _ in range(int(AT_LATEST // 45) + 1):
        quiet.begin()
        quiet.end()
        clock.now += 45
        quiet.look()
    assert ring() is None


def test_rounds_are_left_to_the_quiet_while_the_program_runs(clock: Clock) -> None:
    usual = gc.get_threshold()

    async def run() -> None:
        async with Quiet(clock).rounds():
            assert gc.get_threshold() == BETWEEN_ROUNDS

    asyncio.run(run())
    assert gc.get_threshold() == usual
    assert gc.get_freeze_count() == 0


@pytest.mark.parametrize("fails", [False, True])
def test_a_request_is_counted_until_it_was_answered_or_has_failed(clock: Clock, fails: bool) -> None:
    quiet = Quiet(clock)
    seen = list[int]()

    async def page(scope: Scope, receive: Receive, send: Send) -> None:
        seen.append(quiet.waiting)
        clock.now += 5
        if fails:
            raise TypeError("a fault of a page")

    async def receive() -> Message:
        return {}

    async def send(message: Message) -> None:
        pass

    async def answered() -> None:
        await CountedRequests(page, quiet)({"type": "http"}, receive, send)

    with pytest.raises(TypeError, match="a fault of a page") if fails else nullcontext():
        asyncio.run(answered())
    assert seen == [1]
    assert quiet.waiting == 0
    assert quiet.last_asked == clock.now
