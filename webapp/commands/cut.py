"""`reckoner cut FILE.json --seconds S`: a cut request answered with the cheapest plan found, and its bound."""

from __future__ import annotations

import argparse
import json
import sys
import time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Final

LONGEST_FILE: Final = 4_000_000


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    parser = commands.add_parser("cut", help="cut pieces from sheets at the least cost")
    parser.add_argument(
        "request", type=Path, metavar="FILE.json", help="units, kerf, method, stocks and pieces; - reads standard input"
    )
    parser.add_argument(
        "--seconds", type=Fraction, default=Fraction(1), metavar="S", help="stop after so many seconds (1)"
    )
    parser.set_defaults(run=cut)


def cut(arguments: argparse.Namespace) -> int:
    """Print the plan as JSON. Returns 2 with a sentence where the request can't be used."""
    from webapp.costing.cutting.ask.form import read_cut_request, write_cut_plan
    from webapp.costing.cutting.sheets.plan import plan_sheets

    started = time.monotonic()
    if not 0 < arguments.seconds <= 3600:
        return _refuse("--seconds takes a number above 0, at most 3600.")
    try:
        text = (
            sys.stdin.read(LONGEST_FILE + 1)
            if str(arguments.request) == "-"
            else arguments.request.read_text(encoding="utf-8")
        )
        if len(text) > LONGEST_FILE:
            return _refuse(f"The request is longer than {LONGEST_FILE:,} characters.")
        document = json.loads(text, parse_float=Decimal, parse_int=Decimal)
    except OSError as error:
        return _refuse(f"{arguments.request} can't be read: {error.strerror}.")
    except (ValueError, RecursionError) as error:
        return _refuse(f"{arguments.request} is not JSON: {error}.")
    request, scale = read_cut_request(document)
    plan = plan_sheets(request, steps=10**12, seconds=float(arguments.seconds) - (time.monotonic() - started))
    print(json.dumps(write_cut_plan(plan, scale, time.monotonic() - started)))
    return 0


def _refuse(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 2
