"""The timetable relaxed into lots: minutes of one skill that anyone able may share, from a first day on.

What stays true of a volume's finish C, whoever works on it when, is a sum over its lots: C is at least the mean
moment of all its minutes plus half of them, since no two are worked at once; the same holds of the minutes from
interleaving on alone, and of those after the check alone; and C is at least the mean moment of a cut it waits for
plus half the cut and all minutes from interleaving on. Any split of a volume's weight over these is a bound.
"""

from collections.abc import Sequence
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


@dataclass(frozen=True, kw_only=True)
class CutLot:
    """A cut with the weight volumes lend it; `extra` is their weight x minutes that follow the cut's mean moment."""

    lot: Lot
    weight: float
    extra: float
    longest_extra: float


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

    `fixed` is the weight x clock of volumes that nobody can finish inside the campaign.
    """

    cuts: tuple[CutLot, ...]
    volumes: tuple[VolumeLots, ...]
    fixed: float
    clocks: EarliestClocks


def relax(problem: Problem) -> Relaxed:
    """Lots of every volume with benefit that could be finished inside the campaign, and of the cutting."""
    clocks = earliest_clocks(problem)
    weights = [float(volume.benefit_millionths) for volume in problem.volumes]
    dated = [clocks.finishes[volume.task_nos[-1]] is not None for volume in problem.volumes]
    fixed = sum(weight * problem.end_clock for weight, can in zip(weights, dated, strict=True) if not can)
    for volume_no, can in enumerate(dated):
        if not can:
            weights[volume_no] = 0.0
    cuts = _lend_to_cuts(problem, clocks, weights)
    volumes = [
        VolumeLots(
            volume_no=volume_no,
            weight=weights[volume_no],
            lots=_lots(problem, clocks, volume),
            path_clock=earliest_finish(problem, clocks, volume),
        )
        for volume_no, volume in enumerate(problem.volumes)
        if weights[volume_no] > 0
    ]
    return Relaxed(cuts=tuple(cuts), volumes=tuple(volumes), fixed=fixed, clocks=clocks)


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


def _lend_to_cuts(problem: Problem, clocks: EarliestClocks, weights: list[float]) -> list[CutLot]:
    """Cuts with weight lent by the densest volumes that wait for them; what is lent is taken off `weights`.

    A cut and the volumes that make it worth most per minute get the same weight per minute: more would let the
    relaxation put the cut before work that is worth more, less would let it cut afterwards.
    """
    follow = [_minutes_from_interleave(problem, volume) for volume in problem.volumes]
    users: dict[int, list[int]] = {}
    for volume_no, cuts in enumerate(problem.volume_cuts):
        for cut in cuts if weights[volume_no] > 0 else ():
            if problem.tasks[cut].minutes:
                users.setdefault(cut, []).append(volume_no)
    blocks = {cut: _block(problem.tasks[cut].minutes, nos, weights, follow) for cut, nos in users.items()}
    lots: list[CutLot] = []
    for cut in sorted(users, key=lambda cut: (-blocks[cut], cut)):
        minutes = problem.tasks[cut].minutes
        density = _block(minutes, users[cut], weights, follow)
        lent = {no: weights[no] - density * follow[no] for no in users[cut]}
        lent = {no: weight for no, weight in lent.items() if weight > 0}
        for no, weight in lent.items():
            weights[no] -= weight
        start = clocks.starts[cut]
        if lent and start is not None:
            lot = Lot(
                part=EARLY,
                grade=problem.least_grades[cut],
                first_day_no=start // MINUTES_PER_DAY,
                minutes=minutes,
            )
            extras = {no: minutes / 2 + follow[no] for no in lent}
            lots.append(
                CutLot(
                    lot=lot,
                    weight=sum(lent.values()),
                    extra=sum(weight * extras[no] for no, weight in lent.items()),
                    longest_extra=max(extras.values()),
                )
            )
    return lots


def _minutes_from_interleave(problem: Problem, volume: Volume) -> int:
    tasks = [problem.tasks[task_no] for task_no in volume.task_nos]
    return sum(task.minutes for task in tasks if PART_OF_KIND[task.kind] >= BENCH)


def _block(cut_minutes: int, users: Sequence[int], weights: Sequence[float], follow: Sequence[int]) -> float:
    """Greatest weight per minute of a cut together with some of the volumes that wait for it."""
    weight, minutes, best = 0.0, float(cut_minutes), 0.0
    for volume_no in sorted(users, key=lambda no: (-weights[no] / max(1, follow[no]), no)):
        weight += weights[volume_no]
        minutes += follow[volume_no]
        best = max(best, weight / max(1.0, minutes))
    return best
