"""Lengths that look typed in another unit: many times more or less than the others of their column, and like them in
mm, cm or in. A heuristic: it compares with the middle value, so that a column of two halves is told for one of them.
"""

import math
import statistics
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import CellText, Words
from pipeline.inventory.quantities import Problem, read_quantity
from pipeline.inventory.rows import Figures, Row, SheetRows
from pipeline.units import MM_PER_LENGTH_UNIT, exact_mm

CODE = "unit_suspected"
BY_THE_LEAF = ("spine_thickness", "fore_edge_thickness")
"""Thicknesses that grow with the number of leaves: thin volumes are no slips, so they are compared by the leaf too."""
ALIKE_FACTOR = 2.5
"""Within this factor of the middle a length in another unit counts as alike: between 1 and the step from cm to in."""


@dataclass(frozen=True)
class _Written:
    """A length as typed: its number and the unit it is read in."""

    number: Fraction
    unit: str

    def in_unit(self, unit: str) -> float:
        """The same number in another unit, mm."""
        return exact_mm(self.number, unit)


def report_unit_mix(found: SheetRows, names: tuple[str, ...], words: Words, figures: Figures) -> set[int]:
    """Report each length of these columns that looks typed in another unit; the row numbers of those reported.

    A length that was refused as out of range is told as this instead, with the likely fix.
    """
    rows: set[int] = set()
    for name in names:
        typed = dict(_typed_lengths(found, name, words))
        if len(typed) < figures["check.unit_mix_least_count"]:
            continue
        middle = statistics.median(length.in_unit(length.unit) for length in typed.values())
        by_leaf = _middle_by_leaf(found, name, typed)
        for row in found.rows:
            length = typed.get(row.row_no)
            if length is None or not _is_far(length.in_unit(length.unit), middle, figures):
                continue
            leaves = row.number("leaves")
            if by_leaf and leaves and not _is_far(length.in_unit(length.unit) / leaves, by_leaf, figures):
                continue
            unit = _likely_unit(length, middle)
            if unit:
                _report(found, row, name, _problem(name, length, unit, middle))
                rows.add(row.row_no)
    return rows


def _typed_lengths(found: SheetRows, name: str, words: Words) -> Iterator[tuple[int, _Written]]:
    column = found.raw.columns.get(name)
    if column is None or not column.letters:
        return
    for row in found.rows:
        cell = column.cells.get(row.row_no)
        written = cell and _written(name, cell, column.unit or words.length_unit, words)
        if written and written.number > 0:
            yield row.row_no, written


def _written(name: str, cell: CellText, unit: str, words: Words) -> _Written | None:
    kind, text = cell
    if kind == "number":
        return _Written(Fraction(text), unit) if unit else None
    quantity = read_quantity(name, text, has_comma=words.has_comma) if kind == "text" else None
    if quantity is None or isinstance(quantity, Problem):
        return None
    written = quantity.unit or unit
    return _Written(quantity.number, written) if written in MM_PER_LENGTH_UNIT else None


def _middle_by_leaf(found: SheetRows, name: str, typed: Mapping[int, _Written]) -> float | None:
    """Middle of the thicknesses by the leaf, mm; None for other lengths."""
    if name not in BY_THE_LEAF:
        return None
    each = [
        length.in_unit(length.unit) / leaves
        for row in found.rows
        if (length := typed.get(row.row_no)) and (leaves := row.number("leaves"))
    ]
    return statistics.median(each) if each else None


def _is_far(value: float, middle: float, figures: Figures) -> bool:
    return abs(math.log(value / middle)) > math.log(figures["check.unit_mix_factor"])


def _likely_unit(length: _Written, middle: float) -> str:
    """The unit in which the same number would be most like the middle; blank where none is near it."""
    off = {unit: abs(math.log(length.in_unit(unit) / middle)) for unit in MM_PER_LENGTH_UNIT}
    best = min(off, key=lambda unit: off[unit])
    return best if best != length.unit and off[best] <= math.log(ALIKE_FACTOR) else ""


def _problem(name: str, length: _Written, unit: str, middle: float) -> Problem:
    value, number = length.in_unit(length.unit), f"{float(length.number):.10g}"
    times, than = (value / middle, "more") if value > middle else (middle / value, "less")
    message = f"{name} {number} {length.unit} is {times:.0f} times {than} than the usual {middle:.4g} mm"
    action = f"check the unit; {number} {unit}, which is {length.in_unit(unit):.4g} mm?"
    return Problem(CODE, message, action, "warning")


def _report(found: SheetRows, row: Row, name: str, problem: Problem) -> None:
    """Report it, as an error in place of `number_out_of_range` where the length was refused."""
    place = found.place(row, name)
    for index, finding in enumerate(found.findings):
        if (finding.code, finding.cell) == ("number_out_of_range", place):
            refused = replace(problem, level="error")
            found.findings[index] = place_problem(refused, found.raw.name, place, finding.volume_id)
            return
    found.report(row, name, problem)
