"""Odds: how long a phase and a visit may take.

Durations are right-skewed, and surgery and service times have been found to be fitted better by a
lognormal than by a normal (May, Strum and Vargas 2000; Strum et al. 2003; Brown et al. 2005).

**A phase** is a lognormal of stated mean and coefficient of variation (CV). The braiding's CV is
`sqrt(cv-braiding^2 + cv-braid^2 / braids)`: what one braider and one head of hair share does not
average out over the braids, only the rest does.

**A visit** adds its phases up. The logarithms share a part `common-share` of their variance, so
two phases have the covariance `m_i m_j (exp(common * s_i * s_j) - 1)`. The sum is taken as the
lognormal of the same mean and variance (Fenton 1960, Wilkinson's approach). A test holds it against
a simulation.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, expm1, fsum, log1p, sqrt
from statistics import NormalDist
from typing import NamedTuple

_STANDARD = NormalDist()


@lru_cache(maxsize=128)
def standard_quantile(percentile: float) -> float:
    """The standard normal's quantile at `percentile` of 100."""
    return _STANDARD.inv_cdf(percentile / 100)


class Lognormal(NamedTuple):
    """A lognormal by its mean (minutes) and its CV."""

    mean: float
    cv: float

    @property
    def sigma(self) -> float:
        """Standard deviation of the logarithm."""
        return sqrt(log1p(self.cv * self.cv))

    def percentile(self, percent: float) -> float:
        """Minutes that are enough in `percent` of 100 cases."""
        sigma = self.sigma
        return self.mean * exp(standard_quantile(percent) * sigma - sigma * sigma / 2)


def braiding_cv(shared: float, single: float, braids: int) -> float:
    """CV of the braiding from the CV all braids share and that of a single braid's rest."""
    return sqrt(shared * shared + single * single / max(1, braids))


def added_up(phases: Sequence[Lognormal], common: float) -> Lognormal:
    """The sum of `phases`, whose logarithms share the part `common` (0 to 1) of their variance."""
    mean = fsum(phase.mean for phase in phases)
    sigmas = [phase.sigma for phase in phases]
    variance = 0.0
    for i, one in enumerate(phases):
        variance += (one.mean * one.cv) ** 2
        for j in range(i):
            shared = expm1(common * sigmas[i] * sigmas[j])
            variance += 2 * one.mean * phases[j].mean * shared
    return Lognormal(mean, sqrt(variance) / mean if mean else 0.0)
