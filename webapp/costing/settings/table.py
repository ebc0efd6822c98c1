"""Every setting of a shop, grouped as a shop thinks, with the value it starts from and where that came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.settings.cost_range import CONTINGENCY_SETTINGS, RANGE_SETTINGS
from webapp.costing.settings.extras import ALLOWANCE_SETTINGS
from webapp.costing.settings.kinds import BUY as BUY
from webapp.costing.settings.kinds import CHARGE as CHARGE
from webapp.costing.settings.kinds import CUT as CUT
from webapp.costing.settings.kinds import FINISH as FINISH
from webapp.costing.settings.kinds import GROUPS as GROUPS
from webapp.costing.settings.kinds import JOIN as JOIN
from webapp.costing.settings.kinds import PRINT as PRINT
from webapp.costing.settings.kinds import TIME as TIME
from webapp.costing.settings.kinds import (
    choice,
    length,
    money,
    number,
    other,
    share,
    with_prices_paid,
    yes_no,
)
from webapp.costing.settings.loads import LOAD_SETTINGS
from webapp.costing.settings.moves import MOVES
from webapp.costing.settings.operations import steps_in
from webapp.costing.settings.profit import PROFIT_SETTINGS
from webapp.costing.settings.rates import EDITION, Rates, Setting

_ONE: Final = Fraction(1)

MACHINES: Final[Mapping[str, tuple[str, str]]] = {
    "saw": ("Saw", "12"), "planer": ("Planer-thicknesser", "10"), "bander": ("Edge bander", "8"),
    "booth": ("Spray booth", "15"), "router": ("CNC router", "45"), "welder": ("Welder", "8"),
}  # fmt: skip
PEOPLE: Final[Mapping[str, tuple[str, str]]] = {
    "maker": ("Maker", "32"), "helper": ("Helper", "24"), "office": ("Office", "30"),
}  # fmt: skip

_TABLE: Final[tuple[Setting, ...]] = (
    length("kerf", "Width of a saw cut", CUT, "3.2", "A table or panel saw; a thin blade is 2.4 mm.", 20),
    length("length_kerf", "Width of a crosscut in lengths", CUT, "3.2", "Steel saws are nearer 2.5 mm.", 20),
    length(
        "sheet_trim",
        "Trim on each side of a sheet",
        CUT,
        "6",
        "All that is lost to the first good edge, the cut included.",
        100,
    ),
    length(
        "rack_trim", "Trim on each side of an offcut from the rack", CUT, "6", "0 where its edges are sawn clean.", 100
    ),
    length(
        "end_trim", "Lost at each end of a stock length", CUT, "12", "Where the material does not say its own.", 300
    ),
    share("defect_reserve", "Lengths: kept free for defects", CUT, "0", "Where the material does not say it.", "0.5"),
    length("splice_shortest", "Lengths: shortest part of one that is joined", CUT, "300", "And never under two laps."),
    length("oversize_length", "Solid wood: left on the length", CUT, "25", "", 200),
    length("oversize_width", "Solid wood: left on the width", CUT, "6", "", 100),
    length("oversize_layers", "Glued-up sheet layers: left on each size", CUT, "12", "Trimmed after glue-up.", 100),
    length("jointing", "Solid wood: lost on each glued edge", CUT, "3", "", 50),
    replace(
        length("widest_strip", "Widest strip in a glued-up panel", CUT, "130", "", 1000),
        earlier=((1, Fraction(125_000_000)),),
        because="Round in both length systems: a panel of six strips may be 30 in wide, which 125 mm made seven.",
    ),
    length(
        "smallest_strip",
        "Smallest strip ripped without a sled or push block",
        CUT,
        "50",
        "Narrower ones are named in the workshop pack.",
        300,
    ),
    length(
        "least_workpiece",
        "Smallest sheet or strip that a cut plan saws again",
        CUT,
        "0",
        "0 sets no rule; 50 mm is common on a table saw. Pieces may be narrower if they are the last to come off.",
        300,
    ),
    number(
        "most_turns",
        "Most turns of a sheet between rip and cross cuts",
        CUT,
        "9",
        "9 sets no rule; 1 means strips, then pieces off the strips.",
        "0",
        "9",
    ),
    length("router_cutter", "Router: width of the cutter", CUT, "6", "", 30),
    length("router_margin", "Router: left between two cuts", CUT, "2", "Pieces lie a cutter and this apart.", 50),
    length("router_border", "Router: kept out at each side of a sheet", CUT, "15", "Where the clamps sit.", 200),
    length("tab_spacing", "Router: a tab on so much of a piece's outline", CUT, "250", "At least two a piece.", 2000),
    length("tab_length", "Router: length of a tab", CUT, "8", "", 50),
    length(
        "tab_below",
        "Router: tabs on pieces with a side shorter than",
        CUT,
        "150",
        "Larger ones are held by the vacuum or the clamps.",
        3000,
    ),
    length("band_overhang", "Edge band: overhang at each end", CUT, "25", "", 200),
    share("band_waste", "Edge band: waste", CUT, "5"),
    length("band_deducted_above", "Edge band: deducted from the blank when thicker than", CUT, "0.5", "", 10),
    length("band_pre_mill", "Edge band: milled off before banding, each edge", CUT, "0", "0.8 mm by machine.", 10),
    share(
        "board_yield",
        "Usable share of sawn boards, where the material does not say",
        CUT,
        "62",
        "The middle grade; top 75 %, low 50 %.",
        "1",
        "0.05",
    ),
    yes_no(
        "boards_by_simulation",
        "Buy sawn boards by simulated purchases",
        CUT,
        0,
        "Whole boards of random width until all blanks are cut, in place of dividing by the usable share.",
    ),
    share(
        "board_chance",
        "Sawn boards should suffice in this share of simulated purchases",
        CUT,
        "90",
        "The rest of the time somebody drives to the yard again.",
        "0.99",
        "0.5",
    ),
    length("board_width_low", "Narrowest board, where the material does not say", CUT, "100", "", 1000),
    length("board_width_high", "Widest board, where the material does not say", CUT, "250", "", 2000),
    length("board_length_low", "Shortest board, where the material does not say", CUT, "1800", "", 20000),
    length("board_length_high", "Longest board, where the material does not say", CUT, "3600", "", 20000),
    length("offcut_length", "Offcut worth keeping: length", CUT, "600"),
    length("offcut_width", "Offcut worth keeping: width", CUT, "300"),
    number(
        "one_person_kg",
        "Most that one person lifts, kg",
        CUT,
        "23",
        "Our shop limit; the published load constant is not a shop limit.",
        "1",
        "100",
    ),
    number("two_person_kg", "Most that two people lift, kg", CUT, "46", "", "1", "200"),
    length("one_person_length", "Longest piece that one person handles", CUT, "2400", "", 20000),
    length("way_spare", "Kept free beside what is carried in", CUT, "25", "By doors, corners and stairs.", 200),
    yes_no("full_sheet_takes_two", "A full sheet takes two people", CUT, 1),
    share("fastener_spares", "Spare screws, biscuits and dowels", JOIN, "10"),
    length("screw_tip_clear", "Least between a screw's tip and the far face", JOIN, "3", "", 50),
    length("driver_length", "Clear way before a screw's head for a driver", JOIN, "150", "", 1000),
    length("bite_solid", "Least bite of a screw in solid wood", JOIN, "25", "", 100),
    length("bite_sheet", "Least bite of a screw in a sheet", JOIN, "20", "", 100),
    number("shelf_sag", "A shelf may sag one part of its span in", JOIN, "600", "", "100", "5000"),
    number("bench_sag", "A bench may sag one part of its span in", JOIN, "360", "", "100", "5000"),
    number(
        "creep", "Sag grows over the years to", JOIN, "1.5",
        "Times the first sag; 2.5 for fibreboard and particleboard.", "1", "5",
    ),
    other("glue_spread", "Glue on each glue line, where the glue does not say", JOIN, "spread", "200"),
    number(
        "glue_squeeze_out",
        "Glue: factor for squeeze-out",
        JOIN,
        "1",
        "1 where the spread already holds it; 1.15 on thin spreads.",
        "1",
        "3",
    ),
    number("glue_grams_per_litre", "Glue: grams in a litre", JOIN, "1100", "", "500", "3000"),
    number("glue_loss", "Glue lost in a session, grams", JOIN, "50", "", "0", "2000"),
    choice(
        "finish_method",
        "How finish is put on",
        FINISH,
        ("brush", "low-pressure spray, flat work", "low-pressure spray, open racks", "air spray"),
        1,
    ),
    share("transfer_brush", "Transfer efficiency: brush", FINISH, "90", "", "1", "0.05"),
    share("transfer_flat", "Transfer efficiency: low-pressure spray, flat work", FINISH, "55", "", "1", "0.05"),
    share("transfer_open", "Transfer efficiency: low-pressure spray, open racks", FINISH, "35", "", "1", "0.05"),
    Setting(
        "transfer_air",
        "Transfer efficiency: air spray",
        FINISH,
        "percent",
        Fraction(1, 4),
        "Wis. Adm. Code NR 440.48, table 1",
        least=Fraction(1, 20),
        work=True,
        most=_ONE,
    ),
    number("raw_first_coat", "First coat on raw wood takes", FINISH, "1.3", "Times as much as a later coat.", "1", "5"),
    number("raw_edge", "Raw edges take", FINISH, "2", "Times as much as a face.", "1", "10"),
    number("gun_loss", "Finish lost in a session, litres", FINISH, "0.15", "", "0", "10"),
    other("recoat", "Time between coats, where the finish does not say", FINISH, "duration", "120"),
    other(
        "wait_before_packing",
        "Time before packing, where the finish does not say",
        FINISH,
        "duration",
        "1440",
        "Oil 72 h.",
    ),
    other("glue_clamp", "Time in clamps, where the glue does not say", JOIN, "duration", "45", "Cold shop: double."),
    choice(
        "charged_hours",
        "Minutes that are charged",
        TIME,
        ("mean", "likely"),
        0,
        "Likely figures added up are met only a few times in a hundred.",
    ),
    share(
        "learning_slope",
        "Repeats: each doubling takes, hand steps",
        TIME,
        "95",
        "Unit learning curve, on unit minutes only.",
        "1",
        "0.5",
    ),
    replace(
        yes_no("made_together", "Items of one job are made together", TIME, 1, "No: each has its own set-ups."),
        earlier=((1, Fraction(0)),),
        because="Two items of one design are set up, drawn and learnt once, as one item of two is.",
    ),
    share("another_size", "Drawing: another size of a design takes, of the first", TIME, "50", "", "1"),
    number("learning_flat_after", "Repeats: nothing more is gained after", TIME, "10", "", "1", "1000"),
    Setting(
        "productive_hours",
        "Productive hours of a person's day",
        TIME,
        "number",
        Fraction(6),
        least=_ONE,
        most=Fraction(24),
        work=True,
        hint="6 of 8 paid.",
    ),
    number("people_at_work", "People who work on a job at once", TIME, "1", "For the earliest ready day.", "1", "50"),
    number("queue_days", "Working days that a job is queued", TIME, "0", "For the earliest ready day.", "0", "365"),
    *(
        money(f"labour_{who}", f"{label}, an hour with all that it costs", CHARGE, rate)
        for who, (label, rate) in PEOPLE.items()
    ),
    *(money(f"machine_{name}", f"{label}, an hour", CHARGE, rate) for name, (label, rate) in MACHINES.items()),
    money(
        "overhead_per_hour",
        "Overhead for each hour of a person",
        CHARGE,
        "21",
        "A year's rent, power, insurance, unbilled wages over its productive hours.",
    ),
    replace(
        share(
            "handling",
            "Handling, share of materials",
            CHARGE,
            "5",
            "Checking, storing, breakage and the money tied up. Ordering and fetching, racking sheets and loading are "
            "steps of their own; a further supplier costs its stop.",
        ),
        earlier=((1, Fraction(8, 100)),),
        because="Ordering and racking were in the share and are charged as steps too; the share holds neither now.",
    ),
    share(
        "consumables",
        "Consumables, share of labour",
        CHARGE,
        "4",
        "Tape, rags, gloves, pencils: what is no line of its own.",
    ),
    *CONTINGENCY_SETTINGS,
    *PROFIT_SETTINGS,
    money("price_step_small", "Round prices up to, under 1,000", CHARGE, "1"),
    money("price_step_middle", "Round prices up to, from 1,000", CHARGE, "5"),
    money("price_step_large", "Round prices up to, from 5,000", CHARGE, "10"),
    money("minimum_charge", "Minimum charge for a job, before tax", CHARGE, "150"),
    share(
        "card_fee",
        "Card fee, where the customer pays by card",
        CHARGE,
        "3",
        "Added so that the total is left after the fee.",
        "0.5",
    ),
    share("discount_consent", "A discount above this needs approval", CHARGE, "5", "", "1"),
    share("tax_goods", "Tax on goods", CHARGE, "0", "Your local rate; ask your tax office.", "1"),
    share("tax_services", "Tax on delivery, installation and labour", CHARGE, "0", "", "1"),
    share("deposit", "Deposit, share of the total", CHARGE, "40", "Never less than what is bought for the job.", "1"),
    yes_no("deposit_covers_materials", "The deposit is at least what is bought for the job", CHARGE, 1),
    money(
        "target_per_hour",
        "What an hour should earn",
        CHARGE,
        "65",
        "Price less what is paid out and the machines, for each person-hour.",
    ),
    money("per_kilometre", "Driving, a kilometre", CHARGE, "0.70"),
    *(
        choice(
            f"charged_{kind}",
            f"Charge {row.plural}",
            CHARGE,
            ("as bought", "by the share used"),
            int(row.by_share),
        )
        for kind, row in KINDS.items()
        # Sheets are cut, and what is cut is used up whole.
        if kind is not Kind.SHEET
    ),
    *RANGE_SETTINGS,
    *(
        number(
            f"price_age_{kind}",
            f"Prices of {row.plural} are stale after, days",
            BUY,
            f"{row.price_days}",
            "",
            "1",
            "3650",
        )
        for kind, row in KINDS.items()
    ),
    share("price_jump", "A price that moves more than this is asked about", BUY, "15", "", "10"),
    money("extra_stop", "Each further supplier costs", BUY, "25", "Own time and fuel for another stop."),
    yes_no("rack_used", "Use offcuts from the rack", BUY, 1, "A job can set its own."),
    with_prices_paid(
        share(
            "rack_cost",
            "An offcut is charged at, of its price new",
            BUY,
            "30",
            "By area or length of the cheapest offer; what goes back to the rack is credited with nothing.",
            "0.5",
        )
    ),
    with_prices_paid(
        share(
            "purchase_tax",
            "Tax in the prices we pay",
            BUY,
            "0",
            "Used where one price holds tax and another does not.",
            "1",
        )
    ),
    yes_no("purchase_tax_reclaimed", "We reclaim the tax we pay", BUY, 1),
    number("quote_days", "A quote is valid for, days", PRINT, "30", "", "1", "365"),
    number(
        "quote_days_short", "A quote heavy in sheets, sawn boards and lengths is valid for, days", PRINT, "14", "", "1",
        "365",
    ),
    share("quote_short_above", "… where they are more than this share of the cost", PRINT, "40", "", "1"),
    *ALLOWANCE_SETTINGS,
    *LOAD_SETTINGS,
)


#: Every setting, with what it moves, and the same by name.
SETTINGS: Final[tuple[Setting, ...]] = tuple(replace(setting, moves=MOVES[setting.name]) for setting in _TABLE)
SETTINGS_BY_NAME: Final[Mapping[str, Setting]] = {setting.name: setting for setting in SETTINGS}

#: Settings that the program no longer has, with what they were called: they stay readable where a job or a quote has
#: kept them, and move nothing. Whoever takes one out of the table puts it here.
RETIRED: Final[Mapping[str, str]] = {"charged_sheet": "Charge sheets"}


def machine_words(name: str) -> str:
    """What a machine is called, in the shop's trade words; by its own name where the program has none of that name."""
    return in_trade_words(MACHINES[name][0]) if name in MACHINES else name


def default_rates(edition: int = EDITION) -> Rates:
    """The rates that a new shop starts from, or those that a shop of an earlier edition did."""
    return Rates(
        values={setting.name: setting.default_in(edition) for setting in SETTINGS},
        operations=steps_in(edition),
        sources={setting.name: setting.source for setting in SETTINGS},
        edition=edition,
    )
