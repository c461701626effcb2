"""Finished visits, and the pace learned from them."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, tagged
from api.controllers.operations import ADDS_BELOW, EDITS, FINDS, REMOVES, refuses
from api.controllers.parameters import After, IfMatch, ItemName, Limit, Name
from api.services.desk import Desk
from schemas.finished import FinishedVisitRecord, PaceAdoption, StaffPace
from schemas.pages import FinishedVisitPage
from schemas.resources import StaffMember


class FinishedVisitController(Controller):
    path = "/staff"
    tags = ("staff",)

    @get(
        "/{id:str}/finished-visits",
        operation_id="listFinishedVisits",
        summary="List a person's finished visits",
        opt=refuses(FINDS),
    )
    async def list_finished_visits(
        self, desk: NamedDependency[Desk], name: Name, limit: Limit = 100, after: After = ""
    ) -> FinishedVisitPage:
        """What her pace is learned from, in order of their names."""
        items, next_ = await desk.pace.page(name, after or None, limit)
        return FinishedVisitPage(items=items, next=next_)

    @post(
        "/{id:str}/finished-visits",
        operation_id="addFinishedVisit",
        summary="Write down what a visit took",
        opt=refuses((*ADDS_BELOW,)),
    )
    async def add_finished_visit(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[FinishedVisitRecord]
    ) -> FinishedVisitRecord:
        """Booked and actual minutes of the braiding. One absurd record does not spoil her pace."""
        return await desk.pace.add(name, data)

    @delete(
        "/{id:str}/finished-visits/{item:str}",
        operation_id="removeFinishedVisit",
        summary="Forget a finished visit",
        opt=refuses(REMOVES),
    )
    async def remove_finished_visit(
        self, desk: NamedDependency[Desk], name: Name, item: ItemName
    ) -> None:
        """For one that was written down by mistake."""
        await desk.pace.remove(name, item)

    @get(
        "/{id:str}/pace",
        operation_id="readPace",
        summary="Read a person's pace",
        opt=refuses(FINDS),
    )
    async def read_pace(self, desk: NamedDependency[Desk], name: Name) -> StaffPace:
        """The pace she is planned with, and what her visits say, with the number behind it."""
        return await desk.pace.read(name)

    @post(
        "/{id:str}/pace",
        operation_id="adoptPace",
        summary="Plan with a learned pace",
        status_code=200,
        opt=refuses(EDITS, tagged=True),
    )
    async def adopt_pace(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[PaceAdoption],
        if_match: IfMatch = "",
    ) -> Response[StaffMember]:
        """The learned pace becomes that of her own document; what is booked stays as it is."""
        # Only her pace is written, onto whatever is there.
        adopted = await desk.pace.adopt(name, data, seen(if_match or "*"))
        return tagged(adopted)
