"""Feasibility and benefit of a choice, again from Problem and Solution alone. Imports no solver."""

from collections.abc import Iterable
from dataclasses import dataclass

from pipeline.solve.choose.problem import Minutes, Option, Problem, Solution

LIMITS = ("supplies", "staff", "hours")
"""Limits of the campaign in the order in which they are named."""


@dataclass(frozen=True, slots=True)
class Needs:
    """What a choice takes: minutes by least skill, money to be spent on supplies and staff."""

    minutes: Minutes
    supplies_hundredths: int
    staff_hundredths: int
    shelf_uses: tuple[int, ...]


def picked(problem: Problem, solution: Solution) -> list[Option]:
    """The option taken of each volume, in the problem's order."""
    pairs = zip(problem.volumes, solution.picks, strict=True)
    return [volume.options[pick] for volume, pick in pairs]


def benefit_millionths(problem: Problem, solution: Solution) -> int:
    """Benefit of a choice."""
    return sum(option.benefit_millionths for option in picked(problem, solution))


def needs(problem: Problem, options: Iterable[Option]) -> Needs:
    """What a set of options takes; what stands in the lab is used first, the rest comes in whole packs."""
    minutes = [0, 0, 0]
    bought = staff = 0
    uses = [0] * len(problem.shelves)
    for option in options:
        for rank, need in enumerate(option.minutes):
            minutes[rank] += need
        bought += option.supplies_hundredths
        staff += option.staff_hundredths
        for number, amount in option.shelf_uses:
            uses[number] += amount
    bought += sum(shelf.cost(use) for use, shelf in zip(uses, problem.shelves, strict=True))
    return Needs((minutes[0], minutes[1], minutes[2]), bought, staff, tuple(uses))


def exceeded(problem: Problem, need: Needs) -> dict[str, int]:
    """By how much limits are exceeded (minutes of the scarcest skill, hundredths); only those that are."""
    limits = problem.limits
    over = {"hours": max(need.minutes[rank] - limits.minutes[rank] for rank in range(3))}
    if limits.supplies_hundredths is not None:
        over["supplies"] = need.supplies_hundredths - limits.supplies_hundredths
    if limits.staff_hundredths is not None:
        over["staff"] = need.staff_hundredths - limits.staff_hundredths
    return {limit: over[limit] for limit in LIMITS if over.get(limit, 0) > 0}


def violations(problem: Problem, solution: Solution) -> list[str]:
    """What is wrong with an answer, in words; empty when it keeps every rule."""
    if len(solution.picks) != len(problem.volumes):
        return [f"{len(solution.picks)} choices for {len(problem.volumes)} volumes"]
    wrong = [
        f"{volume.volume_id} has no option at place {pick}"
        for volume, pick in zip(problem.volumes, solution.picks, strict=True)
        if not 0 <= pick < len(volume.options)
    ]
    if wrong:
        return wrong
    over = exceeded(problem, needs(problem, picked(problem, solution)))
    return [f"{limit} exceeded by {amount}" for limit, amount in over.items()]
