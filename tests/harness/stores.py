"""Databases for tests, made by the migrations once and copied whole for each test, so that tests share nothing."""

from __future__ import annotations

import fcntl
import os
import pwd
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory, mkdtemp
from typing import Final, Protocol
from uuid import uuid4

import psycopg

from webapp.persistence.backups.upgrade import migrate
from webapp.persistence.database.database import Database, open_database

Filling = Callable[[Database], object]


class Stores(Protocol):
    """One kind of database."""

    def copy(self, content: str, filling: Filling) -> str:
        """The address of a fresh store with the content, which `filling` puts into the first one of its name."""

    def bare(self) -> str:
        """The address of a fresh database that no migration has touched."""

    def drop(self, address: str) -> None:
        """Do away with a store."""


@contextmanager
def once(file: Path) -> Iterator[Path | None]:
    """A place to write what becomes the file at the end of the block, or None where it is there already.

    Whichever process of the run is first makes it, and who wants the same waits meanwhile.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if file.exists():
            yield None
            return
        with TemporaryDirectory(dir=file.parent) as folder:
            begun = Path(folder) / file.name
            yield begun
            begun.rename(file)


@dataclass
class SqliteStores:
    """Files in a folder of their own, copied from those that the processes of a run share."""

    folder: Path
    shared: Path

    def copy(self, content: str, filling: Filling) -> str:
        template = self.shared / f"{content}.sqlite"
        if not template.exists():
            with once(template) as begun:
                if begun:
                    fill_store(f"sqlite:///{begun}", filling)
        copied = self.folder / f"{uuid4().hex}.sqlite"
        shutil.copy(template, copied)
        return f"sqlite:///{copied}"

    def bare(self) -> str:
        return f"sqlite:///{self.folder / uuid4().hex}.sqlite"

    def drop(self, address: str) -> None:
        file = Path(address.removeprefix("sqlite:///"))
        for ending in ("", "-wal", "-shm"):
            Path(f"{file}{ending}").unlink(missing_ok=True)


@dataclass
class PostgresqlStores:
    """Databases of one temporary cluster that listens on a socket only.

    Making a database takes a second or so; giving a used one back its first rows takes some hundredths. What the first
    one of a content was filled with is dumped for the other processes of the run, each of which has its own cluster.
    """

    sockets: Path
    shared: Path
    made: dict[str, str] = field(default_factory=dict)
    used: dict[str, list[str]] = field(default_factory=dict)

    def copy(self, content: str, filling: Filling) -> str:
        template, used = f"template_{content}", self.used.setdefault(content, [])
        while used:
            name = used.pop()
            if self._restore(name, self.made[content]):
                return self._address(name)
            self._do("postgres", f'DROP DATABASE "{name}" WITH (FORCE)')
        if content not in self.made:
            self._do("postgres", f'CREATE DATABASE "{template}"')
            kept = self.shared / f"{content}.dump"
            with once(kept) as begun:
                if begun:
                    fill_store(self._address(template), filling)
                    self._run("pg_dump", "-Fc", "-f", str(begun), template)
            if not begun:
                self._run("pg_restore", "-d", template, str(kept))
            with self._connect(template) as connection:
                connection.execute(KEEP_ROWS)
                self.made[content] = schema_of(connection)
        name = f"{content}_{uuid4().hex}"
        self._do("postgres", f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return self._address(name)

    def bare(self) -> str:
        name = f"bare_{uuid4().hex}"
        self._do("postgres", f'CREATE DATABASE "{name}"')
        return self._address(name)

    def drop(self, address: str) -> None:
        name = address.partition("@/")[2].partition("?")[0]
        content = name.rpartition("_")[0]
        if content == "bare":
            self._do("postgres", f'DROP DATABASE "{name}" WITH (FORCE)')
        else:
            self.used[content].append(name)

    def _restore(self, name: str, schema: str) -> bool:
        """Give a used database its first rows again; False where a test changed its tables, triggers or indexes."""
        with self._connect(name) as connection:
            unchanged = schema_of(connection) == schema
            if unchanged:
                connection.execute(GIVE_ROWS_BACK)
            return unchanged

    def _address(self, name: str) -> str:
        return f"postgresql+psycopg://postgres@/{name}?host={self.sockets}"

    def _run(self, program: str, *arguments: str) -> None:
        command = [str(postgresql_programs() / program), "-h", str(self.sockets), "-U", "postgres", *arguments]
        subprocess.run(command, check=True, capture_output=True)

    def _do(self, name: str, statement: str) -> None:
        with self._connect(name) as connection:
            connection.execute(statement.encode())

    def _connect(self, name: str) -> psycopg.Connection:
        return psycopg.connect(f"user=postgres dbname={name} host={self.sockets}", autocommit=True)


KEEP_ROWS: Final = """
DO $$ DECLARE held record; BEGIN
  CREATE SCHEMA first_rows;
  FOR held IN SELECT tablename AS name FROM pg_tables WHERE schemaname = 'public' LOOP
    EXECUTE format('CREATE TABLE first_rows.%1$I AS TABLE public.%1$I', held.name);
  END LOOP;
