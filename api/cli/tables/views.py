"""Days of a plan, seen as the salon lives them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.dayview import (
    ChairDayView,
    DayView,
    Duty,
    DutyRole,
    StaffDayView,
    VisitDayView,
)
from schemas.plan import Plan, PlannedVisit
from schemas.windows import TimeWindow


def day_views(book: DayBook, plan: Plan) -> Iterator[DayView]:
    """Every local day on which the salon opens or `plan` does something, in order."""
    zone = ZoneInfo(book.zone)
    windows = [*book.open, *(visit.window for visit in plan.visits)]
    windows += [rest.window for rest in plan.breaks]
    for day in sorted({_day(window, zone) for window in windows}):
        yield _view(book, plan, day, zone)


def _day(window: TimeWindow, zone: ZoneInfo) -> date:
    return window.start.astimezone(zone).date()


def _view(book: DayBook, plan: Plan, day: date, zone: ZoneInfo) -> DayView:
    visits = sorted(
        (visit for visit in plan.visits if _day(visit.window, zone) == day),
        key=lambda visit: (visit.window.start, visit.chair or "", visit.visit),
    )
    asked = {visit.id: visit for visit in (*book.bookings, *book.requests)}
    seen = []
    for visit in visits:
        of_book = asked.get(visit.visit)
        status = of_book.status if isinstance(of_book, Booking) else BookingStatus.TENTATIVE
        seen.append(
            VisitDayView(
                visit=visit.visit,
                client=of_book.client if of_book else visit.visit,
                status=status,
                chair=visit.chair,
                lead=visit.lead,
                assistants=visit.assistants,
                window=visit.window,
                phases=visit.phases,
            )
        )
    return DayView(
        date=day,
        zone=book.zone,
        open=next((window for window in book.open if _day(window, zone) == day), None),
        chairs=tuple(
            ChairDayView(
                chair=chair.id,
                name=chair.name,
                visits=tuple(visit.visit for visit in visits if visit.chair == chair.id),
            )
            for chair in book.chairs
            if not chair.retired
        ),
        visits=tuple(seen),
        staff=tuple(_people(book, plan, visits, day, zone)),
        waiting=(),
        findings=(),
    )


def _people(
    book: DayBook, plan: Plan, visits: list[PlannedVisit], day: date, zone: ZoneInfo
) -> Iterator[StaffDayView]:
    for person in book.staff:
        shifts = [s.window for s in book.shifts if s.staff == person.id]
        breaks = [rest for rest in plan.breaks if rest.staff == person.id]
        duties = sorted(_duties(person.id, visits), key=lambda duty: duty.window.start)
        view = StaffDayView(
            staff=person.id,
            name=person.name,
            shifts=tuple(window for window in shifts if _day(window, zone) == day),
            duties=tuple(duties),
            breaks=tuple(rest for rest in breaks if _day(rest.window, zone) == day),
        )
        if view.shifts or view.duties:
            yield view


def _duties(person: str, visits: list[PlannedVisit]) -> Iterator[Duty]:
    for visit in visits:
        for phase in visit.phases:
            stretches = [(DutyRole.PERFORMER, phase.window)] if phase.performer == person else []
            stretches += [(DutyRole.HELP, h.window) for h in phase.help if h.staff == person]
            for role, window in stretches:
                yield Duty(
                    visit=visit.visit, kind=phase.kind, role=role, chair=visit.chair, window=window
                )
