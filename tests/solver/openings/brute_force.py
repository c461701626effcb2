"""Every place of a request by trying them all, with the independent checker as the only judge.

A place is (start, lead, assistant or none, chair). It exists if, for some division of the crew
phases between the two, some contiguous help of the assistant in one shared phase of the lead that
shortens it, and some lie of the crew's meal breaks, the checker finds nothing hard in the day.
What is tried, and nothing else:

* phases back to back from an arrival; the lead performs at least one; an assistant does something;
* each person's work lies in one of her shifts;
* in the shift she works in, if it owes a meal break, the first one that is good as it stands and
  clear of her placed work may be moved to any time of the grid, or inside a breakable phase that
  the lead performs; where no break is good, one is added; all other breaks of the book stay;
* a day that breaks a hard rule before anything is added has no places.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import product
from zoneinfo import ZoneInfo

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.plan import BreakKind, Help, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.resources import Role, Shift, StaffMember
from schemas.windows import TimeWindow
from schemas.work import Performer, Place
from solver.checker import hard_findings
from solver.openings import complete_breaks
from solver.rules import settings_in_force
from solver.rules.meal_break import MealBreak
from solver.rules.true_length import duration

PlaceKey = tuple[datetime, str, str | None, str | None]
UTC_ZONE = ZoneInfo("UTC")


def later(instant: datetime, minutes: int) -> datetime:
    return instant.astimezone(UTC_ZONE) + timedelta(minutes=minutes)


def window(start: datetime, minutes: int) -> TimeWindow:
    return TimeWindow(start=start.astimezone(UTC_ZONE), end=later(start, minutes))


def day_alone(book: DayBook, day: date) -> DayBook:
    """What the book says of one local date, by dates and nothing else."""
    zone = ZoneInfo(book.zone)

    def of(one: TimeWindow) -> bool:
        return one.start.astimezone(zone).date() == day

    return book.model_copy(
        update={
            "open": tuple(each for each in book.open if of(each)),
            "shifts": tuple(each for each in book.shifts if of(each.window)),
            "closures": tuple(each for each in book.closures if of(each.window)),
            "bookings": tuple(
                each for each in book.bookings if each.placed and of(each.placed.window)
            ),
            "breaks": tuple(each for each in book.breaks if of(each.window)),
        }
    )


def brute_force(book: DayBook, request: Request) -> set[PlaceKey]:
    zone = ZoneInfo(book.zone)
    found: set[PlaceKey] = set()
    for day in sorted({each.start.astimezone(zone).date() for each in book.open}):
        found |= set(OneDay(day_alone(book, day), request).places())
    return found


class OneDay:
    def __init__(self, book: DayBook, request: Request) -> None:
        self.book = book.model_copy(update={"requests": (request,)})
        self.request, self.grid = request, book.grid.minutes
        self.visits = tuple(each.placed for each in book.bookings if each.placed)
        self.breaks = complete_breaks(book, Plan(visits=self.visits, breaks=book.breaks))
        self.before = book
        settings = {each.code: each for each in settings_in_force(book)}
        meal = settings.get("meal-break")
        self.meal = None if meal is None else MealBreak.model_validate(meal.parameters)
        self.meal_hard = meal is not None and meal.hard
        self.meal_tags = set(() if meal is None else meal.scope.staff_tags)
        listed = {each.code for each in book.rules or ()}
        self.without_meal = self.book.model_copy(
            update={
                "rules": tuple(
                    each
                    for each in settings.values()
                    if each.code in listed and each.code != "meal-break"
                )
            }
        )

    def places(self) -> Iterator[PlaceKey]:
        if hard_findings(self.before, Plan(visits=self.visits, breaks=self.breaks)):
            return
        people = [p for p in self.book.staff if any(s.staff == p.id for s in self.book.shifts)]
        leads = [p for p in people if Role.LEAD in p.roles]
        needs_chair = any(work.place is not Place.NOWHERE for work in self.request.phases)
        chairs = [chair.id for chair in self.book.chairs] if needs_chair else [None]
        for lead in leads:
            helpers = [p for p in people if Role.ASSISTANT in p.roles and p.id != lead.id]
            for assistant in (None, *helpers):
                for start, chair in product(self.arrivals(), chairs):
                    if any(
                        self.fits(visit, rest)
                        for visit, rest in self.variants(start, lead, assistant, chair)
                    ):
                        yield start, lead.id, assistant.id if assistant else None, chair

    def arrivals(self) -> Iterator[datetime]:
        """Every multiple of the arrivals grid on the local clock, minute by minute."""
        zone = ZoneInfo(self.book.zone)
        for opened in self.book.open:
            for minute in range(opened.minutes):
                instant = later(opened.start, minute)
                local = instant.astimezone(zone)
                if (local.hour * 60 + local.minute) % self.book.grid.arrivals == 0:
                    yield instant

    def times(self, shift: Shift) -> Iterator[datetime]:
        zone = ZoneInfo(self.book.zone)
        for minute in range(shift.window.minutes):
            local = later(shift.window.start, minute).astimezone(zone)
            if (local.hour * 60 + local.minute) % self.grid == 0:
                yield local

    def variants(
        self, start: datetime, lead: StaffMember, assistant: StaffMember | None, chair: str | None
    ) -> Iterator[tuple[PlannedVisit, PlannedBreak | None]]:
        """Visits of this crew, each with the lead's break inside it or none."""
        able = [
            [
                person
                for person in ([lead] if assistant is None else [lead, assistant])
                if work.performer is Performer.CREW or person is lead
            ]
            for work in self.request.phases
        ]
        for performers in product(*able):
            if lead not in performers:
                continue
            inside = [None, *self.inside(performers, lead)]
            for broken in inside:
                for helped in (None, *self.helped(performers, lead, assistant)):
                    if assistant is not None and assistant not in performers and helped is None:
                        continue
                    crew = (lead, assistant, performers)
                    for visit in self.laid(start, crew, chair, broken, helped):
                        yield from self.with_rest(visit, lead, broken)

    def inside(self, performers: tuple[StaffMember, ...], lead: StaffMember) -> list[int]:
        if self.meal is None or not self.meal_hard:
            return []
        return [
            number
            for number, work in enumerate(self.request.phases)
            if work.breakable and performers[number] is lead
        ]

    def helped(
        self,
        performers: tuple[StaffMember, ...],
        lead: StaffMember,
        assistant: StaffMember | None,
    ) -> list[int]:
        return [
            number
            for number, work in enumerate(self.request.phases)
            if assistant is not None and work.shared and performers[number] is lead
        ]

    def laid(
        self,
        start: datetime,
        crew: tuple[StaffMember, StaffMember | None, tuple[StaffMember, ...]],
        chair: str | None,
        broken: int | None,
        helped: int | None,
    ) -> Iterator[PlannedVisit]:
        """The visit with every help window that shortens the phase helped with, or without help."""
        lead, assistant, performers = crew
        options: list[tuple[int, int]] = [(0, 0)]
        if helped is not None and assistant is not None:
            work = self.request.phases[helped]
            rest = self.rest if broken == helped else 0
            alone = duration(work, lead, [], rest, self.grid)
            options = []
            for minutes in range(self.grid, alone + 1, self.grid):
                length = duration(work, lead, [(assistant, minutes)], rest, self.grid)
                if length < alone and minutes <= length:
                    offsets = range(0, length - minutes + 1, self.grid)
                    options += [(offset, minutes) for offset in offsets]
        for offset, minutes in options:
            clock, phases = start, []
            for number, (work, by) in enumerate(zip(self.request.phases, performers, strict=True)):
                rest = self.rest if broken == number else 0
                helping: tuple[Help, ...] = ()
                helpers = []
                if number == helped and assistant is not None:
                    helpers = [(assistant, minutes)]
                    own = window(later(clock, offset), minutes)
                    helping = (Help(staff=assistant.id, window=own),)
                length = duration(work, by, helpers, rest, self.grid)
                basin = (
                    self.a_free_basin(window(clock, length)) if work.place is Place.BASIN else None
                )
                phases.append(
                    PlannedPhase(
                        kind=work.kind,
                        window=window(clock, length),
                        performer=by.id,
                        basin=basin,
                        help=helping,
                    )
                )
                clock = later(clock, length)
            yield PlannedVisit(
                visit=self.request.id,
                chair=chair,
                lead=lead.id,
                window=TimeWindow(start=start.astimezone(UTC_ZONE), end=clock),
                phases=tuple(phases),
            )

    @property
    def rest(self) -> int:
        assert self.meal is not None
        return -(-self.meal.minutes // self.grid) * self.grid

    def a_free_basin(self, wash: TimeWindow) -> str | None:
        """The first basin nobody else uses then: the visit's own washes follow each other."""
        for basin in self.book.basins:
            taken = [p.window for v in self.visits for p in v.phases if p.basin == basin.id]
            if not any(each.overlaps(wash) for each in taken):
                return basin.id
        return None

    def with_rest(
        self, visit: PlannedVisit, lead: StaffMember, broken: int | None
    ) -> Iterator[tuple[PlannedVisit, PlannedBreak | None]]:
        if broken is None:
            yield visit, None
            return
        phase = visit.phases[broken].window
        for minute in range(0, phase.minutes - self.rest + 1, self.grid):
            yield (
                visit,
                PlannedBreak(
                    staff=lead.id,
                    kind=BreakKind.MEAL,
                    window=window(later(phase.start, minute), self.rest),
                    inside=visit.visit,
                ),
            )

    def fits(self, visit: PlannedVisit, inside: PlannedBreak | None) -> bool:
        crew = [visit.lead, *visit.assistants]
        shifts = [self.shift_of(person, visit) for person in crew]
        if None in shifts:
            return False
        going = [self.movable(person, shift) for person, shift in zip(crew, shifts, strict=True)]
        stay = tuple(each for each in self.breaks if each not in going)
        lead_option = () if inside is None else (inside,)
        if inside is not None and self.satisfied_without(visit.lead, shifts[0], stay):
            return False
        plan = Plan(visits=(*self.visits, visit), breaks=(*stay, *lead_option))
        if hard_findings(self.without_meal, plan):
            return False
        options = [
            [inside]
            if inside is not None and person == visit.lead
            else self.rests(person, shift, gone)
            for person, shift, gone in zip(crew, shifts, going, strict=True)
        ]
        return any(
            not hard_findings(
                self.book,
                Plan(
                    visits=(*self.visits, visit),
                    breaks=(*stay, *(each for each in chosen if each is not None)),
                ),
            )
            for chosen in product(*options)
        )

    def satisfied_without(
        self, person: str, shift: Shift | None, stay: tuple[PlannedBreak, ...]
    ) -> bool:
        """Whether this shift asks for no break inside: its own breaks that stay are enough."""
        plan = Plan(visits=self.visits, breaks=stay)
        return not any(
            finding.rule == "meal-break"
            and person in finding.staff
            and shift is not None
            and finding.window == shift.window
            for finding in hard_findings(self.before, plan)
        )

    def shift_of(self, person: str, visit: PlannedVisit) -> Shift | None:
        work = [p.window for p in visit.phases if p.performer == person]
        work += [h.window for p in visit.phases for h in p.help if h.staff == person]
        for shift in self.book.shifts:
            if shift.staff == person and all(shift.window.contains(each) for each in work):
                return shift
        return None

    def movable(self, person: str, shift: Shift | None) -> PlannedBreak | None:
        """The first good break of a shift that owes one, clear of her placed work."""
        if self.meal is None or shift is None or shift.window.minutes <= self.meal.after:
            return None
        tags = next(each.tags for each in self.book.staff if each.id == person)
        if self.meal_tags and not self.meal_tags & set(tags):
            return None
        work = [p.window for v in self.visits for p in v.phases if p.performer == person]
        work += [
            h.window for v in self.visits for p in v.phases for h in p.help if h.staff == person
        ]
        good = [
            each
            for each in sorted(self.breaks, key=lambda each: each.window.start)
            if each.staff == person
            and each.kind is BreakKind.MEAL
            and shift.window.contains(each.window)
            and each.window.minutes >= self.meal.minutes
            and self.meal.earliest
            <= window_minutes(shift.window.start, each.window.start)
            <= self.meal.latest
            and (each.inside is None or self.meal.inside)
        ]
        clear = [each for each in good if not any(each.window.overlaps(w) for w in work)]
        return clear[0] if clear and len(clear) == len(good) else None

    def rests(
        self, person: str, shift: Shift | None, gone: PlannedBreak | None
    ) -> list[PlannedBreak | None]:
        """No break, the one there was, or one at any time of the grid in the shift."""
        options: list[PlannedBreak | None] = [None] if gone is None else [gone]
        if self.meal is None or shift is None or not self.meal_hard or gone is None:
            return [None, *options]
        for start in self.times(shift):
            options.append(
                PlannedBreak(staff=person, kind=BreakKind.MEAL, window=window(start, self.rest))
            )
        return options


def window_minutes(start: datetime, end: datetime) -> int:
    return round((end - start).total_seconds() / 60)
