"""The program on a port of its own, and a browser to open it with."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from tests.harness.visiting import signed_in
from webapp.app import create_app
from webapp.opening import DEMO_NAME, DEMO_PASSWORD
from webapp.persistence.database.database import Database
from webapp.running import utc_now
from webapp.security.cookies import SIGN_IN_COOKIE
from webapp.settings import Settings

CHROMIUM = "/usr/bin/chromium"


@dataclass(frozen=True)
class LiveServer:
    """A server that runs until its test ends."""

    url: str
    settings: Settings
    database: Database
    now: Callable[[], datetime]


@contextmanager
def serve(
    settings: Settings, database: Database, now: Callable[[], datetime] = utc_now, port: int = 0
) -> Iterator[LiveServer]:  # fmt: skip
    """Serve a store from a thread on any free port, or on the one it was served on before."""
    with socket.create_server(("127.0.0.1", port)) as listening:
        server = uvicorn.Server(
            uvicorn.Config(
                create_app(settings, database, now), log_level="warning", ws="none", timeout_graceful_shutdown=1
            )
        )
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            if not thread.is_alive():
                raise RuntimeError("The server didn't start.")
            time.sleep(0.01)
        try:
            yield LiveServer(f"http://127.0.0.1:{listening.getsockname()[1]}", settings, database, now)
        finally:
            server.should_exit = True
            thread.join(10)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, which asks nothing of the network but the page it is given."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=[
                "--disable-gpu",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--no-first-run",
            ],
        )
        try:
            yield browser
        finally:
            browser.close()


def sign_in(page: Page, server: LiveServer, name: str | None = None) -> None:
    """Be signed in as that or the first person of the shop, without the page of it and the time a password takes."""
    key = signed_in(server.database, server.now(), name)
    page.context.add_cookies(
        [{"name": SIGN_IN_COOKIE, "value": key, "url": server.url, "httpOnly": True, "sameSite": "Lax"}]
    )


def sign_in_by_hand(page: Page, server: LiveServer) -> None:
    """Sign in as the person at the demo would, and come to the start page."""
    page.goto(f"{server.url}/sign-in")
    page.get_by_label("Name").fill(DEMO_NAME)
    page.get_by_label("Password").fill(DEMO_PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{server.url}/")
