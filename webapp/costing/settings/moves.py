"""What each setting moves at first hand, under the names of the results; what follows from that is told there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.settings.cost_range import RANGE_SETTINGS
from webapp.costing.settings.extras import ALLOWANCES, Allowance

_SHEETS, _BOARDS = "materials of sheets", "materials of sawn boards"
_LENGTHS, _LIQUIDS, _FASTENERS = (
    "materials of lengths and edge band",
    "materials of glue and finish",
    ("materials of fasteners"),
)
_BLANKS, _HOURS, _CHECKS, _READY = "sizes of blanks", "hours", "checks", "earliest ready day"

#: What is asked or drawn beside the sums, not in them.
QUESTIONS: Final = "questions that are asked"
PACK: Final = "what the workshop's drawings say"

#: What settings move that are no amount of a charge, or more than that.
_MORE_MOVED: Final[Mapping[str, tuple[str, ...]]] = {
    "rule_ordering": ("hours", "further suppliers"),
    "rule_drawing": ("hours",),
    "rule_first_of_kind": ("hours", "contingency"),
    "rule_hire_waiver": ("services bought in",),
    "hire_waiver_share": ("services bought in",),
    "rule_visit_minimum": ("price",),
    "visit_minimum_each": ("price",),
    "collecting_km": ("driving to suppliers",),
    "plugged_share": ("hours",),
    "sharpening_sheets": ("sharpening and cutters",),
    "disc_grits": ("abrasives",),
    "disc_life_raw": ("abrasives",),
    "disc_life_between": ("abrasives",),
    "spare_parts_from": ("spare parts",),
    "cleaning_per_session": ("hazardous liquid waste",),
    "flash_off_minutes": ("finishing room while coats flash off", "filters of the finishing room"),
    "storage_free_days": ("price",),
    "late_days": ("late payment",),
}


def _moves(rule: Allowance, setting: str) -> tuple[str, ...]:
    """The results that a setting of a rule moves at first hand: those of its charges, or of all where it switches."""
    moved = [
        {"minutes": "hours", "line": "price"}.get(charge.lands, charge.label.lower())
        for charge in rule.charges
        if setting in (rule.switch, *(charge.amount.format(novelty=how) for how in ("repeat", "known", "new")))
    ]
    return tuple(dict.fromkeys((*moved, *_MORE_MOVED.get(setting, ()))))


#: Setting -> the results it moves at first hand.
MOVES: Final[Mapping[str, tuple[str, ...]]] = {
    # Boards only where they are bought by simulated purchases.
    "kerf": (_SHEETS, _BOARDS),
    "length_kerf": (_LENGTHS,),
    "sheet_trim": (_SHEETS,),
    "rack_trim": (_SHEETS,),
    **dict.fromkeys(("least_workpiece", "most_turns", "router_cutter", "router_margin", "router_border"), (_SHEETS,)),
    **dict.fromkeys(("tab_spacing", "tab_length", "tab_below"), (PACK,)),
    "end_trim": (_LENGTHS,),
    "defect_reserve": (_LENGTHS,),
    "splice_shortest": (_LENGTHS,),
    "oversize_length": (_BLANKS,),
    "oversize_width": (_BLANKS,),
    "oversize_layers": (_BLANKS,),
    "jointing": (_BLANKS,),
    "widest_strip": (_BLANKS,),
    "smallest_strip": (PACK,),
    "band_overhang": (_LENGTHS,),
    "band_waste": (_LENGTHS,),
    "band_deducted_above": (_BLANKS,),
    "band_pre_mill": (_BLANKS,),
    "board_yield": (_BOARDS,),
    "boards_by_simulation": (_BOARDS,),
    "board_chance": (_BOARDS,),
    "board_width_low": (_BOARDS,),
    "board_width_high": (_BOARDS,),
    "board_length_low": (_BOARDS,),
    "board_length_high": (_BOARDS,),
    "offcut_length": (PACK,),
    "offcut_width": (PACK,),
    "one_person_kg": (_HOURS, "checks"),
    "two_person_kg": (_HOURS, "checks"),
    "one_person_length": (_HOURS, "checks"),
    "lift_to": (_CHECKS,),
    "way_spare": (_CHECKS,),
    "full_sheet_takes_two": (_HOURS,),
    "fastener_spares": (_FASTENERS,),
    "screw_tip_clear": (_CHECKS,),
    "driver_length": (_CHECKS,),
    "bite_solid": (_CHECKS,),
    "bite_sheet": (_CHECKS,),
    "shelf_sag": (_CHECKS,),
    "bench_sag": (_CHECKS,),
    "creep": (_CHECKS,),
    "moisture_swing": (_CHECKS,),
    "wall_screw_kg": (_CHECKS,),
    **dict.fromkeys(
        (
            "glue_spread", "glue_squeeze_out", "glue_grams_per_litre", "glue_loss", "finish_method", "transfer_brush",
            "transfer_flat", "transfer_open", "transfer_air", "raw_first_coat", "raw_edge", "gun_loss",
        ),
        (_LIQUIDS,),
    ),
    "recoat": (_READY,),
    "wait_before_packing": (_READY,),
    "glue_clamp": (_READY,),
    "charged_hours": ("minutes charged",),
    "learning_slope": (_HOURS,),
    "learning_flat_after": (_HOURS,),
    "productive_hours": (_READY, _HOURS),
    "people_at_work": (_READY,),
    "queue_days": (_READY,),
    "labour_maker": ("labour",),
    "labour_helper": ("labour",),
    "labour_office": ("labour",),
    **dict.fromkeys(("machine_saw", "machine_planer", "machine_bander", "machine_router", "machine_welder"),
                    ("machines",)),
    "machine_booth": ("machines", "finishing room while coats flash off"),
    "overhead_per_hour": ("overhead",),
    "made_together": (_HOURS, _LIQUIDS),
    "another_size": (_HOURS,),
    "handling": ("handling",),
    "consumables": ("consumables",),
    "contingency_repeat": ("contingency",),
    "contingency_known": ("contingency",),
    "contingency_new": ("contingency",),
    "contingency_from": ("contingency",),
    "contingency_least": ("contingency",),
    "contingency_asked": (QUESTIONS,),
    **dict.fromkeys((setting.name for setting in RANGE_SETTINGS), ("range of the cost",)),
    "profit_as": ("profit",),
    "profit": ("profit",),
    "profit_bought_in": ("profit",),
    "profit_bought_in_as": ("profit",),
    "bought_in_apart": ("contingency", "deposit"),
    "price_step_small": ("price",),
    "price_step_middle": ("price",),
    "price_step_large": ("price",),
    "minimum_charge": ("price",),
    "card_fee": ("card fee",),
    "discount_consent": (QUESTIONS,),
    "tax_goods": ("tax",),
    "tax_services": ("tax",),
    "deposit": ("deposit",),
    "deposit_covers_materials": ("deposit",),
    "target_per_hour": ("floors",),
    "per_kilometre": ("carriage", "driving to suppliers"),
    **{f"charged_{kind}": (f"materials of {row.plural}",) for kind, row in KINDS.items() if kind is not Kind.SHEET},
    # Boards are used up whole, whichever way they are charged; of those bought whole, what is left over gives no money
    # back.
    "charged_board": ("range of the cost",),
    **{f"price_age_{kind}": ("prices in doubt",) for kind in KINDS},
    "price_jump": (QUESTIONS,),
    "extra_stop": ("further suppliers",),
    "rack_used": (_SHEETS, _LENGTHS),
    "rack_cost": (_SHEETS, _LENGTHS),
    "purchase_tax": tuple(f"materials of {row.plural}" for row in KINDS.values()),
    "purchase_tax_reclaimed": tuple(f"materials of {row.plural}" for row in KINDS.values()),
    "quote_days": ("days a quote is valid",),
    "quote_days_short": ("days a quote is valid",),
    "quote_short_above": ("days a quote is valid",),
    **{name: _moves(rule, name) for rule in ALLOWANCES for name in (rule.switch, *(one.name for one in rule.settings))},
}  # fmt: skip
