"""Opening the data folder: the schema brought up to date, and the demo shop put into an empty store once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from webapp.demo import load_demo
from webapp.documents.printing.pdf_worker import WORKER
from webapp.persistence.backups.restore import Restored
from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.database.database import Database, answers, open_database
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.kept_files import FOR_OTHERS, clear_left_overs, keep_private, make_folder
from webapp.persistence.people.users import HELPER, add_user
from webapp.persistence.settings.shop import Shop, find_shop, open_shop
from webapp.running import utc_now
from webapp.security.passwords import hash_password
from webapp.settings import Settings

DEMO_NAME: Final = "demo"
DEMO_PASSWORD: Final = "bench and vise"
DEMO_HELPER_NAME: Final = "helper"
DEMO_HELPER_PASSWORD: Final = "apron and pencil"

DEMO_SHOP: Final = Shop(
    name="Kiln Lane Workshop",
    address="7 Kiln Lane\nQuernstead",
    contact="555 0100",
    currency="USD",
    currency_places=2,
    length_system="metric",
    time_zone="America/Chicago",
    paper="A4",
    is_demo=True,
)


@dataclass(frozen=True, slots=True)
class Opened:
    """An open store, the copy made before migrating it (if one was), and whether the demo was just put in."""

    database: Database
    backup: Path | None
    demo_loaded: bool


def open_store(settings: Settings, *, demo: bool) -> Opened:
    """Make or open the data folder and bring its database up to date; fill an empty one with the demo if asked.

    Raises StoreError where the database can't be reached or is newer than the program.
    """
    folder = settings.data_folder
    make_folder(folder)
    for left_in in (folder, folder / "backups"):
        clear_left_overs(left_in)
    database = _reach(settings)
    try:
        backup = migrate(settings.database_address, settings.data_folder / "backups")
        return Opened(database, backup, demo and load_demo_once(database))
    except BaseException:
        database.close()
        raise


def open_to_others(folder: Path) -> bool:
    """Whether others on this machine may look into a folder or write in it."""
    return bool(folder.stat().st_mode & FOR_OTHERS)


def kept_database(settings: Settings) -> Database:
    """The database of a shop that is there, as it stands, whatever its revision.

    Raises StoreError where there is none or it can't be reached.
    """
    if not settings.database_url and not (settings.data_folder / "reckoner.sqlite").exists():
        raise StoreError(f"There is no shop in {settings.data_folder.resolve()}. RECKONER_DATA names the data folder.")
    return _reach(settings)


def _reach(settings: Settings) -> Database:
    database = open_database(settings.database_address)
    if database.file is not None and database.file.parent.is_dir():
        # Made for its owner alone before anything is in it: the files that SQLite keeps beside it take after it.
        keep_private(database.file, "-wal", "-shm")
    if not answers(database):
        database.close()
        raise StoreError(
            f"The database at {database.engine.url.render_as_string(hide_password=True)} doesn't answer. "
            "Check that it runs and that RECKONER_DATABASE names it rightly."
        )
    return database


def note_restored(database: Database, name: str, restored: Restored) -> None:
    """Write into the trail of the restored store that, and from what, it was restored."""
    # Other connections may still know the tables as they were before.
    database.close()
    told = {"file": name, "made_at": restored.manifest.made_at, "rows": restored.manifest.rows}
    with database.writing() as session:
        record(session, HistoryEntry(utc_now(), None, "restored", "store", "backup", told))


def load_demo_once(
    database: Database, make: Callable[[str], bytes] = WORKER.make, now: datetime | None = None
) -> bool:  # fmt: skip
    """Put the demo shop into an empty store, all of it or none, and say whether that was done.

    `make` makes the PDFs of its quotes; its days are counted back from `now`.
    """
    now = now or utc_now()
    password_hash, helpers_hash = hash_password(DEMO_PASSWORD), hash_password(DEMO_HELPER_PASSWORD)
    with database.writing() as session:
        if find_shop(session) is not None:
            return False
        open_shop(session, DEMO_SHOP)
        add_user(session, name=DEMO_NAME, password_hash=password_hash, added_at=now, is_demo=True)
        add_user(session, name=DEMO_HELPER_NAME, password_hash=helpers_hash, added_at=now, role=HELPER, is_demo=True)
        load_demo(session, make, now)
    return True
