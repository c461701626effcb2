"""Plans."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated, Any

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import HeaderParameter, JSONBody
from litestar.response import ServerSentEvent, ServerSentEventMessage

from api.controllers.operations import ADDS, FINDS, refuses
from api.controllers.parameters import Name, Wait
from api.services.desk import Desk
from schemas.runs import PlanOrder, PlanProgress, PlanRun, RunState

EVENTS = "text/event-stream"
END = "end"
"""Id of the last event (WHATWG HTML, 9.2: a client that lost its stream states the last id)."""
LastEventId = Annotated[
    str,
    HeaderParameter(
        name="Last-Event-ID",
        pattern=r"^[\x20-\x7e]*$",
        max_length=200,
        description="The id of the last event heard; sent by clients that connect again.",
    ),
]


class PlanController(Controller):
    path = "/plans"
    tags = ("plans",)

    @post(
        operation_id="makePlan",
        summary="Plan days",
        opt=refuses(ADDS, also={202: "It is running: read it at Location until it is done."}),
    )
    async def make_plan(
        self, desk: NamedDependency[Desk], data: JSONBody[PlanOrder], wait: Wait = True
    ) -> Response[PlanRun]:
        """Places for what is booked and for what waits, with findings, tiers and gaps.

        With `publish`, the places are written into the book in one go, unless it has changed while
        the plan was made (409); a request that is given a place becomes a confirmed booking.
        """
        run = await (desk.plans.make(data) if wait else desk.plans.start(data))
        where = {"Location": f"/v1/plans/{run.id}"}
        return Response(run, status_code=201 if wait else 202, headers=where)

    @get("/{id:str}", operation_id="readPlan", summary="Read a plan", opt=refuses(FINDS))
    async def read_plan(self, desk: NamedDependency[Desk], name: Name) -> PlanRun:
        """The plan, or how far it has come."""
        return await desk.plans.read(name)

    @get(
        "/{id:str}/progress",
        operation_id="watchPlan",
        summary="Watch a plan being made",
        media_type=EVENTS,
        opt=refuses(FINDS, events=PlanProgress),
    )
    async def watch_plan(
        self, desk: NamedDependency[Desk], name: Name, last_event_id: LastEventId = ""
    ) -> Response[Any]:
        """Server-sent events: how it stands, then each better plan or bound, then the end.

        The event is named by the state: `running`, and as the last one `done`, `cancelled` or
        `failed`; its data is a document. Close the stream then, and read the plan. A client that
        comes again all the same, having heard the end, is told 204, which ends its coming again.
        """
        heard = await desk.plans.watch(name)
        if last_event_id == END:
            return Response(None, status_code=204)
        return ServerSentEvent(_messages(heard))

    @post(
        "/{id:str}/cancellation",
        operation_id="cancelPlan",
        summary="Stop a plan being made",
        status_code=200,
        opt=refuses((404, 409, 422, 503)),
    )
    async def cancel_plan(self, desk: NamedDependency[Desk], name: Name) -> PlanRun:
        """It ends at once with the best plan so far, which is not published.

        Nothing changes of one that has ended.
        """
        return await desk.plans.cancel(name)


async def _messages(
    heard: AsyncIterator[PlanProgress | None],
) -> AsyncIterator[ServerSentEventMessage]:
    async for progress in heard:
        if progress is None:
            yield ServerSentEventMessage(data=None, comment="still at it")
        else:
            over = progress.state is not RunState.RUNNING
            yield ServerSentEventMessage(
                data=progress.model_dump_json(), event=progress.state, id=END if over else None
            )
