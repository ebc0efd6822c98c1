"""Everything wrong with a design form is said with its place and the value; hostile forms are refused at once."""

from __future__ import annotations

import pytest

from tests.design_form_case import GONE, changed
from webapp.costing.design_form.reader import read_design
from webapp.design_text import read_text
from webapp.paths import SEED_DATA

ONE_OR_TWO = {"says": "Pieces", "usual": "1", "least": "1", "most": "2"}
UNLIKE = "a length and a plain number can't"


@pytest.mark.parametrize(
    ("path", "value", "field", "said"),
    [
        ("form", "3", "form", "'3' is none of 1, 2"),
        ("design", "Small Rack", "design", "'Small Rack' has to be lower-case words"),
        ("nmae", "x", "nmae", "a field 'nmae', which there isn't; did you mean 'name'?"),
        ("scope", GONE, "scope", "lacks 'scope'"),
        ("scope", "A rack {widht} wide", "scope", "{widht}, which nothing defines; did you mean 'width'?"),
        ("scope", "A rack {width wide", "scope", "a curly bracket without its partner"),
        ("parts", GONE, "parts", "lacks 'parts'"),
        ("parts", {}, "parts", "parts is empty"),
        ("parts", "none", "parts", "has to hold named entries"),
        ("closes/y", GONE, "closes.y", "lacks 'y'"),
        ("closes/y", "2", "closes.y", "'2' is a plain number, and a length is needed"),
        ("not_included", "paint", "not_included", "a list of texts"),
        ("sizes/width/usual", "3 m", "sizes.width.usual", "'3 m' does not lie between '400 mm' and '40 in'"),
        ("sizes/width/least", "400", "sizes.width", "all lengths with a unit, or all whole numbers"),
        ("sizes/width/least", "-2 mm", "sizes.width.least", "“-2 mm” is below zero"),
        ("sizes/width/least", "30 kg", "sizes.width.least", "“30 kg” is a weight; a length such as"),
        ("sizes/width/usual", "gap", "sizes.width.usual", "“gap”"),
        ("sizes/width", "800 mm", "sizes.width", "fields in curly brackets"),
        ("sizes/number", ONE_OR_TWO, "sizes.number", "a meaning of its own"),
        ("sizes/whole_up", ONE_OR_TWO, "sizes.whole_up", "a meaning of its own"),
        ("sizes/Width", ONE_OR_TWO, "sizes.Width", "'Width' is no name for a size"),
        ("sizes/a__b", ONE_OR_TWO, "sizes.a__b", "single underscores"),
        ("sizes/lambda", ONE_OR_TWO, "sizes.lambda", "a meaning of its own"),
        ("values/width", "2 mm", "values.width", "'width' is a value and a size"),
        ("parts/gap", "x", "parts.gap", "'gap' is a part and a value"),
        ("stock/panel/kind", "plank", "stock.panel.kind", "'plank' is none of sheet, board"),
        ("stock/panel/usual", "Ply 18", "stock.panel.usual", "'Ply 18' is no code of a material"),
        ("choices/back/usual", "none", "choices.back.usual", "'none' is none of the answers open_back, full_back"),
        ("choices/back/answers", ["open_back"], "choices.back.answers", "there are 1 answers"),
        ("choices/back/answers", ["open_back", "full_back", "open_back"], "choices.back.answers", "listed twice"),
        ("choices/top", {"says": "Top", "answers": ["thick", "full_back"], "usual": "thick"}, "choices.top.answers",
         "'full_back' is an answer of back too"),
        ("choices/top", {"says": "Top", "answers": ["thick", "gap"], "usual": "thick"}, "choices.top.answers",
         "'gap' is a name in formulas too"),
        ("values/gap", "2", "parts.shelf.length", f"'width - 2 * gap': {UNLIKE} be subtracted"),
        ("values/gap", "", "values.gap", "nothing is written here"),
        ("values/gap", "2 mm + 3", "values.gap", f"'2 mm + 3': {UNLIKE} be added"),
        ("values/gap", "width - 18 kg", "values.gap", "'width - 18 kg': a length and a weight can't be subtracted"),
        ("values/gap", "18 mmm", "values.gap", "“18 mmm” can't be read as a measure"),
        ("values/gap", "1/128 in", "values.gap", "“1/128 in” can't be measured exactly"),
        ("values/gap", "12 min", "values.gap", "formulas know lengths, areas, weights and numbers"),
        ("values/gap", "wdith / 2", "values.gap", "uses 'wdith', which nothing defines; did you mean 'width'?"),
        ("values/gap", "panel / 2", "values.gap", "a stock role, which is no value by itself; there is panel"),
        ("values/gap", "panel.thicknes", "values.gap", "which that stock does not have; there is panel.thickness"),
        ("values/gap", "panel.density", "values.gap", "which that stock does not have"),
        ("values/gap", "back * 2", "values.gap", "'back', a choice, which has no value"),
        ("values/gap", "number * width", "values.gap", "'number', which counts the pieces of a part"),
        ("values/gap", "width <= 2", "values.gap", "something other than names"),
        ("values/gap", "log(width)", "values.gap", "'log', which is none of the functions least, greatest"),
        ("values/gap", "whole_up(width)", "values.gap", "'whole_up(width)': a length can't be made whole"),
        ("values/gap", "whole_up(1, 2)", "values.gap", "gives whole_up 2 values; it takes 1"),
        ("values/gap", "least(width, 3)", "values.gap", f"'least(width, 3)': {UNLIKE} be compared"),
        ("values/gap", "width * width * width * width * width * width * width", "values.gap", "so many lengths"),
        ("values/gap", ["2 mm"], "values.gap", "has to be one measure, one formula"),
        ("values/setback", {"open_back": "0 mm"}, "values.setback", "nothing for full_back"),
        ("values/setback/side_back", "2 mm", "values.setback.side_back", "'side_back' is no answer"),
        ("values/setback/full_back", "2", "values.setback", "a length for open_back, a plain number for full_back"),
        ("values/setback/full_back", "x +", "values.setback.full_back", "Value setback, full_back: the formula 'x +'"),
        ("parts/shelf/stock", "pannel", "parts.shelf.stock", "'pannel' is no stock role; did you mean 'panel'?"),
        ("parts/shelf/stock", "screw", "parts.shelf.stock", "of kind fastener, and sheet or board or length is needed"),
        ("parts/shelf/length", "width + shelves", "parts.shelf.length", f"'width + shelves': {UNLIKE} be added"),
        ("parts/shelf/length", "width * width", "parts.shelf.length", "is an area, and a length is needed"),
        ("parts/shelf/count", "width", "parts.shelf.count", "'width' is a length, and a plain number is needed"),
        ("parts/shelf/count", ["2"], "parts.shelf.count", "one value is needed here"),
        ("parts/shelf/width", GONE, "parts.shelf.width", "a part of sheet stock needs its width"),
        ("parts/shelf/thickness", "18 mm", "parts.shelf.thickness", "as thick as that"),
        ("parts/leg/thickness", GONE, "parts.leg.thickness", "planed from boards needs its thickness"),
        ("parts/shelf/runs/width", "x", "parts.shelf.runs", "both run along x"),
        ("parts/shelf/runs/width", "w", "parts.shelf.runs.width", "“w” is none of the axes"),
        ("parts/shelf/runs/width", GONE, "parts.shelf.runs.width", "'width' is missing"),
        ("parts/shelf/runs", "xy", "parts.shelf.runs", "length and width are needed here"),
        ("parts/shelf/at/w", "2 mm", "parts.shelf.at.w", "there is no 'w' here"),
        ("parts/shelf/at/z", "number", "parts.shelf.at.z", "'number' is a plain number, and a length is needed"),
        ("parts/shelf/band/edges", ["top"], "parts.shelf.band.edges", "'top' is a broad face"),
        ("parts/shelf/band/edges", ["up"], "parts.shelf.band.edges", "“up” is none of left, right"),
        ("parts/shelf/band/edges", ["front", "front"], "parts.shelf.band.edges", "'front' is listed twice"),
        ("parts/shelf/band/with", "panel", "parts.shelf.band.with", "of kind sheet, and length is needed"),
        ("parts/shelf/band/edges", [["front"]], "parts.shelf.band.edges", "is none of left, right"),
        ("parts/shelf/says", "x" * 601, "parts.shelf.says", "is longer than 600 characters"),
        ("parts/shelf/grain", "along", "parts.shelf.grain", "'along' is none of length, width, free"),
        ("parts/shelf/layers", "0", "parts.shelf.layers", "“0” is no whole number from 1 to 20"),
        ("parts/shelf/when", "closed_back", "parts.shelf.when", "'closed_back' is no answer of a choice"),
        ("joints/shelf_screws/into", "legs", "joints.shelf_screws.into", "'legs' is no part; did you mean 'leg'?"),
        ("joints/shelf_screws/count", "2", "joints.shelf_screws.run", "either a count, or rows with a run"),
        ("joints/shelf_screws/end", GONE, "joints.shelf_screws.end", "'end' is missing"),
        ("joints/shelf_screws/with", GONE, "joints.shelf_screws", "nothing holds it"),
        ("joints/shelf_screws/touches", "maybe", "joints.shelf_screws.touches", "'maybe' is neither yes nor no"),
        ("joints/shelf_screws/glue_width", "2 mm", "joints.shelf_screws.glue_width", "means nothing without a glue"),
        ("joints/glued/glue_width", GONE, "joints.glued.glue_width", "needed with a glue"),
        ("joints/glued/spacing", "2 mm", "joints.glued.spacing", "about fastenings"),
        ("joints/back_held/glue", "glue", "joints.back_held.glue", "lines of glue need a run"),
        ("joints/back_held/when", GONE, "joints.back_held.from", "'back_panel' is there only when full_back"),
        ("joints/back_held/when", "open_back", "joints.back_held.from", "needs 'when: full_back'"),
        ("hardware/foot", {"says": "Feet", "stock": "panel", "count": "4"},
         "hardware.foot.stock", "piece or fastener is"),
        ("surfaces/top", {"part": "shelf"}, "surfaces.top", "there is none"),
        ("surfaces/top", {"faces": "2"}, "surfaces.top.part", "faces need the part"),
        ("surfaces/top", {"part": "shelf", "faces": "3"}, "surfaces.top.faces", "“3” is no whole number"),
        ("surfaces/top", {"area": "width"}, "surfaces.top.area", "'width' is a length, and an area is needed"),
        ("finish/oil", {"says": "Oil", "stock": "glue", "coats": "2", "on": ["top"]},
         "finish.oil.on", "'top' is no surface"),
        ("operations/draw", {"says": "Draw", "driver": "wishes"},
         "operations.draw.driver", "'wishes' is none of parts"),
        ("operations/draw", {"says": "Draw", "driver": "items", "of": ["panel"]},
         "operations.draw.of", "nothing can be named"),
        ("operations/drill_holes", {"says": "Drill", "driver": "holes"},
         "operations.drill_holes.count", "needs a count"),
        ("operations/saw", {"says": "Saw", "driver": "parts", "count": "2"}, "operations.saw.count", "takes no count"),
        ("operations/saw", {"says": "Saw", "driver": "parts", "of": ["screws"]},
         "operations.saw.of", "no stock role or part"),
        ("operations/drive", {"says": "Drive", "driver": "fastenings"},
         "operations.drive.of", "needs the names of its joints"),
        ("supplies/disc", {"says": "Discs", "stock": "glue", "driver": "holes"},
         "supplies.disc.driver", "'holes' is none of"),
        ("spans/s", {"part": "shelf", "span": "width", "load": "30"}, "spans.s.load", "“30” has no unit"),
        ("spans/s", {"part": "shelf", "span": "width", "load": "30 kg"}, "spans.s.load", "a load along a length"),
        ("spans/s", {"part": "back_panel", "span": "width", "load": "1 N/mm"}, "spans.s.part", "only when full_back"),
        ("musts/m", {"that": "width", "says": "No."}, "musts.m.that", "compares nothing"),
        ("musts/m", {"that": "width <= 2", "says": "No."}, "musts.m.that", f"'width <= 2': {UNLIKE} be compared"),
        ("musts/m", {"that": "width < gap < pitch", "says": "No."}, "musts.m.that", "something other than names"),
        ("musts/m", {"that": "width >= gap", "says": "{depth}"}, "musts.m.says", "{depth}, which nothing defines"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_at_its_place(path: str, value: object, field: str, said: str) -> None:
    design, problems = read_design(changed(path, value))
    assert design is None
    fitting = [problem.message for problem in problems if problem.field == field]
    assert any(said in message for message in fitting), problems
    assert all(message.endswith((".", "?")) for message in fitting)


@pytest.mark.parametrize(
    "hostile",
    [
        "9**9**9",
        "9" * 100_000,
        "9" * 400,
        "9e999999999",
        "1.5E999999",
        "width.__class__.__bases__",
        "width.thickness.x",
        "(lambda: width)()",
        "[x for x in width]",
        "__import__('os')",
        "'a' * 999999999",
        "width if width else gap",
        "width and gap",
        "width // gap",
        "width << 99999",
        "f(*width)",
        "least(width, key=gap)",
        "least(" * 50 + "width" + ")" * 50,
        "-" * 300 + "width",
        "0x10",
        "1j",
        "True",
        "None",
        "width := 2",
        "width\x00",
        "10" * 25,
    ],
)
def test_hostile_formulas_are_refused_at_once(hostile: str) -> None:
    design, problems = read_design(changed("values/gap", hostile))
    assert design is None
    assert any(problem.field == "values.gap" for problem in problems)
    assert all(len(problem.message) < 600 for problem in problems)


def test_hostile_documents_are_refused_at_once() -> None:
    deep: dict[str, object] = {}
    inner = deep
    for _ in range(5000):
        inner["a"] = {}
        inner = inner["a"]  # type: ignore[assignment]
    endless: dict[str, object] = {}
    endless["again"] = endless
    wide = {"parts": ["x"] * 100_000}
    for document, said in (
        (deep, "levels deep"),
        (endless, "levels deep"),
        (wide, "more than 20000 entries"),
        ({"says": "x" * 70_000}, "longer than"),
        ({"says": "\ud800"}, "can't be printed"),
        ({"says": None}, "no text"),
        ({"says": 5}, "no text"),
        ({5: "x"}, "no plain text"),
        (["form"], "a list of names"),
        (None, "a list of names"),
    ):
        design, problems = read_design(document)
        assert design is None
        assert any(said in problem.message for problem in problems), problems


def test_a_step_that_nothing_drives_is_said_in_the_short_form() -> None:
    document, problems = read_text((SEED_DATA / "designs" / "splayed_bench.yaml").read_text(encoding="utf-8"))
    assert document is not None, problems
    assert "operations" not in document
    design, found = read_design({**document, "operations": {"polish": {"says": "Polish"}}})
    assert design is None
    assert [(one.field, one.message) for one in found] == [
        (
            "operations.polish.driver",
            "Operation polish, driver: nothing says what drives it, and it is no usual step: "
            "say it, as 'by fastenings'.",
        )
    ]
