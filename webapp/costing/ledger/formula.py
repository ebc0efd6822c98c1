"""Formulas as text, worked out exactly: the one reader for design formulas and for the workings of figures.

Allowed: names (also `role.property`), plain numbers, measures with their unit, + - * / ( ), comparisons where asked
for, `if(condition, a, b)` and the functions the caller lists. Everything else is refused while reading, before anything
is worked out.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import CodeType
from typing import Final

from webapp.costing.errors import FormulaError
from webapp.costing.ledger.measures_within import Typed, measure_it_lacks, put_numbers

LONGEST_FORMULA: Final = 400
DEEPEST_FORMULA: Final = 40
LARGEST_NUMBER: Final = 10**30

_OPERATORS: Final = (ast.Add, ast.Sub, ast.Mult, ast.Div)
_COMPARISONS: Final = (ast.Lt, ast.LtE, ast.Gt, ast.GtE)
#: The functions that may stand as the condition of an `if`.
CONDITIONS: Final = ("odd", "even")
#: The parser that does the work has other uses for `if` and `=`, so signs of the same length that mean nothing else
#: stand in their places while it does.
_IF: Final = re.compile(r"(?<![\w.])if(?= ?\()", re.IGNORECASE)
_IF_SIGN: Final = "If"
_EQUALS: Final = re.compile(r"(?<![<>=])==?(?!=)")


@dataclass(frozen=True, slots=True)
class Expression:
    """A formula read and found well-formed. `names` are what it needs; one may hold a dot (`carcass.thickness`).

    A measure stands in the tree as a constant whose `kind` is its quantity. `chooses` says that there is an `if`, so
    that not every name is needed at all values.
    """

    text: str
    tree: ast.expr
    names: tuple[str, ...]
    calls: tuple[str, ...]
    code: CodeType
    constants: tuple[tuple[str, Fraction], ...]
    chooses: bool = False


def python_name(name: str) -> str:
    """The name under which `role.property` stands while a formula is worked out."""
    return name.replace(".", "__of__")


class _Reader(ast.NodeTransformer):
    """Walks a parsed formula, refuses what is not allowed, and binds each number as an exact constant."""

    def __init__(self, text: str, signs: str, comparisons: bool) -> None:
        self.text, self.signs = text, signs
        self.comparisons = comparisons
        self.depth = 0
        self.names: dict[str, None] = {}
        self.calls: dict[str, None] = {}
        self.constants: dict[str, Fraction] = {}
        self.chooses = False

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
            case ast.Call(func=ast.Name(id="if"), args=arguments, keywords=[]):
                return self._choice(node, arguments)
            case ast.Call(func=ast.Name(id=called), args=arguments, keywords=[]) if arguments:
                self.calls[called] = None
                node.args = [self._operand(argument) for argument in arguments]
            case ast.Constant(value=value) if type(value) in (int, float, Fraction):
                return self._constant(node)
            case ast.Name(id=name):
                self.names[name] = None
            case ast.Attribute(value=ast.Name(id=owner), attr=attribute):
                self.names[f"{owner}.{attribute}"] = None
                return ast.copy_location(ast.Name(id=python_name(f"{owner}.{attribute}"), ctx=ast.Load()), node)
            case ast.Tuple():
                raise self.refuse("holds a comma outside a function; decimals have a point")
            case _:
                raise self.refuse("holds something other than names, numbers, + - * / ( ) and the listed functions")
        return node

    def _operand(self, node: ast.expr) -> ast.expr:
        result = self.visit(node)
        assert isinstance(result, ast.expr)
        return result

    def _choice(self, node: ast.AST, arguments: list[ast.expr]) -> ast.IfExp:
        """`if(condition, a, b)` so that only the one that is taken is worked out."""
        if len(arguments) != 3:
            raise self.refuse(f"gives if {len(arguments)} values; it takes a condition, and a value for either case")
        condition, first, second = arguments
        match condition:
            case ast.Compare(left=left, ops=[op], comparators=[right]) if isinstance(op, (*_COMPARISONS, ast.Eq)):
                condition.left, condition.comparators = self._operand(left), [self._operand(right)]
            case ast.Call(func=ast.Name(id=called)) if called in CONDITIONS:
                condition = self._operand(condition)
            case _:
                said = f"{' or '.join(f'{one}(…)' for one in CONDITIONS)}"
                raise self.refuse(f"asks if of something that is no condition: one comparison is needed, or {said}")
        self.chooses = True
        chosen = ast.IfExp(test=condition, body=self._operand(first), orelse=self._operand(second))
        return ast.copy_location(chosen, node)

    def _constant(self, node: ast.Constant) -> ast.Name:
        if isinstance(node.value, Fraction):
            value = node.value
        else:
            value = self._number(self.signs[node.col_offset : node.end_col_offset])
        if abs(value) > LARGEST_NUMBER:
            raise self.refuse(f"holds '{written(self.text, node)[:40]}', which is not a plain number of sensible size")
        name = f"constant_{len(self.constants)}_"
        self.constants[name] = value
        return ast.copy_location(ast.Name(id=name, ctx=ast.Load()), node)

    def _number(self, typed: str) -> Fraction:
        # Refused before it is worked out: 9e9999999 would keep the machine busy for seconds.
        if "e" in typed.lower():
            raise self.refuse(f"holds '{typed[:40]}', a power of ten; write the number out in full")
        try:
            return Fraction(typed)
        except (ValueError, ZeroDivisionError):
            raise self.refuse(f"holds '{typed[:40]}', which is not a plain number") from None


@lru_cache(maxsize=4096)
def read_expression(text: str, *, comparisons: bool = False) -> Expression:
    """Read a formula; raises FormulaError with a sentence when it is not one of ours. Nothing is worked out here."""
    text = text.strip()
    if not text:
        raise FormulaError("", "The formula is empty.")
    if len(text) > LONGEST_FORMULA:
        raise FormulaError("", f"The formula '{text[:40]}…' is longer than {LONGEST_FORMULA} characters.")
    signs, typed = put_numbers(text)
    if (
        not signs.isascii()
        or any(sign in signs for sign in "\n\r\t\\'\"`@#$%^&|~!?:;[]{}")
        or "**" in signs
        or "//" in signs
    ):
        raise FormulaError("", f"The formula '{text}' holds a sign that has no meaning in a formula.")
    signs = _EQUALS.sub(lambda found: "|".ljust(len(found[0])), _IF.sub(_IF_SIGN, signs))
    original = _parse(text, signs, typed)
    reader = _Reader(text, signs, comparisons)
    body = reader.visit(_parse(text, signs, typed))
    assert isinstance(body, ast.expr)
    code = compile(ast.fix_missing_locations(ast.Expression(body)), "<formula>", "eval")
    return Expression(
        text, original, tuple(reader.names), tuple(reader.calls), code, tuple(reader.constants.items()), reader.chooses
    )


def _parse(text: str, signs: str, typed: Mapping[int, Typed]) -> ast.expr:
    """The tree of a formula, its measures as constants, `if` as a call and `=` as a comparison."""
    try:
        tree = ast.parse(signs, mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        unknown = measure_it_lacks(text)
        if unknown:
            reason = f"holds '{unknown}', and formulas know lengths, areas, weights and numbers."
            raise FormulaError("", f"The formula '{text}' {reason}") from None
        raise FormulaError("", f"The formula '{text}' can't be read: look for a missing sign or bracket.") from None
    for node in ast.walk(tree):
        match node:
            case ast.Constant(col_offset=place, end_col_offset=end) if place in typed:
                measure = typed[place]
                if (end or 0) - place != len(measure.text):
                    raise FormulaError("", f"The formula '{text}' lacks a sign after '{measure.text}'.")
                # `kind` is where a tree has room for a word beside a constant.
                node.value, node.kind = measure.value, measure.quantity  # type: ignore[assignment]
            case ast.Call(func=ast.Name(id="If") as function, args=arguments):
                function.id = "if"
                match arguments:
                    case [ast.BinOp(left=left, op=ast.BitOr(), right=right) as condition, *_]:
                        arguments[0] = ast.copy_location(ast.Compare(left, [ast.Eq()], [right]), condition)
    return tree


def written(text: str, node: ast.expr) -> str:
    """The part of a formula's text in which a node of its tree stands."""
    return text[node.col_offset : node.end_col_offset]


