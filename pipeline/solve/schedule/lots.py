"""The timetable relaxed into lots: minutes of one skill that anyone able may share, from a first day on.

What stays true of a volume's finish C, whoever works on it when, is a sum over its lots: C is at least the mean
moment of all its minutes plus half of them, since no two are worked at once; the same holds of the minutes from
interleaving on alone, and of those after the check alone; and C is at least the mean moment of a cut it waits for
plus half the cut and all minutes from interleaving on. Any split of a volume's weight over these is a bound.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.solve.schedule.baseline import EarliestClocks, earliest_clocks, earliest_finish
from pipeline.solve.schedule.problem import Problem, Volume
from pipeline.units import MINUTES_PER_DAY

EARLY, BENCH, AFTER = range(3)
"""Parts of a volume's work: before interleaving, interleaving and check, after."""
PART_OF_KIND = {
    "fetch": EARLY,
    "remove": EARLY,
    "interleave": BENCH,
    "check": BENCH,
    "enclose": AFTER,
    "return": AFTER,
}


@dataclass(frozen=True, kw_only=True)
class Lot:
    """Minutes of one part and skill of a volume, and the first day they can be worked."""

    part: int
    grade: int
    first_day_no: int
    minutes: int


Lent = Mapping[tuple[int, int], float]
"""Weight that volumes lend to cuts they wait for, by (volume_no, task_no of the cut)."""


@dataclass(frozen=True, kw_only=True)
class CutLot:
    """A cut with the weight volumes lend it; `extra` is their weight x minutes that follow the cut's mean moment."""

    task_no: int
    lot: Lot
    weight: float
    extra: float
    longest_extra: float

    @property
    def after(self) -> float:
        """The weight x minutes that follow the cut's end: what it costs beyond weight x finish."""
        return self.extra - self.weight * self.lot.minutes / 2

    def left_clock(self, end_clock: int) -> float:
        """What it counts from when left undone: so early that what follows fits before the campaign's end."""
        return end_clock - self.longest_extra + self.lot.minutes / 2


@dataclass(frozen=True, kw_only=True)
class VolumeLots:
    """A volume with the weight it keeps, its lots, and the clock before which it cannot be finished."""

    volume_no: int
    weight: float
    lots: tuple[Lot, ...]
    path_clock: int

    def minutes(self, first_part: int) -> int:
        """Minutes of its lots from a part on."""
        return sum(lot.minutes for lot in self.lots if lot.part >= first_part)


@dataclass(frozen=True, kw_only=True)
class Relaxed:
    """All lots, and the critical path they rest on.

    `fixed` is the weight x clock of volumes that nobody can finish inside the campaign; `lent` what volumes lend.
    """

    lent: Lent
    cuts: tuple[CutLot, ...]
    volumes: tuple[VolumeLots, ...]
    fixed: float
    clocks: EarliestClocks


def relax(problem: Problem) -> Relaxed:
    """Lots of every volume with benefit that could be finished inside the campaign, and of the cutting."""
    clocks = earliest_clocks(problem)
    return relax_with(problem, clocks, _lend_to_cuts(problem, clocks))


def relax_with(problem: Problem, clocks: EarliestClocks, lent: Lent) -> Relaxed:
    """The same where volumes lend as given, each no more than it has. Any lending is a bound."""
    weights = weights_of(problem, clocks)
    fixed = sum(
        float(volume.benefit_millionths) * problem.end_clock
        for volume_no, volume in enumerate(problem.volumes)
        if volume_no not in weights
    )
    lenders: dict[int, dict[int, float]] = {}
    for (volume_no, cut), weight in lent.items():
        if weight > 0:
            lenders.setdefault(cut, {})[volume_no] = weight
            weights[volume_no] -= weight
    return Relaxed(
        lent=lent,
        cuts=tuple(_cut_lot(problem, clocks, cut, lenders[cut]) for cut in sorted(lenders)),
        volumes=tuple(
            VolumeLots(
                volume_no=volume_no,
                weight=weight,
                lots=_lots(problem, clocks, problem.volumes[volume_no]),
                path_clock=earliest_finish(problem, clocks, problem.volumes[volume_no]),
            )
            for volume_no, weight in weights.items()
            if weight > 0
        ),
        fixed=fixed,
        clocks=clocks,
    )


