"""Open data that is looked for beside the checkout and never kept in it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from webapp.paths import CHECKOUT

NOT_BESIDE = "is not beside the checkout"


def open_data(folder: str, name: str) -> Path:
    """A file of open data: in the folder that RECKONER_OPEN_DATA names, else beside the checkout. Skips where it is
    not there, saying so."""
    found = Path(os.environ.get("RECKONER_OPEN_DATA", CHECKOUT.parent / "shared" / "data")) / folder / name
    if not found.is_file():
        pytest.skip(f"The open data {folder}/{name} {NOT_BESIDE}.")
    return found
