"""A list of parts as text, a row on each line and its cells parted by tabs; read back, it is the same list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from webapp.costing.measures.typed_numbers import as_kept
from webapp.costing.measures.typed_text import as_shown
from webapp.costing.part_lists.pasted import COLUMNS, NUMBERS
from webapp.costing.tables.table import TableRefused, find_columns, plain_cell, read_rows

#: The columns in the order in which they are written.
WRITTEN: Final = ("name", "count", "length", "width", "thickness", "material", "grain", "edges", "band")
#: Those that are there even where nothing stands in them, so that the heading is known again.
ALWAYS: Final = ("name", "length", "material")


def write_rows(parts: Iterable[Mapping[str, object]]) -> str:
    """The rows of a list beneath their heading; columns in which nothing stands are left out.

    >>> write_rows([{"name": "Shelf", "length": "800 mm", "material": "birch"}])
    'name\\tlength\\tmaterial\\nShelf\\t800 mm\\tbirch'
    """
    rows = [[plain_cell(_as_written(name, str(part.get(name, "")))) for name in WRITTEN] for part in parts]
    kept = [at for at, name in enumerate(WRITTEN) if name in ALWAYS or any(row[at] for row in rows)]
    table = [[WRITTEN[at] for at in kept], *([_quoted(row[at]) for at in kept] for row in rows)]
    return "\n".join("\t".join(cells) for cells in table)


def _as_written(name: str, kept: str) -> str:
    return as_shown(kept) if name in NUMBERS else kept


def _quoted(cell: str) -> str:
    """A cell with a quote in it, so that it is read back as it is: inches are marked by one."""
    return cell if '"' not in cell else f'"{cell.replace(chr(34), chr(34) * 2)}"'


def read_text_rows(text: str) -> tuple[list[dict[str, str]], str]:
    """The rows that were typed as text, as entries of the job form; and what of it is no table, which stays as it is.

    Nothing is judged here: what is wrong with a row is said where the list is read.
    """
    try:
        table = find_columns(read_rows(text), COLUMNS, WRITTEN)
    except TableRefused:
        return [], text
    entries, left = [], []
    for row in table.rows:
        if table.too_many(row):
            left.append(row.text)
        else:
            cells = {name: cell for name, cell in table.cells_of(row).items() if cell}
            entries.append({name: as_kept(cell) if name in NUMBERS else cell for name, cell in cells.items()})
    return entries, "\n".join(left)
