"""Orders of volumes: which goes first where the work allows it."""

from collections.abc import Mapping
from heapq import heapify, heappop, heappush

from pipeline.solve.schedule.densities import own_densities
from pipeline.solve.schedule.problem import Problem, Solution, finish_clock
from pipeline.units import DAYS_PER_WEEK, MINUTES_PER_DAY, MINUTES_PER_HOUR


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


def order_by_finish(problem: Problem, finishes: Mapping[int, float]) -> list[int]:
    """Volume numbers by clocks of finish, to the minute; then by density."""
    places = {no: place for place, no in enumerate(order_by_density(problem))}
    return sorted(places, key=lambda no: (int(finishes.get(no, problem.end_clock)), places[no]))


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


def order_by_shared_cuts(problem: Problem, share: float) -> list[int]:
    """Volume numbers, greatest benefit per minute first, when each pays for its cutting that no earlier one needs.

    A volume counts a `share` of the cutting left for it, since others use the leaves too. What an earlier volume had
    cut costs those after it nothing, so volumes with leaves in common come together. By id among equals.
    """
    users: dict[int, list[int]] = {}
    for volume_no, cuts in enumerate(problem.volume_cuts):
        for cut in cuts:
            users.setdefault(cut, []).append(volume_no)
    left = [sum(problem.tasks[cut].minutes for cut in cuts) for cuts in problem.volume_cuts]

    def rank(volume_no: int) -> tuple[float, str, int]:
        volume, minutes = problem.volumes[volume_no], problem.volume_minutes[volume_no]
        density = volume.benefit_millionths / max(1.0, minutes + share * left[volume_no])
        return -density, volume.volume_id, volume_no

    waiting = [rank(volume_no) for volume_no in range(len(problem.volumes))]
    heapify(waiting)
    order: dict[int, None] = {}
    while waiting:
        entry = heappop(waiting)
        volume_no = entry[-1]
        if volume_no in order or entry != rank(volume_no):
            continue
        order[volume_no] = None
        for cut in problem.volume_cuts[volume_no]:
            for other in users.pop(cut, ()):
                left[other] -= problem.tasks[cut].minutes
                if other not in order:
                    heappush(waiting, rank(other))
    return list(order)
