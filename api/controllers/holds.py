"""Holds."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import tagged
from api.controllers.operations import ADDS, FINDS, READS, refuses
from api.controllers.parameters import After, Limit, Name
from api.services.desk import Desk
from schemas.dealings import BookingRecord
from schemas.holds import Hold, NewHold
from schemas.pages import HoldPage


class HoldController(Controller):
    path = "/holds"
    tags = ("holds",)

    @get(operation_id="listHolds", summary="List places that are held", opt=refuses(READS))
    async def list_holds(
        self, *, desk: NamedDependency[Desk], limit: Limit = 100, after: After = ""
    ) -> HoldPage:
        """Those in force now, in order of their names."""
        items, next_ = await desk.holds.page(after or None, limit)
        return HoldPage(items=items, next=next_)

    @post(
        operation_id="holdOpening",
        summary="Hold an opening",
        opt=refuses(ADDS, openings=True, located=True),
    )
    async def hold_opening(
        self, desk: NamedDependency[Desk], data: JSONBody[NewHold]
    ) -> Response[Hold]:
        """Nobody else is offered or sold the place until the hold's time is over.

        The opening is checked as for a sale; where it cannot be had, 409 with fresh openings. A
        plan is not published, nor a repair accepted, on days on which a place is held.
        """
        held = await desk.holds.create(data)
        return Response(held, status_code=201, headers={"Location": f"/v1/holds/{held.id}"})

    @get("/{id:str}", operation_id="readHold", summary="Read a hold", opt=refuses(FINDS))
    async def read_hold(self, desk: NamedDependency[Desk], name: Name) -> Hold:
        """A hold in force; one whose time is over is not there any more."""
        return await desk.holds.read(name)

    @delete(
        "/{id:str}", operation_id="releaseHold", summary="Let a held place go", opt=refuses(FINDS)
    )
    async def release_hold(self, desk: NamedDependency[Desk], name: Name) -> None:
        """The place is free at once. Who waits and was offered it has declined, and waits on."""
        await desk.holds.release(name)

    @post(
        "/{id:str}/booking",
        operation_id="bookHold",
        summary="Book a held place",
        opt=refuses((404, 409, 422, 503), openings=True, tagged=True),
    )
    async def book_hold(self, desk: NamedDependency[Desk], name: Name) -> Response[BookingRecord]:
        """The place is promised, as an opening that is booked at once.

        It is checked again: where the book has changed so that it cannot be kept, 409 with fresh
        openings, and the hold stays until it is let go or its time is over.
        """
        made = await desk.holds.book(name)
        return tagged(made, 201, f"/v1/bookings/{made.document.id}")
