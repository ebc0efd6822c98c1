"""What each castor, foot, slide, peg and hung screw carries, against what it is rated for."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.loads.whole import Whole, centre_of, is_screw
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.trade.loads.bearing import loads_by_place

#: What is kept in hand on a castor for thresholds. Common practice.
CASTOR_RESERVE: Final = Fraction(5, 4)
_RULE: Final = "On an uneven floor three of four bear (common practice)."
#: Up to so many, one of them is lifted and the others bear; of more, three of every four.
FEW: Final = 4


def check_bearing(whole: Whole) -> None:
    """Note what castors and feet, slides, pegs and the screws in a wall carry."""
    _check_stands(whole)
    _check_bases(whole)
    _check_slides(whole)
    _check_pegs(whole)
    _check_screws(whole)


def _check_stands(whole: Whole) -> None:
    """Castors and feet: own weight and all that is planned, as they stand, or each its share."""
    stands = whole.stands_on()
    if not stands:
        return
    if whole.unweighed:
        whole.note(Check("bears", "unknown", f"What {_listed(stands)} carry is not known: {_weigh(whole)}"))
        return
    number = sum(int(one.taken.count.value) for one in stands)
    mass = _mass(whole)
    if number < FEW - 1:
        return
    share = _share(whole, mass, number)
    for one in stands:
        _judge(whole, one, share, _as_they_stand(whole, stands, one, number), rolling=one in whole.tagged("castor"))


def _listed(stands: Sequence[FittedHardware]) -> str:
    return " and ".join(f"“{one.hardware.says}”" for one in stands)


def _weigh(whole: Whole) -> str:
    return f"type the density of what “{'”, “'.join(whole.unweighed)}” is made of."


def _mass(whole: Whole) -> Figure:
    """Own weight and all that is planned on it, kg."""
    own, planned = whole.own_weight(), sum(one.grams for one in whole.planned)
    taking = whole.taking
    return taking.total("bears/whole", "Own weight with all that is planned", "kg", [
        taking.given("bears/own", "Own weight, to the gram", Fraction(own, 1000), "kg", "its parts and hardware"),
        taking.given("bears/planned", "All that is planned on it", Fraction(planned, 1000), "kg", "the design's loads"),
    ])  # fmt: skip


def _share(whole: Whole, mass: Figure, number: int) -> Figure:
    taking = whole.taking
    count = taking.given("bears/number", "How many it stands on", number, "piece", "the design")
    if number <= FEW:
        return taking.derive(
            "bears/of_one", "What one of them bears, one being lifted", "kg", "own weight and load / (number - 1)",
            "load_of_one(mass, number)", mass=mass, number=count,
        )  # fmt: skip
    return taking.derive(
        "bears/of_one", "What one of them bears, three of four bearing", "kg",
        "own weight and load / (share that bears x number)", "load_by_share(mass, number)", mass=mass, number=count,
    )  # fmt: skip


def _as_they_stand(whole: Whole, stands: Sequence[FittedHardware], one: FittedHardware, number: int) -> Figure | None:
    """The most that one of three or four bears by where the weight acts; None where that isn't known or tips."""
    placed = [(owner, piece) for owner in stands for piece in whole.fitted[owner.hardware.name]]
    centre = centre_of([*whole.all_weights, *((each.grams, each.piece.middle) for each in whole.planned)])
    if len(placed) != number or number > FEW or centre is None:
        return None
    grams = Fraction(whole.own_weight() + sum(each.grams for each in whole.planned))
    found = loads_by_place([piece.middle[:2] for _, piece in placed], centre[:2], grams)
    if found is None:
        return None
    most = max(load for (owner, _), load in zip(placed, found, strict=True) if owner is one)
    return whole.taking.given(
        f"bears/{one.hardware.name}/place", f"{one.hardware.says}: most that one bears where it stands", most / 1000,
        "kg", "statics: whichever three of them stand on the floor, with the weight where it acts",
    )  # fmt: skip


