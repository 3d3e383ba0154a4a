"""Every factor and every rounding of the project. Nowhere else stands a 1000 or a 25.4.

Lengths are mm, thicknesses um, areas m2, times minutes inside solvers and hours in tables.
Solvers see whole numbers: um, minutes, and ticks (0.5 mm, or 1/32 in where the lab works in inches).
"""

import math
from datetime import date
from fractions import Fraction

MM_PER_INCH = 25.4
MM_PER_CM = 10.0
UM_PER_MM = 1000.0
MM2_PER_M2 = 1_000_000.0
MINUTES_PER_HOUR = 60
HALF_HOUR_MINUTES = 30
HALF_HOURS_PER_HOUR = 2
HOURS_PER_DAY = 24
MINUTES_PER_DAY = HOURS_PER_DAY * MINUTES_PER_HOUR
DAYS_PER_WEEK = 7
MONTHS_PER_YEAR = 12
YEARS_PER_CENTURY = 100.0
PCT_OF_WHOLE = 100.0
GRAMS_PER_POUND = 453.59237
SHEETS_PER_REAM = 500
STANDARD_GRAVITY_M_S2 = 9.80665
INCH_FRACTION = 32
MONEY_PARTS = 100
"""Hundredths in a unit of currency: solvers count money in whole hundredths."""
BENEFIT_PARTS = 1_000_000
"""Millionths in a page-equivalent: solvers count benefit in whole millionths."""
BENEFIT_TICKS = 10**12
"""Parts of a page-equivalent in which benefits are compared when sheets are chosen."""
PRICE_TICKS = 10**6
"""Parts of the currency in which prices of a square metre are compared when sheets are chosen."""
FLOOR_GUARD = 1e-6
"""Added before rounding down, so that binary fractions do not cost a micrometre or a tick."""

MM_PER_LENGTH_UNIT = {"mm": 1.0, "cm": MM_PER_CM, "in": MM_PER_INCH}


def to_mm(value: float, unit: str) -> float:
    """Length in mm of `value` in `unit` (mm, cm or in). Raises KeyError on another unit."""
    return value * MM_PER_LENGTH_UNIT[unit]


def from_mm(length_mm: float, unit: str) -> float:
    """Length in `unit` (mm, cm or in) of a length in mm. Raises KeyError on another unit."""
    return length_mm / MM_PER_LENGTH_UNIT[unit]


def floor_um(length_mm: float) -> int:
    """Whole um in a length in mm, rounded down after adding 1e-6 um (trade model, section 5)."""
    return math.floor(length_mm * UM_PER_MM + FLOOR_GUARD)


def ceil_um(thickness_um: float) -> int:
    """Fewest whole um that are at least a sheet's thickness: what it takes of the headroom, never nothing."""
    return max(1, math.ceil(thickness_um - FLOOR_GUARD))


def um_to_mm(length_um: int) -> float:
    """Length in mm of whole um."""
    return length_um / UM_PER_MM


def tick_mm(length_unit: str) -> float:
    """Size of one cutting step in mm: 1/32 in where the lab works in inches, else 0.5 mm."""
    return MM_PER_INCH / INCH_FRACTION if length_unit == "in" else 0.5


def tick_fraction_mm(length_unit: str) -> Fraction:
    """Size of one cutting step in mm as an exact fraction: 127/160 where the lab works in inches, else 1/2."""
    return Fraction(str(MM_PER_INCH)) / INCH_FRACTION if length_unit == "in" else Fraction(1, 2)


def ticks_up(length_mm: float, length_unit: str) -> int:
    """Fewest whole ticks that are at least `length_mm`: for what is needed."""
    return math.ceil(length_mm / tick_mm(length_unit) - FLOOR_GUARD)


def ticks_down(length_mm: float, length_unit: str) -> int:
    """Most whole ticks that fit in `length_mm`: for what is supplied."""
    return math.floor(length_mm / tick_mm(length_unit) + FLOOR_GUARD)


def ticks_to_mm(ticks: int, length_unit: str) -> float:
    """Length in mm of whole ticks. Exact for 0.5 mm ticks."""
    if length_unit == "in":
        return ticks * MM_PER_INCH / INCH_FRACTION
    return ticks / 2


def ticks_to_um(ticks: int, length_unit: str) -> int:
    """Whole um in a number of ticks, rounded down; exact for 0.5 mm ticks."""
    return floor_um(ticks_to_mm(ticks, length_unit))


