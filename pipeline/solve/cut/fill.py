"""Filling a parent first fit: from nothing, or what room a pattern has left."""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.solve.cut.columns import clip
from pipeline.solve.cut.problem import (
    Cells,
    Pattern,
    Problem,
    Strip,
    piece_counts,
    stack_height,
    strip_height,
    strip_run,
    tidy_pattern,
    used_rooms,
)

Placement = tuple[int, bool]


@dataclass
class Filling:
    """A parent being filled: what is left to cut, and the sizes on it so far."""

    problem: Problem
    panel: int
    left: list[int]
    used: set[int]

    def may_take(self, size: int) -> bool:
        """Whether a piece of the size is wanted and the parent may hold that size."""
        most = self.problem.max_sizes
        return self.left[size] > 0 and (most is None or size in self.used or len(self.used) < most)

    def cells(self, places: Sequence[Placement], *, height: int, room: int) -> Strip:
        """Pieces not taller than `height` for the room in a strip, places in order."""
        cells = []
        for size, turned in places:
            along_strip, along_stack = self.problem.footprint(self.panel, size, turned)
            pieces = min(self.left[size], room // along_strip)
            if along_stack <= height and pieces > 0 and self.may_take(size):
                cells.append(Cells(size, turned, pieces))
                self.used.add(size)
                self.left[size] -= pieces
                room -= pieces * along_strip
        return tuple(cells)

    def strips(
        self, leaders: Sequence[Placement], places: Sequence[Placement], *, rooms: tuple[int, int]
    ) -> list[Strip]:
        """Strips for the rooms (along the strips, along the stack), each as high as its leader."""
        room_along, room = rooms
        strips, waiting = [], list(leaders)
        while waiting:
            along_strip, height = self.problem.footprint(self.panel, *waiting[0])
            if height > room or along_strip > room_along or not self.may_take(waiting[0][0]):
                waiting.pop(0)
                continue
            strips.append(self.cells([waiting[0], *places], height=height, room=room_along))
            room -= height
        return strips


def tallest_first(problem: Problem, panel: int) -> list[Placement]:
    """Pieces that fit a panel, those that take the highest strips first."""
    return sorted(problem.placements(panel), key=lambda p: (-problem.footprint(panel, *p).along_stack, p))


def fill_parent(problem: Problem, panel: int, rest: Sequence[int], *, first: Placement) -> Pattern:
    """A parent filled strip by strip from what is left to cut, the first strip led by `first`."""
    places, rooms = tallest_first(problem, panel), problem.panels[panel]
    filling = Filling(problem, panel, list(rest), {first[0]})
    strips = filling.strips([first, *places], places, rooms=(rooms.strip_ticks, rooms.stack_ticks))
    return Pattern(panel, tuple(strips))


class TopUp:
    """Puts pieces that are still wanted into the room patterns leave, at no higher cost."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._places = [tallest_first(problem, panel) for panel in range(len(problem.panels))]

    def useful(self, pattern: Pattern, rest: Sequence[int]) -> Pattern:
        """The pattern without pieces beyond what is left to cut, its free room filled with what is."""
        pattern = clip(self.problem, pattern, rest)
        if not pattern.strips:
            return pattern
        counts = piece_counts(self.problem, pattern)
        left = [wanted - count for wanted, count in zip(rest, counts, strict=True)]
        used = {size for size, count in enumerate(counts) if count}
        filling, places = Filling(self.problem, pattern.panel, left, used), self._places[pattern.panel]
        length, stack = used_rooms(self.problem, pattern)
        strips = []
        for strip in pattern.strips:
            height = strip_height(self.problem, pattern.panel, strip)
            room = length - strip_run(self.problem, pattern.panel, strip)
            strips.append(strip + filling.cells(places, height=height, room=room))
        rooms = (length, stack - stack_height(self.problem, pattern))
        strips += filling.strips(places, places, rooms=rooms)
        return tidy_pattern(self.problem, Pattern(pattern.panel, tuple(strips)))
