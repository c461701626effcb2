"""The rates of the house."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, shown
from api.controllers.operations import ADDS_BELOW, EDITS, FINDS, READS, RETIRES, refuses
from api.controllers.parameters import IfMatch, Name
from api.services.desk import Desk
from schemas.pages import RatePage
from schemas.rates import HouseRate, RateSetting


class RateController(Controller):
    path = "/rates"
    tags = ("rates",)

    @get(operation_id="listRates", summary="List the rates", opt=refuses(READS))
    async def list_rates(self, desk: NamedDependency[Desk]) -> RatePage:
        """Every figure that take-offs reckon with, in one page: unit, range and provenance."""
        return RatePage(items=await desk.rates.all())

    @get(
        "/{id:str}", operation_id="readRate", summary="Read a rate", opt=refuses(FINDS, tagged=True)
    )
    async def read_rate(self, desk: NamedDependency[Desk], name: Name) -> Response[HouseRate]:
        """One rate by its code."""
        return shown(await desk.rates.read(name))

    @put("/{id:str}", operation_id="setRate", summary="Set a rate", opt=refuses(EDITS, tagged=True))
    async def set_rate(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[RateSetting],
        if_match: IfMatch = "",
    ) -> Response[HouseRate]:
        """From now on take-offs, openings and new bookings reckon with it; old bookings stay.

        A value outside the rate's plausible range is refused.
        """
        return shown(await desk.rates.set(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="resetRate",
        summary="Go back to the default of a rate",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def reset_rate(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[HouseRate]:
        """The salon's own figure is forgotten and the house's default holds."""
        return shown(await desk.rates.reset(name, seen(if_match)))

    @post(
        "/{id:str}/adoption",
        operation_id="adoptHairRate",
        summary="Reckon with a learned rate of hair",
        status_code=200,
        opt=refuses(ADDS_BELOW),
    )
    async def adopt_rate(self, desk: NamedDependency[Desk], name: Name) -> HouseRate:
        """What the weighed visits speak for (`/v1/reports/hair-use`) becomes the salon's rate."""
        await desk.hair_learning.adopt(name)
        return await desk.rates.read(name)
