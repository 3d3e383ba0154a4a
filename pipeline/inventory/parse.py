"""One cell in, one value or one problem out.

Knows nothing of other cells; the same text always gives the same answer.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from pipeline.calendar import WEEKDAYS, parse_days
from pipeline.contracts.input_sheet import InputColumn
from pipeline.inventory.columns import nearest, plain
from pipeline.inventory.quantities import Problem, read_length_mm, read_number, read_thickness_um
from pipeline.units import exact_mm

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff\ud800-\udfff]")
_ISO_DATE = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ]00:00(?::00(?:\.0+)?)?)?")
_DASHES = re.compile(r"\s*[\u2010-\u2015\u2212-]\s*")
_RANGE = re.compile(r"(\d{1,9})(?:-(\d{1,9}))?")
FIRST_YEAR, LAST_YEAR = 1900, 2199
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")
NO_SIDE = "facing_photographs"
"""The hazard that lies on neither page alone; a side given with it is ignored (trade model, section 3)."""

Ranges = tuple[tuple[int, int], ...]
SidedHazards = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class OpeningList:
    """Ranges of opening numbers, first and last, sorted and apart."""

    ranges: Ranges


@dataclass(frozen=True)
class HazardList:
    """Hazards as written: side (left, right, or blank for not said) and hazard."""

    hazards: SidedHazards


Value = str | int | float | bool | date | tuple[str, ...] | OpeningList | HazardList | None
CellText = tuple[str, str]
"""Kind and text of a cell, as in raw.cells."""


@dataclass(frozen=True)
class Parsed:
    """A cell's value, or what is wrong with it; both where the value stands with a warning; neither: empty.

    `is_unknown`: the value cannot be known for a reason found elsewhere (an unreadable length unit).
    """

    value: Value = None
    problem: Problem | None = None
    is_unknown: bool = False


@dataclass(frozen=True, kw_only=True)
class Words:
    """What decides how cells are read: the unit of bare lengths (blank: not known), and the policy's
    words.
    """

    length_unit: str = "mm"
    has_comma: bool = False
    hazards: Mapping[str, str] = field(default_factory=dict)
    contents: Mapping[str, str] = field(default_factory=dict)


def by_plain(words: list[str]) -> dict[str, str]:
    """Words by their plain form, so that `Silver print` finds silver_print."""
    return {plain(word): word for word in words}


def parse_cell(column: InputColumn, cell: CellText, *, unit: str = "", words: Words) -> Parsed:
    """The value of a filled cell. `unit` is the one its heading implies, blank for the usual one."""
    kind, text = cell
    if kind == "error":
        action = "mend the formula, or type the value"
        return Parsed(problem=Problem("error_cell", f"{column.name} holds the error {text}", action))
    if kind == "formula":
        message = f"{column.name} holds a formula whose result is not stored in the file"
        return Parsed(
            problem=Problem("formula_without_value", message, "open and save it once, or type the value")
        )
    return _READERS[column.kind](column, cell, unit, words)


def tidy(text: str) -> str:
    """A text on one line: blanks of every kind as one space, none at the ends."""
    return " ".join(text.replace("\u200b", "").replace("\ufeff", "").split())


def _read_text(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    text = tidy(cell[1])
    if not _CONTROL.search(text):
        return Parsed(text or None)
    action = "delete the character; it is shown as \ufffd"
    problem = Problem(
        "control_character", f"{column.name} holds a character that cannot be shown", action, "warning"
    )
    return Parsed(_CONTROL.sub("\ufffd", text), problem)


def _read_id(column: InputColumn, cell: CellText, unit: str, words: Words) -> Parsed:
    if cell[0] == "date":
        return Parsed(problem=_became_date(column, cell[1]))
    parsed = _read_text(column, cell, unit, words)
    if parsed.problem:
        message, action = f"{column.name} holds a character that cannot be shown", "type the identifier again"
        return Parsed(problem=Problem("control_character", message, action))
    return parsed


def _read_length(column: InputColumn, cell: CellText, unit: str, words: Words) -> Parsed:
    if cell[0] == "date":
        return Parsed(problem=_became_date(column, cell[1]))
    bare_unit = unit or words.length_unit
    if not bare_unit and (cell[0] == "number" or not re.search(r"[^\d\s.,/\u2044+\-]", cell[1])):
        return Parsed(is_unknown=True)
    if cell[0] == "number":
        return Parsed(exact_mm(Fraction(cell[1]), bare_unit))
    length = read_length_mm(column.name, cell[1], unit=bare_unit or "mm", has_comma=words.has_comma)
    return Parsed(problem=length) if isinstance(length, Problem) else Parsed(length)


def _read_thickness(column: InputColumn, cell: CellText, unit: str, words: Words) -> Parsed:
    if cell[0] == "number" and not unit:
        return Parsed(float(cell[1]))
    thickness = read_thickness_um(column.name, cell[1], unit=unit or "um", has_comma=words.has_comma)
    return Parsed(problem=thickness) if isinstance(thickness, Problem) else Parsed(thickness)


def _read_number(column: InputColumn, cell: CellText, _unit: str, words: Words) -> Parsed:
    number = _number(column, cell, words)
    return Parsed(problem=number) if isinstance(number, Problem) else Parsed(float(number))


def _read_whole(column: InputColumn, cell: CellText, _unit: str, words: Words) -> Parsed:
    number = _number(column, cell, words)
    if isinstance(number, Problem):
        return Parsed(problem=number)
    if number.denominator != 1:
        message = f"{column.name} {float(number):g} is not a whole number"
        return Parsed(problem=Problem("not_whole", message, "write a whole number"))
    return Parsed(int(number))


def _number(column: InputColumn, cell: CellText, words: Words) -> Fraction | Problem:
    if cell[0] in ("date", "bool"):
        return Problem("not_a_number", f'{column.name} "{cell[1]}" is no number', "write a number")
    if cell[0] == "number":
        return Fraction(cell[1])
    return read_number(column.name, cell[1], has_comma=words.has_comma)


def _read_yes_no(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    typed = plain(cell[1])
    if typed in YES or typed in NO:
        return Parsed(typed in YES)
    return Parsed(problem=unknown_word(column.name, cell[1], ("yes", "no")))


def _read_word(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    allowed = by_plain(list(column.allowed))
    typed = plain(cell[1])
    if typed in allowed:
        return Parsed(allowed[typed])
    return Parsed(problem=unknown_word(column.name, cell[1], column.allowed))


def unknown_word(name: str, text: str, allowed: tuple[str, ...]) -> Problem:
    """The problem of a word that is none of the column's."""
    near = nearest(text, allowed)
    action = f"did you mean {near}?" if near else f"use one of: {', '.join(allowed)}"
    return Problem("unknown_word", f'{name} "{tidy(text)}" is not a word of this column', action)


