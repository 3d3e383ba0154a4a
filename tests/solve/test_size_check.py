"""The checker says what is wrong with broken cut sizes."""

from dataclasses import replace

import pytest

from pipeline.solve.size.check import check_solution, off_ideal_um
from pipeline.solve.size.problem import CutSize, Leaf, SizeSolution
from tests.solve.size_cases import page_problem

# windows 0 and 1 overlap, window 2 stands apart
PROBLEM = page_problem([(200.0, 280.0, 2), (202.0, 280.0, 3), (240.0, 280.0, 5)])
GOOD = SizeSolution(
    paper_id="BUF",
    sizes=(CutSize(leaf=Leaf(474, 554), windows=(2,)), CutSize(leaf=Leaf(396, 554), windows=(0, 1))),
    lower_bound=2,
    strangers=(0, 2),
)


def test_a_good_solution_has_no_fault() -> None:
    assert check_solution(PROBLEM, GOOD) == []


def test_distance_from_the_ideal_counts_sheets() -> None:
    # 198 mm: 1 mm above the ideal of two sheets, 1 mm below that of three
    assert off_ideal_um(PROBLEM, GOOD) == 5_000


@pytest.mark.parametrize(
    ("broken", "fault"),
    [
        (replace(GOOD, sizes=GOOD.sizes[:1], lower_bound=1, strangers=(2,)), "window 0 is served by 0 sizes"),
        (
            replace(GOOD, sizes=(GOOD.sizes[0], CutSize(leaf=Leaf(396, 554), windows=(0, 0, 1)))),
            "window 0 is served by 2 sizes",
        ),
        (
            replace(GOOD, sizes=(*GOOD.sizes, CutSize(leaf=Leaf(395, 554), windows=(1,)))),
            "window 1 is served by 2 sizes",
        ),
        (
            replace(GOOD, sizes=(GOOD.sizes[0], CutSize(leaf=Leaf(397, 554), windows=(0, 1)))),
            "outside window 0",
        ),
        (
            replace(GOOD, sizes=(GOOD.sizes[0], CutSize(leaf=Leaf(396, 557), windows=(0, 1)))),
            "outside window 0",
        ),
        (replace(GOOD, sizes=(*GOOD.sizes, CutSize(leaf=Leaf(1, 1), windows=()))), "serves no window"),
        (
            replace(GOOD, sizes=(*GOOD.sizes, CutSize(leaf=Leaf(396, 554), windows=(9,)))),
            "window 9 is not known",
        ),
        (replace(GOOD, sizes=(*GOOD.sizes, CutSize(leaf=Leaf(396, 554), windows=()))), "a size stands twice"),
        (replace(GOOD, lower_bound=3), "bound 3, 2 sizes"),
        (replace(GOOD, lower_bound=1), "2 strangers, bound 1"),
        (replace(GOOD, strangers=(0, 1)), "overlap"),
        (replace(GOOD, strangers=(2, 2)), "a stranger stands twice"),
    ],
)
def test_each_fault_is_named(broken: SizeSolution, fault: str) -> None:
    assert any(fault in line for line in check_solution(PROBLEM, broken))
