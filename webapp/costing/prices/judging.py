"""A file of prices held against what the shop buys: every line in the group where it belongs, the doubtful first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.materials import Catalogue, CurrentPrice, Material, Offer, PriceSeen, current_price
from webapp.costing.catalogue.weights import pieces_of
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.quantities import System
from webapp.costing.measures.written import day_in_words, figure_text
from webapp.costing.prices.file import PriceFile, ToldLine
from webapp.costing.prices.matching import Match, Offers
from webapp.costing.prices.packs import pack_text
from webapp.costing.prices.stated_price import find_jump, other_terms, price_before
from webapp.costing.prices.units import IN_PACKS, as_told, for_offer

Group = Literal[
    "unreadable", "tenfold", "jump", "pack", "twice", "words", "changed", "new", "again", "older", "kept", "empty"
]
#: In this order groups are shown: what needs somebody's eye stands first. With the words for each, and whether its
#: prices are kept unless somebody says otherwise.
GROUPS: Final[Mapping[Group, tuple[str, bool]]] = {
    "unreadable": ("Can't be read", False),
    "tenfold": ("Ten times the last price, or a tenth", False),
    "jump": ("Far from the last price", False),
    "pack": ("Another pack than the shop buys", False),
    "twice": ("Told twice, with two prices", False),
    "words": ("Known by size and words alone", False),
    "changed": ("Changed", True),
    "new": ("First price", True),
    "again": ("As before, seen again", True),
    "older": ("Older than the price that holds", True),
    "kept": ("Kept already", False),
    "empty": ("No price told", False),
}
#: In these a whole group is never kept at one stroke.
ONE_BY_ONE: Final = frozenset({"unreadable", "tenfold"})


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said of a preview: groups that are right, lines that are, and lines that are left out, by their numbers.

    `since` is the place of the last price when the preview was made: what came after it was typed meanwhile.
    """

    groups: frozenset[str] = frozenset()
    lines: frozenset[int] = frozenset()
    left_out: frozenset[int] = frozenset()
    since: int | None = None


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """A line that is about something the shop buys, and what would become of it.

    `seen` is the price it tells, of which `keeps` says whether it would be kept; `before` is the one that holds on its
    day, `sentence` what there is to say, `reason` why it is taken for this offer. `learns` is a code of the supplier's
    that the offer lacks.
    """

    number: int
    place: str
    group: Group
    what: str
    before: PriceSeen | None = None
    seen: PriceSeen | None = None
    sentence: str = ""
    reason: str = ""
    keeps: bool = False
    meanwhile: bool = False
    learns: str = ""


@dataclass(frozen=True, slots=True)
class Gone:
    """What the supplier sold before and no longer tells a price of."""

    what: str
    before: PriceSeen


@dataclass(frozen=True, slots=True)
class Judged:
    """Every line about something the shop buys, those that need an eye first; how many are about nothing of it, and how
    many tell no price of anything."""

    lines: tuple[JudgedLine, ...]
    gone: tuple[Gone, ...]
    others: int
    titles: int

    @property
    def keeps(self) -> tuple[PriceSeen, ...]:
        """The prices that would be kept, in the file's order."""
        ordered = sorted(self.lines, key=lambda one: one.number)
        return tuple(line.seen for line in ordered if line.keeps and line.seen is not None)

    @property
    def counts(self) -> Mapping[Group, int]:
        """How many lines each group holds."""
        found = Counter(line.group for line in self.lines)
        return {group: found[group] for group in GROUPS}

    @property
    def meanwhile(self) -> tuple[JudgedLine, ...]:
        """The lines whose price was typed since the preview that was answered."""
        return tuple(line for line in self.lines if line.meanwhile and line.keeps)


@dataclass(frozen=True, slots=True)
class Bench:
    """What lines are held against: the catalogue as known on a day, the shop's shares, and who keeps what from where.

    `since` are the offers, each with its break, that were priced meanwhile; `every` gives all prices ever seen, where
    and by whom left out.
    """

    on: Callable[[date], Catalogue]
    today: date
    jump: Fraction
    purchase_tax: Fraction
    places: int
    system: System
    by: str
    where: str
    since: frozenset[tuple[str, int]]
    every: Callable[[], frozenset[PriceSeen]]


