"""Print how long one warm workshop pack takes (aim: under 3 s), and the cut plans beside it, by stage.

Run it on an otherwise idle machine: python -m tests.bench.pack_bench
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from io import BytesIO
from time import perf_counter
from typing import Final, TypeVar

from pypdf import PdfReader

from tests.bench.yardstick import yardstick_seconds
from tests.documents.paper_case import SHOP, inputs_of
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.documents.printing.pdf_worker import PdfWorker
from webapp.documents.workshop.cut_papers import cut_files, cut_html
from webapp.documents.workshop.pack import PackFor, workshop_html, workshop_pack
from webapp.seed import load_catalogue, load_designs

DAY: Final = date(2026, 11, 25)
ABOUT: Final = PackFor("job 7", 7, True, DAY)
ROUNDS: Final = 3
Made = TypeVar("Made")
JOBS: Final = {
    "one bench cabinet": ["bench_cabinet"], "one ware cart": ["ware_cart"],
    "cabinet and drying rack": ["bench_cabinet", "drying_rack"],
    "four assembly tops": ["hollow_core_top"] * 4,
}  # fmt: skip


def main() -> None:
    """Time the papers of a few jobs of the starters."""
    worker = PdfWorker()
    worker.make("<!doctype html><title>Warm</title>")
    print(f"yardstick: {yardstick_seconds() * 1000:.0f} ms")
    for name, codes in JOBS.items():
        inputs = job_of(codes)
        found = estimate_inputs(inputs)
        for what, html in (("pack", pack_page), ("cut plans", cut_page)):
            page, values = timed(partial(html, inputs, found))
            # The worker holds what it made, so each round asks for another page.
            pages_asked = iter([f"{page}<!-- {number} -->" for number in range(ROUNDS + 1)])
            made, printing = timed(lambda asked=pages_asked: worker.make(next(asked)))  # type: ignore[misc]
            pages = len(PdfReader(BytesIO(made)).pages)
            print(
                f"{what}, {name}: page {values * 1000:.0f} ms, PDF {printing * 1000:.0f} ms, together "
                f"{values + printing:.1f} s; {pages} pages, {len(made) // 1024} KB"
            )
    worker.stop()


def job_of(codes: list[str]) -> Inputs:
    """A job of starters, with the demo's stock."""
    designs = {str(one["design"]): one for one in load_designs()}
    items = [{"id": f"item_{place}", "design": code, "quantity": "1"} for place, code in enumerate(codes)]
    return replace(
        inputs_of(), job={"form": "1", "job": "Benches", "items": items},
        designs={str(item["id"]): designs[item["design"]] for item in items}, catalogue=load_catalogue(DAY),
        rates=default_rates(), plans={},
    )  # fmt: skip


def pack_page(inputs: Inputs, found: Estimate) -> str:
    """The pack as it is printed from."""
    return workshop_html(workshop_pack(inputs, found, SHOP, ABOUT, "A4"))


def cut_page(inputs: Inputs, found: Estimate) -> str:
    """The cut plans as they are printed from."""
    return cut_html(cut_files(inputs, found, SHOP, ABOUT).paper("A4"))


def timed(make: Callable[[], Made]) -> tuple[Made, float]:
    """What is made, and the least of a few timings in seconds."""
    made, times = make(), []
    for _ in range(ROUNDS):
        started = perf_counter()
        made = make()
        times.append(perf_counter() - started)
    return made, min(times)


if __name__ == "__main__":
    main()
