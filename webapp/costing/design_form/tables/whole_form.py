"""What the short form says in the whole of a design, beside what form 1 says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from webapp.costing.design_form.tables.form_fields import Field
from webapp.costing.design_form.tables.form_made import MADE
from webapp.costing.design_form.tables.form_tables import DESIGN, INSIDE, RENAMED, USES

#: Further fields of the whole form, by the one that they stand before.
_BEFORE: Final[Mapping[str, tuple[Field, ...]]] = {
    "loose": (Field("for_others", "yes_no", "Whether it is made to be put into other designs, seldom by itself."),),
    "parts": (Field(USES.name, "section", USES.says),),
    "joints": tuple(Field(made.name, "section", made.says) for made in MADE),
    RENAMED: (Field(INSIDE, "inside", "The designs that are used in it, whole: the program keeps them there."),),
}
SHORTER_DESIGN: Final = replace(
    DESIGN,
    fields=(
        *(
            further
            for one in DESIGN.fields
            for further in (*_BEFORE.get(one.name, ()), replace(one, required=one.required and one.name != "closes"))
        ),
        Field("remarks", "section", "What whoever wrote it noted beside an entry, by the path of the entry."),
    ),
)  # fmt: skip
