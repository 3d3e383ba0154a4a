"""Free time: one person's working minutes in a row, and the guillotine's."""

from bisect import bisect_left, bisect_right, insort

from pipeline.solve.schedule.problem import Person
from pipeline.units import HALF_HOUR_MINUTES, MINUTES_PER_DAY


class Timeline:
    """One person's free time, in working minutes counted from the first: nights and days off take no room.

    A task takes a run of working minutes, so it may run on over days and nothing else lies in between.
    Gaps shorter than `least_minutes` are forgotten, which keeps the search short.
    """

    def __init__(self, person: Person, *, day_start_minute: int, least_minutes: int = 1) -> None:
        self.person = person
        self._least_minutes = max(1, least_minutes)
        self._opens = [day_no * MINUTES_PER_DAY + day_start_minute for day_no, _ in person.days]
        self._before = [0]
        for _, half_hours in person.days:
            self._before.append(self._before[-1] + half_hours * HALF_HOUR_MINUTES)
        self._starts = [0] if person.minutes else []
        self._ends = [person.minutes] if person.minutes else []

    def position(self, clock: int) -> int:
        """First working minute that starts at `clock` or later."""
        day = bisect_right(self._opens, clock) - 1
        if day < 0:
            return 0
        return min(self._before[day] + clock - self._opens[day], self._before[day + 1])

    def starts_at(self, position: int) -> int:
        """Clock at which a working minute starts."""
        day = bisect_right(self._before, position) - 1
        return self._opens[day] + position - self._before[day]

    def ends_at(self, position: int) -> int:
        """Clock at which the working minute before `position` ends."""
        day = bisect_left(self._before, position) - 1
        return self._opens[day] + position - self._before[day]

    def span(self, position: int, minutes: int) -> tuple[int, int]:
        """Clocks of start and finish of a task that takes `minutes` from `position` on."""
        start = self.starts_at(position)
        return start, self.ends_at(position + minutes) if minutes else start

    def find(self, ready_clock: int, minutes: int) -> int | None:
        """Earliest free position for a task not before a clock, or None. It is not taken yet."""
        ready = self.position(ready_clock)
        needed = max(1, minutes)
        for gap in range(bisect_right(self._ends, ready), len(self._ends)):
            position = max(ready, self._starts[gap])
            if position + needed <= self._ends[gap]:
                return position
        return None

    def take(self, position: int, minutes: int) -> None:
        """Take a run of free working minutes. A task of no minutes still parts its gap: nothing runs across it."""
        gap = bisect_right(self._starts, position) - 1
        if minutes == 0 and (gap < 0 or position > self._ends[gap]):
            return  # between two tasks, or in a gap too short to be remembered: there is nothing to part
        start, end = self._starts[gap], self._ends[gap]
        left = [(start, position)] if position - start >= self._least_minutes else []
        right = [(position + minutes, end)] if end - position - minutes >= self._least_minutes else []
        self._starts[gap : gap + 1] = [first for first, _ in left + right]
        self._ends[gap : gap + 1] = [last for _, last in left + right]

    def give_back(self, position: int, minutes: int) -> None:
        """Undo a `take`: the minutes are free again, joined to the gaps they touch."""
        start, end = position, position + minutes
        gap = bisect_left(self._starts, position)
        if gap < len(self._starts) and self._starts[gap] == end:
            end = self._ends[gap]
            del self._starts[gap], self._ends[gap]
        if gap > 0 and self._ends[gap - 1] == start:
            self._ends[gap - 1] = end
            return
        self._starts.insert(gap, start)
        self._ends.insert(gap, end)


class Guillotine:
    """The one guillotine: taken from the start of a cut task to its finish, nights included."""

    def __init__(self) -> None:
        self._busy: list[tuple[int, int]] = []

    def free_from(self, start_clock: int, finish_clock: int) -> int | None:
        """None when the span is free, else the clock at which the task in the way is finished."""
        place = bisect_left(self._busy, (finish_clock, 0))
        if place > 0 and self._busy[place - 1][1] > start_clock:
            return self._busy[place - 1][1]
        return None

    def take(self, start_clock: int, finish_clock: int) -> None:
        """Take a free span."""
        if finish_clock > start_clock:
            insort(self._busy, (start_clock, finish_clock))

    def give_back(self, start_clock: int, finish_clock: int) -> None:
        """Undo a `take`."""
        if finish_clock > start_clock:
            self._busy.remove((start_clock, finish_clock))
