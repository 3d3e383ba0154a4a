"""The timetable done again with other task times: who does what stays, the clock moves.

Everyone works off their own list in the planned order; a task starts when its person is free, what it waits for is
finished, its delivery is there and, for cutting, the guillotine is free. Who would have to wait takes the next tasks
of their list that fit into the wait. Nobody takes over another's work: a lab that plans anew when things slip does
better. All cases are worked side by side; only tasks are gone through.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.solve.schedule.problem import Person
from pipeline.solve.schedule.times import Floats, TaskTimes
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY

WAITS_KEPT = 3
"""Waits of a person that are remembered for later tasks to fill, the longest ones."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """A dated task in the planned order: who, planned minutes, rates, what it waits for (numbers of lines before)."""

    person_no: int
    minutes: int
    parts: tuple[tuple[int, float], ...]
    before: tuple[int, ...] = ()
    first_day_no: int = 0
    is_cut: bool = False


@dataclass(frozen=True)
class Finishes:
    """Clocks by case: the end of all work, and of each person's; infinite where no day looked at is late enough.

    A person without work has none: minus infinity.
    """

    all_work: Floats
    by_person: Floats


class WorkingTime:
    """One person's working minutes counted from the first, for many cases at once."""

    def __init__(self, person: Person, *, day_start_minute: int) -> None:
        days = np.array([day_no for day_no, _ in person.days], dtype=np.int64)
        minutes = np.array([half_hours for _, half_hours in person.days], dtype=np.int64) * HALF_HOUR_MINUTES
        self._opens = days * MINUTES_PER_DAY + day_start_minute
        self._before = np.concatenate([[0], np.cumsum(minutes)])

    def position(self, clocks: Floats) -> Floats:
        """First working minute that starts at each clock or later; infinite where there is none."""
        day = np.searchsorted(self._opens, clocks, side="right") - 1
        inside = self._before[day] + clocks - self._opens[day]
        found: Floats = np.where(day < 0, 0.0, np.minimum(inside, self._before[day + 1]))
        return np.where(found >= self._before[-1], np.inf, found)

    def ends_at(self, positions: Floats) -> Floats:
        """Clock at which the working minute before each position ends; infinite beyond the days known."""
        day = np.clip(np.searchsorted(self._before, positions, side="left") - 1, 0, len(self._opens) - 1)
        ends: Floats = self._opens[day] + positions - self._before[day]
        return np.where(positions > self._before[-1], np.inf, ends)


class WorkList:
    """What one person has worked off so far, by case: the end of it, and waits in it that may still be filled."""

    def __init__(self, cases: int) -> None:
        self.end = np.zeros(cases)
        self._all = np.arange(cases)
        self._waits_start = np.zeros((WAITS_KEPT, cases))
        self._waits_end = np.zeros((WAITS_KEPT, cases))

    def work(self, ready: Floats, minutes: Floats) -> Floats:
        """Do a task as early as may be, not before `ready`. Gives the working minute it ends before."""
        starts = np.maximum(self._waits_start, ready)
        fits = starts + minutes <= self._waits_end
        if not fits.any():
            return self._append(ready, minutes)
        starts[~fits] = np.inf
        wait = starts.argmin(axis=0)
        fills = fits[wait, self._all]
        start = starts[wait, self._all]
        finish = np.where(fills, start + minutes, 0.0)
        self._shorten(wait, fills, start, finish)
        appended = self._append(np.where(fills, self.end, ready), np.where(fills, 0.0, minutes))
        return np.where(fills, finish, appended)

    def _shorten(self, wait: np.ndarray, fills: np.ndarray, start: Floats, finish: Floats) -> None:
        """Of a wait that is partly filled the longer rest is kept."""
        cases = self._all[fills]
        wait, start, finish = wait[fills], start[fills], finish[fills]
        first, last = self._waits_start[wait, cases], self._waits_end[wait, cases]
        keeps_late = last - finish >= start - first
        self._waits_start[wait, cases] = np.where(keeps_late, finish, first)
        self._waits_end[wait, cases] = np.where(keeps_late, last, start)

    def _append(self, ready: Floats, minutes: Floats) -> Floats:
        start = np.maximum(self.end, ready)
        waits = (start > self.end) & np.isfinite(start)
        if waits.any():
            lengths = self._waits_end - self._waits_start
            shortest = lengths.argmin(axis=0)
            longer = waits & (start - self.end > lengths[shortest, self._all])
            cases, shortest = self._all[longer], shortest[longer]
            self._waits_start[shortest, cases] = self.end[longer]
            self._waits_end[shortest, cases] = start[longer]
        self.end = start + minutes
        return self.end


class Replay:
    """The lines worked off one after the other; finishes nobody waits for any more are forgotten."""

    def __init__(
        self, lines: Sequence[Line], people: Sequence[Person], times: TaskTimes, *, day_start_minute: int
    ) -> None:
        self._lines = lines
        self._times = times
        self._working = [WorkingTime(person, day_start_minute=day_start_minute) for person in people]
        self._lists = [WorkList(times.cases) for _ in people]
        self._awaited = Counter(before for line in lines for before in line.before)
        self._finished: dict[int, Floats] = {}
        self._guillotine = np.zeros(times.cases)

    def run(self) -> Finishes:
        """Work off every line, all cases at once."""
        for number, line in enumerate(self._lines):
            ready = self._ready(line)
            minutes = self._times.minutes(line.minutes, line.parts, line.person_no)
            finish = self._lists[line.person_no].work(ready, minutes)
            if line.is_cut:
                self._guillotine = self._working[line.person_no].ends_at(finish)
            if self._awaited[number]:
                self._finished[number] = finish
        by_person = np.full((len(self._lists), self._times.cases), -np.inf)
        for person_no in sorted({line.person_no for line in self._lines}):
            by_person[person_no] = self._working[person_no].ends_at(self._lists[person_no].end)
        return Finishes(by_person.max(axis=0, initial=-np.inf), by_person)

    def _ready(self, line: Line) -> Floats:
        """The person's working minute from which a line can be done, by case."""
        working = self._working[line.person_no]
        ready = np.zeros(self._times.cases)
        clock = np.full(self._times.cases, float(line.first_day_no * MINUTES_PER_DAY))
        is_held = line.first_day_no > 0
        for before in line.before:
            other = self._lines[before].person_no
            if other == line.person_no:
                ready = np.maximum(ready, self._finished[before])
            else:
                clock = np.maximum(clock, self._working[other].ends_at(self._finished[before]))
                is_held = True
            self._awaited[before] -= 1
            if not self._awaited[before]:
                del self._finished[before]
        if line.is_cut:
            clock, is_held = np.maximum(clock, self._guillotine), True
        return np.maximum(ready, working.position(clock)) if is_held else ready


def replay(
    lines: Sequence[Line], people: Sequence[Person], times: TaskTimes, *, day_start_minute: int
) -> Finishes:
    """When all work and each person's ends, by case. `people` have the days that are looked at."""
    return Replay(lines, people, times, day_start_minute=day_start_minute).run()
