"""Best patterns of a panel for given prices of the sizes, any number of sizes on a parent.

Two nested knapsacks, exact and in whole numbers: which pieces fill a strip of each height, which strips fill
the parent. Strips of height h may hold every piece that is not taller than h. Of a roll whose length runs along
the strips, every length that matters is such a parent; a ceiling on what a length can be worth saves most.
"""

from heapq import heappop, heappush
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.problem import Panel, Pattern, Problem, pattern_cost, tidy_pattern
from pipeline.solve.cut.strips import StackTable, StripTable, places_of

Prices = NDArray[np.int64]
ENDLESS = float("inf")
LEAST_LOOKS = 16
"""Lengths off a roll that are looked at before a good one is good enough."""


class Offer(NamedTuple):
    """A pattern, what its pieces are worth at the prices, and its cost."""

    pattern: Pattern
    value: int
    cost: int


class Pricer(Protocol):
    """What prices the patterns of one panel."""

    def best(
        self, prices: Prices, *, extra: int = 0, most: Prices | None = None, enough: float = ENDLESS
    ) -> list[Offer]:
        """The offer of greatest worth per cost, proven unless it is worth more than `enough`, and `extra` others.

        `most` is how many pieces of a size a strip may hold. Empty when nothing that fits has a price.
        """


class Knapsacks:
    """Prices the patterns of one panel; the number of sizes on a parent is not limited."""

    def __init__(self, problem: Problem, panel: int) -> None:
        self.problem, self.index = problem, panel
        self.panel: Panel = problem.panels[panel]
        self.places = places_of(problem, panel)

    def best(
        self, prices: Prices, *, extra: int = 0, most: Prices | None = None, enough: float = ENDLESS
    ) -> list[Offer]:
        """The offer of greatest worth per cost (more than `enough` will do), and up to `extra` that start otherwise."""
        places = [p for p in self.places if prices[p.size] > 0 and (most is None or most[p.size] > 0)]
        if not places:
            return []
        strips = StripTable(places, self.panel.strip_ticks, prices=prices, most=most)
        if self.panel.free != "strip":
            return self._offers(strips, self.panel.strip_ticks, extra)
        lengths = self._best_lengths(strips, enough)[: 1 + extra]
        return [self._offers(strips, length, 0)[0] for length in lengths]

    def _offers(self, strips: StripTable, length: int, extra: int) -> list[Offer]:
        stack = StackTable(strips, length, self.panel.stack_ticks)
        height, room = self._best_height(stack), self.panel.stack_ticks
        starts = [
            (strip_worth + int(stack.worth[room - strip_height]), room - strip_height, index)
            for index, strip_height, strip_worth in stack.rows
        ]
        starts = sorted(starts, key=lambda s: (-s[0], s[1], s[2]))[:extra]
        stacks = [stack.strips_for(height)]
        stacks += [[index, *stack.strips_for(rest)] for _, rest, index in starts]
        return [self._offer(strips, length, rows) for rows in stacks]

    def _best_height(self, stack: StackTable) -> int:
        """Height of the best stack; of a roll, the one with the greatest worth per cost."""
        if self.panel.free != "stack":
            return self.panel.stack_ticks
        lengths = np.arange(self.panel.stack_ticks + 1) + self.panel.trims_ticks
        return int(np.argmax(stack.worth / np.maximum(lengths, 1)))

    def _best_lengths(self, strips: StripTable, enough: float) -> list[int]:
        """Lengths of strips in order of their worth per cost: the greatest, or one worth more than `enough`, first.

        A longer parent is worth no less, so the worth at the end of a range of lengths over the cost at its start
        is a ceiling for the whole range: ranges below the best ratio so far are left out, others are halved.
        """
        lengths = strips.lengths_that_matter()
        costs = [int(length) * self.panel.cost for length in lengths + self.panel.trims_ticks]
        seen: dict[int, float] = {}

        def worth_at(position: int) -> int:
            worth = int(StackTable(strips, int(lengths[position]), self.panel.stack_ticks).worth[-1])
            seen[position] = worth / costs[position]
            return worth

        end = len(lengths) - 1
        worth = worth_at(end)
        ranges = [(-worth / costs[0], 0, end, worth)]
        while ranges:
            best = max(seen.values())
            if best >= -ranges[0][0] or (best > enough and len(seen) >= LEAST_LOOKS):
                break
            _, first, last, worth = heappop(ranges)
            middle = (first + last) // 2
            middle_worth = worth_at(middle)
            if first < middle:
                heappush(ranges, (-middle_worth / costs[first], first, middle, middle_worth))
            if middle + 1 < last:
                heappush(ranges, (-worth / costs[middle + 1], middle + 1, last, worth))
        return [int(lengths[position]) for position in sorted(seen, key=lambda p: (-seen[p], p))]

    def _offer(self, strips: StripTable, length: int, rows: list[int]) -> Offer:
        contents = tuple(strips.contents(row, length) for row in rows)
        return offer_of(self.problem, Pattern(self.index, contents), strips.prices)


def offer_of(problem: Problem, pattern: Pattern, prices: Prices) -> Offer:
    """The pattern in its tidy form with its worth and cost."""
    tidy = tidy_pattern(problem, pattern)
    value = sum(int(prices[c.size]) * c.pieces for strip in tidy.strips for c in strip)
    return Offer(tidy, value, pattern_cost(problem, tidy))
