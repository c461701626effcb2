"""Hair on the shelf."""

from __future__ import annotations

from litestar import Controller, Response, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, shown
from api.controllers.operations import ADDS_BELOW, EDITS, FINDS, READS, refuses
from api.controllers.parameters import After, EntryNumber, IfMatch, Limit, Name
from api.services.desk import Desk
from schemas.ledger import NewStockEntry, StockEntry
from schemas.pages import ShelfPage, StockEntryPage
from schemas.shelf import ShelfLine, StockSetting


class HairStockController(Controller):
    path = "/hair-stock"
    tags = ("hair-stock",)

    @get(operation_id="listHairStock", summary="List the hair on the shelf", opt=refuses(READS))
    async def list_stock(
        self, desk: NamedDependency[Desk], limit: Limit = 100, after: After = ""
    ) -> ShelfPage:
        """Every material the house or the salon knows, with what is on hand and on order."""
        items, next_ = await desk.shelf.page(after or None, limit)
        return ShelfPage(items=items, next=next_)

    @get(
        "/{id:str}",
        operation_id="readHairStock",
        summary="Read the stock of one material",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_stock(self, desk: NamedDependency[Desk], name: Name) -> Response[ShelfLine]:
        """One material and its stock."""
        return shown(await desk.shelf.read(name))

    @put(
        "/{id:str}",
        operation_id="setHairStock",
        summary="Set the stock of one material",
        opt=refuses(EDITS, tagged=True),
    )
    async def set_stock(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[StockSetting],
        if_match: IfMatch = "",
    ) -> Response[ShelfLine]:
        """What a stocktake says; a material that nobody knows yet is described along with it.

        The ledger gets the differences.
        """
        return shown(await desk.shelf.set(name, data, seen(if_match)))

    @get(
        "/{id:str}/entries",
        operation_id="listStockEntries",
        summary="Read the stock ledger of one material",
        opt=refuses(FINDS),
    )
    async def list_entries(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        limit: Limit = 100,
        after: EntryNumber = "",
    ) -> StockEntryPage:
        """Every gram that came, went or was counted, the newest first; nobody can change it."""
        return await desk.ledger.page(name, after or None, limit)

    @post(
        "/{id:str}/entries",
        operation_id="addStockEntry",
        summary="Enter a receipt, a correction or an order",
        opt=refuses(ADDS_BELOW),
    )
    async def add_entry(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[NewStockEntry]
    ) -> StockEntry:
        """What is on hand and under way follows. A mistake is put right by another entry."""
        return await desk.ledger.write(name, data)
