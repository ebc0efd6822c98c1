"""The program killed a hundred times in the middle of mixed work: nothing that was answered may be lost or given twice.

Run as `python -m tests.bench.kill_bench`; a hundred take a quarter of an hour. `--kills 5` makes it shorter and
`--only postgresql` takes one database. It ends with 1 where anything is missing.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from random import Random
from threading import Event, Lock, Thread
from typing import Final
from uuid import UUID

import httpx2
from sqlalchemy import text

from tests.bench.load_bench import served
from tests.harness.program import Person, Program
from webapp.documents.quotes.issue import QUOTE
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.quotes.records import load_quote, load_quote_document
from webapp.persistence.rack.records import load_offcut
from webapp.running import utc_now

WORKERS: Final = 4
#: A kill comes after so many answers at most, and so many seconds at most into what is done then.
MOST_DEEDS: Final = 12
LONGEST_DEED: Final = 0.3
LONGEST_WAIT: Final = 60.0
MATERIAL: Final = "birch_plywood_18"
LINE: Final = {
    "lines.new.kind": "part", "lines.new.says": "Hook", "lines.new.quantity": "2", "lines.new.each": "9",
}  # fmt: skip


@dataclass
class Answered:
    """Everything that the program said was kept: jobs by number with the title said last, quotes, offcuts.

    `tried` are the titles that were sent after it and not answered: one of them may have been kept all the same.
    """

    titles: dict[int, str] = field(default_factory=dict)
    tried: dict[int, set[str]] = field(default_factory=dict)
    quotes: list[str] = field(default_factory=list)
    offcuts: list[str] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    lock: Lock = field(default_factory=Lock)


def work(program: Program, place: int, ending: Event, answered: Answered) -> None:
    """Mixed work until the end; whatever is cut off by a kill is left, and the next thing begun."""
    chance, turn, number = Random(place), 0, 0
    person: Person | None = None
    while not ending.is_set():
        turn += 1
        try:
            # A sign-in outlives the program, and so does a job once it was answered.
            person = person or Person(program)
            if not number or chance.random() < 0.1:
                number = person.make_job("", f"Killed {place}")
                with answered.lock:
                    answered.titles[number], answered.tried[number] = f"Killed {place}", set()
                    answered.counts["jobs"] += 1
            _one_deed(person, number, chance.choice(("save", "save", "issue", "rack")), turn, answered)
        except (httpx2.HTTPError, RuntimeError, StopIteration, AssertionError):
            ending.wait(0.1)


def _one_deed(person: Person, number: int, what: str, turn: int, answered: Answered) -> None:
    if what == "save":
        title = f"Job {number}, save {turn}"
        fields = {**person.sheet(number), "job": title}
        if not any(name.startswith("lines.line") for name in fields):
            fields |= LINE
        with answered.lock:
            answered.tried[number].add(title)
        answer = person.client.post(f"/jobs/{number}", data=fields)
        if answer.status_code == 303:
            with answered.lock:
                answered.titles[number], answered.tried[number] = title, set()
    elif what == "issue":
        address = f"/jobs/{number}/issue"
        page = person.get(address)
        if f'action="{address}"' not in page:
            return
        answer = person.send(page, address, {})
        if answer.status_code == 303:
            with answered.lock:
                answered.quotes.append(answer.headers["location"].rpartition("/")[2])
    else:
        page = person.get(f"/rack/new?material={MATERIAL}")
        sizes = {"length": f"{300 + turn} mm", "width": "200 mm", "count": "1"}
        answer = person.send(page, "/rack/new", sizes)
        found = re.search(r"done=([0-9a-f-]{36})", answer.headers.get("location", ""))
        if found:
            with answered.lock:
                answered.offcuts.append(found[1])
    with answered.lock:
        if answer.status_code == 303:
            answered.counts[what] += 1
        else:
            answered.refused[f"{what} {answer.status_code}"] += 1


def lost(database: Database, answered: Answered) -> list[str]:
    """Everything that was answered and isn't there as it was said."""
    missing = []
    with database.reading() as session:
        for number, title in answered.titles.items():
            try:
                kept = load_job_by_number(session, number).title
            except StoreError as error:
                missing.append(f"job {number}: {error}")
                continue
            if kept not in {title, *answered.tried[number]}:
                missing.append(f"job {number}: “{title}” was answered, “{kept}” is kept")
        for quote in answered.quotes:
            try:
                load_quote(session, UUID(quote), utc_now().date())
                load_quote_document(session, UUID(quote), QUOTE)
            except StoreError as error:
                missing.append(f"quote {quote}: {error}")
        for offcut in answered.offcuts:
            try:
                load_offcut(session, UUID(offcut))
            except StoreError as error:
                missing.append(f"offcut {offcut}: {error}")
        twice = session.execute(text("SELECT number FROM quotes GROUP BY number HAVING count(DISTINCT job_id) > 1"))
        missing += [f"quote number {row.number} was given twice" for row in twice]
        if database.is_sqlite and (said := session.execute(text("PRAGMA integrity_check")).scalar_one()) != "ok":
            missing.append(f"the file is damaged: {said}")
    return missing


def kill_again_and_again(program: Program, kills: int) -> Answered:
    """Work, kill, start, so many times."""
    answered, ending, chance = Answered(), Event(), Random(kills)
    threads = [Thread(target=work, args=(program, place, ending, answered)) for place in range(WORKERS)]
    for thread in threads:
        thread.start()
    try:
        for _ in range(kills):
            _wait_for(answered, chance.randint(1, MOST_DEEDS))
            time.sleep(chance.random() * LONGEST_DEED)
            program.kill()
            program.start()
    finally:
        ending.set()
        for thread in threads:
            thread.join()
    return answered


def _wait_for(answered: Answered, deeds: int) -> None:
    """Wait until so many things more were answered, however slow the machine is."""
    until, before = time.monotonic() + LONGEST_WAIT, answered.counts.total()
    while answered.counts.total() < before + deeds and time.monotonic() < until:
        time.sleep(0.01)


def main() -> int:
    """Kill on both databases and look what is there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--only", choices=("sqlite", "postgresql"))
    asked = parser.parse_args()
    status = 0
    for kind in (asked.only,) if asked.only else ("sqlite", "postgresql"):
        with served(kind) as program:
            answered = kill_again_and_again(program, asked.kills)
            address = program.database or f"sqlite:///{program.folder / 'reckoner.sqlite'}"
            database = open_database(address)
            missing = lost(database, answered)
            database.close()
        told = ", ".join(f"{count} {what}" for what, count in sorted(answered.counts.items()))
        print(f"{kind}: killed {asked.kills} times; answered {told}; ", end="")
        print(f"refused: {dict(answered.refused) or 'none'}; lost: {len(missing) or 'nothing'}", flush=True)
        for one in missing:
            print(f"  {one}")
        status |= bool(missing) or not answered.counts
    return status


if __name__ == "__main__":
    sys.exit(main())
