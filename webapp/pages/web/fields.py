"""One field of a form, as every page builds it and the macro `typed` shows it."""

from __future__ import annotations

from dataclasses import dataclass

Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name in the form, words, what stands in it, hint, what is wrong, and answers to choose from.

    `unit` stands behind it; `confirmed` is what was asked about, so that sending it once more confirms it.
    `idle` says that nothing goes by it at present: it is out of sight, and what stands in it is kept.
    """

    name: str
    label: str
    value: str = ""
    hint: str = ""
    problem: str = ""
    options: Options = ()
    unit: str = ""
    required: bool = False
    confirmed: str = ""
    idle: bool = False

    @property
    def id(self) -> str:
        """The id of its element."""
        return dom_id(self.name)


def dom_id(name: str) -> str:
    """The id of a field's element; full stops would part a style's or a script's selector."""
    return name.replace(".", "-")
