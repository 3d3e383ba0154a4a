"""Which windows overlap, in which greatest groups they share a leaf, and what can be settled about them by rule.

Upright rectangles that overlap two by two share a point, so a clique of the overlap graph is a set of windows one
leaf can serve, and a leaf is worth considering only at the least width of some window and the least height of one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import networkx as nx

from pipeline.solve.size.problem import Rectangle

Clique = frozenset[int]


def overlap_graph(rectangles: Sequence[Rectangle]) -> "nx.Graph[int]":
    """A node for each rectangle, by number, and an edge for each two that share a leaf."""
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(len(rectangles)))
    open_numbers: list[int] = []
    for number in sorted(range(len(rectangles)), key=lambda n: rectangles[n]):
        rectangle = rectangles[number]
        open_numbers = [
            other
            for other in open_numbers
            if rectangles[other].most_width_ticks >= rectangle.least_width_ticks
        ]
        graph.add_edges_from((other, number) for other in open_numbers if _meet(rectangles[other], rectangle))
        open_numbers.append(number)
    return graph


def _meet(one: Rectangle, other: Rectangle) -> bool:
    """Whether two rectangles share a leaf."""
    return (
        one.least_width_ticks <= other.most_width_ticks
        and other.least_width_ticks <= one.most_width_ticks
        and one.least_height_ticks <= other.most_height_ticks
        and other.least_height_ticks <= one.most_height_ticks
    )


def components(graph: "nx.Graph[int]") -> list[list[int]]:
    """Connected components, each sorted, in the order of their first numbers. They only split the work."""
    return sorted(sorted(component) for component in nx.connected_components(graph))


def maximal_cliques(rectangles: Sequence[Rectangle], graph: "nx.Graph[int]") -> list[Clique]:
    """Every set of rectangles around a shared leaf at some least width and least height; the greatest are all here.

    For each rectangle as the one of the greatest least width: walk up the least heights of those that hold that
    width, and keep a set when the next thing to happen is that one of it ends.
    """
    found: set[Clique] = set()
    for number, rectangle in enumerate(rectangles):
        beside = [
            other
            for other in graph.neighbors(number)
            if rectangles[other].least_width_ticks <= rectangle.least_width_ticks
        ]
        found.update(_stacks(rectangles, [number, *beside], rectangle))
    return sorted(found, key=sorted)


def _stacks(rectangles: Sequence[Rectangle], numbers: list[int], around: Rectangle) -> Iterable[Clique]:
    starts = sorted({max(rectangles[n].least_height_ticks, around.least_height_ticks) for n in numbers})
    for position, start in enumerate(starts):
        members = frozenset(
            n for n in numbers if rectangles[n].least_height_ticks <= start <= rectangles[n].most_height_ticks
        )
        first_end = min(rectangles[n].most_height_ticks for n in members)
        is_last = position + 1 == len(starts)
        if is_last or first_end < starts[position + 1]:
            yield members


@dataclass(frozen=True)
class Reduced:
    """A cover problem after the rules: cliques taken for certain, windows still open, cliques still in question.

    `cliques` gives for the open windows of a clique the whole of it, with windows that are served along.
    """

    taken: tuple[Clique, ...]
    open_windows: frozenset[int]
    cliques: dict[Clique, Clique]


def reduce_cover(windows: Iterable[int], cliques: Iterable[Clique]) -> Reduced:
    """What three rules leave of the search for the fewest cliques; the least number is not changed by them.

    A clique inside another is not needed; a window that is in every clique of another window is served with it;
    a window in one clique only makes that clique certain.
    """
    open_windows, taken = frozenset(windows), list[Clique]()
    left = {clique: clique for clique in sorted(cliques, key=sorted, reverse=True)}
    while True:
        before = open_windows, set(left)
        left = _without_inner(_cut_down(left, open_windows))
        certain = _certain(left)
        taken += [left[part] for part in certain]
        settled = _union(certain) or _served_along(left)
        open_windows -= settled
        if (open_windows, set(left)) == before:
            return Reduced(tuple(taken), open_windows, left)


def _cut_down(cliques: dict[Clique, Clique], windows: Clique) -> dict[Clique, Clique]:
    """The cliques' parts among the windows; of equal parts the last in order stands for all."""
    return {part & windows: whole for part, whole in cliques.items() if part & windows}


def _union(cliques: Iterable[Clique]) -> Clique:
    return frozenset().union(*cliques)


def _by_window(cliques: Iterable[Clique]) -> dict[int, set[Clique]]:
    by_window: dict[int, set[Clique]] = {}
    for clique in cliques:
        for window in clique:
            by_window.setdefault(window, set()).add(clique)
    return by_window


def _without_inner(cliques: dict[Clique, Clique]) -> dict[Clique, Clique]:
    by_window = _by_window(cliques)
    return {
        part: whole
        for part, whole in cliques.items()
        if len(set.intersection(*(by_window[window] for window in part))) == 1
    }


def _certain(cliques: Iterable[Clique]) -> list[Clique]:
    single = {next(iter(around)) for around in _by_window(cliques).values() if len(around) == 1}
    return sorted(single, key=sorted)


def _served_along(cliques: Iterable[Clique]) -> Clique:
    """Windows that are served whenever some other, kept window is; of two alike the first is kept."""
    by_window = _by_window(cliques)
    served: set[int] = set()
    for window in sorted(by_window):
        around = by_window[window]
        others = _union(around) - served - {window}
        if any(
            by_window[other] < around or (by_window[other] == around and other < window) for other in others
        ):
            served.add(window)
    return frozenset(served)
