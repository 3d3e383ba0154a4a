"""The checker on broken answers, and the yardsticks beside it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.choose.baseline import greedy, raise_where_room, upper_bound
from pipeline.solve.choose.check import benefit_millionths, needs, picked, violations
from pipeline.solve.choose.problem import Limits, Problem, Shelf, Solution
from pipeline.solve.choose.relaxation import Arrays, relax
from tests.solve.choose_builders import all_answers, best_by_hand, money, option, random_problem, volume

CASE = Problem(
    (
        volume("A", option(1, 2, minutes=(30, 30, 0), supplies_hundredths=400, staff_hundredths=900)),
        volume("B", option(1, 3, minutes=(20, 20, 20), supplies_hundredths=500, staff_hundredths=800)),
    ),
    Limits((50, 50, 20), 900, 1700),
)


def test_an_answer_that_uses_every_limit_up_is_right() -> None:
    assert violations(CASE, Solution((1, 1))) == []


@pytest.mark.parametrize(
    ("limits", "wrong"),
    [
        (Limits((49, 50, 20), 900, 1700), "hours exceeded by 1"),
        (Limits((50, 49, 20), 900, 1700), "hours exceeded by 1"),
        (Limits((50, 50, 15), 900, 1700), "hours exceeded by 5"),
        (Limits((50, 50, 20), 890, 1700), "supplies exceeded by 10"),
        (Limits((50, 50, 20), 900, 0), "staff exceeded by 1700"),
    ],
)
def test_each_broken_limit_is_named(limits: Limits, wrong: str) -> None:
    assert violations(Problem(CASE.volumes, limits), Solution((1, 1))) == [wrong]


def test_answers_of_the_wrong_shape_are_named() -> None:
    assert violations(CASE, Solution((1,))) == ["1 choices for 2 volumes"]
    assert violations(CASE, Solution((1, 2))) == ["B has no option at place 2"]
    assert violations(CASE, Solution((-1, 0))) == ["A has no option at place -1"]


def test_needs_count_whole_packs() -> None:
    shelf = Shelf(100, 60, 7)
    assert [shelf.cost(use) for use in (0, 100, 101, 160, 161)] == [0, 0, 67, 67, 127]
    assert [shelf.left(use) for use in (0, 100, 101, 160, 161)] == [100, 0, 59, 0, 59]


def test_needs_count_the_shelf_once() -> None:
    uses = {"shelf_uses": ((0, 70),)}
    problem = Problem(
        (volume("A", option(1, 1, **uses)), volume("B", option(1, 1, **uses))),
        Limits((0, 0, 0), 0),
        (Shelf(100),),
    )
    answer = Solution((1, 1))
    assert needs(problem, picked(problem, answer)).supplies_hundredths == 40
    assert violations(problem, answer) == ["supplies exceeded by 40"]


@settings(derandomize=True, deadline=None, max_examples=30)
@given(seed=st.integers(0, 10**6), shelves=st.integers(0, 3))
def test_greedy_keeps_the_limits_and_both_bounds_stand_above_the_best(seed: int, shelves: int) -> None:
    problem = random_problem(seed, volumes=5, options=3, shelves=shelves)
    answer = greedy(problem)
    best = best_by_hand(problem)
    assert violations(problem, answer) == []
    assert benefit_millionths(problem, answer) <= best
    assert best <= upper_bound(problem)
    assert best <= relax(Arrays(problem)).bound


def test_no_single_volume_can_be_raised_after_raising() -> None:
    problem = random_problem(11, volumes=8, options=3)
    raised = raise_where_room(problem, Solution((0,) * 8))
    benefit = benefit_millionths(problem, raised)
    for answer in all_answers(problem):
        changed = sum(a != b for a, b in zip(answer.picks, raised.picks, strict=True))
        if changed == 1 and benefit_millionths(problem, answer) > benefit:
            assert violations(problem, answer)


def test_the_simple_bound_takes_part_of_a_step() -> None:
    # 150 of 200 for a benefit of 4: three quarters of it
    problem = money(volume("A", option(1, 4, supplies_hundredths=200)), supplies=150)
    assert upper_bound(problem) == 3_000_000
