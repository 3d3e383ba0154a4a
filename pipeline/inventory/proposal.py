"""The text of a proposed column file: every guess on a line with its evidence, every unknown as a comment."""

import math
import statistics
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

from pipeline.contracts.input_sheet import InputColumn
from pipeline.contracts.inventory_columns import CAMPAIGN, SHEETS_BY_NAME
from pipeline.inventory.columns import match_heading, match_sheet, plain, unit_of_heading
from pipeline.inventory.match import Guess, Matcher, SheetGuess, likely_word, word_counts
from pipeline.inventory.quantities import Quantity, read_quantity
from pipeline.inventory.read import read_inventory
from pipeline.inventory.sheets import column_letters
from pipeline.policy.load import Policy
from pipeline.units import MM_PER_LENGTH_UNIT, to_mm

MOST_SAMPLES = 3
MOST_SAMPLE_LETTERS = 24
MOST_WORDS = 30
"""Words of a coded column that are listed."""
PAGE = "page_height"


def propose_columns(path: Path, policy: Policy) -> str:
    """The column file proposed for an inventory, as TOML. Raises FileProblemError when it cannot be read."""
    matcher = Matcher(policy)
    guesses = matcher.sheets(path)
    lines = [
        "# A column file proposed from the inventory: guesses with their evidence. Look over every line, mend it, fill",
        "# in what is commented out and needed, then: guardleaf check INVENTORY --columns THIS_FILE",
    ]
    has_campaign = any(match_sheet(sheet.name) == CAMPAIGN.name for sheet in read_inventory(path).sheets)
    if not has_campaign:
        lines += ["", *_campaign_lines()]
    for guess in guesses:
        lines += ["", *_sheet_lines(guess, matcher)]
    if not guesses:
        lines += ["", "# No sheet looks like a list of volumes or another sheet of the inventory."]
    return "\n".join(lines) + "\n"


def _campaign_lines() -> Iterator[str]:
    yield "[campaign]"
    yield "# The inventory has no sheet Campaign; its settings can stand here. Needed:"
    for column in CAMPAIGN.columns:
        if column.required:
            example = "2027-01-04" if column.kind == "date" else '"..."'
            yield f"# {column.name} = {example}"
    others = ", ".join(column.name for column in CAMPAIGN.columns if not column.required)
    yield f"# and where wanted: {others}"


def _sheet_lines(guess: SheetGuess, matcher: Matcher) -> Iterator[str]:
    columns = {column.name: column for column in SHEETS_BY_NAME[guess.name].columns}
    yield f"[sheets.{guess.name}]"
    if match_sheet(guess.typed) != guess.name:
        yield f"sheet = {_quoted(guess.typed)}"
    yield f"heading_row = {guess.heading_row}"
    yield ""
    yield f"[sheets.{guess.name}.columns]"
    usual = _usual_unit(guess)
    for found in guess.guesses:
        yield from _column_line(guess, found, columns[found.field], usual)
    given = {found.field for found in guess.guesses}
    for column in columns.values():
        if column.required and column.name not in given:
            yield f"# {column.name} = {{ always = {_quoted(_example(column))} }}  # needed; nothing like it was found"
    for typed in guess.left_over:
        letters = column_letters(typed.column_no)
        yield f"# left over: {_quoted(typed.header)} (column {letters}); {_samples(typed.cells)}"
    for found in guess.guesses:
        yield from _word_lines(guess, found, columns[found.field], matcher)


def _column_line(guess: SheetGuess, found: Guess, column: InputColumn, usual: str) -> Iterator[str]:
    doubled = [other for other in _headers(guess) if plain(other) == plain(found.typed.header)]
    parts = (
        f"column = {_quoted(column_letters(found.typed.column_no))}"
        if len(doubled) > 1
        else f"heading = {_quoted(found.typed.header)}"
    )
    unit, why = _unit(guess, found, column, usual)
    if unit:
        parts += f", unit = {_quoted(unit)}"
    evidence = [f"name {found.name_pct:.0f} of 100", f"{found.fits} of {len(found.typed.cells)} cells fit"]
    evidence += [part for part in (_range(found, column), why, _samples(found.typed.cells)) if part]
    if _has_word_table(found, column):
        yield f"# {column.name}: see below"
        return
    yield f"{column.name} = {{ {parts} }}  # {'; '.join(evidence)}"


