"""Greedy choice and a simple bound: yardstick and fallback of the model.

The greedy answer takes the steps of each volume's benefit curve by benefit per share of the limits, then
any step that still fits. It is a heuristic: its distance from the proven bound is reported wherever it is
used. The bound lets a volume take parts of a step and looks at one limit at a time.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.problem import Option, Problem, Solution

Weight = Callable[[Option], float]
MOST_PASSES = 10


@dataclass(frozen=True, slots=True)
class Step:
    """From one option of a volume to a greater one; `slope` is benefit per weight."""

    volume_no: int
    start: int
    end: int
    slope: float


class Room:
    """What a growing choice has used, and whether a change still fits."""

    def __init__(self, problem: Problem, solution: Solution) -> None:
        used = needs(problem, picked(problem, solution))
        self._problem = problem
        self._minutes = list(used.minutes)
        self._staff = used.staff_hundredths
        self._bought = used.supplies_hundredths
        self._uses = list(used.shelf_uses)

    def fits(self, old: Option, new: Option) -> bool:
        """Whether `new` may replace `old`."""
        return not self.lacking(old, new)

    def lacking(self, old: Option, new: Option) -> set[str]:
        """Limits that `new` instead of `old` would break; one that it burdens no further is not broken."""
        limits = self._problem.limits
        broken = set()
        for rank in range(3):
            more = new.minutes[rank] - old.minutes[rank]
            if more > 0 and self._minutes[rank] + more > limits.minutes[rank]:
                broken.add("hours")
        more = new.staff_hundredths - old.staff_hundredths
        if limits.staff_hundredths is not None and more > 0 and self._staff + more > limits.staff_hundredths:
            broken.add("staff")
        more = self.more_bought(old, new)
        money = limits.supplies_hundredths
        if money is not None and more > 0 and self._bought + more > money:
            broken.add("supplies")
        return broken

    def replace(self, old: Option, new: Option) -> None:
        """Count `new` instead of `old`."""
        self._bought += self.more_bought(old, new)
        for shelf, more in self._shelf_changes(old, new):
            self._uses[shelf] += more
        self._staff += new.staff_hundredths - old.staff_hundredths
        for rank in range(3):
            self._minutes[rank] += new.minutes[rank] - old.minutes[rank]

    def more_bought(self, old: Option, new: Option) -> int:
        """What `new` instead of `old` adds to the supplies to be paid, packs included."""
        more = new.supplies_hundredths - old.supplies_hundredths
        for number, change in self._shelf_changes(old, new):
            shelf, use = self._problem.shelves[number], self._uses[number]
            more += shelf.cost(use + change) - shelf.cost(use)
        return more

    @staticmethod
    def _shelf_changes(old: Option, new: Option) -> list[tuple[int, int]]:
        if not old.shelf_uses and not new.shelf_uses:
            return []
        changes: dict[int, int] = {}
        for option, sign in ((old, -1), (new, 1)):
            for shelf, amount in option.shelf_uses:
                changes[shelf] = changes.get(shelf, 0) + sign * amount
        return list(changes.items())


def greedy(problem: Problem) -> Solution:
    """A choice that keeps every limit: benefit per share of the limits first, then whatever still fits."""
    picks = [0] * len(problem.volumes)
    room = Room(problem, Solution(tuple(picks)))
    steps = [
        step
        for number, volume in enumerate(problem.volumes)
        for step in hull_steps(number, volume.options, share_of_limits(problem))
    ]
    steps.sort(key=lambda step: (-step.slope, step.volume_no, step.end))
    for step in steps:
        options = problem.volumes[step.volume_no].options
        if picks[step.volume_no] == step.start and room.fits(options[step.start], options[step.end]):
            room.replace(options[step.start], options[step.end])
            picks[step.volume_no] = step.end
    return raise_where_room(problem, Solution(tuple(picks)))


def raise_where_room(problem: Problem, solution: Solution) -> Solution:
    """The choice once no volume alone can be raised any more, best benefit per share of the limits first."""
    picks = list(solution.picks)
    room = Room(problem, solution)
    for _ in range(MOST_PASSES):
        changed = False
        for step in _all_steps(problem, picks):
            options = problem.volumes[step.volume_no].options
            old, new = options[picks[step.volume_no]], options[step.end]
            if new.benefit_millionths > old.benefit_millionths and room.fits(old, new):
                room.replace(old, new)
                picks[step.volume_no] = step.end
                changed = True
        if not changed:
            break
    return Solution(tuple(picks))


def upper_bound(problem: Problem) -> int:
    """Benefit no choice can exceed, millionths: the least of each limit's fractional choice."""
    bounds = [sum(max(o.benefit_millionths for o in volume.options) for volume in problem.volumes)]
    bounds += [_fractional(problem, weight, capacity) for weight, capacity in _limit_rows(problem)]
    return min(bounds)


