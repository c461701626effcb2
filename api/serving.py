"""The HTTP server around the application: it ends what is under way before it stops.

uvicorn waits for every open answer before it tells the application of the stop, so a stream of
progress, or a plan that is waited for, would hold it up for minutes.
"""

from __future__ import annotations

import socket

import uvicorn
from litestar import Litestar

from api.services.aside import warm


class Server(uvicorn.Server):
    """uvicorn's server, with a word to the desk before anybody is waited for."""

    def __init__(self, app: Litestar, config: uvicorn.Config) -> None:
        super().__init__(config)
        self._app = app

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        warm()
        await super().startup(sockets)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        await self._app.state.desk.close()
        await super().shutdown(sockets)
