"""The job and its assumptions, each with its source; and the closing pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict

from postprocess.report.model import Block, Bullets, Column, Paragraph, Section, Signatures, Table
from postprocess.strength.factors import RECOMMENDED, SOURCES, UNITS, NationalValues

ROLES = ("Prepared by", "Checked by", "Approved by")


def basis_section(
    job: str,
    conventions: Sequence[str],
    theory: Sequence[str],
    assumed: Sequence[tuple[str, str, str]],
    *,
    remarks: Sequence[str],
    left_out: Sequence[str],
) -> Section:
    """What is built, how signs go, what the theory leaves out, what is assumed, and what was not computed."""
    columns = Column("Assumption"), Column("Value"), Column("Source")
    blocks: list[Block] = [
        Paragraph(job),
        Paragraph("Conventions:"),
        Bullets(tuple(conventions)),
        Paragraph("What the theory leaves out:"),
        Bullets(tuple(theory)),
        Table("Assumptions and where they come from", columns, tuple(assumed)),
    ]
    if remarks:
        blocks += [Paragraph("How the input was read:"), Bullets(tuple(remarks))]
    if left_out:
        blocks += [Paragraph("Not computed:"), Bullets(tuple(left_out))]
    return Section("The job and its assumptions", tuple(blocks))


def factor_section(values: NationalValues) -> Section:
    """The values that each country may set."""
    return Section(
        "Partial factors and national values",
        (Table("EN 1992-1-1:2004 unless another standard is named", _COLUMNS, tuple(_factors(values))),),
        2,
    )


_COLUMNS = (
    Column("Key in [factors] of the case"),
    Column("Used", "right"),
    Column("Recommended", "right"),
    Column("Source"),
)


def _factors(values: NationalValues) -> Iterator[tuple[str, ...]]:
    for name, value in asdict(values).items():
        scale, unit = (1e3, " mm") if UNITS[name] == "m" else (1.0, "")
        used, usual = (f"{each * scale:.6g}{unit}" for each in (value, getattr(RECOMMENDED, name)))
        yield name, used, usual, SOURCES[name] + ("" if value == getattr(RECOMMENDED, name) else "; set in the case")


def closing_section(cautions: Sequence[str]) -> Section:
    """Cautions in full, and places to sign."""
    return Section("Cautions and signatures", (Bullets(tuple(cautions)), Signatures(ROLES)))
