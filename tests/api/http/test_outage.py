"""PostgreSQL stopped and started under a service that runs: told as such, and well by itself."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

import pytest
from httpx import Response

from api.settings import Settings
from tests.api.http.test_shared_runs import until_ended
from tests.api.own_postgresql import OwnPostgresql, an_own_postgresql
from tests.api.studio_kit import Client, a_service, an_install, body, book, furnish, ok
from tests.builders import DAY, a_chair

pytestmark = [pytest.mark.anyio, pytest.mark.service]
ORDER = {"first": str(DAY), "last": str(DAY), "seconds": 2, "publish": True}


@pytest.fixture
def postgresql() -> Iterator[OwnPostgresql]:
    with an_own_postgresql() as server:
        yield server


async def asked(client: Client) -> list[Response]:
    """One of each: a reading, a writing, a question, an order, and many at once."""
    request = an_install("asked")
    return await asyncio.gather(
        client.get("/v1/bookings"),
        client.post("/v1/chairs", json=body(a_chair("chair-9"))),
        client.post("/v1/openings", json={"request": request}),
        client.post("/v1/bookings", json={"request": request}),
        client.post("/v1/plans", json=ORDER),
        client.get("/v1/health/ready"),
        *(client.get("/v1/chairs") for _ in range(8)),
    )


def require_told(answers: list[Response]) -> None:
    for answer in answers:
        assert answer.status_code == 503, f"{answer.request.url} {answer.text}"
        assert answer.headers["content-type"] == "application/problem+json"
        assert int(answer.headers["retry-after"]) >= 1
        assert "5432" not in answer.text
        assert "postgres" not in answer.text.lower()


async def test_a_database_that_is_stopped_is_told_and_all_is_well_once_it_is_back(
    postgresql: OwnPostgresql,
) -> None:
    settings = Settings(database=postgresql.url, lease=1.0, busy_timeout=3)
    async with a_service(settings) as client:
        await furnish(client)
        await book(client, "one")
        for name in ("two", "three"):
            ok(await client.post("/v1/bookings", json={"request": an_install(name)}))
        # A plan is solved while the database goes away, and finds its way into the book.
        desk = client.app.state.desk
        async with desk.plans.aside.turn:
            started = await client.post("/v1/plans", params={"wait": "false"}, json=ORDER)
            path = started.headers["location"]
            while not any(live.begun.is_set() for live in desk.jobs.live.values()):
                await asyncio.sleep(0.01)
            postgresql.stop()
            require_told(await asked(client))
            assert (await client.get("/v1/health/live")).status_code == 200
            await asyncio.sleep(1.5)
            postgresql.start()
        ok(await client.get("/v1/health/ready"))
        ok(await client.post("/v1/chairs", json=body(a_chair("chair-9"))))
        run = await until_ended(client, path)
        # It was ordered before the chair was there, so it says so, or it was begun anew.
        assert run["state"] == "done" or "/problems/book-changed" in str(run["problem"])
        # What fails in the middle of a transaction leaves nothing behind.
        assert ok(await client.post("/v1/plans", json=ORDER))["published"] is True
        day = ok(await client.get(f"/v1/days/{DAY}"))
        assert {visit["visit"] for visit in day["visits"]} == {"one", "two", "three"}
        assert day["findings"] == []


async def test_a_database_that_is_killed_in_the_middle_of_bookings_loses_none_that_was_told(
    postgresql: OwnPostgresql,
) -> None:
    settings = Settings(database=postgresql.url, busy_timeout=3)
    async with a_service(settings) as client:
        await furnish(client)

        async def keep_asking(number: int) -> list[str]:
            told = []
            for each in range(12):
                name = f"visit-{number}-{each}"
                answer = await client.post("/v1/bookings", json={"request": an_install(name)})
                assert answer.status_code in {201, 503}, answer.text
                if answer.status_code == 201:
                    told.append(name)
            return told

        asking = [asyncio.create_task(keep_asking(number)) for number in range(4)]
        await asyncio.sleep(0.1)
        await asyncio.to_thread(postgresql.stop)
        await asyncio.to_thread(postgresql.start)
        told = [name for names in await asyncio.gather(*asking) for name in names]
        kept = {each["id"] for each in ok(await client.get("/v1/bookings?limit=500"))["items"]}
        assert set(told) <= kept
        assert len(told) < 48
