"""Many clients race for the same last opening: one booking, and a clear refusal for each other.

The small race runs with the suite; `PARTLINE_RACE=50x10` runs 50 clients, ten times over.
"""

from __future__ import annotations

import asyncio
import copy
import os
from collections.abc import AsyncIterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from httpx import Response

from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import Client, a_service, an_install, furnish, ok, openings_for
from tests.builders import DAY, a_window

pytestmark = pytest.mark.anyio
CLIENTS, ROUNDS = (int(each) for each in os.environ.get("PARTLINE_RACE", "20x2").split("x"))
DAYS = [day for day in (DAY + timedelta(days=ahead) for ahead in range(40)) if day.weekday() < 6]


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        yield fresh


def the_last(name: str, day: date) -> dict[str, Any]:
    """Work for one lead alone in a window that it fills: there is one start, and one place."""
    windows = (a_window("9:00", "12:15", day),)
    return an_install(name, windows=windows, max_assistants=0, required_lead="lead-1")


async def buys(desk: Client, request: dict[str, Any], opening: dict[str, Any]) -> list[Response]:
    """Books the opening at once."""
    told = {"request": request, "opening": opening}
    return [await desk.post("/v1/bookings", json=told)]


async def holds_and_books(
    desk: Client, request: dict[str, Any], opening: dict[str, Any]
) -> list[Response]:
    """Holds the opening first, and books what she holds."""
    told = {"request": request, "opening": opening}
    held = await desk.post("/v1/holds", json=told)
    if held.status_code != 201:
        return [held]
    return [held, await desk.post(f"/v1/holds/{request['id']}/booking")]


@pytest.mark.parametrize("ways", [(buys,), (holds_and_books,), (buys, holds_and_books)])
async def test_the_last_opening_has_one_buyer_and_all_others_are_told_so(
    settings: Settings, ways: tuple[Any, ...]
) -> None:
    days = DAYS[:ROUNDS]
    async with a_service(settings) as first:
        await furnish(first, *days)
        async with a_service(settings) as second:
            for round_, day in enumerate(days):
                await _race((first, second), ways, f"round-{round_}", day)


async def _race(desks: tuple[Client, Client], ways: tuple[Any, ...], name: str, day: date) -> None:
    found = await openings_for(desks[0], the_last(name, day))
    assert len(found) == 1

    async def client(number: int) -> list[Response]:
        own = f"{name}-{number}"
        opening = copy.deepcopy(found[0])
        opening["visit"]["visit"] = own
        way = ways[number // 2 % len(ways)]
        answers: list[Response] = await way(desks[number % 2], the_last(own, day), opening)
        return answers

    told = await asyncio.gather(*(client(number) for number in range(CLIENTS)))
    won = [answers for answers in told if answers[-1].status_code == 201]
    assert len(won) == 1
    refusals = [answers[-1] for answers in told if answers[-1].status_code != 201]
    assert len(refusals) == CLIENTS - 1
    for refused in refusals:
        problem = refused.json()
        assert (refused.status_code, problem["type"]) == (409, "/problems/opening-gone")
        assert problem["detail"].startswith("the opening cannot be had: ")
        assert problem["openings"] == []
    for desk in desks:
        seen = ok(await desk.get(f"/v1/days/{day}"))
        assert [visit["status"] for visit in seen["visits"]] == ["CONFIRMED"]
        assert seen["visits"][0]["visit"] == won[0][-1].json()["id"]
        assert seen["findings"] == []
        assert ok(await desk.get("/v1/holds"))["items"] == []
