"""A visitor for page tests: a client with its sign-in, which puts the token in every form it sends."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

import httpx2
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select

from webapp.persistence.database.database import Database
from webapp.persistence.people.users import OWNER, UserRow, start_sign_in
from webapp.running import Running
from webapp.security.cookies import SIGN_IN_COOKIE, digest_of, new_key
from webapp.security.forms import TOKEN_FIELD, TOKEN_HEADER, token_for


def signed_in(database: Database, now: datetime, name: str | None = None) -> str:
    """The key that a browser of that person or the first owner holds, signed in from now on."""
    key = new_key()
    with database.writing() as session:
        wanted = UserRow.role == OWNER if name is None else UserRow.name == name
        user_id = session.scalars(select(UserRow.id).where(wanted).order_by(UserRow.added_at)).first()
        assert user_id is not None, "nobody may sign in here yet"
        start_sign_in(session, user_id, digest_of(key), now, timedelta(days=1))
    return key


class Visitor(TestClient):
    """Calls the program as a browser on the same machine would. Nothing is followed unless asked for."""

    def __init__(self, app: FastAPI) -> None:
        super().__init__(
            app,
            base_url="http://localhost",
            follow_redirects=False,
            client=("127.0.0.1", 50000),
            raise_server_exceptions=True,
        )
        self.program: Running = app.state.running

    def sign_in(self, name: str | None = None) -> None:
        """Be signed in as that person or the first owner, without the tenth of a second a password takes."""
        self.cookies.set(SIGN_IN_COOKIE, signed_in(self.program.database, self.program.now(), name))

    @property
    def csrf_token(self) -> str:
        """The token that this visitor's forms carry."""
        key = self.cookies.get(SIGN_IN_COOKIE) or self.cookies.get("reckoner_visit") or ""
        return token_for(self.program.secret_key, key)

    def send_form(self, address: str, fields: Mapping[str, Any] | None = None, **further: Any) -> httpx2.Response:
        """Send a form as a page would, token included. `files=` sends uploads."""
        return self.post(address, data={TOKEN_FIELD: self.csrf_token, **(fields or {})}, **further)

    def swap(self, address: str, fields: Mapping[str, Any] | None = None, method: str = "POST") -> httpx2.Response:
        """Ask for a part of a page, as the script on it would."""
        headers = {"HX-Request": "true", TOKEN_HEADER: self.csrf_token}
        if method == "GET":
            return self.get(address, params=fields, headers=headers)
        return self.request(method, address, data=fields or {}, headers=headers)
