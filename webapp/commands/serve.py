"""`reckoner serve`: bring the store up to date and serve the pages until stopped."""

from __future__ import annotations

import argparse
import socket
import sys
from typing import TYPE_CHECKING

from webapp.settings import Settings

if TYPE_CHECKING:
    from webapp.opening import Opened


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("serve", help="serve the shop's pages")
    parser.add_argument("--empty", action="store_true", help="leave an empty store empty, for a shop of one's own")
    parser.add_argument("--host", help="the address to listen on")
    parser.add_argument("--port", type=int, help="the port to listen on; 0 takes any free one")
    parser.set_defaults(run=serve)


def serve(arguments: argparse.Namespace) -> int:
    """Serve until stopped. Returns 2 where the address can't be had."""
    import uvicorn

    from webapp.app import create_app
    from webapp.opening import open_store
    from webapp.plan_workers import PlanWorkers

    given = {name: value for name in ("host", "port") if (value := getattr(arguments, name)) is not None}
    settings = Settings(**given)
    opened = open_store(settings, demo=settings.demo and not arguments.empty)
    try:
        listening = _listen(settings)
    except OSError as error:
        opened.database.close()
        print(f"Nothing can listen on {settings.host} port {settings.port}: {error.strerror}.", file=sys.stderr)
        return 2
    with listening:
        app = create_app(settings, opened.database)
        print(welcome(settings, opened, listening.getsockname()[1]), flush=True)
        workers = PlanWorkers(settings)
        workers.start()
        try:
            uvicorn.Server(
                uvicorn.Config(app, log_level=settings.log_level, server_header=False, timeout_graceful_shutdown=5)
            ).run(sockets=[listening])
        finally:
            workers.stop()
    opened.database.close()
    return 0


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    return socket.create_server((settings.host, settings.port), family=family, backlog=128)


def welcome(settings: Settings, opened: Opened, port: int) -> str:
    """What a person at the terminal is told: the address, how to sign in, where the data is."""
    from webapp.opening import DEMO_HELPER_NAME, DEMO_HELPER_PASSWORD, DEMO_NAME, DEMO_PASSWORD, open_to_others
    from webapp.persistence.settings.shop import find_shop

    shown = {"0.0.0.0": "localhost", "::": "localhost"}.get(settings.host, settings.host)
    lines = [f"Shop Reckoner is at http://{f'[{shown}]' if ':' in shown else shown}:{port}/"]
    with opened.database.reading() as session:
        shop = find_shop(session)
    if shop is None:
        lines.append("The store is empty: the first visit sets up your shop.")
    elif shop.is_demo:
        lines.append(f"Sign in on this machine as {DEMO_NAME}, the owner, with the password: {DEMO_PASSWORD}")
        lines.append(f"or as {DEMO_HELPER_NAME}, who helps, with the password: {DEMO_HELPER_PASSWORD}")
    folder = settings.data_folder.resolve()
    if open_to_others(folder):
        lines.append(f"Others on this machine can look into the data folder. To close it: chmod 700 {folder}")
    lines.append(f"The data is in {folder}")
    if opened.backup is not None:
        lines.append(f"The database was brought up to date; as it was before, it is kept in {opened.backup}")
    return "\n".join(lines)
