"""Take-offs and openings: questions that change nothing."""

from __future__ import annotations

from litestar import Controller, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import refuses
from api.services.desk import Desk
from schemas.openings import OpeningsAnswer, OpeningsQuestion
from schemas.quantities import TakeOffQuestion
from schemas.takeoff import TakeOff

ASKS = (400, 413, 415, 422, 503)


class TakeOffController(Controller):
    path = "/take-offs"
    tags = ("take-offs",)

    @post(
        operation_id="takeOff",
        summary="Turn a style into minutes and hair",
        status_code=200,
        opt=refuses(ASKS),
    )
    async def take_off(
        self, desk: NamedDependency[Desk], data: JSONBody[TakeOffQuestion]
    ) -> TakeOff:
        """A style in full, or a line of the menu with changes."""
        return await desk.quantities.take_off(data)


class OpeningController(Controller):
    path = "/openings"
    tags = ("openings",)

    @post(
        operation_id="findOpenings",
        summary="Find where a request fits",
        status_code=200,
        opt=refuses((*ASKS, 409)),
    )
    async def find_openings(
        self, desk: NamedDependency[Desk], data: JSONBody[OpeningsQuestion]
    ) -> OpeningsAnswer:
        """Ranked openings from now on, with crew and reasons; with none, the rules in the way.

        The windows of the request lie within 62 days of each other.
        """
        return await desk.openings.find(data)
