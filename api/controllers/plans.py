"""Plans."""

from __future__ import annotations

from typing import Annotated

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, QueryParameter

from api.controllers.operations import ADDS, FINDS, refuses
from api.controllers.parameters import Name
from api.services.desk import Desk
from schemas.runs import PlanOrder, PlanRun

Wait = Annotated[
    bool,
    QueryParameter(description="With `false` the answer comes at once, with 202, while it runs."),
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
