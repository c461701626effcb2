"""Figures, as JSON or CSV."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from litestar import Controller, Request, Response, get
from litestar.di import NamedDependency
from litestar.exceptions import ClientException

from api.controllers.answers import day
from api.controllers.operations import refuses
from api.controllers.parameters import FirstDay, LastDay, Week, Weeks
from api.services.desk import Desk
from schemas.base import Document
from schemas.ledger import HairUseReport
from schemas.reports import ChairUtilisation, HairDemand
from schemas.week_reports import IdleCauses, Pairing, StaffUtilisation, TurnedAway, WeekTrend
from solver.figures import (
    hair_demand_csv,
    hair_use_csv,
    idle_csv,
    pairing_csv,
    staff_csv,
    trend_csv,
    turned_away_csv,
    utilisation_csv,
)

JSON, CSV = "application/json", "text/csv"
FIGURES = refuses((406, 409, 422, 503), csv=True)
R = TypeVar("R", bound=Document)


class NotAcceptableException(ClientException):
    """406."""

    status_code = 406


class ReportController(Controller):
    path = "/reports"
    tags = ("reports",)

    @get(
        "/chair-utilisation",
        operation_id="chairUtilisation",
        summary="How full the chairs were in a week",
        opt=FIGURES,
    )
    async def chair_utilisation(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any], week: Week
    ) -> Response[ChairUtilisation]:
        """By chair, day and hour of the local clock, with the definition of every figure."""
        as_csv = _wants_csv(request)
        return _told(
            await desk.figures.chair_utilisation(week), utilisation_csv if as_csv else None
        )

    @get(
        "/hair-demand",
        operation_id="hairDemand",
        summary="What hair is needed by when",
        opt=FIGURES,
    )
    async def hair_demand(
        self,
        desk: NamedDependency[Desk],
        request: Request[Any, Any, Any],
        from_date: FirstDay,
        to_date: LastDay,
    ) -> Response[HairDemand]:
        """By day and material, against the shelf of today and what is under way."""
        as_csv = _wants_csv(request)
        report = await desk.figures.hair_demand(day(from_date, "from"), day(to_date, "to"))
        return _told(report, hair_demand_csv if as_csv else None)

    @get(
        "/staff-utilisation",
        operation_id="staffUtilisation",
        summary="How the hours of the people were used in a week",
        opt=FIGURES,
    )
    async def staff_utilisation(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any], week: Week
    ) -> Response[StaffUtilisation]:
        """By person and day: leading, carrying, helping, idle, against shift less breaks."""
        as_csv = _wants_csv(request)
        return _told(await desk.figures.staff_utilisation(week), staff_csv if as_csv else None)

    @get("/pairing", operation_id="pairing", summary="Who worked beside whom", opt=FIGURES)
    async def pairing(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any], week: Week
    ) -> Response[Pairing]:
        """Minutes each assistant helped on each lead's installs, and the minutes that saved."""
        as_csv = _wants_csv(request)
        return _told(await desk.figures.pairing(week), pairing_csv if as_csv else None)

    @get(
        "/idle-causes",
        operation_id="idleCauses",
        summary="Where idle chairs come from",
        opt=FIGURES,
    )
    async def idle_causes(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any], week: Week
    ) -> Response[IdleCauses]:
        """By day and hour: no client, no lead, no assistant, or a hole too short to sell.

        With the bottleneck of the week in one sentence, and its evidence.
        """
        as_csv = _wants_csv(request)
        return _told(await desk.figures.idle_causes(week), idle_csv if as_csv else None)

    @get(
        "/turned-away",
        operation_id="turnedAway",
        summary="Demand that got no place, and why",
        opt=FIGURES,
    )
    async def turned_away(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any], week: Week
    ) -> Response[TurnedAway]:
        """Requests for which openings were asked for in vain, that waited, or were called off."""
        as_csv = _wants_csv(request)
        return _told(await desk.figures.turned_away(week), turned_away_csv if as_csv else None)

    @get("/week-trend", operation_id="weekTrend", summary="Week against week", opt=FIGURES)
    async def week_trend(
        self,
        desk: NamedDependency[Desk],
        request: Request[Any, Any, Any],
        week: Week,
        weeks: Weeks = 8,
    ) -> Response[WeekTrend]:
        """Chairs, leads and assistants of the weeks up to this one, the oldest first."""
        as_csv = _wants_csv(request)
        return _told(await desk.figures.week_trend(week, weeks), trend_csv if as_csv else None)

    @get(
        "/hair-use",
        operation_id="hairUse",
        summary="Hair reckoned against hair used",
        opt=FIGURES,
    )
    async def hair_use(
        self, desk: NamedDependency[Desk], request: Request[Any, Any, Any]
    ) -> Response[HairUseReport]:
        """By style, over all visits that were weighed, and what it says of the rates."""
        as_csv = _wants_csv(request)
        return _told(await desk.hair_learning.report(), hair_use_csv if as_csv else None)


def _wants_csv(request: Request[Any, Any, Any]) -> bool:
    """Raises 406 where the client takes neither JSON nor CSV."""
    if request.headers.get("accept") is None:
        return False
    best = request.accept.best_match([JSON, CSV])
    if best is None:
        raise NotAcceptableException
    return best == CSV


def _told(report: R, as_csv: Callable[[R], str] | None) -> Response[Any]:
    headers = {"Vary": "Accept"}
    if as_csv is None:
        return Response(report, headers=headers)
    return Response(as_csv(report).encode(), media_type=CSV, headers=headers)
