"""The day as it stands at one moment: facts, plan, what has begun, what people were told."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow

AnyVisit = Booking | Request


@dataclass
class Situation:
    """Changed step by step by the events. Documents are replaced, never changed."""

    book: DayBook
    now: datetime
    placed: dict[str, PlannedVisit]
    """Where each visit is, as far as it is known to be true."""
    told: dict[str, PlannedVisit]
    """What people were told, with the phases the visit has now."""
    breaks: list[PlannedBreak]
    begun: dict[str, int] = field(default_factory=dict)
    """Phases that have begun, by visit."""
    earliest: dict[str, datetime] = field(default_factory=dict)
    wanted: set[str] = field(default_factory=set)
    handed: set[str] = field(default_factory=set)
    """Visits whose lead has left them."""
    origin: dict[str, str] = field(default_factory=dict)
    """A visit that is the rest of another, and that other."""
    near: set[str] = field(default_factory=set)
    """Visits that an event speaks of."""
    gone: set[str] = field(default_factory=set)
    """Visits whose client does not come."""

    @classmethod
    def of(cls, book: DayBook, plan: Plan, now: datetime) -> Situation:
        """As planned: what starts before `now` has begun."""
        placed = {visit.visit: visit for visit in plan.visits}
        situation = cls(book, now, placed, dict(placed), list(plan.breaks))
        situation.begun = {
            name: sum(phase.window.start < now for phase in visit.phases)
            for name, visit in placed.items()
        }
        return situation

    def copy(self, book: DayBook | None = None) -> Situation:
        """The same situation to go on with by itself, in another day book if one is given."""
        return replace(
            self,
            book=book or self.book,
            placed=dict(self.placed),
            told=dict(self.told),
            breaks=list(self.breaks),
            begun=dict(self.begun),
            earliest=dict(self.earliest),
            wanted=set(self.wanted),
            handed=set(self.handed),
            origin=dict(self.origin),
            near=set(self.near),
            gone=set(self.gone),
        )

    def visit(self, name: str) -> AnyVisit:
        both: tuple[AnyVisit, ...] = (*self.book.bookings, *self.book.requests)
        return next(visit for visit in both if visit.id == name)

    def put(self, visit: AnyVisit) -> None:
        """The visit in place of the one of that id, or as a new one."""
        name = "bookings" if isinstance(visit, Booking) else "requests"
        listed: list[AnyVisit] = list(getattr(self.book, name))
        for index, old in enumerate(listed):
            if old.id == visit.id:
                listed[index] = visit
                break
        else:
            listed.append(visit)
        self.book = self.book.model_copy(update={name: tuple(listed)})

    def take_out(self, name: str) -> None:
        """The client does not come: a booking is cancelled, a request is gone."""
        visit = self.visit(name)
        if isinstance(visit, Booking):
            self.put(visit.model_copy(update={"status": BookingStatus.CANCELLED, "placed": None}))
        else:
            left = tuple(request for request in self.book.requests if request.id != name)
            self.book = self.book.model_copy(update={"requests": left})
        del self.placed[name], self.told[name], self.begun[name]
        self.gone.add(name)

    def free_name(self, name: str) -> str:
        """An id for the rest of a visit."""
        taken = {visit.id for visit in (*self.book.bookings, *self.book.requests)}
        free = f"{name[:56]}-rest"
        while free in taken:
            free = f"{free[:60]}-x" if len(free) < 62 else f"{len(taken)}-{free[:50]}"
        return free

    def breaks_inside(self, name: str, phase: PlannedPhase) -> list[PlannedBreak]:
        """The performer's breaks inside a phase of a visit."""
        return [
            rest
            for rest in self.breaks
            if rest.inside == name
            and rest.staff == phase.performer
            and phase.window.contains(rest.window)
        ]

    def broken_off(self, name: str, cut: datetime, rest: str | None) -> None:
        """Breaks after `cut` inside `name` belong to its rest, or to no visit any more."""
        self.breaks = [
            planned.model_copy(update={"inside": rest})
            if planned.inside == name and planned.window.end > cut
            else planned
            for planned in self.breaks
        ]


def whole(visit: str, old: PlannedVisit, phases: tuple[PlannedPhase, ...]) -> PlannedVisit:
    """The planned visit with these phases, its window to match."""
    window = TimeWindow(start=phases[0].window.start, end=phases[-1].window.end)
    return old.model_copy(update={"visit": visit, "phases": phases, "window": window})
