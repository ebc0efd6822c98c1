"""Entries read aloud: the sentences of a small bench as one would say them, and of whatever a document holds."""

from __future__ import annotations

from hypothesis import given

from tests.costing.designs.test_form_properties import NESTED
from tests.harness.examples import examples
from webapp.costing.design_form.tables.form_tables import SECTIONS
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.measures.quantities import SYSTEMS
from webapp.design_text import read_text
from webapp.paths import CHECKOUT

BENCH = """
form: 2
design: plain_bench
name: Plain bench
sizes:
  length: Length; 900 mm | 36 in; least 600 mm; most 1200 mm
stock:
  leg_stock: Legs; length softwood_4x4; needs softwood, width at least 80 mm
  screw: Screws; fastener screw_4_40
choices:
  base: Base; feet_base or toe_base
values:
  skin_top: height - 2 * board.thickness
  lift: feet_base 40 mm; toe_base 0 mm
  gap: metric 2 mm; inch 1/16 in
parts:
  leg: Leg; 4 of leg_stock; long skin_top - lift along z; wide along x; x 2 from 60 mm to length - 60 mm; z lift
  top: Top; 1 of leg_stock; long length along x; grain width; when toe_base
closes: x length; y depth; z height - lift
joints:
  corner: Corners; leg into top; with screw; every 40 mm; at least 2; glue; apart
surfaces:
  leg_faces: 2 faces of leg
hardware:
  foot: Foot; of leg_stock; x left and right; y 20 mm; wide 50 mm; deep 40 mm; tall lift
finish:
  coats: Frame; 1 coats of oil; sprayed; on leg faces, edges
operations:
  draw: Draw; by items
  oil: Oil; off
spans:
  reach: top over skin_top; load 0.75 N/mm
musts:
  fits: skin_top >= lift; warning; when toe_base; Only {skin_top} is left.
"""

SAID = {
    "Sizes": ["Length: 900 mm or 36 in as a rule, from 600 mm to 1200 mm."],
    "Stock": [
        "Legs: length, softwood 4x4 as a rule, needing softwood and width at least 80 mm.",
        "Screws: fastener, screw 4 40 as a rule.",
    ],
    "Choices": ["Base: feet base or toe base, feet base as a rule."],
    "Values": [
        "Skin top is height - 2 x thickness of board.", "Lift is 40 mm for “feet base” and 0 mm for “toe base”.",
        "Gap is 2 mm or 1/16 in.",
    ],
    "Parts": [
        "Leg: four of them, cut from “Legs”, skin top - lift long, standing, its width from left to right, from left "
        "to right: 2 from 60 mm to length - 60 mm, in height: lift.",
        "Top: one, cut from “Legs”, length long, lying from left to right, grain along the width, only for “toe base”.",
    ],
    "Closes": ["The whole is length from left to right, depth from front to back and height - lift in height."],
    "Joints": [
        "Corners: “Leg” into “Top”, held by “Screws”, one at most every 40 mm, at least two in each row, glued, "
        "though they need not touch."
    ],
    "Surfaces": ["Leg faces: two broad faces of “Leg”."],
    "Hardware": [
        "Foot: “Legs”, from left to right: left and right, from front to back: 20 mm, 50 mm wide, 40 mm deep, "
        "lift high."
    ],
    "Finish": ["Frame: one coat of oil, sprayed, on leg faces and edges."],
    "Operations": ["Draw: by items.", "Oil: left off."],
    "Spans": ["Reach: “Top” over skin top, carrying 0.75 N/mm."],
    "Musts": ["For “toe base”, skin top is at least lift; or else a warning: Only (skin top) is left."],
}  # fmt: skip


def test_a_small_bench_is_read_aloud() -> None:
    document, problems = read_text(BENCH)
    assert document is not None, problems
    assert {section: list(sentences) for section, sentences in read_aloud(document)} == SAID


def test_each_entry_of_the_starters_is_a_sentence_without_signs_of_the_text() -> None:
    for path in sorted((CHECKOUT / "seed_data" / "designs").glob("*.yaml")):
        document, _ = read_text(path.read_text(encoding="utf-8"))
        assert document is not None
        told = dict(read_aloud(document))
        for section in (each for each in SECTIONS if each in document):
            entries = document[section]
            assert isinstance(entries, dict)
            assert len(told[section.capitalize()]) == len(entries)
        for sentence in (each for sentences in told.values() for each in sentences):
            assert sentence[0].isupper()
            assert sentence.endswith((".", "?"))
            assert not any(sign in sentence for sign in ("_", "{", "}", " * ", "  ", *(f" {one} " for one in SYSTEMS)))


@given(NESTED, NESTED, NESTED)
@examples(200)
def test_whatever_a_document_holds_is_read_aloud(one: object, other: object, third: object) -> None:
    document = {"parts": {"a": one, "b": other}, "musts": {"a": third}, "values": {"a": one}, "closes": other}
    document = {**document, "stock": {"a": {"needs": third, "usual": one}}, "sizes": {"a": {"usual": other}}}
    assert all(sentence for _, sentences in read_aloud(document) for sentence in sentences)
