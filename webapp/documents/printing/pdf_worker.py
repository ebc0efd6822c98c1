"""PDFs made in a process of their own, so that a long document holds up no other request."""

from __future__ import annotations

import multiprocessing
import os
import signal
from concurrent.futures import CancelledError, ProcessPoolExecutor
from threading import Lock, Thread
from typing import Final

SECONDS_TO_WAIT: Final = 60


class PdfNotMade(Exception):
    """The process that makes PDFs ended twice over one document, or took too long over it."""


class PdfWorker:
    """One spawned process, started when it is first needed and replaced where it has died."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._holders = 0

    def make(self, html: str) -> bytes:
        """The PDF of a document, as `make_pdf` makes it. Raises PdfNotMade, and what `make_pdf` raises."""
        for _ in range(2):
            pool = self._running()
            try:
                return pool.submit(_make, html).result(SECONDS_TO_WAIT)
            except TimeoutError:
                self._let_go(pool)
                raise PdfNotMade(f"The document was not done after {SECONDS_TO_WAIT} seconds.") from None
            except (RuntimeError, CancelledError):
                # The process died, or another request met that first and let the pool go.
                self._let_go(pool)
        raise PdfNotMade("The process that makes documents ended before this one was done.")

    def warm(self) -> None:
        """Start the process now, with what it needs loaded, so that the first document is not slower.

        Whoever warms it stops it: it ends with the last of those who did.
        """
        with self._lock:
            held, self._holders = self._holders, self._holders + 1
        if not held:
            self._running().submit(_make, "<!doctype html><title>Warm</title>")

    def stop(self) -> None:
        """End the process, unless another still holds it; the next document starts a new one."""
        with self._lock:
            self._holders = max(0, self._holders - 1)
            if self._holders:
                return
            pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(cancel_futures=True)

    def _running(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                spawned = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(1, mp_context=spawned, initializer=_begin)
            return self._pool

    def _let_go(self, pool: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is pool:
                self._pool = None
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


def _make(html: str) -> bytes:
    from webapp.documents.printing.pdf import make_pdf

    return make_pdf(html)
