"""A page of fifty jobs against the same rows from a bare stack, by turns in one run: how many of each in a second.

Run as `python -m tests.bench.list_bench` on an otherwise idle machine. Both answer one client over loopback, one page
after another. The aim is a third of the bare stack.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Final
from uuid import uuid4

import httpx2

from tests.bench.bare_list import ROWS, fill
from tests.bench.yardstick import yardstick_seconds
from tests.harness.program import Person, running_program
from webapp.opening import open_store
from webapp.persistence.jobs.records import copy_job, load_job_by_number
from webapp.running import utc_now
from webapp.settings import Settings

DEMO_JOBS: Final = 5
PAGES: Final = 60
TURNS: Final = 5


def keep_jobs(folder: Path) -> None:
    """The demo's jobs, copied until there are as many as the page holds."""
    opened = open_store(Settings(data_folder=folder, port=0, plan_workers=0), demo=True)
    with opened.database.writing() as session:
        for number in range(ROWS - DEMO_JOBS):
            job = load_job_by_number(session, 1 + number % DEMO_JOBS)
            copy_job(session, job.id, uuid4(), at=utc_now())
    opened.database.close()


@contextmanager
def bare(folder: Path) -> Iterator[httpx2.Client]:
    """A client of the bare list."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    fill(folder / "bare.sqlite")
    serving = subprocess.Popen([sys.executable, "-m", "tests.bench.bare_list", str(folder / "bare.sqlite"), str(port)])
    client = httpx2.Client(base_url=f"http://127.0.0.1:{port}")
    try:
        until = time.monotonic() + 30
        while True:
            try:
                client.get("/health")
                break
            except httpx2.HTTPError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.05)
        yield client
    finally:
        client.close()
        serving.terminate()
        serving.wait()


def a_second(client: httpx2.Client) -> float:
    """How many pages come in a second."""
    started = time.perf_counter()
    for _ in range(PAGES):
        client.get("/jobs").raise_for_status()
    return PAGES / (time.perf_counter() - started)


def main() -> None:
    """Print the two figures and their ratio."""
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms")
    with tempfile.TemporaryDirectory() as folder:
        keep_jobs(Path(folder))
        with running_program(Path(folder)) as program, bare(Path(folder)) as plain:
            ours = Person(program).client
            page = ours.get("/jobs").text
            assert page.count('aria-label="New job from job') == ROWS, "the page holds other than fifty jobs"
            a_second(ours), a_second(plain)
            turns = [(a_second(ours), a_second(plain)) for _ in range(TURNS)]
    mine, theirs = (median(turn[at] for turn in turns) for at in (0, 1))
    share = mine / theirs
    print(f"{mine:.0f} pages of {ROWS} jobs a second, bare stack {theirs:.0f}: a share of {share:.2f} (aim 0.33)")


if __name__ == "__main__":
    main()
