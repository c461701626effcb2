"""The style menu."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, tagged
from api.controllers.operations import (
    ADDS,
    EDITS,
    FINDS,
    READS,
    RETIRES,
    refuses,
)
from api.controllers.parameters import After, IfMatch, Limit, Name
from api.services.desk import Desk
from schemas.pages import MenuPage
from schemas.style import MenuEntry


class StyleController(Controller):
    path = "/styles"
    tags = ("styles",)

    @get(operation_id="listStyles", summary="List the style menu", opt=refuses(READS))
    async def list_styles(
        self, desk: NamedDependency[Desk], limit: Limit = 100, after: After = ""
    ) -> MenuPage:
        """Every style the salon sells or sold, in order of their names."""
        items, next_ = await desk.menu.page(after or None, limit)
        return MenuPage(items=items, next=next_)

    @post(operation_id="addStyle", summary="Add a style", opt=refuses(ADDS, tagged=True))
    async def add_style(
        self, desk: NamedDependency[Desk], data: JSONBody[MenuEntry]
    ) -> Response[MenuEntry]:
        """The name is the client's to choose; a name that is taken is refused."""
        added = await desk.menu.add(data)
        return tagged(added, 201, f"/v1/styles/{data.id}")

    @get(
        "/{id:str}",
        operation_id="readStyle",
        summary="Read a style",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_style(self, desk: NamedDependency[Desk], name: Name) -> Response[MenuEntry]:
        """One line of the menu, with the ETag of its version."""
        return tagged(await desk.menu.read(name))

    @put(
        "/{id:str}",
        operation_id="replaceStyle",
        summary="Change a style",
        opt=refuses(EDITS, tagged=True),
    )
    async def replace_style(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[MenuEntry],
        if_match: IfMatch = "",
    ) -> Response[MenuEntry]:
        """The whole document in the place of the one that is there."""
        return tagged(await desk.menu.replace(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="retireStyle",
        summary="Retire a style",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def retire_style(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[MenuEntry]:
        """It is sold no more from now on, and stays readable."""
        return tagged(await desk.menu.retire(name, seen(if_match)))
