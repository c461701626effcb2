"""`rest-between-days`: the day begins and ends far enough from the days next to it.

Earlier days are fixed, so they bound the first start; bookings placed on a later day bound the last
end, where the rule is hard. Where it is soft, the later of two days pays.
"""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import Day, Span, number
from solver.model.hands import Handwork, hold_between, people
from solver.model.hands import cost as hours_cost
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel

CODE = "rest-between-days"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for person, shifts in people(model.day, setting):
        hold_between(model, setting, shifts, _bounds(model.day, setting, person))


def _bounds(day: Day, setting: RuleSetting, person: str) -> Span:
    """The steps between which her work lies."""
    rest = number(setting, "minutes", 660)
    low, high = day.horizon
    own = [each for each in day.elsewhere if each.person == person and each.handwork]
    dates = [(day.local_date(each.start), each) for each in own]
    ended = [each.end for date, each in dates if date < day.date]
    begun = [each.start for date, each in dates if date > day.date and setting.hard]
    first = day.up(max(ended) + rest) if ended else low
    last = day.down(min(begun) - rest) if begun else high
    return max(low, first), min(high, last)


def allows(day: Day, setting: RuleSetting, work: Handwork) -> bool:
    """Whether a person's work of the day lies far enough from the days beside it."""
    first, last = _bounds(day, setting, work.person)
    return all(first <= start and end <= last for start, end in work.spans)


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    return hours_cost(day, placement, CODE, allows)
