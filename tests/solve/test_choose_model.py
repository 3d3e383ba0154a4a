"""The choice: each limit alone, all answers of small cases, a second solver on random ones."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.choose.check import benefit_millionths, violations
from pipeline.solve.choose.problem import Limits, Problem, Shelf, Solution
from pipeline.solve.choose.solver import RELATIVE_GAP, solve
from tests.outside.choice_cp_sat import cp_sat_benefit
from tests.solve.choose_builders import best_by_hand, money, option, random_problem, volume


def picks(problem: Problem) -> tuple[int, ...]:
    return solve(problem, seed=1).solution.picks


def test_everything_is_taken_without_a_solver_where_all_of_it_fits() -> None:
    problem = money(volume("A", option(1, 2), option(2, 3)), volume("B", option(1, 1)))
    result = solve(problem, seed=1)
    assert result.solution.picks == (2, 1)
    assert (result.objective, result.bound, result.method) == (4_000_000, 4_000_000, "everything fits")


def test_a_budget_of_nothing_leaves_out_what_costs_and_keeps_what_is_free() -> None:
    problem = money(volume("A", option(1, 5, supplies_hundredths=1)), volume("B", option(1, 1)), supplies=0)
    assert picks(problem) == (0, 1)


def test_a_blank_budget_is_no_limit() -> None:
    dear = volume("A", option(1, 5, supplies_hundredths=10**8, staff_hundredths=10**8))
    assert picks(money(dear)) == (1,)


def test_supplies_budget_takes_the_parts_that_bring_most() -> None:
    # 100 pays for A's first part and all of B (1 + 6 = 7), for all of A alone (5) or B alone (6)
    problem = money(
        volume("A", option(1, 1, supplies_hundredths=40), option(2, 5, supplies_hundredths=100)),
        volume("B", option(1, 2, supplies_hundredths=30), option(2, 6, supplies_hundredths=60)),
        supplies=100,
    )
    result = solve(problem, seed=1)
    assert result.solution.picks == (1, 2)
    assert result.objective == result.bound == 7_000_000


def test_what_a_person_asked_for_comes_before_what_brings_more() -> None:
    # 60 pays for B (benefit 6) or for A's first part (1), which a person asked for; the rest, 20, buys C
    asked = volume("A", option(1, 1, supplies_hundredths=40), option(2, 2, supplies_hundredths=90))
    problem = money(
        replace(asked, is_asked=True),
        volume("B", option(1, 6, supplies_hundredths=60)),
        volume("C", option(1, 1, supplies_hundredths=20)),
        supplies=60,
    )
    result = solve(problem, seed=1)
    assert result.solution.picks == (1, 0, 1)
    assert result.objective == result.bound == 2_000_000
    assert picks(replace(problem, volumes=(asked, *problem.volumes[1:]))) == (0, 1, 0)


def test_what_a_person_asked_for_is_left_out_where_the_limits_do_not_reach_it() -> None:
    asked = replace(volume("A", option(1, 9, supplies_hundredths=70)), is_asked=True)
    assert picks(money(asked, volume("B", option(1, 6, supplies_hundredths=60)), supplies=60)) == (0, 1)


def test_staff_budget_binds_on_its_own() -> None:
    problem = money(
        volume("A", option(1, 3, staff_hundredths=50)),
        volume("B", option(1, 4, staff_hundredths=60)),
        staff=100,
    )
    assert picks(problem) == (0, 1)


def test_a_conservator_can_do_a_technicians_work_but_not_the_reverse() -> None:
    # 100 minutes of conservators and 60 of technicians; A asks a conservator for 120, B a technician for 150
    conservator = volume("A", option(1, 9, minutes=(120, 120, 120)))
    technician = volume("B", option(1, 1, minutes=(150, 150, 0)))
    limits = Limits((160, 160, 100))
    assert picks(Problem((conservator, technician), limits)) == (0, 1)


def test_what_stands_in_the_lab_need_not_be_bought() -> None:
    uses = {"shelf_uses": ((0, 70),)}
    volumes = (volume("A", option(1, 2, **uses)), volume("B", option(1, 3, **uses)))
    bare = Problem(volumes, Limits((0, 0, 0), 50), (Shelf(40),))
    # 40 on the shelf and 50 of money buy one volume's 70, not both's 140
    assert picks(bare) == (0, 1)
    assert picks(replace(bare, limits=Limits((0, 0, 0), 100))) == (1, 1)


def test_supplies_come_in_whole_packs_and_a_pack_once_bought_is_used_up() -> None:
    uses = ((0, 30),)
    volumes = (
        volume("A", option(1, 1, shelf_uses=uses)),
        volume("B", option(1, 2, shelf_uses=uses)),
        volume("C", option(1, 4, shelf_uses=((1, 10),))),
    )
    # C alone would cost 10 of its paper but must pay a pack of 50; one pack of 60 serves both A and B
    shelves = (Shelf(0, 60), Shelf(0, 50))
    assert picks(Problem(volumes, Limits((0, 0, 0), 60), shelves)) == (0, 0, 1)
    assert picks(Problem(volumes[:2], Limits((0, 0, 0), 60), shelves)) == (1, 1)
    assert picks(Problem(volumes, Limits((0, 0, 0), 110), shelves)) == (1, 1, 1)
    assert picks(Problem(volumes, Limits((0, 0, 0), 49), shelves)) == (0, 0, 0)


def test_a_surcharge_is_paid_once_packs_are_bought() -> None:
    volumes = (volume("A", option(1, 1, shelf_uses=((0, 30),))),)
    assert picks(Problem(volumes, Limits((0, 0, 0), 69), (Shelf(0, 60, 10),))) == (0,)
    assert picks(Problem(volumes, Limits((0, 0, 0), 70), (Shelf(0, 60, 10),))) == (1,)
    assert picks(Problem(volumes, Limits((0, 0, 0), 45), (Shelf(0, 60, -15),))) == (1,)
    assert picks(Problem(volumes, Limits((0, 0, 0), 0), (Shelf(30, 60, 10),))) == (1,)


def test_no_volume_and_one_volume() -> None:
    assert picks(Problem((), Limits((0, 0, 0)))) == ()
    assert picks(Problem((volume("A", option(1, 1, minutes=(1, 1, 1))),), Limits((0, 0, 0)))) == (0,)


@pytest.mark.parametrize("seed", range(40))
def test_no_other_answer_of_a_small_case_is_better(seed: int) -> None:
    problem = random_problem(seed, volumes=6, options=3, shelves=seed % 3)
    result = solve(problem, seed=1)
    assert violations(problem, result.solution) == []
    assert result.objective == result.bound == best_by_hand(problem)


@pytest.mark.parametrize("seed", range(12))
def test_a_second_solver_finds_the_same_best(seed: int) -> None:
    problem = random_problem(seed + 100, volumes=30, options=5, shelves=seed % 4)
    result = solve(problem, seed=1)
    best = cp_sat_benefit(problem)
    assert violations(problem, result.solution) == []
    assert result.objective <= best <= result.bound
    assert best - result.objective <= RELATIVE_GAP * best


@settings(derandomize=True, deadline=None, max_examples=25)
@given(seed=st.integers(0, 10**6), volumes=st.integers(1, 60), shelves=st.integers(0, 5))
def test_every_answer_keeps_the_limits_and_its_bound(seed: int, volumes: int, shelves: int) -> None:
    problem = random_problem(seed, volumes=volumes, options=5, shelves=shelves)
    result = solve(problem, seed=1)
    assert violations(problem, result.solution) == []
    assert result.objective == benefit_millionths(problem, result.solution) <= result.bound
    assert result.bound - result.objective <= 0.001 * result.bound


def test_the_order_of_the_volumes_changes_nothing_but_their_order() -> None:
    problem = random_problem(7, volumes=40, options=4)
    shuffled = list(problem.volumes)
    random.Random(3).shuffle(shuffled)
    other = replace(problem, volumes=tuple(sorted(shuffled, key=lambda row: row.volume_id)))
    assert solve(problem, seed=1).solution == solve(other, seed=1).solution


@pytest.mark.slow
def test_twenty_thousand_volumes_are_chosen_within_a_millionth_of_the_bound() -> None:
    problem = random_problem(5, volumes=20_000, options=5)
    result = solve(problem, seed=1)
    assert violations(problem, result.solution) == []
    assert result.bound - result.objective <= 1e-5 * result.bound
    assert result.solution != Solution((0,) * 20_000)
