"""Moving a booking: where else it fits, and what the rules say of a place that is named.

Nothing is written here: a move is the change of a booking to another opening.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from api.clock import Clock
from api.services.asking import in_local_time
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import ConflictError, NotFoundError, UnprocessableError
from api.services.opening_hours import local_day
from api.services.openings import Openings
from api.services.ports import Store, Versioned
from api.services.salon import salon_of
from schemas.booking import Request
from schemas.dealings import BookingRecord
from schemas.openings import Opening, OpeningsAnswer, OpeningsQuestion, Wish
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.rules import Finding
from schemas.windows import TimeWindow
from solver.checker import check
from solver.errors import Fault
from solver.openings.breaks import complete_breaks


@dataclass(frozen=True)
class Tried:
    """A place that was named, and what the rules say of it beside all that is booked."""

    opening: Opening
    findings: tuple[Finding, ...]
    """Those that the day has not now; a hard one forbids the move."""

    @property
    def allowed(self) -> bool:
        return not any(finding.hard for finding in self.findings)


class Moves:
    def __init__(self, store: Store, clock: Clock, openings: Openings) -> None:
        self.store = store
        self.clock = clock
        self.openings = openings

    async def openings_for(
        self, name: str, windows: Sequence[TimeWindow], wish: Wish, limit: int
    ) -> OpeningsAnswer:
        """Where the booking fits, as if it had no place now."""
        record = (await self._known(name)).document
        asked = record.request.model_copy(update={"windows": tuple(windows), "preferred": None})
        snapshot, request = await self.openings.prepare(asked)
        question = OpeningsQuestion(request=request, wish=wish, limit=limit + 1)
        found = await self.openings.find_in(snapshot.without((name,)), question)
        others = [each for each in found.openings if not _same_place(each.visit, record.placed)]
        return found.model_copy(update={"openings": tuple(others[:limit])})

    async def try_at(
        self, name: str, start: datetime, chair: str | None = None, lead: str | None = None
    ) -> Tried:
        """The booking as it stands, shifted to `start`; chair and lead as now unless named.

        Raises NotFoundError, ConflictError where it has no place, and UnprocessableError for a
        start that is past, with the pointer /start.
        """
        record = (await self._placed(name)).document
        assert record.placed is not None
        if start < self.clock.now():
            raise UnprocessableError(Fault("/start", "that is over already"))
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            day = local_day(start, zone)
            now = await read_snapshot(unit, *(local_day(record.placed.window.start, zone),) * 2)
            there = await read_snapshot(unit, day, day)
        own = tuple(each for each in now.breaks if each.inside == name)
        shift = start - record.placed.window.start
        visit, inside = _shifted(record.placed, own, shift, zone)
        visit = _with_others(visit, chair, lead)
        inside = tuple(_taken_over(each, record.placed.lead, visit.lead) for each in inside)
        return await asyncio.to_thread(
            _judged, there.without((name,)), record.request, visit, inside
        )

    async def _known(self, name: str) -> Versioned[BookingRecord]:
        async with self.store.reading() as unit:
            found = await unit.bookings.get(name)
        if found is None:
            raise NotFoundError("booking", name)
        return found

    async def _placed(self, name: str) -> Versioned[BookingRecord]:
        found = await self._known(name)
        if found.document.placed is None:
            raise ConflictError(f"{name} has no place to be moved from")
        return found


def _same_place(one: PlannedVisit, other: PlannedVisit | None) -> bool:
    """To the client it is the same: her time, her chair and her lead."""
    return other is not None and (one.window, one.chair, one.lead) == (
        other.window,
        other.chair,
        other.lead,
    )


def _shifted(
    visit: PlannedVisit, breaks: Sequence[PlannedBreak], by: timedelta, zone: str
) -> tuple[PlannedVisit, tuple[PlannedBreak, ...]]:
    def moved(window: TimeWindow) -> TimeWindow:
        start, end = (in_local_time(each + by, zone) for each in (window.start, window.end))
        return TimeWindow(start=start, end=end)

    phases = tuple(
        phase.model_copy(
            update={
                "window": moved(phase.window),
                "help": tuple(
                    help_.model_copy(update={"window": moved(help_.window)}) for help_ in phase.help
                ),
            }
        )
        for phase in visit.phases
    )
    there = visit.model_copy(update={"window": moved(visit.window), "phases": phases})
    return there, tuple(each.model_copy(update={"window": moved(each.window)}) for each in breaks)


def _with_others(visit: PlannedVisit, chair: str | None, lead: str | None) -> PlannedVisit:
    changes: dict[str, object] = {}
    if chair is not None and visit.chair is not None:
        changes["chair"] = chair
    if lead is not None and lead != visit.lead:
        changes["lead"] = lead
        changes["phases"] = tuple(
            phase.model_copy(update={"performer": lead}) if phase.performer == visit.lead else phase
            for phase in visit.phases
        )
    return visit.model_copy(update=changes)


def _taken_over(each: PlannedBreak, before: str, after: str) -> PlannedBreak:
    return each.model_copy(update={"staff": after}) if each.staff == before else each


def _judged(
    snapshot: Snapshot, request: Request, visit: PlannedVisit, inside: tuple[PlannedBreak, ...]
) -> Tried:
    book = snapshot.day_book((request,))
    before = snapshot.plan.model_copy(update={"declined": (request.id,)})
    crew = {visit.lead, *visit.assistants}
    # Breaks of the crew that lie between visits go where they are owed beside the new place.
    kept = tuple(each for each in before.breaks if each.staff not in crew or each.inside)
    after = Plan(visits=(*before.visits, visit), breaks=(*kept, *inside))
    after = after.model_copy(update={"breaks": complete_breaks(book, after)})
    before = before.model_copy(update={"breaks": complete_breaks(book, before)})
    known = {finding.detail for finding in check(book, before)}
    found = tuple(each for each in check(book, after) if each.detail not in known)
    helped = sum(help_.window.minutes for phase in visit.phases for help_ in phase.help)
    opening = Opening(
        id=f"{request.id}-tried",
        start=visit.window.start,
        finish=visit.window.end,
        chair=visit.chair,
        lead=visit.lead,
        assistant=visit.assistants[0] if visit.assistants else None,
        help_minutes=helped,
        visit=visit,
        breaks=tuple(each for each in after.breaks if each.staff in crew),
        cost=sum(finding.cost for finding in found),
        reasons=(),
    )
    return Tried(opening, found)
