"""A timetable made week by week: in each the best of many tries, given all that went before.

A heuristic. In a try one volume is valued higher or lower than before; what is kept is the week that leaves the least
cost to come, at prices of time. A change early on shifts all that follows, so that a whole timetable says little about
one change; the cost to come says it at the end of the week.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random

from pipeline.solve.schedule.densities import densities_in_order
from pipeline.solve.schedule.dispatch import Dispatch, Style
from pipeline.solve.schedule.outlook import Outlook
from pipeline.solve.schedule.problem import Solution
from pipeline.units import DAYS_PER_WEEK, MINUTES_PER_DAY

WEEK_MINUTES = DAYS_PER_WEEK * MINUTES_PER_DAY
FACTORS = (0.7, 0.85, 1.2, 1.4)
"""What a volume is valued at in a try against before, drawn."""
TRIES_IN_A_ROW = 25
"""Tries that build on each other; then the week is begun again, which finds more than going on."""


@dataclass(frozen=True)
class _Week:
    """A run up to the end of a week, the cost then, and the volumes valued otherwise than their order says."""

    run: Dispatch
    cost: float
    valued: Mapping[int, float]


class ByWeek:
    """One such timetable of the given volumes. The styles take turns whenever a week is begun again."""

    def __init__(
        self,
        order: Sequence[int],
        styles: Sequence[Style],
        volume_nos: Sequence[int],
        outlook: Outlook,
    ) -> None:
        self._problem = outlook.problem
        self._densities = densities_in_order(outlook.problem, order)
        self._styles = styles
        self._volume_nos = sorted(volume_nos)
        self._outlook = outlook

    def run(self, *, seed: int, tries: int) -> Solution:
        """The timetable after so many tries a week. Deterministic: the tries are drawn by the seed."""
        random = Random(seed)
        run = Dispatch(self._problem, self._volume_nos, self._densities, self._styles[0])
        clock = 0
        while not run.is_finished:
            clock += WEEK_MINUTES
            weeks = self._weeks(run, clock, random, tries)
            run = min(weeks, key=lambda week: week.cost).run
        return run.run()

    def _weeks(self, start: Dispatch, end_clock: int, random: Random, tries: int) -> Iterator[_Week]:
        """The best of each row of tries up to a clock, as many rows as there are styles at least."""
        rows = max(len(self._styles), -(-tries // TRIES_IN_A_ROW))
        open_nos = [
            no for no in self._volume_nos if start.placements[self._problem.volumes[no].task_nos[-1]] is None
        ]
        for row in range(rows):
            style = self._styles[row % len(self._styles)]
            best = self._gone_on(start.copy(style), {}, end_clock, open_nos)
            for _ in range(tries // rows):
                worked = self._worked_on(open_nos, best.run, end_clock - WEEK_MINUTES)
                if not worked:
                    break
                no = random.choice(worked)
                valued = {
                    **best.valued,
                    no: best.valued.get(no, self._densities[no]) * random.choice(FACTORS),
                }
                tried = self._gone_on(start.copy(style), valued, end_clock, open_nos)
                best = tried if tried.cost < best.cost else best
            best.run.value_anew({no: self._densities[no] for no in best.valued})
            yield best

    def _gone_on(
        self, run: Dispatch, valued: Mapping[int, float], end_clock: int, open_nos: Sequence[int]
    ) -> _Week:
        run.value_anew(valued)
        run.run_until(end_clock)
        cost = self._outlook.cost(open_nos, run.placements, run.positions, end_clock)
        return _Week(run, cost, valued)

    def _worked_on(self, open_nos: Sequence[int], run: Dispatch, clock: int) -> list[int]:
        """Volumes that anything but fetching is done for after a clock."""
        return [
            no
            for no in open_nos
            if any(
                placement is not None and placement.finish_clock > clock
                for placement in (run.placements[task] for task in self._problem.volumes[no].task_nos[1:])
            )
        ]
