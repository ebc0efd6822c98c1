"""Faults h of the table, each planted in a sound starter and named with its part and figure, worked by hand."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.reference.test_planted_loads import Document, Edit, catalogue, outside, planted
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import Check


def lifting(name: str, edit: Edit = lambda _: None, sizes: Mapping[str, str] | None = None) -> dict[str, Check]:
    item: Document = {"id": "one", "design": name, **({"sizes": dict(sizes)} if sizes else {})}
    form = {"form": "1", "job": name, "items": [item]}
    document = planted(name, edit)
    found = estimate_inputs(Inputs(form, {"one": document}, catalogue(), default_rates(), "metric", 2, {}))
    return {check.name: check for _, check in found.checks}


def _thick_top(document: Document) -> None:
    document["values"]["hardwood_thickness"] = "80 mm"
    document["stock"]["top_wood"]["usual"] = "sugar_maple"


@outside(source="Applications manual for the revised lifting equation (1994), and guidance L23 (2004), par. 120")
def test_22_a_top_that_three_do_not_lift() -> None:
    """2400 x 900 x 80 at 705.6 kg/m3 (0.63 x 1.12): 121.9 kg. From the floor (1 - 0.003 x 75 = 0.775), hands 29 cm out
    (25 / 29), 660 mm up (0.82 + 4.5 / 66), fair grasp 0.95: 23 kg come to 13.1, and three lift half of three times."""
    found = lifting("trestle_bench", _thick_top, {"length": "2400 mm", "width": "900 mm"})["lifted/one/top_hardwood"]
    assert found.outcome == "warning"
    assert "Top, glued up, 121.9 kg: a lift, or three people" in found.sentence
    assert found.held is not None
    assert float(found.held.has) == pytest.approx(
        23 * 25 / 29 * 0.775 * (0.82 + 4.5 / 66) * 0.95 * 1.5, rel=0.01
    )


def _tall(document: Document) -> None:
    document["sizes"]["height"]["most"] = {"metric": "2600 mm", "inch": "102 in"}
    document["sizes"]["longest_piece"]["usual"] = {"metric": "2700 mm", "inch": "106 in"}
    document["musts"].pop("within_reach")


def test_23_ware_boards_above_what_is_reached() -> None:
    """Runners begin at 40 + 88.9 + 20 = 148.9 (the tie is 88.9 high) and rise by 200; the topmost of twelve carries its
    board at 2187 or so: above 1750 nothing is lifted."""
    found = lifting("drying_rack", _tall, {"height": "2600 mm"})["reached/one"]
    assert found.outcome == "warning"
    assert "Ware board, loose, the topmost, is lifted at 2187 mm; above 1750 mm" in found.sentence


def test_24_loading_that_is_counted_for_one() -> None:
    """About 66 kg in one piece: more than two may lift."""
    found = lifting("bench_cabinet", lambda document: document["operations"]["load_up"].update(driver="items"))
    assert found["crew/one"].outcome == "warning"
    assert "“Load” counts one person's minutes" in found["crew/one"].sentence
    assert "crew/one" not in lifting("bench_cabinet")
