"""Volumes of one person change places so that fewer lie open over a night, a weekend or a holiday.

A heuristic. Work runs on over days off, and a volume begun before and finished after them waits all that time; list
scheduling does not see it coming. Only places within one stretch of a person's unbroken work are exchanged: what lies
outside the stretch, who does what, pay and the guillotine stay as they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.solve.schedule.problem import CUT, Placement, Problem, Solution, leaves_clock
from pipeline.solve.schedule.timeline import Timeline
from pipeline.units import MINUTES_PER_DAY

REACH = 8
"""How many places a run of tasks is tried further on or back."""
MOST_MOVES = 400_000
"""Exchanges tried in all passes together, about."""


@dataclass
class _Run:
    """Tasks of one volume that one person does without a break; `weight` is 0 where its return is not among them."""

    task_nos: list[int]
    volume_no: int
    minutes: int
    weight: int
    position: int
    least: int = 0
    most: int = 0

    @property
    def end(self) -> int:
        """Working minute after its last."""
        return self.position + self.minutes


class Reordering:
    """A timetable whose volumes change places until no exchange tried there makes the weighted finish less."""

    def __init__(self, problem: Problem, solution: Solution) -> None:
        self._problem = problem
        self._placements = list(solution.placements)
        self._timelines = [Timeline(p, day_start_minute=problem.day_start_minute) for p in problem.people]
        self._followers: dict[int, list[int]] = {}
        for task_no, task in enumerate(problem.tasks):
            for other in task.before:
                self._followers.setdefault(other, []).append(task_no)
        self._stretches = self._find_stretches()
        self._runs_of: dict[int, list[tuple[int, _Run]]] = {}
        for person_no, stretch in self._stretches:
            for run in stretch:
                self._runs_of.setdefault(run.volume_no, []).append((person_no, run))
        for person_no, stretch in self._stretches:
            for run in stretch:
                self._limit(person_no, run)
        self._moves_left = MOST_MOVES

    def improve(self) -> Solution:
        """The timetable given or an earlier one. Deterministic: places are tried in order, moves are counted."""
        for person_no, stretch in self._stretches:
            places = list(range(len(stretch)))
            while places and self._moves_left > 0:
                again: set[int] = set()
                for place in places:
                    moved = self._improve_at(person_no, stretch, place)
                    again.update(range(max(0, place - REACH), place + moved) if moved else ())
                places = sorted(again)
        return Solution(placements=tuple(self._placements))

    def _find_stretches(self) -> list[tuple[int, list[_Run]]]:
        """Stretches of unbroken work on volumes, person by person in order of time."""
        by_person: list[list[tuple[int, int]]] = [[] for _ in self._problem.people]
        for task_no, placement in enumerate(self._placements):
            if placement is not None:
                position = self._timelines[placement.person_no].position(placement.start_clock)
                by_person[placement.person_no].append((position, task_no))
        return [
            (person_no, stretch)
            for person_no, taken in enumerate(by_person)
            for stretch in self._stretches_of(sorted(taken, key=lambda one: (one[0], self._rank(one[1]))))
            if len(stretch) > 1
        ]

    def _rank(self, task_no: int) -> tuple[int, int]:
        """Tasks of no minutes before the task that starts with them."""
        placement = self._placements[task_no]
        return (0 if placement is None else placement.finish_clock), task_no

    def _stretches_of(self, taken: Sequence[tuple[int, int]]) -> list[list[_Run]]:
        stretches: list[list[_Run]] = [[]]
        for position, task_no in taken:
            task, last = self._problem.tasks[task_no], stretches[-1][-1] if stretches[-1] else None
            if task.kind == CUT or task.minutes == 0 or (last is not None and last.end != position):
                stretches.append([])
                last = None
            if task.kind == CUT or task.minutes == 0:
                continue
            volume_no = self._problem.volume_of[task_no]
            volume = self._problem.volumes[volume_no]
            if last is None or last.volume_no != volume_no:
                last = _Run([], volume_no, 0, 0, position)
                stretches[-1].append(last)
            last.task_nos.append(task_no)
            last.minutes += task.minutes
            if task_no == volume.task_nos[-1]:
                last.weight = volume.benefit_millionths
        return stretches

    def _limit(self, person_no: int, run: _Run) -> None:
        """Least and most working minute a run may start at, given all that does not move with it."""
        position_of = self._timelines[person_no].position
        offset, run.least, run.most = 0, 0, self._problem.people[person_no].minutes - run.minutes
        own = set(run.task_nos)
        for task_no in run.task_nos:
            task = self._problem.tasks[task_no]
            ready = task.first_day_no * MINUTES_PER_DAY
            if task.kind == "fetch":
                ready = max(ready, self._fetched_from(task_no))
            for other in task.before:
                before = self._placements[other]
                if other not in own and before is not None:
                    ready = max(ready, before.finish_clock)
            run.least = max(run.least, position_of(ready) - offset)
            offset += task.minutes
            for other in self._followers.get(task_no, ()):
                after = self._placements[other]
                if other not in own and after is not None:
                    run.most = min(run.most, position_of(after.start_clock) - offset)

    def _fetched_from(self, task_no: int) -> int:
        """Clock from which a volume may be fetched without lying in the lab for leaves longer than it does."""
        own = self._placements[task_no]
        cut = leaves_clock(self._problem, self._placements, self._problem.volume_of[task_no])
        return cut if own is None else min(own.start_clock, cut)

    def _improve_at(self, person_no: int, stretch: list[_Run], place: int) -> int:
        """Try the run at a place further on, and those further on at its place; take the best.

        Gives the number of runs that have a new place.
        """
        best, best_gain = None, 0
        for other in range(place + 1, min(len(stretch), place + 1 + REACH)):
            window = stretch[place : other + 1]
            tries = [[*window[1:], window[0]], [window[-1], *window[:-1]]]
            if len(window) > 2:
                tries.append([window[-1], *window[1:-1], window[0]])
            for tried in tries:
                self._moves_left -= 1
                gain = self._gain(person_no, window, tried)
                if gain > best_gain:
                    best, best_gain = tried, gain
        if best is None:
            return 0
        self._put(person_no, best, stretch[place].position)
        stretch[place : place + len(best)] = best
        return len(best)

    def _gain(self, person_no: int, window: Sequence[_Run], tried: Sequence[_Run]) -> int:
        """By how much the weighted finish falls; 0 where an order or a delivery is broken."""
        ends_at = self._timelines[person_no].ends_at
        position, gain = window[0].position, 0
        for run in tried:
            if not run.least <= position <= run.most:
                return 0
            position += run.minutes
            if run.weight:
                gain += run.weight * (ends_at(run.end) - ends_at(position))
        return gain

    def _put(self, person_no: int, order: Sequence[_Run], position: int) -> None:
        timeline = self._timelines[person_no]
        for run in order:
            run.position = position
            for task_no in run.task_nos:
                minutes = self._problem.tasks[task_no].minutes
                start, finish = timeline.span(position, minutes)
                self._placements[task_no] = Placement(
                    person_no=person_no, start_clock=start, finish_clock=finish
                )
                position += minutes
        for run in order:
            for other_no, other in self._runs_of[run.volume_no]:
                self._limit(other_no, other)


def reordered(problem: Problem, solution: Solution) -> Solution:
    """The timetable given, or an earlier one in which a person's volumes have changed places."""
    return Reordering(problem, solution).improve()
