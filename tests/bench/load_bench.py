"""Sixteen people at a real server, each saving a job once in ten seconds, on both databases: how long a save takes.

Run as `python -m tests.bench.load_bench` on an otherwise idle machine; it takes some seven minutes. `--minutes 0.5`,
`--people 4` and `--only sqlite` make it shorter. It ends with 1 where a save failed or the 95th of 100 took too long.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import httpx2

from tests.bench.yardstick import yardstick_seconds
from tests.harness.program import Person, Program, running_program
from tests.harness.stores import postgresql_cluster

EVERY: Final = 10.0
AIM: Final = 2.0
DESIGNS: Final = (
    "bench_cabinet", "drying_rack", "hollow_core_top", "sheet_rack", "trestle_bench", "tube_frame_bench",
    "wall_rail_storage", "ware_cart",
)  # fmt: skip


@dataclass
class Seen:
    """What somebody met with: seconds of each save until it was answered, and until its sheet was there too."""

    saves: list[float] = field(default_factory=list)
    sheets: list[float] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


def work(program: Program, place: int, people: int, until: float) -> Seen:
    """One person at a job of their own, who changes a size each time and saves."""
    person, seen = Person(program), Seen()
    number = person.make_job(f"design:{DESIGNS[place % len(DESIGNS)]}", f"Load {place}")
    fields = person.sheet(number)
    size = next(name for name in fields if ".sizes." in name)
    first = int(fields[size].split()[0].replace(",", ""))
    turn = time.monotonic() + EVERY * place / people
    while turn < until:
        time.sleep(max(0.0, turn - time.monotonic()))
        fields[size] = f"{first - 1 - len(seen.saves) - len(seen.failed)} mm"
        began = time.monotonic()
        try:
            answer = person.client.post(f"/jobs/{number}", data=fields)
            if answer.status_code != 303:
                seen.failed.append(str(answer.status_code))
            else:
                seen.saves.append(time.monotonic() - began)
            fields = person.sheet(number)
            seen.sheets.append(time.monotonic() - began)
        except httpx2.HTTPError as error:
            seen.failed.append(type(error).__name__)
        turn += EVERY
    return seen


def share(times: list[float], hundredths: int) -> float:
    """The time that so many of a hundred didn't pass."""
    ordered = sorted(times)
    return ordered[min(len(ordered) - 1, len(ordered) * hundredths // 100)]


def measure(name: str, program: Program, people: int, minutes: float) -> bool:
    """Let them work, print what they met with, and say whether the aim was met."""
    with ThreadPoolExecutor(people) as pool:
        until = time.monotonic() + minutes * 60
        met = list(pool.map(lambda place: work(program, place, people, until), range(people)))
    saves = [one for seen in met for one in seen.saves]
    sheets = [one for seen in met for one in seen.sheets]
    failed = Counter(one for seen in met for one in seen.failed)
    if not saves:
        print(f"{name}: no save was answered; {dict(failed)}")
        return False
    told = f"p50 {share(saves, 50):.2f} s, p95 {share(saves, 95):.2f} s, slowest {max(saves):.2f} s"
    print(
        f"{name}: {people} people, {len(saves)} saves, {told} (aim: p95 {AIM:.0f} s); with the sheet after it "
        f"p50 {share(sheets, 50):.2f} s, p95 {share(sheets, 95):.2f} s; failed: {dict(failed) or 'none'}",
        flush=True,
    )
    return not failed and share(saves, 95) <= AIM


@contextmanager
def served(kind: str) -> Iterator[Program]:
    """The program with the demo shop on one kind of database."""
    with tempfile.TemporaryDirectory() as folder:
        if kind == "sqlite":
            with running_program(Path(folder)) as program:
                yield program
            return
        with postgresql_cluster(synced=True) as stores, running_program(Path(folder), stores.bare()) as program:
            yield program


def main() -> int:
    """Measure both."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=16)
    parser.add_argument("--minutes", type=float, default=3.0)
    parser.add_argument("--only", choices=("sqlite", "postgresql"))
    asked = parser.parse_args()
    print(f"yardstick loop: {yardstick_seconds() * 1000:.0f} ms", flush=True)
    well = True
    for kind in (asked.only,) if asked.only else ("sqlite", "postgresql"):
        with served(kind) as program:
            well &= measure(kind, program, asked.people, asked.minutes)
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
