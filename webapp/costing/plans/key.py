"""The names of cut plans in a book: a digest of what was asked, so that an unchanged take-off never cuts twice."""

from __future__ import annotations

import hashlib
import json
from dataclasses import astuple, fields, replace
from fractions import Fraction
from typing import Final

from webapp.costing.cutting.ask.model import LengthRequest, LengthStock, PriceBreak, SheetRequest, SheetStock

#: Raised when the method gives other plans for the same request, so that old plans are not taken for new ones.
METHOD: Final = 6


def plan_key(request: SheetRequest | LengthRequest, steps: int, seed: int) -> str:
    """SHA-256 over everything asked, stocks, prices and pieces in their order, the steps and the seed."""
    stocks = ";".join(",".join(map(str, _told(stock))) for stock in request.stocks)
    pieces = ";".join(",".join(str(value) for value in astuple(piece)) for piece in request.pieces)
    asked = {one.name: getattr(request, one.name) for one in fields(request) if one.name not in ("stocks", "pieces")}
    if asked.get("sawing", "") is None:
        del asked["sawing"]
    rest = "|".join(map(str, asked.values()))
    text = f"{METHOD}|{type(request).__name__}|{rest}|{stocks}|{pieces}|{steps}|{seed}"
    return hashlib.sha256(text.encode()).hexdigest()


def _told(stock: SheetStock | LengthStock) -> tuple[object, ...]:
    """Without price breaks or packs a question goes by the name it had before there were any."""
    *told, breaks, pack = astuple(stock)
    return (*told, breaks, pack) if stock.pack > 1 else (*told, breaks) if stock.breaks else tuple(told)


def pieces_key(request: SheetRequest | LengthRequest) -> str:
    """SHA-256 over the pieces alone, whatever stock they are cut from at whatever price."""
    pieces = ";".join(",".join(str(value) for value in astuple(piece)) for piece in request.pieces)
    return hashlib.sha256(f"{type(request).__name__}|{pieces}".encode()).hexdigest()


def shape_key(request: SheetRequest | LengthRequest) -> str:
    """SHA-256 over all that is asked but money: at whatever prices the stock is sold, and the saw's work is charged."""
    shape: SheetRequest | LengthRequest
    if isinstance(request, SheetRequest):
        stocks = tuple(replace(one, price=Fraction(0), breaks=_unpriced(one)) for one in request.stocks)
        shape = replace(request, stocks=stocks, sawing=None)
    else:
        lengths = tuple(replace(one, price=Fraction(0), breaks=_unpriced(one)) for one in request.stocks)
        shape = replace(request, stocks=lengths)
    return plan_key(shape, 0, 0)


def _unpriced(stock: SheetStock | LengthStock) -> tuple[PriceBreak, ...]:
    return tuple((least, Fraction(0)) for least, _ in stock.breaks)


#: Prices of one by the stock's name, each from its number on.
PricesAsked = dict[str, tuple[PriceBreak, ...]]


def prices_asked(request: SheetRequest | LengthRequest) -> PricesAsked:
    """The prices that a question is asked at."""
    return {stock.id: stock.breaks or ((1, stock.price),) for stock in request.stocks}


def write_prices(prices: PricesAsked) -> dict[str, list[list[str]]]:
    """Prices of a question as a plain document."""
    return {stock: [[str(least), str(price)] for least, price in breaks] for stock, breaks in prices.items()}


def read_prices(document: dict[str, list[list[str]]]) -> PricesAsked:
    """Prices of a question from their document."""
    return {
        stock: tuple((int(least), Fraction(price)) for least, price in breaks) for stock, breaks in document.items()
    }


#: What a book may hold beside the answers to its questions, by how its name begins.
FROZEN: Final = "frozen for "
FIRST: Final = "first for "
EARLIER: Final = "earlier for "
OTHERWISE_PRICED: Final = "otherwise priced for "


def frozen_for(material: str) -> str:
    """The name of a plan that an issued quote keeps for a material: no price and no method has a part in it."""
    return FROZEN + material


def first_for(key: str) -> str:
    """The name of the plan that follows from a question alone, whatever was found earlier or later."""
    return FIRST + key


def earlier_for(request: SheetRequest | LengthRequest) -> str:
    """The name of the last plan that was kept of these pieces on stock that is still offered, at whatever prices."""
    return " ".join((EARLIER + pieces_key(request), *(stock.id for stock in request.stocks)))


def otherwise_priced_for(request: SheetRequest | LengthRequest, key: str) -> str:
    """The name of the plan that was kept last of the same question at other prices, as far as it holds at these."""
    prices = json.dumps(write_prices(prices_asked(request)), separators=(",", ":"))
    return f"{OTHERWISE_PRICED}{shape_key(request)} {key} {prices}"


def asked_by(name: str) -> tuple[str, str, PricesAsked]:
    """The question without its prices, its own key, and its prices, of a plan's name that was made so."""
    shape, key, prices = name.removeprefix(OTHERWISE_PRICED).split(" ", 2)
    return shape, key, read_prices(json.loads(prices))
