"""Rules that look across days, asked when an opening is sold: what one more visit does to them."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.rules import Finding, RuleSetting
from solver.openings.standing import placed_visits
from solver.rules import rule, settings_in_force
from solver.rules.reading import Reading

HOURS = {"weekly-hours", "rest-between-days", "weekly-rest", "daily-hours", "longest-stretch"}
"""Rules that judge the hours of one person, over some days; the last two are among them because
hours of one date may lie in blocks that are judged apart."""


def hard_across(day_book: DayBook) -> tuple[RuleSetting, ...]:
    """The hard settings in force that look across days."""
    return tuple(each for each in settings_in_force(day_book) if each.code in HOURS and each.hard)


def breaches_across(
    settings: tuple[RuleSetting, ...],
    day_book: DayBook,
    request: Request,
    visit: PlannedVisit,
    breaks: tuple[PlannedBreak, ...],
) -> Iterator[Finding]:
    """What these rules say of the crew once `visit` is in the book, and did not say before.

    `breaks` are the crew's on the days the visit touches; elsewhere the book's own count.
    """
    if not settings:
        return
    crew = {visit.lead, *visit.assistants}
    near = [shift.window for shift in day_book.shifts if shift.window.overlaps(visit.window)]
    visits = tuple(
        each
        for each in placed_visits(day_book)
        if each.visit != request.id and crew & {each.lead, *each.assistants}
    )
    own = {each.staff: each for each in breaks}
    stay = tuple(
        each
        for each in day_book.breaks
        if each.staff in crew
        and not (each.staff in own and any(window.overlaps(each.window) for window in near))
    )
    others = tuple(each for each in day_book.bookings if each.id != request.id)
    book = day_book.model_copy(update={"bookings": others, "requests": (request,)})
    before = Reading(book, Plan.model_construct(visits=visits, breaks=stay, declined=()))
    after = Reading(
        book,
        Plan.model_construct(
            visits=(*visits, visit),
            breaks=(*stay, *(each for each in breaks if each not in stay)),
            declined=(),
        ),
    )
    for setting in settings:
        known = {finding.detail for finding in rule(setting.code).findings(before, setting)}
        for finding in rule(setting.code).findings(after, setting):
            if finding.detail not in known:
                yield finding
