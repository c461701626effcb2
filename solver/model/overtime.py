"""How far past the end of her shift somebody may work, and what it costs.

The first setting of the rule that looks at a person is hers. Overtime is counted in minutes from
the end on the rota to the end of her last work; it lies within the openings, and ends when her next
shift begins.
"""

from __future__ import annotations

from schemas.booking import Booking
from schemas.resources import StaffMember
from schemas.rules import RuleSetting
from solver.model.facts import Day, DayShift, Span, number
from solver.model.placement import DayPlacement

CODE = "overtime"


def setting_of(day: Day, person: StaffMember) -> RuleSetting | None:
    """The setting that is hers."""
    if person.retired:
        return None
    for setting in day.settings_of(CODE):
        tags = setting.scope.staff_tags
        if not tags or set(tags) & set(person.tags):
            return setting
    return None


def allowed(day: Day, person: StaffMember) -> int:
    """Minutes of overtime that she may work."""
    setting = setting_of(day, person)
    return 0 if setting is None else number(setting, "minutes", 0)


def spare(day: Day, shift: DayShift) -> int:
    """Minutes of the rota past the shift's last whole step: no overtime yet."""
    return shift.start_minute + shift.minutes - shift.end * day.grid


def worked(day: Day, placement: DayPlacement) -> dict[int, int]:
    """By shift, the steps of overtime in a placement."""
    found: dict[int, int] = {}
    for placed in placement.visits:
        for phase in placed.phases:
            ends = [(phase.shift, phase.end), *((given.shift, given.end) for given in phase.help)]
            for shift, end in ends:
                over = end - day.shifts[shift].end
                if over > 0:
                    found[shift] = max(over, found.get(shift, 0))
    return found


def steady(day: Day) -> list[Span]:
    """By shift, amounts of overtime for which the same breaks are due: a start for a quick plan.

    Where a shift owes the same whatever is worked, all that is allowed. Else none, or the amounts
    like that in which its bookings stand on the book.
    """
    found: list[Span] = []
    for shift in day.shifts:
        amounts = {due.over for due in day.dues if due.shift == shift.index and due.over}
        if not amounts:
            found.append((0, shift.overtime))
            continue
        now = _on_the_book(day, shift)
        edges = [each for each in amounts if each[0] <= now <= each[1]]
        found.append(max(edges, default=(0, 0)))
    return found


def _on_the_book(day: Day, shift: DayShift) -> int:
    """Steps of overtime of the shift in the bookings that are placed."""
    ends = [shift.end]
    for facts in day.visits:
        placed = facts.visit.placed if isinstance(facts.visit, Booking) else None
        for phase in placed.phases if placed is not None else ():
            spans = [(phase.performer, phase.window)]
            spans += [(given.staff, given.window) for given in phase.help]
            for staff, window in spans:
                start, end = day.steps(window)
                if staff == shift.person.id and shift.start <= start and end <= shift.limit:
                    ends.append(end)
    return max(ends) - shift.end
