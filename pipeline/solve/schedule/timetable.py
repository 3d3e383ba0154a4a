"""The timetable itself: a few runs of list scheduling, volumes dated whole or not at all, the best run kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from pipeline.solve.schedule.baseline import hours_over_capacity_bound
from pipeline.solve.schedule.bench import Bench
from pipeline.solve.schedule.capacity import TimePrices
from pipeline.solve.schedule.densities import densities_in_order
from pipeline.solve.schedule.dispatch import Dispatch, Style
from pipeline.solve.schedule.guillotine import Queued
from pipeline.solve.schedule.lookahead import Lookahead
from pipeline.solve.schedule.orders import (
    order_by_density,
    order_by_finish,
    order_by_moment,
    order_by_shared_cuts,
)
from pipeline.solve.schedule.outlook import Outlook
from pipeline.solve.schedule.problem import (
    Problem,
    Solution,
    dated_benefit,
    is_dated,
    pay_over_budget,
    weighted_finish,
)

MOST_ROUNDS = 8
DENSITY, MOMENT, HALF_SHARED, SHARED, LITTLE_SHARED = range(5)
SHARES = {LITTLE_SHARED: 0.3, HALF_SHARED: 0.6, SHARED: 1.0}
"""Orders a timetable is tried in: by density, by the weekly relaxation, by shares of the cutting left."""
UNPRICED = Style(thrift=0.1)
PRICED_TRIES = (
    (DENSITY, Style(thrift=1.0, is_by_first=True)),
    (MOMENT, Style(thrift=1.0, cut_factor=2.0)),
    (SHARED, Style(thrift=0.3, is_by_first=True)),
    (SHARED, Style(thrift=0.6, cut_factor=2.0, is_by_first=True)),
    (DENSITY, Style(thrift=1.0)),
    (HALF_SHARED, Style(thrift=1.0, is_by_first=True)),
    (LITTLE_SHARED, Style(thrift=0.6, cut_factor=2.0)),
    (LITTLE_SHARED, Style(thrift=0.6)),
    (MOMENT, Style(thrift=1.0)),
    (HALF_SHARED, Style(thrift=0.6)),
    (DENSITY, Style(thrift=0.6, cut_factor=2.0)),
    (MOMENT, Style(thrift=0.3, is_by_first=True)),
    (MOMENT, Style(thrift=0.6, cut_factor=0.8)),
)
"""Orders and styles that found the best timetable of some campaign, those that did so most often first."""
UNPRICED_TRIES = (
    (LITTLE_SHARED, UNPRICED),
    (HALF_SHARED, replace(UNPRICED, is_by_first=True)),
    (MOMENT, UNPRICED),
    (DENSITY, replace(UNPRICED, cut_factor=2.0)),
)
QUEUED_STYLES = (
    Style(thrift=0.6, cut_factor=2.0),
    Style(thrift=1.0, cut_factor=2.0, is_by_first=True),
)
"""Styles tried in the orders in which the cuts of volumes are done, where everyone waits for the guillotine."""
CLIMBED_TRIES = (
    (Style(thrift=1.0, cut_factor=2.0), False),
    (Style(thrift=1.0), True),
    (Style(thrift=1.0), False),
    (Style(thrift=1.0, cut_factor=0.8, is_by_first=True), False),
    (Style(thrift=0.6, is_by_first=True), False),
)
"""Styles tried in the order that the raised bound's chains are finished in, and whether with a view to coming days."""


Try = tuple[Sequence[int], Style]
"""An order of volumes and a style of choosing."""


@dataclass(frozen=True)
class Found:
    """A timetable, and the order of volumes and the style it came from."""

    order: Sequence[int]
    style: Style
    solution: Solution


def queued_tries(problem: Problem, queued: Queued) -> list[Try]:
    """The orders in which the cuts of volumes are done, where everyone waits for the guillotine; else none."""
    if queued.bound <= hours_over_capacity_bound(problem):
        return []
    orders = [order_by_finish(problem, clocks) for clocks in (queued.mean_clocks, queued.last_clocks)]
    return [(order, style) for order in orders for style in QUEUED_STYLES]