def pct_of_area_mm2(width_mm: float, height_mm: float, pct: float) -> int:
    """Whole mm2 in so many per cent of a rectangle's area, rounded down."""
    return math.floor(width_mm * height_mm * pct / PCT_OF_WHOLE + FLOOR_GUARD)


def area_m2(width_mm: float, height_mm: float) -> float:
    """Area in m2 of a rectangle given in mm."""
    return width_mm * height_mm / MM2_PER_M2


def hours(minutes: float) -> float:
    """Minutes as hours."""
    return minutes / MINUTES_PER_HOUR


def half_hours_down(hours_worked: float) -> int:
    """Whole half-hours in a number of hours, rounded down: working time is a supply."""
    return math.floor(hours_worked * HALF_HOURS_PER_HOUR + FLOOR_GUARD)


def grammage_gsm(pounds: float, basis_width_in: float, basis_height_in: float) -> float:
    """Grammage in g/m2 of a paper sold by the pound per 500 sheets of a basis size in inches."""
    grams_per_sheet = pounds * GRAMS_PER_POUND / SHEETS_PER_REAM
    return grams_per_sheet / area_m2(basis_width_in * MM_PER_INCH, basis_height_in * MM_PER_INCH)


def inch_text(length_mm: float) -> str:
    """A length in mm as inches in 1/32, written as a bench would: `11 3/8 in`."""
    thirty_seconds = math.floor(length_mm / MM_PER_INCH * INCH_FRACTION + 0.5)
    whole, rest = divmod(thirty_seconds, INCH_FRACTION)
    if rest == 0:
        return f"{whole} in"
    part = Fraction(rest, INCH_FRACTION)
    fraction = f"{part.numerator}/{part.denominator}"
    return f"{whole} {fraction} in" if whole else f"{fraction} in"


def length_text(length_mm: float, length_unit: str) -> str:
    """A length in mm as the lab writes it: `287.5 mm`, `28.75 cm` or `11 5/16 in`."""
    if length_unit == "in":
        return inch_text(length_mm)
    value = length_mm / MM_PER_LENGTH_UNIT[length_unit]
    return f"{value:.10g} {length_unit}"


def hundredths_up(cost: float) -> int:
    """Fewest whole hundredths of the currency that cover a cost: for what is needed."""
    return math.ceil(cost * MONEY_PARTS - FLOOR_GUARD)


def hundredths_down(money: float) -> int:
    """Most whole hundredths of the currency in an amount: for what there is."""
    return math.floor(money * MONEY_PARTS + FLOOR_GUARD)


def months_later(day: date, years: float) -> date:
    """First day of the month that lies so many years (whole months, rounded down) after a day's month."""
    months = day.year * MONTHS_PER_YEAR + day.month - 1 + math.floor(years * MONTHS_PER_YEAR + FLOOR_GUARD)
    return date(months // MONTHS_PER_YEAR, months % MONTHS_PER_YEAR + 1, 1)


def minutes_up(minutes: float) -> int:
    """Fewest whole minutes that are at least `minutes`: for what is needed."""
    return math.ceil(minutes - FLOOR_GUARD)


def millionths(benefit: float) -> int:
    """Benefit in whole millionths of a page-equivalent, rounded down."""
    return math.floor(benefit * BENEFIT_PARTS + FLOOR_GUARD)


def exact_mm(value: Fraction, unit: str) -> float:
    """Length in mm of an exact `value` in mm, cm or in, rounded once. 11 3/8 in is 288.925."""
    return float(value * Fraction(str(MM_PER_LENGTH_UNIT[unit])))


def exact_um(value: Fraction, unit: str) -> float:
    """Length in um of an exact `value` in mm, cm or in, rounded once. 0.1 mm is 100."""
    return float(value * Fraction(str(MM_PER_LENGTH_UNIT[unit])) * Fraction(UM_PER_MM))


def density_g_cm3(grammage: float, thickness_um: float) -> float:
    """Apparent density in g/cm3 of a sheet of g/m2 and um: the factors of a million cancel."""
    return grammage / thickness_um


def nearest_millionths(benefit: float) -> int:
    """Whole millionths nearest to a bound that a solver reports in page-equivalents."""
    return math.floor(benefit * BENEFIT_PARTS + 0.5)


def pct_down(amount: int, pct: int) -> int:
    """So many per cent of a whole amount, rounded down."""
    return amount * pct // int(PCT_OF_WHOLE)
