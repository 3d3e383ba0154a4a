"""Small cutting problems for the tests, and their optimum found by trying everything."""

import random
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations_with_replacement

from pipeline.solve.cut.problem import Cells, Panel, Pattern, Problem, Size, pattern_cost, piece_counts

Sides = tuple[int, int, int]
"""Width, height, demand."""


def problem(
    sizes: Sequence[Sides],
    *panels: Panel,
    max_sizes: int | None = None,
    may_turn: bool = False,
) -> Problem:
    """Sizes C0, C1 ... on panels."""
    return Problem(
        sizes=tuple(
            Size(cut_size_id=f"C{i}", width_ticks=w, height_ticks=h, demand=d, may_turn=may_turn)
            for i, (w, h, d) in enumerate(sizes)
        ),
        panels=panels,
        max_sizes=max_sizes,
    )


def sheet(strip: int, stack: int, *, cost: int = 1, stock_id: str = "S", across_width: bool = True) -> Panel:
    """A sheet with grain along its length, cut across its width first, or the other way."""
    return Panel(
        stock_id=stock_id,
        first_cut="across_width" if across_width else "across_length",
        is_grain_along_strip=not across_width,
        strip_ticks=strip,
        stack_ticks=stack,
        cost=cost,
    )


def roll(width: int, longest: int, *, trims: int = 2, cost: int = 1) -> tuple[Panel, Panel]:
    """Both ways of cutting a roll; `cost` is that of a tick of length."""
    across = Panel(
        stock_id="R",
        first_cut="across_width",
        is_grain_along_strip=False,
        strip_ticks=width,
        stack_ticks=longest,
        cost=cost,
        free="stack",
        trims_ticks=trims,
    )
    along = Panel(
        stock_id="R",
        first_cut="across_length",
        is_grain_along_strip=True,
        strip_ticks=longest,
        stack_ticks=width,
        cost=cost,
        free="strip",
        trims_ticks=trims,
    )
    return across, along


def low_demand(seed: int, sizes: int, panels: Sequence[Panel], *, max_sizes: int | None = 3) -> Problem:
    """The trade's usual case: 5 to 30 leaves of a size, and spares, in half millimetres."""
    rng, found = random.Random(seed), dict[tuple[int, int], int]()
    while len(found) < sizes:
        width = rng.randint(300, 700)
        height = rng.randint(max(400, width), min(940, int(width * 1.6)))
        leaves = rng.randint(5, 30)
        found[width, height] = leaves + max(1, -(-leaves * 3 // 100))
    return problem([(w, h, d) for (w, h), d in found.items()], *panels, max_sizes=max_sizes)


def all_patterns(given: Problem) -> list[Pattern]:
    """Every two-stage pattern of a tiny problem, by listing strips and stacks of strips."""
    patterns = []
    for index, panel in enumerate(given.panels):
        strips = [strip for strip in _strips(given, index) if strip]
        heights = [max(given.footprint(index, size, turned)[1] for size, turned in s) for s in strips]
        most = panel.stack_ticks // min(heights, default=panel.stack_ticks + 1)
        for count in range(1, most + 1):
            for chosen in combinations_with_replacement(range(len(strips)), count):
                pattern = Pattern(
                    index, tuple(tuple(Cells(*place, 1) for place in strips[i]) for i in chosen)
                )
                kinds = sum(pieces > 0 for pieces in piece_counts(given, pattern))
                is_few = given.max_sizes is None or kinds <= given.max_sizes
                if sum(heights[i] for i in chosen) <= panel.stack_ticks and is_few:
                    patterns.append(pattern)
    return patterns


def _strips(given: Problem, panel: int) -> Iterator[tuple[tuple[int, bool], ...]]:
    places, room = given.placements(panel), given.panels[panel].strip_ticks
    least = min((given.footprint(panel, *place)[0] for place in places), default=room + 1)
    for count in range(room // least + 1):
        for chosen in combinations_with_replacement(places, count):
            if sum(given.footprint(panel, *place)[0] for place in chosen) <= room:
                yield chosen


def least_cost(given: Problem) -> int:
    """The least cost of a tiny problem, by trying every pattern for the first size still wanted."""
    cheapest: dict[tuple[int, ...], int] = {}
    for pattern in all_patterns(given):
        counts = piece_counts(given, pattern)
        cheapest[counts] = min(
            cheapest.get(counts, pattern_cost(given, pattern)), pattern_cost(given, pattern)
        )

    @cache
    def rest_cost(rest: tuple[int, ...]) -> int:
        if not any(rest):
            return 0
        first = next(i for i, wanted in enumerate(rest) if wanted)
        return min(
            cost + rest_cost(tuple(max(0, r - c) for r, c in zip(rest, counts, strict=True)))
            for counts, cost in cheapest.items()
            if counts[first]
        )

    return rest_cost(tuple(size.demand for size in given.sizes))
