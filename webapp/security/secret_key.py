"""The secret that the tokens in forms are made with. It lives in the data folder, readable by its owner only."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path
from typing import Final

from webapp.persistence.foundation.kept_files import OWNERS_FILE, make_folder, sync_folder

_LENGTH: Final = 32


def secret_key(data_folder: Path) -> bytes:
    """Read the secret, made at the first start. Two processes starting at once agree on one of theirs."""
    kept = data_folder / "secret-key"
    if not kept.exists():
        make_folder(data_folder)
        fresh = data_folder / f".secret-key-{secrets.token_hex(8)}"
        descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNERS_FILE)
        with os.fdopen(descriptor, "wb") as file:
            file.write(secrets.token_bytes(_LENGTH))
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileExistsError):
            os.link(fresh, kept)
        fresh.unlink()
        sync_folder(data_folder)
    return kept.read_bytes()
