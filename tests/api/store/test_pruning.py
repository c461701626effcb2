"""Runs that ended long ago are dropped; what runs, and what is newer, stays. On both stores."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from api.services.callers import SERVICE
from api.services.job_ports import Kind
from api.store.unit_of_work import SqlStore
from schemas.runs import PlanOrder, PlanRun, RepairOrder, RepairRecord, RepairRun, RepairState
from schemas.runs import RunState as State
from tests.builders import DAY

pytestmark = pytest.mark.anyio
NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)
ORDER = PlanOrder(first=DAY, last=DAY)
EVENTS = {"events": [{"kind": "no-show", "visit": "one"}]}


def a_plan(name: str, days: int, state: State = State.DONE) -> PlanRun:
    return PlanRun(id=name, state=state, order=ORDER, created_at=NOW - timedelta(days=days))


def a_repair(name: str, days: int, state: RepairState) -> RepairRecord:
    run = RepairRun(
        id=name,
        state=state,
        order=RepairOrder.model_validate(EVENTS),
        now=NOW,
        created_at=NOW - timedelta(days=days),
        book_revision=1,
    )
    return RepairRecord(id=name, run=run)


async def test_what_ended_long_ago_is_dropped(store: SqlStore) -> None:
    plans = (
        a_plan("old", 91),
        a_plan("failed", 91, State.FAILED),
        a_plan("running", 91, State.RUNNING),
        a_plan("new", 89),
    )
    repairs = (
        a_repair("old", 400, RepairState.ACCEPTED),
        a_repair("running", 400, RepairState.RUNNING),
        a_repair("new", 1, RepairState.PROPOSED),
    )
    async with store.writing() as unit:
        for plan in plans:
            await unit.plans.put(plan)
        for repair in repairs:
            await unit.repairs.put(repair)
    async with store.writing() as unit:
        assert await unit.prune(NOW - timedelta(days=90)) == 3
    async with store.reading() as unit:
        assert [plan.id for plan in plans if await unit.plans.get(plan.id)] == ["running", "new"]
        assert {repair.id for repair in await unit.repairs.all()} == {"running", "new"}


async def test_a_job_is_dropped_once_it_has_ended(store: SqlStore) -> None:
    async with store.writing() as unit:
        for name in ("ended", "open"):
            await unit.jobs.add(name, Kind.PLAN, SERVICE, None)
        assert await unit.jobs.end("ended", None)
    later = datetime.now(UTC) + timedelta(hours=1)  # noqa: TID251 - jobs go by the real clock
    async with store.writing() as unit:
        assert await unit.prune(later) == 1
        assert await unit.jobs.get("ended") is None
        assert await unit.jobs.get("open") is not None
