"""Tables of the two knapsacks: worth of the best strip of each height and length, of the best stack of strips."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.problem import Cells, Problem, Strip

Ints = NDArray[np.int64]


class Place(NamedTuple):
    """A size, which way round, and the room it takes in a panel."""

    size: int
    turned: bool
    along_strip: int
    along_stack: int


def places_of(problem: Problem, panel: int) -> tuple[Place, ...]:
    """Every piece that fits the panel, lowest first."""
    found = [
        Place(size, turned, *problem.footprint(panel, size, turned))
        for size, turned in problem.placements(panel)
    ]
    return tuple(sorted(found, key=lambda p: (p.along_stack, p.along_strip, p.size, p.turned)))


class StripTable:
    """Worth of the best strip of each height and length. Row j holds strips of the j lowest places."""

    def __init__(self, places: list[Place], length: int, *, prices: Ints, most: Ints | None) -> None:
        self.places, self.prices, self._most = places, prices, most
        self.worth = np.zeros((len(places) + 1, length + 1), dtype=np.int64)
        self.heights = np.array([place.along_stack for place in places], dtype=np.int64)
        for row, place in enumerate(places):
            before, after = self.worth[row], self.worth[row + 1]
            after[:] = before
            for count in range(1, self._most_of(place, length) + 1):
                reach = count * place.along_strip
                gain = before[: length + 1 - reach] + count * prices[place.size]
                np.maximum(after[reach:], gain, out=after[reach:])

    def _most_of(self, place: Place, length: int) -> int:
        room = length // place.along_strip
        return room if self._most is None else min(room, int(self._most[place.size]))

    def lengths_that_matter(self) -> Ints:
        """Lengths at which some strip becomes worth more."""
        grows = (np.diff(self.worth[1:], axis=1) > 0).any(axis=0)
        return np.asarray(np.flatnonzero(grows) + 1, dtype=np.int64)

    def contents(self, row: int, length: int) -> Strip:
        """Pieces of the best strip of the places up to `row`, within a length."""
        cells = []
        for index in range(row, -1, -1):
            place, count = self.places[index], 0
            price, worth = int(self.prices[place.size]), self.worth[index + 1, length]
            while worth != self.worth[index, length - count * place.along_strip] + count * price:
                count += 1
            if count:
                cells.append(Cells(place.size, place.turned, count))
                length -= count * place.along_strip
        return tuple(cells)


class StackTable:
    """Worth of the best stack of strips of each height, strips being of one length.

    `rows` are the strips worth stacking: row of the strip table, height, worth.
    """

    def __init__(self, strips: StripTable, length: int, stack: int) -> None:
        worth, heights = strips.worth[1:, length], strips.heights
        rising = np.flatnonzero(np.diff(strips.worth[:, length]) > 0)
        self.rows = [(int(i), int(heights[i]), int(worth[i])) for i in rising if heights[i] <= stack]
        self._tables = np.zeros((len(self.rows) + 1, stack + 1), dtype=np.int64)
        for row, (_, height, strip_worth) in enumerate(self.rows):
            before, after = self._tables[row], self._tables[row + 1]
            after[:] = before
            for count in range(1, stack // height + 1):
                gain = before[: stack + 1 - count * height] + count * strip_worth
                np.maximum(after[count * height :], gain, out=after[count * height :])
        self.worth: Ints = self._tables[-1]

    def strips_for(self, height: int) -> list[int]:
        """Rows of the strip table that make the best stack of a height."""
        chosen: list[int] = []
        for row in range(len(self.rows) - 1, -1, -1):
            index, strip_height, worth = self.rows[row]
            count, wanted = 0, self._tables[row + 1, height]
            while wanted != self._tables[row, height - count * strip_height] + count * worth:
                count += 1
            chosen += [index] * count
            height -= count * strip_height
        return chosen
