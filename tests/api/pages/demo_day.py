"""The demo studio with one day of clients, told to a service: quick to lay, and like a real day."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from pydantic import BaseModel

from api.demo.diary import calls
from api.demo.menu import MENU
from api.demo.shelf import stock
from api.demo.story import request_for
from api.demo.studio import CHAIRS, SALON, STAFF, shifts
from api.settings import Settings
from tests.api.studio_kit import Client, a_service, body, ok

FIRST = date(2026, 11, 30)
DAY = FIRST + timedelta(days=1)
MORNING = datetime(2026, 12, 1, 8, 0, tzinfo=UTC)
"""A Tuesday, an hour before the studio opens."""
CLIENTS = 8


async def lay(folder: Path) -> Path:
    """The file of the book: its people, its menu, its shelf, and the clients of `DAY`."""
    settings = Settings(database=f"sqlite:///{folder}/demo.db")
    async with a_service(settings, MORNING - timedelta(days=1)) as client:
        await _furnish(client)
        await _ring(client)
    return folder / "demo.db"


async def _furnish(client: Client) -> None:
    told: list[tuple[str, str, BaseModel]] = [("PUT", "/v1/salon", SALON)]
    told += [("POST", "/v1/chairs", chair) for chair in CHAIRS]
    told += [("POST", "/v1/staff", person) for person in STAFF]
    told += [
        ("POST", f"/v1/staff/{shift.staff}/shifts", shift)
        for shift in shifts(FIRST)
        if shift.window.start.date() - FIRST < timedelta(days=7)
    ]
    told += [("POST", "/v1/styles", entry) for entry in MENU]
    told += [("PUT", f"/v1/hair-stock/{name}", line) for name, line in stock(FIRST)]
    for method, path, document in told:
        ok(await client.request(method, path, json=body(document)))


async def _ring(client: Client) -> None:
    menu = {entry.id: entry for entry in MENU}
    ringing = [each for each in calls(FIRST, 1) if each.window.start.date() == DAY]
    for call in ringing[:CLIENTS]:
        request = body(
            request_for(call.visit, call.client, menu[call.menu], windows=(call.window,))
        )
        question = {"request": request, "wish": call.wish.value, "limit": 1}
        found = ok(await client.post("/v1/openings", json=question))["openings"]
        if found:
            new = {"request": request, "opening": found[0]}
            ok(await client.post("/v1/bookings", json=new))
