"""Repairs of a running day."""

from __future__ import annotations

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS, FINDS, REMOVES, refuses
from api.controllers.parameters import Name, Wait
from api.services.desk import Desk
from schemas.runs import RepairOrder, RepairRun


class RepairController(Controller):
    path = "/repairs"
    tags = ("repairs",)

    @post(
        operation_id="repairDays",
        summary="Repair the day",
        opt=refuses(ADDS, also={202: "It is running: read it at Location until it is done."}),
    )
    async def repair_days(
        self, desk: NamedDependency[Desk], data: JSONBody[RepairOrder], wait: Wait = True
    ) -> Response[RepairRun]:
        """What to do about a late client, a sick person, a broken chair: the rest of the day anew.

        What has begun stays, promises stand where they can, and few people are told: the answer
        lists whom and what to say. It is only looked at unless `accept` is set and every promise
        holds.
        """
        run = await (desk.repairs.make(data) if wait else desk.repairs.start(data))
        where = {"Location": f"/v1/repairs/{run.id}"}
        return Response(run, status_code=201 if wait else 202, headers=where)

    @get("/{id:str}", operation_id="readRepair", summary="Read a repair", opt=refuses(FINDS))
    async def read_repair(self, desk: NamedDependency[Desk], name: Name) -> RepairRun:
        """The repair as it was shown, or that it is still being made."""
        return await desk.repairs.read(name)

    @post(
        "/{id:str}/acceptance",
        operation_id="acceptRepair",
        summary="Accept a repair",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def accept_repair(self, desk: NamedDependency[Desk], name: Name) -> RepairRun:
        """It is written into the book in one go, unless the book has changed meanwhile (409).

        What it proposes to clients is promised to them then; who has no place any more waits.
        """
        return await desk.repairs.accept(name)
