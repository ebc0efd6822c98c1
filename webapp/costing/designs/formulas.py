"""Formulas of a design: which functions they may use, and whether their sums make sense as lengths, areas and numbers.

A dimension is a pair of whole exponents, of length and of mass: (1, 0) is a length, (2, 0) an area, (0, 0) a number.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from fractions import Fraction
from functools import lru_cache
from typing import Final

from webapp.costing.designs.model import Value
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import CONDITIONS, Expression, read_expression, written
from webapp.costing.ledger.functions import RULES
from webapp.costing.ledger.measures_within import KNOWN_QUANTITIES, put_numbers
from webapp.costing.measures.quantities import System, a_quantity
from webapp.costing.measures.typed_text import quoted
from webapp.costing.measures.written import parse_measure

Dimension = tuple[int, int]

NUMBER: Final[Dimension] = (0, 0)
LENGTH: Final[Dimension] = (1, 0)
AREA: Final[Dimension] = (2, 0)
VOLUME: Final[Dimension] = (3, 0)
MASS: Final[Dimension] = (0, 1)

#: The functions that formulas had from the first; a name in a design of form 1 may be any of the later ones.
FIRST_FUNCTIONS: Final = ("least", "greatest", "whole_up", "whole_down")
#: What a design's formulas may call beside `if`. Those of several values take one or more, the others one.
FUNCTIONS: Final[Mapping[str, Callable[..., Fraction]]] = {
    name: RULES[name] for name in (*FIRST_FUNCTIONS, "whole", "root", "sin", "cos", "tan", "odd", "even")
}
_OF_SEVERAL: Final = ("least", "greatest")

#: What a measure in a formula is, by its quantity.
DIMENSION_OF_QUANTITY: Final[Mapping[str, Dimension]] = {
    "length": LENGTH, "area": AREA, "mass": MASS, "percent": NUMBER, "number": NUMBER,
}  # fmt: skip

_WORDS: Final[Mapping[Dimension, str]] = {
    NUMBER: "a plain number", LENGTH: "a length", AREA: "an area", VOLUME: "a volume", MASS: "a weight",
}  # fmt: skip
_UNITS: Final[Mapping[Dimension, str]] = {NUMBER: "", LENGTH: "nm", AREA: "nm2", VOLUME: "nm3", MASS: "kg"}
_HIGHEST_POWER: Final = 6

#: What the shop measures to, as formulas name it; the underscore at its end keeps it apart from the names of a design.
MEASURING_STEP: Final = "measuring_step_"
#: How a whole number of lengths is judged by half of that: so much less to be filled, or so much more room.
_JUDGED: Final[Mapping[str, str]] = {"whole_up": "-", "whole_down": "+"}

_SIGNS: Final[Mapping[type[ast.AST], str]] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "x", ast.Div: "/",
    ast.Lt: "is less than", ast.LtE: "is at most", ast.Gt: "is more than", ast.GtE: "is at least", ast.Eq: "is",
}  # fmt: skip
_COMPARED: Final[Mapping[type[ast.AST], str]] = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "=",
}  # fmt: skip
_CALLS_SAID: Final[Mapping[str, str]] = {
    "least": "the least of", "greatest": "the greatest of", "whole_up": "rounded up", "whole_down": "rounded down",
    "whole": "to the nearest whole number", "root": "the root of", "sin": "the sine of", "cos": "the cosine of",
    "tan": "the tangent of",
}  # fmt: skip
#: What a function of one number is given, in the sentence that refuses anything else.
_GIVEN: Final[Mapping[str, str]] = {
    **dict.fromkeys(("whole_up", "whole_down", "whole"), "can't be made whole; divide it by another first"),
    **dict.fromkeys(("sin", "cos", "tan"), "is no angle; a plain number of degrees is needed"),
    **dict.fromkeys(("odd", "even"), "is neither odd nor even; divide it by another first"),
}
_DASH_WITHIN: Final = re.compile(r"[A-Za-z'\"] ?- ?[0-9.¼½¾⅐-⅞]")
_VERBS: Final[Mapping[type[ast.AST], str]] = {ast.Add: "added", ast.Sub: "subtracted"}


class _Zero:
    """A bare 0, which stands for nothing of any kind: 0 + a length makes sense."""


_ZERO: Final = _Zero()
_Found = Dimension | _Zero | None


def read_formula(text: str, *, comparisons: bool = False) -> Expression:
    """Read a formula of a design; raises FormulaError for anything that isn't one, an unknown function included."""
    expression = read_expression(text, comparisons=comparisons)
    for called in expression.calls:
        if called not in FUNCTIONS:
            known = ", ".join((*FUNCTIONS, "if"))
            raise FormulaError("", f"The formula '{text}' uses '{called}', which is none of the functions {known}.")
    if comparisons and not isinstance(expression.tree, ast.Compare):
        raise FormulaError("", f"The formula '{text}' compares nothing: write a rule with <, <=, > or >=.")
    return expression