def _parts(text: str) -> list[str]:
    return [part for part in (tidy(part) for part in re.split(r"[,;\n]", text)) if part]


def _read_contents(column: InputColumn, cell: CellText, _unit: str, words: Words) -> Parsed:
    found: dict[str, None] = {}
    for part in _parts(cell[1]):
        word = words.contents.get(plain(part))
        if word is None:
            return Parsed(problem=unknown_word(column.name, part, tuple(words.contents.values())))
        found[word] = None
    return Parsed(tuple(found) or None)


def _read_hazards(column: InputColumn, cell: CellText, _unit: str, words: Words) -> Parsed:
    found: dict[tuple[str, str], None] = {}
    problem = None
    for part in _parts(cell[1]):
        side, _, name = part.rpartition(":")
        hazard, side = words.hazards.get(plain(name)), plain(side)
        if hazard is None:
            return Parsed(problem=unknown_word(column.name, name, tuple(words.hazards.values())))
        if side not in ("", "left", "right"):
            action = f"write left:{hazard}, right:{hazard} or {hazard}"
            return Parsed(
                problem=Problem(
                    "unknown_word", f'{column.name} "{part}" names no side of the opening', action
                )
            )
        if side and hazard == NO_SIDE:
            problem = Problem(
                "side_ignored", f"{hazard} has no side; {side} is ignored", f"write {hazard}", "warning"
            )
            side = ""
        found[(side, hazard)] = None
    return Parsed(HazardList(tuple(found)) if found else None, problem)


