"""What inputs come to in few figures, worked out once and remembered: for pages that look over many jobs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from typing import Any, Final
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.estimate.basis import PriceDoubt
from webapp.costing.estimate.estimate import ENGINE_VERSION, Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.in_hand.short import Short, read_short, short_of, short_of_document, write_short
from webapp.costing.job_price.contingency import BY_RANGE
from webapp.costing.measures.manner import manner
from webapp.costing.plans.key import frozen_for
from webapp.costing.plans.requests import Plan
from webapp.costing.settings.rates import Rates
from webapp.estimating import PlanBook, store_of
from webapp.persistence.plans.records import marks_of
from webapp.persistence.quotes.records import QuoteListed, estimates_of
from webapp.remembered import Remembered

MOST_KEPT: Final = 4_000


@dataclass(frozen=True, slots=True)
class InShort:
    """What inputs came to in few figures, which prices were in doubt, and the cut plans that this stands on."""

    short: Short
    doubts: tuple[PriceDoubt, ...]
    taken: Mapping[str, Plan]


IN_SHORT: Final = Remembered[str, InShort](MOST_KEPT)
#: Quotes as they were issued: what is kept of one never changes.
ISSUED: Final = Remembered[str, Short](MOST_KEPT)


class Reckoner:
    """Works inputs out in short, each once: what equals something worked out before is not worked out again."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self._rates: dict[int, tuple[Rates, str]] = {}

    def known(self, inputs: Inputs) -> InShort | None:
        """What the inputs came to, where that is known and stands on the best plans still."""
        found = IN_SHORT.get(self._key(inputs))
        if found is None:
            return None
        book = PlanBook(self.session)
        book.renew(found.taken.keys())
        return found if book.holds(found.taken) else None

    def work_out(self, inputs: Inputs) -> tuple[InShort, Estimate | None]:
        """What the inputs come to, and the whole estimate where it had to be made."""
        known = self.known(inputs)
        if known is not None:
            return known, None
        book = PlanBook(self.session, {frozen_for(code): plan for code, plan in inputs.plans.items()})
        estimate = estimate_inputs(inputs, book)
        found = InShort(short_of(estimate, inputs.rates), estimate.basis.doubts, dict(book.taken))
        IN_SHORT.put(self._key(inputs), found)
        return found, estimate

    def as_kept(self, inputs: Inputs, found: Estimate, version: int) -> dict[str, Any]:
        """An estimate of a job in few figures as it is kept with it, with what it follows from and the plans it stands
        on: while both are the same nobody has to work it out again."""
        marks = marks_of(self.session, found.plans.keys())
        basis = self._sums_follow_from(inputs, version) if marks.keys() == found.plans.keys() else ""
        return {**write_short(short_of(found, inputs.rates)), "basis": basis, "plans": marks}

    def still(self, kept: Mapping[str, Any], inputs: Inputs, version: int) -> Short | None:
        """What was kept of these very inputs of a job, where it stands on the plans that are kept still."""
        plans = kept.get("plans")
        if not kept.get("basis") or plans is None or kept["basis"] != self._sums_follow_from(inputs, version):
            return None
        return read_short(kept) if marks_of(self.session, plans.keys()) == plans else None

    def _sums_follow_from(self, inputs: Inputs, version: int) -> str:
        """All that the sums of a version of a job follow from, in a word: the day only where the age of prices is
        charged for."""
        aged = inputs.rates["contingency_from"] == BY_RANGE
        catalogue = inputs.catalogue if aged else replace(inputs.catalogue, today=date.min)
        asked = ENGINE_VERSION, version, tuple(inputs.designs.values()), catalogue, inputs.system, inputs.places
        return self._digest(asked, inputs)

    def _key(self, inputs: Inputs) -> str:
        """All that an estimate follows from, in a word."""
        here = store_of(self.session), manner()
        return self._digest((here, inputs.job, inputs.designs, inputs.catalogue, inputs.system, inputs.places), inputs)

    def _digest(self, asked: object, inputs: Inputs) -> str:
        told = f"{asked!r}{dict(inputs.plans)!r}{self._told(inputs.rates)}"
        return sha256(told.encode(errors="replace")).hexdigest()

    def _told(self, rates: Rates) -> str:
        held = self._rates.get(id(rates))
        if held is None or held[0] is not rates:
            held = self._rates[id(rates)] = rates, repr(rates)
        return held[1]


def issued_in_short(session: Session, quotes: Sequence[QuoteListed], rates: Rates) -> dict[UUID, Short]:
    """Quotes in few figures, as they were issued; `rates` say who does each step."""
    store = store_of(session)
    steps = sha256(repr(rates.operations).encode()).hexdigest()
    keys = {one.id: f"{store}{one.id} {steps}" for one in quotes}
    found = {name: short for name, key in keys.items() if (short := ISSUED.get(key)) is not None}
    for name, document in estimates_of(session, keys.keys() - found.keys()).items():
        found[name] = short_of_document(document, rates)
        ISSUED.put(keys[name], found[name])
    return found
