"""Whole plans: sound by the checker, never below the bound, the optimum of tiny problems, the same on any machine."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.solve.cut.baseline import area_bound, first_fit, usual_way
from pipeline.solve.cut.check import broken_rules, cost_of
from pipeline.solve.cut.problem import Problem, piece_counts, total_cost
from pipeline.solve.cut.solver import lower_bound, solve
from tests.solve.cut_cases import least_cost, low_demand, problem, roll, sheet

SIDES = st.tuples(st.integers(14, 26), st.integers(14, 26), st.integers(1, 5))
TINY = st.lists(SIDES, min_size=1, max_size=3)
STOCK = (sheet(40, 46, cost=5, stock_id="S"), sheet(30, 52, cost=4, stock_id="T"))


@given(sizes=TINY, may_turn=st.booleans(), max_sizes=st.sampled_from([1, 2, None]))
@settings(max_examples=12, deadline=None, derandomize=True)
def test_plans_of_tiny_problems_are_sound_and_bounded(
    sizes: list[tuple[int, int, int]], may_turn: bool, max_sizes: int | None
) -> None:
    wanted = problem(sizes, *STOCK, may_turn=may_turn, max_sizes=max_sizes)
    answer, best = solve(wanted), least_cost(wanted)
    assert broken_rules(wanted, answer.runs) == ()
    assert area_bound(wanted) <= answer.bound <= best <= cost_of(wanted, answer.runs)
    assert cost_of(wanted, answer.runs) <= best + 1
    assert cost_of(wanted, answer.runs) <= cost_of(wanted, usual_way(wanted))


@given(sizes=TINY)
@settings(max_examples=6, deadline=None, derandomize=True)
def test_plans_off_a_roll_are_sound_and_bounded(sizes: list[tuple[int, int, int]]) -> None:
    wanted = problem([(w, h, min(d, 3)) for w, h, d in sizes[:2]], *roll(34, 44), max_sizes=2)
    answer, best = solve(wanted), least_cost(wanted)
    assert broken_rules(wanted, answer.runs) == ()
    assert answer.bound <= best <= cost_of(wanted, answer.runs) <= best * 1.1


@given(sizes=TINY, max_sizes=st.sampled_from([1, 2, None]))
@settings(max_examples=6, deadline=None, derandomize=True)
def test_simple_plans_are_sound_too(sizes: list[tuple[int, int, int]], max_sizes: int | None) -> None:
    wanted = problem(sizes, *STOCK, *roll(34, 44), max_sizes=max_sizes)
    assert broken_rules(wanted, first_fit(wanted)) == ()
    assert broken_rules(wanted, usual_way(wanted)) == ()


def test_the_usual_way_by_hand() -> None:
    """40 x 50 on 100 x 100: 2 x 2 a sheet, 9 wanted, 3 sheets; 30 x 40: 3 x 2 a sheet, 2 wanted, 1 sheet."""
    wanted = problem([(40, 50, 9), (30, 40, 2)], sheet(100, 100, cost=7))
    assert [run.sheets for run in usual_way(wanted)] == [3, 1]
    assert cost_of(wanted, usual_way(wanted)) == 28


def test_nothing_wanted_gives_an_empty_plan() -> None:
    assert solve(problem([], sheet(40, 40))).runs == ()
    assert solve(problem([(10, 10, 0)], sheet(40, 40))).runs == ()


def test_one_leaf_takes_one_parent() -> None:
    answer = solve(problem([(10, 10, 1)], sheet(40, 40, cost=3), max_sizes=1))
    assert [(run.sheets, piece_counts(problem([(10, 10, 1)]), run.pattern)) for run in answer.runs] == [
        (1, (1,))
    ]
    assert answer.bound == 3


def test_no_piece_is_cut_beyond_the_demand_where_it_costs_no_set_up() -> None:
    """A sheet holds 16; 5 are wanted, and 5 are cut."""
    wanted = problem([(10, 10, 5)], sheet(40, 40))
    assert sum(piece_counts(wanted, run.pattern)[0] * run.sheets for run in solve(wanted).runs) == 5


def test_stock_on_hand_is_taken_first_at_equal_cost() -> None:
    """Two like stock lines; three sheets of T lie in the lab, five are needed."""
    wanted = problem([(20, 20, 20)], sheet(40, 40, stock_id="S"), sheet(40, 40, stock_id="T"))
    answer = solve(replace(wanted, on_hand=(("S", 0), ("T", 3))))
    taken = {"S": 0, "T": 0}
    for run in answer.runs:
        taken[wanted.panels[run.pattern.panel].stock_id] += run.sheets
    assert taken == {"S": 2, "T": 3}


@pytest.mark.parametrize(("sizes", "max_sizes"), [(5, 1), (8, 2), (12, 3), (12, None)])
def test_low_demand_is_planned_within_a_parent_of_the_bound(sizes: int, max_sizes: int | None) -> None:
    wanted = low_demand(
        3, sizes, (sheet(1208, 1816), sheet(1816, 1208, across_width=False)), max_sizes=max_sizes
    )
    answer = solve(wanted)
    assert broken_rules(wanted, answer.runs) == ()
    assert cost_of(wanted, answer.runs) <= answer.bound + 1


def test_more_sizes_on_a_parent_never_cost_more() -> None:
    panels = (sheet(1208, 1816), sheet(1816, 1208, across_width=False))
    bounds = [lower_bound(low_demand(5, 10, panels, max_sizes=most)) for most in (1, 2, 3, None)]
    assert bounds == sorted(bounds, reverse=True)


def test_a_second_run_gives_the_same_plan() -> None:
    wanted = low_demand(4, 9, (sheet(1208, 1816, cost=60), sheet(1614, 2020, cost=91, stock_id="B")))
    assert solve(wanted, seed=1).runs == solve(wanted, seed=1).runs


def test_the_bound_is_not_above_a_plan_of_the_same_demand_in_other_order() -> None:
    wanted = low_demand(6, 8, (sheet(1208, 1816),))
    turned_round = Problem(sizes=wanted.sizes[::-1], panels=wanted.panels, max_sizes=wanted.max_sizes)
    assert lower_bound(wanted) == lower_bound(turned_round)
    assert lower_bound(wanted) <= total_cost(turned_round, solve(turned_round).runs)
