"""Fourteen files of prices of our own making, each as some supplier might send it: every line ends kept, set aside or
named with its reason, and a second file of the same supplier needs no pointing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import uuid4

import pytest

from tests.conftest import TEST_SHOP
from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from tests.harness.workbooks import Cell, workbook
from tests.pages.catalogue.plywood_case import prices_of, today
from webapp.app import create_app
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.prices.judging import Answers, Judged
from webapp.persistence.catalogue.changes import add_material, add_offer, add_supplier
from webapp.persistence.catalogue.records import Supplier
from webapp.persistence.database.database import Database
from webapp.persistence.people.users import add_user
from webapp.persistence.settings.shop import load_shop, open_shop
from webapp.price_import import Sent, known_layout, preview_prices
from webapp.price_shelf import take_down
from webapp.running import utc_now
from webapp.settings import Settings

ADDRESS: Final = "/prices/import"
MM: Final = 10**6
Row = tuple[Sequence[Cell], str]


def mm(**sizes: float) -> dict[str, Fraction]:
    return {name: Fraction(str(size)) * MM for name, size in sizes.items()}


#: What the shop buys: a code that each supplier has, the material, and what one purchase holds.
BOUGHT: Final[Mapping[str, tuple[Material, Mapping[str, Fraction]]]] = {
    "P18": (Material("ply18", "Birch plywood 18 mm", Kind.SHEET, mm(thickness=18)), mm(length=2440, width=1220)),
    "P12": (Material("ply12", "Birch plywood 12 mm", Kind.SHEET, mm(thickness=12)), mm(length=1525, width=1525)),
    "OAK": (Material("oak", "White oak", Kind.BOARD), {**mm(rough_thickness=52), "step": Fraction(1)}),
    "TUB": (
        Material("tube", "Square tube steel", Kind.LENGTH,
                 {**mm(width=40, thickness=40, wall=2), "density": Fraction(7850)}),
        mm(length=6000),
    ),
    "SCR": (Material("screw", "Chipboard screw", Kind.FASTENER, mm(length=40, diameter=4)), {"count": Fraction(200)}),
    "HIN": (Material("hinge", "Cabinet hinge", Kind.PIECE), {"count": Fraction(1)}),
    "GLU": (Material("glue", "Wood glue", Kind.LIQUID), {"litres": Fraction(5)}),
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One supplier's file. A row has its cells and its fate: 'kept CODE AMOUNT', 'GROUP CODE', 'aside' or 'title'.

    `head` are the rows above, `pointed` what somebody has to change of the page's first guess, `second` a price that
    the first row tells in the next file, and what it comes to.
    """

    name: str
    head: Sequence[Sequence[Cell]]
    rows: Sequence[Row]
    made: Callable[[Sequence[Sequence[Cell]]], bytes | str]
    pointed: Mapping[str, str] = field(default_factory=dict)
    price_at: int = -1
    second: tuple[Cell, str] = ("", "")
    said: Sequence[str] = ()


def parted(sign: str, encoding: str) -> Callable[[Sequence[Sequence[Cell]]], bytes]:
    def made(rows: Sequence[Sequence[Cell]]) -> bytes:
        quoted = [
            [f'"{cell}"' if sign == "," and sign in str(cell) else str(cell or "") for cell in row] for row in rows
        ]
        return "\r\n".join(sign.join(row) for row in quoted).encode(encoding)

    return made


def pasted(rows: Sequence[Sequence[Cell]]) -> str:
    """Rows as an e-mail sets them: columns apart by spaces."""
    return "\n".join("   ".join(f"{cell!s:<42}" for cell in row).rstrip() for row in rows)


def in_book(rows: Sequence[Sequence[Cell]]) -> bytes:
    return workbook({"Prices": rows})


