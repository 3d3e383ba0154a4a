"""The choice of sheets against an independent solver and against published kinds of hard instances."""

import json
from pathlib import Path

import numpy as np
import pytest

from pipeline.solve.fit.check import broken_rules
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, Mark, Method, Papers, Problem
from pipeline.units import BENEFIT_TICKS
from tests.outside.choice_mip import mip_benefit

INSTANCES = json.loads((Path(__file__).parent / "data" / "mckp_pisinger_style.json").read_text())["instances"]
LISTS_UM = ((52, 93, 147), (50, 100), (41, 60, 75, 118, 147))


def random_volumes(seed: int, volumes: int, *, max_papers: int = 2) -> Problem:
    """Volumes of up to 25 groups of up to 4 openings, thicknesses without a common divisor among them."""
    rng = np.random.default_rng(seed)
    thickness = np.array(LISTS_UM[seed % len(LISTS_UM)], dtype=np.int64)
    group_volume = np.repeat(np.arange(volumes), rng.integers(0, 26, volumes))
    groups = len(group_volume)
    count = rng.integers(1, 5, groups)
    benefit = rng.random((groups, len(thickness))) * rng.choice([0.02, 0.3, 1.0], (groups, 1))
    ticks = np.rint(benefit * BENEFIT_TICKS).astype(np.int64)
    ticks[rng.random(ticks.shape) < 0.3] = NOT_PERMITTED
    openings = np.bincount(group_volume, weights=count, minlength=volumes).astype(np.int64)
    return Problem(
        papers=Papers(
            thickness_um=thickness,
            is_buffered=rng.random(len(thickness)) < 0.5,
            price_ticks=rng.integers(1, 5, len(thickness)),
        ),
        headroom_um=rng.integers(0, 3500, volumes),
        group_volume=group_volume,
        group_count=count,
        benefit_ticks=ticks,
        opening_rank=np.concatenate([np.arange(number) for number in openings]),
        mark=np.full(groups, Mark.FREE, dtype=np.int64),
        only_paper=np.full(groups, ANY_PAPER, dtype=np.int64),
        floor_ticks=BENEFIT_TICKS // 200,
        max_papers=max_papers,
    )


def one_item_per_class(instance: dict[str, list[list[int]]] | dict[str, int]) -> Problem:
    """A published instance as one volume: a class is an opening that must get a sheet, an item a paper of
    its own.
    """
    weights, profits = np.array(instance["weights"]), np.array(instance["profits"])
    classes, items = weights.shape
    papers = classes * items
    benefit = np.full((classes, papers), NOT_PERMITTED, dtype=np.int64)
    for number in range(classes):
        benefit[number, number * items : (number + 1) * items] = profits[number]
    return Problem(
        papers=Papers(
            thickness_um=weights.ravel().astype(np.int64),
            is_buffered=np.zeros(papers, dtype=np.bool_),
            price_ticks=np.zeros(papers, dtype=np.int64),
        ),
        headroom_um=np.array([instance["capacity"]]),
        group_volume=np.zeros(classes, dtype=np.int64),
        group_count=np.ones(classes, dtype=np.int64),
        benefit_ticks=benefit,
        opening_rank=np.arange(classes),
        mark=np.full(classes, Mark.MUST, dtype=np.int64),
        only_paper=np.full(classes, ANY_PAPER, dtype=np.int64),
        floor_ticks=0,
        max_papers=papers,
    )


def differences(problem: Problem) -> list[int]:
    """By how many ticks the answers of the two solvers differ, where they do by more than 1e-9."""
    solution = solve(problem)
    assert broken_rules(problem, solution) == []
    others = [mip_benefit(problem, volume) for volume in range(problem.volumes)]
    difference = np.abs(solution.benefit_ticks - np.array(others))
    return difference[difference > BENEFIT_TICKS // 10**9].tolist()


def test_equals_a_mixed_integer_solver_on_a_few_volumes() -> None:
    assert differences(random_volumes(0, 12)) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_equals_a_mixed_integer_solver_on_random_volumes(seed: int) -> None:
    assert differences(random_volumes(seed, 35)) == []


@pytest.mark.slow
def test_equals_a_mixed_integer_solver_with_three_papers_a_volume() -> None:
    problem = random_volumes(2, 30, max_papers=3)
    assert (solve(problem).method == Method.MORE_PAPERS).any()
    assert differences(problem) == []


def named(instance: dict[str, str]) -> object:
    """An instance with its name; those of a hundred classes take a second or more."""
    marks = [pytest.mark.slow] if "k100" in instance["name"] else []
    return pytest.param(instance, id=instance["name"], marks=marks)


@pytest.mark.parametrize("instance", [named(instance) for instance in INSTANCES])
def test_reaches_the_optimum_of_multiple_choice_knapsacks(instance: dict[str, int]) -> None:
    problem = one_item_per_class(instance)
    solution = solve(problem)
    assert broken_rules(problem, solution) == []
    assert solution.must_short.sum() == 0
    assert solution.benefit_ticks.tolist() == [instance["optimum"]]
