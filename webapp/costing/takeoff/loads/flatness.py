"""A hollow core found from its parts: two sheets glued on webs, judged in millimetres out of flat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.checks.creeping import worst_factor
from webapp.costing.takeoff.checks.spans import AID, STANDARD_GRAVITY
from webapp.costing.takeoff.loads.sagging import crept_sag, small
from webapp.costing.takeoff.loads.spanning import stiffness_along, widest_gap
from webapp.costing.takeoff.loads.whole import Piece, Whole
from webapp.costing.takeoff.meetings import Meeting
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.trade.loads.sections import Strip, hollow_core, rigidity, shear_stiffness
from webapp.costing.trade.stiffness import OF_EVEN_LOAD, SHEAR_OF_EVEN_LOAD, sag_of_shear, sag_uniform

#: How far the top of an assembly bench may be out of flat, where the design doesn't say. Common practice, nm.
OUT_OF_FLAT: Final = 500_000


@dataclass(frozen=True, slots=True)
class _Core:
    """The upper and the lower sheet and the webs between them, by their places in the list of pieces."""

    upper: int
    lower: int
    webs: tuple[int, ...]


def check_flatness(whole: Whole) -> None:
    """Each hollow core that rests on something, the way in which it bends more."""
    for core in _cores(whole):
        bent = [found for axis in (0, 1) if (found := _bent(whole, core, axis)) is not None]
        if bent:
            _judge(whole, core, max(bent, key=lambda each: each.sag))


def _cores(whole: Whole) -> Iterator[_Core]:
    """Pairs of lying sheets with glued webs between them, each upper sheet with the lower one it shares most with."""
    glued = {frozenset((joint.source, held)) for joint in whole.joints if joint.glue for held in joint.held}
    under: dict[int, set[int]] = {}
    over: dict[int, set[int]] = {}
    for upper, lower, _ in whole.rests():
        pair = frozenset((whole.pieces[upper].name, whole.pieces[lower].name))
        aslant = whole.pieces[upper].body or whole.pieces[lower].body
        if pair in glued and len(pair) == 2 and aslant is None:
            under.setdefault(upper, set()).add(lower)
            over.setdefault(lower, set()).add(upper)
    lying = {place for place in {*under, *over} if _is_lying_sheet(whole, place)}
    for sheet in sorted(lying & under.keys()):
        webs_under = under[sheet] - lying
        shared = {
            foot: webs
            for foot in sorted(lying & over.keys())
            if (webs := {web for web in webs_under if foot in under.get(web, ())})
        }
        if shared:
            foot, webs = max(shared.items(), key=lambda each: len(each[1]))
            yield _Core(sheet, foot, tuple(sorted(webs)))


def _is_lying_sheet(whole: Whole, place: int) -> bool:
    one = whole.made.get(whole.pieces[place].name)
    return one is not None and one.taken.kind is Kind.SHEET and "z" not in (one.part.length_axis, one.part.width_axis)


@dataclass(frozen=True, slots=True)
class _Bent:
    """How a core bends along an axis: over which gap (nm), under which load (N/mm), its E I (N mm2) and sag (nm)."""

    axis: int
    gap: int
    load: Fraction
    rigidity: Fraction
    shear: Fraction | None
    sag: Fraction
    lasting: Fraction


def _bent(whole: Whole, core: _Core, axis: int) -> _Bent | None:
    """The core between what crosses under it; None where it spans nothing that way or a stiffness is missing."""
    lower = whole.pieces[core.lower]
    length, breadth = (lower.high[each] - lower.low[each] for each in (axis, 1 - axis))
    crossing = [
        met
        for met in whole.meetings.of(core.lower)
        # What runs along under it sags with it; what crosses under it bears it.
        if met.across == 2 and met.other == core.lower and 2 * _reach(whole, met, axis) < length
    ]
    broad = [met for met in crossing if 2 * _reach(whole, met, 1 - axis) > breadth]
    # Legs at the corners bear it only where nothing crosses from side to side.
    bearing = broad if len(broad) > 1 else crossing
    borne = [whole.shared(met, axis) for met in bearing]
    gap = widest_gap(borne)
    if not gap:
        return None
    section = _section(whole, core, axis)
    if section is None:
        return None
    own = sum(piece.grams or 0 for place, piece in enumerate(whole.pieces) if _belongs(whole, core, place))
    on_it = [load for load in whole.planned if load.piece is whole.pieces[core.upper]]
    grams = own + sum(load.grams for load in on_it)
    stays = own + sum((load.grams * load.lasting for load in on_it), Fraction(0))
    load = grams * STANDARD_GRAVITY / 1000 * 10**6 / length
    bends = rigidity(section)
    sag = sag_uniform(load, Fraction(gap), bends, Fraction(1))
    shear = shear_stiffness(section) if all(strip.shear_modulus for strip in section) else None
    return _Bent(axis, gap, load, bends, shear, sag, stays / grams if grams else Fraction(0))


def _reach(whole: Whole, met: Meeting, axis: int) -> int:
    """How far what two pieces share reaches along an axis, nm."""
    low, high = whole.shared(met, axis)
    return high - low


def _belongs(whole: Whole, core: _Core, place: int) -> bool:
    """Whether a piece is of the core or stands within it: between the feet and the tops of both sheets."""
    piece = whole.pieces[place]
    return (
        whole.bodies[place] == whole.bodies[core.upper]
        and whole.pieces[core.lower].low[2] <= piece.low[2]
        and piece.high[2] <= whole.pieces[core.upper].high[2]
    )


def _section(whole: Whole, core: _Core, axis: int) -> list[Strip] | None:
    """The strips across the axis: both sheets, and the webs that run along it over most of the length."""
    length = whole.pieces[core.lower].high[axis] - whole.pieces[core.lower].low[axis]
    along = [
        web for web in core.webs if 2 * (whole.pieces[web].high[axis] - whole.pieces[web].low[axis]) > length
    ]  # fmt: skip
    strips = [_strip(whole, place, axis) for place in (core.lower, *along, core.upper)]
    known = [strip for strip in strips if strip is not None]
    if not along or len(known) < len(strips):
        return None
    height = min(strip.height for strip in known[1:-1])
    webs = [strip for strip in known[1:-1] if strip.height == height]
    return hollow_core(known[0], webs, known[-1])


def _strip(whole: Whole, place: int, axis: int) -> Strip | None:
    piece: Piece = whole.pieces[place]
    one = whole.made.get(piece.name)
    stiffness = stiffness_along(whole, one, axis) if one is not None else None
    if one is None or stiffness is None:
        return None
    shear = whole.taking.stated.get(one.part.stock, {}).get("shear_modulus") or Fraction(0)
    breadth = piece.high[1 - axis] - piece.low[1 - axis]
    return Strip(Fraction(breadth), Fraction(piece.high[2] - piece.low[2]), Fraction(0), stiffness, shear)


def _limit(whole: Whole, core: _Core) -> Figure:
    """How far it may be out of flat: as a span of either sheet says it, or as is usual."""
    taking = whole.taking
    sheets = {whole.pieces[core.upper].name, whole.pieces[core.lower].name}
    for span in filter(taking.environment.active, taking.design.spans.values()):
        if span.flat is not None and span.part in sheets:
            try:
                return taking.figure(f"flat/{span.name}/most", "Most it may be out of flat", "nm", span.flat)
            except FormulaError as error:
                taking.wrong(f"spans.{span.name}.flat", taking.why(error), "warning")
    return taking.working.given("flat/most", "Most a hollow-core top may be out of flat", OUT_OF_FLAT, "nm",
                                "common practice: an assembly top is judged in tenths of a millimetre")  # fmt: skip


def _judge(whole: Whole, core: _Core, bent: _Bent) -> None:
    taking, upper = whole.taking, whole.pieces[core.upper]
    says, key = upper.says, f"flat/{upper.name}"
    span = taking.given(f"{key}/span", f"{says}: hollow core, between what crosses under it", bent.gap, "nm",
                        "the parts that bear it")  # fmt: skip
    load = taking.given(f"{key}/load", f"{says}: own weight and load of the core", bent.load, "N/mm",
                        "weights to the gram")  # fmt: skip
    stiff = taking.given(f"{key}/rigidity", f"{says}: E I of the core", bent.rigidity, "N mm2",
                         "both sheets and the webs along the span, glued: transformed section")  # fmt: skip
    even = taking.working.given("spans/even_load", "Sag of an even load on a span held simply at both ends",
                                OF_EVEN_LOAD, "", "beam theory: simple span, uniform load")  # fmt: skip
    one = taking.working.given("flat/one", "E I in place of stiffness and second moment", 1, "", "as it is put in")
    bends = taking.derive(f"{key}/bends", f"{says}: bends on first loading", "nm",
                          "sag of an even load x load x span^4 / E I", "sag_uniform(load, span, stiff, one, even)",
                          load=load, span=span, stiff=stiff, one=one, even=even)  # fmt: skip
    limit = _limit(whole, core)
    sag = bends
    if bent.shear is not None:
        added = taking.given(
            f"{key}/shears", f"{says}: what shear adds",
            sag_of_shear(bent.load * bent.gap / 10**6, Fraction(bent.gap), bent.shear, SHEAR_OF_EVEN_LOAD), "nm",
            "Wood Handbook (1999), ch. 8, eq. 8-2; shear stiffness by the energy of shear",
        )  # fmt: skip
        sag = taking.total(f"{key}/sag", f"{says}: out of flat on first loading", "nm", [bends, added])
    roles = tuple(dict.fromkeys(whole.made[whole.pieces[at].name].part.stock for at in (core.upper, core.lower)))
    crept = crept_sag(whole, key, says, sag, worst_factor(taking, roles), bent.lasting)
    outcome: Outcome = "pass"
    more = ""
    if sag.value > limit.value:
        outcome = "failure"
    elif bent.shear is None:
        outcome, more = "unknown", " What shear adds is not known: type the shear modulus of sheets and webs."
    elif crept.value > limit.value:
        outcome = "warning"
    by = "by bending and shear" if bent.shear is not None else "by bending alone"
    whole.note(
        Check(
            key,
            outcome,
            f"{says}: as a hollow core over {taking.length(span.value)} it is {small(whole, sag)} out of flat {by}, "
            f"{small(whole, crept)} over the years; {small(whole, limit)} is the most.{more} {AID}",
            (sag.id, crept.id, limit.id),
            Held(sag.value, limit.value, "nm"),
        )
    )
