"""The command `reckoner`: finds the commands in webapp/commands and runs the one that was typed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from pkgutil import iter_modules

from pydantic import ValidationError

import webapp.commands
from webapp.costing.errors import CostingError
from webapp.persistence.foundation.errors import StoreError

BAD_INPUT = 2


def build_parser() -> argparse.ArgumentParser:
    """The parser with every command in it."""
    parser = argparse.ArgumentParser(prog="reckoner", description="Reckon what a bench costs, and say how.")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for module in sorted(iter_modules(webapp.commands.__path__), key=lambda found: found.name):
        import_module(f"webapp.commands.{module.name}").add_to(commands)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status: 2 with a sentence where what was given can't be used."""
    given = build_parser().parse_args(arguments)
    try:
        status: int = given.run(given)
    except (CostingError, StoreError) as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except ValidationError as error:
        for problem in error.errors():
            name = ".".join(str(step) for step in problem["loc"])
            print(f"The setting {name} can't be {problem['input']!r}: {problem['msg']}.", file=sys.stderr)
        return BAD_INPUT
    return status


if __name__ == "__main__":
    sys.exit(main())
