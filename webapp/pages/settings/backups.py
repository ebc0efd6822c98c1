"""Backups: made, listed, fetched, brought in from elsewhere, and restored once the shop's name is typed for it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from shutil import copyfileobj
from typing import Annotated, Final

from fastapi import Depends, HTTPException, Request
from fastapi.responses import FileResponse, RedirectResponse, Response
from starlette.datastructures import UploadFile

from webapp.costing.measures.manner import whole_number
from webapp.opening import note_restored
from webapp.pages.web.dependencies import ShopHere, SignedIn
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.pages.web.uploads import posted_file
from webapp.persistence.backups.reading import BackupRefused, reading_backup
from webapp.persistence.backups.restore import backup_file, make_backup, restore_backup
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.kept_files import new_file
from webapp.persistence.foundation.lists import fold
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import Running, running
from webapp.security.gate import SIGN_IN, NotSignedIn, find_visitor

router = PageRouter()

#: The one address at which more than a usual form may be sent.
UPLOAD: Final = "/settings/backups/bring-in"
#: An uploaded file may unfold into so many times the largest upload, and no more.
UNFOLDS: Final = 32

_NAME: Final = re.compile(r"[0-9]{8}-[0-9]{6}-[0-9]{6}-([a-z0-9-]{1,60})\.(zip|sqlite)")
_WHY: Final = {
    "backup": "Made by hand", "before-restore": "Before a restore", "brought-in": "Brought in from elsewhere",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BackupRow:
    """One file in the shop's folder of backups; only those that any store takes can be restored from here."""

    name: str
    href: str
    why: str
    made: str
    size: str
    restore_href: str


@dataclass(frozen=True, slots=True)
class BackupsPage:
    """The backups there are, and what stands against one that was brought in."""

    rows: tuple[BackupRow, ...]
    problem: str
    folder: str
    limit: str
    upload: str


@dataclass(frozen=True, slots=True)
class RestorePage:
    """A backup that is to take the place of everything: what is in it, and the name that has to be typed."""

    name: str
    action: str
    made: str
    program: str
    counts: tuple[tuple[str, str], ...]
    shop_name: str
    typed: str
    problem: str


@router.get("/settings/backups")
def show_backups(request: Request, shop: ShopHere) -> Response:
    """The backups, the latest first."""
    return _list(request, shop, "", 200)


@router.post("/settings/backups")
def make_one(request: Request, user: SignedIn) -> Response:
    """Back everything up; nobody waits for it, since the store is only written to afterwards."""
    here = running(request)
    at = here.now()
    file = backup_file(_folder(here), at, "backup")
    make_backup(here.database, file, at=at)
    with here.database.writing() as session:
        record(session, HistoryEntry(at, user.id, "backed up", "store", "backup", {"file": file.name}))
    return RedirectResponse("/settings/backups", 303)


@router.post(UPLOAD)
def bring_in(
    request: Request, shop: ShopHere, sent: Annotated[UploadFile | None, Depends(posted_file)]
) -> Response:  # fmt: skip
    """Keep a backup from elsewhere beside the others, once it is found whole."""
    if sent is None:
        return _list(request, shop, "Choose a backup first: a file that Shop Reckoner made.", 422)
    here = running(request)
    file = backup_file(_folder(here), here.now(), "brought-in")
    part = file
    try:
        with new_file(file) as target:
            part = Path(target.name)
            copyfileobj(sent.file, target)
            target.flush()
            with reading_backup(part, largest=_largest(here)):
                pass
    except BackupRefused as refused:
        return _list(request, shop, str(refused).replace(part.name, "The file"), 422)
    return RedirectResponse(f"/settings/backups/{file.name}/restore", 303)


@router.get("/settings/backups/{name}")
def fetch_backup(request: Request, name: str) -> Response:
    """One backup, to be kept elsewhere."""
    file = _named(running(request), name)
    return FileResponse(file, media_type="application/octet-stream", filename=f"shop-reckoner-{file.name}")


