"""The command line as another program would use it: exit codes, JSON on standard output, sentences on the other."""

from __future__ import annotations

import json
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from decimal import Decimal
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
  - {id: bench, design: bench_cabinet, quantity: 2, sizes: {width: 1100 mm}}
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
    # Options are there where the job has other ways on its quote.
    assert set(found) == set(schema["required"]) == set(schema["properties"]) - {"options"}
    net = sum(Fraction(line["net"]) for line in found["lines"])
    tax = sum(Fraction(one["amount"]) for one in found["totals"]["taxes"])
    assert net + tax + Fraction(found["totals"]["fee"]) == Fraction(found["totals"]["total"])
    for figure in found["figures"].values():
        assert figure["source"] or figure["formula"]
        assert all(source in found["figures"] for source in figure["inputs"].values())
    words = reckoner(tmp_path, "estimate", "job.yaml")
    assert words.returncode == 0
    assert words.stderr == ""
    assert f"Total to pay {float(found['totals']['total']):,.2f} {found['currency']}" in tidy(words.stdout)


def tidy(text: str) -> str:
    """A table as a reader takes it in: row by row, whatever the columns measure."""
    return "\n".join(" ".join(line.split()) for line in text.splitlines())


#: Everything that counts is in the file, so that its amounts and hours can be reckoned by hand.
TWO_SHELVES = """form: 1
job: Two shelves for the kiln room
items: [{id: shelf, design: plain_shelf, quantity: 2}]
lines: [{id: wall, kind: labour, says: Clear the wall, minutes: 90}]
shop: {units: metric, currency: EUR}
designs:
  plain_shelf:
    form: 1
    design: plain_shelf
    name: Plain shelf
    says: One board on two brackets.
    sizes:
      width: {says: Width, usual: 900 mm, least: 300 mm, most: 1200 mm}
      depth: {says: Depth, usual: 300 mm, least: 100 mm, most: 400 mm}
    stock:
      board: {says: Shelf board, kind: sheet, usual: ply}
      holder: {says: Brackets, kind: piece, usual: bracket}
    parts:
      shelf: {says: Shelf, stock: board, count: 1, length: width, width: depth, runs: {length: x, width: y}}
    closes: {x: width, y: depth, z: board.thickness}
    hardware:
      brackets: {says: Brackets, stock: holder, count: 2}
    operations:
      wrap_shelf: {says: Wrap each shelf, driver: items}
    scope: Two shelves.
catalogue:
  suppliers: {yard: {name: The yard}}
  materials:
    ply:
      kind: sheet
      name: Plywood 18 mm
      values: {thickness: 18 mm}
      offers:
        - {supplier: yard, size: {length: 2440 mm, width: 1220 mm}, prices: [{amount: 40.00, seen: 2026-01-05}]}
    bracket:
      kind: piece
      name: Bracket
      offers: [{supplier: yard, size: {count: 1}, prices: [{amount: 3.50, seen: 2026-01-05}]}]
rates:
  operations:
    wrap_shelf: {set_up: 0, low: 12 min, likely: 12 min, high: 12 min, hand: no}
"""


