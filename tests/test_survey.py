"""Sampled surveys: the stratified estimator against hand-worked figures, published sample sizes and a census."""

import itertools
import math
import statistics

import pytest

from pipeline.survey import (
    Estimate,
    Method,
    StratumSample,
    estimate_total,
    survey_size,
    t_quantile,
    volumes_to_survey,
)

METHOD = Method(interval=0.90, unseen=0.5)


def test_two_strata_worked_by_hand() -> None:
    """Derived here. Stratum 1: N = 20, values 2 4 6 (mean 4, s2 = 4). Stratum 2: N = 10, values 1 3 (mean 2, s2 = 2).

    Total 20 x 4 + 10 x 2 = 100. Variance 20 x 17 x 4 / 3 + 10 x 8 x 2 / 2 = 453.333 + 80 = 533.333. Degrees of freedom
    533.333^2 / (453.333^2 / 2 + 80^2 / 1) = 284444 / (102756 + 6400) = 2.606, rounded down 2: t = 2.920.
    """
    strata = [StratumSample((2, 4, 6), 20), StratumSample((1, 3), 10)]
    found = estimate_total(strata, METHOD)
    assert found.value == 100
    assert found.standard_error == pytest.approx(math.sqrt(1600 / 3), rel=1e-12)
    assert found.low is not None
    assert found.high is not None
    assert found.high - 100 == pytest.approx(2.91999 * 23.0940, rel=1e-5)
    assert found.low == pytest.approx(100 - 2.91999 * 23.0940, rel=1e-4)


COUNTIES_OF_A_COUNTRY = (
    (220, 21, 97_629.81, 7_647_472_708),
    (1054, 103, 300_504.16, 29_618_183_543),
    (1382, 135, 211_315.04, 53_587_487_856),
    (422, 41, 662_295.51, 396_185_950_266),
)
"""Units in all, units sampled, mean and variance of the sample in each stratum."""


def values_of(count: int, mean: float, variance: float) -> tuple[float, ...]:
    """So many values with just that mean and variance (n - 1): half above, half below, an odd one on it."""
    half = count // 2
    step = math.sqrt(variance * (count - 1) / (2 * half))
    return (mean + step,) * half + (mean - step,) * half + (mean,) * (count % 2)


def test_a_published_stratified_sample() -> None:
    """S. L. Lohr, Sampling: Design and Analysis, example 3.2: farm land, acres, from a stratified sample of counties.

    Published: total 909,736,035 with a standard error of 50,417,248 (finite population correction included).
    """
    strata = [
        StratumSample(values_of(sampled, mean, variance), in_all)
        for in_all, sampled, mean, variance in COUNTIES_OF_A_COUNTRY
    ]
    found = estimate_total(strata, METHOD)
    assert found.value == pytest.approx(909_736_035, abs=5)
    assert found.standard_error == pytest.approx(50_417_248, abs=2)


def test_a_census_has_no_error() -> None:
    found = estimate_total([StratumSample((1, 2, 3), 3), StratumSample((4,), 1)], METHOD)
    assert found == Estimate(10, 0.0, 10, 10)


def test_the_estimator_is_unbiased_over_every_sample() -> None:
    """Every sample of 3 of 6 volumes: the mean of the totals is the total, the mean of s.e.^2 their variance."""
    values = (3.0, 0.0, 7.0, 4.0, 4.0, 12.0)
    found = [
        estimate_total([StratumSample(sample, 6)], METHOD) for sample in itertools.combinations(values, 3)
    ]
    totals = [estimate.value for estimate in found if estimate.value is not None]
    errors = [estimate.standard_error for estimate in found if estimate.standard_error is not None]
    assert statistics.fmean(totals) == pytest.approx(sum(values))
    assert statistics.fmean(error**2 for error in errors) == pytest.approx(statistics.pvariance(totals))


def test_what_cannot_be_told_is_left_open() -> None:
    assert estimate_total([], METHOD) == Estimate()
    assert estimate_total([StratumSample((1, 2), 9), StratumSample((), 5)], METHOD) == Estimate()
    assert estimate_total([StratumSample((1,), 9)], METHOD) == Estimate(9)


def test_none_seen_is_not_taken_for_none_there() -> None:
    none = estimate_total([StratumSample((0.0,) * 10, 100, is_share=True)], METHOD)
    assert (none.value, none.low) == (0, 0)
    assert none.high is not None
    assert 2 < none.high < 30
    every = estimate_total([StratumSample((1.0,) * 10, 100, is_share=True)], METHOD)
    assert (every.value, every.high) == (100, 100)
    assert every.low is not None
    assert every.low < 98


def test_an_interval_never_denies_what_was_seen() -> None:
    found = estimate_total([StratumSample((1.0, 0.0, 0.0), 40, is_share=True)], METHOD)
    assert found.low == 1
    assert found.high == 38


@pytest.mark.parametrize(
    ("degrees", "t95"),
    [
        (1, 6.3138),
        (2, 2.9200),
        (3, 2.3534),
        (4, 2.1318),
        (5, 2.0150),
        (10, 1.8125),
        (30, 1.6973),
        (120, 1.6577),
    ],
)
def test_t_quantiles_of_the_usual_tables(degrees: int, t95: float) -> None:
    """Student's t, 0.95: the values of the usual printed tables (from memory)."""
    assert t_quantile(0.95, degrees) == pytest.approx(t95, abs=0.0015)


@pytest.mark.parametrize(
    ("share", "half_width", "interval", "in_all", "size"),
    [
        (0.5, 0.05, 0.95, None, 384.15),  # Cochran 1977; 385 rounded up
        (0.5, 0.05, 0.95, 1000, 277.7),  # Cochran 1977; 278
        (0.15, 0.03, 0.92, None, 433.85),  # Drott, College & Research Libraries 1969, with z = 1.75
    ],
)
def test_published_sample_sizes(
    share: float, half_width: float, interval: float, in_all: int | None, size: float
) -> None:
    assert survey_size(share, half_width, interval, in_all) == pytest.approx(size, abs=1)


def test_a_survey_of_the_size_asked_for_is_as_precise_as_wanted() -> None:
    """One stratum, s2 = 4, N = 100, wanted 90 % within 20: V = (20 / 1.645)^2 = 147.8, n = 100 x 400 / 547.8."""
    strata = [StratumSample((2, 4, 6), 100)]
    size = volumes_to_survey(strata, 20, METHOD)
    assert size == 74
    left = 100 * (100 - size) * 4 / size
    assert 1.6449 * math.sqrt(left) <= 20
    assert volumes_to_survey(strata, 0, METHOD) is None
    assert volumes_to_survey([StratumSample((2,), 100)], 20, METHOD) is None
    assert volumes_to_survey(strata, 1e-9, METHOD) == 100