def share_of_limits(problem: Problem) -> Weight:
    """Weight of an option: the sum of its shares of every limit."""
    rows = [(weight, max(capacity, 1)) for weight, capacity in _limit_rows(problem)]
    return lambda option: sum(weight(option) / capacity for weight, capacity in rows)


def hull_steps(volume_no: int, options: tuple[Option, ...], weigh: Weight) -> Iterator[Step]:
    """Steps along the upper hull of benefit over weight, from the option of least weight, steepest first."""
    points = sorted(
        (weigh(option), -option.benefit_millionths, place) for place, option in enumerate(options)
    )
    hull: list[tuple[float, int, int]] = []
    for weight, negative, place in points:
        benefit = -negative
        if hull and benefit <= hull[-1][1]:
            continue
        while len(hull) > 1 and _slope(hull[-2], hull[-1]) <= _slope(hull[-1], (weight, benefit, place)):
            hull.pop()
        hull.append((weight, benefit, place))
    for start, end in pairwise(hull):
        yield Step(volume_no, start[2], end[2], _slope(start, end))


def _slope(start: tuple[float, int, int], end: tuple[float, int, int]) -> float:
    return (end[1] - start[1]) / max(end[0] - start[0], 1e-12)


def _all_steps(problem: Problem, picks: list[int]) -> list[Step]:
    """Every raise of one volume from where it stands, best benefit per share of the limits first."""
    weigh = share_of_limits(problem)
    steps = []
    for number, (volume, pick) in enumerate(zip(problem.volumes, picks, strict=True)):
        old = volume.options[pick]
        for place, new in enumerate(volume.options):
            gain = new.benefit_millionths - old.benefit_millionths
            if gain > 0:
                weight = max(weigh(new) - weigh(old), 1e-12)
                steps.append(Step(number, pick, place, gain / weight))
    steps.sort(key=lambda step: (-step.slope, step.volume_no, step.end))
    return steps


def _limit_rows(problem: Problem) -> list[tuple[Callable[[Option], int], int]]:
    """Each limit as (need of an option, what there is at most); packs may be parted."""
    limits = problem.limits
    rows = [(minutes_of(rank), limits.minutes[rank]) for rank in range(3)]
    if limits.staff_hundredths is not None:
        rows.append((lambda option: option.staff_hundredths, limits.staff_hundredths))
    if limits.supplies_hundredths is not None:
        rows.append((all_supplies, limits.supplies_hundredths + _free_supplies(problem)))
    return rows


def _free_supplies(problem: Problem) -> int:
    """Supplies that need not be paid: what stands in the lab, and what packs may come cheaper."""
    return sum(shelf.worth + max(0, -shelf.surcharge) for shelf in problem.shelves)


def minutes_of(rank: int) -> Callable[[Option], int]:
    """Minutes of an option that need at least the skill of this rank."""
    return lambda option: option.minutes[rank]


def all_supplies(option: Option) -> int:
    """Worth of all supplies an option uses, bought or from the shelves."""
    return option.supplies_hundredths + sum(amount for _, amount in option.shelf_uses)


def _fractional(problem: Problem, weight: Callable[[Option], int], capacity: int) -> int:
    """Greatest benefit within one limit when the last step may be taken in part, rounded down."""
    steps: list[tuple[Fraction, int, int]] = []
    total = 0
    for volume in problem.volumes:
        points = sorted({(weight(option), -option.benefit_millionths) for option in volume.options})
        hull = _integer_hull([(need, -negative) for need, negative in points])
        capacity -= hull[0][0]
        total += hull[0][1]
        for start, end in pairwise(hull):
            need, gain = end[0] - start[0], end[1] - start[1]
            steps.append((Fraction(gain, need), need, gain))
    steps.sort(reverse=True)
    for _, need, gain in steps:
        if need > capacity:
            return total + max(0, capacity) * gain // need
        capacity -= need
        total += gain
    return total


def _integer_hull(points: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Upper hull of (need, benefit) points sorted by need, rising."""
    hull: list[tuple[int, int]] = []
    for point in points:
        if hull and point[1] <= hull[-1][1]:
            continue
        while len(hull) > 1 and (hull[-1][1] - hull[-2][1]) * (point[0] - hull[-1][0]) <= (
            point[1] - hull[-1][1]
        ) * (hull[-1][0] - hull[-2][0]):
            hull.pop()
        hull.append(point)
    return hull
