"""Edge band to buy, by material: finished lengths, an overhang at both ends of every edge, and waste on top."""

from __future__ import annotations

from collections.abc import Iterable

from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.parts import MadePart


def band_to_buy(taking: Taking, made: Iterable[MadePart]) -> dict[str, Figure]:
    """Metres of each edge band: finished lengths, an overhang at both ends of every edge, and waste on top."""
    by_code: dict[str, list[MadePart]] = {}
    for one in made:
        if one.banded is not None and one.part.band_stock in taking.stock:
            by_code.setdefault(taking.code_of(one.part.band_stock), []).append(one)
    found = {}
    for code, banded in by_code.items():
        name = taking.catalogue.materials[code].name
        runs = taking.total(f"band/{code}/run", f"{name}: banded edges", "m", [
            one.banded for one in banded if one.banded is not None
        ])  # fmt: skip
        edges = taking.total(f"band/{code}/edges", f"{name}: number of edges", "edge", [
            taking.derive(
                f"part/{one.part.name}/banded_edges", f"{one.part.says}: number of banded edges", "edge",
                "banded edges of one x count", "of_one * count", count=one.taken.count,
                of_one=taking.given(
                    f"part/{one.part.name}/banded_edges_of_one", f"{one.part.says}: banded edges of one",
                    len(one.banded_edges), "edge",
                ),
            )
            for one in banded
        ])  # fmt: skip
        found[code] = taking.derive(
            f"band/{code}", f"{name}: to buy", "m", "(banded edges + overhang at both ends of each) x (1 + waste)",
            "(run + metres(2 * overhang) * edges) * (1 + waste)",
            run=runs, edges=edges, overhang=taking.setting("band_overhang", "nm"),
            waste=taking.setting("band_waste", "share"),
        )  # fmt: skip
    return found
