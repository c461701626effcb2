"""Pages for people: rendered by the server, and live by small exchanges of parts.

They ask the services, as the controllers do, and are no part of the API's description.
"""

from __future__ import annotations

from litestar import Router
from litestar.types import ControllerRouterHandler

from api.pages.assets import asset
from api.pages.calendars import CalendarPages
from api.pages.desk import DESK
from api.pages.figures import WeekPages
from api.pages.hair import HairPages
from api.pages.people import MyDayPages, SheetPages
from api.pages.problems import ProblemPages
from api.pages.session import SessionPages
from api.squeezing import AS_IT_IS

PAGES: tuple[ControllerRouterHandler, ...] = (
    *DESK,
    MyDayPages,
    SheetPages,
    WeekPages,
    HairPages,
    CalendarPages,
    ProblemPages,
    SessionPages,
)
"""Every controller of pages."""

ROUTES = (asset, Router("/", route_handlers=list(PAGES), opt={"page": True, **AS_IT_IS}))
