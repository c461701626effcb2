"""Health, for whoever starts and stops the service."""

from __future__ import annotations

from litestar import Controller, get
from litestar.di import NamedDependency

from api.controllers.operations import refuses
from api.services.desk import Desk
from schemas.health import Alive, Ready


class HealthController(Controller):
    path = "/health"
    tags = ("health",)

    @get("/live", operation_id="live", summary="Is the process alive", opt=refuses((422,)))
    async def live(self) -> Alive:
        """Asks nothing of the database."""
        return Alive()

    @get(
        "/ready",
        operation_id="ready",
        summary="Can the service do its work",
        opt=refuses((422, 503)),
    )
    async def ready(self, desk: NamedDependency[Desk]) -> Ready:
        """Asks the database now, and whether its tables are those of this version."""
        return await desk.health.ready()
