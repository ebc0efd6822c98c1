"""Files in the data folder: whole or not at all, read by their owner alone, and left-overs of the killed cleared."""

from __future__ import annotations

import resource
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from tests.conftest import fill_with_shop
from webapp.commands.serve import welcome
from webapp.opening import Opened, open_store
from webapp.persistence.backups.restore import make_backup, restore_backup
from webapp.persistence.backups.upgrade import keep_before_migrating
from webapp.persistence.foundation.errors import StoreFull
from webapp.persistence.foundation.kept_files import clear_left_overs, make_folder, new_file
from webapp.persistence.settings.shop import find_shop
from webapp.running import utc_now
from webapp.settings import Settings


def modes(folder: Path) -> dict[str, int]:
    """Who may read and write each thing in a folder, by name, and the folder itself under no name."""
    return {"": folder.stat().st_mode & 0o777, **{one.name: one.stat().st_mode & 0o777 for one in folder.iterdir()}}


@contextmanager
def files_no_longer_than(size: int) -> Iterator[None]:
    """The system writes no file longer than this, as where a disk or a quota has no more room."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    # Without a handler the system would end the whole run instead of saying so.
    held = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, held)


@pytest.fixture
def opened(settings: Settings) -> Iterator[Opened]:
    """A shop in a data folder of its own."""
    found = open_store(settings, demo=False)
    fill_with_shop(found.database)
    yield found
    found.database.close()


def test_the_database_and_what_stands_beside_it_are_their_owners_alone(opened: Opened, settings: Settings) -> None:
    with opened.database.reading():
        assert modes(settings.data_folder) == {
            "": 0o700,
            "reckoner.sqlite": 0o600,
            "reckoner.sqlite-wal": 0o600,
            "reckoner.sqlite-shm": 0o600,
        }


def test_a_database_of_an_earlier_program_is_closed_to_others(opened: Opened, settings: Settings) -> None:
    with opened.database.reading():
        for file in settings.data_folder.iterdir():
            file.chmod(0o644)
        again = open_store(settings, demo=False)
        assert set(modes(settings.data_folder).values()) == {0o600, 0o700}
        again.database.close()


@pytest.mark.parametrize(("mode", "said"), [(0o755, True), (0o770, True), (0o700, False)])
def test_a_data_folder_that_others_can_look_into_is_named_at_the_start(
    opened: Opened, settings: Settings, mode: int, said: bool
) -> None:
    settings.data_folder.chmod(mode)
    lines = welcome(settings, opened, 8420)
    assert (f"To close it: chmod 700 {settings.data_folder.resolve()}" in lines) == said


def test_folders_are_made_for_their_owner_alone(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    assert modes(tmp_path / "a") == {"": 0o700, "b": 0o700}


# ---- whole or not at all ------------------------------------------------------------------------------------------


def test_a_file_takes_the_place_of_another_only_once_it_is_whole(tmp_path: Path) -> None:
    file = tmp_path / "kept"
    file.write_bytes(b"before")
    with suppress(ZeroDivisionError), new_file(file) as target:
        target.write(b"half" * (1 // 0))
    assert (file.read_bytes(), list(tmp_path.iterdir())) == (b"before", [file])
    with new_file(file) as target:
        target.write(b"after")
        assert file.read_bytes() == b"before"
    assert (file.read_bytes(), modes(tmp_path)["kept"]) == (b"after", 0o600)


def test_a_backup_without_room_is_said_and_leaves_nothing(opened: Opened, tmp_path: Path) -> None:
    file = tmp_path / "shop.zip"
    with files_no_longer_than(1000), pytest.raises(StoreFull, match="The disk that holds the shop's data is full"):
        make_backup(opened.database, file, at=utc_now())
    assert [one.name for one in tmp_path.iterdir()] == ["data"]
    make_backup(opened.database, file, at=utc_now())
    folder = tmp_path / "before"
    with files_no_longer_than(5000), pytest.raises(StoreFull):
        keep_before_migrating(opened.database, "0001", folder)
    assert list(folder.iterdir()) == []


def test_a_restore_without_room_is_said_and_changes_nothing(opened: Opened, settings: Settings, tmp_path: Path) -> None:
    file = tmp_path / "shop.zip"
    make_backup(opened.database, file, at=utc_now())
    with files_no_longer_than(1000), pytest.raises(StoreFull):
        restore_backup(settings.database_address, file, tmp_path / "aside", at=utc_now(), replace=True)
    restore_backup(settings.database_address, file, tmp_path / "aside", at=utc_now(), replace=True)


# ---- left-overs ---------------------------------------------------------------------------------------------------

_KILLED = """
import os, signal, sys
from pathlib import Path
from webapp.persistence.backups import restore
from webapp.persistence.backups.backup import write_backup
from webapp.running import utc_now
address, file, backups, where = sys.argv[1:]
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
if where == "aside":
    from webapp.persistence.backups import backup
    backup.json.dumps = die
else:
    restore._migrate = die if where == "emptied" else restore._migrate
    restore._count_on = die
restore.restore_backup(address, Path(file), Path(backups), at=utc_now(), replace=True)
"""


@pytest.mark.parametrize("where", ["aside", "emptied", "half filled"])
def test_what_a_killed_restore_left_is_cleared_at_the_next_start(
    opened: Opened, settings: Settings, tmp_path: Path, where: str
) -> None:
    file, backups = tmp_path / "shop.zip", settings.data_folder / "backups"
    make_backup(opened.database, file, at=utc_now())
    opened.database.close()
    killed = subprocess.run(
        [sys.executable, "-c", _KILLED, settings.database_address, str(file), str(backups), where], timeout=300
    )
    assert killed.returncode == -signal.SIGKILL
    assert any(backups.iterdir())
    again = open_store(settings, demo=False)
    with again.database.reading() as session:
        assert find_shop(session) is not None
    again.database.close()
    whole = {one.name for one in backups.glob("*-before-restore.zip")}
    assert {one.name for one in backups.glob("*")} | {one.name for one in backups.glob(".*")} == whole
    assert len(whole) == (0 if where == "aside" else 1)
    assert {one.name for one in settings.data_folder.iterdir()} == {"reckoner.sqlite", "backups"}


def test_what_somebody_still_writes_is_left_to_them(tmp_path: Path) -> None:
    for name in (".20250101-backup.zip-0123", "20250101-brought-in.part", ".secret-key-01"):
        (tmp_path / name).touch()
    with new_file(tmp_path / "kept") as target:
        target.write(b"whole")
        clear_left_overs(tmp_path)
    assert [one.name for one in tmp_path.iterdir()] == ["kept"]
