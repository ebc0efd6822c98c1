"""What may be chosen for the places of a job's designs: all of a kind where it is few, else the likest and a search."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue import Kind
from webapp.costing.estimate import Estimate
from webapp.costing.snapshot import Inputs
from webapp.pages.job_fields import Options
from webapp.persistence.stock import count_kinds, find_alike

#: A kind of which there are no more stands whole in the lists to choose from.
MOST_TO_CHOOSE: Final = 60
#: Of a kind with more, so many of the likest for each place in the job's designs.
LIKEST: Final = 20


@dataclass(frozen=True, slots=True)
class ToChoose:
    """The materials to choose from by kind, and whether some kind has more than stand there."""

    stock: Mapping[Kind, Options]
    words: str
    is_part: bool


def stock_to_choose(session: Session, inputs: Inputs, found: Estimate, words: str) -> ToChoose:
    """The materials for each kind that the job's designs use; with words, those that hold them."""
    counts, known = count_kinds(session), inputs.catalogue.materials
    usual: dict[Kind, dict[str, Mapping[str, Fraction]]] = {}
    for item in found.items:
        for role in item.take_off.design.roles.values():
            values = known[role.usual].values if role.usual in known else {}
            usual.setdefault(role.kind, {})[role.usual] = values
    stock: dict[Kind, Options] = {}
    is_part = False
    for kind, places in usual.items():
        if counts.get(kind, 0) <= MOST_TO_CHOOSE:
            stock[kind] = find_alike(session, kind, (), "", MOST_TO_CHOOSE)
        else:
            is_part = True
            stock[kind] = find_alike(session, kind, list(places.values()), words, LIKEST)
    return ToChoose(stock, words, is_part)