def tried_timetables(
    problem: Problem,
    moments: Mapping[int, float],
    prices: TimePrices,
    *,
    first: Sequence[Try],
    most: int,
) -> list[Found]:
    """Timetables in so many orders and styles of choosing at most, least weighted finish first.

    `moments` and `prices` from the weekly relaxation; `first` is tried before all others. Deterministic: no clock and
    no chance is involved.
    """
    orders = {DENSITY: order_by_density(problem), MOMENT: order_by_moment(problem, moments)}
    orders |= {name: order_by_shared_cuts(problem, share) for name, share in SHARES.items()}
    priced = [(name, replace(style, prices=prices)) for name, style in PRICED_TRIES]
    others = [*priced[:4], *UNPRICED_TRIES[:2], *priced[4:], *UNPRICED_TRIES[2:]]
    tries = [*first, *((orders[name], style) for name, style in others)]
    return also_tried(problem, [], tries[:most])


def climbed_tries(outlook: Outlook, prices: TimePrices) -> list[Try]:
    """The order that the raised bound's chains are finished in, in each style."""
    order, ahead = order_by_finish(outlook.problem, outlook.finishes), Lookahead(outlook)
    return [
        (order, replace(style, prices=prices, ahead=ahead if looks_ahead else None))
        for style, looks_ahead in CLIMBED_TRIES
    ]


def also_tried(problem: Problem, found: Sequence[Found], tries: Iterable[Try]) -> list[Found]:
    """The timetables found and those of more tries, least weighted finish first."""
    more = [Found(order, style, make_timetable(problem, order, style)) for order, style in tries]
    return sorted([*found, *more], key=lambda one: weighted_finish(problem, one.solution))


def best_timetable(
    problem: Problem, orders: Iterable[Sequence[int]], prices: TimePrices | None = None
) -> Found:
    """The best timetable found in the orders of volumes given, people choosing in a few ways."""
    styles = [replace(style, prices=prices) for _, style in PRICED_TRIES[:2]] if prices else [UNPRICED]
    return best_of(
        problem,
        [Found(order, style, make_timetable(problem, order, style)) for order in orders for style in styles],
    )


def best_of(problem: Problem, found: Sequence[Found]) -> Found:
    """The timetable with the least weighted finish; one that keeps the staff budget where that one does not.

    No benefit is left undated for the budget's sake: the choice of work decides what it pays for. Among equals the
    first.
    """
    if not found:
        raise ValueError("no order of volumes was given")
    earliest = min(found, key=lambda one: weighted_finish(problem, one.solution))
    if not pay_over_budget(problem, earliest.solution):
        return earliest
    dated = dated_benefit(problem, earliest.solution)
    as_full = [one for one in found if dated_benefit(problem, one.solution) >= dated]
    return min(
        as_full,
        key=lambda one: (pay_over_budget(problem, one.solution), weighted_finish(problem, one.solution)),
    )


def make_timetable(problem: Problem, order: Sequence[int], style: Style) -> Solution:
    """One timetable: volumes earlier in `order` go first where the work allows it.

    Runs list scheduling again without the volumes that were not finished, then fits those into what time is left.
    """
    densities = densities_in_order(problem, order)
    kept = sorted(no for no in order if problem.is_delivered[no])
    solution = Solution(placements=(None,) * len(problem.tasks))
    for _ in range(MOST_ROUNDS):
        solution = Dispatch(problem, kept, densities, style).run()
        finished = [no for no in kept if is_dated(solution, problem.volumes[no])]
        if len(finished) == len(kept):
            break
        kept = finished
    return fitted_in(problem, solution, order)


def fitted_in(problem: Problem, solution: Solution, order: Sequence[int]) -> Solution:
    """The timetable with the volumes that it does not finish fitted into the time left, and cuts for spares only."""
    bench = Bench(problem, _without_unfinished(problem, solution))
    for volume_no in order:
        if problem.is_delivered[volume_no] and not is_dated(solution, problem.volumes[volume_no]):
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
