"""The picture of one cutting pattern, to scale: pieces, off-cuts, waste, cut numbers, grain."""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline import units
from pipeline.outputs.cut_sequence import (
    OFFCUT,
    WHOLE_SHEET,
    Box,
    Cut,
    CutPlan,
    box_of,
    cut_sequence,
    sheet_box,
)
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.pictures import POINTS_PER_INCH
from pipeline.outputs.plan import Row
from pipeline.outputs.sketch import DOTTED, SLANTED, Point, Sketch

PICTURE_INCHES = 5.1
TICKET_POINTS = 550.0
FORM_POINTS, SIZE_POINTS, OFFCUT_POINTS = 240.0, 45.0, 16.0
LEAST_HEIGHT_INCHES = 2.2
"""Room on the left side of a ticket, what its other rows take, and what is still legible."""
EDGE_SHARE = 0.13
SLIM = 1.6
OUTER_MARK, INNER_MARK = 0.34, 0.14
ARROWS = 0.74
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Drawing:
    """A pattern ready to draw: its row of cut_tickets, letter by cut size, boxes and cuts."""

    pattern: Row
    letters: dict[str, str]
    pieces: tuple[Box, ...]
    offcuts: tuple[Box, ...]
    plan: CutPlan


def letter(number: int) -> str:
    """The letter of the number-th cut size on a sheet: A, B ... Z, AA, AB ..."""
    first, second = divmod(number, len(ALPHABET))
    return (ALPHABET[first - 1] if first else "") + ALPHABET[second]


def make_drawing(pattern: Row, pieces: Sequence[Row], offcuts: Sequence[Row]) -> Drawing:
    """Letters, boxes and cuts of one pattern. Raises ContractError when it cannot be cut from edge to edge."""
    sizes = sorted({row["cut_size_id"] for row in pieces})
    letters = {size: letter(number) for number, size in enumerate(sizes)}
    boxes = tuple(box_of(row, letters[row["cut_size_id"]]) for row in pieces)
    left = tuple(box_of(row, OFFCUT) for row in offcuts)
    return Drawing(pattern, letters, boxes, left, cut_sequence(pattern, boxes, left))


def cut_diagram(drawing: Drawing, lengths: Lengths) -> bytes:
    """PNG of the pattern. Letters stand for cut sizes, circled numbers for cuts, hatching for no leaf.

    A sheet longer than wide is shown lying on its side, turned a quarter. The first piece of each size has
    its measures.
    """
    canvas = _Canvas(drawing, lengths)
    for box in drawing.offcuts:
        canvas.labelled(box, has_size=True, hatch=DOTTED)
    measured: set[str] = set()
    for box in drawing.pieces:
        canvas.labelled(box, has_size=box.label not in measured, hatch="")
        measured.add(box.label)
    for cut in drawing.plan.cuts:
        canvas.cut(cut)
    canvas.dimensions()
    canvas.grain()
    return canvas.sketch.png()


def picture_inches(drawing: Drawing) -> tuple[float, float]:
    """Width and height of the pattern's picture: as high as its shape asks, within the ticket's room."""
    sheet = sheet_box(drawing.pattern)
    edge = _edge(sheet)
    sides = sorted((sheet.right_um - sheet.x_um, sheet.top_um - sheet.y_um))
    high = PICTURE_INCHES * (sides[0] + 2 * edge) / (sides[1] + 2 * edge)
    return PICTURE_INCHES, min(high, _room_inches(len(drawing.letters), len(drawing.offcuts)))


def _room_inches(sizes: int, offcuts: int) -> float:
    """Room that the rows of a ticket leave for its picture, so that it stays on one page."""
    rows = FORM_POINTS + SIZE_POINTS * sizes + OFFCUT_POINTS * offcuts
    return max(LEAST_HEIGHT_INCHES, (TICKET_POINTS - rows) / POINTS_PER_INCH)


def _edge(sheet: Box) -> float:
    """Room around the sheet for dimensions and cut numbers."""
    return EDGE_SHARE * max(sheet.right_um - sheet.x_um, sheet.top_um - sheet.y_um)


def diagram_text(drawing: Drawing, lengths: Lengths) -> str:
    """The picture in words, for people who cannot see it."""
    counts = {mark: sum(box.label == mark for box in drawing.pieces) for mark in drawing.letters.values()}
    pieces = ", ".join(f"{count} of size {mark}" for mark, count in counts.items())
    sheet = sheet_box(drawing.pattern)
    return (
        f"Pattern {drawing.pattern['pattern_id']} on a parent {_size(sheet, lengths)} {lengths.unit}: "
        f"{pieces}; "
        f"{len(drawing.offcuts)} off-cut(s); {len(drawing.plan.cuts)} gauge settings."
    )


