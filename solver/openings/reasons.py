"""Says in words and minutes why a place is offered and what it costs."""

from __future__ import annotations

from datetime import datetime

from schemas.openings import Wish
from schemas.plan import PlannedBreak
from solver.openings.composed import Composed
from solver.openings.harm import short
from solver.openings.ranking import Candidate, Ranking

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def reasons(ranking: Ranking, candidate: Candidate, composed: Composed) -> tuple[str, ...]:
    """The sentences of one opening: the client's side, the crew's, then the book's."""
    said = [_wish(ranking, candidate, composed)]
    said += _lead(ranking, candidate)
    said += _time(ranking, candidate)
    said += _help(ranking, candidate, composed)
    said += (_moved(ranking, each) for each in composed.moved)
    said += (
        f"{short(ranking.names[person])} is left without the meal break the house would give."
        for person in composed.missed
    )
    return (*said, *ranking.harm.reasons(candidate.way, candidate.cost))


def _wish(ranking: Ranking, candidate: Candidate, composed: Composed) -> str:
    window = composed.visit.window
    start, finish = _local(ranking, window.start), _local(ranking, window.end)
    if ranking.wants.wish is Wish.EARLY_FINISH:
        return f"Done by {finish:%H:%M} on {_day(start)}."
    if ranking.wants.wish is Wish.SHORTEST:
        return f"Takes {window.minutes} minutes on {_day(start)}."
    waited = candidate.kind[0] - ranking.wants.soonest
    if waited <= 0:
        return f"On {_day(start)}, the first day asked for, at {start:%H:%M}."
    days = f"{waited} opening day{'s' * (waited > 1)}"
    return f"On {_day(start)} at {start:%H:%M}, {days} after the first day asked for."


def _lead(ranking: Ranking, candidate: Candidate) -> list[str]:
    wanted = ranking.wants.request.preferred_lead
    if wanted is None:
        return []
    who = short(candidate.way.lead.person.name)
    if ranking.wants.has_preferred_lead(candidate.way):
        return [f"With {who}, as preferred."]
    return [f"With {who}, not with {short(ranking.names.get(wanted, wanted))} as preferred."]


def _time(ranking: Ranking, candidate: Candidate) -> list[str]:
    if ranking.wants.request.preferred is None:
        return []
    minutes = ranking.wants.outside_preferred(candidate.start)
    return [f"Starts {minutes} minutes outside the preferred time."] if minutes else []


def _help(ranking: Ranking, candidate: Candidate, composed: Composed) -> list[str]:
    way = candidate.way
    for number, phase in enumerate(composed.visit.phases):
        for help_ in phase.help:
            start, end = (_local(ranking, at) for at in (help_.window.start, help_.window.end))
            saved = ranking.saved(way, number)
            return [
                f"{short(ranking.names[help_.staff])} helps from {start:%H:%M} to {end:%H:%M}, "
                f"which saves {saved} minutes."
            ]
    if way.assistant is not None:
        return [f"{short(way.assistant.person.name)} takes over part of the work."]
    return []


def _moved(ranking: Ranking, each: PlannedBreak) -> str:
    start, end = _local(ranking, each.window.start), _local(ranking, each.window.end)
    where = " inside this visit" if each.inside is not None else ""
    return f"{short(ranking.names[each.staff])} eats from {start:%H:%M} to {end:%H:%M}{where}."


def _local(ranking: Ranking, instant: datetime) -> datetime:
    return instant.astimezone(ranking.wants.index.raster.frame.zone)


def _day(local: datetime) -> str:
    return f"{DAYS[local.weekday()]} {local:%Y-%m-%d}"
