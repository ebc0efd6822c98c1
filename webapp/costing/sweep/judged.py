"""One case judged: sound, refused by a rule of the design's own, or a fault that nobody means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.sweep.cases import Case, Subject
from webapp.costing.takeoff.checks.musts import check_musts
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import OWN_RULE, TakeOff

Verdict = Literal["sound", "refused", "fault"]

#: That parts overlap is a problem for each pair of them, which names both; the check only counts those.
_SAID_BY_PROBLEMS: Final = "clear"
_ROOM_ASKED_FOR: Final = "holds/"
#: What does not fit a place that the design says the needs of.
_MATERIALS: Final = "materials."
BREAKS: Final = "breaks"
_QUOTED: Final = re.compile("“([^”]+)”")


@dataclass(frozen=True, slots=True)
class Judged:
    """How a case came out: the sentences of what fails, by kind, and of what the design itself refuses; of a refused
    case not all that fails is known.

    A kind is a check and the part or joint that it is about, so that one fault is one kind at all sizes.
    """

    failing: Mapping[str, str]
    refusals: Mapping[str, str]

    @property
    def verdict(self) -> Verdict:
        """What the design refuses shows no fault: nobody can ask for it."""
        return "refused" if self.refusals else "fault" if self.failing else "sound"

    @property
    def faults(self) -> Mapping[str, str]:
        """The faults that it shows, by kind."""
        return {} if self.refusals else self.failing


class Judge:
    """Judges the cases of one subject, each once."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self._known: dict[object, Judged] = {}

    def __call__(self, case: Case) -> Judged:
        """How a case comes out. Whatever breaks the working-out is a fault of the design, and never raised."""
        known = self._known.get(case.key)
        if known is None:
            known = self._known[case.key] = self._judge(case)
        return known

    def _judge(self, case: Case) -> Judged:
        one, step = self.subject, STEP_NM[self.subject.system]
        asked = one.design, case.sizes, case.choices, case.materials, one.catalogue, one.rates
        try:
            if refusals := _refused_at_once(Taking(*asked, Working(), "sweep", step, one.system)):
                return Judged({}, refusals)
            taken = expand(*asked, Working(), "sweep", step, one.system)
        except Exception as error:
            # Sizes that nobody tried are what is looked for here: one that breaks the sums ends no sweep.
            return Judged({BREAKS: f"It can't be worked out: {error}"}, {})
        return judged(taken, one.system)


def _refused_at_once(taking: Taking) -> dict[str, str]:
    """What the design's own rules refuse before anything is taken off: all of them but those about weight, which is
    known once all parts are made. Of a case that nobody can ask for nothing else is worked out."""
    check_musts(taking)
    return {
        check.name: check.sentence
        for check in taking.checks
        if check.outcome == "failure" and check.name.startswith(OWN_RULE)
    }


def _least_asked(design: Design, system: System) -> dict[str, Fraction]:
    """The checks of room for things as tall as a size says, each with the least that one may ask for."""
    return {
        f"{_ROOM_ASKED_FOR}{entry.name}": design.sizes[entry.tall.text].told_in(system).least
        for entry in design.holds.values()
        if entry.tall.text in design.sizes
    }


def judged(taken: TakeOff, system: System) -> Judged:
    """A take-off's failures, parted into what nobody means and what the design refuses.

    Room for things as tall as one asks for, by a size that says nothing else, is refused as by a rule of its own. Where
    there is none for the least that may be asked for either, the design is wrong.
    """
    failing, refusals = dict[str, str](), dict[str, str]()
    asked = _least_asked(taken.design, system)
    for check in taken.checks:
        if check.outcome == "failure" and check.name != _SAID_BY_PROBLEMS:
            too_much = check.name in asked and check.held is not None and check.held.has >= asked[check.name]
            meant = too_much or check.name.startswith(OWN_RULE)
            (refusals if meant else failing).setdefault(check.name, check.sentence)
    for problem in taken.problems:
        if problem.severity != "failure":
            continue
        if problem.field.startswith(_MATERIALS):
            refusals.setdefault(problem.field, problem.message)
        else:
            kind = "/".join((problem.field, *_things_named(taken.design, problem.message)))
            failing.setdefault(kind, problem.message)
    return Judged(failing, refusals)


def _things_named(design: Design, sentence: str) -> list[str]:
    """The parts and hardware that a sentence names, each once."""
    named = set(_QUOTED.findall(sentence))
    return [name for name in (*design.parts, *design.hardware) if design.thing(name).says in named]
