"""The base of every table: names of constraints that migrations can rely on, and the usual columns."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar
from uuid import UUID

from sqlalchemy import MetaData, Uuid
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import TypeEngine

from webapp.persistence.foundation.column_types import Instant

NAMES_OF_CONSTRAINTS = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Row(DeclarativeBase):
    """A table's row. Rows never leave persistence: its functions return frozen values."""

    metadata = MetaData(naming_convention=NAMES_OF_CONSTRAINTS)
    type_annotation_map: ClassVar[dict[type, type[TypeEngine[Any]]]] = {datetime: Instant, UUID: Uuid}


class Named:
    """A row known by an id that is made at the edge, before it is stored."""

    id: Mapped[UUID] = mapped_column(primary_key=True)


class Versioned:
    """A row people edit: `version` goes up with each save, and a save of an older version is refused."""

    version: Mapped[int] = mapped_column(default=1)
