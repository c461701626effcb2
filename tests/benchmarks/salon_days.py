"""Seeded salon days of four sizes for the benchmark, all of them asked for more than they hold.

The promises of W stand where our own first plan puts them, so its books change when that does:
compare methods within one run.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from schemas.booking import Booking, Promise, Request
from schemas.daybook import DayBook
from schemas.plan import PlannedBreak
from schemas.resources import Basin, Chair, Role, Shift, Skill, StaffMember
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place
from solver.days import part_days
from solver.model.build import build_day
from solver.model.greedy import Greedy
from solver.model.placement import DayPlacement
from solver.rules import settings_in_force
from solver.writing import write_plan

ZONE = ZoneInfo("Europe/Lisbon")
MONDAY = date(2026, 11, 30)
OPENS, CLOSES = 9, 20
HELP = "braiding-help"
TECHNIQUES = ("knotless", "twist", "cornrow")


@dataclass(frozen=True)
class Size:
    """How large a generated book is."""

    chairs: int
    leads: int
    assistants: int
    requests: int
    days: int = 1
    promised: float = 0.0
    """Share of the visits that are promises, as far as a first greedy plan places them."""


SIZES = {
    "studio": Size(6, 5, 4, 10),
    "S": Size(4, 3, 2, 8),
    "M": Size(10, 8, 5, 25),
    "L": Size(20, 16, 10, 60),
    "W": Size(10, 8, 5, 120, days=6, promised=0.7),
}


def _at(day: date, minute: int) -> datetime:
    return datetime.combine(day, time(0), ZONE) + timedelta(minutes=minute)


def _window(day: date, start: int, end: int) -> TimeWindow:
    return TimeWindow(start=_at(day, start), end=_at(day, end))


def _staff(size: Size, random: Random) -> tuple[StaffMember, ...]:
    leads = [
        StaffMember(
            id=f"lead-{number}",
            name=f"Lead {number}",
            roles=(Role.LEAD,),
            skills=(
                *(Skill(tag=tag) for tag in random.sample(TECHNIQUES, random.choice((2, 3)))),
                *(Skill(tag=tag) for tag in ("take-down", "wash", "finish")),
            ),
            pace=random.choice((0.9, 1.0, 1.0, 1.1)),
        )
        for number in range(size.leads)
    ]
    assistants = [
        StaffMember(
            id=f"assistant-{number}",
            name=f"Assistant {number}",
            roles=(Role.ASSISTANT,),
            skills=tuple(Skill(tag=tag) for tag in ("take-down", "wash", "finish", HELP)),
            help_rate=random.choice((0.5, 0.6, 0.7)),
        )
        for number in range(size.assistants)
    ]
    return (*leads, *assistants)


def _shifts(size: Size, staff: tuple[StaffMember, ...], random: Random) -> tuple[Shift, ...]:
    shifts = []
    for day in range(size.days):
        for person in staff:
            start = random.choice((9, 9, 10, 11)) * 60
            length = random.choice((8, 9, 9)) * 60
            window = _window(MONDAY + timedelta(days=day), start, start + length)
            shifts.append(Shift(id=f"{person.id}-{day}", staff=person.id, window=window))
    return tuple(shifts)


def _phases(random: Random) -> tuple[PhaseWork, ...]:
    """Two to seven hours of work, most of it braiding."""
    technique = random.choice(TECHNIQUES)
    crew = {"performer": Performer.CREW}
    phases = []
    if random.random() < 0.4:
        phases.append(PhaseWork(kind="take-down", minutes=30, skill="take-down", **crew))
    if random.random() < 0.7:
        phases.append(PhaseWork(kind="wash", minutes=25, skill="wash", place=Place.BASIN, **crew))
    phases.append(
        PhaseWork(
            kind="braiding",
            minutes=random.randrange(90, 361, 15),
            skill=technique,
            shared=True,
            help_skill=HELP,
            breakable=True,
        )
    )
    phases.append(PhaseWork(kind="finish", minutes=20, skill="finish", **crew))
    return tuple(phases)


def salon_days(name: str, seed: int) -> DayBook:
    """The generated book of a size; the same seed gives the same book."""
    size, random = SIZES[name], Random(f"{name}-{seed}")
    staff = _staff(size, random)
    leads = [person.id for person in staff if Role.LEAD in person.roles]
    days = [MONDAY + timedelta(days=number) for number in range(size.days)]
    requests = []
    for number in range(size.requests):
        day = random.choice(days)
        phases = _phases(random)
        work = sum(phase.minutes for phase in phases)
        facts = {
            "id": f"visit-{number}",
            "client": f"Client {number}",
            "phases": phases,
            "max_assistants": random.choice((0, 1, 1, 2)),
            "preferred_lead": random.choice((None, None, random.choice(leads))),
            "chair_features": ("quiet",) if random.random() < 0.1 else (),
        }
        earliest = random.choice((9, 9, 10, 12))
        requests.append(
            Request(
                windows=(_window(day, earliest * 60, random.choice((17, 20, 20)) * 60),),
                value=round(work * random.uniform(0.8, 1.2)),
                preferred=_window(day, earliest * 60, earliest * 60 + 60),
                **facts,
            )
        )
    book = DayBook(
        zone="Europe/Lisbon",
        open=tuple(_window(day, OPENS * 60, CLOSES * 60) for day in days),
        chairs=tuple(
            Chair(
                id=f"chair-{number}",
                name=f"Chair {number}",
                features=("quiet",) if number == 0 else (),
            )
            for number in range(size.chairs)
        ),
        basins=tuple(Basin(id=f"basin-{n}", name=f"Basin {n}") for n in (0, 1)),
        staff=staff,
        shifts=_shifts(size, staff, random),
        requests=tuple(requests),
    )
    return _with_promises(book, round(size.promised * size.requests)) if size.promised else book


def _with_promises(book: DayBook, count: int) -> DayBook:
    """The first `count` requests become promises, as far as a first greedy plan places them."""
    asked, promised, breaks = book.requests[:count], {}, list[PlannedBreak]()
    settings = settings_in_force(book)
    for part in part_days(book.model_copy(update={"requests": asked})):
        day = build_day(book, part.openings, part.shifts, part.visits, settings)
        greedy = Greedy(day, seed=1)
        greedy.run(lambda: True, lambda _: None)
        plan = write_plan(day, greedy.best or DayPlacement())
        breaks += plan.breaks
        for placed in plan.visits:
            request = next(request for request in asked if request.id == placed.visit)
            facts = request.model_dump(exclude={"windows", "preferred", "value"})
            promise = Promise(start=placed.window.start, lead=placed.lead)
            promised[request.id] = Booking(**facts, promise=promise, placed=placed)
    return book.model_copy(
        update={
            "bookings": tuple(promised.values()),
            "breaks": tuple(breaks),
            "requests": tuple(r for r in book.requests if r.id not in promised),
        }
    )
