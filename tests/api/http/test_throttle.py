"""Requests of one token are counted, in one process or by Redis in all of them."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from uuid import uuid4

import pytest
import redis.asyncio
from httpx import Response
from redis.exceptions import RedisError

from api.services.callers import Role
from api.services.errors import TooManyError
from api.throttle import Throttle
from tests.api.studio_kit import Client, a_small_service

pytestmark = pytest.mark.anyio
REDIS = os.environ.get("PARTLINE_TEST_REDIS", "redis://127.0.0.1:6379/9")


async def _asked(throttle: Throttle, who: str, times: int) -> int:
    """How many of the requests go through; the rest are told to wait within the minute."""
    waits = []
    for _ in range(times):
        try:
            await throttle.require(who)
        except TooManyError as refused:
            waits.append(refused.seconds)
    assert all(1 <= seconds <= 60 for seconds in waits)
    return times - len(waits)


@pytest.fixture
async def redis_url(anyio_backend: str) -> str:
    client = redis.asyncio.from_url(REDIS)
    try:
        await client.ping()
    except (RedisError, OSError) as absent:
        pytest.skip(f"no Redis answers at PARTLINE_TEST_REDIS: {absent}")
    finally:
        await client.aclose()
    return REDIS


@asynccontextmanager
async def throttles(count: int, *stated: object) -> AsyncIterator[list[Throttle]]:
    made = [Throttle(*stated) for _ in range(count)]  # type: ignore[arg-type]
    try:
        yield made
    finally:
        for each in made:
            await each.close()


async def test_each_caller_has_her_own_count() -> None:
    async with throttles(1, "salon", 3) as (throttle,):
        assert await _asked(throttle, "ines", 5) == 3
        assert await _asked(throttle, "noor", 5) == 3


async def test_nothing_is_counted_unless_told() -> None:
    async with throttles(1, "salon", 0) as (throttle,):
        assert await _asked(throttle, "ines", 50) == 50


@pytest.mark.service
async def test_redis_counts_for_all_processes_and_apart_for_each_salon(redis_url: str) -> None:
    salon = uuid4().hex
    async with throttles(2, salon, 4, redis_url) as (one, other):
        assert await _asked(one, "ines", 3) + await _asked(other, "ines", 3) == 4
        async with throttles(1, uuid4().hex, 4, redis_url) as (elsewhere,):
            assert await _asked(elsewhere, "ines", 5) == 4


async def test_without_redis_each_process_counts_for_itself() -> None:
    async with throttles(2, "salon", 3, "redis://127.0.0.1:1/0") as (one, other):
        assert await _asked(one, "ines", 5) == 3
        assert await _asked(other, "ines", 5) == 3


async def test_who_asks_too_often_is_told_how_long_to_wait(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, tokens="required", per_minute=3) as client:
        tokens = client.app.state.desk.tokens
        told = {name: await tokens.make(name, Role.DESK, staff=None, days=1) for name in "ab"}
        answers = [await _ask(client, f"Bearer {told['a']}") for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert 1 <= int(answers[3].headers["retry-after"]) <= 60
        assert answers[3].json()["type"] == "/problems/too-many"
        assert (await _ask(client, f"Bearer {told['b']}")).status_code == 200
        assert (await client.get("/v1/health/ready")).status_code == 200
        # Who is nobody is counted by the address she asks from.
        guesses = [(await _ask(client, f"Bearer x{n}")).status_code for n in range(4)]
        assert guesses == [401, 401, 401, 429]
        assert (await client.post("/sign-in", data={"token": told["b"]})).status_code == 429


async def _ask(client: Client, token: str) -> Response:
    return await client.get("/v1/rates", headers={"Authorization": token})
