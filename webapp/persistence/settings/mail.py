"""The shop's mail server as the owner set it. Its password is not kept in the store, so that no backup holds it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import CheckConstraint, delete, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row


class MailServerRow(Row):
    """The one server; its key can only be 1."""

    __tablename__ = "mail_server"
    __table_args__ = (
        CheckConstraint("id = 1", name="only_one"),
        CheckConstraint("security IN ('tls', 'starttls')", name="security"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    host: Mapped[str]
    port: Mapped[int]
    security: Mapped[str]
    user: Mapped[str]
    sender: Mapped[str]
    sender_name: Mapped[str]


@dataclass(frozen=True, slots=True)
class StoredMailServer:
    """A mail server as it is kept."""

    host: str
    port: int
    security: str
    user: str
    sender: str
    sender_name: str


def load_mail_server(session: Session) -> StoredMailServer | None:
    """The server, where one is set."""
    row = session.scalar(select(MailServerRow))
    if row is None:
        return None
    return StoredMailServer(row.host, row.port, row.security, row.user, row.sender, row.sender_name)


def save_mail_server(session: Session, server: StoredMailServer | None) -> None:
    """Keep a server in place of the one before; None forgets it."""
    session.execute(delete(MailServerRow))
    if server is not None:
        session.add(
            MailServerRow(
                id=1, host=server.host, port=server.port, security=server.security, user=server.user,
                sender=server.sender, sender_name=server.sender_name,
            )
        )  # fmt: skip
    session.flush()
