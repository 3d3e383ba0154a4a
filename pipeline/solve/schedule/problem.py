"""The timetable as whole numbers: people's half-hours, tasks in minutes, volumes as chains of tasks.

A clock is minutes since midnight before the campaign's first day. No solver and no table is known here.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY, MINUTES_PER_HOUR

CUT = "cut"
SEGMENT_KINDS = ("remove", "interleave", "check")
"""Kinds one person does on a volume where skills allow."""


@dataclass(frozen=True, kw_only=True)
class Person:
    """One person: grade of skill (greater may do more), days worked as (day_no, half_hours), ascending; pay an hour."""

    staff_id: str
    grade: int
    days: tuple[tuple[int, int], ...]
    hourly_hundredths: int = 0

    @cached_property
    def minutes(self) -> int:
        """Minutes the person works in the whole campaign."""
        return sum(half_hours for _, half_hours in self.days) * HALF_HOUR_MINUTES


@dataclass(frozen=True, kw_only=True)
class Task:
    """One task: minutes, least grade of skill, first day it may start, tasks that must be finished before."""

    task_id: str
    kind: str
    minutes: int
    grade: int
    first_day_no: int = 0
    before: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Volume:
    """One volume with work: its tasks in order (numbers into Problem.tasks), weight, place on the shelf.

    `benefit_millionths` is the planned benefit; a volume without sheets has none and is fitted in last.
    """

    volume_id: str
    benefit_millionths: int
    task_nos: tuple[int, ...]
    shelf_place: int = 0


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Everything the timetable depends on. Volumes are chains; cut tasks wait for cut tasks only.

    `room` is how many fetched volumes may wait in the lab for leaves that are not cut yet. `start_weekday` is that
    of the first day, Monday 0. `staff_budget_hundredths` is what people's pay may come to; None: as much as it takes.
    """

    people: tuple[Person, ...]
    tasks: tuple[Task, ...]
    volumes: tuple[Volume, ...]
    days: int
    day_start_minute: int
    room: int
    start_weekday: int = 0
    staff_budget_hundredths: int | None = None

    @property
    def end_clock(self) -> int:
        """Midnight after the last day: what a volume without a date counts as."""
        return self.days * MINUTES_PER_DAY

    @cached_property
    def total_benefit(self) -> int:
        """Sum of the volumes' weights, millionths."""
        return sum(volume.benefit_millionths for volume in self.volumes)

    @cached_property
    def volume_minutes(self) -> tuple[int, ...]:
        """Minutes of each volume's own tasks."""
        return tuple(sum(self.tasks[no].minutes for no in volume.task_nos) for volume in self.volumes)

    @cached_property
    def least_grades(self) -> tuple[int, ...]:
        """Least grade that can come to do each task, given that whoever clears or interleaves goes on if able.

        From remove to check nobody of less skill than the one before can be next.
        """
        grades = [task.grade for task in self.tasks]
        for volume in self.volumes:
            least = 0
            for number in volume.task_nos:
                if self.tasks[number].kind in SEGMENT_KINDS:
                    grades[number] = least = max(least, grades[number])
        return tuple(grades)

    @cached_property
    def open_days(self) -> Person:
        """The days on which anybody works, each with the most half-hours anybody has, as if one person had them."""
        most: dict[int, int] = {}
        for person in self.people:
            for day_no, half_hours in person.days:
                most[day_no] = max(half_hours, most.get(day_no, 0))
        return Person(staff_id="", grade=0, days=tuple(sorted(most.items())))

    @cached_property
    def volume_of(self) -> dict[int, int]:
        """Number of the volume that a task is about, by task; cut tasks are about none."""
        return {task_no: no for no, volume in enumerate(self.volumes) for task_no in volume.task_nos}

    @cached_property
    def volume_cuts(self) -> tuple[tuple[int, ...], ...]:
        """Cut tasks each volume waits for and those they wait for themselves, earliest delivery first."""
        return tuple(self._cuts_of(volume) for volume in self.volumes)

    @cached_property
    def is_delivered(self) -> tuple[bool, ...]:
        """Whether all that each volume waits for comes before the campaign's last midnight."""
        return tuple(
            all(self.tasks[no].first_day_no < self.days for no in (*volume.task_nos, *cuts))
            for volume, cuts in zip(self.volumes, self.volume_cuts, strict=True)
        )

    def _cuts_of(self, volume: Volume) -> tuple[int, ...]:
        found: set[int] = set()
        waiting = [before for task_no in volume.task_nos for before in self.tasks[task_no].before]
        while waiting:
            task_no = waiting.pop()
            if self.tasks[task_no].kind == CUT and task_no not in found:
                found.add(task_no)
                waiting += self.tasks[task_no].before
        return tuple(sorted(found, key=lambda task_no: (self.tasks[task_no].first_day_no, task_no)))


@dataclass(frozen=True, kw_only=True)
class Placement:
    """Who does a task and when: clocks of its first minute and of the end of its last."""

    person_no: int
    start_clock: int
    finish_clock: int


@dataclass(frozen=True, kw_only=True)
class Solution:
    """One placement per task, None where it found no place."""

    placements: tuple[Placement | None, ...]


def is_dated(solution: Solution, volume: Volume) -> bool:
    """Whether a volume is finished inside the campaign."""
    return solution.placements[volume.task_nos[-1]] is not None


def leaves_clock(problem: Problem, placements: Sequence[Placement | None], volume_no: int) -> int:
    """When the last leaf of a volume is cut; 0 where it waits for no cut. Fetched before, it takes room in the lab."""
    cuts = (placements[cut] for cut in problem.volume_cuts[volume_no])
    return max((cut.finish_clock for cut in cuts if cut is not None), default=0)


def finish_clock(problem: Problem, solution: Solution, volume: Volume) -> int:
    """When a volume is back on its shelf; the campaign's last midnight when it found no place."""
    placement = solution.placements[volume.task_nos[-1]]
    return problem.end_clock if placement is None else placement.finish_clock


def weighted_finish(problem: Problem, solution: Solution) -> int:
    """Sum over volumes of benefit (millionths) x minutes from the start of the first day's work to the finish."""
    return sum(
        volume.benefit_millionths * (finish_clock(problem, solution, volume) - problem.day_start_minute)
        for volume in problem.volumes
        if volume.benefit_millionths
    )


def pay_over_budget(problem: Problem, solution: Solution) -> int:
    """Pay beyond the staff budget, hundredths x minutes; 0 within it."""
    if problem.staff_budget_hundredths is None:
        return 0
    pay = sum(
        task.minutes * problem.people[placement.person_no].hourly_hundredths
        for task, placement in zip(problem.tasks, solution.placements, strict=True)
        if placement is not None
    )
    return max(0, pay - problem.staff_budget_hundredths * MINUTES_PER_HOUR)


def dated_benefit(problem: Problem, solution: Solution) -> int:
    """Benefit of the volumes finished inside the campaign, millionths."""
    return sum(volume.benefit_millionths for volume in problem.volumes if is_dated(solution, volume))


def minutes_by_day(problem: Problem, placement: Placement) -> Iterator[tuple[int, int]]:
    """Working minutes of a placement on each of its days, as (day_no, minutes)."""
    for day_no, half_hours in problem.people[placement.person_no].days:
        opens = day_no * MINUTES_PER_DAY + problem.day_start_minute
        closes = opens + half_hours * HALF_HOUR_MINUTES
        worked = min(closes, placement.finish_clock) - max(opens, placement.start_clock)
        if worked > 0:
            yield day_no, worked
