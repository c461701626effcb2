"""Small edits of a day book."""

from __future__ import annotations

from collections.abc import Callable

from schemas.daybook import DayBook
from schemas.resources import Shift, StaffMember
from schemas.windows import TimeWindow

Edit = Callable[[DayBook], DayBook]


def with_request(request_id: str, **changes: object) -> Edit:
    """The request of that id with these fields."""

    def make(book: DayBook) -> DayBook:
        requests = tuple(
            request.model_copy(update=changes) if request.id == request_id else request
            for request in book.requests
        )
        return book.model_copy(update={"requests": requests})

    return make


def with_shift(shift: Shift, more: TimeWindow, request_id: str) -> Edit:
    """The shift longer by `more`, which touches it; the salon's hours follow where they must.

    A window of the client that ends where the salon closed follows too: she stays, or comes, as
    the salon does.
    """

    def make(book: DayBook) -> DayBook:
        longer = shift.model_copy(update={"window": _joined(shift.window, more)})
        shifts = tuple(longer if each.id == shift.id else each for each in book.shifts)
        changed = book.model_copy(update={"shifts": shifts})
        touched = [opening for opening in book.open if opening.overlaps(shift.window)]
        for old in touched:
            new = _stretched(old, shift.window, more)
            if new == old or any(new.overlaps(each) for each in book.open if each != old):
                continue
            opened = tuple(new if each == old else each for each in changed.open)
            changed = changed.model_copy(update={"open": opened})
            changed = _client_follows(changed, request_id, old, new)
        return changed

    return make


def _joined(one: TimeWindow, other: TimeWindow) -> TimeWindow:
    return TimeWindow(start=min(one.start, other.start), end=max(one.end, other.end))


def _stretched(opening: TimeWindow, shift: TimeWindow, more: TimeWindow) -> TimeWindow:
    """The opening up to the new hours, if the shift reached its edge."""
    if more.start == shift.end and shift.end <= opening.end < more.end:
        return TimeWindow(start=opening.start, end=more.end)
    if more.end == shift.start and more.start < opening.start <= shift.start:
        return TimeWindow(start=more.start, end=opening.end)
    return opening


def _client_follows(book: DayBook, request_id: str, old: TimeWindow, new: TimeWindow) -> DayBook:
    (request,) = (each for each in book.requests if each.id == request_id)
    windows = tuple(_follows(window, old, new) for window in request.windows)
    return with_request(request_id, windows=windows)(book)


def _follows(window: TimeWindow, old: TimeWindow, new: TimeWindow) -> TimeWindow:
    if not window.overlaps(old):
        return window
    return TimeWindow(
        start=min(window.start, new.start) if window.start == old.start else window.start,
        end=max(window.end, new.end) if window.end == old.end else window.end,
    )


def with_person(person: StaffMember, shift: Shift) -> Edit:
    """Somebody in for a shift; a person nobody knows yet joins the staff."""

    def make(book: DayBook) -> DayBook:
        known = any(each.id == person.id for each in book.staff)
        staff: tuple[StaffMember, ...] = book.staff if known else (*book.staff, person)
        return book.model_copy(update={"staff": staff, "shifts": (*book.shifts, shift)})

    return make


def both(first: Edit, second: Edit) -> Edit:
    return lambda book: second(first(book))
