"""The cuts of one pattern in the order a guillotine operator makes them, with back-gauge settings.

A knife keeps what lies between gauge and blade and lets fall what lies in front of it. So each pile is
squared on its
far edge, turned half round so that the fresh edge lies at the gauge, and cut from the front: settings go
down, and each
setting is the distance from the fresh edge. First the strips, in the direction of the pattern's first cut;
then each
strip crosswise; then, where a piece does not fill its cell, the last trim. Whole um, from the trimmed corner.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pipeline import units
from pipeline.errors import ContractError
from pipeline.published_plan import Row

Axis = Literal["width", "length"]
AXES: tuple[Axis, Axis] = ("width", "length")
OFFCUT = "off-cut"
KEPT = "keep"
"""An off-cut that a later ticket cuts: it is squared on all sides, as a piece is."""
WHOLE_SHEET = "whole sheet"
STRIP = "strip "
MOST_LEVELS = 6


@dataclass(frozen=True)
class Box:
    """A rectangle on the parent sheet, um. `label`: letter of its cut size, or off-cut, or blank."""

    x_um: int
    y_um: int
    right_um: int
    top_um: int
    label: str = ""

    def span(self, axis: Axis) -> tuple[int, int]:
        """Where the box begins and ends along the stock's width or length."""
        return (self.x_um, self.right_um) if axis == "width" else (self.y_um, self.top_um)

    def between(self, axis: Axis, start: int, end: int) -> "Box":
        """The part of the box between two places along an axis."""
        if axis == "width":
            return replace(self, x_um=start, right_um=end, label="")
        return replace(self, y_um=start, top_um=end, label="")


@dataclass(frozen=True)
class Cut:
    """One setting of the back gauge, for one pile or several alike; `lines`: the knife's line on each."""

    number: int
    piles: tuple[str, ...]
    axis: Axis
    gauge_um: int
    falls: str
    stays: str
    turn_after: bool
    lines: tuple[tuple[int, int, int, int], ...]

    @property
    def knife(self) -> str:
        """Which way the knife runs on the sheet as bought."""
        return "along the length" if self.axis == "width" else "across the width"


@dataclass(frozen=True)
class _Pile:
    """A pile on its way through the guillotine: its name, its extent, what lies on it."""

    name: str
    box: Box
    items: tuple[Box, ...]


@dataclass(frozen=True)
class CutPlan:
    """Cuts in order, and whether every off-cut comes off whole on the way."""

    cuts: tuple[Cut, ...]
    has_whole_offcuts: bool


def cut_sequence(pattern: Row, pieces: Sequence[Box], offcuts: Sequence[Box]) -> CutPlan:
    """Cuts of a pattern in order. `pattern` is a row of sql/outputs/cut_tickets.sql.

    Raises ContractError when the pieces cannot be had by cuts from edge to edge.
    """
    sheet = sheet_box(pattern)
    first: Axis = "length" if pattern["first_cut"] == "across_width" else "width"
    whole = [box for box in offcuts if not _bridges(box, pieces, first)]
    try:
        cuts = tuple(_alike_together(list(_cuts(sheet, [*pieces, *whole], first))))
        return CutPlan(cuts, has_whole_offcuts=len(whole) == len(offcuts))
    except ContractError:
        kept = [box for box in whole if box.label == KEPT]
        cuts = tuple(_alike_together(list(_cuts(sheet, [*pieces, *kept], first))))
        return CutPlan(cuts, has_whole_offcuts=len(kept) == len(offcuts))


def sheet_box(pattern: Row) -> Box:
    """The untrimmed parent sheet, from the trimmed corner: it begins at minus the trim."""
    trim = units.floor_um(pattern["trim_mm"])
    width, length = units.floor_um(pattern["sheet_width_mm"]), units.floor_um(pattern["sheet_length_mm"])
    return Box(-trim, -trim, width - trim, length - trim, "sheet")


def box_of(row: Row, label: str) -> Box:
    """A piece or off-cut of the published tables as a box."""
    right = row["x_mm"] + row["along_width_mm"]
    top = row["y_mm"] + row["along_length_mm"]
    corner = units.floor_um(row["x_mm"]), units.floor_um(row["y_mm"])
    return Box(*corner, units.floor_um(right), units.floor_um(top), label)


def _bridges(offcut: Box, pieces: Sequence[Box], axis: Axis) -> bool:
    """Whether an off-cut lies across several strips, so that the first-stage cuts go through it."""
    start, end = offcut.span(axis)
    return sum(1 for strip in _clusters(pieces, axis) if strip.start < end and start < strip.end) > 1


@dataclass(frozen=True)
class _Part:
    """Items whose spans along an axis overlap: one cut parts them from the others."""

    start: int
    end: int
    items: tuple[Box, ...]


def _clusters(items: Sequence[Box], axis: Axis) -> list[_Part]:
    """The items as parts that cuts across this axis can separate, near end first."""
    found: list[_Part] = []
    for item in sorted(items, key=lambda box: (box.span(axis), box.x_um, box.y_um)):
        start, end = item.span(axis)
        if found and start < found[-1].end:
            last = found[-1]
            found[-1] = _Part(last.start, max(last.end, end), (*last.items, item))
        else:
            found.append(_Part(start, end, (item,)))
    return found


