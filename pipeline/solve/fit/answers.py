"""The best answer so far of each volume of a batch, compared the way the trade model breaks ties.

Greatest worth, more buffered sheets, less thickness, lower cost; then fewer sheets, and the papers tried first.
Fewer papers come before all but worth: two are offered only where they are worth more than any one.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.solve.fit.problem import BoolArray, IntArray, Papers

NO_PAPER = -1


@dataclass(frozen=True)
class Counts:
    """Worth of an answer, and its sheets of a first and a second paper; NO_PAPER where there is none."""

    worth: IntArray
    paper: IntArray
    sheets: IntArray

    def keys(self, papers: Papers) -> IntArray:
        """What answers are compared by, greater is better, first row first."""
        count = self.sheets
        return np.stack(
            [
                self.worth,
                (count * papers.is_buffered[self.paper]).sum(axis=0),
                -(count * papers.thickness_um[self.paper]).sum(axis=0),
                -(count * papers.price_ticks[self.paper]).sum(axis=0),
                -count.sum(axis=0),
            ]
        )


def pair_counts(worth: IntArray, papers: tuple[int, int], counts: tuple[IntArray, IntArray]) -> Counts:
    """Answers of the same two papers (NO_PAPER for none) in several volumes."""
    paper = np.repeat(np.array(papers, dtype=np.int64)[:, None], len(worth), axis=1)
    return Counts(worth, paper, np.stack(counts))


class Best:
    """Best answer so far per volume of a batch."""

    def __init__(self, volumes: int, papers: Papers) -> None:
        self._papers = papers
        empty = np.zeros((2, volumes), dtype=np.int64)
        self.counts = Counts(np.zeros(volumes, dtype=np.int64), empty + NO_PAPER, empty)
        self._keys = self.counts.keys(papers)

    @property
    def worth(self) -> IntArray:
        """Worth of the best answer so far."""
        return self.counts.worth

    def improve(self, rows: IntArray, counts: Counts) -> None:
        """Take the given answers of the volumes `rows` where they are better than what is known."""
        keys = counts.keys(self._papers)
        is_better = is_greater(keys, self._keys[:, rows])
        won = rows[is_better]
        self._keys[:, won] = keys[:, is_better]
        self.counts.worth[won] = counts.worth[is_better]
        self.counts.paper[:, won] = counts.paper[:, is_better]
        self.counts.sheets[:, won] = counts.sheets[:, is_better]


def is_greater(keys: IntArray, than: IntArray) -> BoolArray:
    """Whether each column of `keys` comes after its column of `than`, compared row by row from the top."""
    sign = np.sign(keys - than)
    first = (sign != 0).argmax(axis=0)
    result: BoolArray = sign[first, np.arange(keys.shape[1])] > 0
    return result
