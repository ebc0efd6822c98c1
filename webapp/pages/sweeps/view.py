"""A sweep in words: how far it is, its faults with the sizes that show them, its refusals, and each size's range."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from sqlalchemy.orm import Session

from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.model import Design
from webapp.costing.estimate.snapshot import read_design_once
from webapp.costing.measures.written import and_words, figure_text, format_length
from webapp.costing.sweep.cases import Case
from webapp.costing.sweep.limits import SizeRange, Span
from webapp.costing.sweep.result import FaultFound, RefusalFound, SweepResult, read_result
from webapp.costing.sweep.shrunk import Limit
from webapp.pages.web.times import moment
from webapp.persistence.settings.shop import Shop
from webapp.persistence.sweeps.tasks import Sweep, find_sweep, last_done
from webapp.pictures.range_line import done_line, range_line
from webapp.running import Running
from webapp.sweeps.gathered import gather, key_of

#: What a sweep went by besides the text is not the same any more.
OTHER_BASIS: Final = "before the shop’s materials, prices or settings changed"


@dataclass(frozen=True, slots=True)
class FaultShown:
    """A fault: its sentence where it shows with the fewest changes, these in words, where it begins, and how often."""

    sentence: str
    how: str
    limits: str
    often: str


@dataclass(frozen=True, slots=True)
class RefusalShown:
    """A rule that refused: its sentence, and its share of the cases."""

    sentence: str
    share: str


@dataclass(frozen=True, slots=True)
class RangeShown:
    """A size's range: its ends in words, its line, and where it alone fails or is refused, with why."""

    says: str
    least: str
    usual: str
    most: str
    svg: str
    fails: tuple[str, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ResultShown:
    """What a sweep came to. `stale` says what changed since, '' where nothing did."""

    when: str
    stale: str
    headline: str
    faults: tuple[FaultShown, ...]
    of_materials: tuple[FaultShown, ...]
    refusals: tuple[RefusalShown, ...]
    ranges: tuple[RangeShown, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SweepShown:
    """A sweep beside its design: `address` is its own page, '' where none was asked for of this text; `design_at` the
    design's, `looks` after which time the page looks again how far it is."""

    name: str
    address: str
    design_at: str
    state: str
    goes_on: bool
    line: str
    words: str
    result: ResultShown | None
    code: str = ""
    version: int = 0
    looks: str = "1s"


def sweep_of(
    session: Session, document: Mapping[str, Any], design: Design, name: str, shop: Shop, here: Running,
    version: int = 0,
) -> SweepShown:  # fmt: skip
    """The sweep of this very text, which is read as `design`; else what the last one of the design came to, with what
    changed since."""
    sweep = find_sweep(session, key_of(document, shop))
    if sweep is not None:
        return shown(session, sweep, document, design, shop, here, version)
    code = design.code
    design_at = f"/designs/{code}"
    before = last_done(session, code)
    if before is None:
        return SweepShown(name, "", design_at, "", False, "", "", None, code, version)
    sweep, swept = before
    # Whoever draws on asks with every change, and what was swept is the same text all the while.
    then, _ = read_design_once(swept)
    result = None if then is None else _result(sweep, then, shop, changed_since(swept, document))
    return SweepShown(name, "", design_at, "", False, "", "", result, code, version)


def shown(
    session: Session, sweep: Sweep, document: Mapping[str, Any], design: Design | None, shop: Shop, here: Running,
    version: int = 0,
) -> SweepShown:  # fmt: skip
    """A sweep of this text, read as `design`, as it stands now."""
    result = None
    if sweep.state == "done" and design is not None:
        stale = "" if gather(session, document, design, here.now()).basis == sweep.basis else OTHER_BASIS
        result = _result(sweep, design, shop, stale)
    design_at = f"/designs/{sweep.code}" if sweep.code else ""
    words = _how_far(sweep)
    line = "" if sweep.state == "done" else done_line(sweep.judged, sweep.cases, words)
    address = f"/sweeps/{sweep.key}"
    return SweepShown(
        sweep.name, address, design_at, sweep.state, sweep.goes_on, line, words, result, sweep.code, version,
        # Where no worker is, each look works on it for a moment.
        "1s" if here.settings.plan_workers else "100ms",
    )  # fmt: skip


def _how_far(sweep: Sweep) -> str:
    judged = f"{sweep.judged} of {sweep.cases} cases are judged"
    if sweep.state == "stopped":
        return f"Stopped: {judged}, and kept."
    if sweep.state == "failed":
        return f"It broke off: {sweep.why}"
    if not sweep.cases:
        return "It waits to begin."
    if sweep.stop_asked:
        return "It stops."
    if sweep.judged == sweep.cases:
        return f"All {sweep.cases} cases are judged; the faults are brought down to the fewest changes."
    return f"{judged}."


def changed_since(before: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """What changed between two texts of a design, in words: the one entry, or how many."""
    changed = [*_changed(before, now)]
    if len(changed) == 1:
        return f"before {changed[0]} changed"
    return f"before {len(changed)} entries changed" if changed else ""


def _changed(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    for section in dict.fromkeys((*before, *now)):
        one, other = before.get(section), now.get(section)
        if one == other:
            continue
        if isinstance(one, Mapping) or isinstance(other, Mapping):
            held, holds = (each if isinstance(each, Mapping) else {} for each in (one, other))
            names = dict.fromkeys((*held, *holds))
            different = [name for name in names if held.get(name) != holds.get(name)]
            yield from (f"“{name_words(str(name))}” in {name_words(section)}" for name in different)
        else:
            yield f"“{name_words(section)}”"


def _result(sweep: Sweep, design: Design, shop: Shop, stale: str) -> ResultShown | None:
    if sweep.result is None:
        return None
    words = _Words(design, shop, result := read_result(sweep.result))
    faults = [(one, words.fault(one)) for one in result.faults]
    return ResultShown(
        when=moment(sweep.progress_at, shop),
        stale=stale,
        headline=_headline(result),
        faults=tuple(said for one, said in faults if not one.case.materials),
        of_materials=tuple(said for one, said in faults if one.case.materials),
        refusals=tuple(words.refusal(one) for one in result.refusals),
        ranges=tuple(words.range(one) for one in result.ranges if one.name in design.sizes),
        notes=(*_notes(result, design),),
    )


def _headline(result: SweepResult) -> str:
    kinds = len(result.faults)
    faults = "no fault" if not kinds else f"{kinds} kinds of fault" if kinds > 1 else "one kind of fault"
    shown_in = f" in {result.faulty} of them" if kinds and result.faulty else ""
    return f"{result.cases} cases, {faults}{shown_in}, {result.refused} refused as meant"


def _notes(result: SweepResult, design: Design) -> Iterator[str]:
    if result.pairs:
        covered = "All" if result.covered == result.pairs else f"{result.covered} of"
        yield (f"{covered} {result.pairs} pairs of sizes, choices and materials that fit stood together in a case.")
    if any("mass" in must.that.names for must in design.musts.values()):
        yield "Rules about the weight are asked only where no other rule refuses."
    if any(not one.shrunk for one in result.faults):
        yield "So many kinds of fault were found that not each was brought down to its fewest changes."
    yield "How it gets to its place and how many lift it hangs on the job, and is not asked here."


class _Words:
    """The sizes, answers and materials of one design in words."""

    def __init__(self, design: Design, shop: Shop, result: SweepResult) -> None:
        self.design, self.shop, self.result = design, shop, result

    def value(self, name: str, value: Fraction) -> str:
        """A size as the shop reads it."""
        if self.design.sizes[name].is_length:
            return format_length(int(value), self.shop.length_system)
        return figure_text(value, 0)

    def fault(self, found: FaultFound) -> FaultShown:
        """A fault with the fewest changes that show it."""
        changed = [*self._changed(found.case)]
        how = f"With {and_words(changed)}; all else as usual." if changed else "At the usual sizes."
        often = f"in {found.cases} of {self.result.cases} cases" if found.cases else "met along one size alone"
        return FaultShown(found.sentence, how, self._limits(found.limits), often)

    def refusal(self, found: RefusalFound) -> RefusalShown:
        """A refusal with its share of the cases."""
        share = figure_text(Fraction(100 * found.cases, self.result.cases), 0)
        return RefusalShown(found.sentence, f"{found.cases} cases, {share} %")

    def range(self, one: SizeRange) -> RangeShown:
        """A size with its stretches."""
        size = self.design.sizes[one.name]
        least, usual, most = (self.value(one.name, value) for value in (one.least, one.usual, one.most))
        fails = tuple(self._span(one, span) for span in one.spans if span.verdict == "fault")
        refused = tuple(self._span(one, span) for span in one.spans if span.verdict == "refused")
        said = "; ".join([
            f"{size.says}: {least} to {most}, usually {usual}", *(f"fails {words}" for words in fails),
            *(f"refused {words}" for words in refused),
        ])  # fmt: skip
        return RangeShown(size.says, least, usual, most, range_line(one, said), fails, refused)

    def _span(self, one: SizeRange, span: Span) -> str:
        if span.below is None and span.above is None:
            return "throughout"
        if span.above is None and span.below is not None:
            return f"above {self.value(one.name, span.below)}"
        if span.below is None and span.above is not None:
            return f"below {self.value(one.name, span.above)}"
        if span.low == span.high:
            return f"at {self.value(one.name, span.low)}"
        return f"from {self.value(one.name, span.low)} to {self.value(one.name, span.high)}"

    def _limits(self, limits: Sequence[Limit]) -> str:
        """Where a fault begins: along one size, or where several come together."""
        said = [
            f"{'above' if one.fails > one.holds else 'below'} {name_words(one.size)} {self.value(one.size, one.holds)}"
            for one in limits
        ]
        return "" if not said else f"Fails {and_words(said)}{' together' if len(said) > 1 else ''}"

    def _changed(self, case: Case) -> Iterator[str]:
        sizes = self.design.sizes_in(self.shop.length_system)
        for name, value in case.sizes.items():
            if name in sizes and value != sizes[name].usual:
                yield f"{name_words(name)} {self.value(name, value)}"
        for name, answer in case.choices.items():
            if name in self.design.choices and answer != self.design.choices[name].usual:
                yield f"{name_words(name)} “{name_words(answer)}”"
        for role, code in case.materials.items():
            if role in self.design.roles:
                yield f"{name_words(code)} for “{self.design.roles[role].says}”"
