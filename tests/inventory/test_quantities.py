"""Lengths, thicknesses and numbers as surveyors write them."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from pipeline.inventory.quantities import (
    Problem,
    has_decimal_comma,
    read_length_mm,
    read_number,
    read_thickness_um,
)

SAME_LENGTH = [
    "11 3/8 in",
    '11 3/8"',
    '11-3/8"',
    "11 - 3/8 inches",
    "11⅜ in",
    "11 ⅜″",
    "11 3⁄8 in",
    "11.375 in",
    "11,3750 in",
    "28.8925 cm",
    "28,8925 cm",
    "288.925",
    " 288.925 mm ",
    "288.925\u00a0mm",
    "+288.925 MM",
]


@pytest.mark.parametrize("text", SAME_LENGTH)
def test_every_usual_writing_of_a_length_gives_the_same_mm(text: str) -> None:
    # 11.375 x 25.4 = 288.925
    assert read_length_mm("page_width", text, unit="mm", has_comma=False) == 288.925


@pytest.mark.parametrize(("unit", "length_mm"), [("mm", 12.5), ("cm", 125.0), ("in", 317.5)])
def test_a_bare_number_is_in_the_workbooks_unit(unit: str, length_mm: float) -> None:
    assert read_length_mm("page_width", "12.5", unit=unit, has_comma=False) == length_mm


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("3/8", "unit_missing"),
        ("1,234", "number_ambiguous"),
        ("1.234,5", "number_ambiguous"),
        ("1 000", "number_ambiguous"),
        ("1'000", "number_ambiguous"),
        ("1.2.3", "not_a_number"),
        ("1 ft 2 in", "not_a_number"),
        ("12 m", "not_a_number"),
        ("12 furlongs", "not_a_number"),
        ("nan", "not_a_number"),
        ("inf mm", "not_a_number"),
        ("9**9", "not_a_number"),
        ("11 3/0 in", "not_a_number"),
        ("in", "not_a_number"),
        ("12 um", "unknown_unit"),
        ("9" * 5000, "not_a_number"),
    ],
)
def test_what_can_be_read_in_two_ways_or_none_is_a_problem(text: str, code: str) -> None:
    read = read_length_mm("page_width", text, unit="mm", has_comma=False)
    assert isinstance(read, Problem)
    assert (read.code, read.level) == (code, "error")


def test_a_fraction_without_unit_is_inches_where_the_workbook_is_in_inches() -> None:
    assert read_length_mm("page_width", "11 3/8", unit="in", has_comma=False) == 288.925


def test_a_decimal_comma_elsewhere_settles_three_places() -> None:
    assert read_length_mm("page_width", "1,234", unit="cm", has_comma=True) == 12.34
    assert read_length_mm("page_width", "0,125", unit="cm", has_comma=False) == 1.25


@pytest.mark.parametrize(
    ("text", "is_comma"),
    [
        ("28,9", True),
        ("28,9 cm", True),
        ("0,125", True),
        ("1,2345", True),
        ("1,234", False),
        ("1,234.5", False),
        ("12", False),
    ],
)
def test_decimal_commas_are_told_from_thousands(text: str, is_comma: bool) -> None:
    assert has_decimal_comma(text) is is_comma


@pytest.mark.parametrize("text", ["80", "80 um", "80 µm", "80 μm", "0.08 mm", "80 microns"])
def test_thickness_is_in_um(text: str) -> None:
    assert read_thickness_um("thickness_um", text, unit="um", has_comma=False) == 80.0


def test_a_percentage_may_carry_its_sign_and_a_price_may_not() -> None:
    assert read_number("spares_pct", "3 %", has_comma=False) == 3
    price = read_number("pack_price", "3 %", has_comma=False)
    assert isinstance(price, Problem)


@hypothesis_settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 90), st.integers(1, 31))
def test_thirty_seconds_of_an_inch_are_exact(whole: int, part: int) -> None:
    expected = float((whole + Fraction(part, 32)) * Fraction(254, 10))
    assert read_length_mm("w", f"{whole} {part}/32 in", unit="mm", has_comma=False) == expected
    assert read_length_mm("w", f'{whole}-{part}/32"', unit="cm", has_comma=True) == expected


@hypothesis_settings(max_examples=60, deadline=None, derandomize=True)
@given(st.text(max_size=12))
def test_any_text_gives_a_length_or_a_problem(text: str) -> None:
    read = read_length_mm("w", text, unit="mm", has_comma=False)
    assert isinstance(read, float | Problem)
