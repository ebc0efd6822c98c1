"""The offers that are left of a material where somebody wants more of its purchase than that it costs little.

Where nothing would be left, a wish is not followed for that material, and that is said.
"""

from __future__ import annotations

from datetime import date

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.jobs.wishes import Wishes
from webapp.costing.measures.written import day_in_words


def wished(
    material: Material, offers: tuple[Offer, ...], wishes: Wishes, today: date
) -> tuple[tuple[Offer, ...], tuple[str, ...]]:
    """Those of the offers that the wishes leave, and a sentence for each wish that could not be followed."""
    said = []
    named = wishes.chosen.get(material.code)
    if named is not None:
        by_hand = tuple(offer for offer in offers if offer.id == named)
        if by_hand:
            return by_hand, ()
        # Boards of another thickness have offers of their own.
        if material.kind is not Kind.BOARD:
            said.append(f"The offer of {material.name} that was chosen by hand is no longer sold, or does not serve.")
    left = tuple(offer for offer in offers if offer.supplier not in wishes.without)
    if not left and offers:
        sellers = ", ".join(sorted({offer.seller for offer in offers}))
        said.append(f"Nobody but {sellers} sells {material.name}: it is bought there, though they are left out.")
    left = left or offers
    in_time = tuple(offer for offer in left if wishes.by is None or offer.comes_on(today) <= wishes.by)
    if not in_time and left and wishes.by is not None:
        first = min(left, key=lambda offer: (offer.comes_on(today), offer.id))
        said.append(
            f"Nobody has {material.name} here by {day_in_words(wishes.by)}: {first.seller} is the first, on "
            f"{day_in_words(first.comes_on(today))}."
        )
        in_time = tuple(offer for offer in left if offer.comes_on(today) == first.comes_on(today))
    return in_time, tuple(said)
