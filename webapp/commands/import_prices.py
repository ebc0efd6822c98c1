"""`reckoner import-prices FILE`: what a file of prices would change, line by line; kept where --yes says so."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from webapp.settings import Settings


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("import-prices", help="take prices from a CSV or XLSX file")
    parser.add_argument("file", type=Path, metavar="FILE", help="the file; /prices/import asks for its columns")
    told = parser.add_mutually_exclusive_group()
    told.add_argument("--yes", action="store_true", help="keep the prices; without it they are only shown")
    told.add_argument("--dry-run", action="store_true", help="only show them, which is also done without --yes")
    parser.add_argument("--supplier", default="", metavar="CODE", help="whose prices they are where no line says so")
    parser.add_argument("--from", dest="valid_from", default="", metavar="DAY", help="the day from which they hold")
    parser.add_argument("--jumps", action="store_true", help="all prices that jump are right")
    parser.add_argument(
        "--groups", type=_words, default=frozenset(), metavar="G,G",
        help="these groups are right: jump, pack, twice, words",
    )  # fmt: skip
    parser.add_argument(
        "--lines", type=_numbers, default=frozenset(), metavar="N,N", help="these lines are right, whatever they jump"
    )
    parser.add_argument("--but", type=_numbers, default=frozenset(), metavar="N,N", help="these lines are left out")
    parser.set_defaults(run=import_prices)


def _numbers(text: str) -> frozenset[int]:
    try:
        return frozenset(int(part) for part in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no list of line numbers, such as 3,17") from None


def _words(text: str) -> frozenset[str]:
    from webapp.costing.prices.judging import GROUPS, ONE_BY_ONE

    words = frozenset(part.strip() for part in text.split(","))
    if unknown := sorted(words - (frozenset(GROUPS) - ONE_BY_ONE)):
        raise argparse.ArgumentTypeError(f"{', '.join(unknown)}: no group that is kept at one stroke")
    return words


def import_prices(arguments: argparse.Namespace) -> int:
    """Show every line, and keep the prices where that is said. Returns 2 where nothing can be."""
    from webapp.costing.errors import CostingError
    from webapp.costing.measures.manner import pointed, writing_as
    from webapp.costing.prices.file import PriceFileRefused
    from webapp.costing.prices.judging import Answers
    from webapp.opening import kept_database
    from webapp.persistence.settings.shop import load_shop
    from webapp.price_import import PricesMoved, Sent, keep_prices, known_layout, preview_prices
    from webapp.price_shelf import ShelvedFile, shelve
    from webapp.running import utc_now
    from webapp.sent_tables import read_table

    settings = Settings()
    try:
        read = read_table(arguments.file.read_bytes())
    except OSError as error:
        print(f"{arguments.file} can't be read: {error.strerror}.", file=sys.stderr)
        return 2
    except CostingError as refused:
        print(f"{arguments.file}: {refused}", file=sys.stderr)
        return 2
    groups = arguments.groups | (frozenset({"jump"}) if arguments.jumps else frozenset())
    now, answers = utc_now(), Answers(groups, arguments.lines, arguments.but)
    database = kept_database(settings)
    try:
        with database.reading() as session:
            shop = load_shop(session)
            supplier, layout = known_layout(session, read.sheets, arguments.supplier)
            sent = Sent(
                read.sheets, layout, supplier, arguments.valid_from, layout is not None, name=arguments.file.name
            )  # fmt: skip
            with writing_as(shop.manner):
                preview = preview_prices(session, shop, sent, today=shop.today(now), by="", answers=answers)
        if arguments.yes:
            kept = ShelvedFile(arguments.file.name, read.sheets, read.said, whole=True)
            preview = preview.on_shelf(shelve(settings.data_folder, kept))
            with database.writing() as session:
                keep_prices(session, preview, at=now)
    except (PriceFileRefused, PricesMoved) as refused:
        print(f"{arguments.file}: {refused}", file=sys.stderr)
        return 2
    finally:
        database.close()
    judged = preview.judged
    for said in (*read.said, *preview.file.said):
        print(said)
    for line in preview.lines:
        with writing_as(shop.manner):
            amounts = [pointed(f"{one.amount.normalize():f}") for one in (line.before, line.seen) if one is not None]
        said = " ".join(filter(None, (line.sentence, line.reason)))
        print(f"{line.group:<10} {line.place}: {line.what}  {' -> '.join(amounts)}  {said}".rstrip())
    for gone in judged.gone:
        print(f"{'gone':<10} {gone.what}: no longer in the file")
    if preview.file.unused:
        print(f"Columns that are not used: {', '.join(preview.file.unused)}.")
    counts = [f"{count} {group}" for group, count in judged.counts.items() if count]
    print(", ".join([*counts, f"{judged.others} not bought here", f"{judged.titles} without a price"]))
    if arguments.yes:
        print(f"{len(judged.keeps)} prices were kept.")
    else:
        print(f"Nothing was kept yet. --yes keeps {len(judged.keeps)} prices.")
    return 0
