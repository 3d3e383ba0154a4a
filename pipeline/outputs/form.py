"""A form laid out row by row: cells over one or more columns, heights from the text, page by page."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from pipeline.outputs.sheet import LINE_POINTS, POINTS_PER_INCH, Sheet, Value, lines_needed
from pipeline.outputs.styles import BODY_WRAP, CAUTION, HEADING, NOTE, PLAIN, SUBTITLE, Style

DEFAULT_POINTS = 15.0
SIZE_10_POINTS = 10.0
PAGE_POINTS = {"A4": 745.0, "letter": 695.0}
"""Room on a page, less a little for printers that measure text otherwise."""
BOLD_SHARE = 0.93
INDENT = 2.0


@dataclass(frozen=True)
class Cell:
    """A value over the columns `first` to `last` of the row."""

    first: int
    last: int
    value: Value
    style: Style = PLAIN


@dataclass(frozen=True)
class Line:
    """A row of one side of a form; `picture` (PNG and its words), drawn at `scale`, begins there."""

    cells: tuple[Cell, ...] = ()
    points: float = DEFAULT_POINTS
    picture: tuple[bytes, str] | None = None
    scale: float = 1.0


class Form:
    """Writes forms one below the other, each on a page of its own. `row` is the next row."""

    def __init__(self, sheet: Sheet, widths: Sequence[float]) -> None:
        self.sheet = sheet
        self.row = 0
        self.points = 0.0
        self._widths = list(widths)
        sheet.widths(dict(enumerate(widths)))

    @property
    def last_column(self) -> int:
        """The last column of the form."""
        return len(self._widths) - 1

    def new_page(self) -> None:
        """Start a new printed page, but for the first."""
        if self.row:
            self.sheet.new_page(self.row)
        self.points = 0.0

    def cells(self, cells: Sequence[Cell], least_points: float = DEFAULT_POINTS) -> None:
        """Write one row. It is as high as its longest wrapped text needs."""
        points = self._points_of(cells, least_points)
        for cell in cells:
            self._put(cell)
        self.sheet.height(self.row, points)
        self.row += 1
        self.points += points

    def points_of(self, lines: Sequence[Line]) -> float:
        """Height of the lines, each by itself."""
        return sum(self._points_of(line.cells, line.points) for line in lines)

    def _points_of(self, cells: Sequence[Cell], least_points: float) -> float:
        """Height of a row: what its longest wrapped text needs."""
        points = least_points
        for cell in cells:
            if cell.style.wrap and isinstance(cell.value, str):
                indent = INDENT if cell.style.line == "frame" and not cell.style.fill else 0.0
                room = (
                    (sum(self._widths[cell.first : cell.last + 1]) - indent)
                    * SIZE_10_POINTS
                    / cell.style.size
                )
                lines = lines_needed(cell.value, room * (BOLD_SHARE if cell.style.bold else 1.0))
                points = max(points, lines * LINE_POINTS * cell.style.size / SIZE_10_POINTS + 3)
        return points

    def side_by_side(self, left: Sequence[Line], right: Sequence[Line], *, room: float, heading: str) -> None:
        """Write two columns of rows beside each other, each row as high as the higher of both.

        Rows beyond the room of the page go to a next one, which begins with the heading.
        """
        for one, other in zip_longest(left, right, fillvalue=Line(points=0.0)):
            cells, least = [*one.cells, *other.cells], max(one.points, other.points)
            if self.points + self._points_of(cells, least) > room:
                self.new_page()
                self.line(heading, SUBTITLE)
            if one.picture:
                self.sheet.picture(self.row, 0, *one.picture, scale=one.scale)
            self.cells(cells, least)

    def _put(self, cell: Cell) -> None:
        if cell.first == cell.last:
            self.sheet.put(self.row, cell.first, cell.value, cell.style)
        else:
            self.sheet.across(self.row, (cell.first, cell.last), str(cell.value or ""), cell.style)

    def line(self, text: str, style: Style = NOTE) -> None:
        """One text across the form."""
        self.cells([Cell(0, self.last_column, text, style)])

    def caution(self, text: str) -> None:
        """A caution in a thick frame across the form."""
        self.line(f"CAUTION: {text}", CAUTION)

    def heading(self, text: str) -> None:
        """A heading with a little room above."""
        self.gap()
        self.cells([Cell(0, self.last_column, text, SUBTITLE)], 17.0)

    def heads(self, spans: Sequence[tuple[int, int]], words: Sequence[str]) -> None:
        """The heading row of a small table."""
        self.cells([Cell(*span, word, HEADING) for span, word in zip(spans, words, strict=True)])

    def body(
        self, spans: Sequence[tuple[int, int]], values: Sequence[Value], styles: Sequence[Style]
    ) -> None:
        """A row of a small table."""
        self.cells([Cell(*s, value, style) for s, value, style in zip(spans, values, styles, strict=True)])

    def pair(self, label: str, text: str, label_last: int) -> None:
        """A label and its text."""
        bold = BODY_WRAP.but(bold=True)
        self.cells(
            [Cell(0, label_last, label, bold), Cell(label_last + 1, self.last_column, text, BODY_WRAP)]
        )

    def gap(self, points: float = 6.0) -> None:
        """A little room. The row has a cell, for a row without one loses its height in a long workbook."""
        self.sheet.put(self.row, 0, None)
        self.sheet.height(self.row, points)
        self.row += 1
        self.points += points

    def picture(self, png: bytes, alt: str, height_inches: float, column: int = 0) -> None:
        """A picture with the rows it covers."""
        self.sheet.picture(self.row, column, png, alt)
        rows = int(height_inches * POINTS_PER_INCH / DEFAULT_POINTS) + 1
        for _ in range(rows):
            self.gap(DEFAULT_POINTS)
