"""What is easily forgotten: each rule that a shop may switch on, what drives it, its amounts, and where it lands.

A rule is off until its switch, the setting `rule_<name>`, is on. All amounts are common practice, for each shop to
change.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.settings.kinds import (
    BUY,
    CHARGE,
    CUT,
    FINISH,
    JOIN,
    TIME,
    money,
    number,
    of_the_owner,
    other,
    share,
    yes_no,
)
from webapp.costing.settings.rates import Rates, Setting

#: What a charge becomes: minutes of a step; money in a stretch of the cost; a share of the price; or what the customer
#: pays for it as it stands, a line of its own without contingency, profit or discount.
Lands = Literal["minutes", "money", "price", "line"]
#: Over what a rule is counted: each item; the trip; the whole job, divided over its lines; each line's price.
Over = Literal["item", "trip", "job", "line"]


@dataclass(frozen=True, slots=True)
class Charge:
    """One charge of a rule: `driver` (of allowance_drivers) counts it, `amount` names the setting for each of it.

    An amount may hold {novelty}, which stands for how new the job is. `name` is the stretch or the step it makes.
    """

    name: str
    label: str
    lands: Lands
    driver: str
    amount: str
    paid_out: bool = False
    by: str = "maker"


@dataclass(frozen=True, slots=True)
class Allowance:
    """One rule. `words` say what it counts and on what base; `settings` are its amounts.

    While it is on, the steps and settings in `replaces` are not counted. `beside` are sentences for the assumptions,
    each with the setting that would hold the same money once more ('' for always).
    """

    name: str
    label: str
    group: str
    words: str
    over: Over
    charges: tuple[Charge, ...]
    settings: tuple[Setting, ...] = ()
    replaces: tuple[str, ...] = ()
    beside: tuple[tuple[str, str], ...] = ()

    @property
    def switch(self) -> str:
        """The name of the setting that switches the rule on."""
        return f"rule_{self.name}"


def _minutes(name: str, label: str, group: str, value: str, hint: str = "") -> Setting:
    return replace(other(name, label, group, "duration", value, hint), most=Fraction(10_000))


def _disc_life(name: str, label: str, value: str, hint: str) -> Setting:
    return replace(other(name, label, FINISH, "area", value, hint), least=Fraction(1, 10), most=Fraction(1000))


ALLOWANCES: Final[tuple[Allowance, ...]] = (
    Allowance(
        "survey", "Survey, meetings, quoting", TIME,
        "Minutes for the job, divided over its lines by their cost. Quotes that are lost belong in the overhead.",
        "job", (Charge("survey", "Survey, meetings, quoting", "minutes", "job", "survey_minutes", by="office"),),
        (_minutes("survey_minutes", "Survey, meetings, quoting: minutes a job", TIME, "90", "30 to 240."),),
    ),
    Allowance(
        "drawing", "Drawing and list by how new the job is", TIME,
        "Minutes for the job by how new it is, divided over its lines by their cost; in place of the step that draws.",
        "job", (Charge("drawing", "Drawing and list", "minutes", "job", "drawing_{novelty}", by="office"),),
        (
            _minutes("drawing_repeat", "Drawing and list: a job done before, minutes", TIME, "30"),
            _minutes("drawing_known", "Drawing and list: a known kind, changed, minutes", TIME, "90"),
            _minutes("drawing_new", "Drawing and list: a new kind, minutes", TIME, "240", "20 to 600."),
        ),
        replaces=("draw",),
    ),
    Allowance(
        "ordering", "Ordering and collecting", BUY,
        "Minutes for the job, and minutes and kilometres for each supplier to collect from, divided over the lines by "
        "their cost; in place of the step that orders and of the cost of further suppliers.",
        "job",
        (
            Charge("ordering", "Ordering", "minutes", "job", "ordering_minutes", by="office"),
            Charge("collecting", "Collecting, each supplier", "minutes", "trips", "collecting_minutes", by="helper"),
            Charge("collecting_drive", "Driving to suppliers", "money", "trip_kilometres", "per_kilometre", True),
        ),
        (
            _minutes("ordering_minutes", "Ordering: minutes a job", BUY, "30", "15 to 60."),
            _minutes("collecting_minutes", "Collecting: minutes a supplier", BUY, "60", "45 to 90."),
            number("collecting_km", "Collecting: kilometres a supplier, there and back", BUY, "0", "", "0", "2000"),
        ),
        replaces=("fetch_order", "extra_stop"),
    ),
    Allowance(
        "jigs", "Jigs and templates", TIME,
        "Minutes and material for each jig that the item names, once for all of its pieces.", "item",
        (
            Charge("jigs", "Jigs and templates", "minutes", "jigs", "jig_minutes"),
            Charge("jig_material", "Material of jigs", "money", "jigs", "jig_material_each", True),
        ),
        (
            _minutes("jig_minutes", "Jigs and templates: minutes each", TIME, "60", "30 to 180."),
            money("jig_material_each", "Jigs and templates: material of each", TIME, "0"),
        ),
    ),
    Allowance(
        "test_cuts", "Test cuts and dry fit", JOIN,
        "In a new kind of job: minutes for each sort of joint and each thickness, and for each sort of joint a part "
        "that is lost, at what the item's sheets, sawn boards and lengths cost for a part.", "item",
        (
            Charge("test_cuts", "Test cuts and dry fit", "minutes", "new_joints", "test_cut_minutes"),
            Charge("test_parts", "Parts cut for tests", "money", "test_parts", "test_cut_parts", True),
        ),
        (
            _minutes("test_cut_minutes", "Test cuts: minutes a sort of joint or thickness", JOIN, "15", "10 to 30."),
            number("test_cut_parts", "Test cuts: parts lost for a sort of joint", JOIN, "1", "", "0", "20"),
        ),
    ),
    Allowance(
        "changes", "Changing cutter and blade", CUT,
        "Minutes for each further thickness that a machine cuts: sheets on saw or router, sawn boards on the "
        "planer-thicknesser. The first is in the set-up of its step; settings of the fence are a step of their own, "
        "and so are the router's changes where a design has them.", "item",
        (Charge("changes", "Changing cutter and blade", "minutes", "thickness_changes", "change_minutes"),),
        (_minutes("change_minutes", "Changing cutter and blade: minutes each", CUT, "5", "3 to 10."),),
    ),
    Allowance(
        "finish_handling", "Handling parts in finishing", FINISH,
        "Minutes for each piece and coat: racking, turning, carrying.", "item",
        (Charge("finish_handling", "Handling parts in finishing", "minutes", "pieces_by_coat", "finish_piece_minutes",
                by="helper"),),
        (_minutes("finish_piece_minutes", "Handling in finishing: minutes a piece and coat", FINISH, "0.8",
                  "0.5 to 1.5."),),
        beside=(("", "Handling parts in finishing is counted apart: the steps of finishing should hold none of it."),),
    ),
    Allowance(
        "masking", "Masking and plugging holes", FINISH,
        "Minutes for each finished piece that stands in a glued joint, where the glue needs bare wood.", "item",
        (Charge("masking", "Masking and plugging holes", "minutes", "masked_pieces", "masking_minutes", by="helper"),),
        (_minutes("masking_minutes", "Masking: minutes a piece", FINISH, "3", "1 to 8."),),
    ),
    Allowance(
        "glue_cleaning", "Cleaning glue off, plugs, filling", JOIN,
        "Minutes for each glue line between two parts that are finished, and for each screw in one of them: what lies "
        "in a closed core is neither cleaned nor plugged, and screws without glue come out again.", "item",
        (
            Charge("glue_cleaning", "Cleaning glue off joints", "minutes", "glue_lines", "glue_cleaning_minutes"),
            Charge("plugging", "Plugging and filling over screws", "minutes", "plugged_screws", "plug_minutes"),
        ),
        (
            _minutes("glue_cleaning_minutes", "Cleaning glue off: minutes a joint", JOIN, "1.5", "1 to 3."),
            _minutes("plug_minutes", "Plugs and filling: minutes each", JOIN, "1"),
            share("plugged_share", "Plugs: share of the screws that are plugged", JOIN, "100",
                  "Less where heads stay in sight or are hidden.", "1"),
        ),
    ),
    Allowance(
        "cleaning_up", "Daily clean-up and care of machines", TIME,
        "Minutes for each person-day: the minutes of the item's own steps over the productive hours of a day.", "item",
        (Charge("cleaning_up", "Daily clean-up and care of machines", "minutes", "person_days", "cleaning_minutes"),),
        (_minutes("cleaning_minutes", "Clean-up: minutes a person-day", TIME, "15", "10 to 30."),),
        beside=(("", "Daily clean-up is counted by the person-day: the productive share of an hour leaves it out."),),
    ),
    Allowance(
        "sharpening", "Sharpening and cutters", CUT,
        "Money for each hour of saw, planer-thicknesser and router; the share of parts cut from sheets wears more.",
        "item",
        (Charge("sharpening", "Sharpening and cutters", "money", "cutter_hours", "sharpening_per_hour", True),),
        (
            money("sharpening_per_hour", "Sharpening: a machine hour", CUT, "1.50", "0.75 to 3."),
            number("sharpening_sheets", "Sharpening: sheets wear cutters, times", CUT, "1.5", "", "1", "10"),
        ),
        beside=(("", "Sharpening is counted by the machine hour: the machines' rates should hold none of it."),),
    ),
    Allowance(
        "abrasives", "Abrasives by area", FINISH,
        "Discs for each square metre sanded raw, by grits, and between coats; not for an item whose design lists "
        "abrasives.", "item",
        (Charge("abrasives", "Abrasives", "money", "discs", "disc_price", True),),
        (
            money("disc_price", "Abrasives: a disc", FINISH, "1", "Your own price."),
            number("disc_grits", "Abrasives: grits on raw wood", FINISH, "2", "", "1", "6"),
            _disc_life("disc_life_raw", "Abrasives: a disc lasts on raw wood", "1.5", "1 to 3 square metres."),
            _disc_life("disc_life_between", "Abrasives: a disc lasts between coats", "6", "4 to 10 square metres."),
        ),
        beside=(("consumables", "Abrasives are counted by area: the consumables' share should hold none."),),
    ),
    Allowance(
        "rework", "Rework and spare parts", TIME,
        "A share of the minutes of the item's own steps by how new the job is; in a batch, spare parts at what the "
        "item's sheets, sawn boards and lengths cost.", "item",
        (
            Charge("rework", "Rework", "minutes", "own_minutes", "rework_{novelty}"),
            Charge("spare_parts", "Spare parts", "money", "batch_materials", "spare_parts_share", True),
        ),
        (
            share("rework_repeat", "Rework: a job done before, share of hours", TIME, "3", "2 to 5 %."),
            share("rework_known", "Rework: a known kind of job, share of hours", TIME, "5"),
            share("rework_new", "Rework: a new kind of job, share of hours", TIME, "8", "5 to 10 %."),
            share("spare_parts_share", "Spare parts: share of the parts of a batch", TIME, "5", "1 in 20."),
            number("spare_parts_from", "Spare parts: from a batch of", TIME, "10", "", "1", "10000"),
        ),
    ),
    Allowance(
        "first_of_kind", "First of a kind", TIME,
        "In a new kind of job: a share of the minutes of the item's own steps. Rework and contingency are then those "
        "of a known kind, since what is new is charged here.", "item",
        (Charge("first_of_kind", "First of a kind", "minutes", "own_minutes_if_new", "first_of_kind_share"),),
        (share("first_of_kind_share", "First of a kind: share of hours", TIME, "15", "10 to 30 %."),),
    ),
    Allowance(
        "waste", "Waste and dust, by materials", CUT,
        "A share of the item's materials as charged.", "item",
        (Charge("waste", "Waste and dust", "money", "materials", "waste_share", True),),
        (of_the_owner(share("waste_share", "Waste and dust: share of materials", CUT, "1.5", "1 to 3 %.")),),
        beside=(("rule_waste_volume", "Waste is counted by materials and by volume: one of the two is too much."),),
    ),
    Allowance(
        "waste_volume", "Waste and dust, by volume", CUT,
        "Money for each cubic metre of sheets and sawn boards bought and not in a blank, by the item's share of the "
        "need.",
        "item", (Charge("waste_volume", "Waste by volume", "money", "waste_volume", "waste_per_m3", True),),
        (money("waste_per_m3", "Waste: a cubic metre", CUT, "45", "30 to 60."),),
    ),
    Allowance(
        "waste_liquid", "Hazardous liquid waste", FINISH,
        "Cleaning liquid of each finishing session, by the litre.", "item",
        (Charge("waste_liquid", "Hazardous liquid waste", "money", "cleaning_litres", "waste_per_litre", True),),
        (
            money("waste_per_litre", "Hazardous liquid waste: a litre", FINISH, "3", "2 to 4."),
            number("cleaning_per_session", "Cleaning liquid: litres a session", FINISH, "0.25", "", "0", "20"),
        ),
    ),
    Allowance(
        "booth_occupancy", "Finishing room: flash-off and filters", FINISH,
        "The room while coats flash off, at the booth's rate, and filters for each hour sprayed or flashing off. The "
        "hours of spraying themselves stand in the spraying step.", "item",
        (
            Charge("flash_off", "Finishing room while coats flash off", "money", "flash_off_hours", "machine_booth"),
            Charge("booth_filters", "Filters of the finishing room", "money", "booth_hours", "filters_per_hour", True),
        ),
        (
            _minutes("flash_off_minutes", "Flash-off: minutes a coat", FINISH, "15"),
            money("filters_per_hour", "Filters: an hour of the finishing room", FINISH, "0.50"),
        ),
        beside=(("", "Flash-off and filters are counted apart: the booth's rate should hold neither."),),
    ),
    Allowance(
        "packing", "Packing material", CHARGE,
        "Money for each finished thing, but not where its design lists what it is wrapped in; the minutes stand in the "
        "packing step.", "item",
        (Charge("packing", "Packing material", "money", "unwrapped_things", "packing_each", True),),
        (money("packing_each", "Packing material: a finished thing", CHARGE, "4", "2 to 15."),),
    ),
    Allowance(
        "out_of_true", "Floors and walls out of true", TIME,
        "A share of the minutes of installing.", "trip",
        (Charge("out_of_true", "Floors and walls out of true", "minutes", "install_minutes", "out_of_true_share"),),
        (share("out_of_true_share", "Floors and walls out of true: share of installing", TIME, "25"),),
    ),
    Allowance(
        "samples", "Samples and mock-ups", CHARGE,
        "What the customer pays for each sample the job names, a line of its own as it stands.", "job",
        (Charge("samples", "Samples and mock-ups", "line", "samples", "sample_each"),),
        (money("sample_each", "Samples: each", CHARGE, "60", "30 to 150."),),
        beside=(("", "Samples are part of the price: what was paid for them before is set off when it is ordered."),),
    ),
    Allowance(
        "own_material", "Customer's own material", CHARGE,
        "What the customer pays for the handling of material that they bring: a share of its value, a line of its own "
        "as it stands.", "job",
        (Charge("own_material", "Handling the customer's own material", "line", "own_material",
                "own_material_share"),),
        (share("own_material_share", "Customer's own material: share of its value", CHARGE, "15"),),
        beside=(("", "There is no warranty on material that the customer brings; rework on it is charged in full."),),
    ),
    Allowance(
        "storage", "Storage after the ready date", CHARGE,
        "What the customer pays for each finished thing and day past the free days, a line of its own as it "
        "stands.", "job",
        (Charge("storage", "Storage", "line", "storage_days", "storage_per_day"),),
        (
            money("storage_per_day", "Storage: a day and finished thing", CHARGE, "5"),
            number("storage_free_days", "Storage: free days", CHARGE, "7", "", "0", "365"),
        ),
    ),
    Allowance(
        "hire_waiver", "Damage waiver on hires", CHARGE,
        "A share of what a hire costs, where the hire does not state its own.", "line", (),
        (share("hire_waiver_share", "Damage waiver: share of a hire", CHARGE, "12", "10 to 15 %."),),
    ),
    Allowance(
        "late_payment", "Late payment", CHARGE,
        "A share of the price: days until paid / 365 x the year's rate; raised so that the price is left after it.",
        "line", (Charge("late_payment", "Late payment", "price", "years_until_paid", "late_rate"),),
        (
            share("late_rate", "Late payment: a year's rate", CHARGE, "9"),
            number("late_days", "Late payment: days until paid, where the job says none", CHARGE, "30", "", "0", "730"),
        ),
    ),
    Allowance(
        "warranty", "Warranty reserve", CHARGE,
        "A share of an item's price, higher with hinges or drawers; raised so that the price is left after it.", "item",
        (
            Charge("warranty", "Warranty reserve", "price", "still", "warranty_share"),
            Charge("warranty_moving", "Warranty reserve, moving parts", "price", "moving", "warranty_moving_share"),
        ),
        (
            share("warranty_share", "Warranty reserve: share of the price", CHARGE, "1", "0.5 to 2 %.", "0.5"),
            share("warranty_moving_share", "Warranty reserve: with moving parts", CHARGE, "2", "", "0.5"),
        ),
    ),
    Allowance(
        "price_rise", "Price rise during a long wait", CHARGE,
        "A share of the price for each month that the job waits past the quote's days; raised so that the price is "
        "left after it.", "line",
        (Charge("price_rise", "Price rise", "price", "months_waited", "price_rise_share"),),
        (share("price_rise_share", "Price rise: a month", CHARGE, "0.5", "0 to 1 %.", "0.05"),),
    ),
    Allowance(
        "visit_minimum", "Minimum charge for a visit", CHARGE,
        "The job is charged at least this for each of its visits.", "line", (),
        (money("visit_minimum_each", "Minimum charge for a visit, before tax", CHARGE, "80"),),
    ),
)  # fmt: skip


def _settings(rule: Allowance) -> tuple[Setting, ...]:
    switch = yes_no(rule.switch, rule.label, rule.group, 0, rule.words)
    return tuple(replace(setting, rule=rule.name) for setting in (switch, *rule.settings))


#: The settings of all rules, each switch before its amounts.
ALLOWANCE_SETTINGS: Final[tuple[Setting, ...]] = tuple(one for rule in ALLOWANCES for one in _settings(rule))

#: The stretches of the price that rules make, with their words, in the table's order.
MONEY_STRETCHES: Final[Mapping[str, str]] = {
    charge.name: charge.label for rule in ALLOWANCES for charge in rule.charges if charge.lands == "money"
}
#: Those of them that are shares of the price.
PRICE_STRETCHES: Final[Mapping[str, str]] = {
    charge.name: charge.label for rule in ALLOWANCES for charge in rule.charges if charge.lands == "price"
}
#: Those of them that the shop pays to others.
PAID_STRETCHES: Final = tuple(
    charge.name for rule in ALLOWANCES for charge in rule.charges if charge.paid_out and charge.lands == "money"
)


def charged_as(rates: Rates, novelty: str) -> str:
    """How new a job is taken to be in rework and contingency: what a rule charges for newness isn't charged again."""
    return "known" if novelty == "new" and rates.yes("rule_first_of_kind") else novelty


def rules_off(rates: Rates) -> tuple[Allowance, ...]:
    """The rules that the shop has left off."""
    return tuple(rule for rule in ALLOWANCES if not rates.yes(rule.switch))


def rules_on(rates: Rates) -> tuple[Allowance, ...]:
    """The rules that the shop has switched on."""
    return tuple(rule for rule in ALLOWANCES if rates.yes(rule.switch))


def replaced(rates: Rates) -> frozenset[str]:
    """The steps and settings that the rules switched on stand in place of."""
    return frozenset(name for rule in rules_on(rates) for name in rule.replaces)