#: Sums by hand: 2.44 x 1.22 = 2.9768 m2; 1.525 x 1.525 = 2.325625 m2; a tube of 40 x 40 x 2 weighs 2.3864 kg/m, so that
#: 6 m are 14.3184 kg; a cubic metre holds 423.776 board feet (a board foot is 0.002359737216 m3).
CASES: Final = [
    Case(  # old western Windows, a title, prices by area, by the hundred, by the metre
        "Musterwald",
        [["Holz Musterwald"], ["Liste vom Frühjahr"], [], ["Art.-Nr.", "Bezeichnung", "ME", "Preis"]],
        [
            (["P18", "Sperrholz Birke für Möbel", "m²", "22,40"], "new P18 66.68"),  # 22.40 x 2.9768 = 66.680
            (["SCR", "Spanplattenschraube", "100 Stk", "4,155"], "new SCR 8.31"),  # 4.155 x 2
            (["TUB", "Vierkantrohr", "lfm", "1.005,50"], "new TUB 6033.00"),  # 1005.50 x 6
            (["", "Türen und Zargen", "", ""], "title"),
            (["T-1", "Türblatt weiß", "Stk", "129,00"], "aside"),
        ],
        parted(";", "cp1252"), second=("22,80", "67.87"), said=["Read as Windows, western."],  # 22.80 x 2.9768 = 67.871
    ),
    Case(  # UTF-16 with its mark, spaces between thousands, a currency's sign behind
        "Bois du Lac", [["Référence", "Désignation", "Unité", "Prix net"]],
        [
            (["P12", "Contreplaqué bouleau", "m2", "18,00\u00a0€"], "new P12 41.86"),  # 18 x 2.325625 = 41.861
            (["HIN", "Charnière", "pièce", "1\u00a0204,50\u00a0€"], "new HIN 1204.50"),
            (["GLU", "Colle à bois", "L", "4,20 €"], "new GLU 21.00"),  # 4.20 x 5
        ],
        parted("\t", "utf-16"), pointed={"unit.0.meant": "piece"}, second=("18,20 €", "42.33"),  # 42.326
        said=["Read as UTF-16."],
    ),
    Case(  # old DOS, whole amounts ended by strokes, packs of another count than the shop's
        "Houtzaak", [["Artikelcode", "Omschrijving", "Verpakking", "Prijs"]],
        [
            (["SCR", "Spaanplaatschroef één", "500", "25,-"], "pack SCR 10.00"),  # 25 / 500 x 200
            (["HIN", "Scharnier", "1", "3,--"], "new HIN 3.00"),
            (["X1", "Krukstel ø19", "1", "12,-"], "aside"),
        ],
        parted(";", "cp850"), second=("26,-", "10.40"), said=["Read as DOS, western."],
    ),
    Case(  # old central European Windows
        "Tartak", [["Indeks", "Nazwa", "Jm", "Cena netto"]],
        [
            (["OAK", "Dąb suszony świeży", "m3", "3 600,00"], "new OAK 8.50"),  # 3600 / 423.776 = 8.4951
            (["P18", "Sklejka brzozowa żółta", "szt", "61,00"], "new P18 61.00"),
            (["S1", "Sklejka brzozowa", "paleta", "610,00"], "aside"),
        ],
        parted(";", "cp1250"), pointed={"unit.0.meant": ""}, second=("3 700,00", "8.73"),  # 3700 / 423.776 = 8.7310
        said=["Read as Windows, central European."],
    ),
    Case(  # a byte-order mark, commas, thousands in quotes, with tax
        "Northgate", [["Code", "Description", "Price", "Pack"]],
        [
            (["P18", "Birch ply 18", "1,234.50", ""], "new P18 1234.50"),
            (["SCR", "Screws", "8.40", "200"], "new SCR 8.40"),
            (["GLU", "Glue", "free", ""], "unreadable GLU"),
        ],
        parted(",", "utf-8-sig"), pointed={"with_tax": "yes"}, price_at=2, second=("1,240.00", "1240.00"),
    ),
    Case(  # apostrophes between thousands, a list price less the shop's discount
        "Alpenholz", [["Artikel", "Text", "Bruttopreis"]],
        [
            (["P18", "Birke 18", "1'200.00"], "new P18 1050.00"),  # less 12.5 %
            (["HIN", "Topfband", "4.80"], "new HIN 4.20"),
        ],
        parted(";", "utf-8"), pointed={"discount": "12,5", "column.2": "price"}, second=("1'280.00", "1120.00"),
    ),
    Case(  # a heading of two rows, its groups named once
        "Eisen Krug", [["Artikel", "", "Preis in Euro", ""], ["Nr.", "Text", "je Stück", "je kg"]],
        [
            (["TUB", "Rohr 40x40x2", "", "1,90"], "new TUB 27.20"),  # 1.90 x 14.3184 = 27.205
            (["ZZZ", "Rohr 50x50x2", "", "1,95"], "aside"),
        ],
        parted(";", "utf-8"), pointed={"column.0": "article", "column.1": "words", "column.2": "", "column.3": "price",
                                       "basis": "kg"}, second=("2,00", "28.64"),  # 28.6368
    ),
    Case(  # nobody headed its columns, parted by bars
        "Wordless", [],
        [
            (["HIN", "Hinge", "2.95"], "new HIN 2.95"),
            (["GLU", "Wood glue 5 l", "18.50"], "new GLU 18.50"),
            (["Q", "Something else", "1.00"], "aside"),
        ],
        parted("|", "utf-8"), pointed={"column.0": "article", "column.1": "words", "column.2": "price"},
        second=("3.05", "3.05"),
    ),
    Case(  # a day to come from which each price holds
        "Later & Co", [["Item no", "Description", "Valid from", "Net price"]],
        [
            (["HIN", "Hinge", "DAY", "3.10"], "new HIN 3.10 later"),
            (["GLU", "Glue", "31.02.2027", "19.00"], "unreadable GLU"),
            (["P12", "Ply", "", "44.00"], "new P12 44.00"),
        ],
        parted(";", "utf-8"), second=("3.20", "3.20 later"),
    ),
    Case(  # told twice, with two prices and with one
        "Doublet", [["Code", "Name", "Price"]],
        [
            (["HIN", "Hinge", "3.00"], "twice HIN 3.00"),
            (["HIN", "Hinge again", "3.30"], "twice HIN 3.30"),
            (["GLU", "Glue", "18.00"], "new GLU 18.00"),
            (["GLU", "Glue", "18.00"], "kept GLU"),
            (["Code", "Name", "Price"], "title"),
        ],
        parted(";", "utf-8"),
    ),
    Case(  # a workbook: numbers as such, days, a hidden sheet, one of words
        "Bookish",
        [["Price list"], [], ["Part", "Description", "Unit", "Price"]],
        [
            (["P12", "Birch plywood", "m2", 18.35], "new P12 42.68"),  # 18.35 x 2.325625 = 42.675
            (["SCR", "Screws", "C", 4.2], "new SCR 8.40"),
            ([1234, "Odd thing", "ea", 1], "aside"),
        ],
        lambda rows: workbook(
            {"Read me": [["Welcome to our list"], ["It is long"]], "Old": rows, "Prices": rows}, hidden=["Old"]
        ),
        second=(18.75, "43.61"),  # 43.605
        said=["The sheet “Old” is hidden in the file and was left out.",
              "The sheet “Read me” has no such columns and was left out."],
    ),
    Case(  # a workbook of formulas, with their values and without
        "Formula Forge", [["Art", "Text", "Einheit", "Preis"]],
        [
            (["HIN", "Band", "Stk", ("=B2*1.1", 3.30)], "new HIN 3.30"),
            (["GLU", "Leim", "Stk", ("=B3*1.1", None)], "unreadable GLU"),
        ],
        in_book, pointed={"unit.0.meant": ""}, second=(("=B2*1.2", 3.60), "3.60"),
        said=["The file holds formulas without their values: D3. Save it anew where it was reckoned."],
    ),
    Case(  # a workbook by weight and volume, thousands told by dots in texts
        "Stahl & Eiche", [["Nummer", "Bezeichnung", "Preiseinheit", "Nettopreis"]],
        [
            (["TUB", "Rohr", "100 kg", "1.90,00"], "unreadable TUB"),
            (["OAK", "Eiche", "m³", "3.600,00"], "new OAK 8.50"),
            (["P18", "Birke", "Tafel", 66.5], "new P18 66.50"),
        ],
        in_book, pointed={"column.0": "article"},
    ),
    Case(  # pasted from an e-mail, in words and sizes, without a code
        "By Mail", [["Description", "Price"]],
        [
            (["Birch plywood 2440 x 1220 x 18", "64.00"], "words P18 64.00"),
            (["Birch plywood 1525 x 1525 x 12", "41.00"], "words P12 41.00"),
            (["Chipboard screw 4 x 40", "8.10"], "words SCR 8.10"),
            (["Oak stair tread 900 x 300", "38.00"], "aside"),
        ],
        pasted, second=("65.00", "65.00"),
    ),
]


