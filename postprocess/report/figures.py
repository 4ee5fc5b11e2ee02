"""Figures of the report in words: signs and powers of ten as they are printed."""

from __future__ import annotations

from math import floor, log10

from postprocess.drawing import number

SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def signed(value: float, digits: int) -> str:
    """Fixed decimals with a plus or a true minus sign, none on zero."""
    said = number(value, digits)
    return f"+{said}" if value > 0 and said.strip("0.") else said


def powers(value: float) -> str:
    """Two digits and a power of ten, such as 3.2·10⁻⁵; plain figures from 0.01 up to 1000."""
    size = abs(value)
    if size == 0 or 0.01 <= size < 1000:
        return f"{value:.2g}".replace("-", "\N{MINUS SIGN}")
    exponent = floor(log10(size))
    head = f"{value / 10.0**exponent:.1f}".replace("-", "\N{MINUS SIGN}")
    return f"{head}·10{str(exponent).translate(SUPERSCRIPTS)}"
