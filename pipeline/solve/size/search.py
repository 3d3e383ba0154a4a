"""The choice of cut sizes of one paper, step by step.

First the least number of leaves is found and proven. With that number fixed, the leaves nearest the ideal are
sought; then those that are best with the parent sheet in view, where a little distance from the ideal may save
paper. Both are kept, so that what the sheet in view saves can be told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import chain
from time import perf_counter

import networkx as nx

from pipeline.solve.size.baseline import (
    Aim,
    Served,
    find_strangers,
    greedy_cover,
    least_cost_alone,
    settle,
    total_cost,
    totals,
)
from pipeline.solve.size.cliques import Clique, components, maximal_cliques, overlap_graph, reduce_cover
from pipeline.solve.size.costs import Costs, in_view_mm2, off_ideal_um, taken_paper_mm2
from pipeline.solve.size.model import CoverModel, Limits, PlaceModel, candidate_leaves
from pipeline.solve.size.problem import CutSize, Leaf, Rectangle, SizeProblem, SizeSolution

TOO_LARGE = "part too large to search whole"


@dataclass(frozen=True, kw_only=True)
class Cover:
    """Leaves that serve every window, and the proven least number of such leaves."""

    leaves: tuple[Leaf, ...]
    lower_bound: int
    limit_hit: str


@dataclass(frozen=True, kw_only=True)
class Placing:
    """Leaves in their final places, what they cost, and the proven least cost for so many leaves."""

    served: Served
    cost: int
    bound: int
    limit_hit: str


@dataclass(frozen=True, kw_only=True)
class SizeAnswer:
    """Cut sizes with the sheet in view (the plan's), those nearest the ideal, and how each search ended."""

    solution: SizeSolution
    nearest_solution: SizeSolution
    cover: Cover
    nearest: Placing
    in_view: Placing
    seconds: tuple[float, float, float] = field(compare=False)
    """Seconds of the three searches, in the order cover, nearest, in view."""


def solve_sizes(problem: SizeProblem, limits: Limits, *, seeks_nearest: bool = True) -> SizeAnswer:
    """Cut sizes of one paper: the fewest, then the best placed. Needs at least one window.

    Unless those nearest the ideal are sought, they are the plan's own.
    """
    times = [perf_counter()]
    cover = smallest_cover([window.rectangle for window in problem.windows], limits)
    off_ideal, view = off_ideal_um(problem), in_view_mm2(problem)
    graph = overlap_graph(off_ideal.rectangles)
    times.append(perf_counter())
    leaves, nearest = cover.leaves, None
    if seeks_nearest:
        nearest = place_leaves(leaves, Aim(off_ideal, taken_paper_mm2(problem)), graph, limits)
        leaves = tuple(nearest.served)
    times.append(perf_counter())
    in_view = place_leaves(leaves, Aim(view, off_ideal), graph, limits)
    nearest = nearest or in_view
    times.append(perf_counter())
    strangers = find_strangers(graph)
    lower_bound = max(cover.lower_bound, len(strangers))
    return SizeAnswer(
        solution=_solution(problem, in_view.served, lower_bound, strangers),
        nearest_solution=_solution(problem, nearest.served, lower_bound, strangers),
        cover=cover,
        nearest=nearest,
        in_view=in_view,
        seconds=(times[1] - times[0], times[2] - times[1], times[3] - times[2]),
    )


def sizes_in_view(problem: SizeProblem, limits: Limits) -> SizeSolution:
    """Cut sizes with the sheet in view alone: for comparing many choices."""
    cover = smallest_cover([window.rectangle for window in problem.windows], limits)
    graph = overlap_graph(off_ideal_um(problem).rectangles)
    placing = place_leaves(cover.leaves, Aim(in_view_mm2(problem), off_ideal_um(problem)), graph, limits)
    strangers = find_strangers(graph)
    return _solution(problem, placing.served, max(cover.lower_bound, len(strangers)), strangers)


def smallest_cover(rectangles: Sequence[Rectangle], limits: Limits) -> Cover:
    """The fewest leaves of which every rectangle holds one, as a cover of the overlap graph by cliques.

    Rules settle what they can; what is left falls into parts, each searched exactly where it is small enough.
    """
    distinct = sorted(set(rectangles))
    cliques = maximal_cliques(distinct, overlap_graph(distinct))
    reduced = reduce_cover(range(len(distinct)), cliques)
    chosen, lower_bound, limits_hit = list(reduced.taken), len(reduced.taken), set[str]()
    for part in _parts(list(reduced.cliques)):
        found, bound, limit_hit = _cover_part(part, limits)
        chosen += [reduced.cliques[clique] for clique in found]
        lower_bound += bound
        limits_hit |= {limit_hit} - {""}
    leaves = {_lowest_leaf([distinct[number] for number in clique]) for clique in chosen}
    return Cover(
        leaves=tuple(sorted(leaves)),
        lower_bound=lower_bound,
        limit_hit=", ".join(sorted(limits_hit)),
    )


def _lowest_leaf(rectangles: Sequence[Rectangle]) -> Leaf:
    """The least leaf that the rectangles of a clique share."""
    return Leaf(
        max(rectangle.least_width_ticks for rectangle in rectangles),
        max(rectangle.least_height_ticks for rectangle in rectangles),
    )


def _parts(cliques: Sequence[Clique]) -> list[list[Clique]]:
    """Cliques that hang together by shared windows, part by part."""
    first_of: dict[int, int] = {}
    graph = nx.Graph()
    graph.add_nodes_from(range(len(cliques)))
    for number, clique in enumerate(cliques):
        graph.add_edges_from((first_of.setdefault(window, number), number) for window in sorted(clique))
    return [[cliques[number] for number in part] for part in components(graph)]


def _cover_part(cliques: list[Clique], limits: Limits) -> tuple[list[Clique], int, str]:
    """Fewest cliques of one part, proven bound, limit hit: whole where small, else rounded and mended in blocks."""
    windows = frozenset(chain.from_iterable(cliques))
    model = CoverModel(windows, cliques)
    if len(windows) <= limits.cover_windows:
        found, bound, limit_hit = model.search(limits)
        greedy = greedy_cover(windows, cliques)
        return (found if found and len(found) <= len(greedy) else greedy), bound, limit_hit
    taken, bound = model.relaxed(limits)
    chosen = _rounded(windows, cliques, taken)
    for _ in range(limits.mending_rounds):
        chosen = _mended(chosen, cliques, limits)
    return chosen, bound, "" if len(chosen) == bound else TOO_LARGE


def _rounded(windows: Clique, cliques: Sequence[Clique], taken: Sequence[float]) -> list[Clique]:
    """A cover from the relaxation: the cliques it takes whole, then those that serve most, the fuller first."""
    whole = [clique for clique, share in zip(cliques, taken, strict=True) if share > 1 - 1e-6]
    order = sorted(range(len(cliques)), key=lambda n: (-taken[n], sorted(cliques[n])))
    return whole + greedy_cover(windows - frozenset(chain(*whole)), [cliques[n] for n in order])


def _mended(chosen: list[Clique], cliques: Sequence[Clique], limits: Limits) -> list[Clique]:
    """The cover with block after block of neighbouring cliques replaced by fewer, where fewer will do."""
    seen: set[int] = set()
    for seed in sorted(set(chain(*chosen))):
        if seed in seen:
            continue
        block = _block(seed, chosen, cliques, limits.block_cliques)
        others = [clique for clique in chosen if clique not in block]
        freed = frozenset(chain(*block)) - frozenset(chain(*others))
        seen.update(chain(*block[: len(block) // 2 + 1]))
        parts = {clique & freed: clique for clique in cliques if clique & freed}
        found, _, _ = CoverModel(freed, list(parts)).search(limits)
        if found and len(found) < len(block):
            chosen = others + [parts[part] for part in found]
    return chosen


def _block(seed: int, chosen: Sequence[Clique], cliques: Sequence[Clique], size: int) -> list[Clique]:
    """Up to `size` chosen cliques around a window, the nearest first."""
    reached, block = {seed}, list[Clique]()
    while len(block) < size:
        ring = [clique for clique in chosen if clique not in block and clique & reached]
        if not ring:
            break
        block += ring[: size - len(block)]
        within = frozenset(chain(*ring))
        reached = set(chain(*(clique for clique in cliques if clique & within)))
    return block


def place_leaves(leaves: Sequence[Leaf], aim: Aim, graph: "nx.Graph[int]", limits: Limits) -> Placing:
    """As many leaves as given, placed and shared out so that the windows' cost is least.

    `graph` is the windows' overlap graph. Lots that do not hang together are placed apart, each with as many leaves
    as it has now: where that is the fewest, no better placing has another share. Lots too large to be searched
    whole are bettered in blocks; their bound is what the windows would cost if each had the leaf it likes best.
    """
    settled = settle(sorted(graph), leaves, aim)
    leaf_of = {number: leaf for leaf, members in settled.items() for number in members}
    served: Served = {}
    bound, limits_hit = 0, set[str]()
    for lot in components(graph):
        placed = _place_lot(lot, sorted({leaf_of[number] for number in lot}), aim, limits)
        served |= placed.served
        bound += placed.bound
        limits_hit |= {placed.limit_hit} - {""}
    cost = total_cost(served, aim.cost)
    return Placing(served=served, cost=cost, bound=bound, limit_hit=", ".join(sorted(limits_hit)))


def _place_lot(lot: list[int], leaves: list[Leaf], aim: Aim, limits: Limits) -> Placing:
    """Leaves of windows that hang together."""
    served = settle(lot, leaves, aim)
    cost, alone = total_cost(served, aim.cost), least_cost_alone(lot, aim.cost)
    if len(leaves) == 1 or cost == alone:
        return Placing(served=served, cost=cost, bound=cost, limit_hit="")
    found = _placed_exactly(lot, served, aim, limits)
    if found is not None:
        return found
    served = _bettered(served, aim, limits)
    cost = total_cost(served, aim.cost)
    return Placing(served=served, cost=cost, bound=alone, limit_hit=TOO_LARGE)


def _placed_exactly(lot: list[int], served: Served, aim: Aim, limits: Limits) -> Placing | None:
    """The least-cost placing of as many leaves as serve the lot now; None where the search would be too large."""
    if len(lot) > limits.place_windows:
        return None
    candidates = candidate_leaves(lot, aim.cost)
    if sum(len(candidate.members) for candidate in candidates) > limits.place_pairs:
        return None
    found, bound, limit_hit = PlaceModel(candidates, len(lot), len(served)).search(limits)
    if found:
        better = settle(lot, found, aim)
        if totals(better, aim) < totals(served, aim):
            served = better
    return Placing(served=served, cost=total_cost(served, aim.cost), bound=bound, limit_hit=limit_hit)


def _bettered(served: Served, aim: Aim, limits: Limits) -> Served:
    """The placing with blocks of neighbouring leaves placed anew at least cost, the farthest from their least first."""
    above = {leaf: _above_least(leaf, members, aim.cost) for leaf, members in served.items()}
    waiting = sorted(served, key=lambda leaf: (-above[leaf], leaf))
    for _ in range(limits.blocks):
        if not waiting:
            break
        seed = waiting[0]
        near = sorted(served, key=lambda leaf: (_steps_apart(leaf, seed), leaf))[: limits.block_leaves]
        block = {leaf: served[leaf] for leaf in near}
        waiting = [leaf for leaf in waiting[1:] if leaf not in block]
        placed = _placed_exactly(sorted(chain(*block.values())), block, aim, limits)
        if placed is not None and totals(placed.served, aim) < totals(block, aim):
            served = {leaf: members for leaf, members in served.items() if leaf not in block}
            served |= placed.served
    return settle(sorted(chain(*served.values())), served, aim)


def _above_least(leaf: Leaf, members: Sequence[int], costs: Costs) -> int:
    """What the windows of a leaf would save if each had the leaf it likes best."""
    return sum(costs.at(number, leaf) - costs.least(number) for number in members)


def _steps_apart(one: Leaf, other: Leaf) -> int:
    """Ticks between two leaves on the side where they differ more."""
    return max(abs(one.width_ticks - other.width_ticks), abs(one.height_ticks - other.height_ticks))


def _solution(
    problem: SizeProblem, served: Served, lower_bound: int, strangers: tuple[int, ...]
) -> SizeSolution:
    """A placing as a solution: highest leaf first, then widest."""
    leaves = sorted(served, key=lambda leaf: (-leaf.height_ticks, -leaf.width_ticks))
    return SizeSolution(
        paper_id=problem.paper_id,
        sizes=tuple(
            CutSize(
                leaf=leaf,
                windows=tuple(sorted(served[leaf])),
            )
            for leaf in leaves
        ),
        lower_bound=lower_bound,
        strangers=strangers,
    )
