"""What a timetable breaks, from Problem and Solution alone. Imports no solver and no scheduler."""

from collections.abc import Iterator
from itertools import pairwise

from pipeline.solve.schedule.problem import (
    CUT,
    SEGMENT_KINDS,
    Person,
    Placement,
    Problem,
    Solution,
    finish_clock,
    minutes_by_day,
)
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY


def broken_rules(problem: Problem, solution: Solution) -> list[str]:
    """One line per broken rule; empty when the timetable is feasible."""
    if len(solution.placements) != len(problem.tasks):
        return [f"{len(solution.placements)} placements for {len(problem.tasks)} tasks"]
    return [
        *_wrong_tasks(problem, solution),
        *_wrong_order(problem, solution),
        *_overlaps(problem, solution),
        *_half_dated(problem, solution),
        *_handed_over(problem, solution),
    ]


def mean_finish_minutes(problem: Problem, solution: Solution) -> float:
    """Benefit-weighted mean minutes to the finish, from the start of the first day; 0 without benefit."""
    total = sum(volume.benefit_millionths for volume in problem.volumes)
    if total == 0:
        return 0.0
    finishes = [
        finish_clock(problem, solution, volume) - problem.day_start_minute for volume in problem.volumes
    ]
    weights = [volume.benefit_millionths for volume in problem.volumes]
    return sum(weight * minutes for weight, minutes in zip(weights, finishes, strict=True)) / total


def _wrong_tasks(problem: Problem, solution: Solution) -> Iterator[str]:
    for task, placement in zip(problem.tasks, solution.placements, strict=True):
        if placement is None:
            continue
        person = problem.people[placement.person_no]
        if person.grade < task.grade:
            yield f"{task.task_id}: {person.staff_id} lacks the skill"
        if placement.start_clock < task.first_day_no * MINUTES_PER_DAY:
            yield f"{task.task_id}: starts before its delivery"
        if not _is_inside(problem, person, placement):
            yield f"{task.task_id}: starts or ends outside {person.staff_id}'s hours"
        elif sum(minutes for _, minutes in minutes_by_day(problem, placement)) != task.minutes:
            yield f"{task.task_id}: {task.minutes} minutes do not fit its span"


def _is_inside(problem: Problem, person: Person, placement: Placement) -> bool:
    """Whether the first minute and the last are minutes the person works."""
    starts = ends = False
    for day_no, half_hours in person.days:
        opens = day_no * MINUTES_PER_DAY + problem.day_start_minute
        closes = opens + half_hours * HALF_HOUR_MINUTES
        starts = starts or opens <= placement.start_clock < closes
        ends = ends or opens < placement.finish_clock <= closes
    return starts and (ends or placement.finish_clock == placement.start_clock)


def _wrong_order(problem: Problem, solution: Solution) -> Iterator[str]:
    for task, placement in zip(problem.tasks, solution.placements, strict=True):
        for number in task.before if placement is not None else ():
            before = solution.placements[number]
            if before is None:
                yield f"{task.task_id}: waits for {problem.tasks[number].task_id}, which has no date"
            elif placement is not None and before.finish_clock > placement.start_clock:
                yield f"{task.task_id}: starts before {problem.tasks[number].task_id} is finished"


def _overlaps(problem: Problem, solution: Solution) -> Iterator[str]:
    spans: dict[tuple[str, str], list[tuple[int, int, str]]] = {}
    for task, placement in zip(problem.tasks, solution.placements, strict=True):
        if placement is None:
            continue
        span = (placement.start_clock, placement.finish_clock, task.task_id)
        spans.setdefault(("person", problem.people[placement.person_no].staff_id), []).append(span)
        if task.kind == CUT:
            spans.setdefault(("machine", "the guillotine"), []).append(span)
    for (_, who), taken in spans.items():
        taken.sort()
        for (_, finish, first), (start, _, second) in pairwise(taken):
            if start < finish:
                yield f"{second}: {who} is still at {first}"


def _half_dated(problem: Problem, solution: Solution) -> Iterator[str]:
    for volume in problem.volumes:
        dated = sum(solution.placements[number] is not None for number in volume.task_nos)
        if 0 < dated < len(volume.task_nos):
            yield f"{volume.volume_id}: {dated} of {len(volume.task_nos)} tasks have a date"


def _handed_over(problem: Problem, solution: Solution) -> Iterator[str]:
    """From remove to check a volume changes hands only where the next task asks for more skill."""
    for volume in problem.volumes:
        segment = [number for number in volume.task_nos if problem.tasks[number].kind in SEGMENT_KINDS]
        for first, second in pairwise(segment):
            one, other = solution.placements[first], solution.placements[second]
            if one is None or other is None or one.person_no == other.person_no:
                continue
            if problem.people[one.person_no].grade >= problem.tasks[second].grade:
                yield f"{problem.tasks[second].task_id}: handed over without need"
