"""The column file: how a lab's own sheets, headings, units and words are read as the inventory's.

TOML, written by hand or proposed by `guardleaf match`:

    [campaign]                                  # settings that stand in no sheet
    name = "Reading room"

    [sheets.Volumes]
    sheet = "Albums"                            # what the file calls it
    heading_row = 3                             # where titles stand above; found by itself if left out

    [sheets.Volumes.columns]
    volume_id = "Shelfmark"                     # our column = the lab's heading
    page_height = { heading = "H", unit = "cm" }
    page_width = { column = "F" }               # by its letters, where a heading is missing or there twice
    binding = { heading = "Bdg", words = { "half leather" = "sewn" }, empty = "sewn" }
    joints = { always = "sound" }               # the same for every row
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from pipeline.contracts.inventory_columns import CAMPAIGN, SHEETS_BY_NAME, SURVEY_PREFIX, headings
from pipeline.errors import FileProblemError, Finding, InventoryRefusedError
from pipeline.inventory.columns import nearest, plain
from pipeline.inventory.quantities import Problem
from pipeline.inventory.sheets import column_number
from pipeline.units import MM_PER_LENGTH_UNIT

PART_NAMES = ("heading", "column", "unit", "words", "always", "empty")
SHEET_PARTS = ("sheet", "heading_row", "columns")
UNIT_WORDS = (*MM_PER_LENGTH_UNIT, "um")
Tree = Mapping[str, object]


@dataclass(frozen=True, kw_only=True)
class ColumnSource:
    """Where one of our columns comes from: a heading or a column of the file, or one value for every row.

    `words` turns the lab's words (in their plain form) into ours; `empty` is what an empty cell means.
    """

    heading: str = ""
    column_no: int | None = None
    unit: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    always: str = ""
    empty: str = ""


@dataclass(frozen=True, kw_only=True)
class SheetSource:
    """Where one of our sheets comes from. A blank `sheet`: the sheet has our name in the file too."""

    sheet: str = ""
    heading_row: int | None = None
    columns: Mapping[str, ColumnSource] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class ColumnFile:
    """A column file as read. Without one (`NO_COLUMN_FILE`) only the known spellings are matched."""

    name: str = ""
    sheets: Mapping[str, SheetSource] = field(default_factory=dict)
    campaign: Mapping[str, str] = field(default_factory=dict)

    def sheet_is(self, typed: str) -> str:
        """Our name of a sheet that the column file names, or blank."""
        by_typed = {plain(source.sheet): name for name, source in self.sheets.items() if source.sheet}
        return by_typed.get(plain(typed), "")

    def source(self, sheet_name: str) -> SheetSource:
        """Where one of our sheets comes from; nothing said where the column file does not name it."""
        return self.sheets.get(sheet_name, SheetSource())


NO_COLUMN_FILE = ColumnFile()


def load_column_file(path: Path | None) -> ColumnFile:
    """The column file, or the empty one without a path.

    Raises FileProblemError when it cannot be read, InventoryRefusedError with a finding for each fault.
    """
    if path is None:
        return NO_COLUMN_FILE
    tree = _parse(path)
    faults = list(_faults(tree))
    if faults:
        raise InventoryRefusedError([_finding(path.name, problem) for problem in faults])
    sheets = {name: _sheet(part) for name, part in _tables(tree, "sheets").items()}
    campaign = {name: _text(value) for name, value in _table(tree, "campaign").items()}
    return ColumnFile(name=path.name, sheets=sheets, campaign=campaign)


def _parse(path: Path) -> Tree:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError) as error:
        raise FileProblemError(f"the column file {path} could not be read: {error}") from error
    except tomllib.TOMLDecodeError as error:
        action = (
            "mend the line; texts stand in quotation marks; `guardleaf match` writes a file to start from"
        )
        problem = Problem("columns_not_toml", f"this is not a column file: {error}", action)
        raise InventoryRefusedError([_finding(path.name, problem)]) from error


def _finding(name: str, problem: Problem) -> Finding:
    return Finding(
        code=problem.code, level=problem.level, sheet=name, message=problem.message, action=problem.action
    )


def _table(tree: Tree, name: str) -> Tree:
    part = tree.get(name, {})
    return part if isinstance(part, dict) else {}


def _tables(tree: Tree, name: str) -> dict[str, Tree]:
    return {key: part for key, part in _table(tree, name).items() if isinstance(part, dict)}


def _sheet(part: Tree) -> SheetSource:
    row = part.get("heading_row")
    return SheetSource(
        sheet=_text(part.get("sheet", "")),
        heading_row=row if isinstance(row, int) else None,
        columns={name: _source(value) for name, value in _table(part, "columns").items()},
    )


def _source(value: object) -> ColumnSource:
    if not isinstance(value, dict):
        return ColumnSource(heading=_text(value))
    letters = _text(value.get("column", ""))
    return ColumnSource(
        heading=_text(value.get("heading", "")),
        column_no=column_number(letters) if letters else None,
        unit=_text(value.get("unit", "")),
        words={plain(word): _text(ours) for word, ours in _table(value, "words").items()},
        always=_text(value.get("always", "")),
        empty=_text(value.get("empty", "")),
    )


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat() if isinstance(value, date) else str(value)


def _faults(tree: Tree) -> Iterator[Problem]:
    yield from _unknown_keys(tree, ("sheets", "campaign"), "the column file")
    for name in ("sheets", "campaign"):
        if not isinstance(tree.get(name, {}), dict):
            yield _bad_value(name, f"write [{name}] and its lines below it")
    yield from _unknown_keys(_table(tree, "campaign"), _settings(), "[campaign]")
    yield from _unknown_keys(_table(tree, "sheets"), tuple(SHEETS_BY_NAME), "[sheets]")
    for name, part in _table(tree, "sheets").items():
        if name in SHEETS_BY_NAME:
            yield from _sheet_faults(name, part)


def _settings() -> tuple[str, ...]:
    return tuple(column.name for column in CAMPAIGN.columns)


def _sheet_faults(name: str, part: object) -> Iterator[Problem]:
    place = f"[sheets.{name}]"
    if not isinstance(part, dict):
        yield _bad_value(place, "write its parts on lines below it")
        return
    yield from _unknown_keys(part, SHEET_PARTS, place)
    row = part.get("heading_row", 1)
    if not isinstance(row, int) or isinstance(row, bool) or row < 1:
        yield _bad_value(f"{place} heading_row", "write the number of a row, counted from 1")
    columns = part.get("columns", {})
    if not isinstance(columns, dict):
        yield _bad_value(f"{place} columns", f"write [sheets.{name}.columns] and its lines below it")
        return
    known = headings(SHEETS_BY_NAME[name])
    counted = tuple(key for key in columns if name == "Volumes" and key.startswith(SURVEY_PREFIX))
    yield from _unknown_keys(columns, (*known, *counted), f"[sheets.{name}.columns]")
    for column, value in columns.items():
        yield from _column_faults(f"[sheets.{name}.columns] {column}", value)


def _column_faults(place: str, value: object) -> Iterator[Problem]:
    if isinstance(value, list):
        yield _bad_value(place, 'write the heading in quotation marks, or { heading = "..." }')
    if not isinstance(value, dict):
        return
    yield from _unknown_keys(value, PART_NAMES, place)
    if not {"heading", "column", "always"} & set(value):
        yield _bad_value(place, "say heading, column or always")
    if "unit" in value and value["unit"] not in UNIT_WORDS:
        yield _bad_value(f"{place} unit", f"write one of {', '.join(UNIT_WORDS)}")
    if "column" in value and column_number(_text(value["column"])) is None:
        yield _bad_value(f"{place} column", 'write the letters of a column, such as "F"')
    if not isinstance(value.get("words", {}), dict):
        yield _bad_value(f"{place} words", 'write words = { "their word" = "our word" }')


def _unknown_keys(tree: Tree, known: tuple[str, ...], place: str) -> Iterator[Problem]:
    for key in tree:
        if key not in known:
            near = nearest(key, known)
            action = f"did you mean {near}?" if near else f"known are: {', '.join(known)}"
            yield Problem("columns_unknown_name", f"{place} knows no {key}", action)


def _bad_value(place: str, action: str) -> Problem:
    return Problem("columns_bad_value", f"{place} cannot be read", action)
