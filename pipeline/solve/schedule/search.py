"""How hard a timetable is looked for: tries counted in tasks placed, then volumes of one person change places.

A heuristic throughout. Large campaigns have fewer tries.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.solve.schedule.by_week import ByWeek
from pipeline.solve.schedule.lookahead import Lookahead
from pipeline.solve.schedule.outlook import Outlook
from pipeline.solve.schedule.problem import Problem, is_dated, pay_over_budget
from pipeline.solve.schedule.reorder import reordered
from pipeline.solve.schedule.timetable import Found, best_of, fitted_in

PAY_SHARE = 0.3
"""What pay that cheaper people could spare costs, of what people's time is worth, to keep the staff budget."""


@dataclass(frozen=True, kw_only=True)
class Effort:
    """Tasks placed, about, in the tries of orders and styles and in those of each week, and most tries a week; how
    many of the best timetables have their volumes change places; places weighed in steps that raise the bound, and
    most steps, at first on a grid of `climb_grid` minutes or coarser, then on the finest there is."""

    tried_tasks: int
    week_tasks: int = 0
    most_a_week: int = 0
    reordered: int = 1
    climb_grid: int = 5
    climbed_places: int = 0
    most_climbed: int = 0
    fine_places: int = 0
    most_fine: int = 0

    def tries(self, problem: Problem) -> int:
        """Orders and styles to try, at least one."""
        return max(1, self.tried_tasks // max(1, len(problem.tasks)))

    def tries_a_week(self, problem: Problem) -> int:
        """Tries in each week."""
        return min(self.most_a_week, self.week_tasks // max(1, len(problem.tasks)))

    def climbs(self, places: int) -> int:
        """Steps that raise the bound, each weighing so many places."""
        return min(self.most_climbed, self.climbed_places // max(1, places))

    def fine_climbs(self, places: int) -> int:
        """Steps that raise it further on the finest grid."""
        return min(self.most_fine, self.fine_places // max(1, places))


EFFORTS = {
    "quick": Effort(tried_tasks=5_500),
    "usual": Effort(
        tried_tasks=15_500,
        week_tasks=40_000,
        most_a_week=40,
        reordered=2,
        climb_grid=15,
        climbed_places=250_000_000,
        most_climbed=40,
    ),
    "thorough": Effort(
        tried_tasks=60_000,
        week_tasks=600_000,
        most_a_week=300,
        reordered=4,
        climbed_places=4_000_000_000,
        most_climbed=100,
        fine_places=15_000_000_000,
        most_fine=160,
    ),
}
"""By the name of a run's effort."""
DRAFT = Effort(tried_tasks=5_500, reordered=0)


def best_reordered(problem: Problem, found: Sequence[Found], *, most: int) -> Found:
    """The best of so many timetables from the first on, volumes of one person having changed places in each."""
    changed = [replace(one, solution=reordered(problem, one.solution)) for one in found[:most]]
    return best_of(problem, [*changed, *found[most:]])


def made_by_week(found: Found, outlook: Outlook, *, seed: int, tries: int) -> Found:
    """The volumes that a timetable finishes, made anew week by week in its order and style; the others fitted in.

    People choose with a view to the days that follow, or every third time without, whichever is better for the week.
    """
    problem = outlook.problem
    dated = [no for no, volume in enumerate(problem.volumes) if is_dated(found.solution, volume)]
    if not tries or not dated:
        return found
    ahead = Lookahead(outlook)
    styles = [replace(found.style, ahead=view) for view in (ahead, ahead, None)]
    by_week = ByWeek(found.order, styles, dated, outlook).run(seed=seed, tries=tries)
    return replace(found, solution=reordered(problem, fitted_in(problem, by_week, found.order)))


def best_by_week(tried: Found, found: Found, outlook: Outlook, *, seed: int, tries: int) -> Found:
    """The best of the timetable found and the one tried made by week.

    Where that pays more than the staff budget, the one found is made by week too, work being left to cheaper people.
    """
    made = [made_by_week(tried, outlook, seed=seed, tries=tries)]
    if pay_over_budget(outlook.problem, made[0].solution):
        made.append(made_by_week(found, outlook.with_pay(PAY_SHARE), seed=seed, tries=tries))
    return best_of(outlook.problem, [found, *made])
