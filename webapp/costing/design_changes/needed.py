"""What a formula needs its names and bare numbers to be, so that its sum makes sense: a length, or a plain number."""

from __future__ import annotations

import ast
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.designs.formulas import DIMENSION_OF_QUANTITY, LENGTH, NUMBER, Dimension
from webapp.costing.ledger.formula import Expression, written

_ALIKE: Final = ("least", "greatest")


class Needs:
    """What is known of the names of a design while its formulas are gone through: their dimensions, None where open.

    In a product a bare number is a number, so that 2 * height stays; everywhere else it is what stands beside it. Where
    a length divided by a bare number may be a length or a number it is left open, until `settling` takes the length.
    """

    def __init__(self, known: Mapping[str, Dimension | None]) -> None:
        self.dimensions = dict(known)
        self.settling = False
        self.changed = False

    def name(self, name: str, dimension: Dimension) -> None:
        """A name that was open is of this dimension."""
        if name in self.dimensions and self.dimensions[name] is None:
            self.dimensions[name] = dimension
            self.changed = True

    def go_through(self, expression: Expression, wanted: Dimension | None) -> Dimension | None:
        """Follow what a formula needs, where `wanted` is what it has to come out in; what it comes out in, if known."""
        return _Walk(self, expression.text, []).take(expression.tree, wanted)

    def lengths(self, expression: Expression, wanted: Dimension | None) -> list[ast.expr]:
        """The bare numbers and fractions of a formula that have to be lengths."""
        walk = _Walk(self, expression.text, [])
        walk.take(expression.tree, wanted)
        return walk.lengths


