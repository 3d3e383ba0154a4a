"""List scheduling hour by hour: whoever is free takes the best task there is for them.

A heuristic. Time runs forward; nobody who is at work waits while there is something they may do. Volumes that are
not finished by the end are left to the caller, who dates a volume whole or not at all.
"""

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from heapq import heapify, heappop, heappush, nsmallest
from itertools import takewhile
from math import inf

from pipeline.solve.schedule.capacity import TimePrices
from pipeline.solve.schedule.densities import block_density, users_of_cuts
from pipeline.solve.schedule.lookahead import MOST_OFFERED, Lookahead, Offer
from pipeline.solve.schedule.problem import CUT, SEGMENT_KINDS, Placement, Problem, Solution
from pipeline.solve.schedule.queues import Queue, Queues
from pipeline.solve.schedule.timeline import Timeline
from pipeline.units import MINUTES_PER_DAY

EARLY_SHARE = 0.3
"""What fetching and clearing count for while the volume's leaves are not cut: work for idle hours."""
SAME_DAY_FACTOR = 2.0
"""What a cut counts for on a day on which cutting is done already, against one on another day."""
LEAST_WAIT_MINUTES = 200
MOST_WAIT_MINUTES = 3000
"""What leaving a task to someone with less skill costs in time, at least and at most, whenever they are free."""
CUT_DONE, READY, FREE = range(3)

_SHARED = {"_timelines", "_followers", "_minutes", "_volume_of", "_cut_users", "_bench_grades"}
"""What never changes in a run, and so is shared by its copies."""


@dataclass(frozen=True, kw_only=True)
class Style:
    """How people choose.

    `thrift` is the share of its value a task keeps for each grade of skill it does not need. With `prices` it also
    loses what the person's time is worth above that of someone with just the skill, spread over the wait for them.
    `cut_factor` is what cutting counts for against the work it unlocks: the best block of volumes that wait for it
    with the cut's own minutes, or with `is_by_first` the first of those volumes alone. With `ahead` a volume is begun
    with a view to the days that follow.
    """

    thrift: float
    cut_factor: float = 1.2
    prices: TimePrices | None = None
    is_by_first: bool = False
    ahead: Lookahead | None = None


