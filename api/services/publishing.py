"""Writing a plan back into the book.

A request that the plan gives a place is accepted: it becomes a confirmed booking, with its start
promised. One that the plan declines goes on waiting. Everything that moves is freed before anything
is taken, so that visits may swap chairs.
"""

from __future__ import annotations

from datetime import datetime

from api.services.asking import whole_minute
from api.services.day_books import Snapshot
from api.services.ports import UnitOfWork
from api.services.promising import promised, take
from schemas.booking import Request
from schemas.plan import Plan
from schemas.windows import TimeWindow


def requests_of(snapshot: Snapshot, now: datetime) -> tuple[Request, ...]:
    """The bookings that wait for a place, held to what is still to come of the days planned."""
    soonest = max(snapshot.span.start, whole_minute(now))
    if soonest >= snapshot.span.end:
        return ()
    ahead = TimeWindow(start=soonest, end=snapshot.span.end)
    held = (_within(record.request, ahead) for record in snapshot.waiting)
    return tuple(request for request in held if request is not None)


def _within(request: Request, span: TimeWindow) -> Request | None:
    windows = tuple(
        TimeWindow(start=max(window.start, span.start), end=min(window.end, span.end))
        for window in request.windows
        if window.overlaps(span)
    )
    return request.model_copy(update={"windows": windows}) if windows else None


async def publish(unit: UnitOfWork, snapshot: Snapshot, plan: Plan, now: datetime) -> None:
    """Put every visit and break of the plan on the book, in the transaction of `unit`."""
    records = {record.id: record for record in (*snapshot.placed, *snapshot.waiting)}
    await unit.breaks.clear(snapshot.span)
    await unit.bookings.free(visit.visit for visit in plan.visits)
    for visit in plan.visits:
        record = records[visit.visit]
        if record.promise is None:
            record = promised(
                record.request,
                visit,
                take_off=record.take_off,
                created_at=record.created_at,
                now=now,
            )
        elif record.placed != visit:
            record = record.model_copy(update={"placed": visit, "changed_at": now})
        if record is not records[visit.visit]:
            await unit.bookings.put(record)
        await take(unit, visit, plan.breaks)
    await unit.breaks.add(plan.breaks)
