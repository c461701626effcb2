"""The salon's own document: where it is and when it is open."""

from __future__ import annotations

from litestar import Controller, Response, get, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, tagged
from api.controllers.operations import ADDS, FINDS, refuses
from api.controllers.parameters import IfMatch
from api.services.desk import Desk
from schemas.salon import Salon


class SalonController(Controller):
    path = "/salon"
    tags = ("salon",)

    @get(operation_id="readSalon", summary="Read the salon", opt=refuses(FINDS, tagged=True))
    async def read_salon(self, desk: NamedDependency[Desk]) -> Response[Salon]:
        """Zone, currency, weekly opening hours, special days, grid and basins."""
        return tagged(await desk.salon.read())

    @put(
        operation_id="putSalon",
        summary="Tell the salon",
        opt=refuses((*ADDS, 412, 428), tagged=True),
    )
    async def put_salon(
        self, desk: NamedDependency[Desk], data: JSONBody[Salon], if_match: IfMatch = ""
    ) -> Response[Salon]:
        """The first thing to do: nothing is open before its hours are told."""
        return tagged(await desk.salon.put(data, seen(if_match)))
