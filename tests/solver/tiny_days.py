"""Random tiny days for an oracle that tries everything, each from its seed.

One short day on a half-hour grid: up to two leads, two assistants, three visits, and any of the
rules that `tests.solver.exhaustive` knows.
"""

from __future__ import annotations

from random import Random

from schemas.booking import Booking, Request
from schemas.daybook import DayBook, Grid
from schemas.resources import Role, StaffMember
from schemas.rules import RuleSetting
from schemas.work import Performer, Place
from tests.builders import (
    HELP,
    SKILLS,
    a_basin,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    skills,
)

STEP = 30


def _usually(rng: Random) -> bool:
    return rng.random() < 0.75


def _often(rng: Random) -> bool:
    return rng.random() < 0.5


def _seldom(rng: Random) -> bool:
    return rng.random() < 0.15


def clock(step: int) -> str:
    minute = 9 * 60 + step * STEP
    return f"{minute // 60}:{minute % 60:02}"


def tiny_day(seed: int) -> DayBook:
    """The day book of a seed. On some days shifts end before closing and overtime is allowed."""
    rng = Random(f"tiny day {seed}")
    closing = rng.randint(6, 11)
    late = _seldom(rng)
    staff = _staff(rng, closing)
    shifts = []
    for person in staff:
        start, end = rng.randint(0, 1), rng.randint(closing - 2, closing) - 2 * late
        shifts.append(a_shift(person.id, clock(start), clock(end)))
    count = rng.randint(1, 3)
    chairs = rng.randint(1, 2)
    quiet = chairs > 1
    visits = [_visit(rng, number, closing, staff, quiet=quiet) for number in range(count)]
    begins = rng.randint(0, closing - 1)
    closure = a_closure(clock(begins), clock(rng.randint(begins + 1, closing)), "chair-0")
    return a_day_book(
        visits=visits,
        grid=Grid(minutes=STEP, arrivals=rng.choice((30, 60))),
        open=(a_window("9:00", clock(closing)),),
        staff=tuple(staff),
        shifts=tuple(shifts),
        chairs=tuple(
            a_chair(f"chair-{number}", features=("quiet",) if number else ())
            for number in range(chairs)
        ),
        closures=(closure,) if _seldom(rng) else (),
        basins=(a_basin(),) if not _seldom(rng) else (),
        rules=_rules(rng, late=late, rests=len(staff) < 3),
    )


def _staff(rng: Random, closing: int) -> list[StaffMember]:
    both = _often(rng)
    staff = [
        a_lead(
            f"lead-{number}",
            pace=rng.choice((0.8, 1.0, 1.25)),
            roles=(Role.LEAD, Role.ASSISTANT) if both and number else (Role.LEAD,),
            skills=skills(*SKILLS, *((HELP,) if both and number else ()), level=rng.choice((5, 3))),
        )
        for number in range(rng.randint(1, 2))
    ]
    if _usually(rng):
        staff.append(an_assistant(help_rate=rng.choice((0.35, 0.5, 1.0))))
        # Two helpers are tried in every pair of stretches: only where there are few of these.
        if len(staff) == 2 and closing <= 8 and _often(rng):
            staff.append(an_assistant("assistant-2", help_rate=rng.choice((0.5, 0.7))))
    return staff


