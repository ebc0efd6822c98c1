"""Reads one field of the job form at a time: a stand-in where it can't be read, and the problem kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from fractions import Fraction
from typing import Final, TypeVar, cast

from webapp.costing.errors import MeasureError, Problem
from webapp.costing.measures.written import System, parse_amount, parse_day, parse_quantity

MOST_ITEMS: Final = 200
LONGEST_TEXT: Final = 4_000

Typed = TypeVar("Typed")


class FormReader:
    """Reads one document and keeps the problems it meets."""

    def __init__(self, system: System) -> None:
        self.system = system
        self.problems: list[Problem] = []

    def wrong(self, field: str, message: str, severity: str = "failure") -> None:
        """Note what is wrong with a field, as a sentence."""
        self.problems.append(Problem(field, message, severity))

    def mapping(self, value: object, field: str, keys: tuple[str, ...] | None) -> Mapping[str, object]:
        """Named entries; a name that is none of `keys` is noted."""
        if value is None or value == "":
            return {}
        if not isinstance(value, Mapping):
            self.wrong(field, f"“{field}” should hold named entries.")
            return {}
        if keys is not None:
            for key in value:
                if key not in keys:
                    self.wrong(
                        f"{field}.{key}".lstrip("."),
                        f"“{key}” is nothing that {field or 'a job'} can hold; it holds {', '.join(keys)}.",
                    )
        return cast(Mapping[str, object], value)

    def text(self, value: object, field: str, longest: int = LONGEST_TEXT) -> str:
        """One text."""
        if value is None:
            return ""
        if not isinstance(value, str):
            self.wrong(field, f"“{field}” should be one line of text.")
            return ""
        if len(value) > longest:
            self.wrong(field, f"“{field}” is longer than {longest} characters.")
            return value[:longest]
        return value.strip()

    def texts(self, value: object, field: str) -> tuple[str, ...]:
        """A list of texts."""
        if value is None or value == "":
            return ()
        if not isinstance(value, list | tuple):
            self.wrong(field, f"“{field}” should be a list.")
            return ()
        return tuple(self.text(one, f"{field}.{place}") for place, one in enumerate(value))

    def entries(self, value: object, field: str, most: int = MOST_ITEMS, holder: str = "a job") -> list[object]:
        """The entries of a list, so many at most."""
        if value is None or value == "":
            return []
        if not isinstance(value, list | tuple):
            self.wrong(field, f"“{field}” should be a list.")
            return []
        if len(value) > most:
            self.wrong(field, f"“{field}” holds {len(value)} entries; {holder} holds {most} at most.")
        return list(value[:most])

    def yes(self, value: object, field: str) -> bool:
        """A yes or no; no where nothing is said."""
        text = self.text(value, field).lower()
        if text not in ("", "yes", "no"):
            self.wrong(field, f"“{text}” is neither yes nor no.")
        return text == "yes"

    def number(self, value: object, field: str, quantity: str, default: Fraction | None) -> Fraction | None:
        """A quantity in its base unit."""
        return self._typed(value, field, default, lambda text: parse_quantity(text, quantity, self.system))

    def amount(self, value: object, field: str) -> Fraction | None:
        """An amount of money."""
        return self._typed(value, field, None, lambda text: Fraction(parse_amount(text)))

    def day(self, value: object, field: str) -> date | None:
        """A day."""
        return self._typed(value, field, None, parse_day)

    def whole(self, value: object, field: str, default: int, most: int, says: str, least: int = 1) -> int:
        """A whole number, from 1 on where `least` says nothing else."""
        found = self.number(value, field, "number", Fraction(default))
        if found is None:
            return default
        if found.denominator != 1 or not least <= found <= most:
            self.wrong(field, f"{says}: “{self.text(value, field)}” should be a whole number from {least} to {most}.")
            return default
        return int(found)

    def _typed(self, value: object, field: str, default: Typed | None, read: Callable[[str], Typed]) -> Typed | None:
        text = self.text(value, field)
        if not text:
            return default
        try:
            return read(text)
        except MeasureError as error:
            self.wrong(field, error.reason)
            return default
