"""What can go wrong in the sums, as data: the part, the value and the limit, and one sentence that says so."""

from __future__ import annotations

from dataclasses import dataclass


class CostingError(Exception):
    """The base of every error the core raises; `str()` of it is a whole sentence in trade words."""


class MeasureError(CostingError):
    """A typed measure that can't be read as one clear value.

    `text` is what was typed, `reason` the sentence about it.
    """

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(reason)
        self.text = text
        self.reason = reason


class FormulaError(CostingError):
    """A formula that can't be read, checked or worked out; `name` is the value or field it stands in."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(reason)
        self.name = name
        self.reason = reason


class FormError(CostingError):
    """A form (design, job, cut request) that can't be used at all; `problems` says everything that is wrong."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(" ".join(problem.message for problem in problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with one field: the field's path ('parts.side.length') and a sentence naming part and value.

    `severity` is 'failure' where the total can't be whole because of it, 'warning' where it still stands.
    """

    field: str
    message: str
    severity: str = "failure"
