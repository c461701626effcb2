"""The waiting list, and who of it could take a gap."""

from __future__ import annotations

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS_BELOW, READS, refuses
from api.controllers.parameters import Limit, Name
from api.services.desk import Desk
from schemas.holds import Hold
from schemas.openings import GapTakers
from schemas.waiting import GapOrder, NewOffer, WaitingList


class WaitingListController(Controller):
    path = "/waiting-list"
    tags = ("waiting-list",)

    @get(
        operation_id="readWaitingList",
        summary="Read the waiting list",
        opt=refuses((*READS, 409)),
    )
    async def read_waiting_list(
        self, desk: NamedDependency[Desk], limit: Limit = 100
    ) -> WaitingList:
        """Bookings without a place, in fair order, each with why she comes where she does.

        Who asked first comes first, by the minute; of two who asked in one minute, the lesser name.
        An offer that was declined, or not answered, costs nobody her place.
        """
        return await desk.waiting.read(limit)

    @post(
        "/{id:str}/offers",
        operation_id="offerPlace",
        summary="Offer a place to somebody who waits",
        opt=refuses(ADDS_BELOW, openings=True, located=True),
    )
    async def offer_place(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[NewOffer]
    ) -> Response[Hold]:
        """The place is held for her: she accepts by booking the hold, and declines by letting it
        go. Where it cannot be had, 409 with fresh openings.
        """
        held = await desk.holds.offer(name, data)
        return Response(held, status_code=201, headers={"Location": f"/v1/holds/{held.id}"})


class GapTakerController(Controller):
    path = "/gap-takers"
    tags = ("waiting-list",)

    @post(
        operation_id="askGapTakers",
        summary="Ask who could take a gap",
        status_code=200,
        opt=refuses((400, 404, 409, 413, 415, 422, 503)),
    )
    async def ask_gap_takers(
        self, desk: NamedDependency[Desk], data: JSONBody[GapOrder]
    ) -> GapTakers:
        """Who of those who wait could take the place of a booking, called off or not, or a place
        that reaches into it. In the order of the waiting list; who holds a place is not asked.
        """
        return await desk.waiting.takers(data.freed)
