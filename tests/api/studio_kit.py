"""A studio of two chairs, two leads and an assistant, told to a service over HTTP."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Literal

from httpx import ASGITransport, AsyncClient, Response
from litestar import Litestar
from pydantic import BaseModel

from api.app import create_app
from api.settings import Settings
from tests.api.databases import lay_sqlite
from tests.builders import (
    DAY,
    ZONE,
    a_chair,
    a_lead,
    a_phase,
    a_request,
    a_shared_phase,
    a_shift,
    an_assistant,
)


class Client(AsyncClient):
    """Speaks to the application in this very loop, so that requests really run side by side.

    (The framework's own test client runs them one after the other.) A 500 is an answer here.
    """

    def __init__(self, app: Litestar) -> None:
        self.app = app
        transport = ASGITransport(app, raise_app_exceptions=False)
        super().__init__(transport=transport, base_url="http://localhost")

    async def seen(self, path: str) -> dict[str, str]:
        """If-Match with what is there now, if there is anything that has a tag."""
        tag = (await self.get(path)).headers.get("etag")
        return {} if tag is None else {"If-Match": tag}

    # A client of good manners reads before she edits; `request` leaves that to the test.
    async def put(self, url: str, **stated: Any) -> Response:
        return await super().put(url, **await self._having_seen(url, stated))

    async def patch(self, url: str, **stated: Any) -> Response:
        return await super().patch(url, **await self._having_seen(url, stated))

    async def delete(self, url: str, **stated: Any) -> Response:
        return await super().delete(url, **await self._having_seen(url, stated))

    async def _having_seen(self, url: str, stated: dict[str, Any]) -> dict[str, Any]:
        headers = stated.get("headers") or {}
        if "If-Match" not in headers:
            headers = {**await self.seen(url), **headers}
        return {**stated, "headers": headers}


NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)
SALON = {
    "name": "Studio",
    "zone": ZONE,
    "currency": "EUR",
    "hours": [{"weekday": day, "opens": "09:00", "closes": "19:00"} for day in range(1, 7)],
    "basins": [{"id": "basin-1", "name": "Basin 1"}],
}


class StoppedClock:
    """Says what it is told."""

    def __init__(self, now: datetime = NOW) -> None:
        self.instant = now

    def now(self) -> datetime:
        return self.instant


@asynccontextmanager
async def a_service(
    settings: Settings, now: datetime = NOW, *, tokens: Literal["required", "off"] = "off"
) -> AsyncIterator[Client]:
    """A service that runs, and a client of it; it asks for no token unless told to."""
    if settings.database.startswith("sqlite:"):
        lay_sqlite(settings)
    app = create_app(settings.model_copy(update={"tokens": tokens}), StoppedClock(now))
    async with app.lifespan(), Client(app) as client:
        yield client


@asynccontextmanager
async def a_small_service(
    folder: Path, *, tokens: Literal["required", "off"] = "off", **settings: Any
) -> AsyncIterator[Client]:
    stated = Settings(database=f"sqlite:///{folder}/book.db", **settings)
    async with a_service(stated, tokens=tokens) as client:
        yield client


def body(document: BaseModel) -> dict[str, Any]:
    return document.model_dump(mode="json")


def ok(answer: Response) -> Any:
    """The answer's JSON; fails with its text where it is a refusal."""
    assert answer.is_success, f"{answer.status_code} {answer.text[:500]}"
    return answer.json() if answer.content else None


async def furnish(client: Client, *days: date) -> None:
    """Open on workdays; everybody is in from 9 to 18 on `days` (the first of December alone)."""
    ok(await client.put("/v1/salon", json=SALON))
    for chair in ("chair-1", "chair-2"):
        ok(await client.post("/v1/chairs", json=body(a_chair(chair))))
    for person in (a_lead("lead-1"), a_lead("lead-2"), an_assistant()):
        ok(await client.post("/v1/staff", json=body(person)))
        for day in days or (DAY,):
            path = f"/v1/staff/{person.id}/shifts"
            ok(await client.post(path, json=body(a_shift(person.id, day=day))))


def an_install(name: str, **changes: Any) -> dict[str, Any]:
    """Three hours of shared braiding and a finish, at any time of the first of December."""
    phases = (a_shared_phase(180), a_phase("finish", 15))
    return body(a_request(name, **{"phases": phases, **changes}))


async def openings_for(client: Client, request: dict[str, Any]) -> list[dict[str, Any]]:
    answer = ok(await client.post("/v1/openings", json={"request": request}))
    found: list[dict[str, Any]] = answer["openings"]
    return found


async def book(client: Client, name: str, **changes: Any) -> dict[str, Any]:
    """Book the best opening for an install."""
    request = an_install(name, **changes)
    opening = (await openings_for(client, request))[0]
    made: dict[str, Any] = ok(
        await client.post("/v1/bookings", json={"request": request, "opening": opening})
    )
    return made


def tomorrow(day: date = DAY) -> date:
    return day + timedelta(days=1)
