"""A job from a file, for the command line: its form, and where its designs, catalogue and rates come from.

The file is the job form; beside it may stand `shop` (units, currency, decimals), `designs` (by code), `catalogue` and
`rates`. What it does not hold comes from the data folder, or from the demo shop.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final, Literal, cast

from sqlalchemy.orm import Session

from webapp.costing.alternates.form import in_other_way
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.errors import FormError, MeasureError, Problem
from webapp.costing.estimate.estimate import System
from webapp.costing.estimate.snapshot import Inputs, with_lists
from webapp.costing.jobs.reader import read_job
from webapp.costing.measures.written import parse_quantity
from webapp.costing.settings.rates import SET_UP_BY, OperationRate, Rates
from webapp.costing.settings.table import MACHINES, PEOPLE, SETTINGS_BY_NAME, default_rates
from webapp.costing.settings.typed import read_setting
from webapp.design_text import read_text
from webapp.estimating import gather_inputs
from webapp.persistence.database.database import open_database, refuse_newer
from webapp.persistence.settings.shop import Shop, find_shop
from webapp.running import utc_now
from webapp.seed import load_catalogue, load_designs, load_designs_for_others, read_catalogue
from webapp.settings import Settings

Where = Literal["data", "demo"]
#: What may stand in the file beside the job form.
FILE_KEYS: Final = ("shop", "designs", "catalogue", "rates")
#: The most people at one step.
MOST_PEOPLE: Final = 20
SHOP_KEYS: Final = ("units", "currency", "decimals")
RATES_KEYS: Final = ("settings", "operations")
OPERATION_MINUTES: Final = ("set_up", "low", "likely", "high")


def load_job_file(path: Path, where: Where | None, settings: Settings) -> Inputs:
    """Everything the estimate of a job file is made from. Raises FormError with every problem where it can't be used.

    `where` says which shop fills in what the file leaves out; None takes the data folder where it holds a shop.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise FormError((Problem("file", f"{path} can't be read: {error.strerror}."),)) from None
    except UnicodeDecodeError:
        raise FormError((Problem("file", f"{path} is not text in UTF-8."),)) from None
    document, problems = read_text(text)
    if problems or document is None:
        raise FormError(tuple(problems))
    form = {key: value for key, value in document.items() if key not in FILE_KEYS}
    base = _from_shop(form, where, settings)
    found: list[Problem] = []
    base = _with_shop(base, document.get("shop"), found)
    base = _with_designs(base, document.get("designs"), found)
    base = _with_catalogue(base, document.get("catalogue"), found)
    base = replace(base, rates=_with_rates(base.rates, document.get("rates"), base.system, found))
    if any(problem.severity == "failure" for problem in found):
        raise FormError(tuple(found))
    return with_lists(replace(base, problems=(*base.problems, *found)))


def _from_shop(form: Mapping[str, Any], where: Where | None, settings: Settings) -> Inputs:
    kept = settings.database_url or (settings.data_folder / "reckoner.sqlite").exists()
    if where == "data" and not kept:
        raise FormError((Problem("shop", f"The data folder {settings.data_folder} holds no shop yet."),))
    if where != "demo" and kept:
        database = open_database(settings.database_address)
        try:
            refuse_newer(database)
            with database.reading() as session:
                shop = find_shop(session)
                if shop is not None:
                    return _gathered(session, form, shop, shop.today(utc_now()))
        finally:
            database.close()
        if where == "data":
            raise FormError((Problem("shop", f"The data folder {settings.data_folder} holds no shop yet."),))
    catalogue = load_catalogue(utc_now().date())
    designs = {str(design["design"]): design for design in (*load_designs(), *load_designs_for_others())}
    return Inputs(form, _by_item(form, designs), catalogue, default_rates(), "metric", 2, {})


def _gathered(session: Session, form: Mapping[str, Any], shop: Shop, today: date) -> Inputs:
    """What a job's form is worked out from, with the materials that its other ways name as well."""
    inputs = gather_inputs(session, form, shop, today)
    catalogue = inputs.catalogue
    for way in inputs.read_job(inputs.job)[0].alternates:
        named = gather_inputs(session, in_other_way(form, way.entry), shop, today).catalogue
        catalogue = replace(
            catalogue,
            materials={**named.materials, **catalogue.materials},
            offers={**named.offers, **catalogue.offers},
            prices={**named.prices, **catalogue.prices},
            offcuts={**named.offcuts, **catalogue.offcuts},
        )
    return replace(inputs, catalogue=catalogue)


def shop_behind(where: Where | None, settings: Settings) -> Shop | None:
    """The shop of the data folder, where it is the one that fills in what a job file leaves out."""
    if where == "demo" or not (settings.database_url or (settings.data_folder / "reckoner.sqlite").exists()):
        return None
    database = open_database(settings.database_address)
    try:
        with database.reading() as session:
            return find_shop(session)
    finally:
        database.close()


