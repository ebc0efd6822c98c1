"""A file of prices held against the store: every line changed, unchanged, new or refused; kept all at once."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Final, Literal
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.catalogue.materials import Catalogue, CurrentPrice, Material, Offer, PriceSeen, current_price
from webapp.costing.measures.manner import pointed
from webapp.costing.measures.written import figure_text
from webapp.costing.prices.file import (
    COLUMNS,
    PriceFile,
    PriceFileRefused,
    PriceLine,
    is_pack,
    pack_text,
    read_price_file,
    safe_cell,
)
from webapp.costing.prices.stated_price import find_jump, other_terms
from webapp.persistence.catalogue.price_files import add_prices, every_price, last_price, priced_since, unsigned
from webapp.persistence.catalogue.records import list_suppliers, load_catalogue
from webapp.persistence.foundation.errors import StoreError
from webapp.persistence.foundation.turns import take_turn
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import Shop

State = Literal["changed", "unchanged", "new", "refused"]
#: In this order they are shown: what needs somebody's eye stands first.
STATES: Final[tuple[State, ...]] = ("refused", "changed", "new", "unchanged")
WHERE: Final = "price file"


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said of lines that ask: all jumps are right, and the lines that are right by their numbers.

    `since` is the place of the last price when the preview was made: what came after it was typed meanwhile.
    """

    jumps: bool = False
    lines: frozenset[int] = frozenset()
    since: int | None = None


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """A line and what would become of it. `asks` says what has to be confirmed; `keeps` is the price to be kept."""

    number: int
    state: State
    what: str
    before: Decimal | None
    after: Decimal | None
    sentence: str
    asks: Literal["", "jump", "tenfold"] = ""
    meanwhile: bool = False
    keeps: PriceSeen | None = None


@dataclass(frozen=True, slots=True)
class Preview:
    """Every line of the file, those that need somebody's eye first; `last` is the place to tell later prices by."""

    lines: tuple[JudgedLine, ...]
    unused: tuple[str, ...]
    last: int

    @property
    def counts(self) -> Mapping[str, int]:
        """How many lines there are of each state."""
        found = Counter(line.state for line in self.lines)
        return {state: found[state] for state in STATES}

    @property
    def keeps(self) -> tuple[PriceSeen, ...]:
        """The prices that would be kept."""
        return tuple(line.keeps for line in sorted(self.lines, key=lambda one: one.number) if line.keeps is not None)

    @property
    def meanwhile(self) -> tuple[JudgedLine, ...]:
        """The lines whose price was typed since the preview that was answered."""
        return tuple(line for line in self.lines if line.meanwhile)


