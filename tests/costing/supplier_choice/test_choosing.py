"""No choice of suppliers is dearer than the best of all ways to buy, tried one by one with stops and carriage."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.supplier_choice.choosing import cheapest_by_price, choose_suppliers
from webapp.costing.supplier_choice.packs import Pack
from webapp.costing.supplier_choice.question import Choice, Supplied, Terms, Wanted

SUPPLIERS = ("ash", "beech", "cedar", "")


@st.composite
def _wanted(draw: st.DrawFn) -> dict[str, Wanted]:
    wanted = {}
    for material in range(draw(st.integers(1, 3))):
        packs = []
        for number in range(draw(st.integers(1, 3))):
            least = draw(st.integers(2, 4))
            price = Fraction(draw(st.integers(1, 60)), 4)
            later = (least, price * draw(st.integers(2, 4)) / 4)
            prices: tuple[tuple[int, Fraction], ...] = ((1, price), later) if draw(st.booleans()) else ((1, price),)
            pack = Pack(f"{material} {number}", Fraction(draw(st.integers(1, 3))), prices)
            supplier = draw(st.sampled_from(SUPPLIERS))
            # Now and then what is bought in numbers is delivered at its price.
            free = supplier and len(prices) == 2 and draw(st.booleans())
            without = Pack(pack.offer, pack.holds, ((1, None), later)) if free else None
            packs.append(Supplied(pack, supplier, without))
        wanted[f"material {material}"] = Wanted(Fraction(draw(st.integers(1, 4))), tuple(packs))
    return wanted


@st.composite
def _terms(draw: st.DrawFn) -> Terms:
    carriage = {one: Fraction(draw(st.integers(0, 9))) for one in draw(st.sets(st.sampled_from(SUPPLIERS[:3])))}
    fixed = frozenset(draw(st.sets(st.sampled_from(SUPPLIERS[:3]), max_size=2)))
    return Terms(Fraction(draw(st.integers(0, 25))), carriage, fixed, draw(st.booleans()))


def _least(wanted: Mapping[str, Wanted], terms: Terms) -> Fraction:
    """Every number of every pack of every material, with the way of all of them together."""
    ways = []
    for one in wanted.values():
        found: dict[frozenset[str], Fraction] = {}
        for numbers in product(range(6), repeat=len(one.packs)):
            if sum(number * held.pack.holds for number, held in zip(numbers, one.packs, strict=True)) < one.required:
                continue
            cost, used = Fraction(0), set[str]()
            for number, held in zip(numbers, one.packs, strict=True):
                if number:
                    reached = max(least for least, _ in held.pack.prices if least <= number)
                    price = dict(held.pack.prices)[reached]
                    assert price is not None
                    cost += number * price
                    delivered = held.without is not None and dict(held.without.prices)[reached] is not None
                    if held.supplier and not delivered:
                        used.add(held.supplier)
            key = frozenset(used)
            found[key] = min(cost, found.get(key, cost))
        ways.append(found)
    best: Fraction | None = None
    for chosen in product(*(found.items() for found in ways)):
        everyone = frozenset().union(*(used for used, _ in chosen)) | terms.fixed
        driven = [one for one in everyone if one not in terms.carriage]
        way = terms.stop * max(0, len(driven) - (1 if terms.first_is_free else 0))
        way += sum(terms.carriage[one] for one in everyone if one in terms.carriage)
        total = sum((cost for _, cost in chosen), way)
        best = total if best is None else min(best, total)
    assert best is not None
    return best


def _chosen(wanted: Mapping[str, Wanted], terms: Terms) -> Choice:
    choice = choose_suppliers(wanted, terms)
    assert choice is not None
    return choice


@examples(100)
@given(_wanted(), _terms())
def test_no_choice_is_dearer_than_the_best_of_all_ways_to_buy(wanted: dict[str, Wanted], terms: Terms) -> None:
    choice = _chosen(wanted, terms)
    assert choice.total == _least(wanted, terms)
    by_price = cheapest_by_price(wanted, terms)
    assert by_price is not None
    assert by_price.goods <= choice.goods
    assert by_price.total >= choice.total


@examples(50)
@given(_wanted(), _terms(), st.randoms(use_true_random=False))
def test_the_order_of_materials_and_offers_changes_nothing(
    wanted: dict[str, Wanted], terms: Terms, chance: object
) -> None:
    keys = list(wanted)
    chance.shuffle(keys)  # type: ignore[attr-defined]
    turned = {key: Wanted(wanted[key].required, tuple(reversed(wanted[key].packs))) for key in keys}
    one, other = _chosen(wanted, terms), _chosen(turned, terms)
    assert (one.total, one.suppliers, one.bought) == (other.total, other.suppliers, other.bought)


def _single(offer: str, price: str, supplier: str) -> Supplied:
    return Supplied(Pack(offer, Fraction(1), ((1, Fraction(price)),)), supplier)


def test_a_dearer_knob_is_taken_where_one_is_already() -> None:
    knob = Wanted(Fraction(1), (_single("far", "3.90", "far"), _single("here", "4.00", "here")))
    choice = _chosen({"knob": knob}, Terms(Fraction(25), fixed=frozenset({"here"})))
    assert choice.bought["knob"][0].offer == "here"
    assert choice.total == 4
    # 260 knobs are 26 cheaper there, which is worth the stop of 25.
    many = Wanted(Fraction(260), knob.packs)
    assert _chosen({"knob": many}, Terms(Fraction(25), fixed=frozenset({"here"}))).bought["knob"][0].offer == "far"


def test_materials_share_a_stop_that_none_of_them_is_worth_alone() -> None:
    # Each is 15 cheaper at the far one: together 30, more than the stop of 25.
    def one(name: str) -> Wanted:
        return Wanted(Fraction(1), (_single(f"{name} far", "10", "far"), _single(f"{name} here", "25", "here")))

    terms = Terms(Fraction(25), fixed=frozenset({"here"}))
    assert _chosen({"a": one("a")}, terms).suppliers == frozenset()
    assert _chosen({"a": one("a"), "b": one("b")}, terms).suppliers == {"far"}
