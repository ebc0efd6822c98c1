"""The workers that the server starts: each a process of its own, started again where it dies, ended with the server."""

from __future__ import annotations

import os
import subprocess
import sys
from threading import Event, Thread
from typing import Final

from webapp.plan_worker import TO_END
from webapp.settings import Settings

#: Seconds before a worker that died is started again: twice as long each time, up to the longest.
FIRST_PAUSE: Final = 1.0
LONGEST_PAUSE: Final = 60.0


class PlanWorkers:
    """So many workers on one store, while they are wanted."""

    def __init__(self, settings: Settings) -> None:
        self._environment = {
            **os.environ,
            "RECKONER_DATA": str(settings.data_folder.resolve()),
            "RECKONER_DATABASE": settings.database_url,
        }
        self._ending = Event()
        self._threads = [Thread(target=self._supervise, daemon=True) for _ in range(settings.plan_workers)]

    def start(self) -> None:
        """Start them, without waiting until they are at work."""
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """End them, and wait until they are gone."""
        self._ending.set()
        for thread in self._threads:
            thread.join(TO_END + 5)

    def _supervise(self) -> None:
        pause = FIRST_PAUSE
        while not self._ending.is_set():
            with self._begin() as worker:
                while worker.poll() is None and not self._ending.wait(0.2):
                    pass
                assert worker.stdin is not None
                # The end of its input tells it to end; it would be so too if this process were killed.
                worker.stdin.close()
                _wait_for(worker)
            self._ending.wait(pause)
            pause = min(pause * 2, LONGEST_PAUSE)

    def _begin(self) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "webapp.cli", "worker", "--with-parent"]
        return subprocess.Popen(command, env=self._environment, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL)


def _wait_for(worker: subprocess.Popen[bytes]) -> None:
    try:
        worker.wait(TO_END + 2)
    except subprocess.TimeoutExpired:
        worker.kill()
        worker.wait()
