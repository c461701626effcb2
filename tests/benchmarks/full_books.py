"""Seeded books of some weeks, filled day by day through the openings themselves.

A day is full to the share asked for when so much of its leads' time, shifts less one break each,
is work.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from schemas.booking import Booking, Promise, Request
from schemas.daybook import DayBook
from schemas.openings import Opening, OpeningsQuestion, Wish
from schemas.plan import PlannedBreak
from schemas.resources import Basin, Chair, Role, Shift, Skill, StaffMember
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place
from solver.openings import find_openings
from solver.rules import default_settings

ZONE = "Europe/Lisbon"
MONDAY = date(2026, 11, 2)
HELP = "braiding-help"
TECHNIQUES = ("knotless", "twist", "cornrow", "locs")
BREAK = 30
WISHES = (Wish.SOONEST, Wish.EARLY_FINISH, Wish.SHORTEST)


HOUSE = (
    *(setting for setting in default_settings() if setting.on),
    *(
        RuleSetting(code=code, parameters=parameters)
        for code, parameters in (
            ("latest-start", {"longer": 300, "after": "13:00"}),
            ("at-most-together", {"visits": 7}),
            ("supervised-apprentice", {}),
            ("resource-closed", {"what": "basins", "weekday": 1, "until": "10:00"}),
            ("longest-stretch", {"minutes": 360, "pause": 15}),
            ("daily-hours", {"minutes": 540}),
            ("rest-between-days", {"minutes": 660}),
        )
    ),
)
"""The house defaults and seven rules more, all hard but the wishes."""


@dataclass(frozen=True)
class Size:
    weeks: int
    chairs: int
    leads: int
    assistants: int
    full: float = 0.7
    rules: tuple[RuleSetting, ...] | None = None


def window(day: date, start: int, end: int) -> TimeWindow:
    midnight = datetime.combine(day, time(0), ZoneInfo(ZONE))
    return TimeWindow(
        start=midnight + timedelta(minutes=start), end=midnight + timedelta(minutes=end)
    )


def staff(size: Size, random: Random) -> tuple[StaffMember, ...]:
    leads = [
        StaffMember(
            id=f"lead-{n}",
            name=f"Lead {n}",
            roles=(Role.LEAD,),
            skills=(
                *(Skill(tag=tag) for tag in random.sample(TECHNIQUES, 3)),
                *(Skill(tag=tag) for tag in ("wash", "hair-prep", "finish")),
            ),
            pace=random.choice((0.9, 1.0, 1.0, 1.1)),
        )
        for n in range(size.leads)
    ]
    helpers = [
        StaffMember(
            id=f"assistant-{n}",
            name=f"Assistant {n}",
            roles=(Role.ASSISTANT,),
            skills=tuple(Skill(tag=tag) for tag in ("wash", "hair-prep", "finish", HELP)),
            help_rate=random.choice((0.4, 0.5, 0.6)),
        )
        for n in range(size.assistants)
    ]
    return (*leads, *helpers)


def request(random: Random, name: str, windows: tuple[TimeWindow, ...]) -> Request:
    """Wash, prep aside, braiding that may be shared and broken, finish: 2.5 to 8 hours alone."""
    technique, crew = random.choice(TECHNIQUES), Performer.CREW
    phases = (
        PhaseWork(kind="wash", minutes=20, skill="wash", performer=crew, place=Place.BASIN),
        PhaseWork(
            kind="hair-prep", minutes=15, skill="hair-prep", performer=crew, place=Place.NOWHERE
        ),
        PhaseWork(
            kind="braiding",
            minutes=random.choice((90, 120, 150, 180, 240, 300, 420)),
            skill=technique,
            shared=True,
            help_skill=HELP,
            breakable=True,
        ),
        PhaseWork(kind="finish", minutes=20, skill="finish", performer=crew),
    )
    return Request(
        id=name,
        client=name,
        phases=phases[random.choice((0, 1)) :],
        windows=windows,
        max_assistants=random.choice((0, 1, 1)),
    )


def empty_book(size: Size, seed: int) -> DayBook:
    random = Random(seed)
    people = staff(size, random)
    days = [MONDAY + timedelta(days=7 * w + d) for w in range(size.weeks) for d in range(6)]
    shifts = []
    for day in days:
        for person in people:
            start = random.choice((9 * 60, 9 * 60, 10 * 60, 11 * 60))
            shifts.append(
                Shift(
                    id=f"{person.id}-{day.isoformat()}",
                    staff=person.id,
                    window=window(day, start, start + 540),
                )
            )
    return DayBook(
        zone=ZONE,
        open=tuple(window(day, 9 * 60, 20 * 60) for day in days),
        chairs=tuple(Chair(id=f"chair-{n}", name=f"Chair {n}") for n in range(size.chairs)),
        basins=tuple(Basin(id=f"basin-{n}", name=f"Basin {n}") for n in range(3)),
        staff=people,
        shifts=tuple(shifts),
        rules=size.rules,
    )


def sell(book: DayBook, wanted: Request, opening: Opening) -> DayBook:
    """The book with this opening in it and the crew's breaks of that day replaced."""
    crew = {opening.lead, opening.assistant}
    day = opening.start.date()
    stay = (b for b in book.breaks if b.staff not in crew or b.window.start.date() != day)
    kept = {name: getattr(wanted, name) for name in type(wanted).model_fields}
    for name in ("windows", "preferred", "value"):
        kept.pop(name)
    promise = Promise(start=opening.start, lead=opening.lead)
    booking = Booking(**kept, promise=promise, placed=opening.visit)
    return book.model_copy(
        update={"bookings": (*book.bookings, booking), "breaks": (*stay, *opening.breaks)}
    )


def lead_load(book: DayBook) -> float:
    """Share of the leads' working time that is work."""
    leads = {person.id for person in book.staff if Role.LEAD in person.roles}
    there = sum(shift.window.minutes - BREAK for shift in book.shifts if shift.staff in leads)
    work = sum(
        phase.window.minutes
        for booking in book.bookings
        if booking.placed
        for phase in booking.placed.phases
        if phase.performer in leads
    )
    inside = sum(each.window.minutes for each in book.breaks if each.inside and each.staff in leads)
    return (work - inside) / there


def full_book(size: Size, seed: int) -> DayBook:
    """A book of `size`, each day filled until it is full or 40 random requests were refused."""
    random = Random(f"full-{seed}")
    book = empty_book(size, seed)
    bookings: list[Booking] = []
    breaks: list[PlannedBreak] = []
    for hours in book.open:
        day = book.model_copy(
            update={
                "open": (hours,),
                "shifts": tuple(s for s in book.shifts if s.window.overlaps(hours)),
            }
        )
        refused = 0
        while lead_load(day) < size.full and refused < 40:
            name = f"visit-{len(bookings) + len(day.bookings)}"
            wanted = request(random, name, (hours,))
            answer = find_openings(
                day, OpeningsQuestion(request=wanted, wish=random.choice(WISHES), limit=3)
            )
            if not answer.openings:
                refused += 1
                continue
            day = sell(day, wanted, random.choice(answer.openings))
        bookings += day.bookings
        breaks += day.breaks
    return book.model_copy(update={"bookings": tuple(bookings), "breaks": tuple(breaks)})
