"""Figures, as JSON or CSV."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from litestar import Controller, Request, Response, get
from litestar.di import NamedDependency
from litestar.exceptions import ClientException

from api.controllers.answers import day
from api.controllers.operations import refuses
from api.controllers.parameters import FirstDay, LastDay, Week
from api.services.desk import Desk
from schemas.base import Document
from schemas.reports import ChairUtilisation, HairDemand
from solver.figures import hair_demand_csv, utilisation_csv

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
