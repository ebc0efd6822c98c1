"""A second process at the same sweep, so that two cores work on it: it is given pieces, one after the other.

Run as `python -m webapp.sweeps.second` by whoever holds the sweep, over its standard input and output. It ends when
its input does, also where the one that began it was killed.
"""

from __future__ import annotations

import gc
import pickle
import subprocess
import sys
from collections.abc import Sequence
from typing import Any, Final, cast

from webapp.costing.design_form.reader import read_design
from webapp.costing.measures.manner import begin_writing_as
from webapp.costing.sweep.course import Piece, Worker
from webapp.sweeps.gathered import Gathered

#: A take-off makes many small values that go as soon as it is done: they are looked over less often than usual.
BETWEEN_ROUNDS: Final = (50_000, 20, 50)


class Second:
    """The second process, as the first one sees it."""

    def __init__(self, gathered: Gathered) -> None:
        command = [sys.executable, "-m", "webapp.sweeps.second"]
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._to, self._from = self._process.stdin, self._process.stdout
        self._give(gathered)

    @property
    def process(self) -> int:
        """Its number, as the machine counts processes."""
        return self._process.pid

    def do(self, pieces: Sequence[Piece]) -> list[dict[str, Any]]:
        """What pieces come to; raises OSError or EOFError where the process is gone."""
        self._give(pieces)
        return cast(list[dict[str, Any]], pickle.load(self._from))

    def end(self) -> None:
        """Let it go, whatever it is at."""
        self._process.kill()
        self._process.wait()
        self._to.close()
        self._from.close()

    def _give(self, given: object) -> None:
        pickle.dump(given, self._to)
        self._to.flush()


def be_second() -> None:
    """Do what is given until nothing more is."""
    gc.set_threshold(*BETWEEN_ROUNDS)
    given, back = sys.stdin.buffer, sys.stdout.buffer
    try:
        gathered: Gathered = pickle.load(given)
        begin_writing_as(gathered.manner)
        design, _ = read_design(gathered.document)
        assert design is not None
        worker = Worker(gathered.subject(design))
        while True:
            pickle.dump([worker.do(piece) for piece in pickle.load(given)], back)
            back.flush()
    except (EOFError, BrokenPipeError):
        return


if __name__ == "__main__":
    be_second()