END $$
"""
# Whatever a test may have altered: a trigger left out would let the next test change what is never changed.
SCHEMA: Final = """
SELECT string_agg(line, E'\\n' ORDER BY line) FROM (
  SELECT format('%s.%s.%s %s', table_schema, table_name, column_name, data_type) AS line
    FROM information_schema.columns WHERE table_schema IN ('public', 'first_rows')
  UNION ALL SELECT pg_get_triggerdef(oid) || tgenabled::text FROM pg_trigger WHERE NOT tgisinternal
  UNION ALL SELECT pg_get_constraintdef(oid) FROM pg_constraint WHERE connamespace = 'public'::regnamespace
  UNION ALL SELECT indexdef FROM pg_indexes WHERE schemaname = 'public'
  UNION ALL SELECT pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = 'public'::regnamespace
) AS lines
"""
# As a replica the session fires no triggers: not those of foreign keys, nor those that refuse changes.
GIVE_ROWS_BACK: Final = """
DO $$ DECLARE held record; BEGIN
  SET LOCAL lock_timeout = '5s';
  SET LOCAL session_replication_role = replica;
  FOR held IN SELECT tablename AS name FROM pg_tables WHERE schemaname = 'first_rows' LOOP
    EXECUTE format('DELETE FROM public.%1$I', held.name);
    EXECUTE format('INSERT INTO public.%1$I SELECT * FROM first_rows.%1$I', held.name);
  END LOOP;
END $$
"""


def schema_of(connection: psycopg.Connection) -> str:
    """What a PostgreSQL database is built of, as text to compare."""
    found = connection.execute(SCHEMA).fetchone()
    return str(found[0]) if found else ""


def fill_store(address: str, filling: Filling) -> None:
    """Migrate an empty store and fill it."""
    migrate(address)
    database = open_database(address)
    try:
        filling(database)
    finally:
        database.close()


def postgresql_programs() -> Path:
    """The folder of PostgreSQL's own programs, newest first."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda file: int(file.parts[-3]))
    if not found:
        raise RuntimeError("The tests run on PostgreSQL too, and it is missing.")
    return found[-1].parent


@contextmanager
def postgresql_cluster(shared: Path | None = None, *, synced: bool = False) -> Iterator[PostgresqlStores]:
    """A cluster of its own, which PostgreSQL refuses to run as root: then it runs as the user Debian made for it.

    In `shared` the processes of a run keep what they fill stores with. `synced` lets it wait for the disk at each
    commit, as a shop's own does and tests don't need.
    """
    programs, folder = postgresql_programs(), Path(mkdtemp(prefix="reckoner-pg-"))
    user = "postgres" if os.geteuid() == 0 else None
    if user:
        person = pwd.getpwnam(user)
        os.chown(folder, person.pw_uid, person.pw_gid)

    def do(program: str, *arguments: str) -> None:
        subprocess.run(
            [programs / program, *arguments],
            user=user,
            group=user,
            extra_groups=[] if user else None,
            cwd=folder,
            check=True,
            capture_output=True,
        )

    data = str(folder / "data")
    try:
        do("initdb", "-D", data, "-N", "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C.UTF-8")
        waits = "" if synced else "-c fsync=off -c full_page_writes=off "
        options = f"{waits}-c listen_addresses='' -c unix_socket_directories='{folder}'"
        do("pg_ctl", "start", "-D", data, "-w", "-l", str(folder / "log"), "-o", options)
        try:
            yield PostgresqlStores(folder, shared or folder / "shared")
        finally:
            do("pg_ctl", "stop", "-D", data, "-m", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
