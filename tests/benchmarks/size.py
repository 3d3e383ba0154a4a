"""Made pages for the choice of cut sizes, and a table of numbers, bounds, distances, paper and seconds.

Run as `python -m tests.benchmarks.size [WINDOWS]`: only cases of up to so many pages (default all). Usual is a size
for each page size, greedy the clique that serves most first. Off is mm from the ideal a sheet, both sides together;
paper m2 is that of layouts of one size on a sheet, for the sizes nearest the ideal and for those with the sheet in
view. The last lines let the greatest clearance grow, everything else being as it is.
"""

import random
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from time import process_time

from pipeline import units
from pipeline.solve.size.baseline import greedy_cover, own_sizes
from pipeline.solve.size.check import off_ideal_um, paper_taken_mm2
from pipeline.solve.size.cliques import maximal_cliques, overlap_graph
from pipeline.solve.size.model import Limits
from pipeline.solve.size.parents import Parent
from pipeline.solve.size.problem import Rectangle, SizeProblem, VolumeSheets, Window
from pipeline.solve.size.search import solve_sizes

Pages = list[tuple[float, float]]
PARENTS = (
    Parent(stock_id="S1", along_leaf_width_ticks=1614, along_leaf_height_ticks=2188, worth_mm2=894_300),
    Parent(stock_id="S2", along_leaf_width_ticks=1208, along_leaf_height_ticks=1816, worth_mm2=557_540),
)
LEAST_MM, IDEAL_MM, MOST_MM = 2.0, 3.0, 6.0
SAVING_PER_MM_PCT = 0.5
HEADER = (
    f"{'pages':24}{'windows':>8}{'usual':>7}{'greedy':>8}{'sizes':>7}{'bound':>7}"
    f"{'off near':>10}{'off view':>10}{'m2 near':>10}{'m2 view':>10}{'view gap':>10}{'seconds':>9}"
)


@dataclass(frozen=True, kw_only=True)
class Case:
    """Pages by name."""

    name: str
    windows: int
    pages: Callable[[], Pages]


def scattered(count: int, seed: int) -> Pages:
    """Pages all over the usual sizes, whole mm."""
    draw = random.Random(seed)
    return [(float(draw.randint(150, 400)), float(draw.randint(200, 550))) for _ in range(count)]


def clustered(count: int, formats: int, spread_mm: float, step_mm: float) -> Pages:
    """Pages around some formats, as binders' stock sizes leave them, in steps."""
    draw = random.Random(count)
    centres = [(draw.uniform(150, 350), draw.uniform(200, 480)) for _ in range(formats)]

    def page() -> tuple[float, float]:
        width, height = draw.choice(centres)
        return (
            int(draw.gauss(width, spread_mm) / step_mm) * step_mm,
            int(draw.gauss(height, spread_mm) / step_mm) * step_mm,
        )

    return [page() for _ in range(count)]


CASES = (
    Case(name="sample-like, 60", windows=60, pages=lambda: clustered(60, 10, 3, 1)),
    Case(name="420 around 25 formats", windows=420, pages=lambda: clustered(420, 25, 6, 1)),
    Case(name="420 in half mm", windows=420, pages=lambda: clustered(420, 25, 6, 0.5)),
    Case(name="420 scattered", windows=420, pages=lambda: scattered(420, 4)),
    Case(name="5000 scattered", windows=5000, pages=lambda: scattered(5000, 5)),
    Case(name="5000 around 40 formats", windows=5000, pages=lambda: clustered(5000, 40, 12, 1)),
)


def problem_of(pages: Pages, most_clearance_mm: float = MOST_MM) -> SizeProblem:
    """One paper's problem from pages; sheets are drawn from 3 to 40."""
    draw = random.Random(1)
    alike: dict[Window, list[VolumeSheets]] = {}
    for number, (width_mm, height_mm) in enumerate(pages):
        window = Window(
            rectangle=Rectangle(
                units.ticks_up(width_mm - most_clearance_mm, "mm"),
                units.ticks_down(width_mm - LEAST_MM, "mm"),
                units.ticks_up(height_mm - most_clearance_mm, "mm"),
                units.ticks_down(height_mm - LEAST_MM, "mm"),
            ),
            ideal_width_um=units.floor_um(width_mm - IDEAL_MM),
            ideal_height_um=units.floor_um(height_mm - IDEAL_MM),
            off_ideal_mm2_per_mm=units.pct_of_area_mm2(width_mm, height_mm, SAVING_PER_MM_PCT),
            volumes=(),
        )
        alike.setdefault(window, []).append(VolumeSheets(f"V{number:05d}", draw.randint(3, 40)))
    windows = [replace(window, volumes=tuple(volumes)) for window, volumes in alike.items()]
    windows.sort(key=lambda window: (window.rectangle, window.ideal_width_um, window.ideal_height_um))
    return SizeProblem(paper_id="P", length_unit="mm", windows=tuple(windows), parents=PARENTS)


def line(name: str, problem: SizeProblem) -> str:
    """One row of the table."""
    started = process_time()
    answer = solve_sizes(problem, Limits(seed=1))
    seconds = process_time() - started
    rectangles = sorted({window.rectangle for window in problem.windows})
    greedy = greedy_cover(range(len(rectangles)), maximal_cliques(rectangles, overlap_graph(rectangles)))
    sheets = sum(window.sheets for window in problem.windows)
    both = (answer.nearest_solution, answer.solution)
    off = [units.um_to_mm(off_ideal_um(problem, found)) / sheets for found in both]
    paper = [paper_taken_mm2(problem, found) / units.MM2_PER_M2 for found in both]
    gap_frac = (answer.in_view.cost - answer.in_view.bound) / answer.in_view.bound
    return (
        f"{name:24}{len(problem.windows):8}{own_sizes(problem.windows):7}{len(greedy):8}"
        f"{len(answer.solution.sizes):7}{answer.solution.lower_bound:7}{off[0]:10.2f}{off[1]:10.2f}"
        f"{paper[0]:10.1f}{paper[1]:10.1f}{gap_frac:10.2%}{seconds:9.2f}"
    )


def main(most_windows: int) -> None:
    """Print the table."""
    print(HEADER)
    for case in CASES:
        if case.windows <= most_windows:
            print(line(case.name, problem_of(case.pages())), flush=True)
    pages = clustered(420, 25, 6, 1)
    for most_clearance_mm in range(4, 11):
        print(line(f"greatest {most_clearance_mm} mm", problem_of(pages, most_clearance_mm)), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else max(case.windows for case in CASES))
