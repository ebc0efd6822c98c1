"""Every module with tables in it, imported in one place so that the metadata is whole."""

from __future__ import annotations

from webapp.persistence import (
    audit,
    catalogue,
    counters,
    customers,
    designs,
    jobs,
    missed_passwords,
    plan_tasks,
    plans,
    quote_tables,
    rack_tables,
    rates,
    sent_forms,
    shop,
    users,
)
from webapp.persistence.base import Row

WITH_TABLES = (
    shop,
    users,
    missed_passwords,
    counters,
    audit,
    catalogue,
    designs,
    rates,
    customers,
    jobs,
    quote_tables,
    plans,
    plan_tasks,
    rack_tables,
    sent_forms,
)
METADATA = Row.metadata
