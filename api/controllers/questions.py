"""Take-offs, openings and reasons: questions that change nothing."""

from __future__ import annotations

from typing import Annotated, Any

from litestar import Controller, Request, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, QueryParameter

from api.controllers.leaving import while_awaited
from api.controllers.operations import refuses
from api.services.desk import Desk
from schemas.explanations import Explanation, WhyNotQuestion
from schemas.openings import OpeningsAnswer, OpeningsQuestion
from schemas.quantities import TakeOffQuestion
from schemas.rearranging import RearrangingAnswer, RearrangingQuestion
from schemas.takeoff import TakeOff

AnyRequest = Request[Any, Any, Any]
ASKS = (400, 413, 415, 422, 503)
Explain = Annotated[
    bool,
    QueryParameter(
        description="With `true` every figure comes with its lines, which add up exactly, and the "
        "rest with a sentence."
    ),
]


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
        self, desk: NamedDependency[Desk], data: JSONBody[TakeOffQuestion], explain: Explain = False
    ) -> TakeOff:
        """A style in full, or a line of the menu with changes, by the salon's own rates.

        Hair that the shelf is short of comes with what could stand in for it.
        """
        return await desk.quantities.take_off(data, explain=explain)


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


class RearrangingController(Controller):
    path = "/rearranged-days"
    tags = ("openings",)

    @post(
        operation_id="rearrangeDays",
        summary="Find days on which others make room",
        status_code=200,
        opt=refuses((*ASKS, 409)),
    )
    async def rearrange_days(
        self,
        desk: NamedDependency[Desk],
        request: AnyRequest,
        data: JSONBody[RearrangingQuestion],
    ) -> RearrangingAnswer:
        """Day by day: room as booked, with rearranging, proved to be none, or not known in time.

        Others' chairs, crews and breaks may move, and their starts and leads where the promise
        leaves that open; `moves` says what changes, whom to tell and what to say. Nothing is
        changed by asking. To sell a day, book the request with its `plan` as `day`. Days that have
        begun are left out; it ends when the client goes away.
        """
        return await while_awaited(request, desk.rearranging.days(data))


class WhyNotController(Controller):
    path = "/why-not"
    tags = ("openings",)

    @post(
        operation_id="askWhyNot",
        summary="Ask why a request does not fit",
        status_code=200,
        opt=refuses((*ASKS, 409)),
    )
    async def ask_why_not(
        self, desk: NamedDependency[Desk], request: AnyRequest, data: JSONBody[WhyNotQuestion]
    ) -> Explanation:
        """The fewest rules in the way, day by day, and changes that make room, cheapest first.

        Every change told was tried on the book and planned; none is made. Takes up to the seconds
        that are given, and ends when the client goes away.
        """
        return await while_awaited(request, desk.reasons.why_not(data))
