"""Estimates from returns, drawn towards their starting figure while returns are few.

A normal-gamma (normal-inverse-gamma) posterior of a linear model: minutes = set-up + sheets x minutes a sheet, fore
edge gained = sum of sheets x thickness. The figures start at their prior mean with the policy's spread; the scatter
of the tasks is itself estimated. Intervals are those of the marginal Student distribution.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Prior:
    """Starting figures, how far each may be off (one standard deviation), and the scatter of one observation.

    `weight` is the number of observations that the starting scatter weighs as much as.
    """

    mean: tuple[float, ...]
    spread: tuple[float, ...]
    variance: float
    weight: float


@dataclass(frozen=True)
class Estimate:
    """A figure with its interval."""

    value: float
    low: float
    high: float


def posterior(
    features: Array, seen: Array, prior: Prior, interval_frac: float
) -> tuple[tuple[Estimate, ...], float]:
    """An estimate per figure, and the scatter (variance) of one observation.

    One row of `features` per observation, scaled so that all have the same scatter. Source: conjugate Bayesian
    linear regression, as in any textbook (from memory).
    """
    mean = np.asarray(prior.mean, dtype=np.float64)
    spread = np.maximum(np.asarray(prior.spread, dtype=np.float64), 1e-9)
    precision0 = np.diag(prior.variance / spread**2)
    precision = precision0 + features.T @ features
    centre = np.linalg.solve(precision, precision0 @ mean + features.T @ seen)
    shape = (prior.weight + len(seen)) / 2
    misfit = seen @ seen + mean @ precision0 @ mean - centre @ precision @ centre
    rate = (prior.weight * prior.variance + max(0.0, float(misfit))) / 2
    scale = np.sqrt(rate / shape * np.diag(np.linalg.inv(precision)))
    reach = student_quantile((1 + interval_frac) / 2, 2 * shape)
    estimates = tuple(
        Estimate(float(value), float(value - reach * width), float(value + reach * width))
        for value, width in zip(centre, scale, strict=True)
    )
    return estimates, rate / shape


def student_quantile(chance: float, freedom: float) -> float:
    """Quantile of the Student distribution, to some 0.001 from 5 degrees of freedom on.

    Source: expansion in the normal quantile, Abramowitz and Stegun 26.7.5.
    """
    x = NormalDist().inv_cdf(chance)
    terms = (
        (x**3 + x) / 4,
        (5 * x**5 + 16 * x**3 + 3 * x) / 96,
        (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / 384,
        (79 * x**9 + 776 * x**7 + 1482 * x**5 - 1920 * x**3 - 945 * x) / 92160,
    )
    return x + sum(term / freedom**power for power, term in enumerate(terms, start=1))


def share(starting_frac: float, weight: float, *, hits: int, trials: int, interval_frac: float) -> Estimate:
    """A share (of sheets spoiled) by a beta-binomial posterior, with a normal interval."""
    total = weight + trials
    value = (weight * starting_frac + hits) / total
    reach = NormalDist().inv_cdf((1 + interval_frac) / 2) * math.sqrt(value * (1 - value) / (total + 1))
    return Estimate(value, max(0.0, value - reach), min(1.0, value + reach))
