"""The application: settings in, a Litestar out."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from litestar import Litestar, Router
from litestar.datastructures import State
from litestar.di import Provide

from api.bodies import BoundedRequest, DocumentPlugin
from api.bootstrap import furnish, open_queue, open_store
from api.callers import Known
from api.clock import Clock, SystemClock
from api.controllers import ROUTES
from api.controllers.feeds import read_calendar
from api.description.pages import PAGES as DESCRIPTION
from api.door import CompleteAllow, only_json, only_known_parameters
from api.headers import guard_browser
from api.listing import Listed
from api.logs import Stamped, log_answer
from api.metrics import Metrics, count_answer, metrics
from api.once import OnlyOnce
from api.pages import ROUTES as PAGES
from api.pages.engine import template_config
from api.pages.refusals import for_people_too
from api.problems import HANDLERS
from api.retention import forget_silent
from api.settings import Settings
from api.squeezing import squeezed
from api.throttle import Throttle


def create_app(settings: Settings, clock: Clock | None = None) -> Litestar:
    """The service over the store that the settings name; `clock` is for tests."""
    clock = clock or SystemClock()
    store = open_store(settings, clock)
    throttle = Throttle(settings.salon, settings.per_minute, settings.redis)
    checks = [throttle.check] if settings.redis else []
    desk = furnish(store, settings, clock, checks, open_queue(settings))
    counted = Metrics()
    desk.jobs.solved = desk.solves.solved = counted.solved

    @asynccontextmanager
    async def lifespan(_: Litestar) -> AsyncIterator[None]:
        await store.prepare(migrate_first=settings.migrate)
        await desk.open()
        forgetting = asyncio.create_task(forget_silent(desk.clients, settings.keep_clients_days))
        try:
            yield
        finally:
            forgetting.cancel()
            await desk.close()
            await throttle.close()
            await store.close()

    return Litestar(
        route_handlers=[
            Router("/v1", route_handlers=list(ROUTES), response_class=Listed),
            read_calendar,
            metrics,
            *DESCRIPTION,
            *PAGES,
        ],
        dependencies={"desk": Provide(lambda: desk, sync_to_thread=False)},
        plugins=[DocumentPlugin()],
        request_class=BoundedRequest,
        exception_handlers=for_people_too(HANDLERS),
        template_config=template_config(),
        middleware=[
            squeezed,
            Stamped(),
            CompleteAllow(),
            Known(throttle, required=settings.tokens == "required"),
            OnlyOnce(settings.body_limit),
        ],
        guards=[only_json, only_known_parameters],
        before_send=[log_answer, count_answer, guard_browser],
        lifespan=[lifespan],
        state=State(
            {
                "desk": desk,
                "throttle": throttle,
                "metrics": counted,
                "asks_for_tokens": settings.tokens == "required",
            }
        ),
        openapi_config=None,
        logging_config=None,
        request_max_body_size=settings.body_limit,
    )
