"""`reckoner restore FILE`: a backup put into an empty store, or in place of what is there when that is asked for."""

from __future__ import annotations

import argparse
from pathlib import Path

from webapp.settings import Settings


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("restore", help="give back everything a backup holds")
    parser.add_argument("file", type=Path, metavar="FILE", help="a file that `reckoner backup` wrote")
    parser.add_argument(
        "--replace", action="store_true", help="put it in place of what the store holds, which is backed up first"
    )
    parser.set_defaults(run=restore)


def restore(arguments: argparse.Namespace) -> int:
    """Restore the backup, all of it or nothing, and say what was done."""
    from webapp.opening import note_restored, open_store
    from webapp.persistence.backups.reading import reading_backup
    from webapp.persistence.backups.restore import restore_backup
    from webapp.running import utc_now

    settings = Settings()
    with reading_backup(arguments.file):
        pass
    opened = open_store(settings, demo=False)
    try:
        restored = restore_backup(
            settings.database_address, arguments.file, settings.data_folder / "backups", at=utc_now(),
            replace=arguments.replace,
        )  # fmt: skip
        note_restored(opened.database, arguments.file.name, restored)
    finally:
        opened.database.close()
    print(f"Restored {restored.manifest.rows} rows, as they were on {restored.manifest.made_at}.")
    if restored.before is not None:
        print(f"What the store held before is kept in {restored.before}")
    print("Everybody signs in anew, with the passwords of that time.")
    return 0
