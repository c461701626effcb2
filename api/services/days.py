"""One day as the salon lives it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from api.services.day_books import Snapshot, read_snapshot
from api.services.opening_hours import local_day, whole_days, window_of
from api.services.ports import Store, UnitOfWork
from schemas.booking import BookingStatus
from schemas.dayview import (
    ChairDayView,
    DayView,
    Duty,
    DutyRole,
    StaffDayView,
    VisitDayView,
)
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.resources import Role
from solver.checker import check
from solver.figures.occupancy import cleaning_minutes
from solver.openings.breaks import complete_breaks


@dataclass(frozen=True)
class DaySheet:
    """A day, and what whoever looks at it wants to know beside it."""

    view: DayView
    leads: frozenset[str]
    """Who may lead an install."""
    styles: Mapping[str, str]
    """Names of the styles of its visits, where one was given."""
    turnaround: Mapping[str, int]
    """Minutes of cleaning after a visit, by chair."""
    wanting: Mapping[str, str]
    """Clients who would like to come on this day and have no place yet, by booking."""
    busy_next: date | None = None
    """Where nobody is booked: the next day on which somebody is."""


class Days:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def read(self, day: date) -> DayView:
        """Chairs, crews, phases, breaks of a date, and the rules the book does not keep on it."""
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, day, day)
        return await asyncio.to_thread(_view, snapshot, day)

    async def sheet(self, day: date) -> DaySheet:
        """The same, with the names and rules that a drawing of it needs."""
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, day, day)
            busy_next = None if snapshot.placed else await _busy_next(unit, snapshot, day)
        view = await asyncio.to_thread(_view, snapshot, day)
        asked = {record.id: record.take_off for record in snapshot.placed}
        asked |= {held.id: held.take_off for held in snapshot.held}
        cleaning = cleaning_minutes(snapshot.any_day_book())
        return DaySheet(
            view=view,
            leads=frozenset(each.id for each in snapshot.staff if Role.LEAD in each.roles),
            styles={name: each.style.name for name, each in asked.items() if each is not None},
            turnaround={chair.id: cleaning.get(chair.id, 0) for chair in snapshot.chairs},
            wanting={record.id: record.request.client for record in snapshot.waiting},
            busy_next=busy_next,
        )


async def _busy_next(unit: UnitOfWork, snapshot: Snapshot, day: date) -> date | None:
    zone = snapshot.salon.zone
    start = await unit.bookings.next_start(whole_days(day, day, zone).end)
    return None if start is None else local_day(start, zone)


def _view(snapshot: Snapshot, day: date) -> DayView:
    book = snapshot.any_day_book()
    plan = snapshot.plan
    # With nobody in there is nobody whose break is missing, and no time to lay one in.
    breaks = complete_breaks(book, plan) if book.shifts else plan.breaks
    whole = plan.model_copy(update={"breaks": breaks})
    return DayView(
        date=day,
        zone=snapshot.salon.zone,
        open=window_of(snapshot.salon, day),
        chairs=tuple(_chairs(snapshot)),
        visits=tuple(_visits(snapshot)),
        staff=tuple(_people(snapshot, breaks)),
        waiting=tuple(record.id for record in snapshot.waiting),
        findings=check(book, whole),
    )


def _chairs(snapshot: Snapshot) -> Iterator[ChairDayView]:
    for chair in snapshot.chairs:
        visits = tuple(visit.visit for visit in snapshot.plan.visits if visit.chair == chair.id)
        closures = tuple(each.window for each in snapshot.closures if each.chair == chair.id)
        if visits or not chair.retired:
            yield ChairDayView(chair=chair.id, name=chair.name, visits=visits, closures=closures)


def _visits(snapshot: Snapshot) -> Iterator[VisitDayView]:
    for record in snapshot.placed:
        if record.placed is not None:
            yield _visit(record.request.client, record.status, record.placed)
    for held in snapshot.held:
        yield _visit(held.request.client, BookingStatus.TENTATIVE, held.opening.visit)


def _visit(client: str, status: BookingStatus, placed: PlannedVisit) -> VisitDayView:
    return VisitDayView(
        visit=placed.visit,
        client=client,
        status=status,
        chair=placed.chair,
        lead=placed.lead,
        assistants=placed.assistants,
        window=placed.window,
        phases=placed.phases,
    )


def _people(snapshot: Snapshot, breaks: tuple[PlannedBreak, ...]) -> Iterator[StaffDayView]:
    for person in snapshot.staff:
        shifts = tuple(each.window for each in snapshot.shifts if each.staff == person.id)
        duties = tuple(
            sorted(_duties(snapshot.plan, person.id), key=lambda duty: duty.window.start)
        )
        own = tuple(each for each in breaks if each.staff == person.id)
        if shifts or duties or own:
            yield StaffDayView(
                staff=person.id, name=person.name, shifts=shifts, duties=duties, breaks=own
            )


def _duties(plan: Plan, person: str) -> Iterator[Duty]:
    for visit in plan.visits:
        for phase in visit.phases:
            if phase.performer == person:
                yield Duty(
                    visit=visit.visit,
                    kind=phase.kind,
                    role=DutyRole.PERFORMER,
                    chair=visit.chair,
                    window=phase.window,
                )
            for help_ in phase.help:
                if help_.staff == person:
                    yield Duty(
                        visit=visit.visit,
                        kind=phase.kind,
                        role=DutyRole.HELP,
                        chair=visit.chair,
                        window=help_.window,
                    )
