"""What bending the soft rules costs in a placement, worked out without the solver."""

from __future__ import annotations

from itertools import pairwise

from schemas.booking import Request
from solver.model.asked_breaks import dues_of
from solver.model.constraints import COSTS, longest_wait, preferred_lead, preferred_time
from solver.model.constraints import turnaround as turnaround_rule
from solver.model.facts import Day, number
from solver.model.overtime import worked
from solver.model.placement import DayPlacement, VisitPlacement
from solver.model.scope import concerns_visit
from solver.model.sharing import shared_in


def cost(day: Day, placement: DayPlacement) -> int:
    """Weight times size of every soft breach, as the model's tier of preferences counts them."""
    house = sum(costs(day, placement) for costs in COSTS.values())
    return (
        _missing_breaks(day, placement)
        + house
        + sum(
            _waits(day, placed) + _lead(day, placed) + _time(day, placed) + _turnaround(day, placed)
            for placed in placement.visits
        )
    )


def _missing_breaks(day: Day, placement: DayPlacement) -> int:
    """What was due, with the overtime that is worked, and has no break, one that it shares too."""
    over = worked(day, placement)
    due = [each for each in dues_of(day) if each.is_asked(over.get(each.shift, 0))]
    taken = {rest.due.key for rest in placement.breaks} | set(shared_in(due, placement.breaks))
    return sum(each.weight for each in due if not each.hard and each.key not in taken)


def _waits(day: Day, placed: VisitPlacement) -> int:
    rule = day.setting(longest_wait.CODE)
    if rule is None or rule.hard or not concerns_visit(rule, day.visits[placed.visit]):
        return 0
    steps = day.down(number(rule, "minutes", 15))
    waits = (later.start - earlier.end for earlier, later in pairwise(placed.phases))
    return rule.weight * sum(wait > steps for wait in waits)


def _lead(day: Day, placed: VisitPlacement) -> int:
    rule = day.setting(preferred_lead.CODE)
    visit = day.visits[placed.visit]
    if rule is None or rule.hard or not concerns_visit(rule, visit):
        return 0
    return 0 if visit.visit.preferred_lead in {None, placed.lead} else rule.weight


def _time(day: Day, placed: VisitPlacement) -> int:
    rule = day.setting(preferred_time.CODE)
    visit = day.visits[placed.visit]
    request = visit.visit
    if rule is None or rule.hard or not concerns_visit(rule, visit):
        return 0
    if not isinstance(request, Request) or request.preferred is None:
        return 0
    start, end = day.frame.span(request.preferred)
    at = placed.start * day.grid
    return rule.weight * -(-max(0, start - at, at - end) // preferred_time.QUARTER)


def _turnaround(day: Day, placed: VisitPlacement) -> int:
    """A margin that was left out costs, whether or not somebody follows."""
    rule = day.setting(turnaround_rule.CODE)
    if rule is None or rule.hard or placed.group is None:
        return 0
    return rule.weight if placed.turnaround < turnaround_rule.steps_of(day, placed.group) else 0
