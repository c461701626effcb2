"""The day as the desk sees it.

Each page bears the name of the operation of the API that it shows or does: it is for the same
roles, and it stands under the same name in the log and in the record of changes.
"""

from __future__ import annotations

from datetime import date

from litestar import Controller, get
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import Template

from api.controllers.answers import day
from api.pages.frame import page
from api.services.callers import CALLER, Role
from api.services.desk import Desk
from api.services.errors import NotFoundError
from api.services.opening_hours import local_day
from api.services.own_day import own_day


class DeskPages(Controller):
    path = "/"

    @get("/", operation_id="readDay")
    async def today(self, desk: NamedDependency[Desk]) -> Template:
        try:
            salon = (await desk.salon.read()).document
        except NotFoundError:
            return page("unfurnished.html", title="The day", salon=None, here="/")
        return await _shown(desk, local_day(desk.clock.now(), salon.zone))

    @get("/days/{date:str}", operation_id="readDay")
    async def a_day(self, desk: NamedDependency[Desk], date: FromPath[str]) -> Template:
        return await _shown(desk, day(date, "date"))


async def _shown(desk: Desk, shown: date) -> Template:
    salon = (await desk.salon.read()).document
    view, caller = await desk.days.read(shown), CALLER.get()
    if caller.role is Role.STYLIST:
        view = own_day(view, caller.staff)
    return page("desk/day.html", title="The day", salon=salon, here="/", day=shown, view=view)
