"""Days."""

from __future__ import annotations

from litestar import Controller, get
from litestar.di import NamedDependency

from api.controllers.answers import day
from api.controllers.operations import READS, refuses
from api.controllers.parameters import DatePath
from api.services.callers import CALLER, Role
from api.services.desk import Desk
from api.services.own_day import own_day
from schemas.dayview import DayView


class DayController(Controller):
    path = "/days"
    tags = ("days",)

    @get("/{date:str}", operation_id="readDay", summary="Read a day", opt=refuses((*READS, 409)))
    async def read_day(self, desk: NamedDependency[Desk], date: DatePath) -> DayView:
        """Chairs, crews, phases and breaks, and the rules that the book does not keep.

        A stylist is told her own part of it.
        """
        view = await desk.days.read(day(date, "date"))
        caller = CALLER.get()
        return own_day(view, caller.staff) if caller.role is Role.STYLIST else view
