"""A bare list of jobs: FastAPI, Jinja and SQLite and nothing else, for others to be held against.

Serves fifty rows of six columns from a file of its own; run as `python -m tests.bench.bare_list FILE PORT`.
"""

from __future__ import annotations

import sqlite3
import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from jinja2 import Environment

ROWS = 50
PAGE = """<!doctype html><html lang="en"><head><title>Jobs</title></head><body><h1>Jobs</h1><table>
<tr><th>Number</th><th>Job</th><th>Customer</th><th>State</th><th>Wanted</th><th>Price</th></tr>
{% for row in rows %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>
{% endfor %}</table></body></html>"""


def fill(file: Path) -> None:
    """A table of jobs."""
    with sqlite3.connect(file) as store:
        store.execute("create table jobs (number integer primary key, job, customer, state, wanted, price)")
        store.executemany(
            "insert into jobs values (?, ?, ?, ?, ?, ?)",
            [
                (number, f"Bench & cart {number}", "Invented pottery", "open", "2026-12-01", "1,234.50")
                for number in range(1, ROWS + 1)
            ],
        )


def bare_list(file: Path) -> FastAPI:
    """The program: one page."""
    app, page = FastAPI(), Environment(autoescape=True).from_string(PAGE)

    @app.get("/health", response_class=HTMLResponse)
    @app.get("/jobs", response_class=HTMLResponse)
    def jobs() -> str:
        with sqlite3.connect(file) as store:
            found = store.execute("select * from jobs order by number desc limit ?", (ROWS,))
            return page.render(rows=found.fetchall())

    return app


if __name__ == "__main__":
    uvicorn.run(bare_list(Path(sys.argv[1])), port=int(sys.argv[2]), log_level="error")
