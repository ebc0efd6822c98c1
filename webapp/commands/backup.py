"""`reckoner backup [FILE]`: everything the shop keeps, in one file that `reckoner restore` gives back."""

from __future__ import annotations

import argparse
from pathlib import Path

from webapp.settings import Settings


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("backup", help="back up everything the shop keeps into one file")
    parser.add_argument(
        "file", type=Path, nargs="?", metavar="FILE", help="the file to write; left out, one in the data folder"
    )
    parser.set_defaults(run=backup)


def backup(arguments: argparse.Namespace) -> int:
    """Write the backup and say what is in it. A store that is not up to date is backed up as it stands."""
    from webapp.opening import kept_database
    from webapp.persistence.backups.restore import backup_file, make_backup
    from webapp.running import utc_now

    settings, now = Settings(), utc_now()
    database = kept_database(settings)
    try:
        file = arguments.file or backup_file(settings.data_folder / "backups", now, "backup")
        manifest = make_backup(database, file, at=now)
    finally:
        database.close()
    print(f"{file} holds {manifest.rows} rows of {len(manifest.tables)} tables.")
    print(
        "Keep a copy of it on another machine. It holds customers' names and the shop's prices: mind who may read it."
    )
    return 0
