"""What nobody needs any more goes from the store, a little at a time: plans, sign-ins, sent forms, drafts and more."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from webapp.persistence.database.database import Database
from webapp.persistence.drafts.records import forget_drafts
from webapp.persistence.foundation.clearing import A_TURN
from webapp.persistence.foundation.sent_forms import forget_sent_forms
from webapp.persistence.maker.records import forget_makings
from webapp.persistence.people.missed_passwords import forget_old_misses
from webapp.persistence.people.users import forget_ended_sign_ins
from webapp.persistence.plans.records import forget_plans
from webapp.persistence.plans.tasks import forget_tasks, forget_wishes
from webapp.persistence.sweeps.tasks import forget_sweeps

#: What is seen to, each with (session, moment, the most rows) -> how many went. A wish keeps its task and its plan, so
#: that wishes go first.
TURNS: Final[tuple[Callable[[Session, datetime, int], int], ...]] = (
    forget_wishes, forget_tasks, forget_plans, forget_ended_sign_ins, forget_sent_forms, forget_old_misses,
    forget_drafts, forget_makings, forget_sweeps,
)  # fmt: skip


def keep_house(database: Database, at: datetime, most: int = A_TURN) -> bool:
    """See to everything once, each in a short transaction of its own, and say whether more is left for a next turn.

    Two who do so at once leave each other's rows alone.
    """
    left_over = False
    for forget in TURNS:
        with database.writing() as session:
            left_over = forget(session, at, most) >= most or left_over
    return left_over
