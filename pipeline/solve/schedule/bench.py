"""A timetable under construction: each volume at its earliest, given what is already placed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pipeline.solve.schedule.problem import (
    CUT,
    SEGMENT_KINDS,
    Placement,
    Problem,
    Solution,
    Volume,
)
from pipeline.solve.schedule.timeline import Guillotine, Timeline
from pipeline.units import MINUTES_PER_DAY


@dataclass(frozen=True)
class Step:
    """A task found a place: person, first working minute, clocks of start and finish."""

    task_no: int
    person_no: int
    position: int
    start_clock: int
    finish_clock: int


class Bench:
    """A timetable under construction: people's free time, the guillotine, what has its place."""

    def __init__(self, problem: Problem, solution: Solution | None = None) -> None:
        self._problem = problem
        least = min((task.minutes for task in problem.tasks if task.minutes), default=1)
        self._timelines = [
            Timeline(person, day_start_minute=problem.day_start_minute, least_minutes=least)
            for person in problem.people
        ]
        self._guillotine = Guillotine(problem.open_days, day_start_minute=problem.day_start_minute)
        self._placements: list[Placement | None] = [None] * len(problem.tasks)
        self._hopeless: set[int] = set()
        ranked = sorted(
            range(len(problem.people)),
            key=lambda number: (problem.people[number].grade, problem.people[number].staff_id),
        )
        grades = {task.grade for task in problem.tasks}
        for task_no, placement in enumerate(solution.placements if solution else ()):
            if placement is not None:
                self._take(self._step_of(task_no, placement))
        self._able = {
            grade: [number for number in ranked if problem.people[number].grade >= grade] for grade in grades
        }

    def solution(self) -> Solution:
        """The timetable as far as it is."""
        return Solution(placements=tuple(self._placements))

    def place_volume(self, volume_no: int) -> bool:
        """Place all of a volume's tasks and the cutting it waits for, or nothing. Says whether it did."""
        cuts: list[Step] = []
        all_cut = all(self._place_cut(task_no, cuts) for task_no in self._problem.volume_cuts[volume_no])
        chain = self._find_chain(self._problem.volumes[volume_no]) if all_cut else None
        for step in reversed(cuts if chain is None else []):
            self._give_back(step)
        for step in chain or []:
            self._take(step)
        return chain is not None

    def place_idle_cuts(self) -> None:
        """Place the cut tasks no volume waits for."""
        waited_for = set().union(*self._problem.volume_cuts)
        for task_no, task in enumerate(self._problem.tasks):
            if task.kind == CUT and task_no not in waited_for:
                self._place_cut(task_no, [])

    def _place_cut(self, task_no: int, placed: list[Step]) -> bool:
        if self._placements[task_no] is not None:
            return True
        if not all(self._place_cut(before, placed) for before in self._problem.tasks[task_no].before):
            return False
        step = None if task_no in self._hopeless else self._earliest(task_no, self._ready(task_no, {}))
        if step is None:
            if not placed:
                self._hopeless.add(task_no)
            return False
        self._take(step)
        placed.append(step)
        return True

    def _find_chain(self, volume: Volume) -> list[Step] | None:
        """Places for a volume's tasks, not taken yet; None when one of them has none."""
        steps: list[Step] = []
        finished: dict[int, int] = {}
        todo = list(volume.task_nos)
        while todo:
            segment = self._leading_segment(todo)
            found = self._find_segment(segment, finished) if segment else self._find_each(todo[:1], finished)
            if found is None:
                return None
            steps += found
            finished.update((step.task_no, step.finish_clock) for step in found)
            todo = todo[len(found) :]
        return steps

    def _leading_segment(self, todo: Sequence[int]) -> list[int]:
        segment: list[int] = []
        for task_no in todo:
            if self._problem.tasks[task_no].kind not in SEGMENT_KINDS:
                break
            segment.append(task_no)
        return segment

    def _find_segment(self, segment: Sequence[int], finished: dict[int, int]) -> list[Step] | None:
        """Places for remove to check by one person where skills allow: whoever is finished first."""
        best: list[Step] | None = None
        for person_no in self._able[self._problem.tasks[segment[0]].grade]:
            found = self._find_with_owner(segment, person_no, finished)
            if found is not None and (best is None or found[-1].finish_clock < best[-1].finish_clock):
                best = found
        return best

    def _find_with_owner(
        self, segment: Sequence[int], owner: int, finished: dict[int, int]
    ) -> list[Step] | None:
        steps: list[Step] = []
        known = dict(finished)
        for task_no in segment:
            ready = self._ready(task_no, known)
            if self._problem.people[owner].grade >= self._problem.tasks[task_no].grade:
                step = self._find(task_no, owner, ready)
            else:
                step = self._earliest(task_no, ready)
            if step is None:
                return None
            steps.append(step)
            known[task_no] = step.finish_clock
            owner = step.person_no
        return steps

    def _find_each(self, task_nos: Iterable[int], finished: dict[int, int]) -> list[Step] | None:
        """Places for tasks in a row, each with whoever finishes it first."""
        steps: list[Step] = []
        known = dict(finished)
        for task_no in task_nos:
            step = self._earliest(task_no, self._ready(task_no, known))
            if step is None:
                return None
            steps.append(step)
            known[task_no] = step.finish_clock
        return steps

    def _ready(self, task_no: int, finished: dict[int, int]) -> int:
        """Clock from which a task may start, once all it waits for has a place."""
        task = self._problem.tasks[task_no]
        clock = task.first_day_no * MINUTES_PER_DAY
        for before in task.before:
            placement = self._placements[before]
            clock = max(clock, finished[before] if placement is None else placement.finish_clock)
        return clock

    def _earliest(self, task_no: int, ready_clock: int) -> Step | None:
        """Place with whoever finishes first; among equals the one who can do least else."""
        task = self._problem.tasks[task_no]
        if task.kind == CUT:
            gap = self._guillotine.open_from(ready_clock, max(1, task.minutes))
            if gap is None:
                return None
            ready_clock = gap
        best: Step | None = None
        for person_no in self._able[task.grade]:
            last_clock = self._problem.end_clock if best is None else best.finish_clock
            step = self._find(task_no, person_no, ready_clock, last_clock)
            if step is not None and (best is None or step.finish_clock < best.finish_clock):
                best = step
        return best

    def _find(
        self, task_no: int, person_no: int, ready_clock: int, last_clock: int | None = None
    ) -> Step | None:
        """Earliest place with a person; a cut is not looked for from `last_clock` on."""
        task = self._problem.tasks[task_no]
        timeline = self._timelines[person_no]
        while True:
            position = timeline.find(ready_clock, task.minutes)
            if position is None:
                return None
            start, finish = timeline.span(position, task.minutes)
            blocked = self._guillotine.free_from(start, finish) if task.kind == CUT else None
            if blocked is None:
                return Step(task_no, person_no, position, start, finish)
            gap = self._guillotine.open_from(blocked, max(1, task.minutes))
            if gap is None or (last_clock is not None and gap >= last_clock):
                return None
            ready_clock = gap

    def _take(self, step: Step) -> None:
        task = self._problem.tasks[step.task_no]
        self._timelines[step.person_no].take(step.position, task.minutes)
        if task.kind == CUT:
            self._guillotine.take(step.start_clock, step.finish_clock)
        self._placements[step.task_no] = Placement(
            person_no=step.person_no, start_clock=step.start_clock, finish_clock=step.finish_clock
        )

    def _step_of(self, task_no: int, placement: Placement) -> Step:
        position = self._timelines[placement.person_no].position(placement.start_clock)
        return Step(task_no, placement.person_no, position, placement.start_clock, placement.finish_clock)

    def _give_back(self, step: Step) -> None:
        task = self._problem.tasks[step.task_no]
        self._timelines[step.person_no].give_back(step.position, task.minutes)
        if task.kind == CUT:
            self._guillotine.give_back(step.start_clock, step.finish_clock)
        self._placements[step.task_no] = None
