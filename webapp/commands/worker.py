"""`reckoner worker`: look for better cut plans in the background. `serve` starts one by itself."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from webapp.persistence.database.database import Database


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("worker", help="look for better cut plans in the background")
    parser.add_argument("--once", action="store_true", help="end when nothing waits")
    parser.add_argument("--with-parent", action="store_true", help="end when standard input is closed")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Work until told to end."""
    from webapp.opening import kept_database
    from webapp.persistence.database.database import newest_revision, stored_revision
    from webapp.persistence.foundation.errors import StoreError
    from webapp.plan_worker import run_worker
    from webapp.settings import Settings

    database = kept_database(Settings())
    try:
        if stored_revision(database) != newest_revision():
            raise StoreError("The store is of another version of the program; `serve` brings it up to date.")
        first = partial(_keep_older_papers, database)
        run_worker(database, until_idle=arguments.once, with_parent=arguments.with_parent, first=first)
    finally:
        database.close()
    return 0


def _keep_older_papers(database: Database) -> None:
    """What the upgrade from an older program leaves to do, once for each quote that keeps no papers yet."""
    from webapp.documents.quotes.older_papers import keep_older_papers
    from webapp.running import utc_now

    keep_older_papers(database, utc_now)