class _Judge:
    """Holds lines against the catalogue of today."""

    def __init__(self, session: Session, shop: Shop, today: date, by: str, answers: Answers, supplier: str) -> None:
        self.session, self.shop, self.today, self.by, self.answers, self.supplier = (
            session, shop, today, by, answers, supplier,
        )  # fmt: skip
        self.catalogue: Catalogue = load_catalogue(session, today)
        self.rates = current_rates(session)
        self.suppliers = {one.code.casefold(): one.code for one in list_suppliers(session)}
        self.articles: dict[str, list[Offer]] = {}
        for code in self.catalogue.offers:
            for offer in self.catalogue.offers_of(code):
                self.articles.setdefault(offer.supplier_code.casefold(), []).append(offer)
        self.since = frozenset() if answers.since is None else priced_since(session, answers.since)
        self.told: dict[tuple[str, int, date], int] = {}
        self._every: frozenset[PriceSeen] | None = None
        if supplier and supplier.casefold() not in self.suppliers:
            raise PriceFileRefused(f"There is no supplier under the code {supplier}. {self._known_suppliers()}")

    def judge(self, line: PriceLine) -> JudgedLine:
        """What becomes of a line."""
        if line.problem:
            return self._refused(line, line.problem)
        offer, problem = self._offer(line)
        if offer is None:
            return self._refused(line, problem)
        material = self.catalogue.materials[offer.material]
        what = f"{material.name}, {pack_text(material, offer, self.shop.length_system)}, {offer.seller}"
        price, told = current_price(self.catalogue, offer.id), line.price
        packs = told.from_packs if told is not None else 1
        what += f", from {packs} packs" if packs > 1 else ""
        held = next((one for one in price.breaks if one.from_quantity == packs), None) if price else None
        if told is None:
            stands = held.amount if held else None
            return JudgedLine(line.number, "unchanged", what, stands, stands, "No price is typed.")
        seen = told.seen(offer.id, self.shop.currency, WHERE, self.by, price)
        earlier = self.told.setdefault((offer.id, packs, seen.seen_on), line.number)
        if earlier != line.number:
            return self._refused(line, f"Line {earlier} gives a price for the same offer and day already.", what)
        return self._held_against(line, what, seen, held, price)

    def _held_against(
        self, line: PriceLine, what: str, seen: PriceSeen, held: PriceSeen | None, price: CurrentPrice | None
    ) -> JudgedLine:
        meanwhile = (seen.offer, seen.from_quantity) in self.since
        said = "A price of it was typed since this preview was made. " if meanwhile else ""
        before = held.amount if held is not None else None
        state: State = "new" if held is None else "changed"
        judged = JudgedLine(line.number, "unchanged", what, before, seen.amount, said.strip(), "", meanwhile)
        if held is not None and seen.seen_on < held.seen_on:
            known = unsigned(seen) in self._every_price()
            said += f"The price seen on {held.seen_on} is later and stays in use"
            said += "; this one is kept already." if known else "; this one is kept beside it."
            return replace(judged, after=held.amount, sentence=said, keeps=None if known else seen)
        if held is not None and (seen.amount, seen.with_tax, seen.delivered) == (
            held.amount, held.with_tax, held.delivered,
        ):  # fmt: skip
            if seen.seen_on == held.seen_on:
                return replace(judged, sentence=f"{said}Kept already.")
            return replace(judged, sentence=f"{said}Seen again on {seen.seen_on}, so it is fresh.", keeps=seen)
        jump = find_jump(seen, price, self.rates["price_jump"], self.rates["purchase_tax"])
        if jump is None:
            return replace(judged, state=state, keeps=seen)
        confirmed, last = line.number in self.answers.lines, jump.before
        if jump.sort == "tenfold":
            words = "ten times the last price or more" if jump.moved > 0 else "a tenth of the last price or less"
            now, then = (pointed(_plain(one.amount)) for one in (seen, last))
            said += f"{now} is {words} ({then}, seen on {last.seen_on}): "
            if not confirmed:
                said += "refused unless it is ticked."
                return replace(judged, state="refused", sentence=said, asks="tenfold")
            return replace(judged, state=state, sentence=f"{said}ticked as right.", asks="tenfold", keeps=seen)
        confirmed = confirmed or self.answers.jumps
        moved = f"{figure_text(abs(jump.moved) * 100, 0)} % {'more' if jump.moved > 0 else 'less'}"
        said += f"{moved} than the last price, seen on {last.seen_on}{other_terms(seen, last)}: "
        said += "confirmed." if confirmed else "to be confirmed."
        return replace(judged, state=state, sentence=said, asks="jump", keeps=seen if confirmed else None)

    def _offer(self, line: PriceLine) -> tuple[Offer | None, str]:
        """The one offer a line is about, or why it isn't plain."""
        if line.material:
            material = self.catalogue.materials.get(line.material)
            if material is None:
                return None, f"There is no material under the code “{line.material}”."
            found, words = list(self.catalogue.offers_of(line.material)), material.name
            if line.article:
                found = [one for one in found if one.supplier_code.casefold() == line.article.casefold()]
                words += f" as article “{line.article}”"
        elif line.article:
            found, words = self.articles.get(line.article.casefold(), []), f"The article “{line.article}”"
        else:
            return None, "It names neither a material nor an article."
        wanted = line.supplier or self.supplier
        if wanted:
            code = self.suppliers.get(wanted.casefold())
            if code is None:
                return None, f"There is no supplier under the code “{wanted}”. {self._known_suppliers()}"
            found, words = [one for one in found if one.supplier == code], f"{words} from {code}"
        if not found:
            return None, f"{words} is not on offer. Add the offer first."
        if line.pack:
            fitting = [one for one in found if self._fits(line.pack, one)]
            if not fitting:
                return None, f"{words} is not on offer as “{line.pack}”; it is as {self._packs(found)}."
            found = fitting
        if len(found) > 1:
            return None, f"{words} is on offer in several ways; say which: {self._packs(found)}."
        return found[0], ""

    def _fits(self, pack: str, offer: Offer) -> bool:
        return is_pack(pack, self._material(offer), offer, self.shop.length_system)

    def _packs(self, offers: list[Offer]) -> str:
        return "; ".join(
            f"{pack_text(self._material(one), one, self.shop.length_system)} from {one.supplier}" for one in offers[:6]
        )

    def _material(self, offer: Offer) -> Material:
        return self.catalogue.materials[offer.material]

    def _known_suppliers(self) -> str:
        return f"Known are: {', '.join(sorted(self.suppliers.values())[:12])}." if self.suppliers else ""

    def _every_price(self) -> frozenset[PriceSeen]:
        if self._every is None:
            self._every = every_price(self.session)
        return self._every

    def _refused(self, line: PriceLine, sentence: str, what: str = "") -> JudgedLine:
        return JudgedLine(
            line.number, "refused", what or line.named, None, line.price.amount if line.price else None, sentence
        )


