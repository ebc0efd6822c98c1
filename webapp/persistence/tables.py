"""Every module with tables in it, imported in one place so that the metadata is whole."""

from __future__ import annotations

from webapp.persistence import audit, counters, shop, users
from webapp.persistence.base import Row

WITH_TABLES = (shop, users, counters, audit)
METADATA = Row.metadata
