"""Ways of cutting one off-cut: two-stage patterns of the sizes wanted, those that give most."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

import numpy as np

from pipeline.solve.cut.problem import (
    Cells,
    Pattern,
    Problem,
    Strip,
    piece_counts,
    strip_height,
    tidy_pattern,
)

MOST_STRIPS, MOST_STACKS, MOST_WAYS = 200, 500, 40
"""Listed of one off-cut at most: strips, stacks of strips, and patterns to choose from."""

Counts = tuple[int, ...]


class Ways(NamedTuple):
    """Ways of cutting an off-cut, and whether they are all that matter."""

    patterns: tuple[Pattern, ...]
    are_all: bool


def ways_of(problem: Problem, panel: int, wanted: Sequence[int]) -> Ways:
    """Patterns of a panel that give no more of a size than wanted, none of them less than another in every size."""
    strips = list(islice(_strips(problem, panel, wanted), MOST_STRIPS))
    stacks = list(islice(_stacks(problem, panel, strips), MOST_STACKS))
    by_counts: dict[Counts, Pattern] = {}
    for stack in stacks:
        pattern = tidy_pattern(problem, Pattern(panel, stack))
        counts = piece_counts(problem, pattern)
        kinds = sum(count > 0 for count in counts)
        is_wanted = all(count <= most for count, most in zip(counts, wanted, strict=True))
        if is_wanted and (problem.max_sizes is None or kinds <= problem.max_sizes):
            by_counts.setdefault(counts, pattern)
    best = _not_less(by_counts)
    best.sort(key=lambda counts: (-_area(problem, counts), counts))
    are_all = len(strips) < MOST_STRIPS and len(stacks) < MOST_STACKS and len(best) <= MOST_WAYS
    return Ways(tuple(by_counts[counts] for counts in best[:MOST_WAYS]), are_all)


def _strips(problem: Problem, panel: int, wanted: Sequence[int]) -> Iterator[Strip]:
    """Every strip that fits, full ones first."""
    cells = [Cells(*place, 1) for place in problem.placements(panel) if wanted[place[0]]]
    lengths = [problem.footprint(panel, cell.size, cell.turned).along_strip for cell in cells]
    for chosen in _rows(lengths, 0, problem.panels[panel].strip_ticks):
        yield tuple(cells[index] for index in chosen)


def _stacks(problem: Problem, panel: int, strips: Sequence[Strip]) -> Iterator[tuple[Strip, ...]]:
    """Every stack of those strips that fits, full ones first."""
    heights = [strip_height(problem, panel, strip) for strip in strips]
    for chosen in _rows(heights, 0, problem.panels[panel].stack_ticks):
        yield tuple(strips[index] for index in chosen)


def _rows(lengths: Sequence[int], first: int, room: int) -> Iterator[tuple[int, ...]]:
    """Indices, rising and perhaps repeated, of things that fit a room side by side; longer rows before their parts."""
    for index in range(first, len(lengths)):
        if lengths[index] <= room:
            for rest in _rows(lengths, index, room - lengths[index]):
                yield (index, *rest)
            yield (index,)


def _not_less(counts: Iterable[Counts]) -> list[Counts]:
    """Counts, each different, that no other ones reach in every size."""
    listed = list(counts)
    table = np.array(listed, dtype=np.int64)
    reached_by = [int((table >= row).all(axis=1).sum()) for row in table]
    return [one for one, number in zip(listed, reached_by, strict=True) if number == 1]


def _area(problem: Problem, counts: Counts) -> int:
    sides = zip(problem.sizes, counts, strict=True)
    return sum(size.width_ticks * size.height_ticks * count for size, count in sides)
