"""Learned figures against cases worked by hand and against seeded truth."""

import numpy as np
import pytest

from pipeline.ledger.learn import Prior, posterior, share, student_quantile


@pytest.mark.parametrize(("freedom", "expected"), [(5, 2.0150), (10, 1.8125), (30, 1.6973), (1000, 1.6464)])
def test_student_quantiles(freedom: float, expected: float) -> None:
    # 0.95 quantiles of the printed tables of the Student distribution (from memory)
    assert student_quantile(0.95, freedom) == pytest.approx(expected, abs=1e-3)


def test_one_figure_is_the_weighted_mean_of_start_and_returns() -> None:
    # spread 2 and scatter 2: the start weighs as much as one observation, so (10 + 16) / 2
    prior = Prior(mean=(10.0,), spread=(2.0,), variance=4.0, weight=6)
    (estimate,), _ = posterior(np.array([[1.0]]), np.array([16.0]), prior, 0.9)
    assert estimate.value == pytest.approx(13.0)
    assert estimate.low < 13.0 < estimate.high


def seen_tasks(rng: np.random.Generator, truth: list[float], count: int) -> tuple[np.ndarray, np.ndarray]:
    """Volumes of 5 to 60 sheets, and the minutes they took: a set-up, so many a sheet, and a scatter of 3."""
    features = np.column_stack([np.ones(count), rng.integers(5, 60, count).astype(float)])
    return features, features @ np.array(truth) + rng.normal(0, 3, count)


PRIOR = Prior(mean=(12.0, 1.0), spread=(6.0, 0.5), variance=9.0, weight=6)


def test_many_returns_find_the_truth_and_intervals_narrow() -> None:
    rng = np.random.default_rng(20_270_104)
    widths = []
    for count in (2, 20, 200):
        (_, a_sheet), _ = posterior(*seen_tasks(rng, [16.0, 0.7], count), PRIOR, 0.9)
        widths.append(a_sheet.high - a_sheet.low)
    assert widths[0] > widths[1] > widths[2]
    assert a_sheet.value == pytest.approx(0.7, abs=0.05)


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(20_270_105)
    held = []
    for _ in range(300):
        truth = [float(rng.normal(12.0, 6.0)), float(rng.normal(1.0, 0.5))]
        estimates, _ = posterior(*seen_tasks(rng, truth, 15), PRIOR, 0.9)
        held += [one.low <= true <= one.high for one, true in zip(estimates, truth, strict=True)]
    assert 0.86 <= sum(held) / len(held) <= 0.94


def test_a_figure_that_is_nought_stays_nought() -> None:
    prior = Prior(mean=(0.0, 5.0), spread=(0.0, 2.0), variance=1.0, weight=6)
    (nought, _), _ = posterior(np.array([[1.0, 1.0]]), np.array([7.0]), prior, 0.9)
    assert nought.value == pytest.approx(0.0, abs=1e-6)


def test_a_share_is_drawn_to_its_start() -> None:
    # 200 sheets at 3 % and 100 at 9 %: 15 of 300
    found = share(0.03, 200, hits=9, trials=100, interval_frac=0.9)
    assert found.value == pytest.approx(0.05)
    assert 0 <= found.low < 0.05 < found.high
