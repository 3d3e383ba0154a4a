"""A guillotine that only cuts edge to edge, for the tests: it knows nothing of how plans are made.

It gets a sheet, the direction of the first cuts and where the pieces should lie, and cuts: first strips along every
line that no piece crosses, then each strip across, then the trim of each cell. A piece that does not come out, or a
cell with two pieces in it, fails.
"""

from collections import Counter
from typing import NamedTuple


class Box(NamedTuple):
    """A rectangle with a label, sides along x and y."""

    x: float
    y: float
    along_x: float
    along_y: float
    label: str


class CutError(AssertionError):
    """The pieces cannot be cut as told."""


TOLERANCE = 1e-6


def play_back(width: float, length: float, *, first_cut: str, boxes: list[Box]) -> Counter[str]:
    """Pieces that come out of a trimmed sheet of `width` times `length`, by label. Raises CutError."""
    if first_cut == "across_length":
        boxes = [Box(b.y, b.x, b.along_y, b.along_x, b.label) for b in boxes]
        width, length = length, width
    for box in boxes:
        if min(box.x, box.y) < -TOLERANCE or box.x + box.along_x > width + TOLERANCE:
            raise CutError(f"{box} is not on the sheet")
        if box.y + box.along_y > length + TOLERANCE:
            raise CutError(f"{box} is not on the sheet")
    out: Counter[str] = Counter()
    for strip in _parts(boxes, axis=1):
        for cell in _parts(strip, axis=0):
            if len(cell) != 1:
                raise CutError(f"{len(cell)} pieces in one cell: {cell}")
            out[cell[0].label] += 1
    return out


def _parts(boxes: list[Box], *, axis: int) -> list[list[Box]]:
    """Boxes parted by every line across that no box crosses."""
    ordered = sorted(boxes, key=lambda box: box[axis])
    parts: list[list[Box]] = []
    reached = float("-inf")
    for box in ordered:
        if box[axis] >= reached - TOLERANCE:
            parts.append([])
        parts[-1].append(box)
        reached = max(reached, box[axis] + box[axis + 2])
    return parts
