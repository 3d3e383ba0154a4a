"""Published two-stage cutting instances: our bounds equal the listed ones, plans lie close above them.

Sources stand in the files of data/. A general solver (CP-SAT) confirms optima of small made cases over all patterns.
"""

import pytest
from ortools.sat.python import cp_model

from pipeline.solve.cut.baseline import usual_way
from pipeline.solve.cut.check import broken_rules, cost_of
from pipeline.solve.cut.problem import Problem, pattern_cost, piece_counts
from pipeline.solve.cut.solver import lower_bound, solve
from tests.outside.cutting_cases import Instance, instances
from tests.solve.cut_cases import all_patterns, problem, sheet

CINTRA = [*instances("cintra_two_stage"), *instances("cintra_two_stage_turned")]
PAPER = {one.name: one for one in instances("paper_synthetic")}


@pytest.mark.parametrize("one", CINTRA, ids=lambda one: f"{one.name}-{one.problem.sizes[0].may_turn}")
def test_the_bound_equals_the_listed_bound(one: Instance) -> None:
    assert lower_bound(one.problem) == one.listed_bound


@pytest.mark.slow
def test_plans_of_the_small_instances_are_close_to_the_bound() -> None:
    gaps = []
    for one in CINTRA:
        if len(one.problem.sizes) <= 10:
            answer = solve(one.problem)
            assert broken_rules(one.problem, answer.runs) == ()
            gaps.append(float(cost_of(one.problem, answer.runs) / answer.bound - 1))
    assert sum(gaps) / len(gaps) <= 0.0025


@pytest.mark.slow
def test_twelve_leaf_sizes_on_one_stock_are_cut_from_the_proven_least_sheets() -> None:
    """1386 sheets, listed as bound and best; one size a sheet takes 1791."""
    one = PAPER["paper12"]
    answer = solve(one.problem)
    assert broken_rules(one.problem, answer.runs) == ()
    assert answer.bound == cost_of(one.problem, answer.runs) == one.listed_bound == 1386
    assert cost_of(one.problem, usual_way(one.problem)) == 1791


@pytest.mark.slow
def test_forty_leaf_sizes_have_the_listed_bound() -> None:
    assert lower_bound(PAPER["paper40"].problem) == PAPER["paper40"].listed_bound == 2155


SMALL = [
    problem(
        [(14, 22, 9), (17, 15, 7), (21, 18, 11)], sheet(40, 46, cost=5), sheet(30, 52, cost=4, stock_id="T")
    ),
    problem([(14, 22, 9), (17, 15, 7), (21, 18, 11)], sheet(40, 46, cost=5), max_sizes=1),
    problem([(15, 20, 6), (19, 16, 8), (22, 24, 5)], sheet(44, 48), may_turn=True, max_sizes=2),
]


@pytest.mark.parametrize("wanted", SMALL, ids=["two stocks", "one size a sheet", "turned"])
def test_a_general_solver_saves_at_most_one_parent(wanted: Problem) -> None:
    """The plan is a heuristic answer: at small demand it may be one parent above the least, never below it."""
    answer, best = solve(wanted), _optimum(wanted)
    dearest = max(pattern_cost(wanted, pattern) for pattern in all_patterns(wanted))
    assert broken_rules(wanted, answer.runs) == ()
    assert answer.bound <= best <= cost_of(wanted, answer.runs) <= best + dearest


def _optimum(wanted: Problem) -> int:
    """Least cost over all patterns, by CP-SAT."""
    model, patterns = cp_model.CpModel(), all_patterns(wanted)
    most = sum(size.demand for size in wanted.sizes)
    times = [model.new_int_var(0, most, f"p{index}") for index in range(len(patterns))]
    counts = [piece_counts(wanted, pattern) for pattern in patterns]
    for index, size in enumerate(wanted.sizes):
        model.add(sum(t * count[index] for t, count in zip(times, counts, strict=True)) >= size.demand)
    model.minimize(sum(t * pattern_cost(wanted, pattern) for t, pattern in zip(times, patterns, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)
