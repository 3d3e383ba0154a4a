"""What needs no solver: a greedy cover, windows that share nothing, and how leaves settle among their windows.

The planner's usual way gives each volume a size of its own (`own_sizes`); the greedy cover is the yardstick next to
it and the start of the search; windows of which no two overlap are a bound anyone can check.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence

import networkx as nx

from pipeline.solve.size.cliques import Clique
from pipeline.solve.size.costs import Cost
from pipeline.solve.size.problem import Leaf, Rectangle, Window, shared_rectangle

Served = dict[Leaf, list[Window]]


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


def find_strangers(rectangles: Sequence[Rectangle], graph: "nx.Graph[int]") -> tuple[int, ...]:
    """Rectangles of which no two overlap, greedily many: the one with the fewest neighbours left comes first."""
    left = set(range(len(rectangles)))
    neighbours = {number: set(graph.neighbors(number)) for number in left}
    found = []
    while left:
        number = min(left, key=lambda n: (len(neighbours[n]), n))
        found.append(number)
        gone = neighbours[number] | {number}
        left -= gone
        for other in sorted(gone):
            for beside in neighbours[other]:
                neighbours[beside].discard(other)
    return tuple(sorted(found))


def serve(windows: Sequence[Window], leaves: Iterable[Leaf], cost: Cost) -> Served:
    """Each window given to the leaf that costs it least; leaves that nobody takes are left out.

    Raises ValueError when a window holds none of the leaves.
    """
    ordered = sorted(leaves)
    served: Served = {}
    for window in windows:
        held = [leaf for leaf in _near(ordered, window.rectangle) if window.rectangle.holds(leaf)]
        served.setdefault(min(held, key=lambda leaf: (cost(window, leaf), leaf)), []).append(window)
    return served


def _near(ordered: Sequence[Leaf], rectangle: Rectangle) -> Sequence[Leaf]:
    """Leaves whose width the rectangle holds."""
    first = bisect_left(ordered, rectangle.least_width_ticks, key=lambda leaf: leaf.width_ticks)
    last = bisect_right(ordered, rectangle.most_width_ticks, key=lambda leaf: leaf.width_ticks)
    return ordered[first:last]


def best_leaf(windows: Sequence[Window], cost: Cost, tie: Cost) -> Leaf:
    """The leaf all windows accept that costs them least; then least by `tie`, then the widest and highest.

    Raises ValueError when they share none.
    """

    def total(leaf: Leaf) -> tuple[int, int, int, int]:
        return (
            sum(cost(window, leaf) for window in windows),
            sum(tie(window, leaf) for window in windows),
            -leaf.width_ticks,
            -leaf.height_ticks,
        )

    return min(shared_rectangle(windows).leaves(), key=total)


def total_cost(served: Served, cost: Cost) -> int:
    """Cost of all windows at the leaves they are given."""
    return sum(cost(window, leaf) for leaf, members in served.items() for window in members)


def settle(windows: Sequence[Window], leaves: Iterable[Leaf], cost: Cost, tie: Cost) -> Served:
    """Leaves moved to where their windows want them and windows to their cheapest leaf, in turn, while it helps."""

    def totals(served: Served) -> tuple[int, int]:
        return total_cost(served, cost), total_cost(served, tie)

    served = serve(windows, leaves, cost)
    while True:
        moved = serve(windows, {best_leaf(members, cost, tie) for members in served.values()}, cost)
        if totals(moved) >= totals(served):
            return served
        served = moved


def least_cost_alone(windows: Iterable[Window], cost: Cost) -> int:
    """Cost of all windows if each had the leaf it likes best: no cover costs less."""
    return sum(min(cost(window, leaf) for leaf in window.rectangle.leaves()) for window in windows)
