"""A column file proposed for an inventory with sheets and headings of its own: best guesses, each with its evidence.

A guess is the likeness of the name (rapidfuzz) weighed with how many of the cells can be read as that column. What
has no likely counterpart is left as a comment for a person to fill in.
"""

import re
import tomllib
import unicodedata
from collections import Counter
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

import polars as pl
from rapidfuzz import fuzz, process

from pipeline.contracts.input_sheet import InputColumn, InputSheet
from pipeline.contracts.inventory_columns import CAMPAIGN, SHEETS, SHEETS_BY_NAME
from pipeline.inventory.columns import is_ignored_sheet, match_heading, match_sheet, plain, unit_of_heading
from pipeline.inventory.layout import MOST_TITLE_ROWS
from pipeline.inventory.parse import CellText, Words, by_plain
from pipeline.inventory.read import read_inventory
from pipeline.inventory.rows import Figures, judge_cell
from pipeline.inventory.sheets import ReadSheet
from pipeline.policy.load import Policy
from pipeline.policy.tables import policy_tables

NAME_SHARE = 0.6
"""How much the name counts against the cells."""
LIKELY = 0.66
"""Least likeness of a guess, of 1."""
HALF_FOUND = 0.45
"""Least likeness of a sheet: about half of its required columns found."""
UNTELLING = 0.5
"""How well any cells fit a column that takes any text: they tell nothing."""
SUBSET_SHARE = 0.9
"""How a heading that holds a known name among other words counts against that name alone."""
WORD_LIKENESS = 80
"""Least likeness of a lab's word to one of ours, of 100."""
MOST_CELLS = 300
"""Cells of a column that are looked at."""
TELLING_KINDS = (
    "length",
    "thickness",
    "number",
    "whole",
    "yes_no",
    "word",
    "contents",
    "hazards",
    "date",
    "days",
)
MATCHED_SHEETS = tuple(sheet for sheet in SHEETS if sheet is not CAMPAIGN)


@dataclass(frozen=True)
class TypedColumn:
    """One column of a foreign sheet: its heading and its first cells."""

    column_no: int
    header: str
    cells: tuple[CellText, ...]


@dataclass(frozen=True)
class Guess:
    """A typed column that may be one of ours. `name_pct` of 100; `fits` of the cells that could be read as it."""

    field: str
    typed: TypedColumn
    name_pct: float
    fits: int
    likeness: float


@dataclass(frozen=True)
class SheetGuess:
    """A typed sheet that may be one of ours, with the columns found and those left over."""

    name: str
    typed: str
    heading_row: int
    guesses: tuple[Guess, ...]
    left_over: tuple[TypedColumn, ...]

    @property
    def likeness(self) -> float:
        """How likely the sheet is this one: the guesses of required columns count."""
        required = {column.name for column in SHEETS_BY_NAME[self.name].columns if column.required}
        found = sum(guess.likeness for guess in self.guesses if guess.field in required)
        return found / max(1, len(required))