def split_pair(text: str) -> dict[System, str] | None:
    """The two sides of a text such as '200 mm | 8 in': metric first, then inch; None for a text that is no pair.

    Raises FormulaError where a side is missing, there are more than two, or both stand the wrong way round.

    >>> split_pair("200 mm | 8 in")
    {'metric': '200 mm', 'inch': '8 in'}
    """
    if "|" not in text:
        return None
    parts = [part.strip() for part in text.split("|")]
    if len(parts) != 2 or not all(parts):
        raise FormulaError("", f"'{text[:80]}' is no pair: one text for metric shops, | and one for inches are needed.")
    metric, inch = parts
    if _systems(metric) == {"inch"} and _systems(inch) == {"metric"}:
        raise FormulaError("", f"'{text[:80]}' stands the wrong way round: the metric side comes first.")
    return {"metric": metric, "inch": inch}


def pair_value(
    path: str,
    sides: Mapping[System, str],
    read: Mapping[System, tuple[Expression, Dimension | None]],
    taken: Collection[str],
) -> Value:
    """The value that stands for a pair in a field, under a name made from the field's path that ends in an underscore.

    `read` are the sides as formulas with their dimensions. Raises FormulaError where those differ.
    """
    known = {dimension: system for system, (_, dimension) in read.items() if dimension is not None}
    if len(known) > 1:
        said = ", ".join(f"{dimension_words(dimension)} for {system}" for dimension, system in known.items())
        raise FormulaError("", f"'{' | '.join(sides.values())}' is {said}; it has to be of one sort.")
    section, _, rest = path.partition(".")
    name = f"{rest}_".replace(".", "_")
    if section == "closes" or name in (*taken, MEASURING_STEP):
        name = f"{section}_{name}"
    return Value(name, {system: expression for system, (expression, _) in read.items()}, next(iter(known), NUMBER))


def _systems(text: str) -> set[System]:
    """The length systems whose units a text names; none where it can't be read, which is said later."""
    with suppress(FormulaError):
        return {one.system for one in put_numbers(text)[1].values() if one.system is not None}
    return set()


def read_measure(text: str, *, may_dash: bool = False) -> tuple[Expression, Dimension]:
    """A text that is one measure, as the formula of one number in nm, nm2 or kg, and its dimension.

    A dash after a unit makes one measure of two here, and a difference in a formula: `may_dash` lets it pass, as the
    first form did. Raises MeasureError for anything else, FormulaError for a measure that formulas don't know.
    """
    value, quantity = parse_measure(text)
    if quantity not in KNOWN_QUANTITIES:
        raise FormulaError(
            "", f"{quoted(text)} is {a_quantity(quantity)}; formulas know lengths, areas, weights and numbers."
        )
    if _DASH_WITHIN.search(text) and not may_dash:
        raise FormulaError(
            "", f"{quoted(text)} is unclear: leave the dash out, or name one of the two for a difference."
        )
    return read_formula(str(value * KNOWN_QUANTITIES[quantity])), DIMENSION_OF_QUANTITY[quantity]


def dimension_words(dimension: Dimension) -> str:
    """A dimension in trade words: 'a length', 'an area', 'a plain number'."""
    known = _WORDS.get(dimension)
    if known is not None:
        return known
    length, mass = dimension
    powers = [f"{word} to the power {power}" for word, power in (("length", length), ("weight", mass)) if power]
    return " times ".join(powers)


def unit_of(dimension: Dimension) -> str:
    """The unit in which a value of this dimension is kept: 'nm', 'nm2', 'kg' or '' for a number."""
    known = _UNITS.get(dimension)
    if known is not None:
        return known
    length, mass = dimension
    return " ".join(f"{unit}^{power}" for unit, power in (("nm", length), ("kg", mass)) if power)


