"""The sign-in page and the start page while 24 strangers try wrong passwords without a pause, beside the same pages at
rest: from one address, and from 24. Run as `python -m tests.bench.storm_bench`; the ratio is what counts.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import timedelta
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter
from typing import Final

import httpx2
from sqlalchemy import select

from tests.bench.yardstick import yardstick_seconds
from webapp.opening import open_store
from webapp.persistence.people.users import UserRow, start_sign_in
from webapp.running import utc_now
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, new_key
from webapp.settings import Settings

STRANGERS: Final = 24
PAGES: Final = ("/sign-in", "/jobs")
ROUNDS: Final = 40


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, str]]:
    """The demo shop in a process of its own: its address, and the key of somebody who is signed in."""
    key = new_key()
    opened = open_store(Settings(data_folder=folder), demo=True)
    with opened.database.writing() as session:
        owner = session.scalars(select(UserRow.id).order_by(UserRow.added_at)).first()
        assert owner is not None
        start_sign_in(session, owner, digest_of(key), utc_now(), timedelta(days=1))
    opened.database.close()
    environment = {**os.environ, "RECKONER_DATA": str(folder), "RECKONER_PLAN_WORKERS": "0", "RECKONER_HOST": "0.0.0.0"}
    command = [sys.executable, "-m", "webapp.cli", "serve", "--port", "0"]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        port = re.search(r":(\d+)/", process.stdout.readline())
        assert port is not None
        try:
            yield f"http://127.0.0.1:{port[1]}", key
        finally:
            process.terminate()


@contextmanager
def storm(url: str, addresses: Sequence[str]) -> Iterator[list[int]]:
    """Strangers who send wrong passwords for ever; what they were answered is gathered."""
    over, answers = threading.Event(), list[int]()

    def send(address: str, name: str) -> None:
        transport = httpx2.HTTPTransport(local_address=address)
        with httpx2.Client(base_url=url, transport=transport, timeout=120) as browser:
            token = browser.get("/sign-in").text.partition('name="csrf_token" value="')[2].partition('"')[0]
            turn = 0
            while not over.is_set():
                turn += 1
                form = {"csrf_token": token, "name": f"{name} {turn}", "password": "no password of anybody"}
                with suppress(httpx2.HTTPError):
                    answers.append(browser.post("/sign-in", data=form).status_code)

    threads = [
        threading.Thread(target=send, args=(addresses[turn % len(addresses)], f"stranger {turn}"), daemon=True)
        for turn in range(STRANGERS)
    ]
    for thread in threads:
        thread.start()
    try:
        yield answers
    finally:
        over.set()
        for thread in threads:
            thread.join(10)


def page_times(url: str, key: str) -> dict[str, list[float]]:
    """Milliseconds of each page for somebody else, round by round."""
    times: dict[str, list[float]] = {page: [] for page in PAGES}
    with httpx2.Client(base_url=url, cookies={SIGN_IN_COOKIE: key}, timeout=120) as browser:
        for _ in range(ROUNDS):
            for page in PAGES:
                started = perf_counter()
                browser.get(page)
                times[page].append((perf_counter() - started) * 1000)
    return times


def main() -> None:
    """Print each page at rest and in both storms."""
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms")
    storms = {"one address": ["127.0.0.1"], "24 addresses": [f"127.0.1.{turn + 1}" for turn in range(STRANGERS)]}
    for name, addresses in storms.items():
        with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as (url, key):
            page_times(url, key)
            rest = page_times(url, key)
            with storm(url, addresses) as answers:
                stormy = page_times(url, key)
            told = {status: answers.count(status) for status in sorted(set(answers))}
            print(f"\n{name}: {len(answers)} tries were answered {told}")
            for page in PAGES:
                before, during = median(rest[page]), median(stormy[page])
                worst = quantiles(stormy[page], n=20)[-1]
                print(
                    f"  {page:10} {before:7.1f} ms at rest, {during:7.1f} in the storm ({during / before:.1f} times), "
                    f"p95 {worst:.1f}"
                )


if __name__ == "__main__":
    main()
