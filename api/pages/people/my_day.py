"""My day: the next client, the crew, the phases, the breaks, the hair, and what is tapped.

It needs no script: each tap is a form that comes back to the day.
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import date, timedelta
from typing import Annotated, Any

from litestar import Controller, get, post
from litestar.di import NamedDependency
from litestar.params import FromPath, QueryParameter
from litestar.response import Redirect, Template

from api.controllers.answers import day as day_in
from api.pages.figures.week import staff_names
from api.pages.frame import PageRequest, page
from api.pages.people.turns import DONE, WORDS, day_of
from api.paths import needs
from api.services.callers import CALLER, Role
from api.services.desk import Desk
from api.services.errors import NotAllowedError, NotFoundError, UnprocessableError
from api.services.opening_hours import local_day
from schemas.ledger import HairUse, UsedHair
from schemas.resources import StaffMember
from schemas.salon import Salon
from schemas.visit_clock import Moment, Tap
from solver.errors import Fault

Who = Annotated[str, QueryParameter(pattern=r"^([a-z0-9][a-z0-9-]*)?$", max_length=64)]
On = Annotated[str, QueryParameter(pattern=r"^(20[0-9]{2}-[0-9]{2}-[0-9]{2})?$", max_length=10)]
_GRAMS = re.compile(r"^[0-9]{1,5}([.,][0-9]{1,3})?$", re.ASCII)
_NAME = re.compile(r"^[a-z0-9][a-z0-9-]{0,63}$", re.ASCII)


class MyDayPages(Controller):
    path = "/my-day"

    @get("/", operation_id="readDay", opt=needs("readVisitClock"))
    async def my_day(self, desk: NamedDependency[Desk], who: Who = "", on: On = "") -> Template:
        """Of a stylist herself; anybody else chooses whose day it is."""
        salon = (await desk.salon.read()).document
        shown = day_in(on, "on") if on else local_day(desk.clock.now(), salon.zone)
        person = _whose(who)
        if person is None:
            return await _choice(desk, salon, shown)
        return await _shown(desk, salon, person, shown)

    @post("/visits/{visit:str}/{moment:str}", operation_id="tapVisit", status_code=303)
    async def tap(
        self,
        request: PageRequest,
        desk: NamedDependency[Desk],
        visit: FromPath[str],
        moment: FromPath[str],
    ) -> Redirect:
        """A moment, now; or taken back."""
        told = await request.form()
        if moment not in set(Moment):
            raise NotFoundError("moment", "of that name")
        if told.get("back"):
            await desk.clocks.untap(visit, Moment(moment))
        else:
            await desk.clocks.tap(visit, Moment(moment), Tap())
        return _back(told)

    @post("/visits/{visit:str}/hair", operation_id="useHair", status_code=303)
    async def weigh(
        self, request: PageRequest, desk: NamedDependency[Desk], visit: FromPath[str]
    ) -> Redirect:
        """What she took, by the scales; a field left blank is not told."""
        told = await request.form()
        used = tuple(
            UsedHair(material=name.removeprefix("used-"), grams=_grams(name, str(value)))
            for name, value in told.items()
            if name.startswith("used-") and str(value).strip()
        )
        if used:
            await desk.ledger.use(visit, HairUse(hair=used))
        return _back(told)


def _whose(who: str) -> str | None:
    caller = CALLER.get()
    if caller.role is not Role.STYLIST:
        return who or None
    if who and who != caller.staff:
        raise NotAllowedError("a stylist sees only her own day", (Role.OWNER, Role.DESK))
    return caller.staff


def _grams(name: str, text: str) -> float:
    if not _GRAMS.match(text.strip()):
        raise UnprocessableError(Fault(name, "write grams as a number, such as 412.5"))
    return float(text.strip().replace(",", "."))


def _back(told: Any) -> Redirect:
    who, on = str(told.get("who", "")), str(told.get("on", ""))
    query = [f"who={who}"] if _NAME.match(who) else []
    with suppress(ValueError):
        query += [f"on={date.fromisoformat(on)}"] if on else []
    return Redirect(f"/my-day?{'&'.join(query)}", status_code=303)


async def _choice(desk: Desk, salon: Salon, shown: date) -> Template:
    view = await desk.days.read(shown)
    people: list[StaffMember] = []
    for person in view.staff:
        people.append((await desk.staff.read(person.staff)).document)
    return page(
        "people/whose_day.html",
        title="Whose day?",
        salon=salon,
        here="/my-day",
        day=shown,
        people=people,
    )


async def _shown(desk: Desk, salon: Salon, person: str, shown: date) -> Template:
    her = await day_of(desk, person, shown)
    materials = {line.material.id: line.material.name for line in await desk.shelf.all()}
    return page(
        "people/my_day.html",
        title=f"{her.name}'s day",
        salon=salon,
        here="/my-day",
        her=her,
        person=person,
        names=await staff_names(desk),
        materials=materials,
        words=WORDS,
        done=DONE,
        before=shown - timedelta(days=1),
        after=shown + timedelta(days=1),
        today=local_day(desk.clock.now(), salon.zone),
    )