def test_an_estimate_in_words_names_materials_hours_and_what_is_dearest(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(TWO_SHELVES, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml")
    assert (done.returncode, done.stderr) == (0, "")
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    told = tidy(done.stdout)
    # One sheet holds both boards; two brackets a shelf at 3.50.
    assert "Plywood 18 mm 1 × 2440 × 1220 mm, The yard 40.00" in told
    assert "Bracket 4 × single, The yard 14.00" in told
    assert "Materials as bought 54.00" in told
    # Twelve minutes a shelf are 24 minutes, those of the line an hour and a half.
    assert "Plain shelf, 2 units hours" in told
    assert "Wrap each shelf 2 items 24 min" in told
    assert "Clear the wall 1 h 30 min" in told
    assert "Hours of people, charged 1 h 54 min" in told
    headings = ["Materials", "Plain shelf, 2", "Other work", "The three dearest", "Price ", "Total to pay", "Margin"]
    assert sorted(headings, key=told.index) == headings
    # Ninety minutes, a sheet, and four brackets against 24 minutes: whatever an hour costs here, these lead.
    dearest = told[told.index("The three dearest") : told.index("Price quantity")]
    assert "Clear the wall" in dearest
    assert "Plywood 18 mm" in dearest
    assert len(dearest.strip().splitlines()) == 5


@pytest.mark.parametrize("form", [[], ["--json"]])
def test_an_incomplete_estimate_ends_with_three_and_says_what_is_missing(tmp_path: Path, form: list[str]) -> None:
    short = TWO_SHELVES.replace(", prices: [{amount: 3.50, seen: 2026-01-05}]", "")
    short = short.replace("items: [", "items: [{id: gone, design: no_such_design}, ")
    (tmp_path / "job.yaml").write_text(short, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", *form)
    assert done.returncode == 3
    first, *missing = done.stderr.splitlines()
    assert first == "The estimate is incomplete; its total leaves something out:"
    assert any("no_such_design" in line for line in missing)
    assert any("Bracket has no price" in line for line in missing)
    assert "40.00" in done.stdout
    if not form:
        assert "Total so far, incomplete" in done.stdout


def test_help_says_the_statuses() -> None:
    out = StringIO()
    with redirect_stdout(out), pytest.raises(SystemExit, match="0"):
        main(["estimate", "--help"])
    told = " ".join(out.getvalue().split())
    assert "Ends with 0 where the estimate is whole; with 2" in told
    assert "with 3 where the total leaves something out" in told


def test_what_is_only_old_is_a_warning_and_the_total_is_whole(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(TWO_SHELVES.replace("3.50, seen: 2026", "3.50, seen: 2001"), encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml")
    assert (done.returncode, done.stderr) == (0, "")
    warnings = tidy(done.stdout[done.stdout.index("Warnings") :])
    assert "The price of Bracket is" in warnings


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
    assert done.returncode == 3
    assert "A has no price" in done.stderr
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


LISTED = """form: 1
job: Loose shelves for the glaze room
items:
  - id: shelves
    label: Loose shelves
    band: edge_band_1
    finish: Hard-wax oil
    parts:
      - {name: Shelf, count: 12, length: 800 mm, width: 300 mm, material: birch_plywood_18, edges: two long}
      - {name: Rail, count: 2, length: 1900 mm, material: softwood_2x4}
"""


def test_a_job_file_may_list_parts_without_a_design(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text(LISTED, encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", "--json", "--shop", "demo")
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    bought = {one["code"] for one in found["materials"]}
    assert bought == {"birch_plywood_18", "edge_band_1", "softwood_2x4", "oil_hard"}
    (tmp_path / "job.yaml").write_text(LISTED.replace("birch_plywood_18", "brich_plywood"), encoding="utf-8")
    done = reckoner(tmp_path, "estimate", "job.yaml", "--shop", "demo")
    assert done.returncode == 3, done.stdout
    assert "Row 1, “Shelf”: no material is called “brich_plywood”. The nearest is" in done.stderr
    schema = json.loads(reckoner(tmp_path, "schema", "job").stdout)
    row = schema["properties"]["items"]["items"]["properties"]["parts"]["items"]
    assert row["required"] == ["length", "material"]
    assert "edges" in row["properties"]


def test_other_ways_of_a_job_file_are_options_that_add_up(tmp_path: Path) -> None:
    ways = (
        "alternates:\n"
        "  - {id: wide, name: Wider ones, on_quote: yes, items: {bench: {sizes: {width: 1200 mm}}}}\n"
        "  - {id: one, name: Only one, items: {bench: {quantity: 1}}}\n"
    )
    (tmp_path / "job.yaml").write_text(JOB + ways, encoding="utf-8")
    found = json.loads(reckoner(tmp_path, "estimate", "job.yaml", "--json", "--shop", "demo").stdout)
    (option,) = found["options"]
    schema: dict[str, Any] = estimate_schema()
    assert set(found) == set(schema["properties"])
    (tmp_path / "job.yaml").write_text(JOB.replace("1100 mm", "1200 mm"), encoding="utf-8")
    other = json.loads(reckoner(tmp_path, "estimate", "job.yaml", "--json", "--shop", "demo").stdout)
    assert "options" not in other
    assert (option["name"], option["total"]) == ("Wider ones", other["totals"]["total"])
    for part in ("net", "tax", "fee", "total"):
        own = Decimal(found["totals"][part])
        assert own + Decimal(option["by"][part]) == Decimal(other["totals"][part])
    (tmp_path / "job.yaml").write_text(JOB + ways, encoding="utf-8")
    said = reckoner(tmp_path, "estimate", "job.yaml", "--shop", "demo").stdout
    assert "Option: Wider ones" in said
    assert "Only one" not in said
