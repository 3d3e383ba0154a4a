"""What the relaxation leaves open: the volumes whose option may still change in a better answer.

Any answer is at least the loss of each of its options below the relaxation's bound; so an option whose loss
exceeds the distance from the bound to an answer in hand is in no better answer, and a volume left with one
option is settled.
"""

from dataclasses import dataclass, replace

import numpy as np

from pipeline.solve.choose.check import Needs, benefit_millionths, needs
from pipeline.solve.choose.problem import Option, Problem, Solution, Volume
from pipeline.solve.choose.relaxation import Arrays, Ints, Relaxation


@dataclass(frozen=True)
class Start:
    """A problem with what the relaxation says of it, and an answer in hand."""

    problem: Problem
    arrays: Arrays
    relaxation: Relaxation
    best: Solution


@dataclass(frozen=True)
class Core:
    """The smaller problem, the answer in hand as one of it, and the way back."""

    problem: Problem
    start: Solution
    is_complete: bool
    fixed_benefit_millionths: int
    _open: tuple[int, ...]
    _places: tuple[tuple[int, ...], ...]
    _settled: tuple[int, ...]

    def settled_options(self, problem: Problem) -> list[Option]:
        """Options of the volumes that are no part of the core."""
        is_open = set(self._open)
        return [
            volume.options[pick]
            for number, (volume, pick) in enumerate(zip(problem.volumes, self._settled, strict=True))
            if number not in is_open
        ]

    def widen(self, solution: Solution) -> Solution:
        """An answer of the core as one of the whole problem."""
        picks = list(self._settled)
        for number, places, pick in zip(self._open, self._places, solution.picks, strict=True):
            picks[number] = places[pick]
        return Solution(tuple(picks))


def find_core(start: Start, most_volumes: int) -> Core:
    """The core that a proven bound and an answer in hand leave: at most so many volumes, those of least loss.

    With more it is not complete: what it finds is good, but the relaxation's bound stands.
    """
    problem, arrays, relaxation, answer = start.problem, start.arrays, start.relaxation, start.best
    distance = relaxation.bound - benefit_millionths(problem, answer)
    current = arrays.first + np.array(answer.picks, dtype=np.int64)
    keep = relaxation.losses <= distance
    keep[current] = True
    counts = np.add.reduceat(keep.astype(np.int64), arrays.first)
    open_volumes = np.flatnonzero(counts > 1)
    is_complete = len(open_volumes) <= most_volumes
    if not is_complete:
        open_volumes = _closest(start, current, open_volumes)[:most_volumes]
        open_volumes = np.sort(open_volumes)
    numbers = tuple(open_volumes.tolist())
    places = tuple(
        tuple(place for place in range(len(problem.volumes[number].options)) if keep[first + place])
        for number, first in zip(numbers, arrays.first[open_volumes].tolist(), strict=True)
    )
    return _build(problem, answer, numbers, places, is_complete=is_complete)


def _closest(start: Start, current: Ints, open_volumes: Ints) -> Ints:
    """The open volumes, those whose best change loses least first."""
    losses = start.relaxation.losses.copy()
    losses[current] = np.inf
    least = np.minimum.reduceat(losses, start.arrays.first)[open_volumes]
    return np.asarray(open_volumes[np.lexsort((open_volumes, least))])


def _build(
    problem: Problem,
    answer: Solution,
    open_volumes: tuple[int, ...],
    places: tuple[tuple[int, ...], ...],
    *,
    is_complete: bool,
) -> Core:
    """The problem of the open volumes within what the settled ones leave."""
    is_open = set(open_volumes)
    settled = [
        volume.options[pick]
        for number, (volume, pick) in enumerate(zip(problem.volumes, answer.picks, strict=True))
        if number not in is_open
    ]
    volumes = tuple(
        replace(
            problem.volumes[number], options=tuple(problem.volumes[number].options[place] for place in kept)
        )
        for number, kept in zip(open_volumes, places, strict=True)
    )
    start = tuple(kept.index(answer.picks[number]) for number, kept in zip(open_volumes, places, strict=True))
    fixed = sum(option.benefit_millionths for option in settled)
    smaller = _less(problem, volumes, settled_needs=needs(problem, settled))
    return Core(smaller, Solution(start), is_complete, fixed, open_volumes, places, answer.picks)


def _less(problem: Problem, volumes: tuple[Volume, ...], *, settled_needs: Needs) -> Problem:
    """The problem of some volumes within what the others leave of limits and shelves."""
    limits = problem.limits
    minutes = tuple(there - need for there, need in zip(limits.minutes, settled_needs.minutes, strict=True))
    supplies, staff = limits.supplies_hundredths, limits.staff_hundredths
    return Problem(
        volumes,
        replace(
            limits,
            minutes=(minutes[0], minutes[1], minutes[2]),
            supplies_hundredths=None if supplies is None else supplies - settled_needs.supplies_hundredths,
            staff_hundredths=None if staff is None else staff - settled_needs.staff_hundredths,
        ),
        tuple(
            replace(shelf, worth=shelf.left(use), surcharge=0 if shelf.packs(use) else shelf.surcharge)
            for shelf, use in zip(problem.shelves, settled_needs.shelf_uses, strict=True)
        ),
    )