class Dispatch:
    """One run over the given volumes. `densities` says by volume number what a minute of its work is worth.

    `placements` by task number, and `positions`: the next free working minute by person, as far as it is run.
    """

    def __init__(
        self, problem: Problem, volume_nos: Sequence[int], densities: Sequence[float], style: Style
    ) -> None:
        self._problem = problem
        self._style = style
        self._volume_of = {task: no for no in volume_nos for task in problem.volumes[no].task_nos}
        self._minutes = {no: problem.volume_minutes[no] for no in volume_nos}
        self._left = dict(self._minutes)
        self._density = {no: densities[no] for no in volume_nos}
        self._cut_users = users_of_cuts(problem, volume_nos)
        self._cuts_left = {no: len(problem.volume_cuts[no]) for no in volume_nos}
        self._cut_values = {cut: self._cut_value(cut) for cut in self._cut_users}
        self._timelines = [Timeline(p, day_start_minute=problem.day_start_minute) for p in problem.people]
        self._free_clocks = [problem.end_clock] * len(problem.people)
        self.positions = [0] * len(problem.people)
        self.placements: list[Placement | None] = [None] * len(problem.tasks)
        self._owners: dict[int, int] = {}
        grades = 1 + max((person.grade for person in problem.people), default=0)
        self._least_skill = min((person.grade for person in problem.people), default=0)
        self._bench_grades = {no: self._bench_grade(no) for no in volume_nos}
        self._queues = Queues(
            [[] for _ in range(grades)], [[] for _ in range(grades)], [[] for _ in problem.people]
        )
        self._waiting = self._guillotine_clock = 0
        self._idle: set[int] = set()
        self._called: set[int] = set()
        self._queued: set[int] = set()
        self._followers: dict[int, list[int]] = {}
        self._waits: dict[int, int] = {}
        self._ready_clock: dict[int, int] = {}
        self._events: list[tuple[int, int, int]] = []
        self._prepare()

    def run(self) -> Solution:
        """Placements of everything that found a place."""
        self.run_until(inf)
        return Solution(placements=tuple(self.placements))

    def run_until(self, end_clock: float) -> None:
        """Go on with what begins before a clock."""
        while self._events and self._events[0][0] < end_clock:
            clock = self._events[0][0]
            while self._events and self._events[0][0] == clock:
                self._take_event(heappop(self._events))
            for person_no in sorted(self._idle, key=self._rank):
                self._employ(person_no, clock)

    @property
    def is_finished(self) -> bool:
        """Whether there is nothing more to do or nobody to do it."""
        return not self._events

    def copy(self, style: Style) -> "Dispatch":
        """The same run as far as it is, to be gone on with in a style of its own."""
        other = copy(self)
        other._style = style
        for name, value in vars(self).items():
            if isinstance(value, list | dict | set | Queues) and name not in _SHARED:
                setattr(other, name, value.copy())
        return other

    def value_anew(self, densities: Mapping[int, float]) -> None:
        """Let a minute of some volumes' work be worth something else from now on."""
        self._density.update(densities)
        for no in densities:
            for cut in self._problem.volume_cuts[no]:
                self._cut_values[cut] = self._cut_value(cut)
        for queue in self._queues.all():
            queue[:] = [(-self._value(task_no), task_no) for _, task_no in queue]
            heapify(queue)

    def _prepare(self) -> None:
        tasks = self._problem.tasks
        for task_no in sorted({*self._volume_of, *self._cut_users}):
            before = tasks[task_no].before
            self._waits[task_no] = len(before)
            self._ready_clock[task_no] = tasks[task_no].first_day_no * MINUTES_PER_DAY
            for other in before:
                self._followers.setdefault(other, []).append(task_no)
            if not before:
                self._events.append((self._ready_clock[task_no], READY, task_no))
        for person_no, person in enumerate(self._problem.people):
            if person.minutes:
                self._free_clocks[person_no] = self._timelines[person_no].starts_at(0)
                self._events.append((self._free_clocks[person_no], FREE, person_no))
        heapify(self._events)

    def _rank(self, person_no: int) -> tuple[int, str]:
        """Least flexible first."""
        person = self._problem.people[person_no]
        return person.grade, person.staff_id

    def _take_event(self, event: tuple[int, int, int]) -> None:
        _, kind, number = event
        if kind == READY:
            self._queue(number)
        elif kind == FREE:
            self._called.discard(number)
            self._idle.add(number)
        else:
            for volume_no in self._cut_users[number]:
                self._cuts_left[volume_no] -= 1
                if self._cuts_left[volume_no] == 0:
                    self._waiting -= self._is_fetched(volume_no)
                    self._requeue(volume_no)

    def _is_fetched(self, volume_no: int) -> bool:
        return self.placements[self._problem.volumes[volume_no].task_nos[0]] is not None

    def _requeue(self, volume_no: int) -> None:
        """Fetching or clearing that was early is so no more, now that the leaves are cut."""
        for task_no in self._problem.volumes[volume_no].task_nos:
            if self.placements[task_no] is None:
                if task_no in self._queued and self._problem.tasks[task_no].kind in ("fetch", "remove"):
                    heappush(self._queue_of(task_no), (-self._value(task_no), task_no))
                return

    def _queue(self, task_no: int) -> None:
        """Offer a task that may start, unless nobody has the skill."""
        if self._least_grade(task_no) < len(self._queues.graded):
            self._queued.add(task_no)
            heappush(self._queue_of(task_no), (-self._value(task_no), task_no))

    def _queue_of(self, task_no: int) -> Queue:
        kind, grade = self._problem.tasks[task_no].kind, self._least_grade(task_no)
        if kind == CUT:
            return self._queues.cuts
        volume_no = self._volume_of[task_no]
        is_early = self._cuts_left[volume_no] > 0
        if kind == "fetch" and is_early:
            return self._queues.early_fetching
        if kind == "remove" and is_early:
            return self._queues.early_clearing[grade]
        owner = self._owners.get(volume_no)
        if kind in SEGMENT_KINDS and owner is not None and self._problem.people[owner].grade >= grade:
            return self._queues.owned[owner]
        return self._queues.graded[grade]

    def _bench_grade(self, volume_no: int) -> int:
        """Least grade for a volume's first task at the bench; 0 where it has none."""
        bench = (
            no
            for no in self._problem.volumes[volume_no].task_nos
            if self._problem.tasks[no].kind in SEGMENT_KINDS
        )
        return next((self._least_grade(no) for no in bench), 0)

    def _least_grade(self, task_no: int) -> int:
        return self._problem.least_grades[task_no]

    def _cut_value(self, cut: int) -> float:
        """Value of a minute on a cut, for the work it unlocks."""
        users = self._cut_users[cut]
        if self._style.is_by_first:
            return max((self._density[no] for no in users), default=0.0)
        return block_density(self._problem, cut, users, self._density)

    def _value(self, task_no: int) -> float:
        """Value of a minute on a task: of the volume per minute still to be worked on it."""
        if self._problem.tasks[task_no].kind == CUT:
            return self._cut_values[task_no] * self._style.cut_factor
        no = self._volume_of[task_no]
        return self._density[no] * self._minutes[no] / max(1, self._left[no])

    def _employ(self, person_no: int, clock: int) -> None:
        """Give an idle person a task, or send them home until their next day; else they stay idle."""
        timeline = self._timelines[person_no]
        position = max(self.positions[person_no], timeline.position(clock))
        if position >= self._problem.people[person_no].minutes:
            self._idle.discard(person_no)
            return
        start = timeline.starts_at(position)
        if start > clock:
            self._idle.discard(person_no)
            self._free_clocks[person_no] = start
            heappush(self._events, (start, FREE, person_no))
            return
        queue = self._choose(person_no, position, clock)
        if queue is not None:
            self._idle.discard(person_no)
            self._place(self._taken(queue, person_no, position), person_no, position)
        elif self._guillotine_clock <= clock and self._queues.cuts:
            self._come_back(person_no, position)

    def _come_back(self, person_no: int, position: int) -> None:
        """Offer cuts again the next morning to someone whose day was too short for one."""
        morning = position + self._timelines[person_no].left_of_day(position)
        if morning < self._problem.people[person_no].minutes and person_no not in self._called:
            self._called.add(person_no)
            heappush(self._events, (self._timelines[person_no].starts_at(morning), FREE, person_no))

    def _is_cut_today(self, person_no: int, position: int) -> bool:
        """Whether a person's next cut is finished the same day, or started in the morning when none is long enough.

        A cut left over night keeps everyone else from the guillotine until its cutter is back.
        """
        if not self._queues.cuts:
            return False
        timeline = self._timelines[person_no]
        minutes = self._problem.tasks[self._queues.cuts[0][1]].minutes
        left = timeline.left_of_day(position)
        return minutes <= left or left == timeline.day_minutes(position)

    def _choose(self, person_no: int, position: int, clock: int) -> Queue | None:
        """The queue whose first task this person should take and can finish in what is left of their time."""
        left = self._problem.people[person_no].minutes - position
        best: Queue | None = None
        best_value = -inf
        for queue, share, loss in self._offers(person_no, position, clock):
            worth, task_no = queue[0]
            value = -worth * share - loss
            if value > best_value and max(1, self._problem.tasks[task_no].minutes) <= left:
                best, best_value = queue, value
        return best

    def _taken(self, queue: Queue, person_no: int, position: int) -> int:
        """The first task of a queue; if it begins a volume, the one to begin with a view to the days that follow."""
        ahead, grade = self._style.ahead, self._problem.people[person_no].grade
        if ahead is None or not self._begins(queue[0][1], grade):
            return heappop(queue)[1]
        left = self._problem.people[person_no].minutes - position
        open_to_them = (
            (*entry, queue)
            for queue in self._queues.graded[grade::-1]
            for entry in queue
            if self._begins(entry[1], grade) and self._problem.tasks[entry[1]].minutes <= left
        )
        offered = nsmallest(MOST_OFFERED, open_to_them, key=lambda one: one[:2])
        offers = tuple(
            Offer(self._volume_of[task_no], self._minutes_in_a_row(task_no, grade))
            for _, task_no, _ in offered
        )
        _, task_no, queue = offered[ahead.first(person_no, position, offers)]
        queue[:] = [entry for entry in queue if entry[1] != task_no]
        heapify(queue)
        return task_no

    def _begins(self, task_no: int, grade: int) -> bool:
        """Whether a task is the first at the bench of a volume whose leaves are cut.

        Who has the least skill of all fetches what they interleave themselves; their fetching is it then.
        """
        no, kind = self._volume_of.get(task_no), self._problem.tasks[task_no].kind
        if no is None or self._cuts_left[no] or no in self._owners or self.placements[task_no] is not None:
            return False
        if kind == "fetch":
            return grade == self._least_skill and self._bench_grades[no] <= grade
        return kind in SEGMENT_KINDS

    def _minutes_in_a_row(self, task_no: int, grade: int) -> int:
        """Minutes of a volume's tasks from one on that someone of a grade may do before handing over."""
        tasks = self._problem.volumes[self._volume_of[task_no]].task_nos
        rest = tasks[tasks.index(task_no) :]
        own = takewhile(lambda other: self._least_grade(other) <= grade, rest)
        return sum(self._problem.tasks[other].minutes for other in own)

    def _offers(self, person_no: int, position: int, clock: int) -> Iterator[tuple[Queue, float, float]]:
        """Queues with a task for a person in the order of preference, share of its value each keeps, and loss."""
        queues, grade = self._queues, self._problem.people[person_no].grade
        if queues.owned[person_no]:
            yield queues.owned[person_no], 1.0, 0.0
        is_cut_today = self._guillotine_clock <= clock and self._is_cut_today(person_no, position)
        open_to_all = [(queues.cuts, self._cut_share(clock))] if is_cut_today else []
        open_to_all += [(queue, 1.0) for queue in queues.graded[grade::-1]]
        open_to_all += [(self._still_early(queue), EARLY_SHARE) for queue in queues.early_clearing[grade::-1]]
        if self._waiting < self._problem.room:
            open_to_all.append((self._still_early(queues.early_fetching), EARLY_SHARE))
        for queue, share in open_to_all:
            least = self._least_grade(queue[0][1]) if queue else grade + 1
            if least <= grade:
                loss = self._loss(clock, grade=grade, least=least)
                yield queue, share * self._style.thrift ** (grade - least), loss

    def _cut_share(self, clock: int) -> float:
        """What a cut counts for: more on a day on which the guillotine is set up already."""
        is_set_up = self._guillotine_clock // MINUTES_PER_DAY == clock // MINUTES_PER_DAY
        return SAME_DAY_FACTOR if is_set_up else 1.0

    def _loss(self, clock: int, *, grade: int, least: int) -> float:
        """Value per minute lost by spending a person's time on work that needs less skill."""
        if self._style.prices is None or least == grade:
            return 0.0
        free = min(
            (self._free_clocks[no] for no, p in enumerate(self._problem.people) if least <= p.grade < grade),
            default=inf,
        )
        wait = min(max(free - clock, LEAST_WAIT_MINUTES), MOST_WAIT_MINUTES)
        return self._style.prices.premium(clock, grade=grade, least=least) / wait

    def _still_early(self, queue: Queue) -> Queue:
        while queue and (
            self.placements[queue[0][1]] is not None or self._cuts_left[self._volume_of[queue[0][1]]] == 0
        ):
            heappop(queue)
        return queue

    def _place(self, task_no: int, person_no: int, position: int) -> None:
        task = self._problem.tasks[task_no]
        start, finish = self._timelines[person_no].span(position, task.minutes)
        placement = Placement(person_no=person_no, start_clock=start, finish_clock=finish)
        self.placements[task_no] = placement
        self.positions[person_no] = position + task.minutes
        if self.positions[person_no] < self._problem.people[person_no].minutes:
            free = self._timelines[person_no].starts_at(self.positions[person_no])
            self._free_clocks[person_no] = free
            heappush(self._events, (free, FREE, person_no))
        else:
            self._free_clocks[person_no] = self._problem.end_clock
        if task.kind == CUT:
            self._guillotine_clock = finish
            heappush(self._events, (finish, CUT_DONE, task_no))
        else:
            self._work_on_volume(task_no, person_no)
        for follower in self._followers.get(task_no, ()):
            self._waits[follower] -= 1
            self._ready_clock[follower] = max(self._ready_clock[follower], finish)
            if self._waits[follower] == 0:
                heappush(self._events, (self._ready_clock[follower], READY, follower))

    def _work_on_volume(self, task_no: int, person_no: int) -> None:
        task, no = self._problem.tasks[task_no], self._volume_of[task_no]
        self._left[no] -= task.minutes
        self._waiting += task.kind == "fetch" and self._cuts_left[no] > 0
        if task.kind in SEGMENT_KINDS:
            self._owners[no] = person_no
