"""Pace, learned from finished visits.

For each lead and technique, `y = ln(took / reckoned)` of a visit is taken as normal about the
logarithm of her pace, with the known spread `v` of one visit (the rate `spread-visits`). Before any
visit her pace is believed to be lognormal about 1 with the spread `l` from lead to lead (the rate
`spread-leads`). The normal is conjugate to itself, so after the visits the belief is normal with

    precision = 1 / l^2 + W / v^2,   W = sum of weights
    mean      = (sum of weight * y / v^2) / precision

which shrinks to the house rate while visits are few. Weights are 1 but for records far from the
rest: Tukey's biweight, from the median, with limits that widen for a handful of visits, so that one
forgotten clock neither moves the pace nor counts as a visit. By the house's rates a record that is
more than four and a half times off is worth nothing even where it is the only one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp, log, sqrt
from statistics import median
from typing import NamedTuple

from schemas.takeoff import FinishedVisit, PaceEstimate
from solver.takeoff.odds import standard_quantile
from solver.takeoff.rates import HOUSE_BOOK, RateBook

TUKEY = 4.685
"""Limit of the biweight in standard deviations: 95 % efficient for normal records (Beaton and
Tukey 1974)."""
SLOWEST, FASTEST = 4.0, 0.25
"""Limits of a pace, as in the vocabulary."""


class Spreads(NamedTuple):
    """Standard deviations of ln pace."""

    leads: float
    """From lead to lead."""
    visits: float
    """From visit to visit of one lead."""

    @classmethod
    def of(cls, rates: RateBook) -> Spreads:
        return cls(rates["spread-leads"], rates["spread-visits"])


class Belief(NamedTuple):
    """A normal belief about ln pace."""

    mean: float
    deviation: float
    visits: int
    set_aside: int


def learn_pace(
    visits: Sequence[FinishedVisit], rates: RateBook = HOUSE_BOOK
) -> tuple[PaceEstimate, ...]:
    """An estimate for every lead and technique among `visits`, in alphabetical order."""
    records: dict[tuple[str, str], list[float]] = {}
    for visit in visits:
        ratio = log(visit.took / visit.reckoned)
        records.setdefault((visit.lead, visit.technique), []).append(ratio)
    return tuple(
        _estimate(lead, technique, belief_from(ratios, Spreads.of(rates)))
        for (lead, technique), ratios in sorted(records.items())
    )


def overall_pace(
    lead: str, visits: Sequence[FinishedVisit], rates: RateBook = HOUSE_BOOK
) -> PaceEstimate:
    """The estimate for `lead` over all her techniques; the house rate itself without a visit."""
    ratios = [log(visit.took / visit.reckoned) for visit in visits if visit.lead == lead]
    return _estimate(lead, None, belief_from(ratios, Spreads.of(rates)))


def belief_from(ratios: Iterable[float], spreads: Spreads) -> Belief:
    """The belief about ln pace after visits with these ln(took / reckoned)."""
    ys = list(ratios)
    weights = _weights(ys, spreads)
    known = sum(weights) / spreads.visits**2
    precision = 1 / spreads.leads**2 + known
    pulled = sum(weight * y for weight, y in zip(weights, ys, strict=True)) / spreads.visits**2
    set_aside = sum(weight < 0.5 for weight in weights)
    return Belief(pulled / precision, 1 / sqrt(precision), len(ys), set_aside)


def _weights(ys: Sequence[float], spreads: Spreads) -> list[float]:
    """Tukey's biweight about a centre that is itself drawn towards the house rate.

    The centre is the median of the records and of the house rate, once for each record up to two:
    a single record is judged against what is known of leads, many against one another.
    """
    centre = median([*ys, *([0.0] * max(0, 3 - len(ys)))]) if ys else 0.0
    doubt = spreads.leads if len(ys) < 3 else spreads.visits / sqrt(len(ys))
    limit = TUKEY * sqrt(spreads.visits**2 + doubt**2)
    return [max(0.0, 1 - ((y - centre) / limit) ** 2) ** 2 for y in ys]


def _estimate(lead: str, technique: str | None, belief: Belief) -> PaceEstimate:
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
