"""Days."""

from __future__ import annotations

from litestar import Controller, get
from litestar.di import NamedDependency

from api.controllers.answers import day
from api.controllers.operations import READS, refuses
from api.controllers.parameters import DatePath
from api.services.desk import Desk
from schemas.dayview import DayView


class DayController(Controller):
    path = "/days"
    tags = ("days",)

    @get("/{date:str}", operation_id="readDay", summary="Read a day", opt=refuses((*READS, 409)))
    async def read_day(self, desk: NamedDependency[Desk], date: DatePath) -> DayView:
        """Chairs, crews, phases and breaks, and the rules that the book does not keep."""
        return await desk.days.read(day(date, "date"))
