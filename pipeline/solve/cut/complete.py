"""Every pattern of a small problem that is worth cutting, as long as they are not too many.

Only full strips and full stacks are listed: a parent with more pieces serves as well as one with fewer. Lengths off a
roll are left out, since there fewer pieces may be cheaper.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from pipeline.solve.cut.problem import (
    Cells,
    Pattern,
    Problem,
    Strip,
    pattern_cost,
    piece_counts,
    strip_height,
    tidy_pattern,
)
from pipeline.solve.cut.strips import Place, places_of

MOST_STEPS = 6_000
"""Steps of the listing after which a problem counts as too large."""


class TooManyError(Exception):
    """The patterns are too many to list."""


def full_patterns(problem: Problem) -> list[Pattern]:
    """Patterns of sheets of which no other gives as many pieces of every size at no higher cost.

    Pieces beyond the demand do not count. Empty when there are too many to list, or where a stock is a roll.
    """
    if any(panel.free != "none" for panel in problem.panels):
        return []
    lister = _Lister(problem)
    try:
        found = [pattern for panel in range(len(problem.panels)) for pattern in lister.panel(panel)]
    except TooManyError:
        return []
    return _undominated(problem, found)


class _Lister:
    def __init__(self, problem: Problem) -> None:
        self.problem, self.steps = problem, 0

    def panel(self, panel: int) -> Iterator[Pattern]:
        """Full patterns of a panel, group of sizes by group of sizes."""
        places = places_of(self.problem, panel)[::-1]
        sizes = sorted({place.size for place in places})
        most = self.problem.max_sizes or len(sizes)
        for group in combinations(sizes, min(most, len(sizes))):
            strips = self._strips(panel, [place for place in places if place.size in group])
            heights = [strip_height(self.problem, panel, strip) for strip in strips]
            yield from self._stacks(panel, strips, heights)

    def _step(self) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise TooManyError

    def _strips(self, panel: int, places: Sequence[Place]) -> list[Strip]:
        """Full strips, highest first; each is led by a place and holds pieces that are not taller."""
        found: dict[Strip, None] = {}
        for index, leader in enumerate(places):
            room = self.problem.panels[panel].strip_ticks - leader.along_strip
            for cells, _ in self._fillings(places[index:], room):
                first = Cells(leader.size, leader.turned, 1)
                tidy = tidy_pattern(self.problem, Pattern(panel, ((first, *cells),)))
                found[tidy.strips[0]] = None
        return list(found)

    def _fillings(self, places: Sequence[Place], room: int) -> Iterator[tuple[Strip, int]]:
        """Ways to fill a room so that no further piece fits, and the room each leaves."""
        self._step()
        if not places:
            yield (), room
            return
        place = places[0]
        for pieces in range(room // place.along_strip, -1, -1):
            for cells, left in self._fillings(places[1:], room - pieces * place.along_strip):
                if left < place.along_strip:
                    yield (Cells(place.size, place.turned, pieces), *cells), left

    def _stacks(self, panel: int, strips: Sequence[Strip], heights: Sequence[int]) -> Iterator[Pattern]:
        """Stacks of strips to which none of the strips can be added."""
        lowest = min(heights, default=0)

        def stack(first: int, room: int, chosen: tuple[Strip, ...]) -> Iterator[Pattern]:
            self._step()
            if room < lowest:
                yield tidy_pattern(self.problem, Pattern(panel, chosen))
                return
            for index in range(first, len(strips)):
                if heights[index] <= room:
                    yield from stack(index, room - heights[index], (*chosen, strips[index]))

        if strips:
            yield from stack(0, self.problem.panels[panel].stack_ticks, ())


def _undominated(problem: Problem, patterns: Sequence[Pattern]) -> list[Pattern]:
    demand = [size.demand for size in problem.sizes]
    cheapest: dict[tuple[int, ...], tuple[int, Pattern]] = {}
    for pattern in patterns:
        counts = tuple(min(c, d) for c, d in zip(piece_counts(problem, pattern), demand, strict=True))
        candidate = (pattern_cost(problem, pattern), pattern)
        cheapest[counts] = min(cheapest.get(counts, candidate), candidate)
    kept: list[tuple[int, tuple[int, ...], Pattern]] = []
    for counts, (cost, pattern) in sorted(cheapest.items(), key=lambda item: (-sum(item[0]), item)):
        if not any(
            other <= cost and all(o >= c for o, c in zip(more, counts, strict=True))
            for other, more, _ in kept
        ):
            kept.append((cost, counts, pattern))
    return [pattern for _, _, pattern in kept]
