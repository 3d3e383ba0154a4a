"""Cut sizes of one paper: least number, places, bounds."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from pipeline.solve.size.baseline import Aim, find_strangers, own_sizes, total_cost
from pipeline.solve.size.check import check_solution, off_ideal_um, paper_taken_mm2
from pipeline.solve.size.cliques import maximal_cliques, overlap_graph
from pipeline.solve.size.costs import in_view_mm2, taken_paper_mm2
from pipeline.solve.size.costs import off_ideal_um as off_ideal_costs
from pipeline.solve.size.model import Limits
from pipeline.solve.size.parents import Parent
from pipeline.solve.size.problem import Leaf, admissible_leaves
from pipeline.solve.size.search import SizeAnswer, place_leaves, smallest_cover, solve_sizes
from tests.solve.size_cases import LIMITS, least_by_trying, page_problem, random_pages, shuffled

PAGES = st.lists(st.tuples(st.integers(200, 211), st.integers(280, 291)), min_size=1, max_size=6, unique=True)
FEW = settings(max_examples=30, derandomize=True, deadline=None)


def leaves_mm(answer: SizeAnswer) -> list[tuple[float, float]]:
    return [(size.leaf.width_ticks / 2, size.leaf.height_ticks / 2) for size in answer.solution.sizes]


@FEW
@given(pages=PAGES, sheets=st.lists(st.integers(1, 9), min_size=6, max_size=6))
def test_number_and_both_placings_are_those_of_trying_everything(
    pages: list[tuple[int, int]], sheets: list[int]
) -> None:
    problem = page_problem(
        [(float(w), float(h), count) for (w, h), count in zip(pages, sheets, strict=False)]
    )
    answer = solve_sizes(problem, LIMITS)

    fewest, nearest = least_by_trying(problem, off_ideal_costs(problem))
    _, in_view = least_by_trying(problem, in_view_mm2(problem))
    assert len(answer.solution.sizes) == answer.solution.lower_bound == fewest
    assert (answer.nearest.cost, answer.nearest.bound) == (nearest, nearest)
    assert (answer.in_view.cost, answer.in_view.bound) == (in_view, in_view)
    assert check_solution(problem, answer.solution) == []
    assert check_solution(problem, answer.nearest_solution) == []


@settings(FEW, max_examples=6)
@given(seed=st.integers(0, 10_000))
def test_half_mm_and_inch_pages_are_served_and_reported_alike_by_solver_and_checker(seed: int) -> None:
    for unit in ("mm", "in"):
        problem = page_problem(random_pages(25, seed=seed, step_mm=0.5), unit=unit)
        answer = solve_sizes(problem, LIMITS)
        assert check_solution(problem, answer.solution) == []
        assert off_ideal_um(problem, answer.nearest_solution) == answer.nearest.cost
        paper = taken_paper_mm2(problem)
        assert paper_taken_mm2(problem, answer.solution) == total_cost(answer.in_view.served, paper)
        assert answer.nearest.bound <= answer.nearest.cost
        assert answer.in_view.bound <= answer.in_view.cost
        in_view_of_nearest = total_cost(answer.nearest.served, in_view_mm2(problem))
        assert answer.in_view.cost <= in_view_of_nearest


def test_twenty_pages_three_mm_apart_are_one_component_and_ten_sizes() -> None:
    # each window is 4 mm wide, so two neighbours share 1 mm and no third page joins them
    problem = page_problem([(200.0 + 3 * step, 280.0, 1) for step in range(20)])
    answer = solve_sizes(problem, LIMITS)
    assert len(answer.solution.sizes) == 10
    assert answer.solution.lower_bound == 10
    assert len(answer.solution.strangers) == 10


def test_one_page_is_cut_at_the_ideal() -> None:
    answer = solve_sizes(page_problem([(200.0, 280.0, 7)], parents=()), LIMITS)
    assert leaves_mm(answer) == [(197.0, 277.0)]
    assert answer.nearest.cost == 0


def test_the_shared_size_lies_where_most_sheets_want_it() -> None:
    answer = solve_sizes(page_problem([(200.0, 280.0, 9), (202.0, 280.0, 2)], parents=()), LIMITS)
    assert leaves_mm(answer) == [(197.0, 277.0)]
    answer = solve_sizes(page_problem([(200.0, 280.0, 2), (202.0, 280.0, 9)], parents=()), LIMITS)
    # 199 mm would leave the smaller page 1 mm: the least clearance holds the size at 198
    assert leaves_mm(answer) == [(198.0, 277.0)]


def test_of_sizes_equally_near_the_wider_is_cut() -> None:
    # two pages 1 mm apart with a sheet each: 197, 197.5 and 198 mm are 1 mm off in all
    answer = solve_sizes(page_problem([(200.0, 280.0, 1), (201.0, 280.0, 1)], parents=()), LIMITS)
    assert leaves_mm(answer) == [(198.0, 277.0)]


def test_a_width_that_divides_the_sheet_is_preferred_to_the_ideal() -> None:
    # a trimmed sheet of 807 mm: 201.5 mm goes four times into it, the ideal 203 mm three times
    parent = Parent(
        stock_id="S1", along_leaf_width_ticks=1614, along_leaf_height_ticks=1200, worth_mm2=493_000
    )
    answer = solve_sizes(page_problem([(206.0, 300.0, 10)], parents=(parent,)), LIMITS)
    problem = page_problem([(206.0, 300.0, 10)], parents=(parent,))
    assert leaves_mm(answer) == [(201.5, 297.0)]
    assert answer.nearest_solution.sizes[0].leaf == Leaf(406, 594)
    # 493,000 mm2 over 4 x 2 and 3 x 2 leaves, ten sheets, rounded up per leaf
    assert paper_taken_mm2(problem, answer.solution) == 616_250
    assert paper_taken_mm2(problem, answer.nearest_solution) == 821_670


def test_admissible_leaves_are_what_all_served_pages_accept() -> None:
    problem = page_problem([(200.0, 280.0, 1), (202.0, 281.0, 1)])
    answer = solve_sizes(problem, LIMITS)
    # widths 196 to 198 mm and heights 275 to 278 mm suit both
    assert admissible_leaves(problem, answer.solution) == ((392, 396, 550, 556),)


def test_order_of_windows_does_not_matter() -> None:
    problem = page_problem(random_pages(40, seed=3))
    first, second = (solve_sizes(case, LIMITS) for case in (problem, shuffled(problem, 5)))
    assert [size.leaf for size in first.solution.sizes] == [size.leaf for size in second.solution.sizes]
    assert (first.nearest.cost, first.in_view.cost) == (second.nearest.cost, second.in_view.cost)


def test_same_problem_same_answer() -> None:
    problem = page_problem(random_pages(60, seed=4))
    assert solve_sizes(problem, LIMITS) == solve_sizes(problem, LIMITS)


@pytest.mark.parametrize("seed", range(4))
def test_least_number_is_that_of_another_solver(seed: int) -> None:
    rectangles = [window.rectangle for window in page_problem(random_pages(60, seed=seed)).windows]
    cover = smallest_cover(rectangles, LIMITS)

    corners = itertools.product({r[0] for r in rectangles}, {r[2] for r in rectangles})
    served = {frozenset(n for n, r in enumerate(rectangles) if r.holds(Leaf(*corner))) for corner in corners}
    model = cp_model.CpModel()
    cut = {
        numbers: model.new_bool_var(str(place)) for place, numbers in enumerate(sorted(served, key=sorted))
    }
    for number in range(len(rectangles)):
        model.add_bool_or([cut[numbers] for numbers in cut if number in numbers])
    model.minimize(sum(cut.values()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    assert len(cover.leaves) == cover.lower_bound == solver.objective_value


@pytest.mark.parametrize("seed", range(3))
def test_parts_too_large_to_search_whole_are_rounded_and_say_so(seed: int) -> None:
    rectangles = [window.rectangle for window in page_problem(random_pages(150, seed=seed)).windows]
    exact = smallest_cover(rectangles, LIMITS)
    rounded = smallest_cover(rectangles, replace(LIMITS, cover_windows=0, block_cliques=6))
    assert rounded.lower_bound <= exact.lower_bound == len(exact.leaves) <= len(rounded.leaves)
    assert rounded.limit_hit == (
        "" if len(rounded.leaves) == rounded.lower_bound else "part too large to search whole"
    )
    assert all(any(rectangle.holds(leaf) for leaf in rounded.leaves) for rectangle in rectangles)


def test_blocks_better_a_placing_and_its_bound_stays_below() -> None:
    problem = page_problem(random_pages(60, seed=8))
    leaves = smallest_cover([window.rectangle for window in problem.windows], LIMITS).leaves
    aim = Aim(off_ideal_costs(problem), taken_paper_mm2(problem))
    graph = overlap_graph(aim.cost.rectangles)
    exact = place_leaves(leaves, aim, graph, LIMITS)
    blocks = place_leaves(leaves, aim, graph, replace(LIMITS, place_windows=20))
    settled = place_leaves(leaves, aim, graph, replace(LIMITS, place_windows=20, blocks=0))
    assert exact.bound == exact.cost
    assert blocks.bound <= exact.cost <= blocks.cost < settled.cost
    assert blocks.limit_hit == "part too large to search whole"


def test_relaxation_bound_is_never_above_the_least_number() -> None:
    for seed in range(6):
        problem = page_problem(random_pages(7, seed=seed, spread_mm=9))
        fewest, _ = least_by_trying(problem, off_ideal_costs(problem))
        rectangles = [window.rectangle for window in problem.windows]
        assert smallest_cover(rectangles, replace(LIMITS, cover_windows=0)).lower_bound <= fewest
        assert len(find_strangers(overlap_graph(rectangles))) <= fewest


def test_usual_way_has_a_size_for_each_page_size() -> None:
    problem = page_problem([(200.0, 280.0, 1), (201.0, 280.0, 1), (201.0, 281.0, 1)])
    assert own_sizes(problem.windows) == 3
    assert len(solve_sizes(problem, LIMITS).solution.sizes) == 1


def test_search_stopped_by_nodes_still_serves_everyone() -> None:
    problem = page_problem(random_pages(60, seed=9))
    answer = solve_sizes(problem, replace(LIMITS, cover_nodes=0, place_nodes=0))
    assert check_solution(problem, answer.solution) == []
    assert "nodes" in answer.nearest.limit_hit


def test_maximal_cliques_hold_every_overlapping_pair_and_share_a_leaf() -> None:
    rectangles = sorted({window.rectangle for window in page_problem(random_pages(60, seed=2)).windows})
    graph = overlap_graph(rectangles)
    cliques = maximal_cliques(rectangles, graph)
    pairs = {frozenset(pair) for clique in cliques for pair in itertools.combinations(sorted(clique), 2)}
    assert pairs == {frozenset(edge) for edge in graph.edges}


@pytest.mark.slow
def test_two_thousand_scattered_pages_are_proven() -> None:
    problem = page_problem(random_pages(2000, seed=1, spread_mm=160))
    cover = smallest_cover([window.rectangle for window in problem.windows], Limits(seed=1))
    assert len(cover.leaves) == cover.lower_bound
