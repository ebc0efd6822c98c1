"""Folds and outlines of a design that stands in another: under its names, and mirrored with it."""

from __future__ import annotations

from webapp.costing.design_form.put_in import PutIn
from webapp.design_text import read_text

PANEL = """
form: 2
design: panel
name: Panel
says: A folded panel and a gusset.
sizes:
  length: Length; 400 mm; least 100 mm; most 900 mm
  leg: Legs; 30 mm; least 10 mm; most 60 mm
stock:
  sheet: Sheet metal; sheet steel_sheet; needs sheet_metal
parts:
  tray: Tray; of sheet; long length along x; wide 300 mm along y
  gusset: Gusset; of sheet; long length along x; wide 200 mm along y; z 50 mm
folds:
  lip: Lip; leg up along left and front of tray
  rim: Rim; 12 mm inwards on lip; bent 60 degrees
holes:
  hang: Hole to hang it by; 6 mm hole through tray; in the leg of rim
outlines:
  slope: 0 by 0, length by 0, 0 by 200 mm of gusset
closes: x length; y 300 mm; z 50 mm
scope: A panel.
"""


def put_in(mirrored: list[str]) -> dict[str, dict[str, object]]:
    document, unread = read_text(PANEL)
    assert document is not None, unread
    entry = {"design": "panel", "sizes": {"length": "width - 20 mm"}, "mirrored": mirrored}
    sections = PutIn("side", entry, document, {}, {"stock": {}}).sections()
    return {section: dict(entries) for section, entries in sections.items()}


def test_they_go_by_the_names_of_their_use() -> None:
    sections = put_in([])
    lip, slope = sections["folds"]["side_lip"], sections["outlines"]["side_slope"]
    assert isinstance(lip, dict)
    assert isinstance(slope, dict)
    assert (lip["part"], lip["fold_leg"]) == ("side_tray", "side_leg")
    assert (lip["edges"], lip["way"]) == (["left", "front"], "top")
    rim, hang = sections["folds"]["side_rim"], sections["holes"]["side_hang"]
    assert isinstance(rim, dict)
    assert isinstance(hang, dict)
    assert (rim["on"], rim["turn"], hang["part"], hang["leg"]) == ("side_lip", "inwards", "side_tray", "side_rim")
    assert slope["part"] == "side_gusset"
    assert slope["points"] == [
        {"along": "0", "across": "0"}, {"along": "side_length", "across": "0"}, {"along": "0", "across": "200 mm"},
    ]  # fmt: skip


def test_they_are_mirrored_with_it() -> None:
    sections = put_in(["x", "z"])
    lip, slope = sections["folds"]["side_lip"], sections["outlines"]["side_slope"]
    assert isinstance(lip, dict)
    assert isinstance(slope, dict)
    assert (lip["edges"], lip["way"]) == (["right", "front"], "bottom")
    assert [corner["along"] for corner in slope["points"]] == [
        "side_gusset.length - (0 mm)", "side_gusset.length - (side_length)", "side_gusset.length - (0 mm)",
    ]  # fmt: skip
    assert [corner["across"] for corner in slope["points"]] == ["0", "0", "200 mm"]