def match_lines(lines: Iterable[ToldLine], offers: Offers, own: bool) -> dict[int, Match]:
    """What each line is about, by its number; titles are about nothing. Their prices need not be read for that."""
    told = [line for line in lines if line.note != "title"]
    matches = {
        line.number: offers.named(line) if own or line.material else offers.by_code(line) for line in told
    }  # fmt: skip
    taken = {match.offer.id for match in matches.values() if match.offer is not None}
    for line in told if not own else ():
        match = matches[line.number]
        if match.offer is None and not match.problem and not line.note:
            matches[line.number] = offers.by_words(line, taken)
    return matches


def judge_file(
    file: PriceFile, matches: Mapping[int, Match], offers: Offers, bench: Bench, answers: Answers, *, whole: bool
) -> Judged:
    """What would become of every line. `whole` says that the file is all that its supplier sells."""
    judge = _Judge(offers, bench)
    told = [line for line in file.lines if line.note != "title"]
    lines, others = [], 0
    for line in told:
        match = matches[line.number]
        if match.offer is None and not match.problem and not (file.own and line.problem):
            others += 1
            continue
        lines.append(judge.judge(line, match))
    lines = [_answered(line, answers) for line in _told_twice(lines)]
    lines.sort(key=lambda one: (_ORDER[one.group], one.keeps, one.number))
    found = {match.offer.id for match in matches.values() if match.offer is not None}
    gone = judge.gone(found) if whole and not file.own else ()
    return Judged(tuple(lines), gone, others, len(file.lines) - len(told))


_ORDER: Final = {group: place for place, group in enumerate(GROUPS)}


