"""Small and random choices: problems of one option per volume, and every answer of a small one."""

import itertools
import random
from collections.abc import Iterator

from pipeline.solve.choose.check import benefit_millionths, violations
from pipeline.solve.choose.problem import Limits, Option, Problem, Shelf, Solution, Volume

NOTHING = Option(0, 0, 0)


def option(number: int, benefit: int, **needs: object) -> Option:
    """Option of as many sheets as its number; benefit in whole page-equivalents."""
    values: dict[str, object] = {"minutes": (0, 0, 0)} | needs
    return Option(number, number, benefit * 1_000_000, **values)  # type: ignore[arg-type]


def volume(volume_id: str, *options: Option) -> Volume:
    """A volume that may also be left out."""
    return Volume(volume_id, (NOTHING, *options))


def money(*volumes: Volume, supplies: int | None = None, staff: int | None = None) -> Problem:
    """A choice in which time is no object."""
    return Problem(volumes, Limits((10**6, 10**6, 10**6), supplies, staff))


def random_problem(seed: int, *, volumes: int, options: int, shelves: int = 0) -> Problem:
    """Needs that grow with benefit, shares of all limits drawn too; benefits are whole thousandths."""
    draw = random.Random(seed)
    rows = tuple(_random_volume(draw, f"V{number:04}", options, shelves) for number in range(volumes))
    tops = [row.options[-1] for row in rows]
    share = draw.uniform(0.2, 0.9)
    minutes = [sum(top.minutes[rank] for top in tops) for rank in range(3)]
    supplies = sum(top.supplies_hundredths + sum(amount for _, amount in top.shelf_uses) for top in tops)
    staff = sum(top.staff_hundredths for top in tops)
    limits = Limits(
        (
            int(minutes[0] * share),
            int(minutes[1] * draw.uniform(0.2, 1)),
            int(minutes[2] * draw.uniform(0.2, 1)),
        ),
        draw.choice([None, int(supplies * share)]),
        draw.choice([None, int(staff * share), int(staff * share)]),
    )
    return Problem(rows, limits, tuple(_random_shelf(draw, supplies) for _ in range(shelves)))


def _random_shelf(draw: random.Random, supplies: int) -> Shelf:
    pack = draw.choice([1, 150, 700])
    return Shelf(draw.randint(0, supplies // 6), pack, draw.choice([0, 0, 40, -pack // 3]))


def _random_volume(draw: random.Random, volume_id: str, options: int, shelves: int) -> Volume:
    rows = [NOTHING]
    skill = draw.randrange(3)
    benefit = minutes = supplies = 0
    for number in range(1, draw.randint(1, options) + 1):
        benefit += draw.randint(1, 4000) * 1000
        minutes += draw.randint(5, 60)
        supplies += draw.randint(50, 900)
        uses = ((draw.randrange(shelves), draw.randint(10, 400)),) if shelves and draw.random() < 0.6 else ()
        nested = (minutes, minutes if skill > 0 else minutes // 2, minutes if skill > 1 else 0)
        rows.append(Option(number, number, benefit, nested, supplies, minutes * draw.randint(20, 60), uses))
    return Volume(volume_id, tuple(rows))


def all_answers(problem: Problem) -> Iterator[Solution]:
    """Every answer, possible or not."""
    for picks in itertools.product(*(range(len(row.options)) for row in problem.volumes)):
        yield Solution(picks)


def best_by_hand(problem: Problem) -> int:
    """Greatest benefit of all answers that keep the rules."""
    return max(
        benefit_millionths(problem, answer)
        for answer in all_answers(problem)
        if not violations(problem, answer)
    )
