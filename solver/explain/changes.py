"""What could be changed so that a request fits, and what trouble each change makes.

The costs are house figures in points, common practice without a source: a minute of overtime
weighs two, somebody called in an hour, a chair bought most of all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.explanations import ChangeKind
from schemas.plan import PlannedVisit
from schemas.resources import Chair, Role, StaffMember
from schemas.windows import TimeWindow
from solver.days import DayPart
from solver.explain.case import Case
from solver.explain.edits import with_request, with_shift
from solver.model.crew import can_lead
from solver.rules.reading import span

LONGER = (15, 30, 60)
"""Minutes of overtime that are tried."""
PROMISE_MOVES = (30, 60, 120)
"""Minutes by which another client might be asked to come earlier or later."""


@dataclass(frozen=True)
class Change:
    """A change to the whole day book. `family` tells changes that only differ in how much."""

    kind: ChangeKind
    cost: int
    family: str
    make: Callable[[DayBook], DayBook]
    say: Callable[[PlannedVisit], str]
    minutes: int | None = None
    staff: str | None = None
    chair: str | None = None
    visit: str | None = None
    window: TimeWindow | None = None


def day_changes(case: Case, part: DayPart) -> Iterator[Change]:
    """Changes to one day, those of somebody's hands left out (see `hands`)."""
    yield from _other_time(case, part)
    yield from _other_lead(case)
    yield from _overtime(case)
    yield from _chairs(case)
    yield from _moved_promises(case)


def other_days(case: Case, part: DayPart, days_away: int) -> Iterator[Change]:
    """The request on a day that did not suit the client."""
    words = case.words

    def say(placed: PlannedVisit) -> str:
        return (
            f"{words.client(case.request.id)} comes on another day, "
            f"{words.when(*span(placed.window))}, with {words.person(placed.lead)}."
        )

    windows = tuple(part.openings)
    yield Change(
        ChangeKind.OTHER_DAY,
        40 + 5 * days_away,
        f"other day {case.date}",
        with_request(case.request.id, windows=windows, preferred=None),
        say,
        window=windows[0],
    )


def _other_time(case: Case, part: DayPart) -> Iterator[Change]:
    request, words = case.request, case.words
    if all(any(w.contains(opening) for w in request.windows) for opening in part.openings):
        return

    def say(placed: PlannedVisit) -> str:
        return (
            f"{words.client(request.id)} comes at another time, "
            f"{words.when(*span(placed.window))}, with {words.person(placed.lead)}."
        )

    windows = (*request.windows, *part.openings)
    yield Change(
        ChangeKind.OTHER_TIME,
        20,
        "other time",
        with_request(request.id, windows=windows),
        say,
        window=part.openings[0],
    )


def _other_lead(case: Case) -> Iterator[Change]:
    request, words = case.request, case.words
    preferred = next(
        (s for s in case.day().settings.values() if s.code == "preferred-lead" and s.hard), None
    )
    wish = preferred is not None and request.preferred_lead is not None
    if request.required_lead is None and not request.refused_leads and not wish:
        return

    def say(placed: PlannedVisit) -> str:
        return (
            f"{words.client(request.id)} takes {words.person(placed.lead)} as lead, "
            f"{words.when(*span(placed.window))}."
        )

    changes = {"required_lead": None, "refused_leads": (), "preferred_lead": None}
    make = with_request(request.id, **changes)
    yield Change(ChangeKind.OTHER_LEAD, 30, "other lead", make, say)


def _overtime(case: Case) -> Iterator[Change]:
    """One person longer at either end; the salon and the client stay as long where need be."""
    words, staff = case.words, {person.id: person for person in case.book.staff}
    for shift in case.book.shifts:
        if not _able(case, staff[shift.staff]):
            continue
        for minutes in LONGER:
            more = timedelta(minutes=minutes)
            late = TimeWindow(start=shift.window.end, end=shift.window.end + more)
            early = TimeWindow(start=shift.window.start - more, end=shift.window.start)
            for window, does in ((late, "stays"), (early, "starts")):
                who = words.person(shift.staff)
                first, last = span(window)
                said = f"{who} {does} {minutes} min "
                said += (
                    f"longer, to {words.clock(last)}"
                    if window is late
                    else f"earlier, at {words.clock(first)}"
                )
                yield Change(
                    ChangeKind.OVERTIME,
                    30 + 2 * minutes,
                    f"{shift.id} {does}",
                    with_shift(shift, window, case.request.id),
                    saying(case, said),
                    minutes=minutes,
                    staff=shift.staff,
                    window=window,
                )


def _able(case: Case, person: StaffMember) -> bool:
    """Whether more hours of this person could serve the request at all."""
    skills = {phase.skill for phase in case.request.phases}
    skills |= {phase.help_skill for phase in case.request.phases if phase.help_skill}
    if not any(person.masters(skill) for skill in skills):
        return False
    return can_lead(case.request, person) or Role.ASSISTANT in person.roles


def _chairs(case: Case) -> Iterator[Change]:
    book, words = case.book, case.words
    for number, closure in enumerate(book.closures):
        if not any(closure.window.overlaps(opening) for opening in book.open):
            continue

        def freed(whole: DayBook, gone: object = closure) -> DayBook:
            kept = tuple(each for each in whole.closures if each != gone)
            return whole.model_copy(update={"closures": kept})

        said = (
            f"{words.chair(closure.chair)} is ready after all {words.when(*span(closure.window))}"
        )
        yield Change(
            ChangeKind.CHAIR_FREED,
            45,
            f"closure {number}",
            freed,
            saying(case, said),
            chair=closure.chair,
            window=closure.window,
        )
    name, taken = "extra-chair", {chair.id for chair in book.chairs}
    while name in taken:
        name += "-x"
    chair = Chair(id=name, name="Extra chair", features=case.request.chair_features)

    def one_more(whole: DayBook) -> DayBook:
        return whole.model_copy(update={"chairs": (*whole.chairs, chair)})

    like = f" that is {', '.join(chair.features)}" if chair.features else ""
    yield Change(
        ChangeKind.EXTRA_CHAIR,
        300,
        "extra chair",
        one_more,
        saying(case, f"There is one more chair{like}"),
        chair=chair.id,
    )


def _moved_promises(case: Case) -> Iterator[Change]:
    words = case.words
    for booking in case.bookings:
        for minutes in PROMISE_MOVES:
            said = f"{words.client(booking.id)} agrees to come up to {minutes} min earlier or later"
            yield Change(
                ChangeKind.MOVED_PROMISE,
                100 + minutes,
                f"promise {booking.id}",
                _loosened(booking, minutes),
                saying(case, said),
                minutes=minutes,
                visit=booking.id,
            )


def _loosened(booking: Booking, minutes: int) -> Callable[[DayBook], DayBook]:
    promise = booking.promise
    tolerance = promise.tolerance + minutes
    latest = promise.latest_finish
    if latest is not None:
        latest += timedelta(minutes=minutes)
    changed = booking.model_copy(
        update={
            "promise": promise.model_copy(update={"tolerance": tolerance, "latest_finish": latest})
        }
    )

    def make(whole: DayBook) -> DayBook:
        bookings = tuple(changed if each.id == booking.id else each for each in whole.bookings)
        return whole.model_copy(update={"bookings": bookings})

    return make


def saying(case: Case, said: str) -> Callable[[PlannedVisit], str]:
    """The change, and where the request then goes."""
    words = case.words

    def say(placed: PlannedVisit) -> str:
        return (
            f"{said}: {words.client(case.request.id)} fits "
            f"{words.when(*span(placed.window))}, with {words.person(placed.lead)}."
        )

    return say
