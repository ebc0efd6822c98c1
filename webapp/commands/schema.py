"""`reckoner schema job|design|estimate`: JSON Schema of the forms that the program reads and writes."""

from __future__ import annotations

import argparse
import json


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command."""
    parser = commands.add_parser("schema", help="print the JSON Schema of a form")
    parser.add_argument("form", choices=("job", "design", "estimate"))
    parser.set_defaults(run=schema)


def schema(arguments: argparse.Namespace) -> int:
    """Print the schema."""
    # Each form has its own room; what is not asked for is not loaded.
    match arguments.form:
        case "job":
            from webapp.costing.jobs.schema import job_schema as made
        case "design":
            from webapp.costing.design_form.schema import json_schema as made
        case _:
            from webapp.costing.estimate.form import estimate_schema as made
    print(json.dumps(made(), indent=1, ensure_ascii=False))
    return 0