class _Walk:
    def __init__(self, needs: Needs, text: str, lengths: list[ast.expr]) -> None:
        self.needs, self.text, self.lengths = needs, text, lengths

    def take(self, node: ast.expr, wanted: Dimension | None) -> Dimension | None:
        found = self.find(node) if wanted is None else wanted
        if found is None:
            self.look_within(node)
        else:
            self.push(node, found)
        return found

    def find(self, node: ast.expr) -> Dimension | None:
        """What a part of a formula comes out in as far as its names say; None where that is open."""
        match node:
            case ast.Constant():
                return None if self._is_bare(node) else DIMENSION_OF_QUANTITY[str(node.kind)]
            case ast.Name(id=name):
                return self.needs.dimensions.get(name)
            case ast.Attribute(value=ast.Name(id=owner), attr=attribute):
                return self.needs.dimensions.get(f"{owner}.{attribute}")
            case ast.UnaryOp(operand=operand):
                return self.find(operand)
            case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
                return self._first(left, right)
            case ast.BinOp(left=left, op=op, right=right):
                above, below = self._factor(left), self._factor(right)
                divides = isinstance(op, ast.Div)
                if above is None or below is None or (self._all_bare(left) and self._all_bare(right)):
                    return None
                if divides and above == LENGTH and self._all_bare(right) and not self.needs.settling:
                    return None
                return _times(above, below, -1 if divides else 1)
            case ast.Call(func=ast.Name(id="if"), args=[_, first, second]):
                return self._first(first, second)
            case ast.Call(func=ast.Name(id=called), args=arguments) if called in _ALIKE:
                return self._first(*arguments)
            case ast.Call(func=ast.Name(id="root"), args=[of]):
                found = self.find(of)
                return None if found is None else (found[0] // 2, found[1] // 2)
            case ast.Call():
                return NUMBER
        return None

    def push(self, node: ast.expr, wanted: Dimension) -> None:
        """What the parts of a formula have to be, so that it comes out in what is wanted."""
        match node:
            case ast.Constant():
                if wanted == LENGTH and node.value and self._is_bare(node):
                    self.lengths.append(node)
            case ast.Name(id=name):
                self.needs.name(name, wanted)
            case ast.UnaryOp(operand=operand):
                self.push(operand, wanted)
            case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
                self.push(left, wanted)
                self.push(right, wanted)
            case ast.BinOp(left=left, op=ast.Mult(), right=right):
                self._product(left, right, wanted)
            case ast.BinOp(left=left, op=ast.Div(), right=right):
                self._quotient(node, left, right, wanted)
            case ast.Call(func=ast.Name(id="if"), args=[condition, first, second]):
                self.look_within(condition)
                self.push(first, wanted)
                self.push(second, wanted)
            case ast.Call(func=ast.Name(id=called), args=arguments) if called in _ALIKE:
                for argument in arguments:
                    self.push(argument, wanted)
            case ast.Call(func=ast.Name(id="root"), args=[of]):
                self.push(of, (2 * wanted[0], 2 * wanted[1]))
            case _:
                self.look_within(node)

    def look_within(self, node: ast.expr) -> None:
        """Where nothing says what a part comes out in, what its own parts need."""
        match node:
            case ast.Compare(left=left, comparators=[right]):
                found = self._first(left, right)
                for side in (left, right):
                    self.take(side, found)
            case ast.Call(func=ast.Name(id=called), args=arguments) if called not in (*_ALIKE, "if", "root"):
                for argument in arguments:
                    self.push(argument, NUMBER)
            case ast.Call(func=ast.Name(id="if"), args=[condition, *branches]):
                self.look_within(condition)
                for branch in branches:
                    self.take(branch, None)
            case ast.Call(args=arguments):
                for argument in arguments:
                    self.take(argument, None)
            case ast.BinOp(left=left, right=right):
                self.take(left, None)
                self.take(right, None)
            case ast.UnaryOp(operand=operand):
                self.take(operand, None)

    def _product(self, left: ast.expr, right: ast.expr, wanted: Dimension) -> None:
        first, second = self._factor(left), self._factor(right)
        bare = [side for side in (right, left) if self._all_bare(side)]
        if wanted == LENGTH and first == second == NUMBER and bare:
            # Two numbers make no length: the one that is typed bare is meant as one.
            self.push(bare[0], LENGTH)
            return
        if first is None and second is not None and (self.needs.settling or not self._all_bare(right)):
            first = _times(wanted, second, -1)
        elif second is None and first is not None and (self.needs.settling or not self._all_bare(left)):
            second = _times(wanted, first, -1)
        self._both(left, first, right, second)

    def _quotient(self, node: ast.expr, left: ast.expr, right: ast.expr, wanted: Dimension) -> None:
        above, below = self._factor(left), self._factor(right)
        if self._all_bare(left) and self._all_bare(right):
            if wanted == LENGTH:
                self._fraction(node, left)
            return
        if self._all_bare(right):
            below = LENGTH if above == LENGTH and wanted == NUMBER else NUMBER
        if above is None and below is not None:
            above = _times(wanted, below, 1)
        elif below is None and above is not None:
            below = _times(above, wanted, -1)
        elif self._all_bare(left) and below == NUMBER and wanted == LENGTH:
            above = LENGTH
        self._both(left, above, right, below)

    def _fraction(self, node: ast.expr, left: ast.expr) -> None:
        """A fraction of bare numbers that is a length: one measure where it is typed as one, as 3/4 is."""
        if " " in written(self.text, node):
            self.push(left, LENGTH)
        else:
            self.lengths.append(node)

    def _both(self, left: ast.expr, first: Dimension | None, right: ast.expr, second: Dimension | None) -> None:
        for side, dimension in ((left, first), (right, second)):
            self.take(side, dimension)

    def _first(self, *nodes: ast.expr) -> Dimension | None:
        return next((found for node in nodes if (found := self.find(node)) is not None), None)

    def _factor(self, node: ast.expr) -> Dimension | None:
        return NUMBER if self._all_bare(node) else self.find(node)

    def _all_bare(self, node: ast.expr) -> bool:
        """Whether there is nothing but bare numbers in a part."""
        named = (ast.Name, ast.Attribute, ast.Call)
        parts = list(ast.walk(node))
        return not any(isinstance(part, named) for part in parts) and all(
            self._is_bare(part) for part in parts if isinstance(part, ast.Constant)
        )

    def _is_bare(self, node: ast.Constant) -> bool:
        """Whether a number has no unit: mixed numbers have none, degrees are no length."""
        return not isinstance(node.value, Fraction) or (
            node.kind == "number" and written(self.text, node)[-1:].isnumeric()
        )


def _times(left: Dimension, right: Dimension, power: int) -> Dimension:
    return left[0] + power * right[0], left[1] + power * right[1]
