"""A list as a table, to be written as comma-separated values and as a sheet of the workbook alike."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from postprocess.tables import write_table

FORMULA_STARTS = ("=", "+", "-", "@")
"""Spreadsheets take text that starts with one of these for a formula; in CSV an apostrophe before it keeps it text."""

Cell: TypeAlias = "str | float | int | None"


@dataclass(frozen=True)
class Column:
    """key: name in CSV, with its unit. heading: in the workbook, with its unit. digits: decimals, None for text."""

    key: str
    heading: str
    digits: int | None = None


@dataclass(frozen=True)
class ListTable:
    """name: of the sheet. file: of the CSV, "" where there is none. rows: a cell for each column.

    totals: rows below them, in the workbook alone. Numbers are in the units of the headings, unrounded.
    """

    name: str
    file: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    totals: tuple[tuple[Cell, ...], ...]


def write_csv(table: ListTable, folder: Path) -> None:
    """Write the rows of a table as comma-separated values in UTF-8, numbers with the decimals of their columns."""
    rows = [[_text(cell, column) for cell, column in zip(row, table.columns, strict=True)] for row in table.rows]
    write_table([column.key for column in table.columns], rows, folder / table.file)


def _text(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell
    return f"{cell:z.{column.digits or 0}f}"
