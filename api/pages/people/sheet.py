"""The day sheet: chairs, crews, hair and breaks of one day, for the wall."""

from __future__ import annotations

from litestar import Controller, get
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import Template

from api.controllers.answers import day as day_in
from api.pages.figures.week import staff_names
from api.pages.frame import page
from api.pages.people.turns import records_of
from api.paths import needs
from api.services.desk import Desk


class SheetPages(Controller):
    path = "/day-sheet"

    @get("/{date:str}", operation_id="readDay", opt=needs("listBookings"))
    async def sheet(self, desk: NamedDependency[Desk], date: FromPath[str]) -> Template:
        salon, day = (await desk.salon.read()).document, day_in(date, "date")
        return page(
            "people/sheet.html",
            title="Day sheet",
            salon=salon,
            here="/",
            day=day,
            view=await desk.days.read(day),
            records=await records_of(desk, day),
            names=await staff_names(desk),
            materials={line.material.id: line.material.name for line in await desk.shelf.all()},
        )
