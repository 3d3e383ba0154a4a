"""Best patterns of a panel where a parent may hold few different sizes: every group of sizes is looked at.

For each group, all ways to fill a strip and all ways to stack strips are listed once; pricing is then sums and
maxima over those lists, exact and in whole numbers.
"""

from itertools import chain, combinations
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
NEAR_GROUPS = 200
"""Groups that were worth most at the last prices: looked at first at the next ones."""
WORTH_A_SHORTLIST = 2
"""So many times the near groups must there be before they are looked at first."""


class _Fillings:
    """Ways to fill a room with items of a group, for many groups at once. Rows of a group lie together."""

    def __init__(self, counts: list[Ints], lengths: Ints) -> None:
        """`counts`: of each item by row; `lengths`: rows of each group."""
        self.counts, self._lengths = counts, lengths
        self.starts = np.cumsum(lengths) - lengths

    def some(self, chosen: Ints) -> "_Fillings":
        """Those of the chosen groups alone, in the order given."""
        lengths = self._lengths[chosen]
        within = np.arange(lengths.sum()) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        rows = np.repeat(self.starts[chosen], lengths) + within
        return _Fillings([column[rows] for column in self.counts], lengths)

    def worth(self, worths: Ints, most: Ints | None = None) -> Ints:
        """Worth of each filling, from the worth of each item of each group; items beyond `most` are worth nothing."""
        total = np.zeros(int(self._lengths.sum()), dtype=np.int64)
        for item, count in enumerate(self.counts):
            counted = count if most is None else np.minimum(count, np.repeat(most[:, item], self._lengths))
            total += counted * np.repeat(worths[:, item], self._lengths)
        return total

    def rows_of(self, group: int) -> slice:
        """Rows of a group."""
        first = int(self.starts[group])
        return slice(first, first + int(self._lengths[group]))

    def counts_of(self, row: int) -> list[int]:
        """How many of each item a filling holds."""
        return [int(count[row]) for count in self.counts]


