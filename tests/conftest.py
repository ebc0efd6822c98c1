"""Fixtures for every room of tests, and the count of outside checks. A skipped test fails the run."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from functools import partial
from pathlib import Path

import hypothesis
import pytest
from fastapi import FastAPI
from playwright.sync_api import Page

from tests.harness.browsing import OpenPage, Pages
from tests.harness.desk import Desk
from tests.harness.examples import LONG, tried
from tests.harness.outside_checks import counted_as, summary
from tests.harness.printing import PrintedOnce
from tests.harness.serving import LiveServer, chromium, serve
from tests.harness.stores import Filling, PostgresqlStores, SqliteStores, Stores, postgresql_cluster
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.documents.printing.pdf_worker import WORKER
from webapp.opening import load_demo_once
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.people.users import add_user
from webapp.persistence.settings.shop import Shop, open_shop
from webapp.running import utc_now
from webapp.settings import Settings

# How long an example takes says more about the machine than about the program.
hypothesis.settings.register_profile("untimed", deadline=None, max_examples=tried(100))
hypothesis.settings.load_profile("untimed")

TEST_SHOP = Shop(
    name="Test Bench Shop",
    address="1 Sawdust Row",
    contact="555 0100",
    currency="USD",
    currency_places=2,
    length_system="inch",
    time_zone="America/Chicago",
    paper="Letter",
)


def fill_with_shop(database: Database) -> None:
    """A shop of the tests' own with one owner, whose password fits nothing."""
    with database.writing() as session:
        open_shop(session, TEST_SHOP)
        add_user(session, name="owner", password_hash="none", added_at=utc_now())


# ---- stores -------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def shared_folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is made once for all processes of this run is kept here."""
    folder = tmp_path_factory.getbasetemp()
    return (folder.parent if hasattr(request.config, "workerinput") else folder) / "shared"


@pytest.fixture(scope="session")
def sqlite_stores(tmp_path_factory: pytest.TempPathFactory, shared_folder: Path) -> SqliteStores:
    """Where SQLite files of this run are."""
    return SqliteStores(tmp_path_factory.mktemp("stores"), shared_folder)


@pytest.fixture(scope="session")
def postgresql_stores(shared_folder: Path) -> Iterator[PostgresqlStores]:
    """A PostgreSQL cluster of this process's own."""
    with postgresql_cluster(shared_folder) as stores:
        yield stores


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that uses a store on both databases.

    Pages reach a store through persistence alone, whose tests all run on both; of the pages' own tests those do that
    are marked so, which walk every page and the main path.
    """
    if "stores" in metafunc.fixturenames:
        only_sqlite = "pages" in metafunc.definition.path.parts and not metafunc.definition.get_closest_marker("both")
        metafunc.parametrize("stores", ["sqlite"] if only_sqlite else ["sqlite", "postgresql"], indirect=True)


@pytest.fixture
def stores(request: pytest.FixtureRequest) -> Stores:
    """One kind of store or the other."""
    found: Stores = request.getfixturevalue(f"{request.param}_stores")
    return found


def _opened(stores: Stores, content: str, filling: Filling) -> Iterator[Database]:
    address = stores.copy(content, filling)
    database = open_database(address)
    yield database
    database.close()
    stores.drop(address)


@pytest.fixture
def database(stores: Stores) -> Iterator[Database]:
    """A migrated store with nothing in it."""
    yield from _opened(stores, "empty", lambda _: None)


@pytest.fixture
def shop_database(stores: Stores) -> Iterator[Database]:
    """A store with a shop and its owner, and nothing else."""
    yield from _opened(stores, "shop", fill_with_shop)


@pytest.fixture(scope="session", autouse=True)
def printed_once(shared_folder: Path) -> Iterator[PrintedOnce]:
    """The program's papers, each printed once for the whole run, whichever process is first.

    That the same paper gives the same bytes in any process is held by the tests of the PDF itself, which print anew.
    """
    printed = PrintedOnce(shared_folder, WORKER.make)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WORKER, "make", printed.make)
        yield printed


@pytest.fixture
def unprinted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers come as the text that they are printed from, where it is what they say that is looked at.

    A print takes seconds, and reading it as long; what it shows of the text is held by the tests of the PDF itself.
    """
    monkeypatch.setattr(WORKER, "make", str.encode)


