"""Rates of hair, learned from what finished visits took by the scales.

As a pace is learned (`solver.takeoff.learning`): `y = ln(used / expected)` of a visit, where the
expected grams are those of its take-off with the rates of today, is taken as normal about the
logarithm of one factor, with the spread of one head (the rate `cv-hair`). Before any visit the
factor is believed to be lognormal about 1, with the spread `spread-hair`. The factor is that of one
rate: of fill hair and wefts the technique's `hair-...`, of curls `curl-density`, whatever the
technique. A record far from the rest is weighed down.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, fsum, log

from schemas.hair import HairRole
from schemas.ledger import HairRateEstimate, StyleHair
from solver.takeoff.learning import Spreads, belief_from
from solver.takeoff.odds import standard_quantile
from solver.takeoff.rates import HOUSE_BOOK, RateBook

FINEST = 0.02
"""The smallest spread of one head that is believed: scales err too."""


@dataclass(frozen=True, slots=True)
class WeighedHair:
    """Hair of one role that one visit took, in grams: reckoned with today's rates, and weighed."""

    technique: str
    role: HairRole
    expected: float
    used: float


def rate_of(technique: str, role: HairRole) -> str:
    """The rate that grams of this role hang on."""
    return "curl-density" if role is HairRole.BULK else f"hair-{technique}"


def learn_hair(
    weighed: Iterable[WeighedHair], rates: RateBook = HOUSE_BOOK
) -> tuple[HairRateEstimate, ...]:
    """An estimate for every rate that the visits say something of, by its code."""
    ratios: dict[str, list[float]] = defaultdict(list)
    for each in weighed:
        code = rate_of(each.technique, each.role)
        if each.used > 0 and each.expected > 0 and code in rates.codes:
            ratios[code].append(log(each.used / each.expected))
    spreads = Spreads(leads=rates["spread-hair"], visits=max(FINEST, rates["cv-hair"]))
    return tuple(_estimate(code, found, spreads, rates) for code, found in sorted(ratios.items()))


def by_style(weighed: Iterable[WeighedHair]) -> tuple[StyleHair, ...]:
    """Sums by technique and role."""
    of: dict[tuple[str, str], list[WeighedHair]] = defaultdict(list)
    for each in weighed:
        of[each.technique, each.role.value].append(each)
    rows = []
    for (technique, role), own in sorted(of.items()):
        expected, used = fsum(each.expected for each in own), fsum(each.used for each in own)
        rows.append(
            StyleHair(
                technique=technique,
                role=role,
                visits=len(own),
                expected=expected,
                used=used,
                ratio=used / expected if expected else None,
            )
        )
    return tuple(rows)


def _estimate(
    code: str, ratios: list[float], spreads: Spreads, rates: RateBook
) -> HairRateEstimate:
    belief, rate = belief_from(ratios, spreads), rates.rate(code)
    reach = standard_quantile(95) * belief.deviation

    def bounded(log_factor: float) -> float:
        return min(rate.high, max(rate.low, rate.value * exp(log_factor)))

    return HairRateEstimate(
        rate=code,
        in_use=rate.value,
        learned=bounded(belief.mean),
        low=bounded(belief.mean - reach),
        high=bounded(belief.mean + reach),
        visits=belief.visits,
        set_aside=belief.set_aside,
    )
