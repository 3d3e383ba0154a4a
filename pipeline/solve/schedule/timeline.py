"""Free time: one person's working minutes in a row, and the guillotine's."""

from bisect import bisect_left, bisect_right

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
    """The one guillotine: taken from the start of a cut task to its finish, nights included.

    `open_days` are the days on which anybody works, with the longest half-hours: in a gap between two tasks there is
    room for another only where the gap holds as many working minutes.
    """

    def __init__(self, open_days: Person, *, day_start_minute: int) -> None:
        self._open = Timeline(open_days, day_start_minute=day_start_minute)
        self._last = open_days.minutes
        self._starts: list[int] = []
        self._finishes: list[int] = []
        self._rooms: list[int] = []

    def open_from(self, clock: int, minutes: int) -> int | None:
        """Earliest clock, not before the given one, in a gap with room for a task; None when there is none."""
        place = bisect_right(self._starts, clock)
        if place:
            clock = max(clock, self._finishes[place - 1])
        if self._room(clock, place) >= minutes:
            return clock
        for number in range(place, len(self._rooms)):
            if self._rooms[number] >= minutes:
                return self._finishes[number]
        return None

    def free_from(self, start_clock: int, finish_clock: int) -> int | None:
        """None when the span is free, else the clock at which the task in the way is finished."""
        place = bisect_left(self._starts, finish_clock)
        if place > 0 and self._finishes[place - 1] > start_clock:
            return self._finishes[place - 1]
        return None

    def take(self, start_clock: int, finish_clock: int) -> None:
        """Take a free span."""
        if finish_clock > start_clock:
            place = bisect_left(self._starts, start_clock)
            self._starts.insert(place, start_clock)
            self._finishes.insert(place, finish_clock)
            self._rooms.insert(place, self._room(finish_clock, place + 1))
            self._measure_before(place)

    def give_back(self, start_clock: int, finish_clock: int) -> None:
        """Undo a `take`."""
        if finish_clock > start_clock:
            place = bisect_left(self._starts, start_clock)
            del self._starts[place], self._finishes[place], self._rooms[place]
            self._measure_before(place)

    def _measure_before(self, place: int) -> None:
        """Measure the gap before a place again."""
        if place > 0:
            self._rooms[place - 1] = self._room(self._finishes[place - 1], place)

    def _room(self, clock: int, place: int) -> int:
        """Working minutes from a clock to the start of the task at a place, or to the end."""
        end = self._open.position(self._starts[place]) if place < len(self._starts) else self._last
        return end - self._open.position(clock)
