"""What pages answer in the demo shop on one day, kept as lines to compare.

`python -m tests.pages.renew_snapshots` writes them anew; the difference is read in git, as what a person would see
change. What stands there is no proof that it is right: the sums are checked elsewhere.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Final

from tests.harness.calm import calm
from tests.harness.stores import SqliteStores
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.opening import load_demo_once
from webapp.persistence.database.database import open_database
from webapp.settings import Settings

KEPT: Final = Path(__file__).parent / "snapshots"
NOW: Final = datetime(2026, 11, 2, 15, tzinfo=UTC)
#: Where an address says so, the id of the quote that the list names first.
QUOTE: Final = "{quote}"
#: Asked for in this order by the owner; `sign-in` by somebody who isn't signed in.
PAGES: Final[Mapping[str, str]] = {
    "sign-in": "/sign-in",
    "start": "/",
    "jobs": "/jobs",
    "new-job": "/jobs/new",
    "job-of-bench-cabinets": "/jobs/2",
    "job-of-an-assembly-table": "/jobs/3",
    "working-of-a-price": "/jobs/2/working/price/net",
    "cut-plans": "/jobs/2/plans",
    "telephone": "/price?bench=design:trestle_bench",
    "bench-that-was-made": "/made-before?start=design:trestle_bench",
    "designs": "/designs",
    "design": "/designs/bench_cabinet",
    "prices": "/prices",
    "material": "/materials/white_oak",
    "rack": "/rack",
    "shopping-list": "/buying",
    "quotes": "/quotes",
    "quote": f"/quotes/{QUOTE}",
    "customers": "/customers",
    "settings": "/settings",
    "settings-of-cutting": "/settings/cutting",
    "history": "/people/history?kind=quote",
    "no-such-page": "/nowhere",
}
#: The head with the way to the rooms is the same on every page.
WITH_HEAD: Final = frozenset({"sign-in", "start"})
HEAD: Final = re.compile(r"^header:\n(?:  .*\n)*", re.MULTILINE)


def answers() -> Iterator[tuple[str, str]]:
    """The name of each page with its lines, as the demo shop answers on the day; its papers are not looked at."""
    with tempfile.TemporaryDirectory() as named:
        folder = Path(named)
        day = partial(load_demo_once, make=lambda _: b"", now=NOW)
        database = open_database(SqliteStores(folder, folder / "shared").copy("demo", day))
        stranger, owner = (
            Visitor(create_app(Settings(data_folder=folder, port=0), database, lambda: NOW)) for _ in range(2)
        )
        owner.sign_in()
        quote = ""
        for name, address in PAGES.items():
            answer = (stranger if name == "sign-in" else owner).get(address.replace(QUOTE, quote))
            assert answer.status_code == (404 if name == "no-such-page" else 200), (name, answer.status_code)
            lines = calm(answer.text)
            if name == "quotes":
                quote = answer.text.partition('href="/quotes/')[2].partition('"')[0]
            yield name, lines if name in WITH_HEAD else HEAD.sub("", lines)
        database.close()


def kept(name: str) -> str:
    """The lines of a page as they were last agreed to."""
    file = KEPT / f"{name}.txt"
    return file.read_text(encoding="utf-8") if file.exists() else ""


def renew() -> list[str]:
    """Write what is answered now; returns the names of the pages that changed."""
    found = dict(answers())
    moved = [name for name, lines in found.items() if lines != kept(name)]
    KEPT.mkdir(exist_ok=True)
    for file in KEPT.iterdir():
        if file.stem not in found:
            file.unlink()
    for name in moved:
        (KEPT / f"{name}.txt").write_text(found[name], encoding="utf-8")
    return moved


if __name__ == "__main__":
    print(f"Changed: {', '.join(renew()) or 'nothing'}")