class _Judge:
    """Judges one line after another."""

    def __init__(self, offers: Offers, bench: Bench) -> None:
        self.offers, self.bench = offers, bench
        self._every: frozenset[PriceSeen] | None = None

    def judge(self, line: ToldLine, match: Match) -> JudgedLine:
        """What becomes of a line."""
        judged = JudgedLine(line.number, line.place, "unreadable", line.named, reason=match.reason)
        offer = match.offer
        if line.problem or offer is None:
            said = line.problem or match.problem
            return replace(judged, sentence=said, what=line.named if offer is None else self._what(offer, 1))
        day = line.price.seen_on if line.price is not None else self.bench.today
        catalogue = self.bench.on(max(day, self.bench.today))
        price = current_price(catalogue, offer.id)
        packs = line.price.from_packs if line.price is not None else 1
        judged = replace(judged, what=self._what(offer, packs))
        held = next((one for one in price.breaks if one.from_quantity == packs), None) if price else None
        if line.price is None or line.net is None:
            return replace(judged, group="empty", before=held, sentence="No price is typed.")
        material = self.offers.material(offer)
        amount, reckoned = for_offer(line.net, line.basis, material, offer, self.bench.places, line.in_pack)
        if amount is None:
            return replace(judged, before=held, sentence=reckoned)
        if amount <= 0:
            return replace(judged, before=held, sentence="What it comes to is too small for a price.")
        told = replace(line.price, amount=amount)
        seen = told.seen(offer.id, catalogue.currency, self.bench.where, self.bench.by, price)
        meanwhile = (seen.offer, packs) in self.bench.since
        told_of = (
            f"{pointed(as_told(line.price.amount, self.bench.places))} less discount." if line.discount else "",
            f"Reckoned from {pointed(reckoned)}." if reckoned else "",
            f"Holds from {day_in_words(seen.seen_on)}." if seen.seen_on > self.bench.today else "",
            "A price of it was typed since this preview was made." if meanwhile else "",
        )
        judged = replace(judged, before=held, seen=seen, meanwhile=meanwhile)
        if match.how == "words" and line.article and not offer.supplier_code:
            judged = replace(judged, learns=line.article)
        return self._held_against(
            judged, line, match, material, offer, price, tuple(filter(None, told_of)), bool(reckoned)
        )  # fmt: skip

    def gone(self, found: set[str]) -> tuple[Gone, ...]:
        """What is sold no more, as far as the file tells."""
        catalogue = self.bench.on(self.bench.today)
        held = [(offer, current_price(catalogue, offer.id)) for offer in self.offers.all if offer.id not in found]
        return tuple(Gone(self._what(offer, 1), price.breaks[0]) for offer, price in held if price is not None)

    def _held_against(
        self, judged: JudgedLine, line: ToldLine, match: Match, material: Material, offer: Offer,
        price: CurrentPrice | None, said: tuple[str, ...], reckoned: bool,
    ) -> JudgedLine:  # fmt: skip
        seen, held = judged.seen, judged.before
        assert seen is not None

        def in_group(group: Group, *further: str) -> JudgedLine:
            return replace(judged, group=group, sentence=" ".join((*said, *further)))

        if held is not None and seen.seen_on < held.seen_on:
            stays = f"The price of {day_in_words(held.seen_on)} is later and stays in use; this one is kept"
            if seen.unsigned in self._known():
                return in_group("kept", f"{stays} already.")
            return in_group("older", f"{stays} beside it.")
        same = held is not None and (seen.amount, seen.with_tax, seen.delivered) == (
            held.amount, held.with_tax, held.delivered,
        )  # fmt: skip
        if same and held is not None and seen.seen_on == held.seen_on:
            return in_group("kept")
        jump = find_jump(seen, price, self.bench.jump, self.bench.purchase_tax, other_unit=reckoned)
        last = price_before(price, seen.from_quantity)
        if jump is not None and jump.sort == "tenfold":
            return in_group("tenfold", f"The last price was seen on {day_in_words(jump.before.seen_on)}.")
        if jump is not None and last is not None:
            moved = f"{figure_text(abs(jump.moved) * 100, 0)} % {'more' if jump.moved > 0 else 'less'}"
            terms = other_terms(seen, last)
            return in_group("jump", f"{moved} than the last price, seen on {day_in_words(last.seen_on)}{terms}.")
        pieces = pieces_of(material, offer)
        if line.in_pack not in (None, pieces) and material.kind in IN_PACKS:
            return in_group("pack", f"The file sells {line.in_pack} in a pack, the shop's offer holds {pieces}.")
        if match.how == "words":
            return in_group("words")
        return in_group("new" if held is None else "again" if same else "changed")

    def _what(self, offer: Offer, packs: int) -> str:
        material = self.offers.material(offer)
        what = f"{material.name}, {pack_text(material, offer, self.bench.system)}, {offer.seller}"
        return what + (f", from {packs} packs" if packs > 1 else "")

    def _known(self) -> frozenset[PriceSeen]:
        if self._every is None:
            self._every = self.bench.every()
        return self._every


def _told_twice(lines: Sequence[JudgedLine]) -> list[JudgedLine]:
    """Lines that tell a price of one thing for one day: said again where it is the same, doubtful where it is not."""
    told: dict[tuple[str, int, date], list[JudgedLine]] = {}
    for line in lines:
        if line.seen is not None:
            told.setdefault((line.seen.offer, line.seen.from_quantity, line.seen.seen_on), []).append(line)
    changed: dict[int, JudgedLine] = {}
    for alike in told.values():
        if len(alike) == 1:
            continue
        first = alike[0]
        differ = any(line.seen != first.seen for line in alike)
        for line in alike:
            others = ", ".join(one.place for one in alike if one is not line)
            if differ:
                said = f"{line.sentence} {others.capitalize()} tells another price of it.".strip()
                group: Group = "tenfold" if line.group == "tenfold" else "twice"
                changed[line.number] = replace(line, group=group, sentence=said)
            elif line is not first:
                said = f"Told in {first.place} already."
                changed[line.number] = replace(line, group="kept", sentence=said, seen=None)
    return [changed.get(line.number, line) for line in lines]


def _answered(line: JudgedLine, answers: Answers) -> JudgedLine:
    kept = line.seen is not None and line.group not in ("kept", "unreadable", "empty")
    whole = GROUPS[line.group][1] or (line.group in answers.groups and line.group not in ONE_BY_ONE)
    keeps = kept and (whole or line.number in answers.lines) and line.number not in answers.left_out
    return replace(line, keeps=keeps)

