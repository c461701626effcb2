"""Random days that keep every rule, laid out by hand arithmetic and not by the solver.

Every lead has a chair, a basin and an assistant of her own, and the same three visits in her day:
a short one at nine, a long install with help and a meal inside, a short one in the afternoon.
Lengths, promises and wishes vary with the seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from schemas.booking import Booking, Promise, Request
from schemas.daybook import DayBook
from schemas.plan import BreakKind, Help, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow
from solver.rules import default_settings
from tests.builders import (
    a_basin,
    a_chair,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    at,
    minutes_after,
)
from tests.solver.figures.hair_builders import hair, stock

OPENS, CLOSES = "9:00", "20:00"
WISHED = (
    a_setting("rest-breaks", spread=0),
    a_setting("longest-stretch", minutes=240, pause=15),
    a_setting("second-meal"),
    a_setting("break-total", minutes=45, raised=60, part=30),
    a_setting("meal-window", closes="14:00"),
    a_setting("daily-hours", minutes=600),
    a_setting("weekly-hours", minutes=600),
    a_setting("rest-between-days"),
    a_setting("weekly-rest"),
    a_setting("latest-start", longer=150, after="12:00"),
    a_setting("at-most-together", visits=1, visit_tags=("first",)),
    a_setting("supervised-apprentice", staff_tags=("learning",)),
    a_setting("hair-on-hand"),
    a_setting("fewest-changes", hard=False),
    a_setting("even-shares", hard=False, minutes=240, slack=0),
    a_setting("resource-closed", label="noon", weekday=2, since="11:00", until="17:00"),
    a_setting("resource-closed", label="loud", what="chairs", weekday=0, chair_tags=("loud",)),
    a_setting("overtime", hard=False, minutes=60, staff_tags=("learning",)),
    a_setting("early-help", hard=False),
    a_setting("no-small-holes", hard=False, minutes=10, spare=0),
)
"""Rules that no salon has by default."""


@dataclass(frozen=True)
class SoundDay:
    """A day book under every rule there is, and a plan of it that draws no finding."""

    day_book: DayBook
    plan: Plan


def sound_day(seed: int) -> SoundDay:
    rng = Random(seed)
    leads = rng.randint(2, 4)
    visits: list[Booking | Request] = []
    placed: list[PlannedVisit] = []
    breaks: list[PlannedBreak] = []
    for number in range(1, leads + 1):
        for visit, place in _visits(rng, number):
            visits.append(visit)
            placed.append(place)
        breaks.append(a_meal("12:30", "13:00", f"lead-{number}", inside=f"long-{number}"))
        breaks.append(a_meal("13:30", "14:00", f"assistant-{number}"))
        for person in (f"lead-{number}", f"assistant-{number}"):
            breaks.append(a_meal("19:20", "19:50", person))
            breaks.extend(
                a_meal(start, end, person, kind=BreakKind.REST)
                for start, end in (("10:20", "10:30"), ("16:45", "16:55"), ("19:10", "19:20"))
            )
    visits.append(a_request("declined-1", hair=(hair(1),), windows=(a_window("9:00", "10:00"),)))
    staff = (
        *(a_lead(f"lead-{number}") for number in range(1, leads + 1)),
        *(
            an_assistant(f"assistant-{number}", tags=("learning",))
            for number in range(1, leads + 1)
        ),
        an_assistant("assistant-away"),
    )
    day_book = a_day_book(
        visits=visits,
        open=(a_window(OPENS, CLOSES),),
        chairs=(
            *(a_chair(f"chair-{number}", features=("quiet",)) for number in range(1, leads + 1)),
            a_chair("chair-loud", tags=("loud",)),
        ),
        stock=(stock(60 * leads),),
        basins=tuple(a_basin(f"basin-{number}") for number in range(1, leads + 1)),
        staff=staff,
        shifts=tuple(
            a_shift(person.id, OPENS, CLOSES) for person in staff if person.id != "assistant-away"
        ),
        rules=(*(each for each in default_settings() if each.on), *WISHED),
    )
    rng.shuffle(placed)
    return SoundDay(day_book, Plan(visits=placed, breaks=breaks, declined=("declined-1",)))


def _visits(rng: Random, number: int) -> list[tuple[Booking | Request, PlannedVisit]]:
    morning = rng.randrange(30, 80, 5)
    braiding, helped = rng.randrange(240, 300, 10), rng.randrange(20, 100, 10)
    finish, evening = rng.randrange(15, 35, 5), rng.randrange(60, 120, 5)
    # Half an hour of meal inside, and each minute of help saves half a minute.
    length = braiding + 30 - helped // 2
    long_work = (
        (a_wash(30), 30),
        (a_shared_phase(braiding), length),
        (a_phase("finish", finish), finish),
    )
    return [
        _visit(rng, f"early-{number}", number, "9:00", ((a_phase(minutes=morning), morning),)),
        _visit(rng, f"long-{number}", number, "10:30", long_work, helped=helped),
        _visit(rng, f"late-{number}", number, "17:00", ((a_phase(minutes=evening), evening),)),
    ]


def _visit(rng, name, number, start, laid, *, helped=0):
    """`laid` pairs each phase of work with the minutes it lasts in the plan."""
    lead, first = f"lead-{number}", at(start)
    facts = {
        "id": name,
        "client": name.title(),
        "phases": tuple(work for work, _ in laid),
        "chair_features": ("quiet",),
        "preferred_lead": lead,
        "hair": (hair(20),),
        "tags": ("first",) if number == 1 else (),
    }
    if rng.random() < 0.5:
        lead_promised = lead if rng.random() < 0.5 else None
        promise = Promise(start=first, tolerance=rng.choice((0, 15)), lead=lead_promised)
        visit: Booking | Request = Booking(**facts, promise=promise)
    else:
        window = TimeWindow(
            start=first, end=minutes_after(first, sum(length for _, length in laid) + 60)
        )
        preferred = TimeWindow(start=first, end=minutes_after(first, 15))
        visit = Request(**facts, windows=(window,), preferred=preferred)
    phases, clock = [], first
    for phase, length in laid:
        end = minutes_after(clock, length)
        help_ = ()
        if phase.shared and helped:
            beside = TimeWindow(start=clock, end=minutes_after(clock, helped))
            help_ = (Help(staff=f"assistant-{number}", window=beside),)
        phases.append(
            PlannedPhase(
                kind=phase.kind,
                window=TimeWindow(start=clock, end=end),
                performer=lead,
                basin=f"basin-{number}" if phase.kind == "wash" else None,
                help=help_,
            )
        )
        clock = end
    whole = TimeWindow(start=first, end=clock)
    place = PlannedVisit(
        visit=name, chair=f"chair-{number}", lead=lead, window=whole, phases=tuple(phases)
    )
    if isinstance(visit, Booking):
        visit = visit.model_copy(update={"placed": place})
    return visit, place
