"""Dropping runs that ended long ago, and events that nobody took."""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.job_ports import JobState
from api.store.answers import milliseconds
from api.store.tables import delivery, job, plan, repair
from schemas.runs import RepairState, RunState


async def prune(connection: AsyncConnection, salon: str, before: datetime) -> int:
    """Those of one salon; how many rows it were. What runs is left alone, however old."""
    # Instants in documents are in UTC and of one form, so they compare as text.
    day = f"{before.astimezone(UTC):%Y-%m-%d}"
    run = repair.c.document["run"]
    old = (
        sa.delete(plan).where(
            plan.c.salon_id == salon,
            plan.c.state != RunState.RUNNING.value,
            plan.c.document["created_at"].as_string() < day,
        ),
        sa.delete(repair).where(
            repair.c.salon_id == salon,
            run["state"].as_string() != RepairState.RUNNING.value,
            run["created_at"].as_string() < day,
        ),
        sa.delete(job).where(
            job.c.salon_id == salon,
            job.c.state == JobState.ENDED.value,
            job.c.made_at < milliseconds(before),
        ),
        sa.delete(delivery).where(
            delivery.c.salon_id == salon,
            delivery.c.state == "given-up",
            delivery.c.due_at < milliseconds(before),
        ),
    )
    return sum([(await connection.execute(each)).rowcount for each in old])
