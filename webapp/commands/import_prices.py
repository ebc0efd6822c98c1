"""`reckoner import-prices FILE.csv`: what a file of prices would change, line by line; kept where --yes says so."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from webapp.settings import Settings


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("import-prices", help="take prices from a CSV file")
    parser.add_argument("file", type=Path, metavar="FILE.csv", help="the file; /prices/import shows its columns")
    parser.add_argument("--yes", action="store_true", help="keep the prices; without it they are only shown")
    parser.add_argument("--supplier", default="", metavar="CODE", help="whose prices they are where no line says so")
    parser.add_argument("--jumps", action="store_true", help="all prices that jump are right")
    parser.add_argument(
        "--lines", type=_numbers, default=frozenset(), metavar="N,N", help="these lines are right, whatever they jump"
    )
    parser.set_defaults(run=import_prices)


def _numbers(text: str) -> frozenset[int]:
    try:
        return frozenset(int(part) for part in text.split(","))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no list of line numbers, such as 3,17") from None


def import_prices(arguments: argparse.Namespace) -> int:
    """Show every line, and keep the prices where that is said. Returns 2 where the file can't be read."""
    from webapp.costing.measures.manner import pointed, writing_as
    from webapp.costing.prices.file import decode_prices
    from webapp.opening import kept_database
    from webapp.persistence.settings.shop import load_shop
    from webapp.price_import import Answers, keep_prices, preview_prices
    from webapp.running import utc_now

    try:
        text = decode_prices(arguments.file.read_bytes())
    except OSError as error:
        print(f"{arguments.file} can't be read: {error.strerror}.", file=sys.stderr)
        return 2
    now, answers = utc_now(), Answers(arguments.jumps, arguments.lines)
    database = kept_database(Settings())
    try:
        with database.writing() if arguments.yes else database.reading() as session:
            shop = load_shop(session)
            with writing_as(shop.manner):
                preview = preview_prices(
                    session, shop, text, today=shop.today(now), by="", answers=answers, supplier=arguments.supplier
                )
            kept = keep_prices(session, preview, arguments.file.name, at=now) if arguments.yes else 0
    finally:
        database.close()
    for line in preview.lines:
        with writing_as(shop.manner):
            moved = " -> ".join(pointed(f"{one.normalize():f}") for one in (line.before, line.after) if one is not None)
        print(f"{line.state:<10} line {line.number}: {line.what}  {moved}  {line.sentence}".rstrip())
    if preview.unused:
        print(f"Columns that are not used: {', '.join(preview.unused)}.")
    print(", ".join(f"{count} {state}" for state, count in preview.counts.items()))
    if arguments.yes:
        print(f"{kept} prices were kept.")
    else:
        print(f"Nothing was kept yet. --yes keeps {len(preview.keeps)} prices.")
    return 0
