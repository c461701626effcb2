"""Random small day books and requests: a day or two, a few people, all the rules in play.

About one book in ten is broken on purpose (a double booking, a break with a wrong label), so that a
day in trouble is met as well.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

from schemas.booking import Booking, Request
from schemas.daybook import DayBook, Grid
from schemas.plan import Help, Plan, PlannedBreak, PlannedPhase
from schemas.resources import Role, Shift, StaffMember
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place
from solver.checker import hard_findings
from solver.rules.true_length import duration
from tests.builders import (
    DAY,
    HELP,
    a_basin,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_request,
    a_setting,
    a_shared_phase,
    a_wash,
    a_window,
    an_assistant,
    at,
    skills,
)

AUTUMN = date(2026, 10, 25)
"""Lisbon sets its clocks back at 2:00 on this day."""


@dataclass(frozen=True)
class Small:
    book: DayBook
    request: Request


def clock(minute: int) -> str:
    return f"{minute // 60}:{minute % 60:02d}"


def small(seed: int) -> Small:
    """The book and the request of this seed."""
    draw = random.Random(seed)
    grid = draw.choice([30, 30, 30, 20, 27, 18] if draw.random() < 0.5 else [30])
    arrivals = grid * draw.choice([1, 1, 2])
    days = [DAY] if draw.random() < 0.8 else [DAY, DAY + timedelta(days=1)]
    begin = 9 * 60
    if draw.random() < 0.08:
        days, begin = [AUTUMN], 0
    length = draw.choice([180, 300, 300, 360])
    staff = people(draw)
    shifts = [shift for day in days for shift in a_days_shifts(draw, staff, day, begin, length)]
    hours: list[TimeWindow] = []
    for day in days:
        cut = begin + length // 2 // grid * grid
        if draw.random() < 0.15 and any(
            s.window.overlaps(a_window(clock(cut - grid), clock(cut + grid), day)) for s in shifts
        ):
            gap = draw.choice([0, grid])
            hours += [a_window(clock(begin), clock(cut), day)]
            hours += [a_window(clock(cut + gap), clock(begin + length), day)]
        else:
            hours.append(a_window(clock(begin), clock(begin + length), day))
    hours = joined_by_a_shift(hours, shifts)
    chairs = tuple(
        a_chair(
            f"chair-{n}",
            features=("quiet",) if draw.random() < 0.6 else (),
            tags=("deep",) if draw.random() < 0.5 else (),
            retired=draw.random() < 0.1,
        )
        for n in range(1, draw.choice([2, 2, 3]))
    )
    closures = ()
    if draw.random() < 0.2:
        start = begin + draw.randrange(0, length, 10)
        end = start + draw.choice([7, 30, 60])
        closures = (a_closure(clock(start), clock(end), "chair-1", draw.choice(days)),)
    book = a_day_book(
        grid=Grid(minutes=grid, arrivals=arrivals),
        open=tuple(hours),
        chairs=chairs,
        basins=tuple(a_basin(f"basin-{n}") for n in range(1, draw.choice([1, 2, 2, 2, 2, 3]))),
        closures=closures,
        staff=staff,
        shifts=tuple(shifts),
        rules=some_rules(draw),
    )
    book = with_bookings(draw, book, days, begin, length)
    return Small(book, wanted(draw, book, days, begin, length))


def people(draw: random.Random) -> tuple[StaffMember, ...]:
    leads = [
        a_lead(
            f"lead-{n}",
            pace=draw.choice([1.0, 1.0, 0.8, 1.25]),
            tags=("minor",) if draw.random() < 0.3 else (),
            roles=draw.choice([(Role.LEAD,), (Role.LEAD, Role.ASSISTANT)]),
            skills=skills("wash", "hair-prep", "braiding", *draw.choice([("finish", HELP), ()])),
            help_rate=draw.choice([0.5, 1.0]),
        )
        for n in range(1, draw.choice([2, 2, 3]))
    ]
    assistants = (
        [
            an_assistant(
                f"assistant-{n}",
                pace=draw.choice([1.0, 1.5]),
                help_rate=draw.choice([0.33, 0.5, 0.5, 1.0]),
                skills=skills(*draw.sample(["wash", "hair-prep", "finish", HELP], 3), level=3)
                if draw.random() < 0.3
                else skills("wash", "hair-prep", "finish", HELP, level=3),
            )
            for n in range(1, draw.choice([1, 2, 2, 3]))
        ]
        if draw.random() < 0.95
        else []
    )
    return (*leads, *assistants)


def a_days_shifts(
    draw: random.Random, staff: tuple[StaffMember, ...], day: date, begin: int, length: int
) -> list[Shift]:
    found = []
    for person in staff:
        start, end = begin, begin + length
        if draw.random() < 0.3:
            start += draw.choice([0, 30, 60])
        if draw.random() < 0.3:
            end += draw.choice([-60, -30, 60])
        spans = [(start, end)]
        if draw.random() < 0.12:
            cut = (start + end) // 120 * 60
            spans = [(start, cut), (cut + draw.choice([0, 0, 60]), end)]
        for number, (first, last) in enumerate(spans):
            if last > first:
                found.append(
                    Shift(
                        id=f"shift-{person.id}-{day.isoformat()}-{number}",
                        staff=person.id,
                        window=a_window(clock(first), clock(last), day),
                    )
                )
    if not found:
        found.append(
            Shift(
                id="shift-spare",
                staff=staff[0].id,
                window=a_window(clock(begin), clock(begin + length), day),
            )
        )
    return found


def joined_by_a_shift(hours: list[TimeWindow], shifts: list[Shift]) -> list[TimeWindow]:
    """Leaves out a second window of a day that no shift joins to the first."""
    kept: list[TimeWindow] = []
    for window in hours:
        same_day = [each for each in kept if each.start.date() == window.start.date()]
        joined = any(
            shift.window.overlaps(window) and shift.window.overlaps(same_day[-1])
            for shift in shifts
            if same_day
        )
        if not same_day or joined:
            kept.append(window)
    return kept


def some_rules(draw: random.Random) -> tuple[object, ...]:
    rules = []
    if draw.random() < 0.75:
        earliest = draw.choice([0, 30, 60])
        rules.append(
            a_setting(
                "meal-break",
                hard=draw.random() < 0.85,
                after=draw.choice([120, 180, 240]),
                minutes=draw.choice([20, 30, 30]),
                earliest=earliest,
                latest=earliest + draw.choice([60, 90, 120]),
                inside=draw.choice([0, 1, 1]),
                staff_tags=["minor"] if draw.random() < 0.15 else (),
            )
        )
    if draw.random() < 0.6:
        rules.append(
            a_setting(
                "turnaround",
                hard=draw.random() < 0.8,
                minutes=draw.choice([10, 30]),
                chair_tags=["deep"] if draw.random() < 0.3 else (),
            )
        )
    if draw.random() < 0.3:
        rules.append(a_setting("preferred-lead", hard=draw.random() < 0.5, weight=20))
    if draw.random() < 0.3:
        rules.append(a_setting("preferred-time", hard=draw.random() < 0.5))
    if draw.random() < 0.3:
        rules.append(a_setting("longest-wait", minutes=0))
    return tuple(rules)


def phases(draw: random.Random) -> tuple[PhaseWork, ...]:
    crew = {"performer": Performer.CREW}
    found = []
    if draw.random() < 0.35:
        found.append(a_wash(draw.choice([20, 30])))
    if draw.random() < 0.3:
        found.append(a_phase("hair-prep", draw.choice([25, 30]), place=Place.NOWHERE, **crew))
    if draw.random() < 0.9 or not found:
        shared = draw.random() < 0.75
        minutes = draw.choice([60, 80, 90, 120])
        breakable = draw.random() < 0.7
        found.append(
            a_shared_phase(minutes, breakable=breakable)
            if shared
            else a_phase("braiding", minutes, breakable=breakable)
        )
    if draw.random() < 0.3:
        found.append(a_phase("finish", 30, breakable=draw.random() < 0.3, **crew))
    return tuple(found)


def wanted(
    draw: random.Random, book: DayBook, days: list[date], begin: int, length: int
) -> Request:
    leads = [person.id for person in book.staff if Role.LEAD in person.roles]
    windows = [a_window("0:00", "24:00", day) for day in days]
    if draw.random() < 0.3:
        start = begin + draw.choice([0, 30, 45, 60])
        windows = [
            a_window(clock(start), clock(start + draw.choice([150, 240, 300])), days[0]),
            a_window(clock(begin), clock(begin + 150), days[-1]),
        ]
    start = begin + draw.choice([0, 60])
    return a_request(
        "wanted",
        phases=phases(draw),
        windows=tuple(windows),
        chair_features=("quiet",) if draw.random() < 0.15 else (),
        max_assistants=draw.choice([0, 1, 1, 1, 2]),
        preferred_lead=draw.choice([None, *leads]),
        required_lead=draw.choice([None] * 8 + leads),
        preferred=a_window(clock(start), clock(start + 90), days[0])
        if draw.random() < 0.4
        else None,
    )


def with_bookings(
    draw: random.Random, book: DayBook, days: list[date], begin: int, length: int
) -> DayBook:
    """Adds bookings one by one, each where it breaks no rule but the meal break, or nearly so."""
    spoil = draw.random() < 0.1
    for number in range(draw.choice([0, 1, 1, 2, 2, 3])):
        for _ in range(8):
            booking, breaks = a_try(
                draw, book, f"booking-{number}", draw.choice(days), (begin, length)
            )
            if booking is None:
                continue
            more = book.model_copy(
                update={
                    "bookings": (*book.bookings, booking),
                    "breaks": (*book.breaks, *breaks),
                }
            )
            plan = Plan(
                visits=tuple(each.placed for each in more.bookings if each.placed),
                breaks=more.breaks,
            )
            wrong = [f for f in hard_findings(more, plan) if f.rule != "meal-break"]
            if not wrong or (spoil and draw.random() < 0.3):
                book = more
                break
    return book


def a_try(
    draw: random.Random, book: DayBook, name: str, day: date, hours: tuple[int, int]
) -> tuple[Booking | None, tuple[PlannedBreak, ...]]:
    grid, (begin, length) = book.grid.minutes, hours
    start = begin + draw.randrange(0, length, book.grid.arrivals)
    leads = [person for person in book.staff if Role.LEAD in person.roles]
    helpers = [person for person in book.staff if person.id.startswith("assistant")]
    lead = draw.choice(leads)
    meal = -(-draw.choice([20, 30]) // grid) * grid
    if draw.random() < 0.25 and meal:
        # A break of somebody, somewhere: between duties or not, at a good time or not.
        person = draw.choice(book.staff)
        kind = draw.choice(["meal", "meal", "meal", "rest"])
        loose = a_meal(
            clock(start),
            clock(start + draw.choice([grid, 2 * grid])),
            person.id,
            kind=kind,
            day=day,
        )
        booking = None
        plan = Plan(
            visits=tuple(each.placed for each in book.bookings if each.placed),
            breaks=(*book.breaks, loose),
        )
        if [f for f in hard_findings(book, plan) if f.rule != "meal-break"]:
            return None, ()
        extra: tuple[PlannedBreak, ...] = (loose,)
    else:
        extra = ()
    works = tuple(work for work in phases(draw) if lead.masters(work.skill))
    if not works:
        return None, ()
    planned, minute, breaks = [], start, list(extra)
    for work in works:
        helped: list[Help] = []
        rest = 0
        if work.breakable and meal and draw.random() < 0.4:
            rest = meal
        alone = duration(work, lead, [], rest, grid)
        if work.shared and helpers and draw.random() < 0.5:
            helper = draw.choice(helpers)
            if helper.masters(HELP):
                minutes = draw.choice([grid, 2 * grid])
                if duration(work, lead, [(helper, minutes)], rest, grid) >= minutes:
                    window = TimeWindow(
                        start=at(clock(minute), day), end=at(clock(minute + minutes), day)
                    )
                    helped = [Help(staff=helper.id, window=window)]
                    alone = duration(work, lead, [(helper, minutes)], rest, grid)
        if rest and alone >= rest:
            begun = minute + draw.randrange(0, alone - rest + 1, grid)
            label = name if draw.random() < 0.97 else None
            breaks.append(a_meal(clock(begun), clock(begun + rest), lead.id, inside=label, day=day))
        window = TimeWindow(start=at(clock(minute), day), end=at(clock(minute + alone), day))
        basin = book.basins[0].id if work.place is Place.BASIN and book.basins else None
        planned.append(
            PlannedPhase(
                kind=work.kind, window=window, performer=lead.id, basin=basin, help=tuple(helped)
            )
        )
        minute += alone
    seat = None
    if any(work.place is not Place.NOWHERE for work in works):
        seat = draw.choice(book.chairs).id
    booking = a_booking(name, clock(start), day=day, phases=works)
    place = a_placed(booking, lead=lead.id, chair=seat, phases=planned, day=day)
    return booking.model_copy(update={"placed": place}), tuple(breaks)
