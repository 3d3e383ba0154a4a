"""Grain held or pieces turned, by the paper's grain rule."""

from collections.abc import Callable

from pipeline.solve.cut.problem import Problem, Solution, total_cost
from pipeline.solve.cut.solver import Priced, price
from pipeline.solve.cut.supplies import exact
from pipeline.solve.cut.tables import Job, Rules

Planner = Callable[[Priced], Solution]


def choose_turning(job: Job, rules: Rules, planned: Planner) -> tuple[Problem, Solution]:
    """The problem that is planned, and its plan.

    Where grain is only preferred, pieces are turned for at least the policy's saving. The proven bounds of both
    ways often settle that, so that only one way has to be planned.
    """
    both = _both_ways(job, rules)
    if len(both) == 1:
        return both[0], planned(price(both[0]))
    held, turned = both
    enough = 1 - exact(rules.turn_saving_frac)
    priced_turned, priced_held = price(turned), price(held)
    least_turned, most = priced_turned.bound, enough * priced_held.bound
    turned_answer = planned(priced_turned) if least_turned <= most else None
    if turned_answer and total_cost(turned, turned_answer.runs) <= most:
        return turned, turned_answer
    held_answer = planned(priced_held)
    most = enough * total_cost(held, held_answer.runs)
    if least_turned > most:
        return held, held_answer
    turned_answer = turned_answer or planned(priced_turned)
    is_worth_turning = total_cost(turned, turned_answer.runs) <= most
    return (turned, turned_answer) if is_worth_turning else (held, held_answer)


def turn_by_bounds(job: Job, rules: Rules) -> Priced:
    """The way that is planned, settled by the proven bounds alone: quicker, and nearly always the same."""
    both = [price(problem) for problem in _both_ways(job, rules)]
    enough = 1 - exact(rules.turn_saving_frac)
    return both[1] if len(both) > 1 and both[1].bound <= enough * both[0].bound else both[0]


def _both_ways(job: Job, rules: Rules) -> list[Problem]:
    """Grain held and pieces turned; only one where the rule or the sizes leave no choice."""
    turned = job.problem(rules, turning=True)
    if job.grain_rule == "ignore":
        return [turned]
    held = job.problem(rules, turning=False)
    if job.grain_rule == "require" or held.sizes == turned.sizes:
        return [held]
    return [held, turned]