def _rules(rng: Random, *, late: bool, rests: bool) -> tuple[RuleSetting, ...]:
    """Each of the rules with figures that bite on so short a day, some of them left out.

    Where it is `late` overtime is allowed. Rest breaks may be due where `rests` says so, and not
    together with overtime: that would be too much to try.
    """
    common = [
        a_setting(
            "meal-break",
            after=rng.choice((90, 120)),
            minutes=rng.choice((20, 30, 60)),
            earliest=rng.choice((0, 60)),
            latest=rng.choice((90, 120, 150)),
            inside=int(_usually(rng)),
        ),
        a_setting("turnaround", minutes=rng.choice((10, 30, 45))),
        a_setting("longest-wait", minutes=rng.choice((0, 30, 60))),
        a_setting(
            "latest-start",
            longer=rng.choice((60, 90, 120)),
            after=rng.choice(("09:00", "10:00", "11:00", "12:00")),
            visit_tags=rng.choice(((), ("child",))),
        ),
        a_setting(
            "at-most-together",
            visits=rng.choice((1, 1, 2, 0)),
            visit_tags=("child",),
        ),
    ]
    rare = [
        a_setting("preferred-lead"),
        a_setting("preferred-time"),
        a_setting(
            "rest-breaks",
            minutes=rng.choice((10, 30)),
            every=rng.choice((120, 240)),
            least=rng.choice((120, 210)),
            spread=rng.randint(0, 1),
            inside=rng.randint(0, 1),
        ),
        a_setting("daily-hours", minutes=rng.choice((120, 180, 210))),
        a_setting(
            "longest-stretch",
            minutes=rng.choice((90, 120, 150)),
            pause=rng.choice((20, 30, 60)),
        ),
        a_setting("supervised-apprentice", level=rng.choice((3, 4, 4, 6))),
        a_setting(
            "resource-closed",
            weekday=2,
            since=rng.choice(("09:00", "09:40")),
            until=rng.choice(("10:10", "11:00")),
        ),
    ]
    overtime = a_setting(
        "overtime",
        hard=False,
        weight=rng.choice((0, 1, 7)),
        minutes=rng.choice((30, 60, 90) if late else (0, 30, 45)),
    )
    found = [
        *(rule for rule in common if _often(rng)),
        *(rule for rule in rare if _seldom(rng)),
    ]
    if late or _seldom(rng):
        rests = False
        found.append(overtime)
    return tuple(rule for rule in found if rests or rule.code != "rest-breaks")


def _visit(
    rng: Random, number: int, closing: int, staff: list[StaffMember], *, quiet: bool
) -> Booking | Request:
    leads = [person.id for person in staff if Role.LEAD in person.roles]
    assistants = sum(Role.ASSISTANT in person.roles for person in staff)
    braiding = rng.choice(
        (
            a_shared_phase(rng.choice((60, 90, 120, 150))),
            a_shared_phase(rng.choice((60, 90, 120, 150))),
            a_phase(minutes=rng.choice((30, 60, 110))),
            a_phase(minutes=rng.choice((90, 150)), breakable=True),
        )
    )
    before = rng.choice(
        (
            a_wash(),
            a_phase("hair-prep", 30, performer=Performer.CREW, place=Place.NOWHERE),
        )
    )
    phases = (before, braiding) if _often(rng) else (braiding,)
    facts = {
        "phases": phases,
        "max_assistants": rng.randint(0, 2) if assistants > 1 else int(_usually(rng)),
        "chair_features": ("quiet",) if quiet and _seldom(rng) else (),
        "tags": ("child",) if _often(rng) else (),
        "refused_leads": ("lead-0",) if len(leads) > 1 and _seldom(rng) else (),
        "preferred_lead": rng.choice((None, *leads)),
    }
    start = rng.randint(0, closing - 2)
    if _seldom(rng):
        last = rng.randint(start + 1, closing)
        return a_booking(
            f"visit-{number}",
            clock(start),
            tolerance=rng.choice((0, 60)),
            lead="lead-0" if _seldom(rng) else None,
            latest_finish=clock(last) if _seldom(rng) else None,
            **facts,
        )
    if _seldom(rng) and not facts["refused_leads"]:
        facts["required_lead"] = "lead-0"
    end = rng.randint(start + 1, closing)
    windows = (a_window(clock(start), clock(end)),)
    if _usually(rng):
        windows = (a_window(clock(0), clock(closing)),)
    return a_request(
        f"visit-{number}",
        windows=windows,
        value=rng.choice((None, 10, 100)),
        preferred=a_window(clock(start), clock(start + 2)),
        **facts,
    )
