"""What the crew of a visit tells of it while it goes on: its clock, and the hair it took."""

from __future__ import annotations

from typing import Annotated

from litestar import Controller, delete, get, put
from litestar.di import NamedDependency
from litestar.params import JSONBody, PathParameter

from api.controllers.operations import ADDS_BELOW, FINDS, REMOVES, refuses
from api.controllers.parameters import Name
from api.services.desk import Desk
from schemas.ledger import HairUse, VisitHair
from schemas.visit_clock import Moment, Tap, VisitClock

MomentPath = Annotated[
    str,
    PathParameter(
        pattern=f"^({'|'.join(Moment)})$",
        max_length=16,
        description="`started`, `braiding`, `braided` or `finished`.",
    ),
]


class VisitController(Controller):
    path = "/bookings"
    tags = ("bookings",)

    @get(
        "/{id:str}/clock",
        operation_id="readVisitClock",
        summary="Read the clock of a visit",
        opt=refuses(FINDS),
    )
    async def read_clock(self, desk: NamedDependency[Desk], name: Name) -> VisitClock:
        """The moments that were tapped so far. A stylist reads those of her own visits."""
        return await desk.clocks.read(name)

    @put(
        "/{id:str}/clock/{moment:str}",
        operation_id="tapVisit",
        summary="Tap a moment of a visit",
        opt=refuses(ADDS_BELOW),
    )
    async def tap(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        moment: MomentPath,
        data: JSONBody[Tap],
    ) -> VisitClock:
        """Now, or when it was; told again, the later word counts.

        Once the first braid, the last braid and the end are told, the visit is one of the lead's
        finished visits, from which her pace is learned.
        """
        return await desk.clocks.tap(name, Moment(moment), data)

    @delete(
        "/{id:str}/clock/{moment:str}",
        operation_id="untapVisit",
        summary="Take back a moment of a visit",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def untap(
        self, desk: NamedDependency[Desk], name: Name, moment: MomentPath
    ) -> VisitClock:
        """For one that was tapped by mistake."""
        return await desk.clocks.untap(name, Moment(moment))

    @get(
        "/{id:str}/hair",
        operation_id="readVisitHair",
        summary="Read what hair a visit takes and took",
        opt=refuses(FINDS),
    )
    async def read_hair(self, desk: NamedDependency[Desk], name: Name) -> VisitHair:
        """Grams by the take-off, and by the scales where they were told."""
        return await desk.ledger.hair_of(name)

    @put(
        "/{id:str}/hair",
        operation_id="useHair",
        summary="Tell what hair a visit took",
        opt=refuses(ADDS_BELOW),
    )
    async def use_hair(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[HairUse]
    ) -> VisitHair:
        """It is off the shelf from now on; told again, the difference is entered in the ledger."""
        return await desk.ledger.use(name, data)
