"""Which of our sheets and columns a typed name means, and which known name lies nearest to an unknown one.

Spellings stand in pipeline/policy/columns.toml. Case, blanks, `_`, `-`, brackets and full stops never matter.
"""

import difflib
import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from pipeline.contracts.input_sheet import InputSheet
from pipeline.contracts.inventory_columns import (
    SHEETS,
    SHEETS_BY_NAME,
    SURVEY_PREFIX,
    headings,
    survey_column,
)

_IGNORED_CHARACTERS = re.compile(r"[\s_\-()\[\].,:*\u200b\ufeff]+")
_SURVEY_HEADING = re.compile(r"\s*openings[\s_\-]*(?P<hazard>\S.*)", re.IGNORECASE)
NEAR_ENOUGH = 0.6


@dataclass(frozen=True)
class Heading:
    """What a typed heading means: our name of the column, and the unit it implies (blank: the usual one)."""

    field: str
    unit: str = ""


@dataclass(frozen=True)
class _Spellings:
    sheets: Mapping[str, str]
    ignored: frozenset[str]
    totals: frozenset[str]
    columns: Mapping[str, Mapping[str, str]]
    unit_endings: Mapping[str, str]


def plain(name: str) -> str:
    """A name without what never matters: `Page Height ` and `page_height` come out alike."""
    return _IGNORED_CHARACTERS.sub("", unicodedata.normalize("NFKC", name).casefold())


def nearest(word: str, words: Iterable[str]) -> str:
    """The known word nearest to a typed one, or blank when none is near."""
    by_plain = {plain(known): known for known in words}
    near = difflib.get_close_matches(plain(word), by_plain, n=1, cutoff=NEAR_ENOUGH)
    return by_plain[near[0]] if near else ""


def match_sheet(name: str) -> str:
    """Our name of a sheet, or blank when it is not known."""
    return _spellings().sheets.get(plain(name), "")


def is_ignored_sheet(name: str) -> bool:
    """Whether a sheet is one of the template's own pages of text."""
    return plain(name) in _spellings().ignored


def is_totals_word(text: str) -> bool:
    """Whether a cell says that its row adds up others."""
    return plain(text) in _spellings().totals


def match_heading(sheet_name: str, header: str) -> Heading | None:
    """What a heading of one of our sheets means, or None when it is not known."""
    columns = _spellings().columns[sheet_name]
    typed = plain(header)
    if typed in columns:
        return Heading(columns[typed])
    if sheet_name == "Volumes" and (survey := _SURVEY_HEADING.fullmatch(header)):
        return Heading(SURVEY_PREFIX + re.sub(r"[\s_\-]+", "_", survey["hazard"].strip().casefold()))
    return _with_unit(SHEETS_BY_NAME[sheet_name], columns, typed)


def nearest_heading(sheet_name: str, header: str) -> str:
    """The column whose name lies nearest to a heading that is not known, or blank."""
    return nearest(header, headings(SHEETS_BY_NAME[sheet_name]))


def unit_of_heading(sheet_name: str, field: str, header: str) -> str:
    """The unit a heading of the lab's own ends in, as a word apart ("H (cm)", "height in"); blank for none."""
    sheet = SHEETS_BY_NAME[sheet_name]
    known = {column.name: column.kind for column in sheet.columns}
    if known.get(field) not in ("length", "thickness"):
        return ""
    last = re.split(r"[\s_\-()\[\],.]+", unicodedata.normalize("NFKC", header).casefold().strip(" )].*"))[-1]
    return _spellings().unit_endings.get(plain(last), "")


def _with_unit(sheet: InputSheet, columns: Mapping[str, str], typed: str) -> Heading | None:
    """The meaning of `pageheightcm`: a length or thickness heading with its unit at the end."""
    for ending, unit in _spellings().unit_endings.items():
        field = columns.get(typed.removesuffix(ending)) if typed.endswith(ending) else None
        if field and sheet.name != "Campaign" and sheet.column(field).kind in ("length", "thickness"):
            return Heading(field, unit)
    return None


@cache
def _spellings() -> _Spellings:
    data = tomllib.loads((files("pipeline.policy") / "columns.toml").read_text(encoding="utf-8"))
    endings = {plain(ending): unit for unit, names in data["unit_endings"].items() for ending in names}
    return _Spellings(
        sheets={
            plain(word): sheet.name for sheet in SHEETS for word in (sheet.name, *data["sheets"][sheet.name])
        },
        ignored=frozenset(plain(name) for name in data["ignored"]["sheets"]),
        totals=frozenset(plain(word) for word in data["totals"]["words"]),
        columns={sheet.name: _headings_of(sheet, data["columns"][sheet.name]) for sheet in SHEETS},
        unit_endings=dict(sorted(endings.items(), key=lambda pair: (-len(pair[0]), pair[0]))),
    )


def _headings_of(sheet: InputSheet, spellings: Mapping[str, list[str]]) -> dict[str, str]:
    known = {plain(name): name for name in headings(sheet)}
    for field, names in spellings.items():
        if field not in headings(sheet):
            raise ValueError(f"columns.toml: {sheet.name} has no column {field}")
        known |= {plain(name): field for name in names}
    return known


def survey_columns(hazards: Iterable[str]) -> dict[str, str]:
    """Column name of each hazard's survey count by its plain form, custom hazards of the policy included."""
    return {plain(survey_column(hazard).name): survey_column(hazard).name for hazard in hazards}