def _judge(whole: Whole, one: FittedHardware, share: Figure, place: Figure | None, *, rolling: bool) -> None:
    """By the share that is common practice; by where the weight acts it is a caution only."""
    taking, says = whole.taking, one.hardware.says
    rated = taking.stated_figure(one.hardware.stock, "rated_load", "kg")
    name = f"bears/{one.hardware.name}"
    if rated is None:
        whole.note(Check(name, "unknown", f"{says}: one bears {_kg(whole, share)}; what it may is not known: type the "
                         "rated load of its material.", (share.id,)))  # fmt: skip
        return
    most, in_hand = rated, ""
    if rolling:
        most = taking.derive(
            f"{name}/most", f"{says}: most that one may bear", "kg", "rated load / what is kept in hand",
            "rated / hand", rated=rated, hand=taking.working.given(
                "bears/in_hand", "Kept in hand for thresholds", CASTOR_RESERVE, "", "common practice"
            ),
        )  # fmt: skip
        in_hand = f", {_kg(whole, most)} with a quarter in hand for thresholds"
    said = f"{says}: with all that is planned one bears {_kg(whole, share)}, and is rated for {_kg(whole, rated)}"
    said += in_hand
    outcome: Outcome = "pass" if share.value <= most.value else "failure"
    figures: tuple[str, ...] = (share.id, most.id)
    if place is not None:
        figures = (*figures, place.id)
        if outcome == "pass" and place.value > most.value:
            outcome = "warning"
            said += f"; by where the weight acts, {_kg(whole, place)} comes on one while another is lifted"
    whole.note(Check(name, outcome, f"{said}. {_RULE}", figures, Held(share.value, most.value, "kg")))


def _kg(whole: Whole, figure: Figure) -> str:
    return whole.kilograms(figure.value * 1000)


def _check_bases(whole: Whole) -> None:
    """What is bought whole, stands on the floor and has parts held to it, against all that it carries."""
    floor, rolling = whole.floor(), whole.stands_on()
    standing = {piece.name for piece in whole.pieces if piece.stands_at(floor)}
    bases = [one for one in whole.hardware if one.hardware.name in standing and one not in rolling]
    if not bases:
        return
    if whole.unweighed:
        whole.note(Check("bears", "unknown", f"What {_listed(bases)} carry is not known: {_weigh(whole)}"))
        return
    taking, names = whole.taking, {one.hardware.name for one in bases}
    borne = taking.total("bears/borne", "What it carries", "kg", [
        taking.given("bears/on_it", "What stands on it, to the gram", Fraction(_grams_on(whole, names), 1000), "kg",
                     "parts and hardware, but itself and what stands on the floor beside it"),
        taking.given("bears/planned", "All that is planned on it",
                     Fraction(sum(one.grams for one in whole.planned), 1000), "kg", "the design's loads"),
    ])  # fmt: skip
    number = sum(int(one.taken.count.value) for one in bases)
    if number > 1:
        borne = taking.derive(
            "bears/of_one_base", "What one of them carries", "kg", "what they carry / how many", "borne / number",
            borne=borne, number=taking.given("bears/number", "How many it stands on", number, "piece", "the design"),
        )  # fmt: skip
    for one in bases:
        _note_rated(whole, one, borne, "carries all that stands and is planned on it")


def _grams_on(whole: Whole, bases: Collection[str]) -> int:
    """What bases carry, grams: not what is held together without them and stands on the floor, nor other hardware
    there, as a bin."""
    floor = whole.floor()
    pieces = list(zip(whole.pieces, whole.bodies, strict=True))
    held = {body for piece, body in pieces if piece.name in bases}
    beside = {body for piece, body in pieces if piece.stands_at(floor)} - held
    own = sum(piece.grams or 0 for piece, body in pieces if piece.name not in bases and body not in beside)
    return own + whole.adrift + sum(piece.grams or 0 for piece in whole.loose if not piece.stands_at(floor))


