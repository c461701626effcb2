"""Several days as one answer: the worst status, the tiers added up, bounds that stay true.

A request on offer on one day only ties no days together: the days' bounds add up to a bound of the
whole. One that suits on several days was offered to each in turn, and another split might have been
better: then a request that an early day took may count once more on a later day's side of the bound
of `accepted-value`, never above all there is to accept, and the other tiers keep only the bound
that nothing can beat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from schemas.plan import SolveStatus, Tier
from solver.days import DayPart
from solver.model.facts import worth
from solver.model.progress import gap
from solver.model.search import DayOutcome, TierResult


@dataclass(frozen=True)
class DayTiers:
    """One day's part of the book and what the search made of it."""

    part: DayPart
    outcome: DayOutcome
    accepted: frozenset[str] = frozenset()
    """Ids of the visits that got a place."""
    bound_to_others: bool = False
    """Rules on hours held it to what other days took: what it could not do, the book might."""


def merge_status(days: Sequence[DayTiers]) -> SolveStatus:
    """The worst of the days; optimal only if every merged tier is proved."""
    if any(day.outcome.infeasible and not day.bound_to_others for day in days):
        return SolveStatus.INFEASIBLE
    if any(day.outcome.placement is None for day in days):
        return SolveStatus.OUT_OF_TIME
    proved = all(tier.value == tier.bound for tier in merge_tiers(days))
    return SolveStatus.OPTIMAL if proved else SolveStatus.FEASIBLE


def merge_tiers(days: Sequence[DayTiers]) -> tuple[Tier, ...]:
    """Each tier with value and bound added up over the days; none if a day has no plan."""
    if not days or any(day.outcome.placement is None for day in days):
        return ()
    offers = Counter(request.id for day in days for request in day.part.requests)
    coupled = any(count > 1 for count in offers.values())
    return tuple(
        _merged(days, results, coupled)
        for results in zip(*(day.outcome.tiers for day in days), strict=True)
    )


def _merged(days: Sequence[DayTiers], results: tuple[TierResult, ...], coupled: bool) -> Tier:
    goal = results[0].goal
    value = sum(result.value for result in results)
    bound = sum(result.bound for result in results)
    if goal.maximised and any(day.bound_to_others for day in days):
        bound = _worth_on_offer(days)
    elif coupled and goal.maximised:
        bound = min(bound + _worth_counted_again(days), _worth_on_offer(days))
    elif coupled or any(day.bound_to_others for day in days):
        bound = sum(result.goal.best_thinkable * result.goal.factor for result in results)
    return Tier(
        name=goal.name,
        sentence=goal.sentence,
        value=value,
        bound=bound,
        gap=gap(value, bound),
        maximised=goal.maximised,
    )


def _worth_counted_again(days: Sequence[DayTiers]) -> int:
    """Worth of what an early day took and a later day would have been offered otherwise."""
    taken: set[str] = set()
    again: dict[str, int] = {}
    for day in days:
        again |= {
            request.id: worth(request) for request in day.part.requests if request.id in taken
        }
        taken |= day.accepted
    return sum(again.values())


def _worth_on_offer(days: Sequence[DayTiers]) -> int:
    visits = {visit.id: visit for day in days for visit in day.part.visits}
    return sum(worth(visit) for visit in visits.values())
