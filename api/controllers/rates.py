"""The rates of the house."""

from __future__ import annotations

from litestar import Controller, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS_BELOW, FINDS, READS, REMOVES, refuses
from api.controllers.parameters import Name
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

    @get("/{id:str}", operation_id="readRate", summary="Read a rate", opt=refuses(FINDS))
    async def read_rate(self, desk: NamedDependency[Desk], name: Name) -> HouseRate:
        """One rate by its code."""
        return await desk.rates.read(name)

    @put("/{id:str}", operation_id="setRate", summary="Set a rate", opt=refuses(ADDS_BELOW))
    async def set_rate(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[RateSetting]
    ) -> HouseRate:
        """From now on take-offs, openings and new bookings reckon with it; old bookings stay.

        A value outside the rate's plausible range is refused.
        """
        return await desk.rates.set(name, data)

    @delete(
        "/{id:str}",
        operation_id="resetRate",
        summary="Go back to the default of a rate",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def reset_rate(self, desk: NamedDependency[Desk], name: Name) -> HouseRate:
        """The salon's own figure is forgotten and the house's default holds."""
        return await desk.rates.reset(name)

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
