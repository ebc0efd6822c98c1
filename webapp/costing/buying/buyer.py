"""From needs to what is bought: sheets and lengths cut from the cheapest stock, all else in the cheapest packs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from webapp.costing.buying.asking import Asking
from webapp.costing.buying.board_feet import tally_board_feet
from webapp.costing.buying.boards import BoardChance, boards_to_buy
from webapp.costing.buying.getting import Ordered, Way, brings, is_cut, off_the_shelf, used_up_whole
from webapp.costing.buying.order_decision import Counted, Decision, ToDecide, decide
from webapp.costing.buying.packs import cheapest_packs
from webapp.costing.buying.price_paid import PricesPaid
from webapp.costing.buying.rack import offered_by_rack
from webapp.costing.buying.subcontract import charge_service
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, current_price
from webapp.costing.catalogue.price_state import FRESH, MISSING, STALE, state_at
from webapp.costing.catalogue.subcontract import by_measure, is_sent_out
from webapp.costing.cutting.ask.checking import CutRequestError
from webapp.costing.cutting.ask.model import LengthPlan
from webapp.costing.cutting.ask.price_breaks import counts_bought, counts_cut, whole_purchase
from webapp.costing.cutting.hand.pins import Pin
from webapp.costing.errors import Problem
from webapp.costing.items.requirements import Need, Piece
from webapp.costing.ledger.dividing import divide
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System, format_length
from webapp.costing.plans.requests import NO_PRICE, CutAnswer, Plan, PlanBook, Request, cut_material
from webapp.costing.settings.rates import Rates

#: What a material may be when its price is unknown or old.


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many packs of one offer: the price of one as it counts for us, and the amount.

    `way` is how it comes to the shop. What is taken from the rack counts by the price of `priced_by`, an offer of the
    same new.
    """

    offer: Offer
    packs: int
    unit_price: Figure | None
    amount: Figure | None
    price_state: str
    age_days: int | None
    way: Way = Way.FETCHED
    with_tax: bool = False
    priced_by: Offer | None = None

    @property
    def from_rack(self) -> bool:
        """Whether it is taken from the shop's own rack, not bought."""
        return self.offer.offcut is not None

    @property
    def ordered(self) -> Ordered:
        """The purchase as far as its way to the shop goes."""
        return Ordered(self.offer, self.way, self.amount.value if self.amount is not None else Fraction(0))

    @property
    def to_price(self) -> Offer | None:
        """The offer whose price it hangs on; None where nobody offers it new."""
        return self.priced_by if self.from_rack else self.offer


@dataclass(frozen=True, slots=True)
class MaterialBought:
    """One material of a job: what is needed, what is bought, what that costs and what is charged for it.

    `shares` divides what is charged among the items, by item id. Where it is cut, `request` is
    what was asked of the cutting room, `plan_key` names it, `plan` answers it and `pieces` says which parts it holds.
    `found_plan` is what the cutting room found; `plan` is another one where it is `pinned` by hand.
    `blanks` are the same with their parts. `chance` says how surely boards suffice, where that was simulated.
    """

    key: str
    material: Material
    unit: str
    need: Figure
    purchases: tuple[Purchase, ...]
    bought: Figure
    by_share: Figure
    charged: Figure
    shares: dict[str, Figure]
    item_needs: dict[str, Figure]
    price_state: str
    plan_key: str = ""
    plan: Plan | None = None
    pieces: tuple[str, ...] = ()
    request: Request | None = None
    blanks: tuple[Piece, ...] = ()
    chance: BoardChance | None = None
    found_plan: Plan | None = None
    pinned: bool = False


