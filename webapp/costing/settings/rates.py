"""The shop's rules and rates as values: what can be set, its unit, its default and where the default came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.measures.trade_words import in_trade_words

COMMON_PRACTICE: Final = "common practice"
#: Where an amount or a share that only the shop can know comes from until it puts in its own; wherever it is used it is
#: said to be the program's.
PROGRAMS_OWN: Final = "the program's own figure, to begin with"

#: The edition of the program's own figures: raised with each release that changes what a setting or a step starts from.
#: A shop follows the edition it has taken, so that a later one reaches it as an offer and moves nothing by itself.
EDITION: Final = 2
#: What shops and snapshots follow that were kept before editions were told apart.
FIRST_EDITION: Final = 1


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing a shop can set. `quantity` is a quantity of measures, or 'money', 'yes_no' or 'choice'.

    Numbers are kept in the base unit of their quantity: lengths in nm, shares as fractions of one, money in the shop's
    currency. A choice is kept as the place of its answer in `answers`. `rule` names the rule of the allowance table
    that a setting switches on or is an amount of ('' for none); `moves` says in words which results it moves at first
    hand (see comparison).
    `work` says that whoever helps in the shop may see it in a job's workings; a setting without that is the owner's.
    `earlier` pairs an edition with what was started from up to it, the oldest first: for a setting that came later,
    what an estimate did without it. `because` says in words why a later edition starts from another value.
    """

    name: str
    words: str
    group: str
    quantity: str
    default: Fraction
    source: str = COMMON_PRACTICE
    least: Fraction = Fraction(0)
    most: Fraction = Fraction(10**12)
    hint: str = ""
    answers: tuple[str, ...] = ()
    rule: str = ""
    moves: tuple[str, ...] = ()
    earlier: tuple[tuple[int, Fraction], ...] = ()
    because: str = ""
    work: bool = False

    @property
    def label(self) -> str:
        """What it is called, in the shop's trade words."""
        return in_trade_words(self.words)

    def default_in(self, edition: int) -> Fraction:
        """What a shop that follows this edition starts from."""
        return next((value for last, value in self.earlier if edition <= last), self.default)


SetUpBy = Literal["job", "design", "coat", "item"]
#: The parts of a step that are numbers.
STEP_NUMBERS: Final = ("set_up", "low", "likely", "high", "set_up_every")
#: What a set-up may be for, in words.
SET_UP_BY: Final[Mapping[SetUpBy, str]] = {
    "job": "all items of a job", "design": "each design", "coat": "each coat", "item": "each item",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class OperationRate:
    """How long a step takes: set-up minutes for a batch, and low / likely / high minutes for each unit of its driver.

    `people` multiplies the unit minutes (set-up is one person's); `by` is who does it; `machine` runs for the whole of
    the step ('' for none). `hand` steps gain from repeats. `known` steps use (a + 4m + b)/6 as their mean, others
    (a + m + b)/3. `on_site` steps belong to the delivery and installation line. `set_up_by` says what a set-up is for:
    all items of a job together, each design (of which another size is a change), each coat, or each item;
    `set_up_every` after how many units it comes again (0: never).
    """

    name: str
    label: str
    set_up: Fraction
    low: Fraction
    likely: Fraction
    high: Fraction
    people: int = 1
    by: str = "maker"
    machine: str = ""
    hand: bool = True
    known: bool = True
    on_site: bool = False
    source: str = COMMON_PRACTICE
    set_up_by: SetUpBy = "job"
    set_up_every: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Rates:
    """One set of the shop's settings and operations. `own` names what differs from the defaults.

    `reasons` says why a setting differs for one job, by name. `edition` is that of the defaults which it follows.
    """

    values: Mapping[str, Fraction]
    operations: Mapping[str, OperationRate]
    sources: Mapping[str, str] = field(default_factory=dict)
    own: frozenset[str] = frozenset()
    reasons: Mapping[str, str] = field(default_factory=dict)
    edition: int = EDITION

    def __getitem__(self, name: str) -> Fraction:
        return self.values[name]

    def yes(self, name: str) -> bool:
        """Whether a yes/no setting is on."""
        return self.values[name] == 1

    def with_values(self, changed: Mapping[str, Fraction], reasons: Mapping[str, str]) -> Rates:
        """The same rates with some settings changed, for one job."""
        return replace(
            self,
            values={**self.values, **changed},
            sources={
                **self.sources,
                **{name: f"changed for this job: {reasons.get(name, '')}".rstrip(": ") for name in changed},
            },
            own=self.own | frozenset(changed),
            reasons={**self.reasons, **reasons},
        )
