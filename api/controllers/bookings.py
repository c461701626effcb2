"""Bookings."""

from __future__ import annotations

from typing import Annotated

from litestar import Controller, Response, delete, get, patch, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, QueryParameter

from api.controllers.answers import day_or_none, seen, tagged
from api.controllers.operations import ADDS, EDITS, FINDS, READS, RETIRES, refuses
from api.controllers.parameters import After, IfMatch, Limit, Name, date_query
from api.services.desk import Desk
from schemas.booking import BookingStatus
from schemas.dealings import BookingChange, BookingRecord, NewBooking
from schemas.pages import BookingPage

OnDay = Annotated[
    str | None, date_query("day", "Only bookings that are, or would like to be, on this day.")
]
WithStatus = Annotated[
    BookingStatus | None, QueryParameter(name="status", description="Only bookings of this status.")
]


class BookingController(Controller):
    path = "/bookings"
    tags = ("bookings",)

    @get(operation_id="listBookings", summary="List bookings", opt=refuses((*READS, 409)))
    async def list_bookings(
        self,
        *,
        desk: NamedDependency[Desk],
        on_day: OnDay = None,
        with_status: WithStatus = None,
        limit: Limit = 100,
        after: After = "",
    ) -> BookingPage:
        """All, or those of one day by the salon's clock, in order of their names."""
        items, next_ = await desk.bookings.page(
            day_or_none(on_day, "day"), with_status, after or None, limit
        )
        return BookingPage(items=items, next=next_)

    @post(
        operation_id="createBooking",
        summary="Book an opening, or keep a request",
        opt=refuses(ADDS, openings=True, tagged=True),
    )
    async def create_booking(
        self, desk: NamedDependency[Desk], data: JSONBody[NewBooking]
    ) -> Response[BookingRecord]:
        """With a place: `CONFIRMED`, or 409 with fresh openings. Without: `TENTATIVE`.

        An opening, or a `day` that others make room on, is checked again, by the same rules as any
        plan, before it is promised. With a `day` everybody on it moves in the same transaction;
        call first whom its `moves` names.
        """
        made = await desk.bookings.create(data)
        return tagged(made, 201, f"/v1/bookings/{made.document.id}")

    @get(
        "/{id:str}",
        operation_id="readBooking",
        summary="Read a booking",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_booking(
        self, desk: NamedDependency[Desk], name: Name
    ) -> Response[BookingRecord]:
        """One booking, with the ETag of its version."""
        return tagged(await desk.bookings.read(name))

    @patch(
        "/{id:str}",
        operation_id="changeBooking",
        summary="Change a booking, or move it",
        opt=refuses(EDITS, openings=True, tagged=True),
    )
    async def change_booking(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[BookingChange],
        if_match: IfMatch = "",
    ) -> Response[BookingRecord]:
        """With an opening, the old place is given up and the new one taken, or neither."""
        return tagged(await desk.bookings.change(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="cancelBooking",
        summary="Call a booking off",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def cancel_booking(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[BookingRecord]:
        """It stays on record as `CANCELLED`; all it took of the salon is free again."""
        return tagged(await desk.bookings.cancel(name, seen(if_match)))