def _read_openings(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    if cell[0] == "date":
        return Parsed(problem=_became_date(column, cell[1]))
    ranges: list[tuple[int, int]] = []
    for part in _parts(cell[1]):
        match = _RANGE.fullmatch(_DASHES.sub("-", part))
        if match is None:
            return Parsed(problem=_unclear_openings(column, part, cell))
        first, last = int(match[1]), int(match[2] or match[1])
        if last < first:
            action = f"write {last}-{first}"
            return Parsed(
                problem=Problem("openings_unclear", f'{column.name} "{part}" runs backwards', action)
            )
        ranges.append((first, last))
    return _joined(column, ranges)


def _unclear_openings(column: InputColumn, part: str, cell: CellText) -> Problem:
    message = f'{column.name} "{part}" is no opening number or range'
    action = "write opening numbers such as 3, 7-12"
    if cell[0] == "number" and "." in part:
        action = f"the cell holds a decimal number; format it as text and write {part.replace('.', ', ')}"
    return Problem("openings_unclear", message, action)


def _joined(column: InputColumn, ranges: list[tuple[int, int]]) -> Parsed:
    """Ranges sorted, with those that touch made one; an opening named twice is a warning."""
    joined: list[tuple[int, int]] = []
    twice: int | None = None
    for first, last in sorted(ranges):
        if joined and first <= joined[-1][1]:
            twice = first if twice is None else twice
        if joined and first <= joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last))
        else:
            joined.append((first, last))
    message = f"{column.name} names opening {twice} twice in this cell; it counts once"
    problem = Problem("opening_named_twice", message, "delete one", "note") if twice is not None else None
    return Parsed(OpeningList(tuple(joined)) if joined else None, problem)


def _read_date(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    kind, text = cell
    match = _ISO_DATE.fullmatch(text.strip()) if kind == "text" else None
    iso = text[:10] if kind == "date" else match[1] if match else ""
    try:
        day = date.fromisoformat(iso)
        if FIRST_YEAR <= day.year <= LAST_YEAR:
            return Parsed(day)
        message = f"{column.name} {day} lies outside the years {FIRST_YEAR} to {LAST_YEAR}"
        return Parsed(problem=Problem("number_out_of_range", message, "check the year"))
    except ValueError:
        message = f'{column.name} "{tidy(text)}" is no date'
        action = "write the date as year-month-day, such as 2027-03-01"
        return Parsed(problem=Problem("not_a_date", message, action))


def _read_days(column: InputColumn, cell: CellText, _unit: str, _words: Words) -> Parsed:
    try:
        days = parse_days(_DASHES.sub("-", cell[1]).casefold().replace(" to ", "-"))
    except ValueError:
        days = ()
    if not days:
        message = f'{column.name} "{tidy(cell[1])}" is no list of weekdays'
        return Parsed(problem=Problem("days_unclear", message, "write Mon-Fri, or Mon, Wed, Fri"))
    return Parsed(", ".join(WEEKDAYS[day] for day in days))


def _became_date(column: InputColumn, text: str) -> Problem:
    action = "format the cell as text and type it again"
    return Problem(
        "became_date", f"{column.name} holds the date {text[:10]}; the spreadsheet made one of it", action
    )


_READERS: dict[str, Callable[[InputColumn, CellText, str, Words], Parsed]] = {
    "id": _read_id,
    "text": _read_text,
    "length": _read_length,
    "thickness": _read_thickness,
    "number": _read_number,
    "whole": _read_whole,
    "yes_no": _read_yes_no,
    "word": _read_word,
    "contents": _read_contents,
    "hazards": _read_hazards,
    "openings": _read_openings,
    "date": _read_date,
    "days": _read_days,
}
