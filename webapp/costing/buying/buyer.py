"""From requirements to purchases: sheets and lengths cut from the cheapest stock, all else in the cheapest packs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import ceil

from webapp.costing.buying.asking import Asking
from webapp.costing.buying.boards_to_buy import boards_to_buy
from webapp.costing.buying.bought import MaterialBought, Purchase
from webapp.costing.buying.getting import Ordered, Way, is_cut, off_the_shelf, used_up_whole
from webapp.costing.buying.order_decision import Counted, Decision, ToDecide, decide
from webapp.costing.buying.plan_problems import spliced, unplaced
from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.rack import offered_by_rack
from webapp.costing.buying.stick_board_feet import count_board_feet
from webapp.costing.buying.subcontract import charge_service
from webapp.costing.buying.wished import wished
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, current_price
from webapp.costing.catalogue.price_state import FRESH, MISSING, STALE, state_at
from webapp.costing.catalogue.subcontract import by_measure, is_subcontracted
from webapp.costing.cutting.ask.checking import CutRequestError
from webapp.costing.cutting.ask.price_breaks import counts_bought, counts_cut, whole_purchase
from webapp.costing.cutting.hand.pins import Pin
from webapp.costing.errors import Problem
from webapp.costing.items.requirements import Requirement
from webapp.costing.jobs.wishes import NO_WISHES, Wishes
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System
from webapp.costing.plans.key import frozen_for
from webapp.costing.plans.requests import NO_PRICE, CutAnswer, PlanBook, cut_material
from webapp.costing.settings.rates import Rates
from webapp.costing.supplier_choice.packs import cheapest_packs


class Buyer:
    """Buys what a job needs, at the prices that hold today, and keeps the problems it meets."""

    def __init__(
        self, catalogue: Catalogue, rates: Rates, working: Working, plans: PlanBook, system: System, places: int,
        pins: Mapping[str, Pin], wishes: Wishes = NO_WISHES,
    ) -> None:  # fmt: skip
        self.catalogue, self.rates, self.plans, self.system = catalogue, rates, plans, system
        # What is needed, bought and paid is work; what of it is charged is the owner's.
        self.working, self.work = working, working.work
        self.prices_paid = PricesPaid(catalogue, rates, working.work, places)
        self.pins, self.wishes = pins, wishes
        self.problems: list[Problem] = []
        self.asking = Asking(self.prices_paid, system)
        self.decision: Decision | None = None
        self._answers: dict[tuple[str, ...], tuple[Requirement, CutAnswer]] = {}

    def decide(self, requirements: Mapping[str, Requirement], already: Iterable[Purchase] = ()) -> Decision:
        """Decide for all needs together where they are bought; `already` is bought in any case."""
        asked = {key: self._to_decide(key, requirement) for key, requirement in sorted(requirements.items())}
        ordered = [one.ordered for one in already]
        self.decision = decide(asked, self.rates, ordered, fewest=self.wishes.fewest)
        return self.decision

    def _to_decide(self, key: str, requirement: Requirement) -> ToDecide:
        offers = self._offers(requirement)
        if is_cut(requirement.material):
            frozen = frozen_for(requirement.material.code) in self.plans or requirement.material.code in self.pins
            return ToDecide(
                requirement.material.name, offers, lambda kept: self._cut_from(requirement, kept),
                least_cut=None if frozen else lambda kept: self.asking.least_cut(requirement, kept),
            )  # fmt: skip
        if not offers or off_the_shelf(requirement.material, self.rates):
            return ToDecide(requirement.material.name, ())
        needed = self.asking.needed(key, requirement)
        if self.from_stock(key, requirement, needed)[1]:
            return ToDecide(requirement.material.name, ())
        asked = self.asking.to_buy(key, requirement, needed)
        ways = {offer.id: self.asking.ways(requirement, offer) for offer in offers}
        return ToDecide(
            requirement.material.name, offers, required=self.asking.to_cover(requirement, asked),
            packs=tuple(
                Counted(one, pack, ways[one.id], self.asking.mass(requirement, one, asked.value))
                for one, pack in self.asking.packs(requirement, asked, offers)
            ),
        )  # fmt: skip

    def _cut_from(self, requirement: Requirement, offers: tuple[Offer, ...]) -> list[Ordered]:
        """What the cut plan of a material buys where these offers are to be had."""
        everything = (*offers, *offered_by_rack(requirement, self.catalogue, self.rates))
        if not everything:
            return []
        try:
            answer = self._answer(requirement, everything)
        except CutRequestError:
            return []
        cut, found = counts_cut(answer.plan), []
        by_id = {offer.id: offer for offer in everything}
        for stock in answer.request.stocks:
            number, cost = whole_purchase(stock, cut[stock.id])
            if number:
                offer = by_id[stock.id]
                mass = self.asking.mass(requirement, offer, Fraction(0)) * number
                found.append(Ordered(offer, self.asking.way(requirement, offer, number), cost, mass))
        return found

    def buy(self, key: str, requirement: Requirement) -> MaterialBought:
        """Buy one material; a missing price leaves its amount out and says so."""
        material, working = requirement.material, self.work
        item_needs = self.asking.required_by_item(key, requirement)
        total = self.asking.needed(key, requirement)
        offers = self._offers(requirement)
        if self.decision is not None:
            offers = self.decision.offers(key, offers)
        cut = is_cut(material)
        if cut:
            offers = (*offers, *offered_by_rack(requirement, self.catalogue, self.rates))
        answer: CutAnswer | None = None
        counts: dict[str, int] = {}
        from_stock, in_stock = self.from_stock(key, requirement, total)
        if in_stock:
            total = self.asking.to_buy(key, requirement, total)
        elif not offers:
            self._miss(material, f"Nobody offers {material.name} in a size that serves: add an offer with its price.")
        elif cut:
            try:
                answer, counts = self._cut(requirement, offers)
            except CutRequestError as error:
                # Too many pieces for one plan, or a size that no saw knows: named, and the rest goes on.
                said = " ".join(dict.fromkeys(problem.message for problem in error.problems))
                self._miss(material, f"{material.name} can't be planned and is left out: {said}")
                counts = {}
        else:
            total, counts = self._counted(key, requirement, total, offers)
        count_board_feet(self.work, key, requirement, offers, counts)
        purchases = tuple(
            self._purchase(key, requirement, offer, counts[offer.id]) for offer in offers if counts.get(offer.id)
        )
        amounts = [one.amount for one in purchases if one.amount is not None]
        bought = working.total(f"buy/{key}/bought", f"{material.name}, as bought", "money", amounts)
        states = {one.price_state for one in purchases} or {FRESH if in_stock else MISSING}
        state = MISSING if MISSING in states else STALE if STALE in states else FRESH
        by_share = self._by_share(key, requirement, total, purchases, bought)
        charged = by_share if off_the_shelf(material, self.rates) else bought
        charged = self.working.derive(
            f"buy/{key}/charged",
            f"{material.name}, charged",
            "money",
            "as bought or by the share used, by the shop's setting",
            "amount",
            amount=charged,
        )
        shares = divide(self.working, f"buy/{key}", material.name, charged, item_needs, self.prices_paid.coin)
        return MaterialBought(
            key, material, requirement.unit, total, purchases, bought, by_share, charged, shares, item_needs, state,
            answer.key if answer else "", answer.plan if answer else None, answer.names if answer else (),
            answer.request if answer else None, tuple(requirement.pieces), self.asking.chance(key),
            answer.found_plan if answer else None, answer.pinned if answer else False, from_stock,
        )  # fmt: skip

    def _miss(self, material: Material, sentence: str) -> None:
        self._say(material, sentence, "failure")

    def _say(self, material: Material, sentence: str, severity: str) -> None:
        problem = Problem(f"materials.{material.code}", sentence, severity)
        if problem not in self.problems:
            self.problems.append(problem)

    def _offers(self, requirement: Requirement) -> tuple[Offer, ...]:
        """The offers that serve: the right rough thickness, and those with a price where any has one."""
        offers = self.catalogue.offers_of(requirement.material.code)
        if requirement.rough_thickness is not None:
            offers = tuple(
                offer for offer in offers if offer.size.get("rough_thickness") == requirement.rough_thickness
            )
        priced = tuple(offer for offer in offers if current_price(self.catalogue, offer.id) is not None)
        left, said = wished(requirement.material, priced or offers, self.wishes, self.catalogue.today)
        for sentence in said:
            self._say(requirement.material, sentence, "warning")
        return left

    def from_stock(self, key: str, requirement: Requirement, total: Figure) -> tuple[Fraction, bool]:
        """How much is taken of what the shop has, and whether that is all of it."""
        if requirement.material.code not in self.catalogue.on_hand:
            return Fraction(0), False
        asked = self.asking.to_buy(key, requirement, total)
        taken = self.asking.from_stock(requirement, asked)
        return taken, bool(taken) and taken == asked.value

    def _answer(self, requirement: Requirement, offers: tuple[Offer, ...]) -> CutAnswer:
        # What was weighed to decide where to buy is bought then: it is asked once.
        asked = (requirement.material.code, *(offer.id for offer in offers))
        known = self._answers.get(asked)
        if known is None or known[0] is not requirement:
            pin, priced = self.pins.get(requirement.material.code), self.prices_paid.by_number
            known = requirement, cut_material(requirement, offers, self.rates, priced, self.plans, pin)
            self._answers[asked] = known
        return known[1]

    def _cut(self, requirement: Requirement, offers: tuple[Offer, ...]) -> tuple[CutAnswer, dict[str, int]]:
        answer = self._answer(requirement, offers)
        if answer.unpinned:
            self.problems.append(Problem(f"materials.{requirement.material.code}", answer.unpinned, "warning"))
        self.problems += [*unplaced(requirement, answer.plan), *spliced(requirement, answer.plan)]
        bought, cut = counts_bought(answer.request.stocks, answer.plan), counts_cut(answer.plan)
        for offer in offers:
            self._say_no_fewer(requirement, offer, cut[offer.id], bought.get(offer.id, 0))
        return answer, bought

    def _say_no_fewer(self, requirement: Requirement, offer: Offer, wanted: int, bought: int) -> None:
        """More are bought than are wanted because nobody says what fewer cost."""
        prices = self.prices_paid.by_number(offer)
        if prices and 0 < wanted < prices[0][0] <= bought:
            said = (
                f"{requirement.material.name} has no price from {offer.seller} for as few as {wanted}: {bought} are "
                "counted, the least that has one."
            )
            self._say(requirement.material, said, "warning")

    def _counted(
        self, key: str, requirement: Requirement, total: Figure, offers: tuple[Offer, ...]
    ) -> tuple[Figure, dict[str, int]]:
        """How much is bought of what is not cut, in packs of the offers decided for, else of the cheapest."""
        asked = self.asking.to_buy(key, requirement, total)
        decided = self.decision.packs(key) if self.decision is not None else None
        if decided is None:
            packs = [pack for _, pack in self.asking.packs(requirement, asked, offers)]
            try:
                decided = {
                    one.offer: one.packs for one in cheapest_packs(self.asking.to_cover(requirement, asked), packs)
                }
            except ValueError:
                self._miss(
                    requirement.material,
                    f"The packs offered of {requirement.material.name} can't cover what is needed.",
                )
                return asked, {}
        if requirement.material.kind is Kind.BOARD:
            wrong = self.asking.boards[key].wrong
            if wrong:
                self.problems.append(Problem(f"materials.{requirement.material.code}", wrong, "warning"))
            taken = tuple(offer for offer in offers if offer.id in decided) or offers
            _, to_buy = boards_to_buy(
                key, requirement.material, asked, taken, self.prices_paid.by_number, NO_PRICE, self.work
            )
            return to_buy, decided if to_buy.value else {}
        if len(decided) == 1 and not by_measure(requirement.material):
            (offer,) = (one for one in offers if one.id in decided)
            self._say_no_fewer(
                requirement, offer,
                ceil(self.asking.to_cover(requirement, asked) / self.asking.holds(requirement, offer)),
                decided[offer.id],
            )  # fmt: skip
        return asked, decided

    def _from_rack(self, key: str, requirement: Requirement, offer: Offer, count: int) -> Purchase:
        """What is taken from the rack: no supplier is paid and nobody drives for it, but the job bears its share."""
        taken = self.prices_paid.offcut(offer)
        if taken is None:
            self._miss(
                requirement.material,
                f"{requirement.material.name} from the rack has no price, since nobody offers it new at one: "
                "the total leaves it out.",
            )
            return Purchase(offer, count, None, None, MISSING, None, Way.RACK)
        unit, new = taken
        number = self.work.given(f"buy/{key}/packs/{offer.id}", "Taken from the rack", count, "piece", "the plan")
        amount = self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{requirement.material.name} from the rack", "money",
            "what one counts for x how many, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=number, coin=self.prices_paid.coin,
        )  # fmt: skip
        price = current_price(self.catalogue, new.id)
        assert price is not None
        seen = price.breaks[0]
        age = (self.catalogue.today - seen.seen_on).days
        state = state_at(age, self.rates[f"price_age_{requirement.material.kind}"])
        return Purchase(offer, count, unit, amount, state, age, Way.RACK, seen.with_tax, new)

    def _purchase(self, key: str, requirement: Requirement, offer: Offer, packs: int) -> Purchase:
        if offer.offcut is not None:
            return self._from_rack(key, requirement, offer, packs)
        price = current_price(self.catalogue, offer.id)
        quantity = self.work[f"buy/{key}/to_buy"] if by_measure(requirement.material) else self.work.given(
            f"buy/{key}/packs/{offer.id}", "Bought", packs, "piece", "the cheapest that covers the need"
        )  # fmt: skip
        number = max(1, int(quantity.value))
        seen = price.at(number) if price else None
        mass = self.asking.mass(requirement, offer, quantity.value) * packs
        unit = self.prices_paid.price(offer, price, number) if price else None
        if seen is None or unit is None:
            so_few = f" for as few as {number}" if price else ""
            self._miss(
                requirement.material,
                f"{requirement.material.name} has no price from {offer.seller}{so_few}: the total leaves it out.",
            )
            way = self.asking.way(requirement, offer, number)
            return Purchase(offer, packs, None, None, MISSING, None, way, mass=mass)
        amount = charge_service(
            self.work, key, requirement.material, offer, unit, quantity, self.prices_paid.coin
        ) if is_subcontracted(requirement.material) else self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{requirement.material.name} from {offer.seller}", "money",
            "price x quantity, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=quantity, coin=self.prices_paid.coin,
        )  # fmt: skip
        # The price that is paid counts, not how old another break of it is.
        age = (self.catalogue.today - seen.seen_on).days
        state = state_at(age, self.rates[f"price_age_{requirement.material.kind}"])
        return Purchase(
            offer, packs, unit, amount, state, age, self.asking.way(requirement, offer, number), seen.with_tax,
            mass=mass,
        )  # fmt: skip

    def _by_share(
        self, key: str, requirement: Requirement, to_buy: Figure, purchases: tuple[Purchase, ...], bought: Figure
    ) -> Figure:
        """The share of the packs that is used up; what is cut, and boards, are used up whole."""
        if used_up_whole(requirement.material) or not purchases or not bought.value:
            return bought
        held = sum((self.asking.holds(requirement, one.offer) * one.packs for one in purchases), Fraction(0))
        in_packs = self.work.given(f"buy/{key}/held", "In the packs bought", held, requirement.unit, "the offers")
        return self.working.derive(
            f"buy/{key}/by_share",
            f"{requirement.material.name}, by the share used",
            "money",
            "cost of the packs x need / what they hold, rounded half up",
            "half_up(bought * least(need, held) / held, coin)",
            bought=bought,
            need=to_buy,
            held=in_packs,
            coin=self.prices_paid.coin,
        )
