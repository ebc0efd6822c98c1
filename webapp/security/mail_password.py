"""The password of the shop's mail server: from the environment, or in a file of the data folder that no backup
holds."""

from __future__ import annotations

from typing import Final

from webapp.persistence.foundation.kept_files import make_folder, new_file
from webapp.settings import Settings

_NAME: Final = "mail-password"


def mail_password(settings: Settings) -> str:
    """The password; empty where none was given."""
    if settings.mail_password:
        return settings.mail_password
    file = settings.data_folder / _NAME
    return file.read_text(encoding="utf-8") if file.is_file() else ""


def keep_mail_password(settings: Settings, password: str) -> None:
    """Keep a password in place of the one before, readable by the owner of the program alone; an empty one forgets
    it."""
    file = settings.data_folder / _NAME
    if not password:
        file.unlink(missing_ok=True)
        return
    make_folder(settings.data_folder)
    with new_file(file) as target:
        target.write(password.encode())