def preview_prices(
    session: Session, shop: Shop, text: str, *, today: date, by: str, answers: Answers | None = None,
    supplier: str = "",
) -> Preview:  # fmt: skip
    """What would become of every line of a file's text. Raises PriceFileRefused for a file that can't be read."""
    file: PriceFile = read_price_file(text, shop.currency, shop.currency_places, today)
    judge = _Judge(session, shop, today, by, answers or Answers(), supplier)
    lines = sorted(map(judge.judge, file.lines), key=_needs_an_eye)
    return Preview(tuple(lines), file.unused, last_price(session))


def _needs_an_eye(line: JudgedLine) -> tuple[int, int, int]:
    return (STATES.index(line.state), 0 if line.asks and line.keeps is None else 1, line.number)


class PricesMoved(StoreError):
    """Prices were kept since a file was held against the store; nothing of it was kept."""

    def __init__(self) -> None:
        super().__init__("Prices were kept by somebody while the file was read. Nothing of it was kept; send it again.")


def keep_prices(session: Session, preview: Preview, name: str, *, at: datetime, by: UUID | None = None) -> int:
    """Keep what a preview keeps, in the session's transaction, and say how many prices that was.

    Files take turns. Raises PricesMoved where any price was kept since the preview was made: then it has to be made
    anew.
    """
    take_turn(session, "prices")
    if last_price(session) != preview.last:
        raise PricesMoved
    kept = preview.keeps
    add_prices(session, kept, {"file": name, "lines": len(preview.lines)}, at=at, by=by)
    return len(kept)


def export_prices(session: Session, shop: Shop, today: date) -> str:
    """Everything on offer with the prices of today, as a file that can be filled in and taken back."""
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\r\n")
    table.writerow(["name", *COLUMNS])
    catalogue = load_catalogue(session, today)
    for row in _offered(catalogue, shop):
        table.writerow([safe_cell(text) for text in row])
    return written.getvalue()


def _offered(catalogue: Catalogue, shop: Shop) -> Iterator[Collection[str]]:
    for material in sorted(catalogue.materials.values(), key=lambda one: one.code):
        for offer in catalogue.offers_of(material.code) if not material.retired else ():
            pack = pack_text(material, offer, shop.length_system)
            first = (material.name, material.code, offer.supplier_code, offer.supplier, pack)
            price = current_price(catalogue, offer.id)
            for seen in price.breaks if price is not None else ():
                yield (
                    *first, str(seen.from_quantity), _plain(seen.amount), seen.currency,
                    seen.seen_on.isoformat(), _yes(seen.with_tax), _yes(seen.delivered),
                )  # fmt: skip
            if price is None:
                yield (*first, "1", "", shop.currency, "", "", "")


def _plain(amount: Decimal) -> str:
    """An amount without the noughts it is kept with."""
    return f"{amount.normalize():f}"


def _yes(held: bool) -> str:
    return "yes" if held else "no"


def example_file(currency: str, today: date) -> str:
    """A small file that shows every column."""
    return (
        f"{','.join(COLUMNS)}\r\n"
        f"birch_plywood_18,,north_yard,2440 mm x 1220 mm,1,64.90,{currency},{today.isoformat()},no,yes\r\n"
        f",SC-4050,fixings,,10,8.40,{currency},{today.isoformat()},yes,no\r\n"
    )
