"""The timetable itself: a few runs of list scheduling, volumes dated whole or not at all, the best run kept."""

from collections.abc import Iterable, Mapping, Sequence

from pipeline.solve.schedule.bench import Bench
from pipeline.solve.schedule.capacity import TimePrices
from pipeline.solve.schedule.dispatch import Dispatch, Style, densities_in_order, own_densities
from pipeline.solve.schedule.problem import Problem, Solution, finish_clock, is_dated, weighted_finish
from pipeline.units import DAYS_PER_WEEK, MINUTES_PER_DAY, MINUTES_PER_HOUR

PLAIN_THRIFTS = (0.1, 0.9)
PRICED_THRIFTS = (0.6, 1.0)
CUT_FACTORS = (2.0, 4.0)
MOST_TRIED_TASKS = 20_000
"""Tasks placed in all styles together, about: large campaigns try fewer styles, at least one."""
MOST_ROUNDS = 8


def order_by_density(problem: Problem) -> list[int]:
    """Volume numbers, greatest benefit per minute of their own tasks first; those without benefit by id last."""
    densities = own_densities(problem)
    return sorted(range(len(problem.volumes)), key=lambda no: (-densities[no], problem.volumes[no].volume_id))


def order_by_moment(problem: Problem, moments: Mapping[int, float]) -> list[int]:
    """Volume numbers by the mean moment of their work in the weekly relaxation, to the hour; then by density."""
    places = {no: place for place, no in enumerate(order_by_density(problem))}
    return sorted(
        places,
        key=lambda no: (int(moments.get(no, problem.end_clock)) // MINUTES_PER_HOUR, places[no]),
    )


def order_by_finish(problem: Problem, solution: Solution) -> list[int]:
    """Volume numbers by the finish a timetable gives them; then by density."""
    places = {no: place for place, no in enumerate(order_by_density(problem))}
    return sorted(places, key=lambda no: (finish_clock(problem, solution, problem.volumes[no]), places[no]))


def order_by_shelf(problem: Problem, solution: Solution) -> list[int]:
    """Volume numbers by the week a timetable finishes them in, neighbours on the shelf together."""
    week_minutes = DAYS_PER_WEEK * MINUTES_PER_DAY
    return sorted(
        range(len(problem.volumes)),
        key=lambda no: (
            (finish_clock(problem, solution, problem.volumes[no]) + problem.start_weekday * MINUTES_PER_DAY)
            // week_minutes,
            problem.volumes[no].shelf_place,
            problem.volumes[no].volume_id,
        ),
    )


def styles_of(problem: Problem, prices: TimePrices | None) -> list[Style]:
    """Styles of choosing worth a run: with prices of time where there are some."""
    kinds: list[tuple[float, TimePrices | None]] = [(thrift, None) for thrift in PLAIN_THRIFTS]
    if prices is not None:
        kinds += [(thrift, prices) for thrift in PRICED_THRIFTS]
    styles = [
        Style(thrift=thrift, cut_factor=factor, prices=known)
        for thrift, known in reversed(kinds)
        for factor in CUT_FACTORS
    ]
    return styles[: max(1, MOST_TRIED_TASKS // max(1, len(problem.tasks)))]


def best_timetable(
    problem: Problem, orders: Iterable[Sequence[int]], prices: TimePrices | None = None
) -> Solution:
    """The best timetable found, over the orders of volumes given and a few styles of choosing.

    Among equals the first. Deterministic: no clock and no chance is involved.
    """
    styles = styles_of(problem, prices)
    best: Solution | None = None
    least = 0
    for order in orders:
        for style in styles:
            found = make_timetable(problem, order, style)
            reached = weighted_finish(problem, found)
            if best is None or reached < least:
                best, least = found, reached
    if best is None:
        raise ValueError("no order of volumes was given")
    return best


def make_timetable(problem: Problem, order: Sequence[int], style: Style) -> Solution:
    """One timetable: volumes earlier in `order` go first where the work allows it.

    Runs list scheduling again without the volumes that were not finished, then fits those into what time is left.
    """
    densities = densities_in_order(problem, order)
    kept = sorted(order)
    solution = Solution(placements=(None,) * len(problem.tasks))
    for _ in range(MOST_ROUNDS):
        solution = Dispatch(problem, kept, densities, style).run()
        finished = [no for no in kept if is_dated(solution, problem.volumes[no])]
        if len(finished) == len(kept):
            break
        kept = finished
    bench = Bench(problem, _without_unfinished(problem, solution))
    dated = {no for no in kept if is_dated(solution, problem.volumes[no])}
    for volume_no in order:
        if volume_no not in dated:
            bench.place_volume(volume_no)
    bench.place_idle_cuts()
    return bench.solution()


def _without_unfinished(problem: Problem, solution: Solution) -> Solution:
    """The timetable without volumes that are not finished and without cutting only they wait for."""
    kept: set[int] = set()
    for volume, cuts in zip(problem.volumes, problem.volume_cuts, strict=True):
        if is_dated(solution, volume):
            kept.update(volume.task_nos, cuts)
    return Solution(
        placements=tuple(
            placement if task_no in kept else None for task_no, placement in enumerate(solution.placements)
        )
    )