def _has_word_table(found: Guess, column: InputColumn) -> bool:
    allowed = {plain(word) for word in column.allowed}
    return column.kind == "word" and any(plain(word) not in allowed for word, _ in word_counts(found))


def _word_lines(guess: SheetGuess, found: Guess, column: InputColumn, matcher: Matcher) -> Iterator[str]:
    """A coded column whose words are not all ours: its own table, a line for each word."""
    if not _has_word_table(found, column):
        return
    head = f"[sheets.{guess.name}.columns.{column.name}"
    yield ""
    yield f"{head}]"
    evidence = f"name {found.name_pct:.0f} of 100; {found.fits} of {len(found.typed.cells)} cells fit"
    yield f"heading = {_quoted(found.typed.header)}  # {evidence}"
    yield f"{head}.words]"
    allowed = {plain(word) for word in column.allowed}
    counts = [(word, count) for word, count in word_counts(found) if plain(word) not in allowed]
    for word, count in counts[:MOST_WORDS]:
        ours = likely_word(column, word)
        cells = f"{count} cell{'s' if count != 1 else ''}"
        if ours:
            yield f"{_quoted(word)} = {_quoted(ours)}  # {cells}"
        else:
            yield f'# {_quoted(word)} = ""  # {cells}; one of {", ".join(column.allowed)}'
    if len(counts) > MOST_WORDS:
        yield f"# and {len(counts) - MOST_WORDS} more words: is this the right column?"


def _headers(guess: SheetGuess) -> list[str]:
    return [column.header for column in (*(found.typed for found in guess.guesses), *guess.left_over)]


def _unit(guess: SheetGuess, found: Guess, column: InputColumn, usual: str) -> tuple[str, str]:
    """The unit to write for a length, and why; blank where its heading says it, or it is mm."""
    if column.kind != "length":
        return "", ""
    heading = match_heading(guess.name, found.typed.header)
    if (heading and heading.unit) or unit_of_heading(guess.name, found.field, found.typed.header):
        return "", "unit from the heading"
    if usual == "mm" or all(kind == "text" and _own_unit(text) for kind, text in found.typed.cells):
        return "", ""
    return usual, f"unit guessed from the size of {PAGE}: check"


def _own_unit(text: str) -> str:
    quantity = read_quantity("length", text, has_comma=True)
    return quantity.unit if isinstance(quantity, Quantity) else ""


def _usual_unit(guess: SheetGuess) -> str:
    """The unit in which the heights of pages have the size of a scrapbook's: nearest to 300 mm, of mm, cm, in."""
    pages = next((found for found in guess.guesses if found.field == PAGE), None)
    heights = [value for kind, text in pages.typed.cells if (value := _number(kind, text))] if pages else []
    if not heights:
        return "mm"
    middle = float(statistics.median(heights))
    usual_mm = to_mm(30, "cm")
    return min(MM_PER_LENGTH_UNIT, key=lambda unit: abs(math.log(to_mm(middle, unit) / usual_mm)))


def _number(kind: str, text: str) -> Fraction | None:
    if kind == "number":
        return Fraction(text) if Fraction(text) > 0 else None
    quantity = read_quantity("length", text, has_comma=True) if kind == "text" else None
    is_bare = isinstance(quantity, Quantity) and not quantity.unit and quantity.number > 0
    return quantity.number if is_bare and isinstance(quantity, Quantity) else None


def _range(found: Guess, column: InputColumn) -> str:
    numbers = [value for kind, text in found.typed.cells if (value := _number(kind, text)) is not None]
    if column.kind not in ("length", "thickness", "number", "whole") or not numbers:
        return ""
    return f"{float(min(numbers)):g} to {float(max(numbers)):g}"


def _samples(cells: tuple[tuple[str, str], ...]) -> str:
    texts = list(dict.fromkeys(" ".join(text.split()) for _, text in cells))[:MOST_SAMPLES]
    if not texts:
        return "no cells"
    short = (
        text if len(text) <= MOST_SAMPLE_LETTERS else f"{text[:MOST_SAMPLE_LETTERS]}..." for text in texts
    )
    return "e.g. " + ", ".join(_quoted(text) for text in short)


def _example(column: InputColumn) -> str:
    return column.allowed[0] if column.allowed else "..."


def _quoted(text: str) -> str:
    """A text in quotation marks as TOML and its comments take it: on one line, without control characters."""
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    escaped = shown.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
