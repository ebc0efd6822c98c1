"""Databases for tests, made by the migrations once and copied whole for each test, so that tests share nothing."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkdtemp
from typing import Protocol
from uuid import uuid4

import psycopg

from webapp.persistence.database import Database, migrate, open_database

Filling = Callable[[Database], object]


class Stores(Protocol):
    """One kind of database."""

    def copy(self, content: str, filling: Filling) -> str:
        """The address of a fresh store with the content, which `filling` puts into the first one of its name."""

    def drop(self, address: str) -> None:
        """Do away with a store."""


@dataclass
class SqliteStores:
    """Files in a folder of their own."""

    folder: Path
    made: set[str] = field(default_factory=set)

    def copy(self, content: str, filling: Filling) -> str:
        template = self.folder / f"{content}.sqlite"
        if content not in self.made:
            fill_store(f"sqlite:///{template}", filling)
            self.made.add(content)
        copied = self.folder / f"{uuid4().hex}.sqlite"
        shutil.copy(template, copied)
        return f"sqlite:///{copied}"

    def drop(self, address: str) -> None:
        file = Path(address.removeprefix("sqlite:///"))
        for ending in ("", "-wal", "-shm"):
            Path(f"{file}{ending}").unlink(missing_ok=True)


@dataclass
class PostgresqlStores:
    """Databases of one temporary cluster that listens on a socket only."""

    sockets: Path
    made: set[str] = field(default_factory=set)

    def copy(self, content: str, filling: Filling) -> str:
        template = f"template_{content}"
        if content not in self.made:
            self._do(f'CREATE DATABASE "{template}"')
            fill_store(self._address(template), filling)
            self.made.add(content)
        copied = f"copy_{uuid4().hex}"
        self._do(f'CREATE DATABASE "{copied}" TEMPLATE "{template}"')
        return self._address(copied)

    def drop(self, address: str) -> None:
        name = address.partition("@/")[2].partition("?")[0]
        self._do(f'DROP DATABASE "{name}" WITH (FORCE)')

    def _address(self, name: str) -> str:
        return f"postgresql+psycopg://postgres@/{name}?host={self.sockets}"

    def _do(self, statement: str) -> None:
        with psycopg.connect(f"user=postgres dbname=postgres host={self.sockets}", autocommit=True) as connection:
            connection.execute(statement.encode())


def fill_store(address: str, filling: Filling) -> None:
    """Migrate an empty store and fill it."""
    migrate(address)
    database = open_database(address)
    filling(database)
    database.close()


def postgresql_programs() -> Path:
    """The folder of PostgreSQL's own programs, newest first."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda file: int(file.parts[-3]))
    if not found:
        raise RuntimeError("The tests run on PostgreSQL too, and it is missing.")
    return found[-1].parent


@contextmanager
def postgresql_cluster() -> Iterator[PostgresqlStores]:
    """A cluster of its own, which PostgreSQL refuses to run as root: then it runs as the user Debian made for it."""
    programs, folder = postgresql_programs(), Path(mkdtemp(prefix="reckoner-pg-"))
    user = "postgres" if os.geteuid() == 0 else None
    if user:
        person = pwd.getpwnam(user)
        os.chown(folder, person.pw_uid, person.pw_gid)

    def do(program: str, *arguments: str) -> None:
        subprocess.run(
            [programs / program, *arguments], user=user, group=user, extra_groups=[] if user else None,
            cwd=folder, check=True, capture_output=True,
        )

    data = str(folder / "data")
    try:
        do("initdb", "-D", data, "-N", "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C.UTF-8")
        options = f"-c fsync=off -c full_page_writes=off -c listen_addresses='' -c unix_socket_directories='{folder}'"
        do("pg_ctl", "start", "-D", data, "-w", "-l", str(folder / "log"), "-o", options)
        try:
            yield PostgresqlStores(folder)
        finally:
            do("pg_ctl", "stop", "-D", data, "-m", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
