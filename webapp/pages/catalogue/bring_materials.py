"""A shop's own sheet of materials with their prices brought along: its columns pointed at, each row looked at and put
right, and all kept in one go."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Annotated, Final, cast

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.meant import key_of
from webapp.costing.errors import CostingError
from webapp.costing.measures.manner import DecimalSign
from webapp.costing.prices.file import Telling, ToldLine, read_price_file
from webapp.costing.prices.first_offer import guess_kind, guess_size
from webapp.costing.prices.layout import DECIMALS, STOCK_ROLES, Layout, guessed_stock, pointed_at
from webapp.costing.prices.units import CHOICES, basis_of
from webapp.costing.tables.sheets import Headed, Sheet
from webapp.documents.printing.paper import reader_of
from webapp.pages.catalogue.line_material import NewMaterial, material_of_line
from webapp.pages.catalogue.material_form import LONGEST_NAME, free_code, kind_named
from webapp.pages.web.bringing import SendPage, bring_to_shelf, show_sending
from webapp.pages.web.dependencies import ReadingSession, ShopHere, SignedIn
from webapp.pages.web.pointing import ColumnsShown, columns_pointed, columns_shown
from webapp.pages.web.posting import PostedFields
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file
from webapp.persistence.catalogue.changes import CodeTaken, add_material, add_offer, add_price, add_supplier
from webapp.persistence.catalogue.records import Supplier, list_suppliers
from webapp.persistence.catalogue.stock import codes_and_names
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.people.users import User
from webapp.persistence.settings.shop import Shop
from webapp.price_shelf import take_down
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted

router = PageRouter()

#: Where such a sheet is sent in.
STOCK_IN: Final = "/materials/bring"
#: So many rows are looked at and put right on one page.
MOST_ROWS: Final = 300
#: What a new material's values are said to come from.
SOURCE: Final = "the shop's own sheet"
#: The columns that say what a row is, and all of them.
SAY_WHAT: Final = frozenset({"words", "size", "kind", "tags"})
STOCK: Final = frozenset(role for role, _ in STOCK_ROLES)
NO_PRICE: Final = "It tells no price."
NO_WORDS: Final = "It does not say what it is."
_BRING: Final = "catalogue/bring.html"


#: What is said where it is sent in.
SENDING: Final = SendPage(
    "Bring a sheet of materials along",
    "From the shop's own sheet: a row for each material, with what is asked for it; its size, who sells "
    "it and under which code, where they are known. Each becomes a material with its price.",
    STOCK_IN, "Materials brought along", ("/materials", "Back to the materials"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RowShown:
    """A row that would be a material: what it is taken for, which can be put right, and what stands against it."""

    number: int
    place: str
    name: str
    kind: str
    size: str
    tags: str
    seller: str
    price: str
    problem: str
    leave: bool


@dataclass(frozen=True, slots=True)
class BringPage:
    """The columns of the sheet, what each row would be, and those set aside with their reasons."""

    action: str
    name: str
    said: tuple[str, ...]
    shown: ColumnsShown
    shown_for: str
    fields: Mapping[str, str]
    bases: tuple[tuple[str, str], ...]
    decimals: tuple[tuple[str, str], ...]
    sellers: tuple[tuple[str, str], ...]
    kinds: tuple[tuple[str, str], ...]
    ways: tuple[tuple[str, str], ...]
    problem: str
    keeps: str
    wrong: str
    rows: tuple[RowShown, ...]
    aside: tuple[tuple[str, str, str], ...]
    aside_count: str


@dataclass(frozen=True, slots=True)
class RowRead:
    """A row as it would be kept, or what stands against it; `seller` is whoever sells it, new where it has no code."""

    line: ToldLine
    name: str
    kind: Kind
    size: str
    tags: str
    seller: Supplier | None
    new: NewMaterial | None
    problem: str
    leave: bool


@router.get(STOCK_IN)
def show_bring(request: Request) -> Response:
    """Where a sheet is sent in."""
    return show_sending(request, SENDING)


@router.post(STOCK_IN)
def send_in(
    request: Request, session: ReadingSession, posted: PostedFields,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Keep what was sent beside the store and lead to its columns."""
    return bring_to_shelf(request, session, SENDING, dict(posted).get("text", ""), sent, "sheet of materials")


@router.get(f"{STOCK_IN}/{{key}}")
def show_columns(request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, key: str) -> Response:
    """The columns as their headings say, and what each row would be."""
    return _Bench(request, session, shop, user, key, {}).page()