def find_dimension(expression: Expression, dimensions: Mapping[str, Dimension | None]) -> Dimension | None:
    """The dimension a formula comes out in; None where it could be any (a bare 0) or a name's dimension isn't known.

    `dimensions` are by name. Raises FormulaError with both sides and their dimensions where a sum makes no sense, and
    for a name that nothing defines.
    """
    found = _Checker(expression.text, dimensions).find(expression.tree)
    return None if isinstance(found, _Zero) else found


def judged_as_measured(expression: Expression, dimensions: Mapping[str, Dimension | None]) -> Expression:
    """A formula in which a whole number of lengths that go into a length is judged within half a measuring step.

    So no size that was rounded to what a shop can measure ever takes one piece more than the exact one. A formula that
    would grow too long by it stays as it was written.
    """
    if not _JUDGED.keys() & set(expression.calls):
        return expression
    checker = _Checker(expression.text, dimensions)
    put_in: list[tuple[int, str]] = []
    for node in ast.walk(expression.tree):
        match node:
            case ast.Call(func=ast.Name(id=called), args=[ast.BinOp(left=left, op=ast.Div(), right=right)]) if (
                called in _JUDGED and checker.find(left) == checker.find(right) == LENGTH
            ):
                put_in.append((left.col_offset, "("))
                put_in.append((left.end_col_offset or 0, f" {_JUDGED[called]} {MEASURING_STEP} / 2)"))
    text = expression.text
    for place, words in sorted(put_in, reverse=True):
        text = f"{text[:place]}{words}{text[place:]}"
    try:
        return read_formula(text, comparisons=isinstance(expression.tree, ast.Compare))
    except FormulaError:
        return expression


def sides(rule: Expression) -> tuple[Expression, Expression]:
    """The two formulas that a rule compares, the one on the left first. Raises ValueError for what compares nothing."""
    if not isinstance(rule.tree, ast.Compare):
        raise ValueError(f"'{rule.text}' compares nothing.")
    left, right = (read_formula(written(rule.text, side)) for side in (rule.tree.left, rule.tree.comparators[0]))
    return left, right


class _Checker:
    def __init__(self, text: str, dimensions: Mapping[str, Dimension | None]) -> None:
        self.text = text
        self.dimensions = dimensions

    def find(self, node: ast.expr) -> _Found:
        match node:
            case ast.Constant(value=Fraction(), kind=quantity):
                return DIMENSION_OF_QUANTITY[str(quantity)]
            case ast.Constant(value=value):
                return NUMBER if value else _ZERO
            case ast.Name(id=name):
                return self._named(name)
            case ast.Attribute(value=ast.Name(id=owner), attr=attribute):
                return self._named(f"{owner}.{attribute}")
            case ast.UnaryOp(operand=operand):
                return self.find(operand)
            case ast.BinOp(left=left, op=op, right=right) if isinstance(op, ast.Mult | ast.Div):
                return self._product(self.find(left), self.find(right), 1 if isinstance(op, ast.Mult) else -1)
            case ast.BinOp(left=left, op=op, right=right):
                return self._same(left, right, _SIGNS[type(op)], _VERBS[type(op)])
            case ast.Compare(left=left, ops=[op], comparators=[right]):
                self._same(left, right, _COMPARED[type(op)], "compared")
                return NUMBER
            case ast.Call(func=ast.Name(id="if"), args=[condition, *branches]):
                self.find(condition)
                return self._alike("if", branches, "stand in one place")
            case ast.Call(func=ast.Name(id=called), args=arguments):
                return self._called(called, arguments)
        raise FormulaError("", f"The formula '{self.text}' can't be checked.")

    def _named(self, name: str) -> Dimension | None:
        if name not in self.dimensions:
            raise FormulaError("", f"The formula '{self.text}' uses '{name}', which nothing defines.")
        return self.dimensions[name]

    def _product(self, left: _Found, right: _Found, sign: int) -> Dimension | None:
        if left is None or right is None:
            return None
        left = NUMBER if isinstance(left, _Zero) else left
        right = NUMBER if isinstance(right, _Zero) else right
        product = (left[0] + sign * right[0], left[1] + sign * right[1])
        if max(abs(product[0]), abs(product[1])) > _HIGHEST_POWER:
            raise FormulaError("", f"The formula '{self.text}' multiplies so many lengths that it means nothing.")
        return product

    def _same(self, left: ast.expr, right: ast.expr, sign: str, verb: str) -> _Found:
        first, second = self.find(left), self.find(right)
        if isinstance(first, _Zero) or (first is None and not isinstance(second, _Zero)):
            return second
        if second is None or isinstance(second, _Zero) or first == second or first is None:
            return first
        shown = f"{self._written(left)} {sign} {self._written(right)}"
        raise FormulaError("", f"'{shown}': {dimension_words(first)} and {dimension_words(second)} can't be {verb}.")

    def _called(self, called: str, arguments: list[ast.expr]) -> _Found:
        if called in _OF_SEVERAL:
            return self._alike(called, arguments, "be compared")
        if len(arguments) != 1:
            raise FormulaError("", f"The formula '{self.text}' gives {called} {len(arguments)} values; it takes 1.")
        found = self.find(arguments[0])
        if called == "root":
            return self._root(found, arguments[0])
        if found not in (None, NUMBER) and not isinstance(found, _Zero):
            assert found is not None
            shown = f"{called}({self._written(arguments[0])})"
            raise FormulaError("", f"'{shown}': {dimension_words(found)} {_GIVEN[called]}.")
        return NUMBER

    def _root(self, found: _Found, argument: ast.expr) -> _Found:
        if found is None or isinstance(found, _Zero):
            return found
        if found not in (NUMBER, AREA):
            shown = f"root({self._written(argument)})"
            raise FormulaError(
                "", f"'{shown}': {dimension_words(found)} has no root here; an area and a number have one."
            )
        return found[0] // 2, 0

    def _alike(self, called: str, arguments: list[ast.expr], verb: str) -> _Found:
        known: _Found = _ZERO
        for argument in arguments:
            found = self.find(argument)
            if isinstance(known, _Zero) or known is None:
                known = known if isinstance(found, _Zero) else found
            elif found is not None and not isinstance(found, _Zero) and found != known:
                shown = f"{called}({', '.join(self._written(each) for each in arguments)})"
                raise FormulaError(
                    "", f"'{shown}': {dimension_words(known)} and {dimension_words(found)} can't {verb}."
                )
        return known

    def _written(self, node: ast.expr) -> str:
        return written(self.text, node)


