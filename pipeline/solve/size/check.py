"""Whether cut sizes keep the rules, from problem and solution alone. Imports no solver and none of the search."""

from pipeline import units
from pipeline.solve.size.problem import CutSize, Leaf, SizeProblem, SizeSolution, Window


def check_solution(problem: SizeProblem, solution: SizeSolution) -> list[str]:
    """Every broken rule in words; none when the solution holds."""
    return [
        *_broken_service(problem, solution),
        *_broken_clearance(problem, solution),
        *_broken_bound(problem, solution),
    ]


def _broken_service(problem: SizeProblem, solution: SizeSolution) -> list[str]:
    """Each window is served by one size; each size is cut once and serves a window."""
    times: dict[int, int] = dict.fromkeys(range(len(problem.windows)), 0)
    broken = []
    for size in solution.sizes:
        for number in size.windows:
            if number not in times:
                broken.append(f"window {number} is not known")
            times[number] = times.get(number, 0) + 1
    broken += [f"window {number} is served by {count} sizes" for number, count in times.items() if count != 1]
    broken += [f"size {size.leaf} serves no window" for size in solution.sizes if not size.windows]
    if len({size.leaf for size in solution.sizes}) < len(solution.sizes):
        broken.append("a size stands twice")
    return broken


def _broken_clearance(problem: SizeProblem, solution: SizeSolution) -> list[str]:
    """Each leaf lies between the least and the most of every window it serves."""
    return [
        f"size {size.leaf} is outside window {number}"
        for size in solution.sizes
        for number in size.windows
        if 0 <= number < len(problem.windows) and not _is_between(problem.windows[number], size.leaf)
    ]


def _is_between(window: Window, leaf: Leaf) -> bool:
    least_width, most_width, least_height, most_height = window.rectangle
    width, height = leaf
    return least_width <= width <= most_width and least_height <= height <= most_height


def _broken_bound(problem: SizeProblem, solution: SizeSolution) -> list[str]:
    """The bound lies between the strangers, of which no two overlap, and the number of sizes."""
    broken = []
    if not len(solution.strangers) <= solution.lower_bound <= len(solution.sizes):
        broken.append(
            f"{len(solution.strangers)} strangers, bound {solution.lower_bound}, {len(solution.sizes)} sizes"
        )
    strangers = [problem.windows[number].rectangle for number in sorted(set(solution.strangers))]
    if len(strangers) < len(solution.strangers):
        broken.append("a stranger stands twice")
    for place, one in enumerate(strangers):
        for other in strangers[:place]:
            if max(one[0], other[0]) <= min(one[1], other[1]) and max(one[2], other[2]) <= min(
                one[3], other[3]
            ):
                broken.append(f"strangers {one} and {other} overlap")
    return broken


def off_ideal_um(problem: SizeProblem, solution: SizeSolution) -> int:
    """Distance from the ideal over all sheets, both sides together, um."""
    return sum(_window_off_um(problem, size, number) for size in solution.sizes for number in size.windows)


def _window_off_um(problem: SizeProblem, size: CutSize, number: int) -> int:
    window = problem.windows[number]
    width_um = units.ticks_to_um(size.leaf.width_ticks, problem.length_unit)
    height_um = units.ticks_to_um(size.leaf.height_ticks, problem.length_unit)
    off_um = abs(width_um - window.ideal_width_um) + abs(height_um - window.ideal_height_um)
    return off_um * window.sheets


def paper_taken_mm2(problem: SizeProblem, solution: SizeSolution) -> int:
    """Paper taken by all sheets, mm2 of the cheapest stock, each parent cut into leaves of one size."""
    return sum(
        problem.windows[number].sheets * _leaf_paper_mm2(problem, size.leaf)
        for size in solution.sizes
        for number in size.windows
    )


def _leaf_paper_mm2(problem: SizeProblem, leaf: Leaf) -> int:
    """Paper of one leaf off the parent that gives most for its worth; two of the largest where none gives it."""
    offers = []
    for parent in problem.parents:
        columns = parent.along_leaf_width_ticks // leaf.width_ticks
        rows = parent.along_leaf_height_ticks // leaf.height_ticks
        if columns * rows == 0:
            continue
        used, whole = 1, 1
        if parent.free_side == "width":
            used, whole = columns * leaf.width_ticks, parent.along_leaf_width_ticks
        if parent.free_side == "height":
            used, whole = rows * leaf.height_ticks, parent.along_leaf_height_ticks
        used, whole = used + parent.free_trim_ticks, whole + parent.free_trim_ticks
        offers.append(-(-parent.worth_mm2 * used // (whole * columns * rows)))
    return min(offers, default=2 * max((parent.worth_mm2 for parent in problem.parents), default=0))