def _size(box: Box, lengths: Lengths) -> str:
    width, height = box.right_um - box.x_um, box.top_um - box.y_um
    return f"{lengths.bare(units.um_to_mm(width))} × {lengths.bare(units.um_to_mm(height))}"


class _Canvas:
    """The sketch of one pattern; a place on the stock becomes one on the picture, turned if it is long."""

    def __init__(self, drawing: Drawing, lengths: Lengths) -> None:
        sheet = sheet_box(drawing.pattern)
        self._lengths = lengths
        self._grain = drawing.pattern["grain"]
        self._edge = _edge(sheet)
        self._is_turned = sheet.top_um - sheet.y_um > sheet.right_um - sheet.x_um
        self._left, self._bottom, self._right, self._top = self._corners(sheet)
        low = self._left - self._edge, self._bottom - self._edge
        high = self._right + self._edge, self._top + self._edge
        self.sketch = Sketch(picture_inches(drawing), low, high)
        self.sketch.hatched(self._around(sheet), SLANTED, width=1.4)  # what nothing covers is trim and waste

    def _place(self, x: float, y: float) -> Point:
        return (y, -x) if self._is_turned else (x, y)

    def _corners(self, box: Box) -> tuple[float, float, float, float]:
        first, second = self._place(box.x_um, box.y_um), self._place(box.right_um, box.top_um)
        low, high = sorted((first[1], second[1]))
        return min(first[0], second[0]), low, max(first[0], second[0]), high

    def _around(self, box: Box) -> list[Point]:
        left, bottom, right, top = self._corners(box)
        return [(left, bottom), (right, bottom), (right, top), (left, top)]

    def labelled(self, box: Box, *, has_size: bool, hatch: str) -> None:
        """A piece or off-cut with its letter and, where asked for, its width × length on the stock.

        Measures that would not fit level stand upright; they are left out where they fit neither way.
        """
        left, bottom, right, top = self._corners(box)
        self.sketch.hatched(self._around(box), hatch)
        text = f"{box.label}\n{_size(box, self._lengths)}" if has_size else box.label
        need, wide, high = self.sketch.length_of(text), right - left, top - bottom
        if need > max(wide, high):
            text, need = box.label, 0.0
        turn = 90 if high > wide and (need > wide or (has_size and high > SLIM * wide)) else 0
        middle = (left + right) / 2, (bottom + top) / 2
        if turn or hatch:
            self.sketch.boxed(middle, text, turn=turn)
        else:
            self.sketch.text(middle, text)

    def cut(self, cut: Cut) -> None:
        """The knife line of a cut on each of its piles, its number at one end."""
        is_first_stage = cut.piles == (WHOLE_SHEET,)
        away = self._edge * (OUTER_MARK if is_first_stage else -INNER_MARK)
        pick = max if is_first_stage else min
        ends = [(self._place(x0, y0), self._place(x1, y1)) for x0, y0, x1, y1 in cut.lines]
        for start, end in ends:
            self.sketch.dashes(start, end)
        (x0, y0), (x1, y1) = ends[0]
        place = (pick(x0, x1) + away, y0) if y0 == y1 else (x0, pick(y0, y1) + away)
        self.sketch.circled(place, str(cut.number))

    def dimensions(self) -> None:
        """Sides of the parent as bought, with arrows, below and to the left."""
        below, left = self._bottom - ARROWS * self._edge, self._left - ARROWS * self._edge
        self.sketch.arrow((self._left, below), (self._right, below))
        self.sketch.arrow((left, self._bottom), (left, self._top))
        across, up = ("length", "width") if self._is_turned else ("width", "length")
        middle = (self._left + self._right) / 2, (self._bottom + self._top) / 2
        self.sketch.boxed((middle[0], below), self._side(across, self._right - self._left))
        self.sketch.boxed((left, middle[1]), self._side(up, self._top - self._bottom), turn=90)

    def _side(self, word: str, length_um: float) -> str:
        return f"{word} {self._lengths.text(units.um_to_mm(int(length_um)))}"

    def grain(self) -> None:
        """An arrow along the machine direction of the paper, in the upper right corner, clear of all numbers."""
        x, y = self._right + 0.62 * self._edge, self._top + 0.78 * self._edge
        reach = 0.3 * self._edge
        is_level = (self._grain == "long") == self._is_turned
        ends = ((x - reach, y), (x + reach, y)) if is_level else ((x, y - reach / 2), (x, y + reach / 2))
        self.sketch.arrow(*ends, width=1.2)
        self.sketch.text((x - 2.5 * reach, y), "grain")