class Buyer:
    """Buys what a job needs, at the prices that hold today, and keeps the problems it meets."""

    def __init__(
        self, catalogue: Catalogue, rates: Rates, working: Working, plans: PlanBook, system: System, places: int,
        pins: Mapping[str, Pin],
    ) -> None:  # fmt: skip
        self.catalogue, self.rates, self.plans, self.system = catalogue, rates, plans, system
        # What is needed, bought and paid is work; what of it is charged is the owner's.
        self.working, self.work = working, working.work
        self.paid = PricesPaid(catalogue, rates, working.work, places)
        self.pins = pins
        self.problems: list[Problem] = []
        self.asking = Asking(self.paid, system)
        self.decision: Decision | None = None

    def decide(self, needs: Mapping[str, Need], already: Iterable[Purchase] = ()) -> Decision:
        """Decide for all needs together where they are bought; `already` is bought in any case."""
        asked = {key: self._to_decide(key, need) for key, need in sorted(needs.items())}
        brought = frozenset(brings(one.offer, one.way) for one in already) - {""}
        self.decision = decide(asked, self.rates, brought)
        return self.decision

    def _to_decide(self, key: str, need: Need) -> ToDecide:
        offers = self._offers(need)
        if is_cut(need.material):
            return ToDecide(need.material.name, offers, lambda kept: self._cut_from(need, kept))
        if not offers or off_the_shelf(need.material, self.rates):
            return ToDecide(need.material.name, ())
        asked = self.asking.asked(key, need, self.asking.needed(key, need))
        ways = {offer.id: self.asking.ways(need, offer) for offer in offers}
        return ToDecide(
            need.material.name, offers, need=self.asking.to_cover(need, asked),
            packs=tuple(Counted(one, pack, ways[one.id]) for one, pack in self.asking.packs(need, asked, offers)),
        )  # fmt: skip

    def _cut_from(self, need: Need, offers: tuple[Offer, ...]) -> list[Ordered]:
        """What the cut plan of a material buys where these offers are to be had."""
        everything = (*offers, *offered_by_rack(need, self.catalogue, self.rates))
        if not everything:
            return []
        try:
            answer = self._answer(need, everything)
        except CutRequestError:
            return []
        cut, found = counts_cut(answer.plan), []
        by_id = {offer.id: offer for offer in everything}
        for stock in answer.request.stocks:
            number, cost = whole_purchase(stock, cut[stock.id])
            if number:
                found.append(Ordered(by_id[stock.id], self.asking.way(need, by_id[stock.id], number), cost))
        return found

    def buy(self, key: str, need: Need) -> MaterialBought:
        """Buy one material; a missing price leaves its amount out and says so."""
        material, working = need.material, self.work
        item_needs = self.asking.item_needs(key, need)
        total = self.asking.needed(key, need)
        offers = self._offers(need)
        if self.decision is not None:
            offers = self.decision.offers(offers)
        cut = is_cut(material)
        if cut:
            offers = (*offers, *offered_by_rack(need, self.catalogue, self.rates))
        answer: CutAnswer | None = None
        if not offers:
            self._miss(material, f"Nobody offers {material.name} in a size that serves: add an offer with its price.")
            counts: dict[str, int] = {}
        elif cut:
            try:
                answer, counts = self._cut(need, offers)
            except CutRequestError as error:
                # Too many pieces for one plan, or a size that no saw knows: named, and the rest goes on.
                said = " ".join(dict.fromkeys(problem.message for problem in error.problems))
                self._miss(material, f"{material.name} can't be planned and is left out: {said}")
                counts = {}
        else:
            total, counts = self._counted(key, need, total, offers)
        tally_board_feet(self.work, key, need, offers, counts)
        purchases = tuple(
            self._purchase(key, need, offer, counts[offer.id]) for offer in offers if counts.get(offer.id)
        )
        amounts = [one.amount for one in purchases if one.amount is not None]
        bought = working.total(f"buy/{key}/bought", f"{material.name}, as bought", "money", amounts)
        states = {one.price_state for one in purchases} or {MISSING}
        state = MISSING if MISSING in states else STALE if STALE in states else FRESH
        by_share = self._by_share(key, need, total, purchases, bought)
        charged = by_share if off_the_shelf(material, self.rates) else bought
        charged = self.working.derive(
            f"buy/{key}/charged",
            f"{material.name}, charged",
            "money",
            "as bought or by the share used, as the shop sets",
            "amount",
            amount=charged,
        )
        shares = divide(self.working, f"buy/{key}", material.name, charged, item_needs, self.paid.coin)
        return MaterialBought(
            key, material, need.unit, total, purchases, bought, by_share, charged, shares, item_needs, state,
            answer.key if answer else "", answer.plan if answer else None, answer.names if answer else (),
            answer.request if answer else None, tuple(need.pieces), self.asking.chance(key),
            answer.found if answer else None, answer.pinned if answer else False,
        )  # fmt: skip

    def _miss(self, material: Material, sentence: str) -> None:
        problem = Problem(f"materials.{material.code}", sentence)
        if problem not in self.problems:
            self.problems.append(problem)

    def _offers(self, need: Need) -> tuple[Offer, ...]:
        """The offers that serve: the right rough thickness, and those with a price where any has one."""
        offers = self.catalogue.offers_of(need.material.code)
        if need.rough_thickness is not None:
            offers = tuple(offer for offer in offers if offer.size.get("rough_thickness") == need.rough_thickness)
        priced = tuple(offer for offer in offers if current_price(self.catalogue, offer.id) is not None)
        return priced or offers

    def _answer(self, need: Need, offers: tuple[Offer, ...]) -> CutAnswer:
        pin = self.pins.get(need.material.code)
        return cut_material(need, offers, self.rates, self.paid.by_number, self.plans, pin)

    def _cut(self, need: Need, offers: tuple[Offer, ...]) -> tuple[CutAnswer, dict[str, int]]:
        answer = self._answer(need, offers)
        if answer.unpinned:
            self.problems.append(Problem(f"materials.{need.material.code}", answer.unpinned, "warning"))
        self._say_unplaced(need, answer.plan)
        self._say_spliced(need, answer.plan)
        bought, cut = counts_bought(answer.request.stocks, answer.plan), counts_cut(answer.plan)
        for offer in offers:
            self._say_no_fewer(need, offer, cut[offer.id], bought.get(offer.id, 0))
        return answer, bought

    def _say_no_fewer(self, need: Need, offer: Offer, wanted: int, bought: int) -> None:
        """More are bought than are wanted because nobody says what fewer cost."""
        prices = self.paid.by_number(offer)
        if prices and 0 < wanted < prices[0][0] <= bought:
            self.problems.append(
                Problem(
                    f"materials.{need.material.code}",
                    f"{need.material.name} has no price from {offer.seller} for as few as {wanted}: {bought} are "
                    "counted, the least that has one.",
                    "warning",
                )
            )

    def _say_spliced(self, need: Need, plan: Plan) -> None:
        """Parts that are joined end to end are named: the joints are work, and weaker than the wood."""
        for part in plan.parts if isinstance(plan, LengthPlan) else ():
            if part.number == 1:
                piece = need.pieces[int(part.piece)]
                self.problems.append(
                    Problem(
                        f"items.{piece.item}.parts.{piece.part.name}",
                        f"Each “{piece.part.says}” is longer than the {need.material.name} on offer and is joined "
                        f"of {part.of} parts: see that no joint stands where it carries, and that the design has a "
                        "step for it.",
                        "warning",
                    )
                )

    def _say_unplaced(self, need: Need, plan: Plan) -> None:
        for left in plan.unplaced:
            piece = need.pieces[int(left.piece)]
            sides = [piece.part.blank_length, *([piece.part.blank_width] if piece.part.blank_width else [])]
            blank = " x ".join(format_length(int(side.value), self.system) for side in sides)
            self.problems.append(
                Problem(
                    f"items.{piece.item}.parts.{piece.part.name}",
                    f"{left.count} of “{piece.part.says}” ({blank} as a blank) fit no offered size of "
                    f"{need.material.name}; they are left out of the purchase.",
                )
            )

    def _counted(self, key: str, need: Need, total: Figure, offers: tuple[Offer, ...]) -> tuple[Figure, dict[str, int]]:
        """How much is bought of what is not cut, in packs of the offers decided for, else of the cheapest."""
        asked = self.asking.asked(key, need, total)
        decided = self.decision.packs(key) if self.decision is not None else None
        if decided is None:
            packs = [pack for _, pack in self.asking.packs(need, asked, offers)]
            try:
                decided = {one.offer: one.packs for one in cheapest_packs(self.asking.to_cover(need, asked), packs)}
            except ValueError:
                self._miss(need.material, f"The packs offered of {need.material.name} can't cover what is needed.")
                return asked, {}
        if need.material.kind is Kind.BOARD:
            wrong = self.asking.boards[key].wrong
            if wrong:
                self.problems.append(Problem(f"materials.{need.material.code}", wrong, "warning"))
            taken = tuple(offer for offer in offers if offer.id in decided) or offers
            _, to_buy = boards_to_buy(key, need.material, asked, taken, self.paid.by_number, NO_PRICE, self.work)
            return to_buy, decided if to_buy.value else {}
        if len(decided) == 1 and not by_measure(need.material):
            (offer,) = (one for one in offers if one.id in decided)
            self._say_no_fewer(need, offer, ceil(asked.value / self.asking.holds(need, offer)), decided[offer.id])
        return asked, decided

    def _from_rack(self, key: str, need: Need, offer: Offer, count: int) -> Purchase:
        """What is taken from the rack: no supplier is paid and nobody drives for it, but the job bears its share."""
        taken = self.paid.offcut(offer)
        if taken is None:
            self._miss(
                need.material,
                f"{need.material.name} from the rack has no price, since nobody offers it new at one: "
                "the total leaves it out.",
            )
            return Purchase(offer, count, None, None, MISSING, None, Way.RACK)
        unit, new = taken
        number = self.work.given(f"buy/{key}/packs/{offer.id}", "Taken from the rack", count, "piece", "the plan")
        amount = self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{need.material.name} from the rack", "money",
            "what one counts for x how many, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=number, coin=self.paid.coin,
        )  # fmt: skip
        price = current_price(self.catalogue, new.id)
        assert price is not None
        seen = price.breaks[0]
        age = (self.catalogue.today - seen.seen_on).days
        state = state_at(age, self.rates[f"price_age_{need.material.kind}"])
        return Purchase(offer, count, unit, amount, state, age, Way.RACK, seen.with_tax, new)

    def _purchase(self, key: str, need: Need, offer: Offer, packs: int) -> Purchase:
        if offer.offcut is not None:
            return self._from_rack(key, need, offer, packs)
        price = current_price(self.catalogue, offer.id)
        quantity = self.work[f"buy/{key}/to_buy"] if by_measure(need.material) else self.work.given(
            f"buy/{key}/packs/{offer.id}", "Bought", packs, "piece", "the cheapest that covers the need"
        )  # fmt: skip
        number = max(1, int(quantity.value))
        seen = price.at(number) if price else None
        unit = self.paid.price(offer, price, number) if price else None
        if seen is None or unit is None:
            so_few = f" for as few as {number}" if price else ""
            self._miss(
                need.material,
                f"{need.material.name} has no price from {offer.seller}{so_few}: the total leaves it out.",
            )
            return Purchase(offer, packs, None, None, MISSING, None, self.asking.way(need, offer, number))
        amount = charge_service(
            self.work, key, need.material, offer, unit, quantity, self.paid.coin
        ) if is_sent_out(need.material) else self.work.derive(
            f"buy/{key}/amount/{offer.id}", f"{need.material.name} from {offer.seller}", "money",
            "price x quantity, rounded half up", "half_up(price * quantity, coin)",
            price=unit, quantity=quantity, coin=self.paid.coin,
        )  # fmt: skip
        # The price that is paid counts, not how old another break of it is.
        age = (self.catalogue.today - seen.seen_on).days
        state = state_at(age, self.rates[f"price_age_{need.material.kind}"])
        return Purchase(offer, packs, unit, amount, state, age, self.asking.way(need, offer, number), seen.with_tax)

    def _by_share(
        self, key: str, need: Need, to_buy: Figure, purchases: tuple[Purchase, ...], bought: Figure
    ) -> Figure:
        """The share of the packs that is used up; what is cut, and boards, are used up whole."""
        if used_up_whole(need.material) or not purchases or not bought.value:
            return bought
        held = sum((self.asking.holds(need, one.offer) * one.packs for one in purchases), Fraction(0))
        in_packs = self.work.given(f"buy/{key}/held", "In the packs bought", held, need.unit, "the offers")
        return self.working.derive(
            f"buy/{key}/by_share",
            f"{need.material.name}, by the share used",
            "money",
            "cost of the packs x need / what they hold, rounded half up",
            "half_up(bought * least(need, held) / held, coin)",
            bought=bought,
            need=to_buy,
            held=in_packs,
            coin=self.paid.coin,
        )