@router.get("/settings/backups/{name}/restore")
def ask_to_restore(request: Request, shop: ShopHere, name: str) -> Response:
    """What a backup holds, and the question whether it is to take the place of everything."""
    return _ask(request, shop, name, "", "", 200)


@router.post("/settings/backups/{name}/restore")
def restore(request: Request, shop: ShopHere, name: str, posted: PostedFields) -> Response:
    """Put a backup in place of everything; then everybody signs in anew."""
    here, typed = running(request), dict(posted).get("confirm", "")
    if fold(typed) != fold(shop.name):
        return _ask(request, shop, name, typed, f"Type the shop's name, {shop.name}, to say that you mean it.", 422)
    file = _named(here, name)
    with here.database.alone("restoring"):
        # Whoever pressed twice, or as somebody else did, was signed out with everybody by the first of them.
        if find_visitor(request).user is None:
            raise NotSignedIn
        try:
            restored = restore_backup(
                here.database.address, file, _folder(here), at=here.now(), replace=True, largest=_largest(here)
            )
        except StoreError as refused:
            return _ask(request, shop, name, typed, str(refused), 422)
        note_restored(here.database, file.name, restored)
    return RedirectResponse(SIGN_IN, 303)


def _largest(here: Running) -> int:
    return here.settings.backup_limit_bytes * UNFOLDS


def _folder(here: Running) -> Path:
    return here.settings.data_folder / "backups"


def _named(here: Running, name: str) -> Path:
    """The file under a name of ours. Raises HTTPException for any other name, wherever it would lead."""
    file = _folder(here) / name
    if not _NAME.fullmatch(name) or not file.is_file():
        raise HTTPException(404, f"There is no backup under the name {name[:80]}.")
    return file


def _list(request: Request, shop: Shop, problem: str, status: int) -> Response:
    here = running(request)
    folder = _folder(here)
    rows = tuple(
        _row(file, shop)
        for file in sorted(folder.glob("*"), key=lambda file: file.name, reverse=True)
        if _NAME.fullmatch(file.name)
    )
    limit = _size(here.settings.backup_limit_bytes)
    return render(
        request, "settings/backups.html", BackupsPage(rows, problem, str(folder.resolve()), limit, UPLOAD), status
    )


def _row(file: Path, shop: Shop) -> BackupRow:
    found = _NAME.fullmatch(file.name)
    why = found[1] if found else ""
    revision = why.removeprefix("before-migration-from-")
    return BackupRow(
        file.name, f"/settings/backups/{file.name}",
        _WHY.get(why, f"Before the schema was brought up to date from {revision}"), moment_of(file, shop),
        _size(file.stat().st_size), f"/settings/backups/{file.name}/restore" if file.suffix == ".zip" else "",
    )  # fmt: skip


def moment_of(file: Path, shop: Shop) -> str:
    """When a backup was made, by its name."""
    return moment(datetime.strptime(file.name[:22], "%Y%m%d-%H%M%S-%f").replace(tzinfo=UTC), shop)


def _size(size: int) -> str:
    return f"{whole_number(-(-size // 1024))} KB" if size < 10 * 1024**2 else f"{whole_number(-(-size // 1024**2))} MB"


def _ask(request: Request, shop: Shop, name: str, typed: str, problem: str, status: int) -> Response:
    here = running(request)
    file = _named(here, name)
    try:
        with reading_backup(file, largest=_largest(here)) as backup:
            manifest = backup.manifest
    except BackupRefused as refused:
        return _list(request, shop, str(refused), 422)
    counts = tuple((table.name.replace("_", " "), whole_number(table.rows)) for table in manifest.tables if table.rows)
    page = RestorePage(
        name, f"/settings/backups/{name}/restore", moment(datetime.fromisoformat(manifest.made_at), shop),
        manifest.program, counts, shop.name, typed, problem,
    )  # fmt: skip
    return render(request, "settings/restore.html", page, status)
