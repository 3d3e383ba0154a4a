"""Best patterns of a panel for given prices of the sizes, any number of sizes on a parent.

Two nested knapsacks, exact and in whole numbers: which pieces fill a strip of each height, which strips fill
the parent. Strips of height h may hold every piece that is not taller than h.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.problem import (
    Cells,
    Panel,
    Pattern,
    Problem,
    Strip,
    pattern_cost,
    tidy_pattern,
)

Prices = NDArray[np.int64]


class Offer(NamedTuple):
    """A pattern, what its pieces are worth at the prices, and its cost."""

    pattern: Pattern
    value: int
    cost: int

    @property
    def ratio(self) -> float:
        """Worth per unit of cost."""
        return self.value / self.cost


@dataclass(frozen=True)
class Place:
    """A size, which way round, and the room it takes in the panel."""

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


class Knapsacks:
    """Prices patterns of one panel. The best offer is exact; further ones start from other strips."""

    def __init__(self, problem: Problem, panel: int) -> None:
        self.problem, self.index = problem, panel
        self.panel: Panel = problem.panels[panel]
        self.places = places_of(problem, panel)

    def best(self, prices: Prices, *, extra: int = 0, most: Prices | None = None) -> list[Offer]:
        """Offers at the prices, dearest worth per cost first, and up to `extra` more.

        `most` bounds the pieces of a size in one strip. Empty when no piece that fits has a price.
        """
        places = [p for p in self.places if prices[p.size] > 0 and (most is None or most[p.size] > 0)]
        if not places:
            return []
        strips = _StripTable(places, self.panel.strip_ticks, prices=prices, most=most)
        if self.panel.free == "strip":
            return self._free_length_offers(strips, extra)
        return self._offers(strips, self.panel.strip_ticks, extra)

    def _offers(self, strips: "_StripTable", length: int, extra: int) -> list[Offer]:
        stack = _StackTable(strips, length, self.panel.stack_ticks)
        heights = self._stack_heights(stack)
        starts = [(stack.worth[height], height, None) for height in heights]
        if extra:
            room = self.panel.stack_ticks
            starts += [
                (strip_worth + stack.worth[room - height], room - height, index)
                for index, height, strip_worth in stack.classes()
            ]
        starts = [starts[0], *sorted(starts[1:], key=lambda s: (-s[0], s[1]))[:extra]]
        return [self._offer(strips, length, stack.strips_for(height, first=first)) for _, height, first in starts]

    def _stack_heights(self, stack: "_StackTable") -> list[int]:
        """Height of the best stack; of a roll, the one with the greatest worth per cost."""
        panel = self.panel
        if panel.free != "stack":
            return [panel.stack_ticks]
        lengths = np.arange(panel.stack_ticks + 1) + panel.trims_ticks
        return [int(np.argmax(stack.worth / np.maximum(lengths, 1)))]

    def _free_length_offers(self, strips: "_StripTable", extra: int) -> list[Offer]:
        """The best length off the roll: lengths in order of what they could be worth at the most."""
        panel, best = self.panel, None
        could = strips.ceiling(panel.stack_ticks) / (np.arange(panel.strip_ticks + 1) + panel.trims_ticks + 1e-9)
        lengths = strips.lengths_that_matter()
        for length in lengths[np.argsort(-could[lengths], kind="stable")]:
            if best is not None and could[length] <= best[0]:
                break
            stack = _StackTable(strips, int(length), panel.stack_ticks)
            ratio = int(stack.worth[-1]) / (int(length) + panel.trims_ticks)
            if best is None or ratio > best[0]:
                best = (ratio, int(length))
        if best is None:
            return []
        return self._offers(strips, best[1], extra)

    def _offer(self, strips: "_StripTable", length: int, classes: list[int]) -> Offer:
        contents = tuple(strips.contents(index, length) for index in classes)
        pattern = tidy_pattern(self.problem, Pattern(self.index, contents))
        value = sum(
            int(strips.prices[cells.size]) * cells.count for strip in pattern.strips for cells in strip
        )
        return Offer(pattern, value, pattern_cost(self.problem, pattern))


class _StripTable:
    """Worth of the best strip of each height and length. Row j holds strips of the j lowest places."""

    def __init__(
        self, places: list[Place], length: int, *, prices: Prices, most: Prices | None
    ) -> None:
        self.places, self.prices, self.most = places, prices, most
        self.worth = np.zeros((len(places) + 1, length + 1), dtype=np.int64)
        for row, place in enumerate(places):
            before, after = self.worth[row], self.worth[row + 1]
            after[:] = before
            for count in range(1, self._most(place, length) + 1):
                reach = count * place.along_strip
                gain = before[: length + 1 - reach] + count * prices[place.size]
                np.maximum(after[reach:], gain, out=after[reach:])

    def _most(self, place: Place, length: int) -> int:
        room = length // place.along_strip
        return room if self.most is None else min(room, int(self.most[place.size]))

    def heights(self) -> NDArray[np.int64]:
        """Height of the strips of each row but the first."""
        return np.array([place.along_stack for place in self.places], dtype=np.int64)

    def ceiling(self, stack: int) -> NDArray[np.float64]:
        """For each length, more than any stack of that height can be worth."""
        dearest = (self.worth[1:] / self.heights()[:, None]).max(axis=0)
        return np.asarray(dearest * stack * (1 + 1e-9), dtype=np.float64)

    def lengths_that_matter(self) -> NDArray[np.int64]:
        """Lengths at which some strip becomes worth more."""
        grows = (np.diff(self.worth[1:], axis=1) > 0).any(axis=0)
        return np.asarray(np.flatnonzero(grows) + 1, dtype=np.int64)

    def contents(self, index: int, length: int) -> Strip:
        """Pieces of the best strip of row `index` + 1 within a length."""
        cells = []
        for row in range(index, -1, -1):
            place = self.places[row]
            count, price = 0, int(self.prices[place.size])
            while self.worth[row + 1, length] != self.worth[row, length - count * place.along_strip] + count * price:
                count += 1
            if count:
                cells.append(Cells(place.size, place.turned, count))
                length -= count * place.along_strip
        return tuple(cells)


class _StackTable:
    """Worth of the best stack of strips of each height, for one length of strips."""

    def __init__(self, strips: _StripTable, length: int, stack: int) -> None:
        worth, heights = strips.worth[1:, length], strips.heights()
        rising = np.flatnonzero(np.diff(strips.worth[:, length]) > 0)
        self._rows = [(int(i), int(heights[i]), int(worth[i])) for i in rising if heights[i] <= stack]
        self._tables = np.zeros((len(self._rows) + 1, stack + 1), dtype=np.int64)
        for row, (_, height, strip_worth) in enumerate(self._rows):
            before, after = self._tables[row], self._tables[row + 1]
            after[:] = before
            for count in range(1, stack // height + 1):
                gain = before[: stack + 1 - count * height] + count * strip_worth
                np.maximum(after[count * height :], gain, out=after[count * height :])
        self.worth = self._tables[-1]

    def classes(self) -> list[tuple[int, int, int]]:
        """(row of the strip table, height, worth) of the strips that a stack may hold."""
        return self._rows

    def strips_for(self, height: int, *, first: int | None) -> list[int]:
        """Rows of the strip table that make the best stack of a height, `first` before it."""
        chosen = [] if first is None else [first]
        for row in range(len(self._rows) - 1, -1, -1):
            index, strip_height, worth = self._rows[row]
            count = 0
            while self._tables[row + 1, height] != self._tables[row, height - count * strip_height] + count * worth:
                count += 1
            chosen += [index] * count
            height -= count * strip_height
        return chosen
