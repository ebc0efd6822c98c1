"""`reckoner serve`: bring the store up to date and serve the pages until stopped."""

from __future__ import annotations

import argparse
import socket
import sys
from pathlib import Path
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
    parser.add_argument("--tls-cert", type=Path, metavar="FILE", help="a certificate to serve over https with, as PEM")
    parser.add_argument("--tls-key", type=Path, metavar="FILE", help="that certificate's key, as PEM")
    parser.set_defaults(run=serve)


def serve(arguments: argparse.Namespace) -> int:
    """Serve until stopped. Returns 2 where the address can't be had, or the certificate can't be served with."""
    import uvicorn

    from webapp.app import create_app
    from webapp.opening import open_store
    from webapp.plan_workers import PlanWorkers

    given = {
        name: value
        for name in ("host", "port", "tls_cert", "tls_key")
        if (value := getattr(arguments, name)) is not None
    }
    settings = Settings(**given)
    if (wrong := _wrong_certificate(settings)) is not None:
        print(wrong, file=sys.stderr)
        return 2
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
                uvicorn.Config(
                    app,
                    log_level=settings.log_level,
                    server_header=False,
                    timeout_graceful_shutdown=5,
                    ssl_certfile=settings.tls_cert,
                    ssl_keyfile=settings.tls_key,
                )
            ).run(sockets=[listening])
        finally:
            workers.stop()
    opened.database.close()
    return 0


def _wrong_certificate(settings: Settings) -> str | None:
    """Why the shop can't be served over https as it was asked for; None where it can, or wasn't."""
    from webapp.own_certificate import CertificateRefused, check_served

    if settings.tls_cert is None and settings.tls_key is None:
        return None
    if settings.tls_cert is None or settings.tls_key is None:
        missing, given = ("--tls-cert", "a key") if settings.tls_cert is None else ("--tls-key", "a certificate")
        return f"Only {given} was given to serve over https with: {missing} is missing."
    try:
        check_served(settings.tls_cert, settings.tls_key)
    except CertificateRefused as error:
        return str(error)
    return None


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    return socket.create_server((settings.host, settings.port), family=family, backlog=128)


def welcome(settings: Settings, opened: Opened, port: int) -> str:
    """What a person at the terminal is told: the address, how to sign in, where the data is."""
    from webapp.opening import DEMO_HELPER_NAME, DEMO_HELPER_PASSWORD, DEMO_NAME, DEMO_PASSWORD, open_to_others
    from webapp.persistence.settings.shop import find_shop

    shown = {"0.0.0.0": "localhost", "::": "localhost"}.get(settings.host, settings.host)
    scheme = "http" if settings.tls_cert is None else "https"
    lines = [f"Shop Reckoner is at {scheme}://{f'[{shown}]' if ':' in shown else shown}:{port}/"]
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
