"""PDFs made in a process of their own, so that a long document holds up no other request.

What was made is held for a while, so that whoever asked for a paper and waits is given it when he comes for it.
"""

from __future__ import annotations

import gc
import hashlib
import multiprocessing
import os
import signal
from collections import OrderedDict
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from contextlib import suppress
from threading import Lock, Thread
from typing import Final

SECONDS_TO_WAIT: Final = 60
#: How many documents are held that were made, and how many bytes of them in all.
HELD: Final = 12
HELD_BYTES: Final = 32 * 1024 * 1024


class PdfNotMade(Exception):
    """The process that makes PDFs ended twice over one document, or took too long over it."""


class PdfWorker:
    """One spawned process, started when it is first needed and replaced where it has died."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._holders = 0
        self._made: OrderedDict[str, Future[bytes]] = OrderedDict()

    def make(self, html: str) -> bytes:
        """The PDF of a document, as `make_pdf` makes it. Raises PdfNotMade, and what `make_pdf` raises."""
        for _ in range(2):
            pool = self._running()
            try:
                return self._making_of(pool, html).result(SECONDS_TO_WAIT)
            except TimeoutError:
                self._let_go(pool)
                raise PdfNotMade(f"The document was not done after {SECONDS_TO_WAIT} seconds.") from None
            except (RuntimeError, CancelledError):
                # The process died, or another request met that first and let the pool go.
                self._let_go(pool)
        raise PdfNotMade("The process that makes documents ended before this one was done.")

    def begin(self, html: str) -> str:
        """Have a document made, and say the key to ask for it by."""
        # A process that died is replaced when the document is fetched.
        with suppress(RuntimeError):
            self._making_of(self._running(), html)
        return key_of(html)

    def being_made(self, key: str, seconds: float = 0) -> bool:
        """Whether a document is still being made after waiting so long; one that nobody began is not."""
        with self._lock:
            making = self._made.get(key)
        if making is not None:
            try:
                making.exception(seconds)
            except TimeoutError:
                return True
            except CancelledError:
                pass
        return False

    def held(self, key: str) -> bytes | None:
        """A document that was made lately."""
        with self._lock:
            making = self._made.get(key)
        return making.result() if making is not None and _well(making) else None

    def warm(self) -> None:
        """Start the process now, with what it needs loaded, so that the first document is not slower.

        Whoever warms it stops it: it ends with the last of those who did.
        """
        with self._lock:
            held, self._holders = self._holders, self._holders + 1
        if not held:
            self.begin("<!doctype html><title>Warm</title>")

    def stop(self) -> None:
        """End the process, unless another still holds it; the next document starts a new one."""
        with self._lock:
            self._holders = max(0, self._holders - 1)
            if self._holders:
                return
            pool, self._pool = self._pool, None
            self._made.clear()
        if pool is not None:
            pool.shutdown(cancel_futures=True)

    def _running(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                spawned = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(1, mp_context=spawned, initializer=_begin)
            return self._pool

    def _making_of(self, pool: ProcessPoolExecutor, html: str) -> Future[bytes]:
        """The document as it is being made or was made: the same page gives the same bytes."""
        key = key_of(html)
        with self._lock:
            making = self._made.get(key)
            if making is None or (making.done() and not _well(making)):
                making = self._made[key] = pool.submit(_make, html)
            self._made.move_to_end(key)
            self._forget_some()
            return making

    def _forget_some(self) -> None:
        """Let go of those asked for longest ago where they are too many or too large together."""
        left = sum(len(one.result()) for one in self._made.values() if _well(one))
        for key, one in list(self._made.items())[:-1]:
            if len(self._made) <= HELD and left <= HELD_BYTES:
                return
            left -= len(one.result()) if _well(one) else 0
            del self._made[key]

    def _let_go(self, pool: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is pool:
                self._pool = None
                self._made.clear()
        # Taken before the shutdown, which forgets them: one that is stuck would never end by itself.
        processes = list((pool._processes or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            process.kill()


#: The program's own worker.
WORKER: Final = PdfWorker()


def _begin() -> None:
    """A key press that stops the program is the program's to answer; and the worker ends with it, however it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()
    import webapp.documents.printing.pdf  # noqa: F401


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def key_of(html: str) -> str:
    """The key of a document: the digest of the page that it is made from."""
    return hashlib.sha256(html.encode()).hexdigest()


def _well(making: Future[bytes]) -> bool:
    return making.done() and not making.cancelled() and making.exception() is None


def _make(html: str) -> bytes:
    from webapp.documents.printing.pdf import make_pdf

    # A document is a tree of many small things that all live until it is written: looking among them for rubbish, again
    # and again, takes a fifth of the time and finds none.
    gc.disable()
    try:
        return make_pdf(html)
    finally:
        gc.enable()
        gc.collect()
