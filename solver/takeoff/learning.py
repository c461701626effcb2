"""Pace, learned from finished visits.

For each lead and technique, `y = ln(took / reckoned)` of a visit is taken as normal about the
logarithm of her pace, with the known spread of one visit (`VISIT_SPREAD`). Before any visit her
pace is believed to be lognormal about 1 with the spread from lead to lead (`LEAD_SPREAD`). Both
are house figures. The normal is conjugate to itself, so after the visits the belief is normal with

    precision = 1 / LEAD_SPREAD^2 + W / VISIT_SPREAD^2,   W = sum of weights
    mean      = (sum of weight * y / VISIT_SPREAD^2) / precision

which shrinks to the house rate while visits are few. Weights are 1 but for records far from the
rest: Tukey's biweight, from the median, with limits that widen for a handful of visits, so that one
forgotten clock neither moves the pace nor counts as a visit. A record that is more than four
and a half times off is worth nothing even where it is the only one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp, log, sqrt
from statistics import median
from typing import NamedTuple

from schemas.takeoff import FinishedVisit, PaceEstimate
from solver.takeoff.odds import standard_quantile

LEAD_SPREAD = 0.2
"""Standard deviation of ln pace from lead to lead."""
VISIT_SPREAD = 0.25
"""Standard deviation of ln(took / reckoned) from visit to visit of one lead."""
TUKEY = 4.685
"""Limit of the biweight in standard deviations: 95 % efficient for normal records (Beaton and
Tukey 1974)."""
SLOWEST, FASTEST = 4.0, 0.25
"""Limits of a pace, as in the vocabulary."""


class Belief(NamedTuple):
    """A normal belief about ln pace."""

    mean: float
    deviation: float
    visits: int
    set_aside: int


def learn_pace(visits: Sequence[FinishedVisit]) -> tuple[PaceEstimate, ...]:
    """An estimate for every lead and technique among `visits`, in alphabetical order."""
    records: dict[tuple[str, str], list[float]] = {}
    for visit in visits:
        ratio = log(visit.took / visit.reckoned)
        records.setdefault((visit.lead, visit.technique), []).append(ratio)
    return tuple(
        _estimate(lead, technique, belief_from(ratios))
        for (lead, technique), ratios in sorted(records.items())
    )


def belief_from(ratios: Iterable[float]) -> Belief:
    """The belief about ln pace after visits with these ln(took / reckoned)."""
    ys = list(ratios)
    weights = _weights(ys)
    known = sum(weights) / VISIT_SPREAD**2
    precision = 1 / LEAD_SPREAD**2 + known
    pulled = sum(weight * y for weight, y in zip(weights, ys, strict=True)) / VISIT_SPREAD**2
    set_aside = sum(weight < 0.5 for weight in weights)
    return Belief(pulled / precision, 1 / sqrt(precision), len(ys), set_aside)


def _weights(ys: Sequence[float]) -> list[float]:
    """Tukey's biweight about a centre that is itself drawn towards the house rate.

    The centre is the median of the records and of the house rate, once for each record up to two:
    a single record is judged against what is known of leads, many against one another.
    """
    centre = median([*ys, *([0.0] * max(0, 3 - len(ys)))]) if ys else 0.0
    doubt = LEAD_SPREAD if len(ys) < 3 else VISIT_SPREAD / sqrt(len(ys))
    limit = TUKEY * sqrt(VISIT_SPREAD**2 + doubt**2)
    return [max(0.0, 1 - ((y - centre) / limit) ** 2) ** 2 for y in ys]


def _estimate(lead: str, technique: str, belief: Belief) -> PaceEstimate:
    reach = standard_quantile(95) * belief.deviation
    return PaceEstimate(
        lead=lead,
        technique=technique,
        pace=_bounded(exp(belief.mean)),
        low=_bounded(exp(belief.mean - reach)),
        high=_bounded(exp(belief.mean + reach)),
        visits=belief.visits,
        set_aside=belief.set_aside,
    )


def _bounded(pace: float) -> float:
    return min(SLOWEST, max(FASTEST, pace))
