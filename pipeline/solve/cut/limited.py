"""Best patterns of a panel where a parent may hold few different sizes: every group of sizes is looked at.

For each group, all ways to fill a strip and all ways to stack strips are listed once; pricing is then sums and
maxima over those lists, exact and in whole numbers.
"""

from itertools import combinations
from math import comb
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pipeline.solve.cut.pricing import ENDLESS, Knapsacks, Offer, Prices, offer_of
from pipeline.solve.cut.problem import Cells, Pattern, Problem, Strip
from pipeline.solve.cut.strips import Place, places_of

Ints = NDArray[np.int64]
LOOKS_AN_OFFER = 40
"""Groups looked at for each further offer."""


class _Fillings:
    """Ways to fill a room with items of a group, for many groups at once. Rows of a group lie together."""

    def __init__(self, room: int, sides: Ints, *, is_last_filled: bool) -> None:
        groups, items = sides.shape
        self.group = np.arange(groups, dtype=np.int32)
        counts: list[Ints] = []
        left = np.full(groups, room, dtype=np.int64)
        for item in range(items):
            most = left // sides[self.group, item]
            if item == items - 1 and is_last_filled:
                counts.append(most)
                break
            repeats = most + 1
            index = np.repeat(np.arange(len(most)), repeats)
            count = np.arange(len(index)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
            counts = [column[index] for column in counts] + [count]
            self.group = self.group[index]
            left = left[index] - count * sides[self.group, item]
        self.counts = counts
        self.starts = np.flatnonzero(np.diff(self.group, prepend=-1))
        self._lengths = np.diff(self.starts, append=len(self.group))

    def worth(self, worths: Ints, most: Ints | None = None) -> Ints:
        """Worth of each filling, from the worth of each item of each group; items beyond `most` are worth nothing."""
        total = np.zeros(len(self.group), dtype=np.int64)
        for item, count in enumerate(self.counts):
            counted = count if most is None else np.minimum(count, np.repeat(most[:, item], self._lengths))
            total += counted * np.repeat(worths[:, item], self._lengths)
        return total

    def rows_of(self, group: int) -> slice:
        """Rows of a group."""
        is_last = group + 1 == len(self.starts)
        return slice(int(self.starts[group]), len(self.group) if is_last else int(self.starts[group + 1]))

    def counts_of(self, row: int) -> list[int]:
        """How many of each item a filling holds."""
        return [int(count[row]) for count in self.counts]


class Groups:
    """Prices patterns of one panel with at most `max_sizes` sizes; sheets, or a roll cut across its width."""

    def __init__(self, problem: Problem, panel: int, max_sizes: int) -> None:
        self.problem, self.index, self.panel = problem, panel, problem.panels[panel]
        places = tuple(reversed(places_of(problem, panel)))
        self.places, members = places, _members(places, max_sizes)
        blocked = self.panel.strip_ticks + 1, self.panel.stack_ticks + 1
        along = np.array([p.along_strip for p in places] + [blocked[0]], dtype=np.int64)[members]
        self._stack = np.array([p.along_stack for p in places] + [blocked[1]], dtype=np.int64)[members]
        self._members = members
        self._size = np.array([p.size for p in places] + [-1], dtype=np.int64)
        self._strips = [
            _Fillings(self.panel.strip_ticks, along[:, first:], is_last_filled=True)
            for first in range(members.shape[1])
        ]
        is_sheet = self.panel.free == "none"
        self._stacks = _Fillings(self.panel.stack_ticks, self._stack, is_last_filled=is_sheet)
        used = self._stacks.worth(self._stack) + self.panel.trims_ticks
        self._costs = np.asarray(
            (np.ones_like(used) if is_sheet else used) * float(self.panel.cost), dtype=np.float64
        )

    def best(
        self, prices: Prices, *, extra: int = 0, most: Prices | None = None, enough: float = ENDLESS
    ) -> list[Offer]:
        """The offer of greatest worth per cost, always proven, and the best of up to `extra` other groups."""
        if not self.places:
            return []
        sizes = self._size[self._members]
        worths = np.append(prices, 0)[sizes]
        counted = None if most is None else np.append(most, 0)[sizes]
        strip_rows = [
            rows.worth(worths[:, first:], None if counted is None else counted[:, first:])
            for first, rows in enumerate(self._strips)
        ]
        best_strips = [
            np.maximum.reduceat(worth, rows.starts)
            for worth, rows in zip(strip_rows, self._strips, strict=True)
        ]
        stack_rows = self._stacks.worth(np.stack(best_strips, axis=1))
        ratios = np.maximum.reduceat(stack_rows / self._costs, self._stacks.starts)
        priced = _Priced(prices, most, strip_rows, stack_rows)
        return [self._offer(group, priced) for group in self._choose(ratios, extra) if ratios[group] > 0]

    def _choose(self, ratios: NDArray[np.float64], extra: int) -> list[int]:
        """The best group, then good groups that bring another size."""
        best = int(np.argmax(ratios))
        if not extra:
            return [best]
        chosen, seen = [best], set(self._size[self._members[best]].tolist())
        for group in np.argsort(-ratios, kind="stable")[: LOOKS_AN_OFFER * extra]:
            sizes = set(self._size[self._members[group]].tolist())
            if sizes - seen:
                chosen.append(int(group))
                seen |= sizes
            if len(chosen) > extra:
                break
        return chosen

    def _offer(self, group: int, priced: "_Priced") -> Offer:
        rows = self._stacks.rows_of(group)
        row = rows.start + int(np.argmax(priced.stack_rows[rows] / self._costs[rows]))
        strips: list[Strip] = []
        for first, times in enumerate(self._stacks.counts_of(row)):
            if times:
                rows = self._strips[first].rows_of(group)
                best = rows.start + int(np.argmax(priced.strip_rows[first][rows]))
                counts = self._strips[first].counts_of(best)
                strips += [self._cells(group, first, counts, priced)] * times
        return offer_of(self.problem, Pattern(self.index, tuple(strips)), priced.prices)

    def _cells(self, group: int, first: int, counts: list[int], priced: "_Priced") -> Strip:
        """The pieces of a strip that are worth something."""
        cells = []
        for member, count in zip(self._members[group, first:], counts, strict=True):
            if count and member < len(self.places):
                place = self.places[int(member)]
                useful = count if priced.most is None else min(count, int(priced.most[place.size]))
                if priced.prices[place.size] > 0 and useful > 0:
                    cells.append(Cells(place.size, place.turned, useful))
        return tuple(cells)


class _Priced(NamedTuple):
    """Prices, and the worth at them of every way to fill a strip (by its tallest member) and to stack strips."""

    prices: Prices
    most: Prices | None
    strip_rows: list[Ints]
    stack_rows: Ints


def _members(places: tuple[Place, ...], max_sizes: int) -> Ints:
    """Indices of the places of every group of sizes, tallest first; filled up with an index past the end."""
    by_size: dict[int, list[int]] = {}
    for index, place in enumerate(places):
        by_size.setdefault(place.size, []).append(index)
    sizes = sorted(by_size)
    groups = [
        sorted(index for size in group for index in by_size[size])
        for group in combinations(sizes, min(max_sizes, len(sizes)))
    ]
    width = max((len(group) for group in groups), default=1)
    return np.array([group + [len(places)] * (width - len(group)) for group in groups], dtype=np.int64)


class FewSizes:
    """Patterns with few sizes out of those with any number: each offer's sizes are tried in small groups.

    Not proven to be the best. For panels whose groups are too many to list, and for lengths off a roll.
    """

    def __init__(self, problem: Problem, panel: int, max_sizes: int) -> None:
        self._any = Knapsacks(problem, panel)
        self._max_sizes = max_sizes

    def best(
        self, prices: Prices, *, extra: int = 0, most: Prices | None = None, enough: float = ENDLESS
    ) -> list[Offer]:
        """Offers with at most `max_sizes` sizes, best worth per cost first."""
        found: dict[Pattern, Offer] = {}
        for wide in self._any.best(prices, extra=min(extra, FEW_TRIES), most=most, enough=enough):
            sizes = sorted({c.size for strip in wide.pattern.strips for c in strip})
            groups = list(combinations(sizes, self._max_sizes)) if len(sizes) > self._max_sizes else [()]
            for group in groups[:FEW_GROUPS]:
                offers = (
                    [wide] if not group else self._any.best(_only(prices, group), most=most, enough=enough)
                )
                found.update((offer.pattern, offer) for offer in offers)
        return sorted(found.values(), key=lambda o: (-o.value / o.cost, o.pattern))[: extra + 1]


FEW_TRIES, FEW_GROUPS = 2, 20


def _only(prices: Prices, sizes: tuple[int, ...]) -> Prices:
    kept = np.zeros_like(prices)
    kept[list(sizes)] = prices[list(sizes)]
    return kept


def group_count(problem: Problem, panel: int, max_sizes: int) -> int:
    """How many groups of sizes a panel has."""
    sizes = {size for size, _ in problem.placements(panel)}
    return comb(len(sizes), min(max_sizes, len(sizes)))
