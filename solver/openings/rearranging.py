"""A place for a request with rearranging: others may move, no promise does.

Others' leads and starts stay within their promises; chairs, assistants, help and breaks may change.
A day is first asked as it is booked, then a visit is inserted and the breaks laid anew, then the
model looks at the whole day: it finds the way of which fewest people must hear, or proves that
there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.openings import OpeningsQuestion
from schemas.plan import Plan, PlannedVisit
from schemas.rearranging import DAY_SECONDS, RearrangedDay, Room
from schemas.repair import Difference
from schemas.rules import Finding
from solver.checker import hard_findings
from solver.model.build import build_day
from solver.model.facts import Day
from solver.model.held import Held, held_break
from solver.model.progress import Stop
from solver.model.rearranging import make_room
from solver.model.search import Budget
from solver.model.told import RepairTask, ToldVisit
from solver.openings.across import hard_across
from solver.openings.blocks import Block
from solver.openings.find import openings_in, worked
from solver.openings.index import BookIndex
from solver.openings.sale import added
from solver.plan import PlanRejected
from solver.repair.differences import differences
from solver.repair.situation import Situation
from solver.rules import rule, settings_in_force
from solver.rules.reading import Reading
from solver.writing import write_plan

WRITING_SHARE = 0.1
"""Share of it kept back to write the day down and judge it."""


def rearranged_days(
    day_book: DayBook,
    question: OpeningsQuestion,
    *,
    index: BookIndex | None = None,
    seconds: float = DAY_SECONDS,
    stop: Stop | None = None,
    seed: int = 1,
) -> Iterator[RearrangedDay]:
    """The days that suit the client, in order of time, each within `seconds` of wall time.

    Nobody has to hear them all: the next day is looked at when it is asked for. `stop` is asked
    some fifty times a second; once it says so there is no further day, and the one under way
    is out of time unless a place was found by then. Days in the past are left alone by not asking
    for them: what has begun does not move only where the client's windows are on later days.

    Raises as `find_openings`; PlanRejected where the checker refuses a day of ours.
    """
    index = index or BookIndex.of(day_book)
    request = worked(index.day_book, question.request)
    question = question.model_copy(update={"request": request, "limit": 1})
    given_up = stop or (lambda: False)
    for number, block in enumerate(index.blocks):
        if not any(block.touches(window) for window in request.windows):
            continue
        if given_up():
            return
        budget = Budget(seconds * (1 - WRITING_SHARE), given_up, 1, seed)
        yield _OneDay(index, number, question, budget).answer()


@dataclass
class _OneDay:
    """One block of the book, asked for one request."""

    index: BookIndex
    number: int
    question: OpeningsQuestion
    budget: Budget
    request: Request = field(init=False)

    def __post_init__(self) -> None:
        self.request = self.question.request

    @property
    def block(self) -> Block:
        return self.index.blocks[self.number]

    @property
    def before(self) -> tuple[DayBook, Plan]:
        """The day's part of the book, and its plan as the book stands."""
        return self.index.days[self.number]

    @cached_property
    def book(self) -> DayBook:
        """The day's part of the book with the request in it."""
        book = self.before[0]
        bookings = tuple(each for each in book.bookings if each.id != self.request.id)
        return book.model_copy(update={"bookings": bookings, "requests": (self.request,)})

    @property
    def declined(self) -> tuple[str, ...]:
        """Who has no place on the day: bookings that nobody confirmed."""
        return tuple(name for name in self.before[1].declined if name != self.request.id)

    def answer(self) -> RearrangedDay:
        booked = self._as_booked()
        if booked is not None:
            return self._found(booked, booked=True)
        if self.budget.over:
            return self._without(Room.OUT_OF_TIME)
        day, task = self._stated()
        room = make_room(day, task, len(day.visits) - 1, self.budget)
        wrong: tuple[Finding, ...] = ()
        found = []
        for way in room.ways:
            written = write_plan(day, way)
            plan = written.model_copy(update={"declined": self.declined})
            wrong = self._breaches(plan)
            if not wrong:
                found.append(self._found(plan))
        if found:
            return min(found, key=_told)
        if wrong:
            raise PlanRejected(wrong)
        return self._without(Room.NONE if room.impossible else Room.OUT_OF_TIME)

    def _as_booked(self) -> Plan | None:
        """The day with the best opening that needs nobody else to move."""
        answer = openings_in(self.index, self.question, near=self.block.reach)
        for opening in answer.openings:
            own = tuple(each for each in opening.breaks if self.block.touches(each.window))
            plan = added(self.before, self.request, opening.visit, own)[1]
            if not self._breaches(plan):
                return plan
        return None

    def _stated(self) -> tuple[Day, RepairTask]:
        """The day in steps, everybody a must and the request last, and what was told of it."""
        index, plan = self.index, self.before[1]
        earlier = range(self.number)
        visits = [
            each
            for each in self.book.bookings
            if each.status is BookingStatus.CONFIRMED or _placed(each) is not None
        ]
        bare = build_day(
            index.day_book,
            self.block.windows,
            self.block.shifts,
            (*visits, self.request),
            settings_in_force(index.day_book),
            before={
                each.visit: self._date(each.window.start)
                for number in earlier
                for each in index.days[number][1].visits
            },
            planned=[index.days[number][1] for number in earlier],
        )
        day = replace(bare, visits=tuple(replace(each, must=True) for each in bare.visits))
        told = {
            each.id: ToldVisit.of(day, placed)
            for each in visits
            if (placed := _placed(each)) is not None
            and [phase.kind for phase in placed.phases] == [phase.kind for phase in each.phases]
        }
        later = tuple(held_break(day, rest) for rest in plan.breaks)
        return day, RepairTask(Held(later=later), told, {}, {})

    def _date(self, instant: datetime) -> date:
        return self.index.raster.frame.local_day(instant)

    def _breaches(self, plan: Plan) -> tuple[Finding, ...]:
        """What forbids the day so, on itself and across days."""
        found = hard_findings(self.book, plan)
        if found:
            return found
        across = self._across(plan)
        if not across:
            return ()
        known = {finding.detail for finding in self._across(None)}
        return tuple(finding for finding in across if finding.detail not in known)

    def _across(self, plan: Plan | None) -> tuple[Finding, ...]:
        """What the rules that look across days say of the whole book, or with the day so."""
        settings = hard_across(self.index.day_book)
        if not settings:
            return ()
        reading = Reading(*self._whole(plan))
        return tuple(
            finding
            for setting in settings
            for finding in rule(setting.code).findings(reading, setting)
        )

    def _whole(self, plan: Plan | None) -> tuple[DayBook, Plan]:
        """The book and its plan as they stand, or with the day so."""
        plans = [each for _, each in self.index.days]
        book = self.index.day_book
        if plan is not None:
            plans[self.number] = plan
            bookings = tuple(each for each in book.bookings if each.id != self.request.id)
            book = book.model_copy(update={"bookings": bookings, "requests": (self.request,)})
        else:
            book = book.model_copy(update={"requests": ()})
        return book, Plan(
            visits=tuple(visit for each in plans for visit in each.visits),
            breaks=tuple(rest for each in plans for rest in each.breaks),
            declined=tuple(name for each in plans for name in each.declined),
        )

    def _found(self, plan: Plan, booked: bool = False) -> RearrangedDay:
        moves = self._moves(plan)
        return RearrangedDay(
            request=self.request.id,
            date=self._date(self.block.reach.start),
            room=Room.AS_BOOKED if booked or not moves else Room.WITH_REARRANGING,
            visit=next(each for each in plan.visits if each.visit == self.request.id),
            plan=plan,
            moves=moves,
        )

    def _without(self, room: Room) -> RearrangedDay:
        date = self._date(self.block.reach.start)
        return RearrangedDay(request=self.request.id, date=date, room=room)

    def _moves(self, plan: Plan) -> tuple[Difference, ...]:
        book, before = self.before
        begun_by_then = self.block.reach.start
        situation = Situation.of(book, before, begun_by_then)
        every = differences(situation, book, before, self.book, plan)
        return tuple(each for each in every if each.visit != self.request.id)


def _placed(booking: Booking) -> PlannedVisit | None:
    return None if booking.status is BookingStatus.CANCELLED else booking.placed


def _told(answer: RearrangedDay) -> tuple[int, int]:
    """How many people hear of it, with the chairs that have a name by now, and of how much."""
    people = {(person.role, person.id) for each in answer.moves for person in each.tell}
    return len(people), len(answer.moves)
