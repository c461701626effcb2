"""Personal data of clients. Names come in bodies: paths are written into logs of proxies."""

from __future__ import annotations

from litestar import Controller, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS_BELOW, refuses
from api.services.desk import Desk
from schemas.clients import ClientErasure, ClientExport, ClientNamed


class ClientExportController(Controller):
    path = "/client-exports"
    tags = ("clients",)

    @post(
        operation_id="exportClient",
        summary="Tell all that is kept of a client",
        status_code=200,
        opt=refuses((400, 404, 413, 415, 422, 503)),
    )
    async def export(
        self, desk: NamedDependency[Desk], data: JSONBody[ClientNamed]
    ) -> ClientExport:
        """Her bookings, and what is on record of them, under the name exactly as it was written."""
        return await desk.clients.export(data.client)


class ClientErasureController(Controller):
    path = "/client-erasures"
    tags = ("clients",)

    @post(
        operation_id="eraseClient",
        summary="Erase a client",
        status_code=201,
        opt=refuses(ADDS_BELOW),
    )
    async def erase(
        self, desk: NamedDependency[Desk], data: JSONBody[ClientNamed]
    ) -> ClientErasure:
        """Her name is replaced in bookings, in the record of changes and in answers that are kept.

        Visits, minutes and money stay in the figures. It cannot be undone, is on record itself
        without her name, and is refused while she is expected. Back-ups keep what they hold.
        """
        return await desk.clients.erase(data.client)