@pytest.fixture
def shop(settings: Settings, database: Database) -> Visitor:
    """The owner's browser, in a shop that reckons in euros and buys the same seven things from each supplier."""
    with database.writing() as session:
        open_shop(session, replace(TEST_SHOP, currency="EUR", length_system="metric"))
        add_user(session, name="owner", password_hash="none", added_at=utc_now())
        for material, _ in BOUGHT.values():
            add_material(session, material, at=utc_now())
    visitor = Visitor(create_app(settings, database))
    visitor.sign_in()
    return visitor


def sell(visitor: Visitor, case: Case) -> dict[str, str]:
    """The supplier with its offers, by their codes; by mail nobody knows a code."""
    with visitor.program.database.writing() as session:
        add_supplier(session, Supplier("seller", case.name), at=utc_now())
        offers = {}
        for code, (material, size) in BOUGHT.items():
            offers[code] = str(uuid4())
            known = "" if case.name == "By Mail" else code
            add_offer(session, Offer(offers[code], material.code, "seller", size, known), at=utc_now())
    return offers


def told(case: Case, visitor: Visitor, first: Cell = None) -> bytes | str:
    """The file as it is sent; `first` is what its first row tells in place of its price."""
    later = (today(visitor) + timedelta(days=40)).strftime("%d.%m.%Y")
    rows = [[later if cell == "DAY" else cell for cell in row] for row, _ in case.rows]
    if first is not None:
        at = case.price_at if case.price_at >= 0 else len(rows[0]) - 1
        rows[0][at] = first
    return case.made([*case.head, *rows])


