"""Where the checkout's own folders are, found once."""

from __future__ import annotations

from pathlib import Path
from typing import Final

CHECKOUT: Final = Path(__file__).resolve().parent.parent
PROJECT_FILE: Final = CHECKOUT / "pyproject.toml"
TEMPLATES: Final = CHECKOUT / "templates"
MIGRATIONS: Final = CHECKOUT / "migrations"
SEED_DATA: Final = CHECKOUT / "seed_data"
STATIC: Final = CHECKOUT / "webapp" / "static"
