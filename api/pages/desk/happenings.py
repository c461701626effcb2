"""Something happened: the rest of the day anew, looked at before it is accepted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time
from enum import StrEnum
from typing import Annotated, Self

from litestar import Controller, get, post
from litestar.di import NamedDependency
from litestar.params import FromQuery
from litestar.response import Template
from pydantic import Field, model_validator

from api.controllers.answers import day as day_of
from api.controllers.parameters import Name
from api.pages.desk.counter import Desktop
from api.pages.desk.drawing import Extra, Shown
from api.pages.forms import Answers, Filled, fault, filled
from api.pages.frame import PageRequest
from api.pages.words import clock
from api.services.days import DaySheet
from api.services.desk import Desk
from api.services.errors import (
    BookChangedError,
    ConflictError,
    RunFailedError,
    UnprocessableError,
)
from api.services.opening_hours import local_day, local_instant
from schemas.dayview import VisitDayView
from schemas.plan import PlannedVisit
from schemas.repair import (
    BrokenChair,
    Event,
    LateArrival,
    NoShow,
    Overrun,
    SickPerson,
)
from schemas.runs import RepairOrder, RepairRun
from solver.errors import Fault

SECONDS = 3.0
"""How long a repair is worked on while somebody stands at the desk."""


class What(StrEnum):
    """What happens to a day."""

    LATE = "late"
    NO_SHOW = "no-show"
    LONGER = "longer"
    SICK = "sick"
    CHAIR = "chair"


WORDS = (
    (What.LATE, "A client comes late"),
    (What.NO_SHOW, "A client does not come"),
    (What.LONGER, "A visit takes longer"),
    (What.SICK, "Somebody is ill or has to leave"),
    (What.CHAIR, "A chair cannot be used"),
)
_NEEDS = {
    What.LATE: ("visit", "arrives"),
    What.NO_SHOW: ("visit",),
    What.LONGER: ("visit", "minutes"),
    What.SICK: ("staff",),
    What.CHAIR: ("chair",),
}


class Happened(Answers):
    """What happened, to whom, and when."""

    on: date
    what: What
    visit: str | None = None
    arrives: time | None = None
    minutes: Annotated[int, Field(ge=1, le=600)] | None = None
    staff: str | None = None
    chair: str | None = None
    since: time | None = None

    @model_validator(mode="after")
    def _says_whom(self) -> Self:
        for name in _NEEDS[self.what]:
            if getattr(self, name) is None:
                raise fault(name, "This is needed.")
        return self


class HappeningPages(Controller):
    path = "/desk"

    @get("/happened", operation_id="repairDays")
    async def ask(
        self,
        desk: NamedDependency[Desk],
        request: PageRequest,
        on: FromQuery[str],
        visit: FromQuery[str] = "",
        staff: FromQuery[str] = "",
    ) -> Template:
        top, day = await Desktop.of(request, desk), day_of(on, "on")
        known = {"visit": visit, "staff": staff, "what": "sick" if staff else "late"}
        form = Filled[Happened](typed={name: value for name, value in known.items() if value})
        return await _asked(top, day, form)

    @post("/repairs", operation_id="repairDays", status_code=200)
    async def repair(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        """The repaired day, not in the book yet."""
        top, form = await Desktop.of(request, desk), await filled(request, Happened)
        said = form.read
        if said is None:
            return await _asked(top, _day_typed(form, top.today), form, status=422)
        try:
            event = _event(said, top)
            run = await desk.repairs.make(
                RepairOrder(events=(event,), last=said.on, seconds=SECONDS)
            )
        except (UnprocessableError, RunFailedError) as wrong:
            fields = {
                "/last": "on", "/events/0/visit": "visit", "/events/0/arrives": "arrives",
                "/events/0/staff": "staff", "/events/0/chair": "chair", "/events/0/start": "since",
                "/events/0/until": "since", "/events/0/minutes": "minutes",
            }  # fmt: skip
            return await _asked(top, said.on, form.told(_faults(wrong), fields), status=422)
        except ConflictError as conflict:
            told = form.with_faults({"": f"{str(conflict)[:1].upper()}{str(conflict)[1:]}."})
            return await _asked(top, said.on, told, status=409)
        return await _proposed(top, said.on, run)

    @post("/repairs/{id:str}/acceptance", operation_id="acceptRepair", status_code=200)
    async def accept(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        top = await Desktop.of(request, desk)
        run = await desk.repairs.read(name)
        day = run.order.last or top.today
        try:
            run = await desk.repairs.accept(name)
        except BookChangedError:
            told = "The book has changed since: the day must be looked at once more."
            return await _asked(top, day, Filled(faults={"": told}), redraw=True, status=409)
        except ConflictError as conflict:
            return await _proposed(top, day, run, said=str(conflict), status=409)
        return await top.answer("repaired", day, redraw=True, run=run, said="", accepted=True)


async def _asked(
    top: Desktop, day: date, form: Filled[Happened], *, redraw: bool = False, status: int = 200
) -> Template:
    view = (await top.sheet(day)).view
    return await top.answer(
        "happened", day, redraw=redraw, status=status, form=form,
        whats=[(what.value, words) for what, words in WORDS],
        visits=[
            (each.visit, f"{clock(each.window.start, view.zone)} {each.client}")
            for each in sorted(view.visits, key=lambda each: each.window.start)
        ],
        people=[(each.staff, each.name) for each in view.staff],
        chairs=[(each.chair, each.name) for each in view.chairs],
    )  # fmt: skip


def _faults(wrong: UnprocessableError | RunFailedError) -> tuple[Fault, ...]:
    """What is wrong with the order, found before the repair began or while it was made."""
    if isinstance(wrong, UnprocessableError):
        return wrong.faults
    named = tuple(Fault(each.pointer, each.detail) for each in wrong.problem.errors)
    return named or (Fault("", wrong.problem.detail.rstrip(".")),)


def _day_typed(form: Filled[Happened], otherwise: date) -> date:
    try:
        return date.fromisoformat(str(form.typed.get("on")))
    except ValueError:
        return otherwise


def _event(said: Happened, top: Desktop) -> Event:
    zone = top.salon.zone

    def at(reading: time) -> datetime:
        return local_instant(said.on, reading.hour * 60 + reading.minute, zone)

    since = at(said.since) if said.since is not None else _from_now_on(said.on, top)
    match said.what:
        case What.LATE:
            return LateArrival(visit=str(said.visit), arrives=at(said.arrives or time()))
        case What.NO_SHOW:
            return NoShow(visit=str(said.visit))
        case What.LONGER:
            return Overrun(visit=str(said.visit), minutes=said.minutes or 1)
        case What.SICK:
            return SickPerson(staff=str(said.staff), start=since)
        case What.CHAIR:
            return BrokenChair(chair=str(said.chair), start=since)


def _from_now_on(day: date, top: Desktop) -> datetime:
    """Now, or the beginning of a day that is still to come."""
    now = top.desk.clock.now()
    minute = local_instant(day, 0, top.salon.zone)
    if day != local_day(now, top.salon.zone):
        return minute
    elapsed = int((now - minute).total_seconds() // 60)
    return local_instant(day, elapsed, top.salon.zone)


async def _proposed(
    top: Desktop, day: date, run: RepairRun, *, said: str = "", status: int = 200
) -> Template:
    sheet = await top.sheet(day)
    shown = None if run.plan is None else _repaired(sheet, run)
    return await top.answer(
        "repaired", day, shown=shown, status=status, run=run, said=said, accepted=False
    )


def _repaired(sheet: DaySheet, run: RepairRun) -> Shown:
    """What of the day would be otherwise, and how it was."""
    assert run.plan is not None
    planned = {visit.visit: visit for visit in run.plan.visits}
    there = {visit.visit: visit for visit in sheet.view.visits}
    told = {each.visit for each in run.differences if each.visit is not None}
    extras, without = [], set()
    for name, visit in there.items():
        new = planned.get(name)
        if new is not None and name not in told and _same(visit, new):
            continue
        without.add(name)
        moved = new is None or new.window != visit.window or new.chair != visit.chair
        if moved:
            extras.append(Extra(_as_placed(visit), visit.client, "was", "was here"))
        if new is not None:
            note = "; ".join(_notes(sheet, visit, new)) or "changed"
            extras.append(Extra(new, visit.client, "changed", note, run.plan.breaks))
    return Shown(extras=tuple(extras), without=frozenset(without), kept="This is the repaired day.")


def _same(before: VisitDayView, after: PlannedVisit) -> bool:
    return (before.window, before.chair, before.lead, before.phases) == (
        after.window,
        after.chair,
        after.lead,
        after.phases,
    )


def _as_placed(visit: VisitDayView) -> PlannedVisit:
    return PlannedVisit(
        visit=visit.visit,
        chair=visit.chair,
        lead=visit.lead,
        window=visit.window,
        phases=visit.phases,
    )


def _notes(sheet: DaySheet, before: VisitDayView, after: PlannedVisit) -> Iterator[str]:
    zone = sheet.view.zone
    if before.window.start != after.window.start:
        yield f"was {clock(before.window.start, zone)}"
    elif before.window.end != after.window.end:
        yield f"was until {clock(before.window.end, zone)}"
    if before.chair != after.chair:
        chairs = {chair.chair: chair.name for chair in sheet.view.chairs}
        yield f"was {chairs.get(before.chair or '', 'without a chair')}"
    if before.lead != after.lead:
        yield "other lead"
    elif before.assistants != after.assistants:
        yield "other hands"
