"""Fetching and clearing as late as they go, so that volumes wait on the shelf and not in the lab.

List scheduling gives whoever is free something to do, and so fetches long before there is time for the rest. Here a
fetch or a clearing moves to just before the volume's next task, and what the same person did in between comes so much
earlier. Nobody's work changes hands and pay stays; no volume is back later than before.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.solve.schedule.problem import CUT, Placement, Problem, Solution, leaves_clock
from pipeline.solve.schedule.timeline import Guillotine, Timeline
from pipeline.units import MINUTES_PER_DAY

EARLY_KINDS = ("fetch", "remove")
MOST_PASSED = 800
"""Tasks of the same person a task is moved past, at most: bounds the time in large campaigns."""


@dataclass(frozen=True)
class _Move:
    """A task goes to `position`; the tasks of the same person from place `first` to before `last` come earlier."""

    position: int
    first: int
    last: int


class _Line:
    """One person's tasks in order of time, as (first working minute, minutes, task)."""

    def __init__(self, timeline: Timeline) -> None:
        self.timeline = timeline
        self.tasks: list[tuple[int, int, int]] = []


class Lingering:
    """A timetable whose early tasks are moved, the volumes with the latest work on them first."""

    def __init__(self, problem: Problem, solution: Solution) -> None:
        self._problem = problem
        self._placements = list(solution.placements)
        self._lines = [
            _Line(Timeline(person, day_start_minute=problem.day_start_minute)) for person in problem.people
        ]
        self._guillotine = Guillotine(problem.open_days, day_start_minute=problem.day_start_minute)
        for task_no, placement in enumerate(self._placements):
            if placement is not None:
                line = self._lines[placement.person_no]
                position = line.timeline.position(placement.start_clock)
                line.tasks.append((position, problem.tasks[task_no].minutes, task_no))
                if problem.tasks[task_no].kind == CUT:
                    self._guillotine.take(placement.start_clock, placement.finish_clock)
        for line in self._lines:
            line.tasks.sort()
        self._leaves = [
            leaves_clock(problem, self._placements, volume_no) for volume_no in range(len(problem.volumes))
        ]
        early = [(fetched, cut) for fetched, cut in self._early_spans() if fetched < cut]
        self._fetched = sorted(fetched for fetched, _ in early)
        self._cut = sorted(cut for _, cut in early)

    def move(self) -> Solution:
        """The timetable with every early task as late as it goes."""
        for volume_no in self._latest_first():
            chain = self._problem.volumes[volume_no].task_nos
            for task_no, follower in reversed(list(pairwise(chain))):
                if self._problem.tasks[task_no].kind in EARLY_KINDS:
                    self._move_late(task_no, follower)
        return Solution(placements=tuple(self._placements))

    def _latest_first(self) -> list[int]:
        """Volumes with a date, by the start of the first task after fetching and clearing, latest first."""
        starts: list[tuple[int, int]] = []
        for volume_no, volume in enumerate(self._problem.volumes):
            for task_no in volume.task_nos:
                placement = self._placements[task_no]
                if placement is not None and self._problem.tasks[task_no].kind not in EARLY_KINDS:
                    starts.append((-placement.start_clock, volume_no))
                    break
        return [volume_no for _, volume_no in sorted(starts)]

    def _move_late(self, task_no: int, follower: int) -> None:
        own, after = self._placements[task_no], self._placements[follower]
        minutes = self._problem.tasks[task_no].minutes
        if own is None or after is None or minutes == 0:
            return
        line = self._lines[own.person_no]
        place = bisect_left(line.tasks, (line.timeline.position(own.start_clock), minutes, task_no))
        move = self._latest(own.person_no, place, line.timeline.position(after.start_clock))
        if move is not None:
            moved = [
                (start - minutes, length, other)
                for start, length, other in line.tasks[move.first : move.last]
            ]
            moves = [(other, start) for start, _, other in moved]
            if self._is_calmer(own.person_no, [(task_no, move.position), *moves]):
                line.tasks[move.first : move.last] = moved
                del line.tasks[place]
                insort(line.tasks, (move.position, minutes, task_no))
                for other, start in [*moves, (task_no, move.position)]:
                    self._put(other, own.person_no, start)

    def _is_calmer(self, person_no: int, moves: Sequence[tuple[int, int]]) -> bool:
        """Whether volumes wait less in all once tasks of a person have new places, the early ones counted by finish."""
        gain = 0
        for task_no, start in moves:
            task, own = self._problem.tasks[task_no], self._placements[task_no]
            if own is not None and task.kind in EARLY_KINDS:
                gain += self._lines[person_no].timeline.span(start, task.minutes)[1] - own.finish_clock
        return gain > 0

    def _latest(self, person_no: int, place: int, limit: int) -> _Move | None:
        """The latest place for a task that is finished by working minute `limit`; None: where it is.

        It goes into a person's idle time, or behind tasks that can start so much earlier that they fill the room
        it leaves, or idle time on the way. A task of no minutes is not passed: another could come to lie across it.
        """
        entries = self._lines[person_no].tasks
        start, minutes, _ = entries[place]
        best: _Move | None = None
        end, first = start + minutes, place + 1
        segment: set[int] = set()
        is_open = True
        for later in range(place + 1, min(len(entries), place + 1 + MOST_PASSED)):
            position, length, other = entries[later]
            if min(position, limit) - end >= minutes:
                best = _Move(min(position, limit) - minutes, later, later)
                first, is_open = later, True
                segment.clear()
            end = position + length
            if end > limit:
                return best
            is_open = (
                is_open and length > 0 and self._can_start(other, person_no, position - minutes, segment)
            )
            segment.add(other)
            if is_open:
                best = _Move(end - minutes, first, later + 1)
        last = min(limit, self._problem.people[person_no].minutes)
        if place + 1 + MOST_PASSED >= len(entries) and last - end >= minutes:
            best = _Move(last - minutes, len(entries), len(entries))
        return best

    def _can_start(self, task_no: int, person_no: int, position: int, moving: set[int]) -> bool:
        """Whether a task may start at an earlier minute, with those of the same person that move with it."""
        task = self._problem.tasks[task_no]
        timeline = self._lines[person_no].timeline
        start, finish = timeline.span(position, task.minutes)
        if start < task.first_day_no * MINUTES_PER_DAY:
            return False
        if task.kind == CUT and not self._is_guillotine_free(task_no, start, finish):
            return False
        if task.kind == "fetch" and not self._is_room(task_no, start):
            return False
        for other in task.before:
            before = self._placements[other]
            if other not in moving and before is not None and before.finish_clock > start:
                return False
        return True

    def _early_spans(self) -> Iterator[tuple[int, int]]:
        """Of each volume with a date: when its first task starts, and when its last leaf is cut."""
        for volume, leaves in zip(self._problem.volumes, self._leaves, strict=True):
            first = self._placements[volume.task_nos[0]]
            if first is not None:
                yield first.start_clock, leaves

    def _is_room(self, task_no: int, start: int) -> bool:
        """Whether there is room in the lab for a volume that is fetched earlier than it is."""
        own = self._placements[task_no]
        if own is None or start >= self._leaves[self._problem.volume_of[task_no]]:
            return own is not None
        waiting = bisect_left(self._fetched, own.start_clock) - bisect_right(self._cut, start)
        return waiting < self._problem.room

    def _is_guillotine_free(self, task_no: int, start: int, finish: int) -> bool:
        """Whether the guillotine is free for a cut that comes earlier, on one day and one with cutting as before."""
        own = self._placements[task_no]
        if own is None or start // MINUTES_PER_DAY != own.start_clock // MINUTES_PER_DAY:
            return False
        if (finish - 1) // MINUTES_PER_DAY > (own.finish_clock - 1) // MINUTES_PER_DAY:
            return False
        self._guillotine.give_back(own.start_clock, own.finish_clock)
        is_free = self._guillotine.free_from(start, finish) is None
        self._guillotine.take(own.start_clock, own.finish_clock)
        return is_free

    def _put(self, task_no: int, person_no: int, position: int) -> None:
        task = self._problem.tasks[task_no]
        start, finish = self._lines[person_no].timeline.span(position, task.minutes)
        own = self._placements[task_no]
        if task.kind == "fetch":
            self._count_fetched(task_no, start)
        if task.kind == CUT and own is not None:
            self._guillotine.give_back(own.start_clock, own.finish_clock)
            self._guillotine.take(start, finish)
        self._placements[task_no] = Placement(person_no=person_no, start_clock=start, finish_clock=finish)

    def _count_fetched(self, task_no: int, start: int) -> None:
        """Count a volume that waits for leaves from its new start on, or no more when they are cut by then."""
        own, leaves = self._placements[task_no], self._leaves[self._problem.volume_of[task_no]]
        if own is not None and own.start_clock < leaves:
            self._fetched.remove(own.start_clock)
            self._cut.remove(leaves)
        if start < leaves:
            insort(self._fetched, start)
            insort(self._cut, leaves)


def fetched_late(problem: Problem, solution: Solution) -> Solution:
    """The timetable with volumes fetched and cleared as late as they go; none is back on its shelf later."""
    return Lingering(problem, solution).move()
