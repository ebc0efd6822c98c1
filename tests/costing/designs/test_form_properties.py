"""Whatever a design form holds, reading it gives a design or sentences, never an error; and its text reads back."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.design_form_case import WALL_CABINET, read, small
from tests.harness.examples import examples
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.schema import arrange
from webapp.costing.designs.canonical import document_digest
from webapp.costing.designs.formulas import FUNCTIONS, Dimension, find_dimension, read_formula
from webapp.costing.designs.sizes import check_sizes
from webapp.costing.designs.values import evaluate
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import work_out
from webapp.costing.ledger.working import Working, rework
from webapp.design_text import read_text, write_design_text, write_text

ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
PIECES = st.sampled_from(
    [
        "width", "gap", "panel.thickness", "number", "2", "0", "1/0", "18 mm", "3/4 in", "+", "-", "*", "/", "(", ")",
        "least(", ",", "<=", "{width}", "{", "yes", "sheet", "panel", "shelf", "full_back", "e9", "**", ".", "lambda",
        "30 kg", "0.3 N/mm", "fastenings",
    ]
)  # fmt: skip
FORMULA_LIKE = st.lists(PIECES, max_size=8).map(" ".join)
LEAVES = ANY_TEXT | FORMULA_LIKE | st.none() | st.booleans() | st.integers() | st.floats() | st.binary(max_size=4)


def nested(leaves: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.recursive(
        leaves, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(ANY_TEXT, inner, max_size=4), max_leaves=12
    )


NESTED = nested(LEAVES)
PLAIN = nested(ANY_TEXT)
SECTIONS = ["sizes", "stock", "choices", "values", "parts", "closes", "joints", "surfaces", "finish", "spans", "musts"]


def places(value: object, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every name and list place of a document."""
    inner: Iterable[tuple[Any, object]] = ()
    if isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    return [each for key, content in inner for each in ((*way, key), *places(content, (*way, key)))]


DOCUMENT = small()
PLACES = st.sampled_from(places(DOCUMENT))


def spoiled(changes: list[tuple[tuple[Any, ...], object]]) -> dict[str, Any]:
    """The small rack with other content at some places; a place that an earlier change took away is left."""
    document = copy.deepcopy(DOCUMENT)
    for way, value in changes:
        place: Any = document
        try:
            for key in way[:-1]:
                place = place[key]
            place[way[-1]] = value
        except (KeyError, IndexError, TypeError):
            continue
    return document


NAMES: dict[str, Dimension] = {
    "width": (1, 0), "gap": (1, 0), "panel.thickness": (1, 0), "shelves": (0, 0), "weight": (0, 1),
}  # fmt: skip
FORMULAS = st.recursive(
    st.sampled_from([*NAMES, "0", "2", "0.75"]),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda each: f"({each[0]} {each[1]} {each[2]})"),
        st.tuples(st.sampled_from(["least", "greatest"]), inner, inner).map(
            lambda each: f"{each[0]}({each[1]}, {each[2]})"
        ),
        inner.map(lambda each: f"whole_up({each})"),
        inner.map(lambda each: f"-{each}"),
    ),
    max_leaves=7,
)


@given(FORMULAS, st.fractions(Fraction(1, 7), 5), st.fractions(Fraction(1, 7), 5))
@examples(300)
def test_a_formula_scales_as_its_dimension_says(text: str, longer: Fraction, heavier: Fraction) -> None:
    """A length stays a length, and a number a number, when every length and every mass is made larger by a factor."""
    try:
        formula = read_formula(text)
        dimension = find_dimension(formula, NAMES)
    except FormulaError:
        return
    at = {
        "width": Fraction(800), "gap": Fraction(3, 2), "panel.thickness": Fraction(18), "shelves": Fraction(3),
        "weight": Fraction(7),
    }  # fmt: skip
    scaled = {name: value * longer ** NAMES[name][0] * heavier ** NAMES[name][1] for name, value in at.items()}
    try:
        value = work_out(formula, at, FUNCTIONS)
    except FormulaError:
        return
    if dimension is None:
        assert value == 0
    else:
        assert work_out(formula, scaled, FUNCTIONS) == value * longer ** dimension[0] * heavier ** dimension[1]


@given(st.lists(st.tuples(PLACES, NESTED), min_size=1, max_size=4))
@examples(250)
def test_a_spoiled_form_gives_a_design_or_sentences(changes: list[tuple[tuple[Any, ...], object]]) -> None:
    design, problems = read_design(spoiled(changes))
    assert (design is None) == bool(problems)
    for problem in problems:
        assert problem.message.strip()
        assert len(problem.message) < 3000


@given(
    st.dictionaries(st.sampled_from(["one", "two", "three"]), FORMULAS, min_size=1),
    st.dictionaries(st.sampled_from(["width", "shelves", "depth"]), FORMULA_LIKE | st.integers(-9, 2000).map(str)),
)
@examples(200)
def test_a_design_that_reads_can_be_worked_out(formulas: dict[str, str], typed: dict[str, str]) -> None:
    needs = {f"must_{name}": {"that": f"{name} >= 0", "says": "No."} for name in formulas}
    design, _ = read_design({**DOCUMENT, "values": {**DOCUMENT["values"], **formulas}, "musts": needs})
    if design is None:
        return
    sizes, _ = check_sizes(design, typed, "metric")
    assert all(design.sizes[name].least <= value <= design.sizes[name].most for name, value in sizes.items())
    working = Working()
    found = evaluate(design, sizes, {}, {"panel.thickness": Fraction(18_000_000)}, working=working)
    assert all(name in found.names or found.problems for name in formulas)
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value


@given(st.dictionaries(ANY_TEXT | st.sampled_from(SECTIONS), NESTED, max_size=6) | NESTED)
@examples(150)
def test_no_document_raises(document: object) -> None:
    design, problems = read_design(document)
    assert design is None
    assert problems


@given(st.dictionaries(ANY_TEXT, PLAIN, max_size=5))
@examples(120)
def test_a_document_reads_back_from_its_text(document: Mapping[str, object]) -> None:
    again, problems = read_text(write_text(document))
    assert not problems
    assert again == document


@given(
    st.text(max_size=200)
    | st.lists(st.sampled_from([*"ab:{}[],&*!|>-?#%@\"'\n\t ", "a: ", "- ", "---", "<<: "]), max_size=60).map("".join)
)
@examples(250)
def test_no_text_raises(text: str) -> None:
    document, problems = read_text(text)
    assert (document is None) == bool(problems)


@given(st.randoms(use_true_random=False))
@examples(8)
def test_order_changes_neither_digest_nor_values(random: Any) -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None

    def shuffled(value: object) -> object:
        if not isinstance(value, dict):
            return value
        keys = list(value)
        random.shuffle(keys)
        return {key: shuffled(value[key]) for key in keys}

    turned = shuffled(document)
    assert isinstance(turned, dict)
    assert read(turned).digest == read(document).digest == document_digest(document)
    assert arrange(turned) == document
    again, _ = read_text(write_design_text(turned))
    assert again == document
    properties = {"carcass.thickness": Fraction(18_000_000), "thin.thickness": Fraction(6_000_000)}
    assert evaluate(read(turned), {}, {}, properties).names == evaluate(read(document), {}, {}, properties).names
