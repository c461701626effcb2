"""What one person does in a day, visit by visit and break by break, in order of time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from api.services.desk import Desk
from api.services.own_day import own_day
from schemas.booking import BookingStatus
from schemas.dayview import DayView, VisitDayView
from schemas.dealings import BookingRecord
from schemas.ledger import VisitHair
from schemas.plan import PlannedBreak, PlannedPhase
from schemas.visit_clock import Moment, VisitClock
from schemas.windows import TimeWindow

WORDS = {
    Moment.STARTED: "She is here: start",
    Moment.BRAIDING: "First braid",
    Moment.BRAIDED: "Last braid",
    Moment.FINISHED: "Finished",
}
"""What the button of a moment says."""
DONE = {
    Moment.STARTED: "Started",
    Moment.BRAIDING: "First braid",
    Moment.BRAIDED: "Last braid",
    Moment.FINISHED: "Finished",
}
MOST = 500


@dataclass(frozen=True)
class Turn:
    """One visit of her day."""

    visit: VisitDayView
    style: str | None
    chair: str | None
    leads: bool
    """Whether she owns the install."""
    mine: tuple[TimeWindow, ...]
    """When her own hands are on it."""
    phases: tuple[PlannedPhase, ...]
    hair: VisitHair
    clock: VisitClock

    @property
    def begins(self) -> datetime:
        return self.visit.window.start

    @property
    def tapped(self) -> tuple[tuple[Moment, datetime], ...]:
        told = ((moment, getattr(self.clock, moment.value)) for moment in Moment)
        return tuple((moment, at) for moment, at in told if at is not None)

    @property
    def due(self) -> Moment | None:
        """The moment after the last one that was tapped."""
        order = list(Moment)
        last = max((order.index(moment) for moment, _ in self.tapped), default=-1)
        return order[last + 1] if last + 1 < len(order) else None

    @property
    def over(self) -> bool:
        return self.clock.finished is not None

    def has(self, person: str, phase: PlannedPhase) -> bool:
        return phase.performer == person or any(each.staff == person for each in phase.help)


@dataclass(frozen=True)
class Pause:
    """One break of her day."""

    pause: PlannedBreak

    @property
    def begins(self) -> datetime:
        return self.pause.window.start


@dataclass(frozen=True)
class Her:
    """A person's day."""

    day: date
    zone: str
    name: str
    shifts: tuple[TimeWindow, ...]
    turns: tuple[Turn | Pause, ...]
    next: str | None
    """The visit that is on, or else the next one that is not over."""


async def day_of(desk: Desk, person: str, day: date) -> Her:
    """Raises NotFoundError for nobody, or before the salon is told."""
    name = (await desk.staff.read(person)).document.name
    view = own_day(await desk.days.read(day), person)
    records = await records_of(desk, day)
    turns: list[Turn | Pause] = []
    for visit in view.visits:
        record = records.get(visit.visit)
        if record is not None:
            turns.append(await _turn(desk, view, visit, record, person))
    own = next((each for each in view.staff if each.staff == person), None)
    turns += [Pause(each) for each in (own.breaks if own else ())]
    turns.sort(key=lambda turn: turn.begins)
    ahead = (turn.visit.visit for turn in turns if isinstance(turn, Turn) and not turn.over)
    return Her(
        day=day,
        zone=view.zone,
        name=name,
        shifts=own.shifts if own else (),
        turns=tuple(turns),
        next=next(ahead, None),
    )


async def records_of(desk: Desk, day: date) -> dict[str, BookingRecord]:
    """The confirmed bookings of a day, by name."""
    found, _ = await desk.bookings.page(day, BookingStatus.CONFIRMED, None, MOST)
    return {record.id: record for record in found}


async def _turn(
    desk: Desk, view: DayView, visit: VisitDayView, record: BookingRecord, person: str
) -> Turn:
    chairs = {chair.chair: chair.name for chair in view.chairs}
    return Turn(
        visit=visit,
        style=None if record.take_off is None else record.take_off.style.name,
        chair=None if visit.chair is None else chairs.get(visit.chair, visit.chair),
        leads=visit.lead == person,
        mine=tuple(_hands(visit, person)),
        phases=visit.phases,
        hair=await desk.ledger.hair_of(visit.visit),
        clock=await desk.clocks.read(visit.visit),
    )


def _hands(visit: VisitDayView, person: str) -> Iterator[TimeWindow]:
    for phase in visit.phases:
        if phase.performer == person:
            yield phase.window
        yield from (each.window for each in phase.help if each.staff == person)