def weights_of(problem: Problem, clocks: EarliestClocks) -> dict[int, float]:
    """Weight of each volume that has some and could be finished inside the campaign."""
    return {
        volume_no: float(volume.benefit_millionths)
        for volume_no, volume in enumerate(problem.volumes)
        if volume.benefit_millionths and clocks.finishes[volume.task_nos[-1]] is not None
    }


def cut_users(problem: Problem, clocks: EarliestClocks) -> dict[int, list[int]]:
    """Volumes that may lend weight to each cut."""
    users: dict[int, list[int]] = {}
    for volume_no in weights_of(problem, clocks):
        for cut in problem.volume_cuts[volume_no]:
            if problem.tasks[cut].minutes and clocks.starts[cut] is not None:
                users.setdefault(cut, []).append(volume_no)
    return users


def _cut_lot(problem: Problem, clocks: EarliestClocks, cut: int, lenders: Mapping[int, float]) -> CutLot:
    minutes = problem.tasks[cut].minutes
    extras = {no: minutes / 2 + minutes_from_interleave(problem, no) for no in lenders}
    return CutLot(
        task_no=cut,
        lot=Lot(
            part=EARLY,
            grade=problem.least_grades[cut],
            first_day_no=(clocks.starts[cut] or 0) // MINUTES_PER_DAY,
            minutes=minutes,
        ),
        weight=sum(lenders.values()),
        extra=sum(weight * extras[no] for no, weight in lenders.items()),
        longest_extra=max(extras.values()),
    )


def _lots(problem: Problem, clocks: EarliestClocks, volume: Volume) -> tuple[Lot, ...]:
    """A volume's tasks joined by part and skill; each lot from the first day any of its tasks can start."""
    joined: dict[tuple[int, int], tuple[int, int]] = {}
    for task_no in volume.task_nos:
        task, start = problem.tasks[task_no], clocks.starts[task_no]
        if task.minutes and start is not None:
            key = PART_OF_KIND[task.kind], problem.least_grades[task_no]
            day, minutes = joined.get(key, (problem.days, 0))
            joined[key] = min(day, start // MINUTES_PER_DAY), minutes + task.minutes
    return tuple(
        Lot(part=part, grade=grade, first_day_no=day, minutes=minutes)
        for (part, grade), (day, minutes) in sorted(joined.items())
    )


def _lend_to_cuts(problem: Problem, clocks: EarliestClocks) -> Lent:
    """Weight lent to cuts by the densest volumes that wait for them.

    A cut and the volumes that make it worth most per minute get the same weight per minute: more would let the
    relaxation put the cut before work that is worth more, less would let it cut afterwards.
    """
    weights = weights_of(problem, clocks)
    follow = {no: minutes_from_interleave(problem, no) for no in weights}
    users = cut_users(problem, clocks)
    blocks = {cut: _block(problem.tasks[cut].minutes, nos, weights, follow) for cut, nos in users.items()}
    lent: dict[tuple[int, int], float] = {}
    for cut in sorted(users, key=lambda cut: (-blocks[cut], cut)):
        density = _block(problem.tasks[cut].minutes, users[cut], weights, follow)
        for no in users[cut]:
            lent[no, cut] = max(0.0, weights[no] - density * follow[no])
            weights[no] -= lent[no, cut]
    return lent


def minutes_from_interleave(problem: Problem, volume_no: int) -> int:
    """Minutes of a volume's tasks from interleaving on."""
    tasks = [problem.tasks[task_no] for task_no in problem.volumes[volume_no].task_nos]
    return sum(task.minutes for task in tasks if PART_OF_KIND[task.kind] >= BENCH)


def _block(
    cut_minutes: int, users: Sequence[int], weights: Mapping[int, float], follow: Mapping[int, int]
) -> float:
    """Greatest weight per minute of a cut together with some of the volumes that wait for it."""
    weight, minutes, best = 0.0, float(cut_minutes), 0.0
    for volume_no in sorted(users, key=lambda no: (-weights[no] / max(1, follow[no]), no)):
        weight += weights[volume_no]
        minutes += follow[volume_no]
        best = max(best, weight / max(1.0, minutes))
    return best