def _by_item(form: Mapping[str, Any], designs: Mapping[str, Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    job, _ = read_job(form, "metric")
    return {item.id: designs[item.design] for item in job.items if item.design in designs}


def _with_shop(base: Inputs, section: object, found: list[Problem]) -> Inputs:
    if section is None:
        return base
    if not isinstance(section, Mapping):
        found.append(Problem("shop", "“shop” should hold units, currency and decimals."))
        return base
    _only(section, SHOP_KEYS, "shop", found)
    units = section.get("units", base.system)
    if units not in ("inch", "metric"):
        found.append(Problem("shop.units", f"“{units}” is neither inch nor metric."))
        units = base.system
    currency, decimals = (
        str(section.get("currency", base.catalogue.currency)),
        str(section.get("decimals", base.places)),
    )
    if len(currency) != 3 or not currency.isalpha():
        found.append(Problem("shop.currency", f"“{currency}” is no currency code of three letters."))
    if decimals not in ("0", "1", "2", "3", "4"):
        found.append(Problem("shop.decimals", f"A currency has 0 to 4 decimals, not “{decimals}”."))
        decimals = str(base.places)
    return replace(
        base,
        system=cast(System, units),
        places=int(decimals),
        catalogue=replace(base.catalogue, currency=currency.upper()),
    )


def _with_designs(base: Inputs, section: object, found: list[Problem]) -> Inputs:
    if section is None:
        return base
    if not isinstance(section, Mapping) or not all(isinstance(design, Mapping) for design in section.values()):
        found.append(Problem("designs", "“designs” should hold designs by their code."))
        return base
    return replace(base, designs={**base.designs, **_by_item(base.job, section)})


def _with_catalogue(base: Inputs, section: object, found: list[Problem]) -> Inputs:
    if section is None:
        return base
    if not isinstance(section, Mapping):
        found.append(Problem("catalogue", "“catalogue” should hold suppliers and materials."))
        return base
    own, problems = read_catalogue(section, base.catalogue.today, base.catalogue.currency)
    found += [Problem(f"catalogue.{one.field}", one.message, one.severity) for one in problems]
    return replace(base, catalogue=_over(base.catalogue, own))


def _over(under: Catalogue, own: Catalogue) -> Catalogue:
    """One catalogue over another: a material that the file names is the file's alone."""
    gone = {offer.id for code in own.materials for offer in under.offers.get(code, ())}
    return replace(
        under,
        materials={**under.materials, **own.materials},
        offers={**{code: offers for code, offers in under.offers.items() if code not in own.materials}, **own.offers},
        prices={**{offer: prices for offer, prices in under.prices.items() if offer not in gone}, **own.prices},
    )


def _with_rates(rates: Rates, section: object, system: System, found: list[Problem]) -> Rates:
    if section is None:
        return rates
    if not isinstance(section, Mapping):
        found.append(Problem("rates", "“rates” should hold settings and operations."))
        return rates
    _only(section, RATES_KEYS, "rates", found)
    values = dict(rates.values)
    sources = dict(rates.sources)
    for name, text in _entries(section.get("settings"), "rates.settings", found):
        if name not in SETTINGS_BY_NAME:
            found.append(Problem(f"rates.settings.{name}", f"The shop has no setting called “{name}”."))
            continue
        try:
            values[name] = read_setting(SETTINGS_BY_NAME[name], str(text), system)
            sources[name] = "the job's file"
        except MeasureError as error:
            found.append(Problem(f"rates.settings.{name}", error.reason))
    operations = dict(rates.operations)
    for name, entry in _entries(section.get("operations"), "rates.operations", found):
        operation = _operation(name, entry, operations.get(name), found)
        if operation is not None:
            operations[name] = operation
    own = rates.own | {name for name in values if values[name] != rates.values.get(name)}
    return replace(rates, values=values, sources=sources, operations=operations, own=frozenset(own))


def _only(section: Mapping[str, Any], known: tuple[str, ...], field: str, found: list[Problem]) -> None:
    """Name every key that would do nothing."""
    for key in section:
        if key not in known:
            found.append(
                Problem(f"{field}.{key}", f"“{key}” is nothing that {field} can hold; it holds {', '.join(known)}.")
            )


def _entries(section: object, field: str, found: list[Problem]) -> list[tuple[str, Any]]:
    if section is None:
        return []
    if not isinstance(section, Mapping):
        found.append(Problem(field, f"“{field}” should hold named entries."))
        return []
    return list(section.items())


def _operation(name: str, entry: object, known: OperationRate | None, found: list[Problem]) -> OperationRate | None:
    field = f"rates.operations.{name}"
    if not isinstance(entry, Mapping):
        found.append(Problem(field, f"“{name}” should hold set_up, low, likely, high and so on."))
        return None
    nothing = parse_quantity("0", "number", "metric")
    start = known or OperationRate(name, name.replace("_", " "), nothing, nothing, nothing, nothing)
    changed: dict[str, Any] = {"source": "the job's file"}
    for key, text in entry.items():
        try:
            if key == "set_up_every":
                changed[key] = parse_quantity(str(text), "number", "metric")
            elif key == "set_up_by" and text in SET_UP_BY:
                changed[key] = str(text)
            elif key in OPERATION_MINUTES:
                changed[key] = parse_quantity(str(text), "duration", "metric")
            elif key == "people":
                people = parse_quantity(str(text), "number", "metric")
                if people.denominator != 1 or not 1 <= people <= MOST_PEOPLE:
                    found.append(
                        Problem(
                            f"{field}.people",
                            f"“{name}”: “{text}” people is out of range; it goes from 1 to {MOST_PEOPLE}, whole.",
                        )
                    )
                    continue
                changed[key] = int(people)
            elif key in ("hand", "known", "on_site") and text in ("yes", "no"):
                changed[key] = str(text) == "yes"
            elif (
                (key == "by" and text in PEOPLE)
                or (key == "machine" and (text in MACHINES or text == ""))
                or key == "label"
            ):
                changed[key] = str(text)
            else:
                found.append(
                    Problem(f"{field}.{key}", f"“{key}: {text}” is nothing that the minutes of “{name}” can hold.")
                )
        except MeasureError as error:
            found.append(Problem(f"{field}.{key}", error.reason))
    operation = replace(start, **changed)
    if not 0 <= operation.low <= operation.likely <= operation.high:
        found.append(Problem(field, f"The minutes of “{name}” should go up from low to likely to high."))
        return None
    return operation
