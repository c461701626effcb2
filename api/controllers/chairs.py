"""Chairs, and when they are out of use."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, tagged
from api.controllers.operations import (
    ADDS,
    ADDS_BELOW,
    EDITS,
    FINDS,
    READS,
    REMOVES,
    RETIRES,
    refuses,
)
from api.controllers.parameters import After, IfMatch, ItemName, Limit, Name
from api.services.desk import Desk
from schemas.pages import ChairPage, ClosurePage
from schemas.resources import Chair
from schemas.salon import Closure


class ChairController(Controller):
    path = "/chairs"
    tags = ("chairs",)

    @get(operation_id="listChairs", summary="List the chairs", opt=refuses(READS))
    async def list_chairs(
        self, desk: NamedDependency[Desk], limit: Limit = 100, after: After = ""
    ) -> ChairPage:
        """Every chair the salon has or had, in order of their names."""
        items, next_ = await desk.chairs.page(after or None, limit)
        return ChairPage(items=items, next=next_)

    @post(operation_id="addChair", summary="Add a chair", opt=refuses(ADDS, tagged=True))
    async def add_chair(
        self, desk: NamedDependency[Desk], data: JSONBody[Chair]
    ) -> Response[Chair]:
        """The name is the client's to choose; a name that is taken is refused."""
        added = await desk.chairs.add(data)
        return tagged(added, 201, f"/v1/chairs/{data.id}")

    @get(
        "/{id:str}",
        operation_id="readChair",
        summary="Read a chair",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_chair(self, desk: NamedDependency[Desk], name: Name) -> Response[Chair]:
        """One chair, with the ETag of its version."""
        return tagged(await desk.chairs.read(name))

    @put(
        "/{id:str}",
        operation_id="replaceChair",
        summary="Change a chair",
        opt=refuses(EDITS, tagged=True),
    )
    async def replace_chair(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[Chair],
        if_match: IfMatch = "",
    ) -> Response[Chair]:
        """The whole document in the place of the one that is there."""
        return tagged(await desk.chairs.replace(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="retireChair",
        summary="Retire a chair",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def retire_chair(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[Chair]:
        """It is used no more from now on, and stays readable since old bookings speak of it."""
        return tagged(await desk.chairs.retire(name, seen(if_match)))

    @get(
        "/{id:str}/closures",
        operation_id="listClosures",
        summary="List when a chair is out of use",
        opt=refuses(FINDS),
    )
    async def list_closures(
        self, desk: NamedDependency[Desk], name: Name, limit: Limit = 100, after: After = ""
    ) -> ClosurePage:
        """Closures of one chair, in order of their names."""
        items, next_ = await desk.rota.closures(name, after or None, limit)
        return ClosurePage(items=items, next=next_)

    @post(
        "/{id:str}/closures",
        operation_id="closeChair",
        summary="Take a chair out of use",
        opt=refuses(ADDS_BELOW),
    )
    async def close_chair(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[Closure]
    ) -> Closure:
        """Visits that are on the book in that time stay; the day says that they break a rule."""
        return await desk.rota.close(name, data)

    @delete(
        "/{id:str}/closures/{item:str}",
        operation_id="reopenChair",
        summary="Withdraw a closure",
        opt=refuses(REMOVES),
    )
    async def reopen_chair(self, desk: NamedDependency[Desk], name: Name, item: ItemName) -> None:
        """The chair can be used again."""
        await desk.rota.reopen(name, item)
