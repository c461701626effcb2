"""Tiny builders of valid day books and plans. Say only what the test is about.

Everything happens in Lisbon on Tuesday 2026-12-01 unless a test says otherwise; times are written
"9:00" and read on the local clock. `a_day_book()` lists no house rules (`rules=()`): a test names
the rule it is about, or passes `rules=None` for the house defaults.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus, Promise, Request, Visit
from schemas.daybook import DayBook, Grid
from schemas.plan import BreakKind, Help, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.resources import Basin, Chair, ChairClosure, Role, Shift, Skill, StaffMember
from schemas.rules import ParameterValue, RuleScope, RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place

ZONE = "Europe/Lisbon"
DAY = date(2026, 12, 1)
SKILLS = ("take-down", "wash", "hair-prep", "braiding", "finish")
HELP = "braiding-help"


def at(clock: str, day: date = DAY, zone: str = ZONE) -> datetime:
    """The instant of a local clock time such as "9:05"; "24:00" is the next midnight."""
    hours, minutes = (int(part) for part in clock.split(":"))
    local = datetime.combine(day + timedelta(days=hours // 24), time(hours % 24, minutes))
    aware = local.replace(tzinfo=ZoneInfo(zone))
    return TimeWindow(start=aware, end=aware + timedelta(days=2)).start


def a_window(start: str, end: str, day: date = DAY, zone: str = ZONE) -> TimeWindow:
    return TimeWindow(start=at(start, day, zone), end=at(end, day, zone))


def minutes_after(instant: datetime, minutes: int) -> datetime:
    return instant + timedelta(minutes=minutes)


def a_chair(chair_id: str = "chair-1", **changes: Any) -> Chair:
    return Chair(**{"id": chair_id, "name": chair_id.replace("-", " ").title(), **changes})


def a_basin(basin_id: str = "basin-1") -> Basin:
    return Basin(id=basin_id, name=basin_id.replace("-", " ").title())


def a_closure(start: str, end: str, chair: str = "chair-1", day: date = DAY) -> ChairClosure:
    return ChairClosure(chair=chair, window=a_window(start, end, day), reason="broken hydraulics")


def skills(*tags: str, level: int = 5) -> tuple[Skill, ...]:
    return tuple(Skill(tag=tag, level=level) for tag in tags)


def a_lead(staff_id: str = "lead-1", **changes: Any) -> StaffMember:
    """A lead of pace 1 who masters every phase at level 5."""
    facts = {"name": staff_id.title(), "roles": (Role.LEAD,), "skills": skills(*SKILLS)}
    return StaffMember(**{"id": staff_id, **facts, **changes})


def an_assistant(staff_id: str = "assistant-1", **changes: Any) -> StaffMember:
    """An assistant of help rate 0.5 who helps braid and may prepare hair, wash and finish."""
    able = skills("wash", "hair-prep", "finish", HELP, level=3)
    facts = {"name": staff_id.title(), "roles": (Role.ASSISTANT,), "skills": able}
    return StaffMember(**{"id": staff_id, **facts, **changes})


def a_shift(
    staff: str = "lead-1", start: str = "9:00", end: str = "18:00", day: date = DAY
) -> Shift:
    shift_id = f"shift-{staff}-{day.isoformat()}-{start.replace(':', '')}"
    return Shift(id=shift_id, staff=staff, window=a_window(start, end, day))


def a_phase(kind: str = "braiding", minutes: int = 240, **changes: Any) -> PhaseWork:
    """A phase of the lead in the chair, skill named after its kind."""
    return PhaseWork(**{"kind": kind, "minutes": minutes, "skill": kind, **changes})


def a_shared_phase(minutes: int = 240, **changes: Any) -> PhaseWork:
    """Braiding that assistants may share and that the lead's meal break may stretch."""
    facts = {"shared": True, "help_skill": HELP, "breakable": True}
    return a_phase("braiding", minutes, **{**facts, **changes})


def a_wash(minutes: int = 30, **changes: Any) -> PhaseWork:
    facts = {"performer": Performer.CREW, "place": Place.BASIN}
    return a_phase("wash", minutes, **{**facts, **changes})


def a_request(visit_id: str = "request-1", minutes: int = 240, **changes: Any) -> Request:
    """One braiding phase of `minutes`, at any time of the day unless `windows` says otherwise."""
    facts = {
        "client": visit_id.title(),
        "phases": (a_phase(minutes=minutes),),
        "windows": (a_window("0:00", "24:00"),),
    }
    return Request(**{"id": visit_id, **facts, **changes})


