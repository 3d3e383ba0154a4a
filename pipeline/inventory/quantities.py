"""Numbers, lengths and thicknesses as surveyors write them, read exactly.

`11 3/8 in`, `11-3/8"`, `11⅜ in`, `28.9 cm`, `28,9 cm`, a bare number in the workbook's unit. Nothing is
guessed: what can be read in two ways is a problem that names both.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from unicodedata import normalize

from pipeline import units
from pipeline.errors import Level

_SIGN = r"(?P<sign>[+\-\u2212]?)\s*"
_FRACTION = re.compile(
    _SIGN + r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)(?P<unit>\D*)"
)
_DECIMAL = re.compile(_SIGN + r"(?P<whole>\d*)(?:(?P<mark>[.,])(?P<part>\d+))?[.]?(?P<unit>\D*)")
_GROUPED = re.compile(r"[+\-]?\d{1,3}(?P<mark>[.,'\u2019\s])\d{3}(?:(?P=mark)\d{3})*(?:[.,]\d+)?\D*")
_VULGAR = re.compile(r"[\u00bc-\u00be\u2150-\u215e]")
_UNITS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "in": "in", "in.": "in", "ins": "in", "inch": "in", "inches": "in",
    '"': "in", "\u2033": "in", "\u201d": "in", "\u201c": "in",
    "''": "in", "\u2019\u2019": "in", "\u2032\u2032": "in",
    "um": "um", "\u03bcm": "um", "micron": "um", "microns": "um", "micrometre": "um", "micrometres": "um",
}  # fmt: skip
"""Spellings of the units a length or thickness may carry."""
MOST_CHARACTERS = 60
"""Most characters a number may have; longer texts are no numbers."""


@dataclass(frozen=True)
class Problem:
    """What is wrong with a cell, and what to do. `level` is error unless the value can still be used."""

    code: str
    message: str
    action: str = ""
    level: Level = "error"


@dataclass(frozen=True)
class Quantity:
    """A number as written, with its unit where it carries one.

    `is_fraction`: written as a fraction such as 3/8.
    """

    number: Fraction
    unit: str
    is_fraction: bool


def has_decimal_comma(text: str) -> bool:
    """Whether a number can only be read with a decimal comma: 28,9 or 0,125, but not 1,234."""
    return re.fullmatch(r"[^\d,]*(?:\d+,\d{1,2}|\d+,\d{4,}|0\d*,\d+)\D*", text.strip()) is not None


def read_quantity(name: str, text: str, *, has_comma: bool) -> Quantity | Problem:
    """The number and unit in a text. `has_comma`: elsewhere the inventory writes decimal commas."""
    if len(text) > MOST_CHARACTERS:
        return _no_number(name, f"{text[:MOST_CHARACTERS]} ...")
    typed = _spell_out_vulgar_fractions(text.strip())
    match = _FRACTION.fullmatch(typed)
    if match:
        if int(match["bottom"]) == 0:
            return _no_number(name, text)
        number = int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))
        return _quantity(name, text, number, match, is_fraction=True)
    match = _DECIMAL.fullmatch(typed)
    if match is None or not (match["whole"] or match["part"]):
        return _grouped(name, text) if _GROUPED.fullmatch(typed) else _no_number(name, text)
    if match["mark"] == "," and len(match["part"]) == 3 and match["whole"].lstrip("0") and not has_comma:
        return _grouped(name, text)
    number = Fraction(f"{match['whole'] or 0}.{match['part'] or 0}")
    return _quantity(name, text, number, match, is_fraction=False)


def read_length_mm(name: str, text: str, *, unit: str, has_comma: bool) -> float | Problem:
    """A length in mm. `unit` is that of a bare number."""
    quantity = read_quantity(name, text, has_comma=has_comma)
    if isinstance(quantity, Problem):
        return quantity
    if quantity.is_fraction and not quantity.unit and unit != "in":
        return Problem(
            "unit_missing", f'{name} "{text}" is a fraction without a unit', f'write "{text.strip()} in"'
        )
    written = quantity.unit or unit
    if written not in units.MM_PER_LENGTH_UNIT:
        return Problem(
            "unknown_unit", f'{name} "{text}" is not in mm, cm or in', "write it in one of these units"
        )
    return units.exact_mm(quantity.number, written)


def read_thickness_um(name: str, text: str, *, unit: str, has_comma: bool) -> float | Problem:
    """A thickness in um. `unit` is that of a bare number; a text may carry um, mm, cm or in."""
    quantity = read_quantity(name, text, has_comma=has_comma)
    if isinstance(quantity, Problem):
        return quantity
    written = quantity.unit or unit
    if written == "um":
        return float(quantity.number)
    return units.exact_um(quantity.number, written)


def read_number(name: str, text: str, *, has_comma: bool) -> Fraction | Problem:
    """A number without a unit; a percentage may end in %."""
    bare = text.strip().removesuffix("%") if name.endswith("_pct") else text
    quantity = read_quantity(name, bare, has_comma=has_comma)
    if isinstance(quantity, Quantity) and quantity.unit:
        return Problem("not_a_number", f'{name} "{text}" carries a unit', "write the number alone")
    return quantity if isinstance(quantity, Problem) else quantity.number


def _spell_out_vulgar_fractions(text: str) -> str:
    """`11⅜` as `11 3/8`."""
    spelled = _VULGAR.sub(lambda match: " " + normalize("NFKC", match[0]) + " ", text)
    return " ".join(normalize("NFKC", spelled).replace("\u2044", "/").split())


def _quantity(
    name: str, text: str, number: Fraction, match: re.Match[str], *, is_fraction: bool
) -> Quantity | Problem:
    written = match["unit"].strip().casefold()
    if written and written not in _UNITS:
        return Problem(
            "not_a_number", f'{name} "{text}" is no number', "write a number; lengths may carry mm, cm or in"
        )
    signed = -number if match["sign"] in ("-", "\u2212") else number
    return Quantity(signed, _UNITS.get(written, ""), is_fraction)


def _grouped(name: str, text: str) -> Problem:
    return Problem(
        "number_ambiguous",
        f'{name} "{text}" may have a decimal or a thousands mark',
        "write it without thousands marks, and decimals with a point",
    )


def _no_number(name: str, text: str) -> Problem:
    return Problem("not_a_number", f'{name} "{text}" is no number', "write a number")