def _all_fillings(room: int, sides: Ints, *, is_last_filled: bool) -> _Fillings:
    """Every way to fill the room with the items of each group, which have these sides."""
    groups, items = sides.shape
    group = np.arange(groups, dtype=np.int32)
    counts: list[Ints] = []
    left = np.full(groups, room, dtype=np.int64)
    for item in range(items):
        most = left // sides[group, item]
        if item == items - 1 and is_last_filled:
            counts.append(most)
            break
        repeats = most + 1
        index = np.repeat(np.arange(len(most)), repeats)
        count = np.arange(len(index)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
        counts = [column[index] for column in counts] + [count]
        group = group[index]
        left = left[index] - count * sides[group, item]
    return _Fillings(counts, np.bincount(group, minlength=groups))


class _Listed(NamedTuple):
    """Groups of sizes with all their fillings: of a strip by its tallest member, and of the stack; cost by stack."""

    members: Ints
    strips: list[_Fillings]
    stacks: _Fillings
    costs: NDArray[np.float64]

    def some(self, chosen: Ints) -> "_Listed":
        """The chosen groups alone."""
        costs = [self.costs[self.stacks.rows_of(group)] for group in chosen.tolist()]
        strips = [fillings.some(chosen) for fillings in self.strips]
        return _Listed(self.members[chosen], strips, self.stacks.some(chosen), np.concatenate(costs))

    def worths(self, sizes: Ints, prices: Prices, most: Prices | None) -> "_Worths":
        """What all fillings are worth at the prices."""
        worths = np.append(prices, 0)[sizes]
        counted = None if most is None else np.append(most, 0)[sizes]
        strip_rows = [
            rows.worth(worths[:, first:], None if counted is None else counted[:, first:])
            for first, rows in enumerate(self.strips)
        ]
        best_strips = [
            np.maximum.reduceat(worth, rows.starts)
            for worth, rows in zip(strip_rows, self.strips, strict=True)
        ]
        stack_rows = self.stacks.worth(np.stack(best_strips, axis=1))
        ratios = np.maximum.reduceat(stack_rows / self.costs, self.stacks.starts)
        return _Worths(prices, most, strip_rows, stack_rows, ratios)


class _Worths(NamedTuple):
    """Prices, and at them the worth of every way to fill a strip and to stack strips, and of each group per cost."""

    prices: Prices
    most: Prices | None
    strip_rows: list[Ints]
    stack_rows: Ints
    ratios: NDArray[np.float64]


class Groups:
    """Prices patterns of one panel with at most `max_sizes` sizes; sheets, or a roll cut across its width.

    The groups that were worth most at the last prices are looked at first: where they give more than `enough`, that
    will do.
    """

    def __init__(self, problem: Problem, panel: int, max_sizes: int) -> None:
        self.problem, self.index, self.panel = problem, panel, problem.panels[panel]
        places = tuple(reversed(places_of(problem, panel)))
        self.places, members = places, _members(places, max_sizes)
        blocked = self.panel.strip_ticks + 1, self.panel.stack_ticks + 1
        along = np.array([p.along_strip for p in places] + [blocked[0]], dtype=np.int64)[members]
        stack = np.array([p.along_stack for p in places] + [blocked[1]], dtype=np.int64)[members]
        self._size = np.array([p.size for p in places] + [-1], dtype=np.int64)
        strips = [
            _all_fillings(self.panel.strip_ticks, along[:, first:], is_last_filled=True)
            for first in range(members.shape[1])
        ]
        is_sheet = self.panel.free == "none"
        stacks = _all_fillings(self.panel.stack_ticks, stack, is_last_filled=is_sheet)
        used = stacks.worth(stack) + self.panel.trims_ticks
        costs = np.asarray(
            (np.ones_like(used) if is_sheet else used) * float(self.panel.cost), dtype=np.float64
        )
        self._all = _Listed(members, strips, stacks, costs)
        self._near: _Listed | None = None

    def best(
        self, prices: Prices, *, extra: int = 0, most: Prices | None = None, enough: float = ENDLESS
    ) -> list[Offer]:
        """The offer of greatest worth per cost, proven unless worth more than `enough`, and up to `extra` others."""
        if not self.places:
            return []
        if self._near is not None and enough < ENDLESS:
            offers = self._offers(self._near, self._worths(self._near, prices, most), extra)
            if offers and offers[0].value > enough * offers[0].cost:
                return offers
        worths = self._worths(self._all, prices, most)
        if len(worths.ratios) > WORTH_A_SHORTLIST * NEAR_GROUPS:
            self._near = self._all.some(np.argsort(-worths.ratios, kind="stable")[:NEAR_GROUPS])
        return self._offers(self._all, worths, extra)

    def _worths(self, listed: _Listed, prices: Prices, most: Prices | None) -> _Worths:
        return listed.worths(self._size[listed.members], prices, most)

    def _offers(self, listed: _Listed, worths: _Worths, extra: int) -> list[Offer]:
        """The best of the groups listed and up to `extra` others."""
        chosen = self._choose(self._size[listed.members], worths.ratios, extra)
        return [self._offer(listed, group, worths) for group in chosen if worths.ratios[group] > 0]

    def _choose(self, sizes: Ints, ratios: NDArray[np.float64], extra: int) -> list[int]:
        """The best group, then good groups that bring another size."""
        best = int(np.argmax(ratios))
        if not extra:
            return [best]
        chosen, seen = [best], set(sizes[best].tolist())
        for group in np.argsort(-ratios, kind="stable")[: LOOKS_AN_OFFER * extra]:
            own = set(sizes[group].tolist())
            if own - seen:
                chosen.append(int(group))
                seen |= own
            if len(chosen) > extra:
                break
        return chosen

    def _offer(self, listed: _Listed, group: int, worths: _Worths) -> Offer:
        rows = listed.stacks.rows_of(group)
        row = rows.start + int(np.argmax(worths.stack_rows[rows] / listed.costs[rows]))
        strips: list[Strip] = []
        for first, times in enumerate(listed.stacks.counts_of(row)):
            if times:
                rows = listed.strips[first].rows_of(group)
                best = rows.start + int(np.argmax(worths.strip_rows[first][rows]))
                counts = listed.strips[first].counts_of(best)
                strips += [self._cells(listed.members[group, first:], counts, worths)] * times
        return offer_of(self.problem, Pattern(self.index, tuple(strips)), worths.prices)

    def _cells(self, members: Ints, counts: list[int], worths: _Worths) -> Strip:
        """The pieces of a strip that are worth something."""
        cells = []
        for member, count in zip(members.tolist(), counts, strict=True):
            if count and member < len(self.places):
                place = self.places[member]
                useful = count if worths.most is None else min(count, int(worths.most[place.size]))
                if worths.prices[place.size] > 0 and useful > 0:
                    cells.append(Cells(place.size, place.turned, useful))
        return tuple(cells)


def _members(places: tuple[Place, ...], max_sizes: int) -> Ints:
    """Indices of the places of every group of sizes, tallest first; filled up with an index past the end."""
    by_size: dict[int, list[int]] = {}
    for index, place in enumerate(places):
        by_size.setdefault(place.size, []).append(index)
    if not by_size:
        return np.zeros((0, 1), dtype=np.int64)
    ways, past = max(len(own) for own in by_size.values()), len(places)
    padded = np.array([by_size[size] + [past] * (ways - len(by_size[size])) for size in sorted(by_size)])
    number = min(max_sizes, len(by_size))
    flat = np.fromiter(chain.from_iterable(combinations(range(len(by_size)), number)), dtype=np.int64)
    groups = np.sort(padded[flat].reshape(-1, number * ways), axis=1)
    return np.asarray(groups[:, (groups < past).any(axis=0)], dtype=np.int64)


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
