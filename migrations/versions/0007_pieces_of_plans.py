"""Cut plans are found by what they cut, too: those that were looked into in the background say what that is."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any, Final

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

#: What a piece was made of at this revision, in order, with what stood for a part that was not told.
_PIECES: Final[Mapping[str, tuple[str, Mapping[str, Any]]]] = {
    "sheets": (
        "SheetRequest",
        {"id": "", "length": 0, "width": 0, "count": 0, "may_turn": False, "together": ""},
    ),
    "lengths": ("LengthRequest", {"id": "", "length": 0, "count": 0, "spliceable": False, "mitred": False}),
}


def upgrade() -> None:
    op.add_column("plans", sa.Column("pieces", sa.String(), nullable=True))
    op.create_index(op.f("ix_plans_pieces"), "plans", ["pieces"])
    tasks = sa.table("plan_tasks", sa.column("key", sa.String()), sa.column("request", kept.CanonicalJson()))
    plans = sa.table("plans", sa.column("key", sa.String()), sa.column("pieces", sa.String()))
    connection = op.get_bind()
    for key, request in connection.execute(sa.select(tasks.c.key, tasks.c.request)).all():
        connection.execute(sa.update(plans).where(plans.c.key == key).values(pieces=pieces_of(request)))


def pieces_of(request: Mapping[str, Any]) -> str | None:
    """The digest of the pieces that a kept question asks for; nothing where it can't be read."""
    kind, usual = _PIECES.get(str(request.get("cut")), ("", {}))
    asked = request.get("asked")
    if not kind or not isinstance(asked, Mapping):
        return None
    told = ";".join(",".join(str(one.get(name, left)) for name, left in usual.items()) for one in asked["pieces"])
    return hashlib.sha256(f"{kind}|{told}".encode()).hexdigest()
