"""The owner's week, and its tables to take away."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from litestar import Controller, Response, get
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import Template

from api.pages.figures.plots import Share, band, heat_map, percent, trend_plot
from api.pages.frame import page
from api.paths import needs
from api.services.desk import Desk
from api.services.errors import NotFoundError, UnprocessableError
from api.services.figures import monday_of, week_name
from api.services.opening_hours import local_day
from schemas.reports import HairDemandTotal
from schemas.resources import StaffMember
from schemas.week_reports import IdleMinutes
from solver.errors import Fault
from solver.figures import (
    idle_csv,
    pairing_csv,
    staff_csv,
    trend_csv,
    turned_away_csv,
    utilisation_csv,
)

WEEKS = 8
HAIR_DAYS = 14
"""Days of the hair shopping list, from today or from the week's Monday, whichever is later."""
_REPORTS = ("staffUtilisation", "pairing", "idleCauses", "turnedAway", "weekTrend", "hairDemand")
_WEEK = re.compile(r"^20[0-9]{2}-W[0-5][0-9]$", re.ASCII)


@dataclass(frozen=True)
class Purchase:
    """One line of the shopping list."""

    name: str
    total: HairDemandTotal
    pack: float
    supplier_days: int


class WeekPages(Controller):
    path = "/week"

    @get("/", operation_id="chairUtilisation", opt=needs(*_REPORTS))
    async def this_week(self, desk: NamedDependency[Desk]) -> Template:
        salon = (await desk.salon.read()).document
        return await _shown(desk, week_name(local_day(desk.clock.now(), salon.zone)))

    @get("/{week:str}", operation_id="chairUtilisation", opt=needs(*_REPORTS))
    async def a_week(self, desk: NamedDependency[Desk], week: FromPath[str]) -> Template:
        return await _shown(desk, _sound(week))

    @get("/{week:str}/{table:str}", operation_id="chairUtilisation", opt=needs(*_REPORTS))
    async def table(
        self, desk: NamedDependency[Desk], week: FromPath[str], table: FromPath[str]
    ) -> Response[bytes]:
        """A report as comma-separated values, to keep."""
        told = _tables(desk).get(table)
        if told is None:
            raise NotFoundError("table", "of that name")
        text = await told(_sound(week))
        headers = {"Content-Disposition": f'attachment; filename="{week}-{table}"'}
        return Response(text.encode(), media_type="text/csv", headers=headers)


def _sound(week: str) -> str:
    if not _WEEK.match(week):
        raise UnprocessableError(Fault("week", "must be an ISO week such as 2026-W49"))
    monday_of(week)
    return week


def _tables(desk: Desk) -> dict[str, Callable[[str], Awaitable[str]]]:
    figures = desk.figures

    async def chairs(week: str) -> str:
        return utilisation_csv(await figures.chair_utilisation(week))

    async def people(week: str) -> str:
        return staff_csv(await figures.staff_utilisation(week))

    async def pairs(week: str) -> str:
        return pairing_csv(await figures.pairing(week))

    async def idle(week: str) -> str:
        return idle_csv(await figures.idle_causes(week))

    async def lost(week: str) -> str:
        return turned_away_csv(await figures.turned_away(week))

    async def trend(week: str) -> str:
        return trend_csv(await figures.week_trend(week, WEEKS))

    return {
        "chairs.csv": chairs,
        "people.csv": people,
        "pairs.csv": pairs,
        "idle.csv": idle,
        "turned-away.csv": lost,
        "trend.csv": trend,
    }


async def _shown(desk: Desk, week: str) -> Template:
    salon, monday = (await desk.salon.read()).document, monday_of(week)
    today = local_day(desk.clock.now(), salon.zone)
    told = await desk.figures.whole_week(week, WEEKS)
    chairs, idle, trend = told.chairs, told.idle, told.trend
    facts: dict[str, Any] = {
        "week": week,
        "before": week_name(monday - timedelta(days=7)),
        "after": week_name(monday + timedelta(days=7)),
        "chairs": chairs,
        "idle": idle,
        "trend": trend,
        "people": told.people,
        "pairs": told.pairs,
        "lost": told.lost,
        "names": await staff_names(desk),
        "tables": tuple(_tables(desk)),
        "percent": percent,
        "today": today,
    }
    first = max(today, monday)
    facts |= {
        "hair_from": first,
        "hair_to": first + timedelta(days=HAIR_DAYS - 1),
        "purchases": await purchases(desk, first, first + timedelta(days=HAIR_DAYS - 1)),
    }
    facts |= {
        "heat": heat_map(chairs),
        "trend_plot": trend_plot(trend),
        "causes": causes(idle.total),
        "causes_plot": band("Idle chairs", causes(idle.total)),
    }
    title = f"Week {int(week[-2:])} of {week[:4]}"
    return page("figures/week.html", title=title, salon=salon, here="/week", **facts)


def causes(minutes: IdleMinutes) -> tuple[Share, ...]:
    """Why chairs stood idle, in the words of the page."""
    return (
        Share("client", "Nobody came", minutes.no_client),
        Share("lead", "No lead was free", minutes.no_lead),
        Share("assistant", "No assistant was free", minutes.no_assistant),
        Share("short", "The hole was too short to sell", minutes.too_short),
    )


async def staff_names(desk: Desk) -> dict[str, str]:
    people: list[StaffMember] = []
    after: str | None = None
    while True:
        found, after = await desk.staff.page(after, 500)
        people += found
        if after is None:
            return {person.id: person.name for person in people}


async def purchases(desk: Desk, first: date, last: date) -> tuple[Purchase, ...]:
    """Every material that is to be bought for these days, what is most urgent first."""
    demand = await desk.figures.hair_demand(first, last)
    shelf = {line.material.id: line.material for line in await desk.shelf.all()}
    wanted = [
        Purchase(
            name=shelf[total.material].name,
            total=total,
            pack=shelf[total.material].pack_grams,
            supplier_days=shelf[total.material].supplier_days,
        )
        for total in demand.totals
        if total.packs_to_order or total.packs_with_margin
    ]
    return tuple(
        sorted(
            wanted,
            key=lambda each: (each.total.order_by_with_margin or date.max, each.name),
        )
    )
