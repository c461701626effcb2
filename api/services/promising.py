"""What it means to promise an opening: does it hold, and what is then on the book."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from api.services.day_books import Snapshot
from api.services.errors import ConflictError, NotSetUpError, UnprocessableError
from api.services.occupancy import occupied_by
from api.services.ports import Occupied, UnitOfWork
from schemas.booking import BookingStatus, Promise, Request
from schemas.daybook import DayBook
from schemas.dealings import BookingChange, BookingRecord
from schemas.holds import Hold
from schemas.openings import Opening
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.takeoff import TakeOffRequest
from schemas.windows import TimeWindow
from solver.checker import hard_findings
from solver.errors import Fault
from solver.openings.breaks import complete_breaks


def objections(snapshot: Snapshot, request: Request, opening: Opening) -> tuple[str, ...]:
    """Why `opening` cannot be promised to `request`, given the book of its day; empty if it can.

    The opening may come from anywhere: it is judged by the same checker as any plan. Faults that
    the book had before are not held against it.
    """
    crew = {opening.visit.lead, *opening.visit.assistants}
    strangers = sorted({each.staff for each in opening.breaks} - crew)
    if strangers:
        return (f"it moves the breaks of {', '.join(strangers)}, who have no part in it",)
    if any(not snapshot.span.contains(each.window) for each in opening.breaks):
        return ("it moves breaks of another day",)
    if set(_inside_held(snapshot, opening.breaks)) != {
        each for each in _inside_held(snapshot, snapshot.breaks) if each.staff in crew
    }:
        return ("it moves a break inside a place that is held",)
    try:
        book = snapshot.day_book((request,))
    except NotSetUpError as closed:
        return (str(closed),)
    after = Plan(
        visits=(*snapshot.plan.visits, opening.visit), breaks=breaks_with(snapshot, opening)
    )
    return _worse(snapshot, book, request, after)


def objections_to(snapshot: Snapshot, request: Request, after: Plan) -> tuple[str, ...]:
    """Why the book cannot be as `after` says, with `request` in it; empty if it can.

    Faults that the book had before are not held against it.
    """
    try:
        book = snapshot.day_book((request,))
    except NotSetUpError as closed:
        return (str(closed),)
    return _worse(snapshot, book, request, after)


def _worse(snapshot: Snapshot, book: DayBook, request: Request, after: Plan) -> tuple[str, ...]:
    """What breaks a rule in `after` and did not before."""
    before = snapshot.plan.model_copy(update={"declined": (request.id,)})
    known = set(_told(book, before))
    return tuple(told for told in _told(book, after) if told not in known)


def require_nothing_held(snapshot: Snapshot, window: TimeWindow | None = None) -> None:
    """Raises ConflictError while a place is held: a plan written into the book might move it.

    With `window`, only places that meet it count.
    """
    held = [
        each
        for each in snapshot.held
        if window is None or each.opening.visit.window.overlaps(window)
    ]
    if held:
        last = max(held, key=lambda each: each.until)
        raise ConflictError(
            f"a place is held for {last.id} until {last.until:%H:%M} UTC: book it or let it go "
            "first, or wait until then"
        )


def _inside_held(snapshot: Snapshot, breaks: Iterable[PlannedBreak]) -> tuple[PlannedBreak, ...]:
    held = {each.id for each in snapshot.held}
    return tuple(each for each in breaks if each.inside in held)


def _told(book: DayBook, plan: Plan) -> tuple[str, ...]:
    whole = plan.model_copy(update={"breaks": complete_breaks(book, plan)})
    return tuple(finding.detail for finding in hard_findings(book, whole))


def breaks_with(snapshot: Snapshot, opening: Opening) -> tuple[PlannedBreak, ...]:
    """The day's breaks once the opening is sold: its word for its crew, the book's for the rest."""
    crew = {opening.visit.lead, *opening.visit.assistants}
    others = (each for each in snapshot.breaks if each.staff not in crew)
    return (*others, *opening.breaks)


def promised(
    request: Request,
    placed: PlannedVisit,
    *,
    take_off: TakeOffRequest | None,
    created_at: datetime,
    now: datetime,
    latest_finish: datetime | None = None,
) -> BookingRecord:
    """What `placed` makes of `request`: its start is promised, and a lead she asked for.

    Who buys an opening is told its finish as well, and `latest_finish` promises that.
    """
    asked = {request.required_lead, request.preferred_lead}
    return BookingRecord(
        id=request.id,
        status=BookingStatus.CONFIRMED,
        request=request,
        take_off=take_off,
        promise=Promise(
            start=placed.window.start,
            lead=placed.lead if placed.lead in asked else None,
            latest_finish=latest_finish,
        ),
        placed=placed,
        created_at=created_at,
        changed_at=now,
    )


def amended(record: BookingRecord, change: BookingChange, now: datetime) -> BookingRecord:
    """The booking with the fields that `change` states, all but its opening.

    Raises ConflictError for one that is called off, UnprocessableError for a field that is not to
    be changed at its stage.
    """
    if record.status is BookingStatus.CANCELLED:
        raise ConflictError(f"{record.id} is called off")
    _require_fits(record, change)
    stated = change.model_fields_set
    asked: dict[str, object] = {
        name: getattr(change, name)
        for name in ("client", "windows", "value")
        if name in stated and getattr(change, name) is not None
    }
    promise = record.promise
    if promise is not None:
        # An explicit null takes the latest finish off the promise.
        kept = {name: getattr(promise, name) for name in Promise.model_fields}
        if change.tolerance is not None:
            kept["tolerance"] = change.tolerance
        if "latest_finish" in stated:
            kept["latest_finish"] = change.latest_finish
        promise = Promise(**kept)
    return record.model_copy(
        update={
            "request": record.request.model_copy(update=asked),
            "promise": promise,
            "changed_at": now,
        }
    )


def _require_fits(record: BookingRecord, change: BookingChange) -> None:
    faults = []
    if change.windows is not None and record.placed is not None and change.opening is None:
        faults.append(Fault("/windows", "it has a place: move it with an opening instead"))
    if record.placed is None:
        for field in ("tolerance", "latest_finish"):
            if getattr(change, field) is not None:
                faults.append(Fault(f"/{field}", "nothing is promised yet"))
    elif change.latest_finish is not None and change.latest_finish < record.placed.window.end:
        faults.append(Fault("/latest_finish", "is before the finish that is on the book"))
    if faults:
        raise UnprocessableError(*faults)


async def place(unit: UnitOfWork, snapshot: Snapshot, opening: Opening) -> None:
    """Take what a booking needs, and put the crew's breaks where the opening says.

    `snapshot` is the book of the day before. Breaks inside places that are held go with the holds.
    """
    crew = (opening.visit.lead, *opening.visit.assistants)
    held = _inside_held(snapshot, opening.breaks)
    await unit.breaks.clear(snapshot.span, crew)
    await take(unit, opening.visit, opening.breaks)
    await unit.breaks.add(tuple(each for each in opening.breaks if each not in held))


async def hold(unit: UnitOfWork, snapshot: Snapshot, held: Hold) -> None:
    """As `place`, for a hold: a break inside its visit is the hold's too.

    Raises AlreadyThereError where the visit holds a place, DoubleBookedError where one is taken.
    """
    opening = held.opening
    crew = (opening.visit.lead, *opening.visit.assistants)
    own = tuple(each for each in opening.breaks if each.inside == held.id)
    apart = (*own, *_inside_held(snapshot, opening.breaks))
    await unit.breaks.clear(snapshot.span, crew)
    rows = occupied_by(opening.visit, opening.breaks)
    rests = (Occupied(f"staff:{each.staff}", each.window) for each in own)
    await unit.holds.add(held, (*rows, *rests))
    await unit.breaks.add(tuple(each for each in opening.breaks if each not in apart))


async def take(unit: UnitOfWork, visit: PlannedVisit, breaks: Iterable[PlannedBreak]) -> None:
    """Take what the visit needs of the salon. Raises DoubleBookedError when any of it is taken."""
    await unit.bookings.occupy(visit.visit, occupied_by(visit, breaks))