def names_needed(
    expression: Expression, values: Mapping[str, Fraction], functions: Mapping[str, Callable[..., Fraction]]
) -> tuple[str, ...]:
    """The names that a formula reads at these values, in their order, as far as the first that is not among them.

    Of an `if`, only the names of its condition and of the branch that is taken.
    """
    if not expression.chooses:
        return expression.names
    read = _NamesRead(values)
    scope: dict[str, object] = {"__builtins__": {}, **dict(expression.constants)}
    scope.update({called: functions[called] for called in expression.calls if called in functions})
    with suppress(NameError, ArithmeticError, TypeError, FormulaError):
        eval(expression.code, scope, read)
    return tuple(name for name in expression.names if name in read.asked)


class _NamesRead(Mapping[str, Fraction]):
    """Values by the names under which they stand while a formula is worked out, noting which were asked for."""

    def __init__(self, values: Mapping[str, Fraction]) -> None:
        self.values_known = values
        self.asked: dict[str, None] = {}

    def __getitem__(self, name: str) -> Fraction:
        if name.startswith("constant_") and name.endswith("_"):
            raise KeyError(name)
        asked = name.replace("__of__", ".")
        self.asked[asked] = None
        return self.values_known[asked]

    def __iter__(self) -> Iterator[str]:
        return iter(self.values_known)

    def __len__(self) -> int:
        return len(self.values_known)


def work_out(
    expression: Expression, values: Mapping[str, Fraction], functions: Mapping[str, Callable[..., Fraction]]
) -> Fraction:
    """The exact value of a formula. `values` are by name (with the dot); raises FormulaError for an unknown name,
    a division by nothing or a value without sense. A comparison gives 1 where it holds and 0 where not; of an `if`, the
    branch that is not taken may lack its names.

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
            if not expression.chooses:
                raise _undefined(expression, name) from None
    try:
        result = eval(expression.code, scope)
    except NameError as error:
        # Only where a branch is taken is it missed.
        raise _undefined(expression, (error.name or "").replace("__of__", ".")) from None
    except FormulaError as error:
        raise FormulaError("", f"The formula '{expression.text}' {error.reason}.") from None
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


def _undefined(expression: Expression, name: str) -> FormulaError:
    return FormulaError("", f"The formula '{expression.text}' uses '{name}', which nothing defines.")