@pytest.fixture(scope="session")
def fill_demo(printed_once: PrintedOnce) -> Filling:
    """Loads the demo shop."""
    return partial(load_demo_once, make=printed_once.make)


@pytest.fixture
def demo_database(stores: Stores, fill_demo: Filling) -> Iterator[Database]:
    """A store with the whole demo shop."""
    yield from _opened(stores, "demo", fill_demo)


# ---- pages --------------------------------------------------------------------------------------------------------


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings with a data folder of the test's own."""
    return Settings(data_folder=tmp_path / "data", port=0)


@pytest.fixture
def app(settings: Settings, shop_database: Database) -> FastAPI:
    """The program on a store with a shop and its owner."""
    return create_app(settings, shop_database)


@pytest.fixture
def stranger(app: FastAPI) -> Visitor:
    """A browser that nobody is signed in with."""
    return Visitor(app)


@pytest.fixture
def client(app: FastAPI) -> Visitor:
    """The owner's browser, signed in, on the shop without stock or jobs."""
    visitor = Visitor(app)
    visitor.sign_in()
    return visitor


@pytest.fixture
def demo_client(settings: Settings, demo_database: Database) -> Visitor:
    """A browser signed in to the demo shop."""
    visitor = Visitor(create_app(settings, demo_database))
    visitor.sign_in()
    return visitor


# ---- browser ------------------------------------------------------------------------------------------------------


@pytest.fixture
def live_server(settings: Settings, sqlite_stores: SqliteStores, fill_demo: Filling) -> Iterator[LiveServer]:
    """The demo shop, served on a port."""
    for database in _opened(sqlite_stores, "demo", fill_demo):
        with serve(settings, database) as server:
            yield server


@pytest.fixture
def live_empty_server(settings: Settings, sqlite_stores: SqliteStores) -> Iterator[LiveServer]:
    """An empty store, served on a port: its first visit sets up a shop."""
    for database in _opened(sqlite_stores, "empty", lambda _: None):
        with serve(settings, database) as server:
            yield server


@pytest.fixture(scope="session")
def pages() -> Iterator[Pages]:
    """One Chromium for the run, and one process that makes PDFs, which every server would else start anew."""
    WORKER.warm()
    with chromium() as opened:
        yield Pages(opened)
    WORKER.stop()


@pytest.fixture
def browser_page(pages: Pages) -> Iterator[Page]:
    """A page at a desk."""
    with pages.opened() as page:
        yield page


@pytest.fixture
def open_page(pages: Pages) -> Iterator[OpenPage]:
    """Opens a page as a test wants it: on a telephone, in the dark, without script."""
    with ExitStack() as opened:
        yield lambda **options: opened.enter_context(pages.opened(**options))


@pytest.fixture
def desk(live_server: LiveServer, browser_page: Page, open_page: OpenPage) -> Iterator[Desk]:
    """The owner of the demo shop at a job, with a server that may be switched off and on."""
    found = Desk(live_server, browser_page, open_page)
    with found.running:
        found.server = found.running.enter_context(serve(live_server.settings, live_server.database))
        found.sign_in()
        yield found
        found.page.goto("about:blank")


# ---- what a run makes, and the count of outside checks ------------------------------------------------------------


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave to a long run what takes minutes, and let each outside check carry its kind and source to the report."""
    left = [] if LONG else [item for item in items if item.get_closest_marker("long")]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]
    for item in items:
        for marker in item.iter_markers("outside"):
            try:
                item.user_properties.append(("outside", counted_as(marker.kwargs)))
            except ValueError as wrong:
                raise pytest.UsageError(f"{item.nodeid}: {wrong}") from wrong


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many outside checks ran, each kind apart, and by how many sources."""
    passed = [dict(report.user_properties) for report in terminalreporter.getreports("passed")]
    for line in summary(tuple(found["outside"]) for found in passed if "outside" in found):
        terminalreporter.write_line(line)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail the run where a test was skipped: what it checks would be taken for checked."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if reporter is not None and reporter.stats.get("skipped") and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
