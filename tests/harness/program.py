"""The program as whoever runs it starts it: a process of its own on a port of loopback, to be killed at any moment."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import httpx2

from tests.harness.form_fields import form_fields
from webapp.opening import DEMO_NAME, DEMO_PASSWORD

SHEET: Final = "job-sheet"
STARTS_IN: Final = 120


@dataclass
class Program:
    """`reckoner serve` on a data folder, and on a database where an address is given."""

    folder: Path
    database: str = ""
    port: int = 0
    process: subprocess.Popen[bytes] | None = field(default=None, repr=False)

    @property
    def url(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, on the same port each time, and wait until it is well."""
        if not self.port:
            with socket.create_server(("127.0.0.1", 0)) as free:
                self.port = free.getsockname()[1]
        told = {"RECKONER_DATA": str(self.folder), "RECKONER_LOG_LEVEL": "error"}
        if self.database:
            told["RECKONER_DATABASE"] = self.database
        command = [sys.executable, "-m", "webapp.cli", "serve", "--port", str(self.port)]
        self.process = subprocess.Popen(
            command,
            env={**os.environ, **told},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        until = time.monotonic() + STARTS_IN
        while not self._is_well():
            if self.process.poll() is not None or time.monotonic() > until:
                raise RuntimeError("The program didn't start.")
            time.sleep(0.05)

    def kill(self) -> None:
        """End the server as the kernel does when memory is short: at once, wherever it is."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self) -> None:
        """End it as a key press does."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(30)

    def _is_well(self) -> bool:
        try:
            return httpx2.get(f"{self.url}/health", timeout=5).status_code == 200
        except httpx2.HTTPError:
            return False


@contextmanager
def running_program(folder: Path, database: str = "") -> Iterator[Program]:
    """The program with the demo shop, until the end of the block."""
    program = Program(folder, database)
    try:
        program.start()
        yield program
    finally:
        program.stop()


class Person:
    """Somebody at a browser: signed in, following pages and sending their forms as they came."""

    def __init__(self, program: Program) -> None:
        self.client = httpx2.Client(
            base_url=program.url,
            timeout=120,
            follow_redirects=False,
            # The server lets an idle connection go after five seconds, as a browser knows and tries again.
            limits=httpx2.Limits(keepalive_expiry=2),
        )
        page = self.client.get("/sign-in").text
        fields = {**hidden_fields(page), "name": DEMO_NAME, "password": DEMO_PASSWORD, "after": "/"}
        answer = self.client.post("/sign-in", data=fields)
        if answer.status_code != 303:
            raise RuntimeError(f"The sign-in was answered with {answer.status_code}.")

    def get(self, address: str) -> str:
        """A page."""
        answer = self.client.get(address)
        answer.raise_for_status()
        return answer.text

    def send(self, page: str, address: str, fields: Mapping[str, Any]) -> httpx2.Response:
        """Send a form of a page with what is typed in it."""
        return self.client.post(address, data={**hidden_fields(page, address), **fields})

    def make_job(self, start: str, title: str) -> int:
        """A new job from a start, by its number."""
        answer = self.send(self.get("/jobs/new"), "/jobs/new", {"start": start, "title": title})
        if answer.status_code != 303:
            raise RuntimeError(f"A new job was answered with {answer.status_code}.")
        return int(answer.headers["location"].rpartition("/")[2])

    def sheet(self, number: int) -> dict[str, str]:
        """The fields of a job's sheet."""
        return form_fields(self.get(f"/jobs/{number}"), SHEET)


def hidden_fields(page: str, address: str = "") -> dict[str, str]:
    """The hidden fields of the form that leads to an address, or of the page's last form."""
    forms = re.findall(r"<form.*?</form>", page, re.DOTALL)
    form = next((one for one in forms if f'action="{address}"' in one), forms[-1])
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
