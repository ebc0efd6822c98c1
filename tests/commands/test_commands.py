"""The command line as another program would use it: exit codes, JSON on standard output, sentences on the other."""

from __future__ import annotations

import json
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from webapp.cli import main
from webapp.costing.estimate.form import estimate_schema
from webapp.paths import CHECKOUT

JOB = """form: 1
job: Benches for the glaze room
items:
  - {id: bench, design: bench_cabinet, quantity: 2, sizes: {width: 1500 mm}}
lines:
  - {id: lamp, kind: part, says: Bench lamp, quantity: 2, each: 12.50}
delivery: {distance: 20 km, travel: 40 min, people: 2}
discount: 5 %
"""


FOREIGN = """catalogue:
  materials:
    a:
      kind: sheet
      name: A
      values: {thickness: 18 mm}
      offers:
        - supplier: b
          size: {length: 1 m, width: 1 m}
          prices: [{amount: 1.00, currency: EUR, seen: 2026-01-01}]
"""


@dataclass(frozen=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


def reckoner(folder: Path, *arguments: str) -> Done:
    """The command in this process, in a folder of its own with a data folder of its own."""
    out, err = StringIO(), StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.chdir(folder)
        patch.setenv("RECKONER_DATA", str(folder / "data"))
        status = main(arguments)
    return Done(status, out.getvalue(), err.getvalue())


def test_the_command_runs_as_a_process_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "cut.json").write_text("{", encoding="utf-8")
    command = [sys.executable, "-m", "webapp.cli", "cut", str(tmp_path / "cut.json")]
    done = subprocess.run(command, capture_output=True, text=True, cwd=CHECKOUT, timeout=120)
    assert done.returncode == 2
    assert "JSON" in done.stderr


