"""What needs no solver: a greedy cover, windows that share nothing, and how leaves settle among their windows.

The planner's usual way gives each volume a size of its own (`own_sizes`); the greedy cover is the yardstick next to
it and the start of the search; windows of which no two overlap are a bound anyone can check.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple

import networkx as nx
import numpy as np

from pipeline.solve.size.cliques import Clique
from pipeline.solve.size.costs import Costs
from pipeline.solve.size.problem import Leaf, Rectangle, Window, shared_rectangle

Served = dict[Leaf, list[int]]
"""Leaves and the windows, by number, that each serves."""


class Aim(NamedTuple):
    """What leaves are placed for: least `cost`, then least `tie`."""

    cost: Costs
    tie: Costs


def own_sizes(windows: Sequence[Window]) -> int:
    """Cut sizes when each page size gets its own leaf at the ideal clearance."""
    return len({(window.ideal_width_um, window.ideal_height_um) for window in windows})


def greedy_cover(windows: Iterable[int], cliques: Sequence[Clique]) -> list[Clique]:
    """Cliques that serve all windows, the one that serves most of what is left first, then in the order given."""
    left, chosen = set(windows), list[Clique]()
    while left:
        best = max(cliques, key=lambda clique: len(clique & left))
        chosen.append(best)
        left -= best
    return chosen


def find_strangers(graph: "nx.Graph[int]") -> tuple[int, ...]:
    """Windows of which no two overlap, greedily many: the one with the fewest neighbours left comes first."""
    neighbours = {number: set(graph.neighbors(number)) for number in graph}
    waiting = [(len(beside), number) for number, beside in neighbours.items()]
    heapify(waiting)
    found: list[int] = []
    while waiting:
        count, number = heappop(waiting)
        if number not in neighbours or count != len(neighbours[number]):
            continue
        found.append(number)
        for gone in sorted(neighbours[number] | {number}):
            for beside in neighbours.pop(gone):
                if beside in neighbours:
                    neighbours[beside].discard(gone)
                    heappush(waiting, (len(neighbours[beside]), beside))
    return tuple(sorted(found))


def serve(numbers: Iterable[int], leaves: Iterable[Leaf], costs: Costs) -> Served:
    """Each window given to the leaf that costs it least; leaves that nobody takes are left out.

    Raises ValueError when a window holds none of the leaves.
    """
    ordered = sorted(leaves)
    served: Served = {}
    for number in numbers:
        held = _held(ordered, costs.rectangles[number])
        if not held:
            raise ValueError(f"window {number} holds none of the leaves")
        _, leaf = min((costs.at(number, leaf), leaf) for leaf in held)
        served.setdefault(leaf, []).append(number)
    return served


def _held(ordered: Sequence[Leaf], rectangle: Rectangle) -> list[Leaf]:
    first = bisect_left(ordered, (rectangle.least_width_ticks,))
    last = bisect_left(ordered, (rectangle.most_width_ticks + 1,))
    return [leaf for leaf in ordered[first:last] if rectangle.holds(leaf)]


def best_leaf(numbers: Sequence[int], aim: Aim) -> Leaf:
    """The leaf all windows accept that costs them least; then least by the tie, then the widest and highest.

    Raises ValueError when they share none.
    """
    shared = shared_rectangle([aim.cost.rectangles[number] for number in numbers])
    if shared.is_empty():
        raise ValueError(f"windows {list(numbers)} share no leaf")
    cost, tie = aim.cost.over(numbers, shared), aim.tie.over(numbers, shared)
    rows, columns = np.nonzero(cost == cost.min())
    best = min(zip(tie[rows, columns].tolist(), (-rows).tolist(), (-columns).tolist(), strict=True))
    return Leaf(shared.least_width_ticks - best[1], shared.least_height_ticks - best[2])


def total_cost(served: Served, costs: Costs) -> int:
    """Cost of all windows at the leaves they are given."""
    return sum(costs.at(number, leaf) for leaf, numbers in served.items() for number in numbers)


def totals(served: Served, aim: Aim) -> tuple[int, int]:
    """Cost and tie of a placing: of two the lesser is the better."""
    return total_cost(served, aim.cost), total_cost(served, aim.tie)


def settle(numbers: Sequence[int], leaves: Iterable[Leaf], aim: Aim) -> Served:
    """Leaves moved to where their windows want them and windows to their cheapest leaf, in turn, while it helps."""
    served = serve(numbers, leaves, aim.cost)
    while True:
        moved = serve(numbers, {best_leaf(members, aim) for members in served.values()}, aim.cost)
        if totals(moved, aim) >= totals(served, aim):
            return served
        served = moved


def least_cost_alone(numbers: Iterable[int], costs: Costs) -> int:
    """Cost of all windows if each had the leaf it likes best: no cover costs less."""
    return sum(costs.least(number) for number in numbers)
