"""Openings for people who come together, for a series, and the sale of several at once."""

from __future__ import annotations

from litestar import Controller, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS, refuses
from api.controllers.questions import ASKS
from api.services.desk import Desk
from schemas.openings import GroupAnswer, GroupQuestion
from schemas.together import BookingSet, BookingSetRecord, SeriesAnswer, SeriesQuestion


class GroupOpeningController(Controller):
    path = "/group-openings"
    tags = ("openings",)

    @post(
        operation_id="findGroupOpenings",
        summary="Find where a group fits",
        status_code=200,
        opt=refuses((*ASKS, 409)),
    )
    async def find_group_openings(
        self, desk: NamedDependency[Desk], data: JSONBody[GroupQuestion]
    ) -> GroupAnswer:
        """Two friends side by side at one time, or a mother and her child one after the other.

        Each opening is worked out with those before it sold: book them as one set, in their order.
        With no place for all of them, who would find none even alone.
        """
        return await desk.openings.find_together(data)


class SeriesOpeningController(Controller):
    path = "/series-openings"
    tags = ("openings",)

    @post(
        operation_id="findSeriesOpenings",
        summary="Find where a series fits",
        status_code=200,
        opt=refuses((*ASKS, 409)),
    )
    async def find_series_openings(
        self, desk: NamedDependency[Desk], data: JSONBody[SeriesQuestion]
    ) -> SeriesAnswer:
        """A visit that comes again every few weeks: the best place of each, in order.

        The later ones would rather have the lead and the hour of the first. Their names are the
        request's with a number; book the openings as one set.
        """
        return await desk.series.find(data)


class BookingSetController(Controller):
    path = "/booking-sets"
    tags = ("bookings",)

    @post(
        operation_id="createBookingSet",
        summary="Book several openings, all or none",
        opt=refuses(ADDS, openings=True),
    )
    async def create_booking_set(
        self, desk: NamedDependency[Desk], data: JSONBody[BookingSet]
    ) -> BookingSetRecord:
        """In one transaction: where one cannot be had, none is booked, and 409 has fresh openings
        for that one.
        """
        return await desk.sets.sell(data)
