"""An entry as one line: each clause by an example written by hand, and any fields there and back."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.design_form.tables.form_tables import SHORTER as SECTIONS
from webapp.costing.design_lines.lines import LONGEST_LINE, MOST_SAID, entry_of, line_of, settled
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE, clauses_of

#: Lines as a person types them, with the fields that they mean.
EXAMPLES: list[tuple[str, str, Any]] = [
    ("sizes", "Overall length; 900 mm | 36 in; least 600 mm | 24 in; most 1200 mm | 48 in",
     {"says": "Overall length", "usual": "900 mm | 36 in", "least": "600 mm | 24 in", "most": "1200 mm | 48 in"}),
    ("sizes", 'Depth; 36"; least 24"; most 4\' 6"',
     {"says": "Depth", "usual": '36"', "least": '24"', "most": "4' 6\""}),
    ("stock", "Skins and end panels; sheet birch_plywood_12; customer Top and end panels",
     {"says": "Skins and end panels", "kind": "sheet", "usual": "birch_plywood_12", "customer": "Top and end panels"}),
    ("stock",
     "Castors; piece castor_100; follows cart; needs castor, swivel, rated_load at least 80 kg, width is cart.width",
     {"says": "Castors", "kind": "piece", "usual": "castor_100", "follows": "cart",
      "needs": {"tags": ["castor", "swivel"], "least": {"rated_load": "80 kg"}, "equal": {"width": "cart.width"}}}),
    ("choices", "Shelf edges; rimmed_shelves or flush_shelves",
     {"says": "Shelf edges", "answers": ["rimmed_shelves", "flush_shelves"], "usual": "rimmed_shelves"}),
    ("choices", "Back; open_back or full_back; usual full_back",
     {"says": "Back", "answers": ["open_back", "full_back"], "usual": "full_back"}),
    ("values", "least(depth, 2 * gap) + 1", "least(depth, 2 * gap) + 1"),
    ("values", "feet_base 40 mm; wheeled_base 150 mm", {"feet_base": "40 mm", "wheeled_base": "150 mm"}),
    ("values", "feet_base 40 mm;", {"feet_base": "40 mm"}),
    ("parts",
     "Leg; 4 of leg_stock; long skin_top - lift along z; wide along x; x 2 from 60 mm to length - 60 mm; z lift",
     {"says": "Leg", "count": "4", "stock": "leg_stock", "length": "skin_top - lift",
      "runs": {"length": "z", "width": "x"}, "at": {"x": "2 from 60 mm to length - 60 mm", "z": "lift"}}),
    ("parts",
     "Top; of skin; wide depth along y; thick 2 * t; grain length; band edge_stock on left, right; joint length 2 * d; "
     "layers 2; together fronts; together when grain_matched; when toe_base; y on foot; mitres start 45, long front",
     {"says": "Top", "stock": "skin", "width": "depth", "runs": {"width": "y"}, "thickness": "2 * t", "grain": "length",
      "band": {"with": "edge_stock", "edges": ["left", "right"]}, "joint_length": "2 * d", "layers": "2",
      "together": "fronts", "together_when": "grain_matched", "when": "toe_base", "at": {"y": "on foot"},
      "mitres": {"start": "45", "long": "front"}}),
    ("joints", "Feet; foot into leg; with screw; every least(a, b); ends 40 mm; at least 2; glue; apart",
     {"says": "Feet", "from": "foot", "into": "leg", "with": "screw", "spacing": "least(a, b)", "end": "40 mm",
      "at_least": "2", "glue": "yes", "touches": "no"}),
    ("joints", "foot into leg; glue white_glue; glue width t; run w; rows 2; grip t; room w; bites solid",
     {"from": "foot", "into": "leg", "glue": "white_glue", "glue_width": "t", "run": "w", "rows": "2", "grip": "t",
      "room": "w", "bites": "solid"}),
    ("joints", "Corners; rail into leg; count 8; weld all_round; ground; when welded",
     {"says": "Corners", "from": "rail", "into": "leg", "count": "8", "weld": "all_round", "ground": "yes",
      "when": "welded"}),
    ("hardware", "Foot; 4 of foot_stock", {"says": "Foot", "count": "4", "stock": "foot_stock"}),
    ("surfaces", "2 faces of shelf; raw edge", {"faces": "2", "part": "shelf", "raw_edge": "yes"}),
    ("surfaces", "long edges of leg", {"edges": "long", "part": "leg"}),
    ("surfaces", "area 4 * (length + depth) * edging", {"area": "4 * (length + depth) * edging"}),
    ("finish", "Shelves; 3 coats of lacquer; on shelf faces, foot faces and edges, rims",
     {"says": "Shelves", "coats": "3", "stock": "lacquer", "on": ["shelf faces", "foot faces and edges", "rims"]}),
    ("finish", "Frame; 1 coat of primer; sprayed; on tube around",
     {"says": "Frame", "coats": "1", "stock": "primer", "sprayed": "yes", "on": ["tube around"]}),
    ("supplies", "Discs; of disc; by square_metres; over a, b",
     {"says": "Discs", "stock": "disc", "driver": "square_metres", "of": ["a", "b"]}),
    ("operations", "Draw, plan, list; by items", {"says": "Draw, plan, list", "driver": "items"}),
    ("operations", "Bore; by holes; over a, b; count 4 * holes",
     {"says": "Bore", "driver": "holes", "of": ["a", "b"], "count": "4 * holes"}),
    ("operations", "Oil; off", {"says": "Oil", "off": "yes"}),
    ("spans", "shelf over bearer_pitch; load 0.75 N/mm; limit shelf",
     {"part": "shelf", "span": "bearer_pitch", "load": "0.75 N/mm", "limit": "shelf"}),
    ("spans", "shelf; load 40 kg; limit shelf", {"part": "shelf", "load": "40 kg", "limit": "shelf"}),
    ("musts", "opening >= 2 * gap; warning; when open_back; The opening is {opening}; 5\" or \"more\": try less.",
     {"that": "opening >= 2 * gap", "severity": "warning", "when": "open_back",
      "says": "The opening is {opening}; 5\" or \"more\": try less."}),
    ("closes", "x length; y depth; z height - lift", {"x": "length", "y": "depth", "z": "height - lift"}),
    ("uses", "drawer_box; width inner_width; height 120 mm; material board box_board; choice bottom grooved; "
     "x side.right; z 3 from 100 mm every 130 mm; mirrored x; when deep",
     {"design": "drawer_box", "sizes": {"width": "inner_width", "height": "120 mm"},
      "materials": {"board": "box_board"}, "choices": {"bottom": "grooved"},
      "at": {"x": "side.right", "z": "3 from 100 mm every 130 mm"}, "mirrored": ["x"],
      "when": "deep"}),
    ("uses", "foot; says Feet; high least(a, b), wide 2 in; count 4; four corners inset 5 mm",
     {"design": "foot", "says": "Feet", "sizes": {"high": "least(a, b)", "wide": "2 in"}, "count": "4",
      "four_corners": "inset 5 mm"}),
    ("parts", '"Leg; left"; 4 of leg_stock; together "when wide"',
     {"says": "Leg; left", "count": "4", "stock": "leg_stock", "together": "when wide"}),
]  # fmt: skip


@pytest.mark.parametrize(("section", "line", "fields"), EXAMPLES)
def test_a_line_and_its_fields_are_the_same(section: str, line: str, fields: Any) -> None:
    assert entry_of(section, line) == (fields, ())
    assert entry_of(section, line_of(section, fields)) == (fields, ())
    assert len(line_of(section, fields)) <= len(line) + 40


def test_order_and_spaces_are_free_but_for_the_first_clauses() -> None:
    typed = "Leg ;z lift;;  long   5 mm   along  z;4   of leg_stock;"
    assert entry_of("parts", typed) == entry_of("parts", "Leg; 4 of leg_stock; long 5 mm along z; z lift")


def test_pairs_of_lengths_are_one_text() -> None:
    pair = {"metric": "900 mm", "inch": "36 in"}
    fields = {"says": "Width", "usual": pair, "least": "1 in", "most": "48 in"}
    assert line_of("sizes", fields) == "Width; 900 mm | 36 in; least 1 in; most 48 in"
    assert line_of("values", {"metric": "12 mm", "inch": "1/2 in"}) == "metric 12 mm; inch 1/2 in"


def test_what_begins_like_a_clause_is_quoted() -> None:
    assert line_of("parts", {"says": "long rail"}) == '"long rail"'
    assert line_of("joints", {"says": "foot into leg"}) == '"foot into leg"'
    assert line_of("musts", {"that": "a > b", "says": "when it is so"}) == 'a > b; "when it is so"'
    assert line_of("finish", {"says": "Frame", "on": ["a, b", "c"]}) == 'Frame; on "a, b", c'


@pytest.mark.parametrize(
    ("section", "line", "sentence", "read"),
    [
        ("parts", "Leg; looong 5 mm; z lift", "The part leg: 'looong 5 mm' is no clause; did you mean 'long'?",
         {"says": "Leg", "at": {"z": "lift"}}),
        ("parts", "Leg; 4 off leg_stock; thick 2 mm", "The part leg: '4 off leg_stock' is no clause",
         {"says": "Leg", "thickness": "2 mm"}),
        ("parts", "Leg; long", "The part leg: 'long' says nothing after 'long'.", {"says": "Leg"}),
        ("parts", "Leg; z 1 mm; z 2 mm", "The part leg: 'z 2 mm' says again what stands before it.",
         {"says": "Leg", "at": {"z": "1 mm"}}),
        ("parts", 'Leg; together "a b', "a quotation mark that is not closed", {"says": "Leg"}),
        ("sizes", "Width; 5 mm; mots 9 mm", "The size leg: 'mots 9 mm' is no clause; did you mean 'most'?",
         {"says": "Width", "usual": "5 mm"}),
        ("musts", "a > b; wen x; The gap.", "'wen x' is no clause; did you mean 'when'?",
         {"that": "a > b", "says": "The gap."}),
        ("values", "feet_base 40 mm; wheeled_base", "'wheeled_base' needs an answer and what holds under it",
         {"feet_base": "40 mm"}),
        ("choices", "Back; open_back", "'open_back' is no row of answers", {"says": "Back"}),
        ("stock", "Legs; needs width at least 5 mm, width at least 6 mm", "says 'width at least' twice",
         {"says": "Legs"}),
    ],
)  # fmt: skip
def test_what_is_no_clause_is_said_and_the_rest_is_read(section: str, line: str, sentence: str, read: Any) -> None:
    fields, problems = entry_of(section, line, "leg")
    assert fields == read
    assert len(problems) == 1
    assert sentence in problems[0].message


@pytest.mark.parametrize(
    "line",
    [
        ";" * LONGEST_LINE, "; ".join(["a"] * 10_000)[:LONGEST_LINE], '"' * LONGEST_LINE, ' "x' * (LONGEST_LINE // 3),
        "on " + "[" * (LONGEST_LINE - 3), "on " + "[" * 9_000 + "]" * 9_000, "Leg; " + "x of " * 3_900,
        "long " + "y along " * 2_400, "needs " + "a at least " * 1_800, "a" * (LONGEST_LINE + 1),
        "a" + " " * (LONGEST_LINE - 2) + "b", "Leg; long" + " " * 19_000 + "b", "Back; a" + " " * 19_000 + "b",
        "Leg; band a" + " " * 19_000 + "on", "Leg; long a" + " of" * 6_000, "needs a" + " " * 19_000 + "at",
        "needs {" + "a {" * 6_000, "\\" * LONGEST_LINE, '"' + "\\" * (LONGEST_LINE - 2) + '"',
    ],
)  # fmt: skip
def test_hostile_lines_end_with_few_sentences(line: str) -> None:
    for section in (*SECTIONS, *ONE_LINE):
        fields, problems = entry_of(section, line, "leg")
        assert isinstance(fields, dict | str)
        assert len(problems) <= MOST_SAID
        assert all(len(problem.message) < 500 for problem in problems)


ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
LIKE_LINES = st.lists(
    st.sampled_from([
        "a", "long", "when", "of", "along", "into", "4", "leg_stock", ";", "; ", ",", " ", '"', "\\", "(", ")", "[",
        "]", "{", "}", "|", "or", " or ", "x", "at least", "over", "glue", "warning", "Leg", "yes", "no", "#", ": ",
        "\n", "'",
    ]), max_size=8,
).map("".join)  # fmt: skip
TEXTS = ANY_TEXT | LIKE_LINES | LIKE_LINES.map(lambda text: text.strip() or "a")
HELD = st.recursive(
    TEXTS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3), max_leaves=5
)


@st.composite
def entries(draw: st.DrawFn) -> tuple[str, dict[str, object]]:
    """A section, and fields of its own and others, in their own shapes and others."""
    section = draw(st.sampled_from([name for name in (*SECTIONS, *ONE_LINE) if name not in ANSWERED]))
    known = [slot.partition(".")[0] for clause in clauses_of(section).clauses for slot, _ in clause.slots]
    names = st.sampled_from(sorted({*known, "foot", "at.x"})) | TEXTS
    small = st.dictionaries(st.sampled_from(["x", "y", "length", "width", "with", "edges", "tags", "least"]), HELD)
    words = st.sampled_from(["yes", "no", "leg", "x", "sheet"])
    return section, draw(st.dictionaries(names, HELD | words | small, max_size=6))


@given(entries())
@examples(300)
def test_any_fields_come_back_from_their_line(entry: tuple[str, dict[str, object]]) -> None:
    section, fields = entry
    line = line_of(section, fields)
    assert "\n" not in line
    assert entry_of(section, line) == (settled(section, fields), ())


@given(TEXTS | st.dictionaries(TEXTS, HELD, max_size=3))
@examples(300)
def test_any_value_comes_back_from_its_line(value: Any) -> None:
    assert entry_of("values", line_of("values", value)) == (value, ())


@given(st.sampled_from([*SECTIONS, *ONE_LINE]), st.lists(TEXTS, max_size=6).map("; ".join))
@examples(600)
def test_any_line_gives_fields_or_sentences_and_its_fields_come_back(section: str, line: str) -> None:
    fields, problems = entry_of(section, line, "leg")
    assert all(problem.message.startswith("The ") for problem in problems)
    again, none = entry_of(section, line_of(section, fields))
    assert (again, none) == (fields, ())


@pytest.mark.parametrize(
    ("section", "line", "fields"), [one for one in EXAMPLES if one[0] not in ("musts", "values") and '"' not in one[1]]
)
@given(st.data())
@examples(10)
def test_clauses_behind_the_first_say_the_same_in_any_order(
    section: str, line: str, fields: Any, data: st.DataObject
) -> None:
    clauses = line.split("; ")
    fixed = max(1, len(clauses_of(section).bare))
    turned = [*clauses[:fixed], *data.draw(st.permutations(clauses[fixed:]))]
    assert entry_of(section, "; ".join(turned)) == (fields, ())
