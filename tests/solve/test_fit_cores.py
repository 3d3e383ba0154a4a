"""The bound between two papers, what it settles, and the exact tables on what it leaves."""

import numpy as np
import pytest

from pipeline.solve.fit.cores import Core, PaperPair, Worths, find_core, find_price
from pipeline.solve.fit.layout import NEVER_WORTH, Batch
from pipeline.solve.fit.lists import Openings, list_answer
from pipeline.solve.fit.pairs import make_pair, worth_by_second
from pipeline.solve.fit.problem import IntArray, Papers

VOLUMES, OPENINGS = 30, 40
THICKNESS_UM = [(52, 147), (60, 93), (50, 100), (75, 75)]


def made(seed: int) -> tuple[Batch, Worths]:
    """Volumes with two papers; a fifth of the sheets is not permitted, some worths are alike."""
    rng = np.random.default_rng(seed)
    thickness = THICKNESS_UM[seed % len(THICKNESS_UM)]
    worth = rng.integers(1, 300, (2, VOLUMES, OPENINGS))
    worth[1] = worth[0] + rng.integers(-20, 150, (VOLUMES, OPENINGS))
    worth[worth < 1] = 1
    worth[rng.random(worth.shape) < 0.2] = NEVER_WORTH
    every = np.tile(np.arange(OPENINGS), (VOLUMES, 1))
    headroom = rng.integers(max(thickness), 4500, VOLUMES)
    batch = Batch(np.arange(VOLUMES), headroom, every, every, np.ones((VOLUMES, 2), dtype=np.bool_))
    return batch, Worths(PaperPair(0, 1, *thickness), worth[0], worth[1], headroom)


def all_open(worths: Worths) -> Core:
    return Core(np.ones(worths.first.shape, dtype=np.bool_), np.full(worths.first.shape, -1))


def best(batch: Batch, worths: Worths, core: Core) -> IntArray:
    top: IntArray = worth_by_second(make_pair(batch, worths, core)).max(axis=0)
    return top


@pytest.mark.parametrize("seed", range(4))
def test_the_core_keeps_the_best_and_leaves_out_most(seed: int) -> None:
    batch, worths = made(seed)
    price = find_price(worths)
    core = find_core(worths, price, price.reached)
    exact = best(batch, worths, all_open(worths))
    assert (best(batch, worths, core) == exact).all()
    assert (price.reached <= exact).all()
    assert (exact <= price.bound).all()
    assert core.is_open.mean() < 0.5


@pytest.mark.parametrize("seed", range(4))
def test_tables_and_lists_agree(seed: int) -> None:
    batch, worths = made(seed)
    papers = Papers(
        thickness_um=np.array([worths.papers.first_um, worths.papers.second_um]),
        is_buffered=np.array([False, True]),
        price_ticks=np.array([1, 2]),
    )
    exact = best(batch, worths, all_open(worths))
    for volume in range(0, VOLUMES, 5):
        worth = np.stack([worths.first[volume], worths.second[volume]], axis=1)
        answer = list_answer(Openings(worth, batch.rank[volume], int(worths.headroom_um[volume])), papers, 0)
        assert answer is not None
        assert answer.keys[0] == exact[volume]


def test_with_room_for_every_best_sheet_only_ties_stay_open() -> None:
    first, second = np.array([[5, 7, 9, NEVER_WORTH]]), np.array([[6, 7, NEVER_WORTH, NEVER_WORTH]])
    worths = Worths(PaperPair(0, 1, 50, 60), first, second, np.array([1000]))
    price = find_price(worths)
    assert price.reached.tolist() == [22]
    core = find_core(worths, price, price.reached)
    assert core.is_open.tolist() == [[False, True, False, False]]
    assert core.settled.tolist() == [[1, -1, 0, -1]]


def test_a_worth_that_cannot_be_reached_gives_no_answer() -> None:
    papers = Papers(thickness_um=np.array([50]), is_buffered=np.array([True]), price_ticks=np.array([1]))
    openings = Openings(np.array([[5], [6]]), np.array([1, 2]), 60)
    assert list_answer(openings, papers, 7) is None
    answer = list_answer(openings, papers, 6)
    assert answer is not None
    assert answer.paper.tolist() == [-1, 0]
