"""What stands on the rack is used where it is cheaper, never more of it than there is, and its price is worked out."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests import wall_cabinet_case as case
from tests.costing.settings.test_moves import starter
from tests.documents.paper_case import papers_of
from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.rack import MOST_WEIGHED, rests_worth_keeping
from webapp.costing.catalogue.materials import Offcut, Offer, PriceSeen
from webapp.costing.catalogue.price_state import MISSING, STALE
from webapp.costing.cutting.ask.model import LengthRequest, SheetPlan, SheetRequest
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import work_of
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.jobs.reader import read_job
from webapp.costing.ledger.working import rework
from webapp.costing.settings.table import default_rates
from webapp.documents.buying.shopping_list import FROM_RACK
from webapp.documents.plans.drawings import cut_parts, drawn_sheets

MM = 10**6
#: Holds all that the case cuts from its thin sheet.
LARGE = Offcut("large", "thin_sheet", 1220 * MM, 900 * MM, 1, "bay 3")


def with_offcuts(*offcuts: Offcut, job: dict[str, object] | None = None, **settings: Fraction) -> Inputs:
    start = case.inputs()
    held: dict[str, tuple[Offcut, ...]] = {}
    for one in offcuts:
        held[one.material] = (*held.get(one.material, ()), one)
    return replace(
        start,
        job={**start.job, **(job or {})},
        catalogue=replace(start.catalogue, offcuts=held),
        rates=replace(start.rates, values={**start.rates.values, **settings}),
    )


def of(estimate: Estimate, code: str = "thin_sheet") -> MaterialBought:
    return next(one for one in estimate.bought if one.material.code == code)


def taken(estimate: Estimate, code: str = "thin_sheet") -> dict[str, int]:
    return {one.offer.id: one.packs for one in of(estimate, code).purchases}


def test_an_offcut_that_saves_a_sheet_is_used_and_counts_for_thirty_percent_by_area() -> None:
    found = estimate_inputs(with_offcuts(LARGE))
    assert taken(found) == {"rack:large": 1}
    # A sheet of 2440 x 1220 at 38.00: 0.3 x 38 x (1220 x 900) / (2440 x 1220) = 4.2049...
    assert of(found).bought.value == Fraction("4.20")
    purchase = of(found).purchases[0]
    assert purchase.unit_price is not None
    assert rework(purchase.unit_price, found.figures) == Fraction("4.20")
    assert "30 %" in " ".join(found.basis.assumptions)
    assert found.complete


def test_without_offcuts_nothing_changes() -> None:
    assert estimate_inputs(with_offcuts()).figures == estimate_inputs(case.inputs()).figures
    none_left = estimate_inputs(with_offcuts(replace(LARGE, count=0)))
    assert none_left.figures == estimate_inputs(case.inputs()).figures


def test_never_more_is_taken_than_there_is() -> None:
    """Five backs: a sheet holds three, each offcut one, and a second sheet is dearer than two offcuts."""
    small = Offcut("small", "thin_sheet", 1000 * MM, 850 * MM, 1)
    job: dict[str, object] = {"items": [{"id": "cabinet", "design": "wall_cabinet", "quantity": "5"}]}
    found = estimate_inputs(with_offcuts(small, LARGE, job=job))
    assert taken(found) == {"offer_02": 1, "rack:large": 1, "rack:small": 1}
    assert estimate_inputs(with_offcuts(small, job=job)).complete
    assert taken(estimate_inputs(with_offcuts(small, job=job)))["offer_02"] == 2
    assert taken(estimate_inputs(with_offcuts(replace(small, count=9), job=job))) == {"rack:small": 5}


def test_the_shop_and_the_job_say_whether_the_rack_is_used() -> None:
    assert taken(estimate_inputs(with_offcuts(LARGE, rack_used=Fraction(0)))) == {"offer_02": 1}
    assert taken(estimate_inputs(with_offcuts(LARGE, job={"rack": "no"}))) == {"offer_02": 1}
    found = estimate_inputs(with_offcuts(LARGE, job={"rack": "yes"}, rack_used=Fraction(0)))
    assert taken(found) == {"rack:large": 1}
    wrong = estimate_inputs(with_offcuts(LARGE, job={"rack": "perhaps"}))
    assert [one.field for one in wrong.problems] == ["rack"]


def test_an_offcut_without_trim_holds_what_a_trimmed_one_does_not() -> None:
    back = next(piece for piece in _request(estimate_inputs(case.inputs())).pieces if piece.length > 600 * MM)
    exact = Offcut("exact", "thin_sheet", back.length, back.width, 1)
    assert "rack:exact" not in taken(estimate_inputs(with_offcuts(exact)))
    assert _request(estimate_inputs(with_offcuts(exact, rack_trim=Fraction(0)))).stocks[-1].trim == (0, 0, 0, 0)


def _request(estimate: Estimate) -> SheetRequest:
    request = of(estimate).request
    assert isinstance(request, SheetRequest)
    return request


def test_what_no_blank_fits_in_is_not_weighed_and_never_spoils_the_plan() -> None:
    thin = Offcut("sliver", "thin_sheet", 2000 * MM, 3 * MM, 5)
    eaten = Offcut("eaten", "thin_sheet", 10 * MM, 10 * MM, 5)
    many = [Offcut(f"many_{number:02}", "thin_sheet", 1000 * MM, 800 * MM, 1) for number in range(70)]
    found = estimate_inputs(with_offcuts(thin, eaten, *many))
    stocks = [stock.id for stock in _request(found).stocks]
    assert len(stocks) == MOST_WEIGHED + 1
    assert not {"rack:sliver", "rack:eaten"} & set(stocks)
    assert isinstance(of(found).plan, SheetPlan)


def test_nobody_drives_to_the_rack_and_nobody_is_paid_there() -> None:
    ordering = Fraction(1)
    before = estimate_inputs(with_offcuts(rule_ordering=ordering))
    after = estimate_inputs(with_offcuts(LARGE, rule_ordering=ordering))
    assert before.stops == after.stops
    trips = [name for name in after.figures if name.endswith("/trips")]
    assert trips
    assert {name: after.figures[name].value for name in trips} == {name: before.figures[name].value for name in trips}
    paper = papers_of(with_offcuts(LARGE))[1].shopping_list
    assert paper.groups[0].name == FROM_RACK
    line = paper.groups[0].lines[0]
    assert (line.size, line.buy, line.amount) == ("1220 × 900 mm", "1", "4.20")
    assert line.note.startswith("Bay 3")
    assert paper.total.amount.startswith("222.25")  # 260.25 without the thin sheet's 38.00


def test_the_drawing_shows_an_offcut_as_large_as_it_is_and_says_where_it_stands() -> None:
    found = estimate_inputs(with_offcuts(LARGE))
    drawn = drawn_sheets(of(found), default_rates(), cut_parts(found))
    assert [(one.length, one.width) for one in drawn] == [(LARGE.length, LARGE.width)]
    assert drawn[0].title == "Plywood 6, plan 1 of 1, one offcut from the rack (bay 3)"


def test_what_is_left_over_is_what_the_cuts_leave_of_the_shops_least_size() -> None:
    """The back, 758 x 718, is cut across a sheet of 2440 x 1220 that loses 10 all round; a cut takes 3.2."""
    found = of(estimate_inputs(case.inputs()))
    rates = default_rates()
    # Beyond it 2420 - 718 - 3.2 over the whole width of 1200, and beside it 1200 - 758 - 3.2.
    sizes = [(one.length, one.width, one.count) for one in rests_worth_keeping((found,), rates)]
    assert sizes == [(1_698_800_000, 1200 * MM, 1), (718 * MM, 438_800_000, 1)]
    larger = rates.with_values({"offcut_width": Fraction(500 * MM)}, {})
    assert len(rests_worth_keeping((found,), larger)) == 1


def test_the_price_an_offcut_follows_may_be_old_or_missing() -> None:
    start = with_offcuts(LARGE)
    old = replace(start, catalogue=replace(start.catalogue, today=case.TODAY.replace(year=2028)))
    purchase = of(estimate_inputs(old)).purchases[0]
    assert purchase.price_state == STALE
    assert purchase.to_price is not None
    assert purchase.to_price.id == "offer_02"
    offers = {code: held for code, held in start.catalogue.offers.items() if code != "thin_sheet"}
    alone = estimate_inputs(replace(start, catalogue=replace(start.catalogue, offers=offers)))
    assert taken(alone) == {"rack:large": 1}
    assert of(alone).price_state == MISSING
    assert not alone.complete
    assert any("from the rack has no price" in one.message for one in alone.problems)


def test_a_snapshot_holds_the_rack_and_an_older_one_has_none() -> None:
    start = with_offcuts(LARGE)
    found = estimate_inputs(start)
    document = write_snapshot(start, found)
    again = read_snapshot(document)
    assert again.catalogue.offcuts == {"thin_sheet": (LARGE,)}
    assert estimate_inputs(again).figures == found.figures
    older = {**document, "catalogue": {k: v for k, v in document["catalogue"].items() if k != "offcuts"}}  # type: ignore[attr-defined]
    assert read_snapshot(older).catalogue.offcuts == {}


def test_a_helper_may_open_what_an_offcut_counts_for() -> None:
    start = with_offcuts(LARGE)
    found = estimate_inputs(start)
    work = work_of(found, read_job(start.job, start.system)[0])
    purchase = of(found).purchases[0]
    assert purchase.amount is not None
    assert purchase.amount.id in work.figures
    assert "price/rack:large" in work.figures


def test_an_offcut_of_what_has_no_price_still_goes_before_a_new_sheet() -> None:
    """By size alone: 0.3 x 1220 x 900 is less than one of 2440 x 1220."""
    start = with_offcuts(LARGE)
    prices = {offer: seen for offer, seen in start.catalogue.prices.items() if "thin_sheet" not in offer}
    unpriced = replace(start, catalogue=replace(start.catalogue, prices=prices))
    assert taken(estimate_inputs(unpriced)) == {"rack:large": 1}


def test_an_offcut_counts_by_the_sheet_that_costs_least_by_its_area() -> None:
    """96.00 for 2440 x 1220 is the least an m2: neither the cheapest sheet (1525 x 1525 at 78.00) nor a narrow one.

    0.3 x 96.00 x (1525 x 1500) / (2440 x 1220) = 22.1311..., rounded 22.13.
    """
    start = with_offcuts(Offcut("wide", "thick_sheet", 1525 * MM, 1500 * MM, 1, "bay 1"))
    narrow = Offer("narrow", "thick_sheet", "yard", {"length": Fraction(2440 * MM), "width": Fraction(305 * MM)})
    known = start.catalogue
    catalogue = replace(
        known,
        offers={**known.offers, "thick_sheet": (*known.offers["thick_sheet"], narrow)},
        prices={**known.prices, "narrow": (PriceSeen("narrow", Decimal(30), "USD", case.TODAY, "the test"),)},
    )
    found = estimate_inputs(replace(start, catalogue=catalogue))
    (price,) = (
        one.unit_price for one in of(found, "thick_sheet").purchases if one.offer.id == "rack:wide" and one.unit_price
    )
    assert price.value == Fraction("22.13")


def test_a_length_that_no_piece_fits_in_once_its_ends_are_trimmed_is_not_weighed() -> None:
    """The shortest tube of the bench, cut clean at both ends, needs its length and 5 mm at each of them."""
    start = starter("tube_frame_bench")
    tube = next(one for one in estimate_inputs(start).bought if one.material.code == "steel_tube_50")
    assert isinstance(tube.request, LengthRequest)
    shortest = min(piece.length for piece in tube.request.pieces)
    assert start.catalogue.materials["steel_tube_50"].values["end_trim"] == 5 * MM
    for length, weighed in ((shortest + 10 * MM - 1, False), (shortest + 10 * MM, True)):
        rest = Offcut("rest", "steel_tube_50", length, 0, 1, "bay 2")
        catalogue = replace(start.catalogue, offcuts={"steel_tube_50": (rest,)})
        found = of(estimate_inputs(replace(start, catalogue=catalogue)), "steel_tube_50")
        assert found.request is not None
        assert ("rack:rest" in {stock.id for stock in found.request.stocks}) is weighed


def test_a_whole_sheet_of_the_shops_own_counts_for_all_of_its_price_and_goes_before_a_new_one() -> None:
    whole = Offcut("whole", "thin_sheet", 2440 * MM, 1220 * MM, 1, "bay 1", whole=True)
    inputs = with_offcuts(whole)
    found = estimate_inputs(inputs)
    assert taken(found) == {"rack:whole": 1}
    # What the shop paid for it is charged as for a new one: 38.00, and the job costs what it cost without it.
    assert of(found).bought.value == Fraction("38.00")
    without = estimate_inputs(case.inputs())
    assert found.totals.cost.value <= without.totals.cost.value
    request = of(found).request
    assert isinstance(request, SheetRequest)
    stock = {one.id: one for one in request.stocks}
    assert stock["rack:whole"].full
    new = next(one for one in request.stocks if not one.id.startswith("rack:"))
    assert stock["rack:whole"].trim == new.trim
    # Frozen, it comes back as it was.
    again = read_snapshot(write_snapshot(inputs, found))
    assert again.catalogue.offcuts == inputs.catalogue.offcuts
    assert taken(estimate_inputs(again)) == {"rack:whole": 1}
