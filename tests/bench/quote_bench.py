"""Print how long one warm quote PDF takes (aim: under 1 s), in this process and through the worker.

Run it on an otherwise idle machine: python -m tests.bench.quote_bench
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from tests.bench.yardstick import yardstick_seconds
from tests.documents.paper_case import LONG_JOB, inputs_of, papers_of
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.printing.pdf_worker import PdfWorker
from webapp.documents.quotes.issue import quote_html, shopping_list_html

ROUNDS = 5


def main() -> None:
    """Time the papers of the hand-worked cabinet, and of a job with everything in it."""
    worker = PdfWorker()
    worker.make("<!doctype html><title>Warm</title>")
    print(f"yardstick: {yardstick_seconds() * 1000:.0f} ms")
    for name, inputs in (("one cabinet", inputs_of()), ("three items and free lines", inputs_of(LONG_JOB))):
        _, papers = papers_of(inputs)
        quote, shopping_list = quote_html(papers.quote), shopping_list_html(papers.shopping_list)
        for what, html in (("quote", quote), ("shopping list", shopping_list)):
            for where, make in (("here", make_pdf), ("through the worker", worker.make)):
                print(f"{what}, {name}, {where}: {best_of(make, html) * 1000:.0f} ms")
    worker.stop()


def best_of(make: Callable[[str], bytes], html: str) -> float:
    """The least of a few timings, in seconds."""
    make(html)
    times = []
    for _ in range(ROUNDS):
        started = perf_counter()
        make(html)
        times.append(perf_counter() - started)
    return min(times)


if __name__ == "__main__":
    main()
