"""Every module with tables in it, imported in one place so that the metadata is whole."""

from __future__ import annotations

from webapp.persistence.buying_lists import tables as buying_lists
from webapp.persistence.catalogue import price_imports, rack_tables, stock_tables
from webapp.persistence.catalogue import records as catalogue
from webapp.persistence.designs import records as designs
from webapp.persistence.drafts import records as drafts
from webapp.persistence.earlier_jobs import tables as earlier_jobs
from webapp.persistence.foundation import audit, counters, sent_forms
from webapp.persistence.foundation.base import Row
from webapp.persistence.jobs import attachments, cards, customers, made_before, ticks
from webapp.persistence.jobs import records as jobs
from webapp.persistence.maker import records as maker
from webapp.persistence.people import missed_passwords, put_away, users
from webapp.persistence.plans import records as plans
from webapp.persistence.plans import tasks as plan_tasks
from webapp.persistence.quotes import mails
from webapp.persistence.quotes import tables as quote_tables
from webapp.persistence.receipts import tables as receipts
from webapp.persistence.settings import logo, mail, rates, shop
from webapp.persistence.sweeps import tasks as sweeps

WITH_TABLES = (
    shop,
    users,
    missed_passwords,
    counters,
    audit,
    catalogue,
    price_imports,
    designs,
    rates,
    customers,
    jobs,
    cards,
    ticks,
    made_before,
    put_away,
    quote_tables,
    plans,
    plan_tasks,
    sweeps,
    rack_tables,
    stock_tables,
    sent_forms,
    drafts,
    maker,
    logo,
    attachments,
    mail,
    mails,
    buying_lists,
    receipts,
    earlier_jobs,
)
METADATA = Row.metadata
