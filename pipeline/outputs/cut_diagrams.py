"""The picture of one cutting pattern, to scale: pieces, off-cuts, waste, cut numbers, grain."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

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
from pipeline.outputs.pictures import FONT_POINTS, blank_figure, plain_axes, png_bytes
from pipeline.outputs.plan import Row

PICTURE_INCHES = 6.6
ROOM_INCHES = {"A4": 4.7, "letter": 4.0}
LEAST_HEIGHT_INCHES = 2.2
CUT_ROW_INCHES = 0.21
SIZE_ROW_INCHES = 0.42
"""Room that a row of cuts, or of sizes and off-cuts, takes from the picture on a ticket of one page."""
EDGE_SHARE = 0.13
SLIM = 1.6
MARK = 0.2
Look = dict[str, Any]
WHITE: Look = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
CIRCLE: Look = {"boxstyle": "circle,pad=0.2", "facecolor": "white", "edgecolor": "black", "linewidth": 0.8}
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Drawing:
    """A pattern ready to draw: its row of cut_tickets, letter by cut size, boxes and cuts."""

    pattern: Row
    letters: dict[str, str]
    pieces: tuple[Box, ...]
    offcuts: tuple[Box, ...]
    plan: CutPlan
    page_size: str = "A4"


def letter(number: int) -> str:
    """The letter of the number-th cut size on a sheet: A, B ... Z, AA, AB ..."""
    first, second = divmod(number, len(ALPHABET))
    return (ALPHABET[first - 1] if first else "") + ALPHABET[second]


def make_drawing(
    pattern: Row, pieces: Sequence[Row], offcuts: Sequence[Row], *, page_size: str = "A4"
) -> Drawing:
    """Letters, boxes and cuts of one pattern, for tickets on this paper.

    Raises ContractError when the pattern cannot be cut from edge to edge.
    """
    sizes = sorted({row["cut_size_id"] for row in pieces})
    letters = {size: letter(number) for number, size in enumerate(sizes)}
    boxes = tuple(box_of(row, letters[row["cut_size_id"]]) for row in pieces)
    left = tuple(box_of(row, OFFCUT) for row in offcuts)
    return Drawing(pattern, letters, boxes, left, cut_sequence(pattern, boxes, left), page_size)


def cut_diagram(drawing: Drawing, lengths: Lengths) -> bytes:
    """PNG of the pattern. Letters stand for cut sizes, circled numbers for cuts, hatching for no leaf.

    A sheet longer than wide is shown lying on its side, turned a quarter.
    """
    canvas = _Canvas(drawing, lengths)
    canvas.rectangle(canvas.sheet, hatch="////", line=1.4)
    for box in drawing.offcuts:
        canvas.labelled(box, "off-cut", hatch="....")
    for box in drawing.pieces:
        canvas.labelled(box, box.label, hatch="")
    for cut in drawing.plan.cuts:
        canvas.cut(cut)
    canvas.dimensions()
    canvas.grain()
    return png_bytes(canvas.figure)


def picture_inches(drawing: Drawing) -> tuple[float, float]:
    """Width and height of the pattern's picture: as high as its shape asks, within the ticket's room."""
    sheet = sheet_box(drawing.pattern)
    edge = _edge(sheet)
    sides = sorted((sheet.right_um - sheet.x_um, sheet.top_um - sheet.y_um))
    high = PICTURE_INCHES * (sides[0] + 2 * edge) / (sides[1] + 2 * edge)
    rows = len(drawing.letters) + len(drawing.offcuts)
    room = (
        ROOM_INCHES[drawing.page_size]
        - CUT_ROW_INCHES * len(drawing.plan.cuts)
        - SIZE_ROW_INCHES * (rows - 1)
    )
    return PICTURE_INCHES, max(LEAST_HEIGHT_INCHES, min(high, room))


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
    """The figure of one pattern; a place on the stock becomes one on the picture, turned if it is long."""

    def __init__(self, drawing: Drawing, lengths: Lengths) -> None:
        self.figure = blank_figure(*picture_inches(drawing))
        self.sheet = sheet_box(drawing.pattern)
        self._lengths = lengths
        self._grain = drawing.pattern["grain"]
        self._edge = _edge(self.sheet)
        self._is_turned = self.sheet.top_um - self.sheet.y_um > self.sheet.right_um - self.sheet.x_um
        self._axes = plain_axes(self.figure)
        self.left, self.bottom, self.right, self.top = self._corners(self.sheet)
        self._axes.set_xlim(self.left - self._edge, self.right + self._edge)
        self._axes.set_ylim(self.bottom - self._edge, self.top + self._edge)

    def _place(self, x: float, y: float) -> tuple[float, float]:
        return (y, -x) if self._is_turned else (x, y)

    def _corners(self, box: Box) -> tuple[float, float, float, float]:
        first, second = self._place(box.x_um, box.y_um), self._place(box.right_um, box.top_um)
        low, high = sorted((first[1], second[1]))
        return min(first[0], second[0]), low, max(first[0], second[0]), high

    def rectangle(self, box: Box, *, hatch: str, line: float = 0.9) -> None:
        """A box, hatched. What nothing covers later on the whole sheet is trim and waste."""
        from matplotlib.patches import Rectangle

        left, bottom, right, top = self._corners(box)
        look: Look = {"facecolor": "white", "edgecolor": "black", "hatch": hatch, "linewidth": line}
        self._axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, **look))

    def labelled(self, box: Box, mark: str, *, hatch: str) -> None:
        """A piece or off-cut with its letter and its width × length on the stock."""
        self.rectangle(box, hatch=hatch)
        left, bottom, right, top = self._corners(box)
        turn = 90 if top - bottom > SLIM * (right - left) else 0
        text = f"{mark}\n{_size(box, self._lengths)}"
        self._text(((left + right) / 2, (bottom + top) / 2), text, box=WHITE, rotation=turn)

    def _text(self, place: tuple[float, float], text: str, *, box: Look, rotation: int = 0) -> None:
        words: Look = {"fontsize": FONT_POINTS, "ha": "center", "va": "center", "rotation": rotation}
        self._axes.text(*place, text, bbox=box, **words)

    def cut(self, cut: Cut) -> None:
        """The knife line of a cut on each of its piles, its number at one end."""
        for number, (x0, y0, x1, y1) in enumerate(cut.lines):
            (start, low), (end, high) = self._place(x0, y0), self._place(x1, y1)
            self._axes.plot([start, end], [low, high], color="black", linewidth=1.3, linestyle=(0, (6, 2)))
            if number == 0:
                is_first_stage = cut.piles == (WHOLE_SHEET,)
                away = MARK * self._edge if is_first_stage else -MARK * self._edge
                pick = max if is_first_stage else min
                place = (pick(start, end) + away, low) if low == high else (start, pick(low, high) + away)
                self._text(place, str(cut.number), box=CIRCLE)

    def dimensions(self) -> None:
        """Sides of the parent as bought, with arrows, below and to the left."""
        below, left = self.bottom - 0.62 * self._edge, self.left - 0.62 * self._edge
        arrow = {"arrowstyle": "<->", "linewidth": 0.8}
        self._axes.annotate("", (self.left, below), (self.right, below), arrowprops=arrow)
        self._axes.annotate("", (left, self.bottom), (left, self.top), arrowprops=arrow)
        across, up = ("length", "width") if self._is_turned else ("width", "length")
        middle = (self.left + self.right) / 2, (self.bottom + self.top) / 2
        self._text((middle[0], below), self._side(across, self.right - self.left), box=WHITE)
        self._text((left, middle[1]), self._side(up, self.top - self.bottom), box=WHITE, rotation=90)

    def _side(self, word: str, length_um: float) -> str:
        return f"{word} {self._lengths.text(units.um_to_mm(int(length_um)))}"

    def grain(self) -> None:
        """An arrow along the machine direction of the paper, at the right."""
        x, y = self.right + 0.66 * self._edge, (self.bottom + self.top) / 2
        reach = 0.3 * self._edge
        is_level = (self._grain == "long") == self._is_turned
        ends = ((x - reach, y), (x + reach, y)) if is_level else ((x, y - reach), (x, y + reach))
        look: Look = {
            "arrowstyle": "<|-|>",
            "linewidth": 1.2,
            "color": "black",
            "mutation_scale": 7,
            "shrinkA": 0,
            "shrinkB": 0,
        }
        self._axes.annotate("", ends[1], ends[0], arrowprops=look)
        self._text((x, y + 0.5 * self._edge), "grain", box=WHITE)
