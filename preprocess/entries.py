"""What a single value in a case file may be: numbers within a range, text, choices, points.

Each kind is pydantic metadata that refuses with one plain phrase saying what is allowed.
"""

from __future__ import annotations

import datetime as dt
import unicodedata
from collections.abc import Iterable
from typing import Annotated, TypeAlias, TypeGuard

from pydantic import BeforeValidator, PlainValidator, TypeAdapter
from pydantic_core import PydanticCustomError

from preprocess.wording import nearest

REFUSED = "refused"
"""Type of the pydantic errors whose message already says what is allowed."""

FARTHEST_MM = 1_000_000
FARTHEST_ORIGIN_MM = 100_000_000_000
"""Coordinates of a country's grid stay below."""
LEAST_SIDE_MM = 100
"""Of a rectangle; less is a slip of the pen."""

HEAVIEST_KG = 1_000_000
"""Of a piece of equipment."""

LONGEST_TEXT = 200
LONGEST_CODE = 24

FORMULA_STARTS = ("=", "+", "-", "@")
"""Spreadsheets take a cell that starts with one of these for a formula."""

CODE_ALLOWED = f"one line of 1 to {LONGEST_CODE} printable characters that does not start with = + - or @"


def refusal(allowed: str) -> PydanticCustomError:
    """The error that says what is allowed."""
    return PydanticCustomError(REFUSED, "{allowed}", {"allowed": allowed})


