"""Pages of a shop with 10,000 jobs, 20,000 materials and 100,000 prices beside the same pages of the demo shop, on both
databases. Run as `python -m tests.bench.size_bench` on an otherwise idle machine; it takes some minutes.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Final

from tests.bench.size_store import make_big
from tests.bench.yardstick import yardstick_seconds
from tests.harness.stores import SqliteStores, Stores, postgresql_cluster
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.opening import load_demo_once
from webapp.persistence.database.database import Database, open_database
from webapp.settings import Settings

#: What each page is, and the addresses it is measured at: the same in both shops.
PAGES: Final = {
    "start": ("/",),
    "search, words": ("/search?q=bench", "/search?q=street+pale", "/search?q=ply"),
    "search, a number": ("/search?q=2",),
    "search, nothing there": ("/search?q=nothing+like+it",),
    "a job": ("/jobs/1", "/jobs/2"),
    "job list": ("/jobs", "/jobs?words=bench", "/jobs?words=2", "/jobs?state=open", "/jobs?sort=customer"),
    "quotes": ("/quotes",),
    "designs": ("/designs",),
    "material list": ("/materials", "/materials?words=ply", "/materials?kind=sheet", "/materials?unpriced=yes"),
    "buying": ("/buying?chosen=yes&job=1",),
    "settings tried": ("/settings/compare?one=0&other=0",),
}
ROUNDS: Final = 7
AIM: Final = 3


@contextmanager
def opened(stores: Stores, content: str) -> Iterator[Database]:
    """A store of its own with the demo shop."""
    database = open_database(stores.copy(content, load_demo_once))
    yield database
    database.close()


def time_pages(database: Database, folder: Path) -> dict[str, float]:
    """Milliseconds of each page, each address once beforehand: the middle of some rounds, over its addresses."""
    visitor = Visitor(create_app(Settings(data_folder=folder, port=0), database))
    visitor.sign_in()
    times = {}
    for name, addresses in PAGES.items():
        taken = []
        for place in range(ROUNDS + 1):
            started = perf_counter()
            for address in addresses:
                answer = visitor.get(address)
                assert answer.status_code == 200, (address, answer.status_code)
            if place:
                taken.append((perf_counter() - started) * 1000 / len(addresses))
        times[name] = median(taken)
    return times


def compare(name: str, stores: Stores, folder: Path) -> None:
    """Print the table of one database."""
    with opened(stores, "demo") as database:
        small = time_pages(database, folder)
    with opened(stores, "demo") as database:
        started = perf_counter()
        make_big(database)
        print(f"{name}: the big shop was made in {perf_counter() - started:.0f} s")
        big = time_pages(database, folder)
    print(f"{'':24}{'demo, ms':>10}{'big, ms':>10}{'times':>8}")
    for page, before in small.items():
        ratio = big[page] / before
        print(f"{page:24}{before:10.1f}{big[page]:10.1f}{ratio:8.1f}{'' if ratio <= AIM else '  over the aim'}")


def main() -> None:
    """Print the tables of both databases."""
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms; aim: within {AIM} times the demo shop")
    with tempfile.TemporaryDirectory() as folder:
        compare("SQLite", SqliteStores(Path(folder), Path(folder)), Path(folder))
        with postgresql_cluster() as stores:
            compare("PostgreSQL", stores, Path(folder))


if __name__ == "__main__":
    main()