def _cuts(sheet: Box, items: Sequence[Box], axis: Axis) -> Iterator[Cut]:
    """Cuts of the parent sheet, level by level: all strips first, then what comes of each."""
    piles = [_Pile(WHOLE_SHEET, sheet, tuple(items))]
    for level in range(MOST_LEVELS):
        following: list[_Pile] = []
        for pile in piles:
            yield from _take_apart(pile, axis, following, part="strip" if level == 0 else "part")
        piles = following
        axis = _other(axis)
        if not piles:
            return
    raise ContractError("a pattern cannot be cut from edge to edge")


def _take_apart(pile: _Pile, axis: Axis, following: list[_Pile], *, part: str) -> Iterator[Cut]:
    """Cuts of one pile along one axis, far end first; what still has to be cut joins `following`.

    A gap between two parts falls as waste on the way: the end of the nearer part is cut before its beginning.
    """
    parts = _clusters(pile.items, axis)
    low, edge = pile.box.span(axis)
    start = parts[0].start
    names = [_name(found, number, part) for number, found in enumerate(parts, start=1)]
    if start > low:
        yield _cut(pile, axis, (start, edge), _Outcome("trim", "the rest", turn_after=True))
    left: list[_Pile] = []
    for place in range(len(parts) - 1, -1, -1):
        found = parts[place]
        if edge > found.end:
            yield _cut(pile, axis, (found.end, start), _Outcome("waste", _listed(names[: place + 1])))
        if place > 0:
            yield _cut(pile, axis, (found.start, start), _Outcome(names[place], _listed(names[:place])))
        edge = found.start
        if not _is_done(found, pile.box.between(axis, found.start, found.end)):
            name = names[place] if part == "strip" else f"{pile.name}, {names[place]}"
            left.append(_Pile(name, pile.box.between(axis, found.start, found.end), found.items))
    following.extend(reversed(left))


def _is_done(part: _Part, box: Box) -> bool:
    """Whether nothing is left to cut: a piece or kept off-cut that fills its cell, or an off-cut with raw edges.

    Raises ContractError when several pieces cannot be parted by any cut.
    """
    if len(part.items) == 1:
        item = part.items[0]
        return item.label == OFFCUT or all(item.span(axis) == box.span(axis) for axis in AXES)
    if all(len(_clusters(part.items, axis)) == 1 for axis in AXES):
        raise ContractError("a pattern cannot be cut from edge to edge")
    return False


@dataclass(frozen=True)
class _Outcome:
    """What falls at a cut, what stays at the gauge, and whether that is turned half round then."""

    falls: str
    stays: str
    turn_after: bool = False


def _cut(pile: _Pile, axis: Axis, places: tuple[int, int], outcome: _Outcome) -> Cut:
    """One cut; `places` are those of the knife and of the edge that lies at the gauge."""
    place, gauge_edge = places
    low, high = pile.box.span(_other(axis))
    line = (place, low, place, high) if axis == "width" else (low, place, high, place)
    gauge = abs(place - gauge_edge)
    return Cut(0, (pile.name,), axis, gauge, outcome.falls, outcome.stays, outcome.turn_after, (line,))


def _name(part: _Part, number: int, word: str) -> str:
    """What a part is called: the letter of its only piece, else strip or part with its number."""
    only = part.items[0].label if len(part.items) == 1 else ""
    return only if only == OFFCUT or (only and word == "part") else f"{word} {number}"


def _listed(names: Sequence[str]) -> str:
    """Names in a row, strips together and equal pieces counted: `strips 1 to 3, off-cut`, `2 × A, B`."""
    strips = [int(name.removeprefix(STRIP)) for name in names if name.startswith(STRIP)]
    counts = {name: list(names).count(name) for name in names if not name.startswith(STRIP)}
    rest = [name if count == 1 else f"{count} × {name}" for name, count in counts.items()]
    return ", ".join([strip_words(strips), *rest] if strips else rest)


def strip_words(numbers: Sequence[int]) -> str:
    """Strips by number: `strip 2`, `strips 1, 3`, `strips 1 to 5`."""
    if len(numbers) == 1:
        return f"{STRIP}{numbers[0]}"
    if len(numbers) > 2 and list(numbers) == list(range(numbers[0], numbers[-1] + 1)):
        return f"strips {numbers[0]} to {numbers[-1]}"
    return "strips " + ", ".join(str(number) for number in numbers)


def _other(axis: Axis) -> Axis:
    return "width" if axis == "length" else "length"


def _alike_together(cuts: list[Cut]) -> Iterator[Cut]:
    """Cuts numbered in order; settings that several piles share are given once, for each pile in turn.

    On one pile settings go down: one that does not is the first of another pile of that name.
    """
    runs: list[list[Cut]] = []
    for cut in cuts:
        last = runs[-1][-1] if runs else None
        if last and last.piles == cut.piles and last.axis == cut.axis and cut.gauge_um < last.gauge_um:
            runs[-1].append(cut)
        else:
            runs.append([cut])
    merged: dict[tuple[object, ...], list[Cut]] = {}
    for run in runs:
        alike = tuple((c.axis, c.gauge_um, c.falls, c.stays, c.turn_after) for c in run)
        place = merged.get(alike)
        merged[alike] = [_joined(a, b) for a, b in zip(place, run, strict=True)] if place else run
    number = 0
    for run in merged.values():
        for cut in run:
            number += 1
            yield replace(cut, number=number)


def _joined(first: Cut, second: Cut) -> Cut:
    return replace(first, piles=(*first.piles, *second.piles), lines=first.lines + second.lines)
