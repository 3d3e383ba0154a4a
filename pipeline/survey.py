"""Totals of a whole collection estimated from a stratified sample, with intervals; and how many to survey.

Stratified estimator with finite population correction, and the effective degrees of freedom of its standard error:
W. G. Cochran, Sampling Techniques, 3rd edition, Wiley 1977, chapters 4 and 5 (formulas from memory of the book).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from pipeline.units import FLOOR_GUARD

NORMAL = NormalDist()


@dataclass(frozen=True)
class StratumSample:
    """What was seen of one stratum: the values of the volumes surveyed, and how many volumes there are in all.

    `is_share`: each value is 0 or 1, whether a volume is of a kind.
    """

    values: tuple[float, ...]
    volumes_in_all: int
    is_share: bool = False

    @property
    def surveyed(self) -> int:
        """Volumes surveyed."""
        return len(self.values)

    @property
    def mean(self) -> float | None:
        """Mean of the values; None where nothing was surveyed."""
        return math.fsum(self.values) / self.surveyed if self.values else None

    def variance(self, unseen: float) -> float | None:
        """Variance of the values (n - 1); None where one value or none cannot tell it.

        Of a kind that all or none of the volumes surveyed are of, `unseen` volumes are added to both sides: that
        none was seen does not mean that none is there.
        """
        if self.surveyed < 2 or self.mean is None:
            return None
        if self.is_share and self.mean in (0, 1):
            share = (math.fsum(self.values) + unseen) / (self.surveyed + 2 * unseen)
            return share * (1 - share) * self.surveyed / (self.surveyed - 1)
        return math.fsum((value - self.mean) ** 2 for value in self.values) / (self.surveyed - 1)


@dataclass(frozen=True)
class Estimate:
    """A total of a whole collection; None where it, or its error, cannot be told."""

    value: float | None = None
    standard_error: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Method:
    """The interval wanted, a share of 1, and the volumes added where all or none are of a kind."""

    interval: float
    unseen: float


def estimate_total(strata: Sequence[StratumSample], method: Method) -> Estimate:
    """The total over the strata: each stratum's mean for each of its volumes.

    The interval never says less than what was seen, nor, for volumes of a kind, more than can be.
    """
    means = [stratum.mean for stratum in strata]
    known = [mean for mean in means if mean is not None]
    if not strata or len(known) < len(strata):
        return Estimate()
    value = math.fsum(stratum.volumes_in_all * mean for stratum, mean in zip(strata, known, strict=True))
    parts = [_variance_part(stratum, method.unseen) for stratum in strata]
    told = [part for part in parts if part is not None]
    if len(told) < len(parts):
        return Estimate(value)
    error = math.sqrt(math.fsum(told))
    half = error * t_quantile((1 + method.interval) / 2, _degrees(strata, told)) if error else 0.0
    seen = math.fsum(math.fsum(stratum.values) for stratum in strata)
    high = value + half
    if all(stratum.is_share for stratum in strata):
        unlike = sum(stratum.surveyed for stratum in strata) - seen
        high = min(high, sum(stratum.volumes_in_all for stratum in strata) - unlike)
    return Estimate(value, error, min(value, max(seen, value - half)), max(value, high))


def volumes_to_survey(strata: Sequence[StratumSample], half_width: float, method: Method) -> int | None:
    """Least number of volumes, spread over the strata by their size, for a total within a half-width.

    From the variances seen: n = N^2 A / (V + N A) with A the mean variance weighed by the strata's sizes and V the
    square of the half-width over the normal quantile (Cochran 1977, chapter 5, proportional allocation). None where a
    variance cannot be told or no half-width is given.
    """
    variances = [stratum.variance(method.unseen) for stratum in strata]
    told = [variance for variance in variances if variance is not None]
    in_all = sum(stratum.volumes_in_all for stratum in strata)
    if not strata or len(told) < len(strata) or half_width <= 0:
        return None
    mean_variance = (
        math.fsum(stratum.volumes_in_all * variance for stratum, variance in zip(strata, told, strict=True))
        / in_all
    )
    wanted = (half_width / NORMAL.inv_cdf((1 + method.interval) / 2)) ** 2
    spread = in_all * mean_variance
    return min(in_all, math.ceil(in_all * spread / (wanted + spread)))


def survey_size(share: float, half_width: float, interval: float, in_all: int | None = None) -> float:
    """Volumes to draw at random for a share within a half-width: z^2 p q / d^2, less where there are few in all.

    n0 / (1 + (n0 - 1) / N) (Cochran 1977, chapter 4).
    """
    quantile = NORMAL.inv_cdf((1 + interval) / 2)
    endless = quantile**2 * share * (1 - share) / half_width**2
    return endless if in_all is None else endless / (1 + (endless - 1) / in_all)


def t_quantile(probability: float, degrees: int) -> float:
    """Quantile of Student's t: exact for 1 and 2 degrees, else by its expansion from the normal quantile.

    Abramowitz and Stegun 1964, 26.7.5 (from memory): within 0.001 for 3 degrees and better for more.
    """
    if degrees == 1:
        return math.tan(math.pi * (probability - 0.5))
    if degrees == 2:
        return (2 * probability - 1) / math.sqrt(2 * probability * (1 - probability))
    z = NORMAL.inv_cdf(probability)
    first = (z**3 + z) / 4
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    fourth = (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160
    return z + first / degrees + second / degrees**2 + third / degrees**3 + fourth / degrees**4


def _variance_part(stratum: StratumSample, unseen: float) -> float | None:
    """A stratum's part of the variance of the total: N (N - n) s^2 / n, none where all were surveyed."""
    left = stratum.volumes_in_all - stratum.surveyed
    if left == 0:
        return 0.0
    variance = stratum.variance(unseen)
    return None if variance is None else stratum.volumes_in_all * left * variance / stratum.surveyed


def _degrees(strata: Sequence[StratumSample], parts: Sequence[float]) -> int:
    """Effective degrees of freedom, rounded down: (sum of parts)^2 / sum of part^2 / (n - 1)."""
    spread = math.fsum(
        part**2 / (stratum.surveyed - 1) for stratum, part in zip(strata, parts, strict=True) if part
    )
    return max(1, int(math.fsum(parts) ** 2 / spread + FLOOR_GUARD))