@lru_cache(maxsize=4096)
def formula_words(expression_text: str) -> str:
    """A formula as one would say it: 'width - 2 x thickness of carcass'."""
    expression = read_expression(expression_text, comparisons=True)
    return _say(expression.text, expression.tree, 0)


def name_words(name: str) -> str:
    """A name as one would say it: 'inner width', 'thickness of carcass'."""
    owner, dot, attribute = name.partition(".")
    owner = owner.replace("__", "_")
    return f"{attribute} of {owner}".replace("_", " ") if dot else owner.replace("_", " ").strip()


def _say(text: str, node: ast.expr, outer: int) -> str:
    """`outer` is how tightly the sign around this part holds: 1 for + and -, 2 for x and /, one more after - or /."""
    match node:
        case ast.Name(id=name):
            return name_words(name)
        case ast.Attribute(value=ast.Name(id=owner), attr=attribute):
            return name_words(f"{owner}.{attribute}")
        case ast.UnaryOp(op=op, operand=operand):
            return f"-{_say(text, operand, 3)}" if isinstance(op, ast.USub) else _say(text, operand, outer)
        case ast.BinOp(left=left, op=op, right=right):
            own = 1 if isinstance(op, ast.Add | ast.Sub) else 2
            after = own + 1 if isinstance(op, ast.Sub | ast.Div) else own
            said = f"{_say(text, left, own)} {_SIGNS[type(op)]} {_say(text, right, after)}"
            return f"({said})" if own < outer else said
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return f"{_say(text, left, 0)} {_SIGNS[type(op)]} {_say(text, right, 0)}"
        case ast.Call(func=ast.Name(id="if"), args=[condition, first, second]):
            said = f"{_say(text, first, 0)} if {_say(text, condition, 0)}, otherwise {_say(text, second, 0)}"
            return f"({said})" if outer else said
        case ast.Call(func=ast.Name(id=called), args=[number]) if called in CONDITIONS:
            return f"{_say(text, number, 1)} is {called}"
        case ast.Call(func=ast.Name(id=called), args=arguments):
            values = ", ".join(_say(text, argument, 0) for argument in arguments)
            return f"{_CALLS_SAID.get(called, called)} ({values})"
    return written(text, node)
