"""What lies on the shelf, what to buy by when, and how each gram came and went."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

from litestar import Controller, get, post
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import Redirect, Template
from pydantic import Field, ValidationError

from api.pages.figures.plots import percent
from api.pages.figures.week import HAIR_DAYS, purchases
from api.pages.forms import Answers, Filled, filled
from api.pages.frame import PageRequest, page
from api.paths import needs
from api.services.desk import Desk
from api.services.errors import UnprocessableError
from api.services.opening_hours import local_day
from schemas.ledger import EntryKind, NewStockEntry

KINDS = (
    (EntryKind.RECEIPT.value, "Hair came in"),
    (EntryKind.ORDER.value, "Hair was ordered"),
    (EntryKind.WITHDRAWN.value, "An order does not come"),
    (EntryKind.CORRECTION.value, "The shelf says otherwise"),
)
WORDS = {
    EntryKind.OPENING: "The ledger begins",
    EntryKind.STOCKTAKE: "Counted",
    EntryKind.RECEIPT: "Came in",
    EntryKind.USE: "A visit took it",
    EntryKind.CORRECTION: "Put right",
    EntryKind.ORDER: "Ordered",
    EntryKind.WITHDRAWN: "Order withdrawn",
}
ENTRIES = 100


class Entry(Answers):
    """What is to be written into the ledger."""

    kind: Literal["receipt", "order", "order-withdrawn", "correction"]
    grams: float = Field(ge=-1_000_000, le=1_000_000)
    arrives: date | None = None
    reason: str | None = Field(default=None, max_length=200)


class HairPages(Controller):
    path = "/hair"

    @get("/", operation_id="listHairStock", opt=needs("hairDemand", "hairUse"))
    async def shelf(self, desk: NamedDependency[Desk]) -> Template:
        salon = (await desk.salon.read()).document
        today = local_day(desk.clock.now(), salon.zone)
        last = today + timedelta(days=HAIR_DAYS - 1)
        lines = await desk.shelf.all()
        there = [line for line in lines if line.stock.on_hand_grams or line.stock.on_order]
        return page(
            "hair/shelf.html",
            title="Hair",
            salon=salon,
            here="/hair",
            there=there,
            others=[line for line in lines if line not in there],
            purchases=await purchases(desk, today, last),
            hair_from=today,
            hair_to=last,
            today=today,
            use=await desk.hair_learning.report(),
            percent=percent,
        )

    @get("/{material:str}", operation_id="listStockEntries", opt=needs("readHairStock"))
    async def ledger(self, desk: NamedDependency[Desk], material: FromPath[str]) -> Template:
        return await _ledger(desk, material, Filled())

    @post("/{material:str}", operation_id="addStockEntry", status_code=303)
    async def write(
        self, request: PageRequest, desk: NamedDependency[Desk], material: FromPath[str]
    ) -> Template | Redirect:
        form = await filled(request, Entry)
        if form.read is not None:
            try:
                entry = NewStockEntry.model_validate(form.read.model_dump())
                await desk.ledger.write(material, entry)
                return Redirect(f"/hair/{material}", status_code=303)
            except ValidationError as wrong:
                told = wrong.errors(include_url=False)
                form = form.with_faults(
                    {str(each["loc"][-1]) if each["loc"] else "": each["msg"] for each in told}
                )
            except UnprocessableError as wrong:
                fields = {f"/{name}": name for name in Entry.model_fields}
                form = form.told(wrong.faults, fields)
        return await _ledger(desk, material, form, status=422)

    @post("/rates/{rate:str}", operation_id="adoptHairRate", status_code=303)
    async def adopt(self, desk: NamedDependency[Desk], rate: FromPath[str]) -> Redirect:
        """Reckon with what the scales speak for."""
        await desk.hair_learning.adopt(rate)
        return Redirect("/hair", status_code=303)


async def _ledger(desk: Desk, material: str, form: Filled[Entry], *, status: int = 200) -> Template:
    line = await desk.shelf.read(material)
    entries = await desk.ledger.page(material, None, ENTRIES)
    salon = (await desk.salon.read()).document
    return page(
        "hair/ledger.html",
        title=line.material.name,
        salon=salon,
        here="/hair",
        status=status,
        line=line,
        entries=entries.items,
        more=entries.next is not None,
        words=WORDS,
        kinds=KINDS,
        form=form,
    )
