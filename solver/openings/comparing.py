"""Says why a place comes before the next one, in the order in which places are ranked."""

from __future__ import annotations

from schemas.openings import Wish
from solver.openings.harm import short
from solver.openings.ranking import Candidate, Ranking

BEST = {
    Wish.SOONEST: "No place found starts earlier.",
    Wish.ANY_HOUR: "No place found is on an earlier day.",
    Wish.EARLY_FINISH: "No place found is done earlier in the day.",
    Wish.SHORTEST: "No place found is shorter.",
}
BETTER = {
    Wish.SOONEST: "it starts {} minutes earlier.",
    Wish.ANY_HOUR: "it is on an earlier day.",
    Wish.EARLY_FINISH: "it is done {} minutes earlier in the day.",
    Wish.SHORTEST: "it is {} minutes shorter.",
}


def best_of_all(ranking: Ranking, candidate: Candidate) -> tuple[str, ...]:
    """Says so where no place that was found, offered or not, is better for her wish."""
    return (BEST[ranking.wants.wish],) if ranking.measure_of(candidate) == ranking.least else ()


def before(ranking: Ranking, candidate: Candidate, after: Candidate | None) -> tuple[str, ...]:
    """Why `candidate` comes before `after`, the next in the answer; nothing for the last."""
    if after is None:
        return ()
    return (f"Before the next because {_why(ranking, candidate, after)}",)


def _why(ranking: Ranking, candidate: Candidate, after: Candidate) -> str:
    lead, other = candidate.way.lead.person, after.way.lead.person
    if candidate.off != after.off:
        return "it is nearer the preferred time."
    if candidate.bucket != after.bucket:
        return _wished(ranking, candidate, after)
    if candidate.bent != after.bent:
        return f"it is with {short(lead.name)}, as preferred."
    if candidate.cost.minutes != after.cost.minutes:
        less = after.cost.minutes - candidate.cost.minutes
        same_day = candidate.kind[0] == after.kind[0]
        how = "on the same day" if same_day else "for about the same wish"
        return f"it costs the book {less} minute{'s' * (less > 1)} less, {how}."
    if candidate.share != after.share:
        return f"{short(lead.name)} has less booked than {short(other.name)}."
    return "it is as good in all else, and comes first by time and in the list of staff."


def _wished(ranking: Ranking, candidate: Candidate, after: Candidate) -> str:
    better = ranking.measure_of(after) - ranking.measure_of(candidate)
    if better <= 0:
        return f"it is with {short(candidate.way.lead.person.name)}, as preferred."
    if ranking.wants.wish is Wish.SOONEST and candidate.kind[0] != after.kind[0]:
        return "it is on an earlier day."
    return BETTER[ranking.wants.wish].format(better)
