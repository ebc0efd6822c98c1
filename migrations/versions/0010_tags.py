"""What a material is, in tags, for the places that ask: until somebody says, nobody knows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("materials", sa.Column("tags", sa.String(), nullable=True))
