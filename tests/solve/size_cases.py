"""Small cut-size problems for the tests, and the answer found by trying everything."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace

from pipeline import units
from pipeline.solve.size.costs import Costs
from pipeline.solve.size.model import Limits
from pipeline.solve.size.parents import Parent
from pipeline.solve.size.problem import Rectangle, SizeProblem, VolumeSheets, Window, shared_rectangle

LIMITS = Limits(seed=1)
LEAST_MM, IDEAL_MM, MOST_MM = 2.0, 3.0, 6.0
PARENT = Parent(stock_id="S1", along_leaf_width_ticks=1614, along_leaf_height_ticks=2188, worth_mm2=894_300)


def page_window(
    width_mm: float, height_mm: float, *, sheets: int = 1, volume_id: str = "", unit: str = "mm"
) -> Window:
    """The window of one page: 2 to 6 mm smaller each way, 3 mm ideal; a mm off is worth 0.5 % of the leaf."""
    rectangle = Rectangle(
        units.ticks_up(width_mm - MOST_MM, unit),
        units.ticks_down(width_mm - LEAST_MM, unit),
        units.ticks_up(height_mm - MOST_MM, unit),
        units.ticks_down(height_mm - LEAST_MM, unit),
    )
    return Window(
        rectangle=rectangle,
        ideal_width_um=units.floor_um(width_mm - IDEAL_MM),
        ideal_height_um=units.floor_um(height_mm - IDEAL_MM),
        off_ideal_mm2_per_mm=units.pct_of_area_mm2(width_mm - IDEAL_MM, height_mm - IDEAL_MM, 0.5),
        volumes=(VolumeSheets(volume_id or f"{width_mm}x{height_mm}", sheets),),
    )


def page_problem(
    pages: Sequence[tuple[float, float, int]], *, parents: tuple[Parent, ...] = (PARENT,), unit: str = "mm"
) -> SizeProblem:
    """One paper's problem from pages (width mm, height mm, sheets), no two alike; volumes are V0, V1, ..."""
    windows = [
        page_window(width, height, sheets=sheets, volume_id=f"V{number}", unit=unit)
        for number, (width, height, sheets) in enumerate(pages)
    ]
    windows.sort(key=lambda window: (window.rectangle, window.ideal_width_um, window.ideal_height_um))
    return SizeProblem(paper_id="BUF", length_unit=unit, windows=tuple(windows), parents=parents)


def random_pages(
    count: int, *, seed: int, spread_mm: int = 30, step_mm: float = 1.0
) -> list[tuple[float, float, int]]:
    """Pages of different sizes around 200 x 280 mm."""
    draw = random.Random(seed)
    sides: set[tuple[float, float]] = set()
    while len(sides) < count:
        width, height = (draw.randrange(int(spread_mm / step_mm)) * step_mm for _ in range(2))
        sides.add((200 + width, 280 + height))
    return [(width, height, draw.randint(1, 20)) for width, height in sorted(sides)]


def shuffled(problem: SizeProblem, seed: int) -> SizeProblem:
    """The same problem with its windows in another order."""
    windows = list(problem.windows)
    random.Random(seed).shuffle(windows)
    return replace(problem, windows=tuple(windows))


def partitions(numbers: Sequence[int]) -> Iterator[list[list[int]]]:
    """Every way to share numbers out into groups."""
    if not numbers:
        yield []
        return
    first, rest = numbers[0], numbers[1:]
    for groups in partitions(rest):
        yield [[first], *groups]
        for place in range(len(groups)):
            yield [*groups[:place], [first, *groups[place]], *groups[place + 1 :]]


def every_cover(problem: SizeProblem) -> list[list[list[int]]]:
    """Every way to share the windows out into groups that share a leaf."""
    return [
        groups
        for groups in partitions(range(len(problem.windows)))
        if not any(
            shared_rectangle([problem.windows[number].rectangle for number in group]).is_empty()
            for group in groups
        )
    ]


def least_by_trying(problem: SizeProblem, costs: Costs) -> tuple[int, int]:
    """Fewest groups of any cover, and the least cost of a cover with so many."""
    covers = every_cover(problem)
    fewest = min(len(groups) for groups in covers)
    return fewest, min(_cost(problem, groups, costs) for groups in covers if len(groups) == fewest)


def _cost(problem: SizeProblem, groups: list[list[int]], costs: Costs) -> int:
    total = 0
    for group in groups:
        shared = shared_rectangle([problem.windows[number].rectangle for number in group])
        total += min(sum(costs.at(number, leaf) for number in group) for leaf in shared.leaves())
    return total
