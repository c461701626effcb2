"""A request that is told twice is carried out once. In both databases.

The cases are those of draft-ietf-httpapi-idempotency-key-header-07, section 2.7.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy.ext.asyncio import create_async_engine

from api.description.document import describe
from api.once import QUESTIONS
from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import (
    NOW,
    Client,
    a_service,
    an_install,
    body,
    furnish,
    ok,
    openings_for,
)
from tests.builders import DAY, a_chair

pytestmark = pytest.mark.anyio
KEY = {"Idempotency-Key": '"8e03978e-40d5-43dd-bc93-6894a57f9324"'}


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        yield fresh


@pytest.fixture
async def studio(settings: Settings) -> AsyncIterator[Client]:
    async with a_service(settings) as client:
        await furnish(client)
        yield client


async def _rows(settings: Settings, query: str) -> Any:
    engine = create_async_engine(settings.database_url)
    async with engine.begin() as connection:
        found = (await connection.execute(sa.text(query))).scalar_one()
    await engine.dispose()
    return found


async def _a_purchase(client: Client, name: str = "visit-1") -> dict[str, Any]:
    request = an_install(name)
    return {"request": request, "opening": (await openings_for(client, request))[0]}


async def test_a_booking_told_twice_is_made_once_and_answered_alike(studio: Client) -> None:
    bought = await _a_purchase(studio)
    first = await studio.post("/v1/bookings", json=bought, headers=KEY)
    second = await studio.post("/v1/bookings", json=bought, headers=KEY)
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.content == second.content
    for name in ("etag", "location", "content-type"):
        assert first.headers[name] == second.headers[name]
    assert len(ok(await studio.get("/v1/bookings"))["items"]) == 1


async def test_a_key_without_quotes_is_the_same_key(studio: Client) -> None:
    chair = body(a_chair("third"))
    bare = {"Idempotency-Key": KEY["Idempotency-Key"].strip('"')}
    answers = [await studio.post("/v1/chairs", json=chair, headers=each) for each in (KEY, bare)]
    assert [answer.status_code for answer in answers] == [201, 201]


async def test_without_a_key_the_second_is_a_request_of_its_own(studio: Client) -> None:
    chair = body(a_chair("third"))
    answers = [await studio.post("/v1/chairs", json=chair) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 409]


async def test_a_key_of_another_request_is_refused(studio: Client) -> None:
    ok(await studio.post("/v1/chairs", json=body(a_chair("third")), headers=KEY))
    for path, other in (("chairs", "fourth"), ("chairs?x=1", "third"), ("staff", "third")):
        refused = await studio.post(f"/v1/{path}", json=body(a_chair(other)), headers=KEY)
        assert refused.status_code == 422
        assert refused.headers["content-type"] == "application/problem+json"
        assert refused.json()["errors"][0]["pointer"] == "Idempotency-Key"


async def test_a_key_that_is_none_is_refused(studio: Client) -> None:
    for key in ("", '"', '"a', "two words", 'in"side', '"' + "x" * 201 + '"'):
        refused = await studio.post(
            "/v1/chairs", json=body(a_chair("third")), headers={"Idempotency-Key": key}
        )
        assert refused.status_code == 422, key
        assert refused.json()["errors"][0]["pointer"] == "Idempotency-Key"


async def test_a_refusal_is_not_kept(studio: Client) -> None:
    chair = body(a_chair("third"))
    assert (await studio.post("/v1/chairs", json=chair | {"x": 1}, headers=KEY)).status_code == 422
    ok(await studio.post("/v1/chairs", json=chair, headers=KEY))


async def test_a_key_is_forgotten_after_a_day(settings: Settings) -> None:
    chair = body(a_chair("third"))
    async with a_service(settings) as client:
        await furnish(client)
        ok(await client.post("/v1/chairs", json=chair, headers=KEY))
    later = NOW + timedelta(hours=24)
    async with a_service(settings, later) as client:
        assert (await client.post("/v1/chairs", json=chair, headers=KEY)).status_code == 409
        ok(await client.post("/v1/chairs", json=body(a_chair("fourth")), headers=KEY))
    assert await _rows(settings, "SELECT count(*) FROM answered") == 1


async def test_of_many_at_once_one_acts_and_all_hear_the_same(settings: Settings) -> None:
    """Two services over one book, as two processes would be."""
    async with a_service(settings) as first, a_service(settings) as second:
        await furnish(first)
        bought = await _a_purchase(first)
        answers = await asyncio.gather(
            *(
                (first, second)[number % 2].post("/v1/bookings", json=bought, headers=KEY)
                for number in range(8)
            )
        )
        assert {answer.status_code for answer in answers} == {201}
        assert len({answer.content for answer in answers}) == 1
        assert len(ok(await first.get("/v1/bookings"))["items"]) == 1
    assert await _rows(settings, "SELECT count(*) FROM answered") == 1


async def test_the_change_and_its_answer_are_committed_together_or_not_at_all(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def broken(*_: object) -> None:
        raise OSError("the wire is cut")

    async with a_service(settings) as client:
        await furnish(client)
        bought = await _a_purchase(client)
        with monkeypatch.context() as broke:
            broke.setattr("api.store.answers.AnswerTable.put", broken)
            answer = await client.post("/v1/bookings", json=bought, headers=KEY)
        assert answer.status_code in {500, 503}
        assert ok(await client.get("/v1/bookings"))["items"] == []
        assert await _rows(settings, "SELECT count(*) FROM occupancy") == 0
        # Nothing is left locked, and the same request goes through now.
        ok(await client.post("/v1/bookings", json=bought, headers=KEY))


async def test_a_law_told_twice_answers_with_what_it_has_just_set(studio: Client) -> None:
    path = "/v1/break-laws/eu-working-time/adoption"
    first = ok(await studio.post(path, headers=KEY))
    assert first["items"]
    assert all(rule["own"] for rule in first["items"])
    assert ok(await studio.post(path, headers=KEY)) == first


async def test_a_plan_ordered_twice_is_made_once(studio: Client) -> None:
    ok(await studio.post("/v1/bookings", json={"request": an_install("one")}))
    order = {"first": str(DAY), "last": str(DAY), "seconds": 2}
    for query in ("", "?wait=false"):
        key = {"Idempotency-Key": f"plan{len(query)}"}
        runs = [
            ok(await studio.post(f"/v1/plans{query}", json=order, headers=key)) for _ in range(2)
        ]
        assert runs[0] == runs[1]
        name = runs[0]["id"]
        while ok(await studio.get(f"/v1/plans/{name}"))["state"] == "running":
            await asyncio.sleep(0.02)
        assert ok(await studio.get(f"/v1/plans/{name}"))["state"] == "done"


def test_every_post_that_changes_something_says_that_it_takes_a_key() -> None:
    for path, operations in describe()["paths"].items():
        for method, operation in operations.items():
            named = {told["name"] for told in operation.get("parameters", ())}
            takes = method == "post" and operation["operationId"] not in QUESTIONS
            assert ("Idempotency-Key" in named) == takes, f"{method} {path}"
