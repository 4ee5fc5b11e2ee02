"""All checks of a run in tables: those of the floor, and those of the program on itself."""

from __future__ import annotations

from collections.abc import Sequence

from postprocess.checks import Check
from postprocess.report.figures import powers
from postprocess.report.governing import is_own
from postprocess.report.model import Column, Paragraph, Section, Table
from postprocess.strength_marks_figure import shown_pair
from postprocess.strength_table_figure import check_use, verdict

COLUMNS = (
    Column("No.", "right"),
    Column("Check"),
    Column("Value", "right"),
    Column("Limit", "right"),
    Column("Unit"),
    Column("Use", "right"),
    Column("Verdict"),
    Column("Place; combination"),
    Column("Basis"),
)
TINY = 1e-3
"""Values below this are written with a power of ten."""


def check_section(checks: Sequence[Check]) -> Section:
    """Every check of the run, none left out."""
    missed = sum(not check.ok for check in checks)
    verdict_words = "All are met." if not missed else f"{missed} of {len(checks)} are NOT MET; their rows are marked."
    return Section(
        "Checks",
        (
            Paragraph(
                f"{len(checks)} checks. {verdict_words} Use is the value over its limit, or the limit over the value "
                "where the limit is the least allowed; 1 is full use, – says nothing. Clauses are those of EN "
                "1992-1-1:2004 unless another standard is named."
            ),
            check_table("Checks of the floor", [check for check in checks if not is_own(check)]),
            check_table("Checks of the program on itself and its theory", [check for check in checks if is_own(check)]),
        ),
    )


def check_table(caption: str, checks: Sequence[Check]) -> Table:
    """A row a check, those not met marked."""
    rows = tuple(_row(number, check) for number, check in enumerate(checks, 1))
    return Table(caption, COLUMNS, rows, frozenset(i for i, check in enumerate(checks) if not check.ok))


def _row(number: int, check: Check) -> tuple[str, ...]:
    value, limit = _figures(check)
    sign = "≤" if check.sense == "at most" else "≥"
    where = "; ".join(words for words in (check.where, check.combination) if words)
    unit = check.unit.replace("mm2", "mm²")
    return (
        *(str(number), check.name, value, f"{sign}\N{NO-BREAK SPACE}{limit}", unit),
        *(check_use(check), verdict(check), where, check.basis),
    )


def _figures(check: Check) -> tuple[str, str]:
    """Value and limit; in powers of ten where they are so small that decimals would say nothing."""
    if 0 < abs(check.limit) < TINY:
        return powers(check.value), powers(check.limit)
    return shown_pair(check.value, check.limit)
