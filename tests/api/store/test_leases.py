"""Leases of jobs: one owner at a time, and only the newest attempt ends a job. On both stores."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import pytest

from api.services.callers import Caller, Role
from api.services.job_ports import Job, JobState, Kind
from api.services.ports import Asked
from api.store.unit_of_work import SqlStore
from schemas.runs import PlanProgress, RunState

pytestmark = pytest.mark.anyio
INES = Caller("ines", Role.DESK, "makePlan")


async def add(store: SqlStore, name: str = "plan-1", asked: Asked | None = None) -> None:
    async with store.writing() as unit:
        await unit.jobs.add(name, Kind.PLAN, INES, asked)


async def take(store: SqlStore, seconds: float = 60, name: str | None = None) -> Job:
    job = await store.leases.take(Kind.PLAN, seconds, name)
    assert job is not None
    return job


async def ends(store: SqlStore, job: Job) -> bool:
    async with store.writing() as unit:
        return await unit.jobs.end(job.name, job.attempt)


async def test_a_job_is_taken_once_however_many_want_it(store: SqlStore) -> None:
    await add(store)
    wanted = await asyncio.gather(*(store.leases.take(Kind.PLAN, 60) for _ in range(6)))
    (job,) = [each for each in wanted if each is not None]
    assert (job.name, job.state, job.attempt, job.caller) == ("plan-1", JobState.RUNNING, 1, INES)
    assert await store.leases.to_be_had() == ()


async def test_the_job_that_waits_longest_is_taken_first(store: SqlStore) -> None:
    for name in ("plan-b", "plan-a"):
        await add(store, name)
        await asyncio.sleep(0.01)
    assert [(await take(store)).name for _ in range(2)] == ["plan-b", "plan-a"]


async def test_a_job_whose_lease_ran_out_is_anothers_and_cannot_be_ended_by_the_first(
    store: SqlStore,
) -> None:
    await add(store)
    dead = await take(store, 0.001)
    await asyncio.sleep(0.01)
    heir = await take(store)
    assert heir.attempt == 2
    assert await store.leases.renew(dead, 60, None) is None
    assert not await ends(store, dead)
    await store.leases.give_back(dead)
    assert await store.leases.to_be_had() == ()
    assert await ends(store, heir)
    assert not await ends(store, heir)


async def test_a_lease_that_is_renewed_lasts_and_tells_how_far_the_job_is(store: SqlStore) -> None:
    await add(store)
    job = await take(store, 0.3)
    heard = PlanProgress(plan="plan-1", state=RunState.RUNNING, fraction=0.5)
    for _ in range(4):
        await asyncio.sleep(0.1)
        assert await store.leases.renew(job, 0.3, heard) is False
    assert await store.leases.to_be_had() == ()
    async with store.reading() as unit:
        known = await unit.jobs.get("plan-1")
    assert known is not None
    assert known.heard == heard


async def test_who_carries_a_job_out_hears_that_it_is_not_wanted(store: SqlStore) -> None:
    await add(store)
    job = await take(store)
    await store.leases.stop_wanting("plan-1")
    assert await store.leases.renew(job, 60, None) is True


async def test_a_job_given_back_waits_for_another(store: SqlStore) -> None:
    await add(store)
    await store.leases.give_back(await take(store))
    assert [(name, kind) for name, kind, _ in await store.leases.to_be_had()] == [
        ("plan-1", Kind.PLAN)
    ]
    assert (await take(store, name="plan-1")).attempt == 2


async def test_a_job_is_found_by_the_request_that_ordered_it_until_it_is_disowned(
    store: SqlStore,
) -> None:
    await add(store, asked=Asked("ines", "key", "digest"))
    for disowned in (False, True):
        async with store.writing() as unit:
            if disowned:
                await unit.jobs.disown("plan-1")
            found = await unit.jobs.ordered_by("ines", "key", timedelta(hours=1))
            assert found == (None if disowned else ("plan-1", "digest"))
            assert await unit.jobs.ordered_by("ines", "key", timedelta(0)) is None
            assert await unit.jobs.count_open(Kind.PLAN) == 1
            assert await unit.jobs.count_open(Kind.REPAIR) == 0