def is_number(value: object) -> TypeGuard[int | float]:
    """Whether a TOML value is a number; true and false are not."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def number(low: float, high: float, unit: str = "") -> BeforeValidator:
    """A finite number from low to high, both allowed."""
    allowed = f"a number from {low:,.10g} to {high:,.10g} {unit}".rstrip()

    def check(value: object) -> float:
        if is_number(value) and low <= value <= high:
            return float(value)
        raise refusal(allowed)

    return BeforeValidator(check)


def day(value: object) -> dt.date:
    """A date as TOML has it, without a time."""
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    raise refusal("a date without quotes and without a time, such as 2026-05-28")


Day: TypeAlias = Annotated[dt.date, PlainValidator(day)]


def positive(high: float, unit: str = "") -> BeforeValidator:
    """A finite number above 0, at most high."""
    allowed = f"a number above 0, at most {high:,.10g} {unit}".rstrip()

    def check(value: object) -> float:
        if is_number(value) and 0 < value <= high:
            return float(value)
        raise refusal(allowed)

    return BeforeValidator(check)


def whole_number(low: int, high: int) -> BeforeValidator:
    """An integer from low to high, both allowed."""

    def check(value: object) -> int:
        if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
            return value
        raise refusal(f"a whole number from {low} to {high}")

    return BeforeValidator(check)


def one_of(names: Iterable[str], kind: str) -> BeforeValidator:
    """One of a few names."""
    known = tuple(names)

    def check(value: object) -> str:
        if isinstance(value, str) and value.strip() in known:
            return value.strip()
        raise refusal(nearest(value, known, kind) if isinstance(value, str) else f"one of {', '.join(known)}")

    return BeforeValidator(check)


def text(value: object) -> str:
    """One line of text, perhaps empty, without blanks at its ends."""
    if isinstance(value, str) and len(value) <= LONGEST_TEXT:
        stripped = value.strip()
        if not any(unicodedata.category(letter) == "Cc" for letter in stripped):
            return stripped
    raise refusal(f"one line of text in quotes, at most {LONGEST_TEXT} characters")


def name(value: object) -> str:
    """One line of text that is not empty."""
    stripped = text(value)
    if not stripped:
        raise refusal("text that is not empty")
    return stripped


def is_code(value: str) -> bool:
    """Whether text without blanks at its ends can be the id of a jack or the code of a spring.

    It goes into CSV, the terminal and drawings as it stands.
    """
    return 0 < len(value) <= LONGEST_CODE and value.isprintable() and not value.startswith(FORMULA_STARTS)


def code(value: object) -> str:
    """A short name that stands in tables and drawings."""
    if isinstance(value, str) and is_code(value.strip()):
        return value.strip()
    raise refusal(CODE_ALLOWED)


def point_mm(value: object) -> tuple[float, float]:
    """A point [x, y] in mm."""
    if isinstance(value, list) and len(value) == 2:
        x, y = value
        if is_number(x) and is_number(y) and abs(x) <= FARTHEST_MM and abs(y) <= FARTHEST_MM:
            return float(x), float(y)
    raise refusal(f"a point [x, y] of two numbers in mm, each within ±{FARTHEST_MM:,} of the datum")


def origin_mm(value: object) -> tuple[float, float]:
    """A point [x, y] of a drawing in mm, perhaps far away."""
    if isinstance(value, list) and len(value) == 2:
        x, y = value
        if is_number(x) and is_number(y) and abs(x) <= FARTHEST_ORIGIN_MM and abs(y) <= FARTHEST_ORIGIN_MM:
            return float(x), float(y)
    raise refusal("a point [x, y] of the drawing, two numbers in mm")


def masses(value: object) -> dict[str, float]:
    """Masses in kg by name of block."""
    if isinstance(value, dict) and all(is_number(mass) and 0 < mass <= HEAVIEST_KG for mass in value.values()):
        return {str(name): float(mass) for name, mass in value.items()}
    raise refusal(f"a mass in kg above 0, at most {HEAVIEST_KG:,}, for each name of a block")


def band(value: object) -> tuple[float, float]:
    """A lower and an upper ratio, [lower, upper]."""
    if isinstance(value, list) and len(value) == 2:
        lower, upper = value
        if is_number(lower) and is_number(upper) and 0 < lower < upper <= 10:
            return float(lower), float(upper)
    raise refusal("two numbers [lower, upper] with 0 < lower < upper, at most 10")


def band_within(low: float, high: float, unit: str) -> PlainValidator:
    """A range [from, to] within low to high; from may equal to."""
    allowed = f"two numbers [from, to] in {unit}, from not above to, both within {low:,.10g} to {high:,.10g} {unit}"

    def check(value: object) -> tuple[float, float]:
        if isinstance(value, list) and len(value) == 2:
            start, end = value
            if is_number(start) and is_number(end) and low <= start <= end <= high:
                return float(start), float(end)
        raise refusal(allowed)

    return PlainValidator(check)


def rectangle_mm(value: object) -> tuple[tuple[float, float], tuple[float, float]]:
    """A rectangle by two opposite corners in mm, given back as its low and its high corner."""
    if isinstance(value, list) and len(value) == 2:
        (x, y), (u, v) = (point_mm(corner) for corner in value)
        if abs(u - x) >= LEAST_SIDE_MM and abs(v - y) >= LEAST_SIDE_MM:
            return (min(x, u), min(y, v)), (max(x, u), max(y, v))
    raise refusal(f"two opposite corners [[x, y], [x, y]] in mm, {LEAST_SIDE_MM} mm or more apart both in x and in y")


def sheet_mm(value: object) -> tuple[float, float]:
    """The two sides of a sheet of fabric in mm."""
    if isinstance(value, list) and len(value) == 2 and all(is_number(side) and 500 <= side <= 20_000 for side in value):
        return float(value[0]), float(value[1])
    raise refusal("two sides [length, width] in mm, each a number from 500 to 20,000 mm")


def factor_triple(value: object) -> tuple[float, float, float]:
    """Factors of three harmonics."""
    if isinstance(value, list) and len(value) == 3 and all(is_number(item) and 0 <= item <= 5 for item in value):
        first, second, third = (float(item) for item in value)
        if first + second + third > 0:
            return first, second, third
    raise refusal("three numbers from 0 to 5, of harmonics 1 to 3, one of them above 0")


Text: TypeAlias = Annotated[str, PlainValidator(text)]
Name: TypeAlias = Annotated[str, PlainValidator(name)]
Code: TypeAlias = Annotated[str, PlainValidator(code)]
Point: TypeAlias = Annotated[tuple[float, float], PlainValidator(point_mm)]
Origin: TypeAlias = Annotated[tuple[float, float], PlainValidator(origin_mm)]
Masses: TypeAlias = Annotated[dict[str, float], PlainValidator(masses)]
Band: TypeAlias = Annotated[tuple[float, float], PlainValidator(band)]
Rectangle: TypeAlias = Annotated[tuple[tuple[float, float], tuple[float, float]], PlainValidator(rectangle_mm)]
FactorTriple: TypeAlias = Annotated[tuple[float, float, float], PlainValidator(factor_triple)]
SheetMm: TypeAlias = Annotated[tuple[float, float], PlainValidator(sheet_mm)]
FootprintMm: TypeAlias = Annotated[float, number(1, 2000, "mm")]
FootMm: TypeAlias = Annotated[float, number(1, 5000, "mm")]

POINT = TypeAdapter[tuple[float, float]](Point)
RECTANGLE = TypeAdapter[tuple[tuple[float, float], tuple[float, float]]](Rectangle)
NAME = TypeAdapter[str](Name)
CODE = TypeAdapter[str](Code)
POINTS = TypeAdapter[list[tuple[float, float]]](list[Point])
SHEET_MM = TypeAdapter[tuple[float, float]](SheetMm)
FOOTPRINT_MM = TypeAdapter[float](FootprintMm)
FOOT_MM = TypeAdapter[float](FootMm)
