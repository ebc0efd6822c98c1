"""How much board is bought for its blanks: by the shop's usable share, or what suffices with the chance it asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.cutting.ask.model import PriceBreak
from webapp.costing.cutting.ask.price_breaks import price_at
from webapp.costing.cutting.boards import BoardPurchases, BoardQuestion, fit_no_board, simulate_purchases
from webapp.costing.items.requirements import Piece, Requirement
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System, format_length
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.trade.boards import board_feet

#: The ends of a range of boards: the name with a material, that of the shop's setting, and words.
ENDS: Final = (
    ("narrowest", "board_width_low", "narrowest board"),
    ("widest", "board_width_high", "widest board"),
    ("shortest", "board_length_low", "shortest board"),
    ("longest", "board_length_high", "longest board"),
)


@dataclass(frozen=True, slots=True)
class BoardChance:
    """In how many of the simulated `purchases` what is bought `sufficed`, and what the usable share gives `by_share`.

    `boards` says in words which boards were drawn.
    """

    purchases: int
    sufficed: int
    by_share: int
    boards: str

    @property
    def certainty(self) -> Fraction:
        """The share of the simulated purchases in which what is bought sufficed."""
        return Fraction(self.sufficed, self.purchases)


@dataclass(frozen=True, slots=True)
class BoardRequired:
    """The board feet to buy before they are rounded to a step; `chance` where it was simulated.

    `wrong` says why it could not be.
    """

    gross: Figure
    chance: BoardChance | None = None
    wrong: str = ""


def board_required(
    key: str, requirement: Requirement, total: Figure, rates: Rates, working: Working, system: System
) -> BoardRequired:
    """What has to be bought of a board, in board feet, so that `total` board feet of blanks come of it."""
    material = requirement.material
    own = material.values.get("yield") or None
    usable = setting_figure(working, rates, "board_yield", "share") if own is None else working.given(
        f"material/{material.code}/yield", f"{material.name}: usable share", own, "share",
        material.sources.get("yield", "the catalogue"),
    )  # fmt: skip
    simulated = rates.yes("boards_by_simulation") and bool(requirement.pieces)
    by_share = working.derive(
        f"buy/{key}/gross_by_share" if simulated else f"buy/{key}/gross",
        f"{material.name}, gross by the usable share" if simulated else f"{material.name}, gross",
        "BF",
        "board feet of the blanks / usable share",
        "net / usable",
        net=total,
        usable=usable,
    )
    if not simulated:
        return BoardRequired(by_share)
    found = _simulate(requirement, usable.value, rates, system)
    if isinstance(found, str):
        return BoardRequired(_as_gross(key, material, working, by_share, "by the usable share"), wrong=found)
    area, purchases, boards = found
    rough = Fraction(requirement.rough_thickness or 0)
    sufficed = purchases.sufficed(Fraction(area))
    of_share = purchases.sufficed(by_share.value / board_feet(rough, Fraction(1), Fraction(1)))
    said = f"{purchases.count} simulated purchases of whole boards, {boards}"
    working.given(
        f"buy/{key}/chance_by_share",
        f"{material.name}: chance that what the usable share gives suffices",
        Fraction(of_share, purchases.count),
        "share",
        said,
    )
    working.given(
        f"buy/{key}/chance",
        f"{material.name}: chance that the simulated volume suffices",
        Fraction(sufficed, purchases.count),
        "share",
        said,
    )
    volume = working.given(
        f"buy/{key}/simulated",
        f"{material.name}: volume that suffices",
        board_feet(rough, Fraction(area), Fraction(1)),
        "BF",
        f"in {sufficed} of {said}; blanks are laid on them as they come, the longest first",
    )
    gross = _as_gross(key, material, working, volume, "what sufficed as often as the shop asks for")
    return BoardRequired(gross, BoardChance(purchases.count, sufficed, of_share, boards))


def _as_gross(key: str, material: Material, working: Working, volume: Figure, words: str) -> Figure:
    return working.derive(f"buy/{key}/gross", f"{material.name}, gross", "BF", words, "volume", volume=volume)


def _simulate(
    requirement: Requirement, usable: Fraction, rates: Rates, system: System
) -> tuple[int, BoardPurchases, str] | str:
    """The area that suffices, the purchases it was found by and the boards in words; or why there is none."""
    material = requirement.material

    def long(nm: int) -> str:
        return format_length(nm, system)

    question = question_of(material, requirement.pieces, usable, rates)
    (low_width, high_width), (low_length, high_length) = question.widths, question.lengths
    for low, high, place in ((low_width, high_width, 0), (low_length, high_length, 2)):
        if low > high:
            return (
                f"The {ENDS[place][2]} of {material.name} ({long(low)}) is more than the {ENDS[place + 1][2]} "
                f"({long(high)}), so it is bought by its usable share."
            )
    widest = f"{long(high_width)} wide and {long(high_length)} long"
    for place in fit_no_board(question):
        length, width, _ = question.blanks[place]
        return (
            f"A blank of “{requirement.pieces[place].part.says}” ({long(length)} x {long(width)}) needs a larger "
            f"board of {material.name} than the largest, {widest}, so it is bought by its usable share."
        )
    purchases = simulate_purchases(question)
    area = purchases.that_suffices(rates["board_chance"])
    boards = f"{_range(low_width, high_width, long)} wide and {_range(low_length, high_length, long)} long"
    if area is None:
        return (
            f"In {purchases.unfinished} of {purchases.count} simulated purchases the blanks of {material.name} found "
            f"no boards enough, {boards}, so it is bought by its usable share: ask the yard for boards picked out."
        )
    return area, purchases, boards


def question_of(material: Material, pieces: Sequence[Piece], usable: Fraction, rates: Rates) -> BoardQuestion:
    """What simulated purchases of a board are asked; that its ranges rise, and hold the blanks, is not looked at."""
    low_width, high_width, low_length, high_length = (
        int(material.values.get(name) or rates[setting]) for name, setting, _ in ENDS
    )
    widths, lengths = (low_width, high_width), (low_length, high_length)
    return BoardQuestion(int(rates["kerf"]), widths, lengths, min(usable, Fraction(1)), _blanks(pieces))


def _range(low: int, high: int, long: Callable[[int], str]) -> str:
    return long(low) if low == high else f"{long(low)} to {long(high)}"


def _blanks(pieces: Sequence[Piece]) -> tuple[tuple[int, int, int], ...]:
    """The blanks as they are ripped: what is glued up counts by its strips."""
    blanks = []
    for piece in pieces:
        part = piece.part
        width = Fraction(0) if part.blank_width is None else part.blank_width.value
        blanks.append((int(part.blank_length.value), ceil(width / part.strips), piece.count * part.strips))
    return tuple(blanks)


def boards_to_buy(
    key: str, material: Material, gross: Figure, offers: Sequence[Offer],
    prices_of: Callable[[Offer], tuple[PriceBreak, ...]], no_price: Fraction, working: Working,
) -> tuple[Offer, Figure]:  # fmt: skip
    """The offer that costs least, and how much of it in whole steps: as much as is needed, or more where so much has
    a lower price and costs less. `gross` and the amount are board feet, prices money for one."""
    found = [
        (*way, offer.id) for offer in offers for way in _ways(offer, gross.value, prices_of(offer) or ((1, no_price),))
    ]
    _, amount, chosen = min(found)
    offer = next(one for one in offers if one.id == chosen)
    step = working.given(f"buy/{key}/step", "Sold in steps of", offer.size["step"], "BF", f"offer of {offer.seller}")
    label = f"{material.name}, to buy"
    if not gross.value or amount < gross.value + step.value:
        return offer, working.derive(
            f"buy/{key}/to_buy", label, "BF", "gross, rounded up to the step it is sold in",
            "up_to_step(gross, step)", gross=gross, step=step,
        )  # fmt: skip
    source = f"offer of {offer.seller}: so much costs less than what is needed"
    reached = working.given(f"buy/{key}/reached", "A lower price holds from", amount, "BF", source)
    return offer, working.derive(
        f"buy/{key}/to_buy", label, "BF", "gross, or what the lower price asks for, rounded up to the step",
        "up_to_step(greatest(gross, reached), step)", gross=gross, reached=reached, step=step,
    )  # fmt: skip


def board_cost(offer: Offer, gross: Fraction, prices: tuple[PriceBreak, ...]) -> Fraction | None:
    """The least money that so many board feet of an offer cost; None where nobody says what so little or more costs."""
    return min((cost for cost, _ in _ways(offer, gross, prices)), default=None)


def _ways(offer: Offer, gross: Fraction, prices: tuple[PriceBreak, ...]) -> Iterator[tuple[Fraction, Fraction]]:
    """What can be bought of an offer, in whole steps: what is needed, or as much as each lower price asks for."""
    step = offer.size["step"]
    for least in (Fraction(0), *(Fraction(number) for number, _ in prices)):
        amount = -(-max(gross, least) // step) * step
        rate = price_at(prices, max(1, int(amount)))
        if rate is not None:
            yield rate * amount, amount