def _check_slides(whole: Whole) -> None:
    """Each pair of slides carries one drawer: a body that stands on nothing."""
    slides = whole.tagged("slide")
    pairs = sum(int(one.taken.count.value) for one in slides)
    hanging = whole.hanging_bodies()
    drawers = {body: pieces for body, pieces in hanging.items() if len(pieces) > 1} if pairs else {}
    if not drawers:
        return
    if whole.unweighed:
        whole.note(Check("slides", "unknown", f"What {_listed(slides)} carry is not known: {_weigh(whole)}"))
        return
    heaviest = max(drawers, key=lambda body: whole.weight_of([body]) + whole.planned_on([body]))
    grams = whole.weight_of([heaviest]) + whole.planned_on([heaviest])
    named = whole.pieces[drawers[heaviest][0]].called
    for one in slides:
        borne = whole.taking.given(
            f"bears/{one.hardware.name}/drawer", f"{one.hardware.says}: the heaviest drawer with what is planned in it",
            Fraction(grams, 1000), "kg", f"the parts that are held together with {named}, and the design's loads",
        )  # fmt: skip
        _note_rated(whole, one, borne, "carries its drawer with what is planned in it")


def _note_rated(whole: Whole, one: FittedHardware, borne: Figure, what: str) -> None:
    says, name = one.hardware.says, f"bears/{one.hardware.name}"
    rated = whole.taking.stated_figure(one.hardware.stock, "rated_load", "kg")
    if rated is None:
        whole.note(Check(name, "unknown", f"{says}: {what}, {_kg(whole, borne)}; what it may is not known: type the "
                         "rated load of its material.", (borne.id,)))  # fmt: skip
        return
    whole.note(
        Check(
            name,
            "pass" if borne.value <= rated.value else "failure",
            f"{says}: {what}, {_kg(whole, borne)}, and is rated for {_kg(whole, rated)}.",
            (borne.id, rated.id),
            Held(borne.value, rated.value, "kg"),
        )
    )


def _check_pegs(whole: Whole) -> None:
    """Pegs carry the loose shelves that stand on nothing else, three of four bearing."""
    pegs = whole.tagged("shelf_peg")
    number = sum(int(one.taken.count.value) for one in pegs)
    loose = [body for body, pieces in whole.hanging_bodies().items() if len(pieces) == 1]
    if number < 3 or not loose or whole.unweighed:
        return
    grams = max(whole.weight_of([body]) + whole.planned_on([body]) for body in loose)
    each = number // len(loose)
    if each < 3:
        return
    taking = whole.taking
    shelf = taking.given("pegs/shelf", "The heaviest loose shelf with what is planned on it", Fraction(grams, 1000),
                         "kg", "its part and the design's loads")  # fmt: skip
    count = taking.given("pegs/number", "Pegs under one shelf", each, "piece", "pegs over shelves")
    for one in pegs:
        borne = taking.derive(
            f"bears/{one.hardware.name}/of_one", f"{one.hardware.says}: what one bears", "kg",
            "shelf and load / (number - 1)", "load_of_one(shelf, number)", shelf=shelf, number=count,
        )  # fmt: skip
        _note_rated(whole, one, borne, "one carries its share of a shelf, one of them being free")


def _check_screws(whole: Whole) -> None:
    """Screws from which the whole hangs, each its share."""
    screws = [one for one in whole.held_by_wall() if is_screw(whole.taking, one.hardware)]
    number = sum(int(one.taken.count.value) for one in screws)
    if not screws or whole.stands_on():
        return
    if whole.unweighed:
        whole.note(Check("hung", "unknown", f"What {_listed(screws)} carry is not known: {_weigh(whole)}"))
        return
    taking, mass = whole.taking, _mass(whole)
    count = taking.given("hung/number", "Screws into the wall", number, "piece", "the design")
    borne = taking.derive("hung/of_one", "What one screw into the wall carries", "kg", "own weight and load / screws",
                          "mass / number", mass=mass, number=count)  # fmt: skip
    most = taking.setting("wall_screw_kg", "kg")
    for one in screws:
        whole.note(
            Check(
                f"bears/{one.hardware.name}",
                "pass" if borne.value <= most.value else "failure",
                f"{one.hardware.says}: each of {number} carries {_kg(whole, borne)} with all that is planned; "
                f"{_kg(whole, most)} in sound wood is reckoned with (the shop's setting; the wall has the last word).",
                (borne.id, most.id),
                Held(borne.value, most.value, "kg"),
            )
        )
