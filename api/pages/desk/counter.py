"""The counter: the part of the desk where one thing is dealt with at a time, beside the day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from litestar.response import Template

from api.pages.desk.asking import WEEKDAYS, WISHES, Ask
from api.pages.desk.drawing import Drawing, Shown, draw
from api.pages.desk.styles import CURLS, SIZE_WORDS, TECHNIQUE_WORDS
from api.pages.forms import Filled
from api.pages.frame import PageRequest, page, part, wants_part
from api.pages.words import long_day
from api.services.callers import CALLER, Role
from api.services.days import DaySheet
from api.services.desk import Desk
from api.services.opening_hours import local_day
from api.services.own_day import own_day
from schemas.openings import Opening
from schemas.resources import Role as StaffRole
from schemas.resources import StaffMember
from schemas.salon import Salon
from schemas.style import MenuEntry

MOST = 500
"""Lines of the menu and people that are listed."""
WEEKS_AHEAD = 27
"""Days that a client is taken to mean unless she says which."""


@dataclass(frozen=True)
class Desktop:
    """What every answer of the desk is made of."""

    request: PageRequest
    desk: Desk
    salon: Salon

    @classmethod
    async def of(cls, request: PageRequest, desk: Desk) -> Desktop:
        """Raises NotFoundError before the salon is told."""
        return cls(request, desk, (await desk.salon.read()).document)

    @property
    def today(self) -> date:
        return local_day(self.desk.clock.now(), self.salon.zone)

    async def sheet(self, day: date) -> DaySheet:
        """The day, and of it a stylist's own part alone."""
        sheet, caller = await self.desk.days.sheet(day), CALLER.get()
        if caller.role is Role.STYLIST:
            return replace(
                sheet, view=own_day(sheet.view, caller.staff), wanting={}, busy_next=None
            )
        return sheet

    async def drawn(self, day: date, shown: Shown | None = None) -> tuple[DaySheet, Drawing]:
        sheet = await self.sheet(day)
        return sheet, draw(sheet, self.desk.clock.now(), shown)

    async def menu(self) -> tuple[MenuEntry, ...]:
        return tuple(
            each for each in (await self.desk.menu.page(None, MOST))[0] if not each.retired
        )

    async def staff(self) -> tuple[StaffMember, ...]:
        return tuple(
            each for each in (await self.desk.staff.page(None, MOST))[0] if not each.retired
        )

    async def choices(self) -> dict[str, Any]:
        """The lists that the form of a client's question offers."""
        leads = [each for each in await self.staff() if StaffRole.LEAD in each.roles]
        return {
            "menu": [(each.id, each.style.name) for each in await self.menu()],
            "techniques": TECHNIQUE_WORDS,
            "sizes": SIZE_WORDS,
            "curls": list(CURLS.items()),
            "leads": [(each.id, each.name) for each in leads],
            "weekdays": WEEKDAYS,
            "wishes": [(wish.value, words) for wish, words in WISHES],
        }

    async def asked(self, day: date, form: Filled[Ask] | None = None) -> dict[str, Any]:
        """The facts of the panel in which a client asks."""
        return {"form": form or Filled(), "asked_day": max(day, self.today), **await self.choices()}

    async def answer(
        self,
        panel: str,
        day: date,
        *,
        shown: Shown | None = None,
        redraw: bool = False,
        status: int = 200,
        **facts: Any,
    ) -> Template:
        """The panel; and with it the day where something else is `shown`, or it is to be redrawn.

        To a browser without scripts the whole desk is sent, with the panel in its place.
        """
        names = {each.id: each.name for each in (await self.desk.staff.page(None, MOST))[0]}
        chairs = {each.id: each.name for each in (await self.desk.chairs.page(None, MOST))[0]}

        def names_of(opening: Opening) -> str:
            crew = (opening.lead, *opening.visit.assistants)
            chair = chairs.get(opening.chair or "", "no chair")
            return f"{chair} · {' + '.join(names.get(person, person) for person in crew)}"

        facts |= {
            "names_of": names_of,
            "zone": self.salon.zone,
            "day": day,
            "panel": f"desk/{panel}.html",
        }
        if not wants_part(self.request):
            sheet, d = await self.drawn(day, shown)
            title, here = long_day(d.day), "/"
            return page(
                "desk/day.html", title=title, salon=self.salon, here=here, status=status,
                d=d, sheet=sheet, swap=False, **facts,
            )  # fmt: skip
        facts |= {"sheet": None, "d": None, "swap": True}
        if shown is not None or redraw:
            facts["sheet"], facts["d"] = await self.drawn(day, shown)
        return part("desk/counter.html", status=status, **facts)