def test_estimate_prints_the_whole_estimate(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", "--json")
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    schema: dict[str, Any] = estimate_schema()
    assert set(found) == set(schema["properties"])
    net = sum(Fraction(line["net"]) for line in found["lines"])
    tax = sum(Fraction(one["amount"]) for one in found["totals"]["taxes"])
    assert net + tax + Fraction(found["totals"]["fee"]) == Fraction(found["totals"]["total"])
    for figure in found["figures"].values():
        assert figure["source"] or figure["formula"]
        assert all(source in found["figures"] for source in figure["inputs"].values())
    words = reckoner(tmp_path, "estimate", "job.yaml")
    assert words.returncode == 0
    assert f"{float(found['totals']['total']):,.2f}" in words.stdout


def test_estimate_takes_designs_catalogue_and_rates_from_the_file(tmp_path: Path) -> None:
    design = (CHECKOUT / "tests" / "reference" / "scrub_table.yaml").read_text(encoding="utf-8")
    indented = "\n".join(f"    {line}" for line in design.splitlines())
    text = f"""form: 1
job: Scrub table
items: [{{id: table, design: scrub_table}}]
shop: {{units: inch, currency: USD}}
designs:
  scrub_table:
{indented}
catalogue:
  suppliers:
    yard: {{name: The yard}}
  materials:
    fir_2_4:
      kind: length
      name: Fir 2x4
      values: {{nominal_thickness: 2 in, nominal_width: 4 in, end_trim: 0 in}}
      offers: [{{supplier: yard, size: {{length: 10 ft}}, prices: [{{amount: 5.00, seen: 2026-01-05, where: yard}}]}}]
    fir_2_6:
      kind: length
      name: Fir 2x6
      values: {{nominal_thickness: 2 in, nominal_width: 6 in, end_trim: 0 in}}
      offers: [{{supplier: yard, size: {{length: 10 ft}}, prices: [{{amount: 8.00, seen: 2026-01-05, where: yard}}]}}]
    nail_10d:
      kind: fastener
      name: Nail 10d
      offers: [{{supplier: yard, size: {{count: 74}}, prices: [{{amount: 4.00, seen: 2026-01-05, where: yard}}]}}]
rates:
  settings: {{fastener_spares: 0 %, length_kerf: 1/8 in}}
"""
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", "--json", "--shop", "demo")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    bought = {one["code"]: one["bought"] for one in found["materials"]}
    assert bought == {"fir_2_4": "25.00", "fir_2_6": "24.00", "nail_10d": "4.00"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("form: 1\njob: [", "Line 2"),
        ("- a\n- b\n", "Line 1"),
        ("form: 1\njob: &a x\nsite: *a\n", "&a"),
        (JOB + "rates: {settings: {kerfs: 3 mm}}\n", "kerfs"),
        (JOB + "shop: {units: cubits}\n", "cubits"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_says_why_and_exits_two(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", "--json")
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_a_price_in_another_currency_is_named_and_the_rest_estimated(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(JOB.replace("  - {id: bench", "  - {materials: {board: a}, id: bench") + FOREIGN)
    done = reckoner(tmp_path, "estimate", "job.yaml", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert any("EUR" in problem["message"] for problem in found["problems"])
    assert found["complete"] is False
    assert Fraction(found["totals"]["total"]) > 100


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    done = reckoner(tmp_path, "estimate", "nothing.yaml")
    assert done.returncode == 2
    assert "nothing.yaml" in done.stderr


@pytest.mark.parametrize("form", ["job", "design", "estimate"])
def test_schemas_are_json(tmp_path: Path, form: str) -> None:
    done = reckoner(tmp_path, "schema", form)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["type"] == "object"


CUT_STOCK = {"id": "large", "length": 2440, "width": 1220, "trim": 10, "price": 96, "available": None}
CUT: dict[str, object] = {
    "units": "mm", "kerf": 3.2, "method": "saw",
    "stocks": [
        CUT_STOCK,
        {"id": "square", "length": 1525, "width": 1525, "trim": 10, "price": 78, "available": None},
    ],
    "pieces": [
        {"id": "side", "length": 720, "width": 303.4, "count": 2, "may_turn": False},
        {"id": "top", "length": 724.4, "width": 303.4, "count": 2, "may_turn": False},
        {"id": "shelf", "length": 722.4, "width": 293.4, "count": 2, "may_turn": False},
        {"id": "door", "length": 715, "width": 375, "count": 2, "may_turn": False},
    ],
}  # fmt: skip


def test_cut_finds_the_square_sheet_of_the_hand_worked_case(tmp_path: Path) -> None:
    (tmp_path / "cut.json").write_text(json.dumps(CUT), encoding="utf-8")
    done = reckoner(tmp_path, "cut", "cut.json", "--seconds", "2")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert (found["price"], found["bound"], found["unplaced"]) == (78, 78, [])
    assert [sheet["stock"] for sheet in found["sheets"]] == ["square"]
    assert sum(len(sheet["placements"]) for sheet in found["sheets"]) == 8


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"method": "laser"}, "router"),
        ({"kerf": -1}, "kerf"),
        ({"units": "furlong"}, "furlong"),
        ({"pieces": []}, "piece"),
        (
            {"stocks": [{"id": "large", "length": 0, "width": 1220, "trim": 10, "price": 96, "available": None}]},
            "large",
        ),
    ],
)
def test_a_cut_request_that_cannot_be_used(tmp_path: Path, change: dict[str, object], words: str) -> None:
    (tmp_path / "cut.json").write_text(json.dumps({**CUT, **change}), encoding="utf-8")
    done = reckoner(tmp_path, "cut", "cut.json")
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_cut_refuses_what_is_no_json(tmp_path: Path) -> None:
    (tmp_path / "cut.json").write_text("{", encoding="utf-8")
    assert reckoner(tmp_path, "cut", "cut.json").returncode == 2
    assert reckoner(tmp_path, "cut", "cut.json", "--seconds", "0").returncode == 2
