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
    from webapp.costing.design.describe import json_schema
    from webapp.costing.estimate_form import estimate_schema
    from webapp.costing.job_schema import job_schema

    made = {"job": job_schema, "design": json_schema, "estimate": estimate_schema}[arguments.form]()
    print(json.dumps(made, indent=1, ensure_ascii=False))
    return 0
