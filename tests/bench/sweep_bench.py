"""A whole sweep of the largest starter as the background worker makes it: seconds by one core and by two, beside the
fixed yardstick loop, and how its time goes.

Run as `python -m tests.bench.sweep_bench` on an otherwise idle machine; a starter's code in its place sweeps that one.
"""

from __future__ import annotations

import sys
import tempfile
import time
from functools import partial
from pathlib import Path
from threading import Event
from typing import Final

from tests.bench.yardstick import yardstick_seconds
from webapp.costing.design_form.reader import read_design
from webapp.costing.sweep.cases import Subject
from webapp.costing.sweep.course import Course, Worker
from webapp.costing.sweep.result import read_result
from webapp.opening import load_demo_once, open_store
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import load_design
from webapp.persistence.settings.shop import load_shop
from webapp.persistence.sweeps.tasks import ask, claim_sweep, find_sweep
from webapp.running import utc_now
from webapp.settings import Settings
from webapp.sweeps.gathered import gather, key_of
from webapp.sweeps.work import SweepWork, cores_here

LARGEST: Final = "hollow_core_top"
#: Seconds that a sweep of the largest starter may take on two cores.
AIM: Final = 20


def subject_of(database: Database, code: str) -> Subject:
    """A starter as it is swept in the demo shop."""
    with database.reading() as session:
        document = load_design(session, code).document
        design, _ = read_design(document)
        assert design is not None
        return gather(session, document, design, utc_now()).subject(design)


def by_stage(subject: Subject) -> None:
    """How long each sort of piece takes on one core, without a store."""
    began = time.perf_counter()
    worker = Worker(subject)
    course = Course(subject, worker.cases)
    print(f"  {'cases made ready':<18} {time.perf_counter() - began:6.2f} s")
    spent = dict[str, list[float]]()
    while left := course.left():
        for piece in left:
            began = time.perf_counter()
            course.take(piece, worker.do(piece))
            spent.setdefault(piece.sort, []).append(time.perf_counter() - began)
    for sort, seconds in spent.items():
        print(f"  {sort:<18} {sum(seconds):6.2f} s  for {len(seconds)} pieces")


def whole(database: Database, code: str, cores: int) -> float:
    """Seconds from the claim of a sweep to its result, as the worker makes it."""
    with database.writing() as session:
        stored = load_design(session, code)
        key = key_of(stored.document, load_shop(session))
        ask(session, key, code, stored.name, stored.document, at=utc_now(), anew=True)
        held = claim_sweep(session, "the bench", at=utc_now(), key=key)
    assert held is not None
    began = time.perf_counter()
    SweepWork(database, "the bench", held, Event(), utc_now, cores=cores).run()
    seconds = time.perf_counter() - began
    with database.reading() as session:
        sweep = find_sweep(session, key)
    assert sweep is not None
    assert sweep.result is not None
    found = read_result(sweep.result)
    print(f"  {cores} of {cores_here()} cores: {seconds:5.1f} s, aim {AIM} s on two; {found.cases} cases, "
          f"{len(found.faults)} kinds of fault, {found.refused} refused")  # fmt: skip
    return seconds


def main() -> None:
    """Print it."""
    code = sys.argv[1] if len(sys.argv) > 1 else LARGEST
    yardstick = yardstick_seconds()
    print(f"yardstick loop: {yardstick * 1000:.0f} ms; a sweep of {code}")
    with tempfile.TemporaryDirectory() as folder:
        opened = open_store(Settings(data_folder=Path(folder), plan_workers=0), demo=False)
        # Papers are of no account here: what the demo's quotes would print is kept as it is written.
        load_demo_once(opened.database, make=partial(str.encode, encoding="utf-8"))
        for cores in (2, 1):
            seconds = whole(opened.database, code, cores)
            print(f"    {seconds / yardstick:.0f} yardsticks")
        by_stage(subject_of(opened.database, code))
        opened.database.close()


if __name__ == "__main__":
    main()