class Matcher:
    """Weighs typed columns against ours by the policy's words and figures."""

    def __init__(self, policy: Policy) -> None:
        tables = policy_tables(policy)
        hazards = tables["policy.hazards"]["hazard"].unique(maintain_order=True).to_list()
        contents = tables["policy.contents"]["content_word"].to_list()
        self.words = Words(has_comma=True, hazards=by_plain(hazards), contents=by_plain(contents))
        self.figures: Figures = dict(tables["policy.figures"].select("key", "value").iter_rows())

    def sheets(self, path: Path) -> list[SheetGuess]:
        """The most likely counterpart of each of our sheets, in our order."""
        found: dict[str, SheetGuess] = {}
        guesses = [guess for sheet in read_inventory(path).sheets for guess in self._sheet(sheet)]
        taken: set[str] = set()
        for guess in sorted(guesses, key=lambda guess: (-self._rank(guess), guess.typed, guess.name)):
            if guess.name not in found and guess.typed not in taken:
                found[guess.name] = guess
                taken.add(guess.typed)
        return [found[sheet.name] for sheet in MATCHED_SHEETS if sheet.name in found]

    def _rank(self, guess: SheetGuess) -> float:
        return guess.likeness + (match_sheet(guess.typed) == guess.name)

    def _sheet(self, sheet: ReadSheet) -> list[SheetGuess]:
        if sheet.cells.is_empty() or is_ignored_sheet(sheet.name) or match_sheet(sheet.name) == CAMPAIGN.name:
            return []
        known = match_sheet(sheet.name)
        ours = [SHEETS_BY_NAME[known]] if known else MATCHED_SHEETS
        guesses = [self._best_row(sheet, candidate) for candidate in ours]
        return [guess for guess in guesses if known or guess.likeness >= HALF_FOUND]

    def _best_row(self, sheet: ReadSheet, ours: InputSheet) -> SheetGuess:
        rows = sheet.cells["row_no"].unique().sort().head(MOST_TITLE_ROWS).to_list()
        names = {row: self._name_sum(_typed_columns(sheet, row, most_cells=0), ours) for row in rows}
        heading_row = max(rows, key=lambda row: (names[row], -row))
        columns = _typed_columns(sheet, heading_row, most_cells=MOST_CELLS)
        guesses = self._assign(columns, ours)
        used = {guess.typed.column_no for guess in guesses}
        left_over = tuple(column for column in columns if column.column_no not in used)
        return SheetGuess(ours.name, sheet.name, heading_row, guesses, left_over)

    def _name_sum(self, columns: list[TypedColumn], ours: InputSheet) -> float:
        best = [
            max(name_likeness(ours.name, field.name, column.header) for field in ours.columns)
            for column in columns
        ]
        return sum(likeness for likeness in best if likeness > 100 * LIKELY)

    def _assign(self, columns: list[TypedColumn], ours: InputSheet) -> tuple[Guess, ...]:
        """The likeliest column of each field, no typed column twice; ties by our order, then theirs."""
        every = [self._guess(column, typed, ours) for column in ours.columns for typed in columns]
        likely = sorted(
            (guess for guess in every if guess.likeness >= LIKELY), key=lambda guess: -guess.likeness
        )
        fields: set[str] = set()
        used: set[int] = set()
        kept: dict[str, Guess] = {}
        for guess in likely:
            if guess.field not in fields and guess.typed.column_no not in used:
                fields.add(guess.field)
                used.add(guess.typed.column_no)
                kept[guess.field] = guess
        return tuple(kept[column.name] for column in ours.columns if column.name in kept)

    def _guess(self, column: InputColumn, typed: TypedColumn, ours: InputSheet) -> Guess:
        name_pct = name_likeness(ours.name, column.name, typed.header)
        fits = sum(self.is_read(column, cell) for cell in typed.cells)
        share = fits / len(typed.cells) if typed.cells and column.kind in TELLING_KINDS else UNTELLING
        if name_pct == 100:
            share = max(share, UNTELLING)  # a heading that says it is believed; its cells are for the check
        return Guess(
            column.name, typed, name_pct, fits, NAME_SHARE * name_pct / 100 + (1 - NAME_SHARE) * share
        )

    def is_read(self, column: InputColumn, cell: CellText) -> bool:
        """Whether a cell can be read as a column of ours; a likely word counts."""
        if column.kind in ("word", "yes_no") and likely_word(column, cell[1]):
            return True
        parsed = judge_cell(column, cell, unit="", words=self.words, figures=self.figures)
        return parsed.problem is None or parsed.problem.level != "error"


def likely_word(column: InputColumn, text: str) -> str:
    """The word of ours that a lab's word is likely to mean, itself included; blank when none is."""
    allowed = ("yes", "no") if column.kind == "yes_no" else column.allowed
    named = {
        plain(word): ours for ours, words in _likely()["words"].get(column.name, {}).items() for word in words
    }
    named |= {plain(word): word for word in allowed}
    typed = plain(text)
    if typed in named:
        return named[typed]
    near = process.extractOne(typed, sorted(named), scorer=fuzz.ratio, score_cutoff=WORD_LIKENESS)
    return named[near[0]] if near else ""


def name_likeness(sheet_name: str, field: str, header: str) -> float:
    """Likeness of a heading to our column, of 100: by its name, its known spellings and likely headings."""
    known = match_heading(sheet_name, header)
    if known is not None:
        return 100.0 if known.field == field else 0.0
    typed = _spoken(header, sheet_name, field)
    if not typed:
        return 0.0
    names = [field, *_likely()["headings"].get(sheet_name, {}).get(field, [])]
    spoken = [_spoken(name, sheet_name, field) for name in names]
    return max(
        max(fuzz.token_sort_ratio(typed, name), SUBSET_SHARE * fuzz.token_set_ratio(typed, name))
        for name in spoken
    )


def word_counts(guess: Guess) -> list[tuple[str, int]]:
    """What stands in a column of words, each with how often, most frequent first."""
    counts = Counter(" ".join(text.split()) for _, text in guess.typed.cells)
    return sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))


def _spoken(name: str, sheet_name: str, field: str) -> str:
    """A name as words apart, without the unit at its end."""
    words = re.split(r"[\s_\-()\[\].,:*]+", unicodedata.normalize("NFKC", name).casefold())
    words = [word for word in words if word]
    if len(words) > 1 and unit_of_heading(sheet_name, field, name):
        words.pop()
    return " ".join(words)


def _typed_columns(sheet: ReadSheet, heading_row: int, *, most_cells: int) -> list[TypedColumn]:
    headers = sheet.cells.filter(row_no=heading_row).select("column_no", "text").iter_rows()
    return [
        TypedColumn(
            column_no, " ".join(text.split()), _cells_below(sheet, column_no, heading_row, most_cells)
        )
        for column_no, text in headers
    ]


def _cells_below(sheet: ReadSheet, column_no: int, heading_row: int, most_cells: int) -> tuple[CellText, ...]:
    below = sheet.cells.filter((pl.col("column_no") == column_no) & (pl.col("row_no") > heading_row))
    return tuple(below.select("cell_kind", "text").head(most_cells).iter_rows())


@cache
def _likely() -> dict[str, dict[str, dict[str, list[str]]]]:
    text = (files("pipeline.policy") / "likely.toml").read_text(encoding="utf-8")
    data: dict[str, dict[str, dict[str, list[str]]]] = tomllib.loads(text)
    return data
