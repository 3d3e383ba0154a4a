"""The choice of off-cuts against the checker of plans, and a program whose presolve once went wrong."""

from dataclasses import replace

import pytest

from pipeline.solve.cut.check import broken_rules, cost_of
from pipeline.solve.cut.offcut_ways import ways_of
from pipeline.solve.cut.offcuts import Handling, use_offcuts
from pipeline.solve.cut.problem import Cells, Pattern, Run, piece_counts
from pipeline.solve.cut.solver import solve
from tests.solve.cut_cases import low_demand, problem, sheet

WORK = Handling(
    setup_cost=600.0,
    lift_cost=300.0,
    keeping_cost=100.0,
    sheets_a_lift=500,
    longest_cut_ticks=2300,
    least_sides_ticks=(300, 400),
)
LARGE = (sheet(1614, 2020, cost=91), sheet(2020, 1614, cost=91, across_width=False))


def test_what_is_saved_is_paper_less_work() -> None:
    """A run of two parents at 91 goes with its work of 900, a ticket of 1000 comes: 182 + 900 - 1000 = 82."""
    given = low_demand(5, 5, LARGE, max_sizes=1)
    runs = solve(given).runs
    reuse = use_offcuts(given, runs, WORK)
    assert reuse is not None
    assert broken_rules(reuse.problem, reuse.runs) == ()
    assert not reuse.limit_hit
    assert [run.sheets for run in reuse.spared] == [2]
    assert reuse.saved == reuse.most_saved == pytest.approx(cost_of(given, reuse.spared) - WORK.keeping_cost)
    assert cost_of(reuse.problem, reuse.runs) == cost_of(given, runs) - cost_of(given, reuse.spared)


def test_dearer_keeping_ends_it() -> None:
    given = low_demand(5, 5, LARGE, max_sizes=1)
    assert use_offcuts(given, solve(given).runs, replace(WORK, keeping_cost=200.0)) is None


def test_a_parent_of_surplus_alone_is_none_that_offcuts_spare() -> None:
    """Two parents give a leaf each where one is wanted, and no off-cut gives any: the fresh plan stays as it is."""
    given = problem([(600, 600, 1)], sheet(1000, 1000), max_sizes=1)
    assert use_offcuts(given, [Run(Pattern(0, ((Cells(0, False, 1),),)), 2)], WORK) is None


def test_some_ways_only_say_what_could_be_saved_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """With one way listed the choice is a heuristic: every parent and the work of every run are the most."""
    monkeypatch.setattr("pipeline.solve.cut.offcut_ways.MOST_WAYS", 1)
    given = low_demand(5, 5, LARGE, max_sizes=1)
    runs = solve(given).runs
    reuse = use_offcuts(given, runs, WORK)
    assert reuse is not None
    assert reuse.method.startswith("heuristic")
    assert reuse.most_saved > reuse.saved
    assert reuse.most_saved <= cost_of(given, runs) + 900.0 * len(runs)


def test_offcuts_of_parents_that_go_are_not_there() -> None:
    """Each of two runs could be cut from what the other leaves, but not both: one parent goes, not two."""
    panel = sheet(1000, 1000)
    given = problem([(600, 600, 1), (400, 500, 1)], panel, max_sizes=1)
    runs = [Run(Pattern(0, ((Cells(size, False, 1),),)), 1) for size in (0, 1)]
    free = replace(WORK, setup_cost=0.0, lift_cost=0.0, keeping_cost=0.0)
    reuse = use_offcuts(given, runs, free)
    assert reuse is not None
    assert sum(run.sheets for run in reuse.spared) == 1
    assert broken_rules(reuse.problem, reuse.runs) == ()


def test_ways_of_an_offcut_by_hand() -> None:
    """On 700 x 500: two of 300 x 400 side by side, or one with one of 350 x 200 beside it, or four of those."""
    given = problem([(300, 400, 5), (350, 200, 5)], sheet(700, 500))
    ways = ways_of(given, 0, [5, 5])
    assert ways.are_all
    found = {piece_counts(given, pattern) for pattern in ways.patterns}
    assert found == {(2, 0), (1, 1), (0, 4)}
    assert {piece_counts(given, pattern) for pattern in ways_of(given, 0, [1, 3]).patterns} == {
        (1, 1),
        (0, 3),
    }
