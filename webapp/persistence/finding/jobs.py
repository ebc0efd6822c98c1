"""What a job holds for whoever looks for it: words and sizes of its own, the names of its designs and materials."""

from __future__ import annotations

from typing import Final

from sqlalchemy import ColumnElement, or_, select

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.jobs.words import searched_words
from webapp.costing.measures.trade_words import terms_sought
from webapp.persistence.catalogue.records import MaterialRow
from webapp.persistence.designs.records import DesignMaterialRow, DesignRow
from webapp.persistence.foundation.lists import fold
from webapp.persistence.jobs.records import JobDesignRow, JobMaterialRow, JobRow

#: A figure that is looked for is a size; among materials it is one of wood or metal, never the 750 of a tin of glue.
CUT_KINDS: Final = (Kind.SHEET, Kind.BOARD, Kind.LENGTH)


def jobs_holding(words: str) -> list[ColumnElement[bool]]:
    """That a job holds each of the words somewhere; no words hold always.

    A word is looked for in the job's own words and sizes, in the names of the designs it is made from, and in the
    materials it takes or its designs usually take.
    """
    return [or_(*(_holds(word) for word in either)) for either in terms_sought(fold(words), searched_words)]


def _holds(word: str) -> ColumnElement[bool]:
    named = select(JobDesignRow.job_id).join(DesignRow, DesignRow.code == JobDesignRow.design_code)
    sought = MaterialRow.search.contains(word, autoescape=True)
    stock = select(MaterialRow.code).where(sought)
    if any(sign.isdigit() for sign in word):
        stock = stock.where(MaterialRow.kind.in_([kind.value for kind in CUT_KINDS]))
    usual = (
        select(JobDesignRow.job_id)
        .join(DesignRow, DesignRow.code == JobDesignRow.design_code)
        .join(DesignMaterialRow, DesignMaterialRow.design_id == DesignRow.id)
        .where(DesignMaterialRow.material_code.in_(stock))
    )
    return or_(
        JobRow.search.contains(word, autoescape=True),
        JobRow.id.in_(named.where(DesignRow.name_key.contains(word, autoescape=True))),
        JobRow.id.in_(select(JobMaterialRow.job_id).where(JobMaterialRow.material_code.in_(stock))),
        JobRow.id.in_(usual),
    )