@router.post(f"{STOCK_IN}/{{key}}")
def point(
    request: Request, session: ReadingSession, shop: ShopHere, user: SignedIn, key: str, posted: PostedFields
) -> Response:
    """Show what the rows would be as they are pointed at and put right now, or keep those that can be."""
    fields = dict(posted)
    bench = _Bench(request, session, shop, user, key, fields)
    ready = [row for row in bench.rows if row.new is not None and not row.leave]
    if fields.get("act") != "keep" or not ready or not bench.looked_at:
        return bench.page(asked=fields.get("act") == "keep")
    at = running(request).now()

    def keep(writing: Session) -> Response:
        for seller in bench.new_sellers(ready):
            add_supplier(writing, seller, at=at, by=user.id)
        for row in ready:
            assert row.new is not None
            add_material(writing, row.new.material, at=at, by=user.id)
            add_offer(writing, row.new.offer, at=at, by=user.id)
            add_price(writing, row.new.seen, at=at, by=user.id)
        return RedirectResponse(f"/materials?sort=newest&brought={len(ready)}", 303)

    try:
        return in_one_write(request, keep)
    except CodeTaken as refused:
        return bench.page(meanwhile=f"{refused} Nothing was kept; keep the rows once more.")


class _Bench:
    """A sheet of materials with all that was told of it so far; `fields` is empty before anybody told anything."""

    def __init__(
        self, request: Request, session: Session, shop: Shop, user: User, key: str, fields: Mapping[str, str]
    ) -> None:  # fmt: skip
        self.request, self.shop, self.user, self.key, self.fields = request, shop, user, key, fields
        self.file = take_down(running(request).settings.data_folder, key)
        self.sheet, self.columns, self.headed = self._table()
        #: The rows as they were looked at before this was told.
        self.looked_at = fields.get("shown_for", "").partition("#")[2] == shown_for(self.columns, STOCK)
        self.same_words = fields.get("shown_for", "").partition("#")[0] == shown_for(self.columns, SAY_WHAT)
        known = list_suppliers(session)
        self.known = frozenset(one.code for one in known)
        self.sellers = {key_of(word): one for one in known for word in (one.code, one.name)}
        self.codes, self.names = codes_and_names(session)
        self.problem = ""
        self.rows: tuple[RowRead, ...] = ()
        self.aside: tuple[ToldLine, ...] = ()
        try:
            layout = pointed_at(self.headed, self.columns, self._told(), STOCK_ROLES)
            today = shop.today(running(request).now())
            read = read_price_file(
                (self.sheet,), layout, Telling(shop.currency, shop.currency_places, today), pointed=True
            )
        except CostingError as refused:
            self.problem = str(refused)
            return
        self.aside = tuple(line for line in read.lines if line.note or not line.words)
        lines = [line for line in read.lines if not line.note and line.words]
        if len(lines) > MOST_ROWS:
            self.problem = f"The sheet has {len(lines)} rows; at most {MOST_ROWS} fit on a page. Part it in two."
            return
        self.rows = tuple(self._read(lines))

    def _table(self) -> tuple[Sheet, tuple[str, ...], Headed]:
        """The first sheet in sight, its columns as they are pointed at, or as their headings say."""
        sheet = next(one for one in self.file.sheets if one.rows)
        columns, headed = guessed_stock(sheet)
        return sheet, columns_pointed(headed, self.fields) if self.fields else columns, headed

    def _told(self) -> Layout:
        """What holds for all of its prices."""
        decimal = self.fields.get("decimal", "")
        return Layout(
            (), (), basis_of(self.fields.get("basis", "")), self.fields.get("with_tax") == "yes", False,
            decimal=cast(DecimalSign, decimal) if decimal in (".", ",") else None,
        )  # fmt: skip

    def _read(self, lines: list[ToldLine]) -> Iterator[RowRead]:
        """Each row as it would be kept. A name that is there already, or stood further up, is no further material."""
        codes, names = set(self.codes), set(self.names)
        for line in lines:
            row = self._row(line)
            problem = row.problem or self._stands_against(row, names)
            new = None
            if not problem and row.seller is not None:
                code = free_code(row.name, codes, "material")
                try:
                    new = material_of_line(
                        line, row.kind, row.size, row.name, code, row.seller.code, self.shop, self.user.name, SOURCE,
                        row.tags,
                    )  # fmt: skip
                except CostingError as refused:
                    problem = str(refused)
            if new is not None and not row.leave:
                codes.add(new.material.code)
                names.add(key_of(row.name))
            yield replace(row, new=new, problem=problem)

    def _row(self, line: ToldLine) -> RowRead:
        # What was put right in a row was so for the columns that said then what it is.
        told = self.fields if self.same_words else {}
        typed, number = told.get(f"kind.{line.number}", ""), line.number
        named = kind_named(line.kind) if line.kind else None
        kind = next((one for one in Kind if one.value == typed), named or guess_kind(line))
        size = one_line(told.get(f"size.{number}", guess_size(line, kind, self.shop.length_system)))[:LONGEST_NAME]
        name = one_line(told.get(f"name.{number}", line.words))
        tags = one_line(told.get(f"tags.{number}", line.tags))[:LONGEST_NAME]
        problem = line.problem
        if line.kind and named is None and not typed:
            problem = f"“{line.kind[:40]}” is none of {', '.join(KINDS)}; choose what it is."
        leave = bool(self.fields.get(f"leave.{number}"))
        return RowRead(line, name, kind, size, tags, self._seller(line), None, problem, leave)

    def _seller(self, line: ToldLine) -> Supplier | None:
        """Whoever sells a row: as its column says, else as is said for all. One that nobody knows yet is new."""
        said = line.supplier or self.fields.get("sold_by", "")
        if not said:
            return None
        found = self.sellers.get(key_of(said))
        if found is None:
            name = said[:LONGEST_NAME]
            found = Supplier(free_code(name, {one.code for one in self.sellers.values()}, "supplier"), name)
            self.sellers[key_of(said)] = found
        return found

    def _stands_against(self, row: RowRead, names: set[str]) -> str:
        if not row.name:
            return "It needs a name."
        if len(row.name) > LONGEST_NAME:
            return f"The name has {len(row.name)} characters; at most {LONGEST_NAME} are kept."
        if key_of(row.name) in names:
            return "There is a material of this name already; its price comes with a file of prices, or on its sheet."
        if row.seller is None:
            return "It does not say who sells it: point at the column that does, or choose whoever sells the rest."
        return ""

    def new_sellers(self, rows: list[RowRead]) -> Iterator[Supplier]:
        """The suppliers of rows that the shop doesn't know yet, each once."""
        sellers = {row.seller.code: row.seller for row in rows if row.seller is not None}
        return (one for code, one in sellers.items() if code not in self.known)

    def page(self, *, asked: bool = False, meanwhile: str = "") -> Response:
        """The page as things stand."""
        reader = reader_of(self.shop)
        ready = sum(row.new is not None and not row.leave for row in self.rows)
        wrong = sum(bool(row.problem) and not row.leave for row in self.rows)
        problem = meanwhile or self.problem or ("No row can be kept as it stands." if asked and not ready else "")
        if asked and ready and not self.looked_at:
            problem = "What stands in a column was changed. Look at the rows as they are now, then keep them."
        rows = tuple(
            RowShown(
                row.line.number, row.line.place, row.name, row.kind.value, row.size, row.tags,
                row.seller.name if row.seller else "", _price(row.line, reader), row.problem, row.leave,
            )
            for row in self.rows
        )  # fmt: skip
        told = {"basis": "sold", "with_tax": "no", "decimal": "", "sold_by": "", **self.fields}
        sellers = {one.name: one.name for one in self.sellers.values()}
        looked_at = f"{shown_for(self.columns, SAY_WHAT)}#{shown_for(self.columns, STOCK)}"
        page = BringPage(
            f"{STOCK_IN}/{self.key}", self.file.name, self.file.said,
            columns_shown(self.headed, self.columns, STOCK_ROLES), looked_at, told, CHOICES, DECIMALS,
            (("", "as its column says"), *sorted(sellers.items(), key=lambda one: one[1].casefold())),
            tuple((one.value, KINDS[one].singular) for one in Kind),
            tuple((KINDS[one].singular, KINDS[one].typed_as) for one in Kind), problem,
            counted(ready, "material") if ready else "", counted(wrong, "row") if wrong else "", rows,
            tuple((line.place, line.text, NO_PRICE if line.words else NO_WORDS) for line in self.aside),
            counted(len(self.aside), "row") if self.aside else "",
        )  # fmt: skip
        return render(self.request, _BRING, page, 422 if problem else 200)


def shown_for(columns: Sequence[str], roles: Collection[str]) -> str:
    """Which columns are pointed at as any of these, in a word."""
    return "|".join(role if role in roles else "" for role in columns)


def _price(line: ToldLine, reader: Reader) -> str:
    """What a row asks, and for what."""
    return "" if line.net is None else f"{reader.amount(Fraction(line.net))} {line.basis.words}".rstrip()
