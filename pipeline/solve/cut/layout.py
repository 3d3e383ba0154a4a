"""Where the pieces of a pattern lie, and which remainders are worth keeping. Ticks from the trimmed corner."""

from typing import NamedTuple

from pipeline.solve.cut.problem import Pattern, Problem, strip_height, used_rooms


class Rectangle(NamedTuple):
    """A rectangle on the parent: x along the stock's width, y along its length."""

    x: int
    y: int
    along_width: int
    along_length: int


class Piece(NamedTuple):
    """A piece and the index of its size."""

    size: int
    place: Rectangle


def lay_out(problem: Problem, pattern: Pattern) -> tuple[Piece, ...]:
    """Pieces in cutting order: strip by strip from the trimmed corner, along each strip."""
    pieces, stacked = [], 0
    for strip in pattern.strips:
        along = 0
        for cells in strip:
            print_ = problem.footprint(pattern.panel, cells.size, cells.turned)
            for _ in range(cells.pieces):
                place = _place(
                    problem, pattern.panel, (along, stacked, print_.along_strip, print_.along_stack)
                )
                pieces.append(Piece(cells.size, place))
                along += print_.along_strip
        stacked += strip_height(problem, pattern.panel, strip)
    return tuple(pieces)


def remainders(problem: Problem, pattern: Pattern) -> tuple[Rectangle, ...]:
    """What the cuts leave, as rectangles that overlap neither pieces nor each other.

    The rest of the stack, the rest of each strip, and above each piece that is lower than its strip.
    """
    room_along, room_stack = used_rooms(problem, pattern)
    found, stacked = [], 0
    for strip in pattern.strips:
        height, along = strip_height(problem, pattern.panel, strip), 0
        for cells in strip:
            print_ = problem.footprint(pattern.panel, cells.size, cells.turned)
            for _ in range(cells.pieces):
                lower = height - print_.along_stack
                found.append((along, stacked + print_.along_stack, print_.along_strip, lower))
                along += print_.along_strip
        found.append((along, stacked, room_along - along, height))
        stacked += height
    found.append((0, stacked, room_along, room_stack - stacked))
    return tuple(_place(problem, pattern.panel, part) for part in found if part[2] > 0 and part[3] > 0)


def _place(problem: Problem, panel: int, part: tuple[int, int, int, int]) -> Rectangle:
    along, stacked, along_strip, along_stack = part
    if problem.panels[panel].first_cut == "across_width":
        return Rectangle(along, stacked, along_strip, along_stack)
    return Rectangle(stacked, along, along_stack, along_strip)