def a_booking(
    visit_id: str = "booking-1",
    start: str = "9:00",
    minutes: int = 240,
    *,
    day: date = DAY,
    tolerance: int = 0,
    lead: str | None = None,
    latest_finish: str | None = None,
    status: BookingStatus = BookingStatus.CONFIRMED,
    **changes: Any,
) -> Booking:
    """One braiding phase of `minutes`, promised to start at `start`."""
    promise = Promise(
        start=at(start, day),
        tolerance=tolerance,
        lead=lead,
        latest_finish=None if latest_finish is None else at(latest_finish, day),
    )
    facts = {
        "client": visit_id.title(),
        "phases": (a_phase(minutes=minutes),),
        "promise": promise,
        "status": status,
    }
    return Booking(**{"id": visit_id, **facts, **changes})


def a_help(start: str, end: str, staff: str = "assistant-1", day: date = DAY) -> Help:
    return Help(staff=staff, window=a_window(start, end, day))


def a_planned_phase(
    start: str,
    end: str,
    kind: str = "braiding",
    performer: str = "lead-1",
    *,
    basin: str | None = None,
    help_: Iterable[Help] = (),
    day: date = DAY,
) -> PlannedPhase:
    return PlannedPhase(
        kind=kind,
        window=a_window(start, end, day),
        performer=performer,
        basin=basin,
        help=tuple(help_),
    )


def a_placed(
    visit: Visit,
    start: str = "9:00",
    *,
    lead: str = "lead-1",
    chair: str | None = "chair-1",
    phases: Sequence[PlannedPhase] | None = None,
    stretch: int = 0,
    basin: str = "basin-1",
    day: date = DAY,
    grid: int = 5,
) -> PlannedVisit:
    """The visit laid back to back from `start`, the lead doing everything at pace 1.

    `stretch` minutes are added to the last phase (a break taken inside). `phases` replaces the
    laying altogether.
    """
    if phases is None:
        laid: list[PlannedPhase] = []
        clock = at(start, day)
        for index, work in enumerate(visit.phases):
            length = -(-work.minutes // grid) * grid
            length += stretch if index == len(visit.phases) - 1 else 0
            laid.append(
                PlannedPhase(
                    kind=work.kind,
                    window=TimeWindow(start=clock, end=minutes_after(clock, length)),
                    performer=lead,
                    basin=basin if work.place is Place.BASIN else None,
                )
            )
            clock = laid[-1].window.end
        phases = laid
    window = TimeWindow(start=phases[0].window.start, end=phases[-1].window.end)
    return PlannedVisit(visit=visit.id, chair=chair, lead=lead, window=window, phases=tuple(phases))


def a_meal(
    start: str,
    end: str,
    staff: str = "lead-1",
    *,
    inside: str | None = None,
    kind: BreakKind = BreakKind.MEAL,
    day: date = DAY,
) -> PlannedBreak:
    return PlannedBreak(staff=staff, kind=kind, window=a_window(start, end, day), inside=inside)


def a_plan(
    *visits: PlannedVisit, breaks: Iterable[PlannedBreak] = (), declined: Iterable[str] = ()
) -> Plan:
    return Plan(visits=visits, breaks=tuple(breaks), declined=tuple(declined))


def a_setting(
    code: str,
    *,
    label: str | None = None,
    on: bool = True,
    hard: bool = True,
    weight: int = 1,
    staff_tags: Sequence[str] = (),
    chair_tags: Sequence[str] = (),
    visit_tags: Sequence[str] = (),
    **parameters: ParameterValue,
) -> RuleSetting:
    """A rule setting; keyword arguments left over are the rule's parameters."""
    scope = RuleScope(
        staff_tags=tuple(staff_tags), chair_tags=tuple(chair_tags), visit_tags=tuple(visit_tags)
    )
    return RuleSetting(
        code=code,
        label=label,
        on=on,
        hard=hard,
        weight=weight,
        parameters=parameters,
        scope=scope,
    )


def a_day_book(*, visits: Iterable[Booking | Request] = (), **changes: Any) -> DayBook:
    """Open 9 to 19, one chair, one basin, one lead and one assistant, both in from 9 to 18.

    `visits` are sorted into bookings and requests. Where `staff` is given without `shifts`, each
    person gets the same shift.
    """
    given = tuple(visits)
    staff: Sequence[StaffMember] = changes.get("staff", (a_lead(), an_assistant()))
    facts: dict[str, Any] = {
        "zone": ZONE,
        "grid": Grid(),
        "open": (a_window("9:00", "19:00"),),
        "chairs": (a_chair(),),
        "basins": (a_basin(),),
        "staff": staff,
        "shifts": tuple(a_shift(person.id) for person in staff),
        "rules": (),
        "bookings": tuple(visit for visit in given if isinstance(visit, Booking)),
        "requests": tuple(visit for visit in given if isinstance(visit, Request)),
    }
    return DayBook(**{**facts, **changes})