def send(visitor: Visitor, content: bytes | str, supplier: str = "") -> str:
    """Where a file leads that is chosen or pasted."""
    if isinstance(content, str):
        answer = visitor.send_form(ADDRESS, {"supplier": supplier, "text": content})
    else:
        answer = visitor.send_form(ADDRESS, {"supplier": supplier}, files={"file": ("list", content)})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def judged(visitor: Visitor, place: str) -> Judged:
    """What the page shows, as data."""
    key = place.removeprefix(f"{ADDRESS}/").partition("?")[0]
    with visitor.program.database.reading() as session:
        file = take_down(visitor.program.settings.data_folder, key)
        supplier, layout = known_layout(session, file.sheets, "seller")
        sent = Sent(file.sheets, layout, supplier, whole=file.whole)
        here = load_shop(session)
        return preview_prices(session, here, sent, today=today(visitor), by="owner", answers=Answers()).judged


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_every_line_ends_somewhere_and_a_second_file_needs_no_pointing(shop: Visitor, case: Case) -> None:
    offers = sell(shop, case)
    names = {BOUGHT[code][0].name: code for code in BOUGHT}
    place = send(shop, told(case, shop), "seller")
    led = shop.get(place)
    assert led.status_code == 303, "a first file is pointed at"
    columns = led.headers["location"]
    fields = {**form_fields(shop.get(columns).text, "point"), **case.pointed}
    pointed = shop.send_form(columns.partition("?")[0], fields)
    if pointed.status_code == 422:
        # The words of units that nobody knows are asked for once the columns are told.
        fields = {**form_fields(pointed.text, "point"), **case.pointed}
        unknown = [name for name in fields if name.endswith(".meant") and not fields[name]]
        assert unknown, pointed.text
        pointed = shop.send_form(columns.partition("?")[0], {**fields, **dict.fromkeys(unknown, "1000 piece")})
    assert pointed.status_code == 303, pointed.text
    place = pointed.headers["location"]
    page, found = shop.get(place).text, judged(shop, place)
    for sentence in case.said:
        assert sentence in page

    fates = [fate for _, fate in case.rows]
    assert len(found.lines) + found.others + found.titles == len(case.rows), "no line is lost"
    assert found.others == fates.count("aside")
    assert found.titles == fates.count("title")
    expected = sorted(tuple(fate.split()[:2]) for fate in fates if fate not in ("aside", "title"))
    told_of = sorted((line.group, names[line.what.split(",")[0]]) for line in found.lines)
    assert told_of == expected, [(line.group, line.what, line.sentence) for line in found.lines]
    assert all(line.sentence or line.reason for line in found.lines), "each says why"
    bought = {fate.split()[1] for fate in fates if fate not in ("aside", "title")}
    assert found.gone == (), "nothing was sold before"

    form = {**form_fields(page, "keep-file"), "group": ["pack", "twice", "words", "jump"]}
    kept = shop.send_form(f"{place.partition('?')[0]}/keep", form)
    assert kept.status_code == 303, kept.text
    for code in bought:
        wanted = [Decimal(fate.split()[2]) for fate in fates if len(fate.split()) > 2 and fate.split()[1] == code]
        assert sorted(seen.amount for seen in prices_of(shop, offers[code])) == sorted(wanted)

    if case.second[1]:
        again = send(shop, told(case, shop, case.second[0]), "seller")
        assert shop.get(again).status_code == 200, "nobody points a second time"
        first = fates[0].split()[1]
        seen = next(one.seen for one in judged(shop, again).lines if one.seen and one.seen.offer == offers[first])
        assert seen.amount == Decimal(case.second[1].split()[0])
        if "later" in case.second[1]:
            assert seen.seen_on == today(shop) + timedelta(days=40)
        assert judged(shop, again).gone == ()
