"""A small rack as a design form, for tests that change one thing in it."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.design_text import read_text

WALL_CABINET = Path(__file__).parent / "reference" / "wall_cabinet.yaml"
MM = 10**6
GONE = object()

SMALL = """
form: 1
design: small_rack
name: Small rack
says: A rack for a test.
sizes:
  width: {says: Width, usual: 800 mm, least: 400 mm, most: 40 in}
  shelves: {says: Shelves, usual: 3, least: 2, most: 6}
stock:
  panel: {says: Panels, kind: sheet, usual: ply}
  leg_wood: {says: Legs, kind: board, usual: oak}
  stick: {says: Rails, kind: length, usual: softwood}
  tape: {says: Band, kind: length, usual: band}
  screw: {says: Screws, kind: fastener, usual: screw_4_40}
  glue: {says: Glue, kind: liquid, usual: glue}
choices:
  back: {says: Back, answers: [open_back, full_back], usual: open_back}
values:
  gap: 2 mm
  weight: 30 kg
  patch: 0.5 m2
  share: 10 %
  setback: {open_back: 0 mm, full_back: panel.thickness}
  pitch: width / (shelves - 1)
parts:
  shelf:
    says: Shelf
    stock: panel
    count: shelves
    length: width - 2 * gap
    width: 300 mm
    runs: {length: x, width: y}
    at: {z: (number - 1) * pitch}
    band: {with: tape, edges: [front]}
  back_panel:
    {says: Back, when: full_back, stock: panel, count: 1, length: width, width: 600 mm, runs: {length: x, width: z}}
  leg:
    {says: Leg, stock: leg_wood, count: 4, length: 700 mm, width: 40 mm, thickness: 40 mm, runs: {length: z, width: x}}
  rail: {says: Rail, stock: stick, count: 2, length: width, runs: {length: x, width: z}}
closes: {x: width, y: 300 mm, z: 700 mm}
joints:
  shelf_screws:
    {says: Shelves, from: shelf, into: leg, with: screw, run: 300 mm, rows: 2 * shelves, spacing: 150 mm, end: 40 mm,
     at_least: 2}
  back_held: {says: Back, when: full_back, from: back_panel, into: leg, with: screw, count: 8}
  glued: {says: Rails, from: rail, into: leg, glue: glue, glue_width: 40 mm, run: 40 mm, rows: 4, touches: no}
scope: A rack {width} wide with {shelves} shelves and {back}.
"""


def small() -> dict[str, Any]:
    document, problems = read_text(SMALL)
    assert document is not None, problems
    return document


def changed(path: str, value: object) -> dict[str, Any]:
    document = copy.deepcopy(small())
    place: dict[str, Any] = document
    *way, last = path.split("/")
    for key in way:
        place = place.setdefault(key, {})
    if value is GONE:
        del place[last]
    else:
        place[last] = value
    return document


def read(document: Mapping[str, object]) -> Design:
    design, problems = read_design(document)
    assert design is not None, problems
    return design
