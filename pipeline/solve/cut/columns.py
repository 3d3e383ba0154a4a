"""Patterns as columns of the programs: what one parent gives, what it costs."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.problem import Cells, Pattern, Problem, pattern_cost, piece_counts, tidy_pattern

Counts = NDArray[np.int64]


class Column(NamedTuple):
    """A pattern, the pieces of each size one parent gives, and its cost."""

    pattern: Pattern
    counts: tuple[int, ...]
    cost: int


def column_of(problem: Problem, pattern: Pattern) -> Column:
    """The pattern as a column."""
    return Column(pattern, piece_counts(problem, pattern), pattern_cost(problem, pattern))


class Pool:
    """Columns in the order they were found, each once."""

    def __init__(self, problem: Problem, patterns: Iterable[Pattern] = ()) -> None:
        self.problem = problem
        self.columns: list[Column] = []
        self._known: set[Pattern] = set()
        self._counts = np.zeros((0, len(problem.sizes)), dtype=np.int64)
        self.add(patterns)

    def __len__(self) -> int:
        return len(self.columns)

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Take in the patterns that are new; how many they are."""
        before = len(self.columns)
        for pattern in patterns:
            if pattern.strips and pattern not in self._known:
                self._known.add(pattern)
                self.columns.append(column_of(self.problem, pattern))
        return len(self.columns) - before

    def counts(self) -> Counts:
        """Pieces of each size, one row per column."""
        new = [column.counts for column in self.columns[len(self._counts) :]]
        if new:
            self._counts = np.vstack([self._counts, np.array(new, dtype=np.int64)])
        return self._counts

    def costs(self) -> Counts:
        """Cost of each column."""
        return np.array([column.cost for column in self.columns], dtype=np.int64)


def clip(problem: Problem, pattern: Pattern, most: Sequence[int]) -> Pattern:
    """The pattern without the pieces beyond `most` of each size; may be empty."""
    left = [int(count) for count in most]
    strips = []
    for strip in pattern.strips:
        cells = []
        for size, turned, count in strip:
            kept = min(count, left[size])
            left[size] -= kept
            cells.append(Cells(size, turned, kept))
        strips.append(tuple(cells))
    return tidy_pattern(problem, Pattern(pattern.panel, tuple(strips)))
