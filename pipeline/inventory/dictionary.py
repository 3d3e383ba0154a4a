"""The data dictionary: one line per column of the inventory, from the definitions that also read and check
it.
"""

from dataclasses import dataclass

from pipeline.contracts.input_sheet import InputColumn, InputSheet
from pipeline.contracts.inventory_columns import SHEETS, allowed_in_list, described_columns
from pipeline.inventory.rows import Figures, default_value

KIND_WORDS = {
    "id": "identifier, kept as text",
    "text": "text",
    "length": "length: 287 in the campaign's length_unit, or 28.7 cm, 11 3/8 in",
    "thickness": "thickness in um",
    "number": "number",
    "whole": "whole number",
    "yes_no": "yes or no",
    "word": "one of the words",
    "contents": "content words, separated by , or ;",
    "hazards": "hazards, separated by , or ;  left: or right: before one says which page carries it",
    "openings": "opening numbers such as 3, 7-12",
    "date": "date, year-month-day",
    "days": "weekdays such as Mon-Thu or Mon, Wed, Fri",
}


@dataclass(frozen=True)
class DictionaryLine:
    """What a column is for, what may stand in it, and what an empty cell means."""

    sheet: str
    column: str
    is_required: bool
    kind: str
    words: tuple[str, ...]
    default: str
    meaning: str


def dictionary_lines(figures: Figures) -> list[DictionaryLine]:
    """Every column in the order of the workbook. `figures` gives the defaults that stand in the policy."""
    return [dictionary_line(sheet, column, figures) for sheet, column in described_columns()]


def dictionary_line(sheet: InputSheet, column: InputColumn, figures: Figures) -> DictionaryLine:
    """One column of one sheet."""
    return DictionaryLine(
        sheet=sheet.name,
        column=column.name,
        is_required=column.required,
        kind=KIND_WORDS[column.kind],
        words=column.allowed or allowed_in_list(column),
        default=_default_text(column, figures),
        meaning=column.description,
    )


def dictionary_markdown(figures: Figures) -> str:
    """The dictionary as Markdown: a heading and a table for each sheet."""
    lines = dictionary_lines(figures)
    parts = []
    for sheet in SHEETS:
        parts.append(f"### {sheet.name}: one row is {sheet.row_is}\n")
        parts.append("| column | what may stand in it | empty means | meaning |\n| --- | --- | --- | --- |")
        parts += [_markdown_line(line) for line in lines if line.sheet == sheet.name]
        parts.append("")
    return "\n".join(parts)


def _markdown_line(line: DictionaryLine) -> str:
    name = f"**{line.column}**" if line.is_required else line.column
    allowed = ", ".join(line.words) if line.words else line.kind
    return (
        f"| {name} | {allowed} | {'must be filled' if line.is_required else line.default} | {line.meaning} |"
    )


def _default_text(column: InputColumn, figures: Figures) -> str:
    value = default_value(column, figures)
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    unit = {"length": " mm", "thickness": " um"}.get(column.kind, "")
    return f"{value:g}{unit}" if isinstance(value, int | float) else str(value)
