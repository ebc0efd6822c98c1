"""Formulas as text, worked out exactly: the one reader for design formulas and for the workings of figures.

Allowed: names (also `role.property`), plain numbers, + - * / ( ), comparisons where asked for, and the functions the
caller lists. Everything else is refused while reading, before anything is worked out.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import CodeType
from typing import Final

from webapp.costing.errors import FormulaError

LONGEST_FORMULA: Final = 400
DEEPEST_FORMULA: Final = 40
LARGEST_NUMBER: Final = 10**30

_OPERATORS: Final = (ast.Add, ast.Sub, ast.Mult, ast.Div)
_COMPARISONS: Final = (ast.Lt, ast.LtE, ast.Gt, ast.GtE)


@dataclass(frozen=True, slots=True)
class Expression:
    """A formula read and found well-formed. `names` are what it needs; one may hold a dot (`carcass.thickness`)."""

    text: str
    tree: ast.expr
    names: tuple[str, ...]
    calls: tuple[str, ...]
    code: CodeType
    constants: tuple[tuple[str, Fraction], ...]


def python_name(name: str) -> str:
    """The name under which `role.property` stands while a formula is worked out."""
    return name.replace(".", "__of__")


class _Reader(ast.NodeTransformer):
    """Walks a parsed formula, refuses what is not allowed, and binds each number as an exact constant."""

    def __init__(self, text: str, comparisons: bool) -> None:
        self.text = text
        self.comparisons = comparisons
        self.depth = 0
        self.names: dict[str, None] = {}
        self.calls: dict[str, None] = {}
        self.constants: dict[str, Fraction] = {}

    def refuse(self, reason: str) -> FormulaError:
        return FormulaError("", f"The formula '{self.text}' {reason}.")

    def visit(self, node: ast.AST) -> ast.AST:
        self.depth += 1
        if self.depth > DEEPEST_FORMULA:
            raise self.refuse("is nested too deeply")
        result = self._allowed(node)
        self.depth -= 1
        return result

    def _allowed(self, node: ast.AST) -> ast.AST:
        match node:
            case ast.BinOp(left=left, op=op, right=right) if isinstance(op, _OPERATORS):
                node.left, node.right = self._operand(left), self._operand(right)
            case ast.UnaryOp(op=op, operand=operand) if isinstance(op, ast.USub | ast.UAdd):
                node.operand = self._operand(operand)
            case ast.Compare(left=left, ops=[op], comparators=[right]) if self.comparisons and isinstance(
                op, _COMPARISONS
            ):
                if self.depth > 1:
                    raise self.refuse("compares inside a sum; a rule holds one comparison")
                node.left, node.comparators = self._operand(left), [self._operand(right)]
            case ast.Call(func=ast.Name(id=called), args=arguments, keywords=[]) if arguments:
                self.calls[called] = None
                node.args = [self._operand(argument) for argument in arguments]
            case ast.Constant(value=value) if type(value) in (int, float):
                return self._constant(node)
            case ast.Name(id=name):
                self.names[name] = None
            case ast.Attribute(value=ast.Name(id=owner), attr=attribute):
                self.names[f"{owner}.{attribute}"] = None
                return ast.copy_location(ast.Name(id=python_name(f"{owner}.{attribute}"), ctx=ast.Load()), node)
            case _:
                raise self.refuse("holds something other than names, numbers, + - * / ( ) and the listed functions")
        return node

    def _operand(self, node: ast.expr) -> ast.expr:
        result = self.visit(node)
        assert isinstance(result, ast.expr)
        return result

    def _constant(self, node: ast.Constant) -> ast.Name:
        written = ast.get_source_segment(self.text, node) or ""
        # Refused before it is worked out: 9e9999999 would keep the machine busy for seconds.
        if "e" in written.lower():
            raise self.refuse(f"holds '{written}', a power of ten; write the number out in full")
        try:
            value = Fraction(written)
        except (ValueError, ZeroDivisionError):
            raise self.refuse(f"holds '{written}', which is not a plain number") from None
        if abs(value) > LARGEST_NUMBER:
            raise self.refuse(f"holds '{written}', which is not a plain number of sensible size")
        name = f"constant_{len(self.constants)}_"
        self.constants[name] = value
        return ast.copy_location(ast.Name(id=name, ctx=ast.Load()), node)


@lru_cache(maxsize=4096)
def read_expression(text: str, *, comparisons: bool = False) -> Expression:
    """Read a formula; raises FormulaError with a sentence when it is not one of ours. Nothing is worked out here."""
    text = text.strip()
    if not text:
        raise FormulaError("", "The formula is empty.")
    if len(text) > LONGEST_FORMULA:
        raise FormulaError("", f"The formula '{text[:40]}…' is longer than {LONGEST_FORMULA} characters.")
    if (
        not text.isascii()
        or any(sign in text for sign in "\n\r\t\\'\"`@#$%^&|~!?:;[]{}")
        or "**" in text
        or "//" in text
    ):
        raise FormulaError("", f"The formula '{text}' holds a sign that has no meaning in a formula.")
    try:
        parsed = ast.parse(text, mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise FormulaError("", f"The formula '{text}' can't be read: look for a missing sign or bracket.") from None
    reader = _Reader(text, comparisons)
    body = reader.visit(parsed.body)
    assert isinstance(body, ast.expr)
    original = ast.parse(text, mode="eval").body
    code = compile(ast.fix_missing_locations(ast.Expression(body)), "<formula>", "eval")
    return Expression(text, original, tuple(reader.names), tuple(reader.calls), code, tuple(reader.constants.items()))


def work_out(
    expression: Expression, values: Mapping[str, Fraction], functions: Mapping[str, Callable[..., Fraction]]
) -> Fraction:
    """The exact value of a formula. `values` are by name (with the dot); raises FormulaError for an unknown name,
    a division by nothing or a value without sense. A comparison gives 1 where it holds and 0 where not.

    >>> work_out(read_expression("2 * a + 1"), {"a": Fraction(3)}, {})
    Fraction(7, 1)
    """
    scope: dict[str, object] = {"__builtins__": {}}
    for called in expression.calls:
        if called not in functions:
            raise FormulaError("", f"The formula '{expression.text}' uses '{called}', which is no function of ours.")
        scope[called] = functions[called]
    scope.update(expression.constants)
    for name in expression.names:
        try:
            scope[python_name(name)] = values[name]
        except KeyError:
            raise FormulaError("", f"The formula '{expression.text}' uses '{name}', which nothing defines.") from None
    try:
        result = eval(expression.code, scope)
    except ZeroDivisionError:
        raise FormulaError("", f"The formula '{expression.text}' divides by nothing.") from None
    except TypeError:
        raise FormulaError(
            "", f"The formula '{expression.text}' gives a function the wrong number of values."
        ) from None
    if isinstance(result, bool):
        return Fraction(int(result))
    value = result if type(result) is Fraction else Fraction(result)
    # Whole numbers are compared, not fractions: this runs for every figure.
    if abs(value.numerator) > LARGEST_NUMBER * value.denominator:
        raise FormulaError("", f"The formula '{expression.text}' comes out too large to mean anything.")
    return value
