"""What is still to come, at prices of time: the least each volume and cut can cost from any half-hour on.

Used to compare timetables that are made up to some moment only. The prices are those of the raised bound, so at the
start the sum is that bound, but for what people's time is worth, and at the end the weighted finish.
"""

from collections.abc import Sequence
from copy import copy

import numpy as np

from pipeline.solve.schedule.ascent import Stand
from pipeline.solve.schedule.capacity import Floats, Ints, kind_numbers, worker_kinds
from pipeline.solve.schedule.chains import Chains
from pipeline.solve.schedule.problem import Placement, Problem
from pipeline.solve.schedule.timeline import Timeline
from pipeline.units import HALF_HOUR_MINUTES

GRID_MINUTES = 15
"""Grid the cheapest chains are looked for on: coarse, since nothing is proven by them."""


class Outlook:
    """Least costs to come at a stand's prices, worked out when first asked for.

    `problem` as given; `finishes`: clock at which each volume would be finished by the raised bound, by volume number.
    """

    def __init__(self, problem: Problem, stand: Stand) -> None:
        self.finishes = stand.finishes
        self.problem = problem
        self._pay_price = 0.0
        kinds = worker_kinds(problem)
        self._chains = Chains(problem, stand.relaxed.clocks, kinds, step=GRID_MINUTES)
        self._chains.price(stand.prices)
        self._clocks: Ints = np.unique(np.concatenate([kind.clocks for kind in kinds]))
        self._kind_of = kind_numbers(problem, kinds)
        self._paid = [
            np.concatenate([[0.0], np.cumsum(np.repeat(price, HALF_HOUR_MINUTES))]) for price in stand.prices
        ]
        self._timelines = [Timeline(p, day_start_minute=problem.day_start_minute) for p in problem.people]
        self._least_pay = [
            min((p.hourly_hundredths for p in problem.people if p.grade >= grade), default=0)
            for grade in problem.least_grades
        ]
        self._lent: dict[int, list[tuple[int, float]]] = {}
        for (volume_no, cut), weight in stand.relaxed.lent.items():
            if weight > 0:
                self._lent.setdefault(volume_no, []).append((cut, weight))
        self._cuts = {cut.task_no: cut for cut in stand.relaxed.cuts}
        self._onward: dict[tuple[int, int, float], Floats] = {}
        self._onward_of_cut: dict[int, Floats] = {}

    def paid(self, person_no: int) -> Floats:
        """Price of a person's time before each of their working minutes, and of all."""
        return self._paid[self._kind_of[person_no]]

    def with_pay(self, share: float) -> "Outlook":
        """The same where pay that cheaper people could spare costs such a share of what people's time is worth."""
        other = copy(self)
        minutes = [person.minutes for person in self.problem.people]
        worth = sum(float(self.paid(no)[-1]) for no in range(len(minutes)))
        pay = sum(n * p.hourly_hundredths for n, p in zip(minutes, self.problem.people, strict=True))
        other._pay_price = share * worth / pay if pay else 0.0
        return other

    def cost_from(self, volume_no: int, clock: int) -> float:
        """Least cost of a volume that is fetched and whose leaves are cut, when worked on from a clock on."""
        done = 1 if len(self.problem.volumes[volume_no].task_nos) > 1 else 0
        return self._least(volume_no, done, self._benefit(volume_no), clock)

    def cost(
        self,
        volume_nos: Sequence[int],
        placements: Sequence[Placement | None],
        positions: Sequence[int],
        clock: int,
    ) -> float:
        """What volumes cost in all when the timetable is made up to a clock.

        `positions`: next free working minute by person.
        """
        volumes = sum(self._volume_cost(no, placements, clock) for no in volume_nos)
        cuts = sum(self._cut_cost(cut, clock) for cut in self._cuts if placements[cut] is None)
        taken = 0.0
        for person_no, position in enumerate(positions):
            now = self._timelines[person_no].position(clock)
            if position > now:
                paid = self.paid(person_no)
                taken += float(paid[position] - paid[now])
        extra_pay = self._extra_pay(volume_nos, placements) if self._pay_price else 0
        return volumes + cuts + taken + self._pay_price * extra_pay

    def _extra_pay(self, volume_nos: Sequence[int], placements: Sequence[Placement | None]) -> int:
        """Pay for what is placed of volumes beyond that of the cheapest who could do it, hundredths x minutes."""
        tasks, people = self.problem.tasks, self.problem.people
        return sum(
            tasks[task_no].minutes
            * (people[placement.person_no].hourly_hundredths - self._least_pay[task_no])
            for no in volume_nos
            for task_no in self.problem.volumes[no].task_nos
            if (placement := placements[task_no]) is not None
        )

    def _volume_cost(self, volume_no: int, placements: Sequence[Placement | None], clock: int) -> float:
        tasks, done, ready = self.problem.volumes[volume_no].task_nos, 0, 0
        for task_no in tasks:
            placement = placements[task_no]
            if placement is None:
                break
            done, ready = done + 1, placement.finish_clock
        if done == len(tasks):
            return self._benefit(volume_no) * ready
        kept = self._benefit(volume_no) - sum(
            weight for cut, weight in self._lent.get(volume_no, ()) if placements[cut] is None
        )
        return self._least(volume_no, done, kept, max(ready, clock))

    def _cut_cost(self, task_no: int, clock: int) -> float:
        cut = self._cuts[task_no]
        if task_no not in self._onward_of_cut:
            onward = self._chains.costs_from([task_no], cut.weight, self._clocks)
            self._onward_of_cut[task_no] = onward[0]
        undone = cut.weight * cut.left_clock(self.problem.end_clock)
        return min(undone, float(self._onward_of_cut[task_no][self._place(clock)])) + cut.after

    def _benefit(self, volume_no: int) -> float:
        return float(self.problem.volumes[volume_no].benefit_millionths)

    def _least(self, volume_no: int, done: int, weight: float, clock: int) -> float:
        """Least cost of a volume's tasks after the first so many, from a clock on; or left undone."""
        key = volume_no, done, weight
        if key not in self._onward:
            tasks = self.problem.volumes[volume_no].task_nos[done:]
            for skipped, onward in self._chains.costs_from(tasks, weight, self._clocks).items():
                self._onward[volume_no, done + skipped, weight] = onward
        return min(weight * self.problem.end_clock, float(self._onward[key][self._place(clock)]))

    def _place(self, clock: int) -> int:
        """The half-hour that ends after a clock; past the last where none does."""
        return int(np.searchsorted(self._clocks, clock - HALF_HOUR_MINUTES, side="right"))
