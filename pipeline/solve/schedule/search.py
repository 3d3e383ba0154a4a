"""How hard a timetable is looked for: tries counted in tasks placed, then volumes of one person change places.

A heuristic throughout. The best order of volumes is shaken a little, again and again, and what is better is kept: by
turns all volumes move by a few places, or a few volumes by many, and with them the cutting they wait for. Large
campaigns have fewer tries.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from pipeline.solve.schedule.dispatch import densities_in_order
from pipeline.solve.schedule.problem import Problem, pay_over_budget, weighted_finish
from pipeline.solve.schedule.reorder import reordered
from pipeline.solve.schedule.timetable import Found, best_of, make_timetable

SHAKE = 0.05
"""By what share a volume's place in the order is valued higher or lower when all move."""
PROMISING = 1.01
"""A shaken order's timetable is worked on where its weighted finish is at most so many times the best."""
VOLUMES_A_MOVE = 50
"""One volume in so many is moved in a try, at least one."""
MOVES = (0.5, 0.7, 1.4, 2.0)
"""What a moved volume's place in the order is valued at against before."""


@dataclass(frozen=True, kw_only=True)
class Effort:
    """Tasks placed, about, in the tries of orders and styles and in those of shaken orders, and most tries of these;
    how many of the best timetables have their volumes change places; places weighed in steps that raise the bound,
    and most steps."""

    tried_tasks: int
    searched_tasks: int = 0
    most_searched: int = 0
    reordered: int = 1
    climbed_places: int = 0
    most_climbed: int = 0

    def tries(self, problem: Problem) -> int:
        """Orders and styles to try, at least one."""
        return max(1, self.tried_tasks // max(1, len(problem.tasks)))

    def searches(self, problem: Problem) -> int:
        """Shaken orders to try."""
        if len(problem.volumes) < 2:
            return 0
        return min(self.most_searched, self.searched_tasks // max(1, len(problem.tasks)))

    def climbs(self, places: int) -> int:
        """Steps that raise the bound, each weighing so many places."""
        return min(self.most_climbed, self.climbed_places // max(1, places))


EFFORTS = {
    "quick": Effort(tried_tasks=5_500),
    "usual": Effort(
        tried_tasks=15_500,
        searched_tasks=1_500,
        most_searched=10,
        reordered=2,
        climbed_places=100_000_000,
        most_climbed=40,
    ),
    "thorough": Effort(
        tried_tasks=60_000,
        searched_tasks=120_000,
        most_searched=120,
        reordered=4,
        climbed_places=4_000_000_000,
        most_climbed=200,
    ),
}
"""By the name of a run's effort."""
DRAFT = Effort(tried_tasks=5_500, reordered=0)


def best_reordered(problem: Problem, found: Sequence[Found], *, most: int) -> Found:
    """The best of so many timetables from the first on, volumes of one person having changed places in each."""
    changed = [replace(one, solution=reordered(problem, one.solution)) for one in found[:most]]
    return best_of(problem, [*changed, *found[most:]])


def improved(problem: Problem, found: Found, *, seed: int, tries: int) -> Found:
    """The timetable given, or an earlier one of the same style that pays no more beyond the staff budget.

    Deterministic: the tries are drawn by the seed.
    """
    random = Random(seed)
    numbers = range(len(problem.volumes))
    densities = densities_in_order(problem, found.order)
    reached, over = weighted_finish(problem, found.solution), pay_over_budget(problem, found.solution)
    for attempt in range(tries):
        tried = _shaken(densities, random, is_gentle=attempt % 2 == 0)
        order = sorted(numbers, key=lambda volume_no: (-tried[volume_no], volume_no))
        solution = make_timetable(problem, order, found.style)
        if weighted_finish(problem, solution) <= PROMISING * reached:
            solution = reordered(problem, solution)
        now = weighted_finish(problem, solution)
        if now < reached and pay_over_budget(problem, solution) <= over:
            densities, reached, found = tried, now, Found(order, found.style, solution)
    return found


def _shaken(densities: Sequence[float], random: Random, *, is_gentle: bool) -> list[float]:
    """Densities changed a little for all volumes, or much for a few."""
    if is_gentle:
        return [density * random.uniform(1 - SHAKE, 1 + SHAKE) for density in densities]
    tried = list(densities)
    for volume_no in random.sample(range(len(tried)), max(1, len(tried) // VOLUMES_A_MOVE)):
        tried[volume_no] *= random.choice(MOVES)
    return tried
