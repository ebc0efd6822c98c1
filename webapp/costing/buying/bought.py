"""What is bought of one material, and what that costs: the outcome of buying, as everything after it reads it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.buying.boards_to_buy import BoardChance
from webapp.costing.buying.getting import Ordered, Way
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.items.requirements import Piece
from webapp.costing.ledger.working import Figure
from webapp.costing.plans.requests import Plan, Request


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many packs of one offer: the price of one as it counts for us, and the amount.

    `way` is how it comes to the shop, `mass` what all of it weighs as far as that is known, in kg. What is taken from
    the rack counts by the price of `priced_by`, an offer of the same new.
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
    mass: Fraction = Fraction(0)

    @property
    def from_rack(self) -> bool:
        """Whether it is taken from the shop's own rack, not bought."""
        return self.offer.offcut is not None

    @property
    def ordered(self) -> Ordered:
        """The purchase as far as its way to the shop goes."""
        amount = self.amount.value if self.amount is not None else Fraction(0)
        return Ordered(self.offer, self.way, amount, self.mass)

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
    `blanks` are the same with their parts. `chance` says how surely boards suffice, where that was simulated, and
    `from_stock` how much is taken of what the shop has.
    """

    key: str
    material: Material
    unit: str
    required: Figure
    purchases: tuple[Purchase, ...]
    bought: Figure
    by_share: Figure
    charged: Figure
    shares: dict[str, Figure]
    required_by_item: dict[str, Figure]
    price_state: str
    plan_key: str = ""
    plan: Plan | None = None
    pieces: tuple[str, ...] = ()
    request: Request | None = None
    blanks: tuple[Piece, ...] = ()
    chance: BoardChance | None = None
    found_plan: Plan | None = None
    pinned: bool = False
    from_stock: Fraction = Fraction(0)

    @property
    def is_missing(self) -> bool:
        """Whether it is needed and had from nowhere: nobody offers it, and the shop has too little of it."""
        return not self.purchases and self.from_stock < self.required.value
