"""How Alembic reaches the database: by a connection handed to it, or by the settings when it is run by hand."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection

from webapp.persistence.database.database import open_database
from webapp.persistence.database.tables import METADATA
from webapp.settings import Settings


def _run(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=METADATA,
        render_as_batch=True,
        transaction_per_migration=True,
        compare_type=True,
        compare_server_default=True,
    )
    with context.begin_transaction():
        context.run_migrations()


_given: Connection | None = context.config.attributes.get("connection")
if _given is not None:
    _run(_given)
else:
    _database = open_database(Settings().database_address, keep_foreign_keys=False)
    with _database.engine.connect().execution_options(writes=True) as _connection:
        _run(_connection)
    _database.close()
