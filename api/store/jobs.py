"""Jobs and the leases of those who carry them out, by the clock of the database."""

from __future__ import annotations

import os
import socket
from datetime import timedelta
from typing import Any
from uuid import uuid4

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import GenericFunction

from api.services.callers import Caller, Role
from api.services.job_ports import Job, JobState, Kind
from api.services.ports import Asked
from api.store.engines import Engines
from api.store.failures import in_our_words
from api.store.mappers import from_json, to_json
from api.store.tables import job
from schemas.runs import PlanProgress

_OPEN = (JobState.WAITING.value, JobState.RUNNING.value)


class now_ms(GenericFunction[int]):  # noqa: N801 - named as the function in the statement
    """Milliseconds since 1970, by the clock of the database, also inside a transaction."""

    type = sa.BigInteger()
    inherit_cache = True


@compiles(now_ms, "sqlite")
def _in_sqlite(*_: object, **__: object) -> str:
    return "CAST(round((julianday('now') - 2440587.5) * 86400000) AS INTEGER)"


@compiles(now_ms, "postgresql")
def _in_postgresql(*_: object, **__: object) -> str:
    return "CAST(extract(epoch FROM clock_timestamp()) * 1000 AS bigint)"


class JobTable:
    """Jobs of one salon, in a transaction."""

    def __init__(self, connection: AsyncConnection, salon: str) -> None:
        self.connection = connection
        self.salon = salon

    async def add(self, name: str, kind: Kind, caller: Caller, asked: Asked | None) -> None:
        await self.connection.execute(
            sa.insert(job).values(
                salon_id=self.salon,
                id=name,
                kind=kind.value,
                state=JobState.WAITING.value,
                attempt=0,
                unwanted=False,
                made_at=now_ms(),
                caller={"name": caller.name, "role": caller.role, "operation": caller.operation},
                asked_by=None if asked is None else asked.who,
                asked_key=None if asked is None else asked.key,
                fingerprint=None if asked is None else asked.fingerprint,
            )
        )

    async def get(self, name: str) -> Job | None:
        found = await self.connection.execute(_read().where(_is(self.salon, name)))
        row = found.first()
        return None if row is None else _job(row)

    async def count_open(self, kind: Kind) -> int:
        query = sa.select(sa.func.count()).where(
            job.c.salon_id == self.salon, job.c.kind == kind.value, job.c.state.in_(_OPEN)
        )
        return int((await self.connection.execute(query)).scalar_one())

    async def end(self, name: str, attempt: int | None) -> bool:
        still = (
            job.c.state == JobState.WAITING.value
            if attempt is None
            else sa.and_(job.c.state == JobState.RUNNING.value, job.c.attempt == attempt)
        )
        ended = await self.connection.execute(
            sa.update(job)
            .where(_is(self.salon, name), still)
            .values(state=JobState.ENDED.value, leased_until=None, heard=None)
        )
        return ended.rowcount == 1

    async def disown(self, name: str) -> None:
        await self.connection.execute(
            sa.update(job).where(_is(self.salon, name)).values(asked_by=None, asked_key=None)
        )

    async def ordered_by(self, who: str, key: str, within: timedelta) -> tuple[str, str] | None:
        found = await self.connection.execute(
            sa.select(job.c.id, job.c.fingerprint)
            .where(
                job.c.salon_id == self.salon,
                job.c.asked_by == who,
                job.c.asked_key == key,
                job.c.made_at > now_ms() - round(within.total_seconds() * 1000),
            )
            .order_by(job.c.made_at.desc(), job.c.id)
            .limit(1)
        )
        row = found.first()
        return None if row is None else (row[0], row[1])


class LeaseTable:
    """Jobs of one salon between transactions: each call is one of its own, and locks little."""

    def __init__(self, engines: Engines, salon: str) -> None:
        self.engines = engines
        self.salon = salon
        self.owner = f"{socket.gethostname()[:40]}-{os.getpid()}-{uuid4().hex[:8]}"

    async def take(self, kind: Kind, seconds: float, name: str | None = None) -> Job | None:
        first = (
            sa.select(job.c.id)
            .where(job.c.salon_id == self.salon, job.c.kind == kind.value, _to_be_had())
            .order_by(job.c.made_at, job.c.id)
            .limit(1)
            .with_for_update(skip_locked=True)
        )
        if name is not None:
            first = first.where(job.c.id == name)
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                found = (await connection.execute(first)).scalar()
                if found is None:
                    return None
                await connection.execute(
                    sa.update(job)
                    .where(_is(self.salon, found))
                    .values(
                        state=JobState.RUNNING.value,
                        attempt=job.c.attempt + 1,
                        owner=self.owner,
                        leased_until=now_ms() + round(seconds * 1000),
                    )
                )
                row = (await connection.execute(_read().where(_is(self.salon, found)))).one()
                return _job(row)

    async def renew(self, held: Job, seconds: float, heard: PlanProgress | None) -> bool | None:
        values: dict[str, Any] = {"leased_until": now_ms() + round(seconds * 1000)}
        if heard is not None:
            values["heard"] = to_json(heard)
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                kept = await connection.execute(
                    sa.update(job)
                    .where(self._is_held(held))
                    .values(**values)
                    .returning(job.c.unwanted)
                )
                row = kept.first()
                return None if row is None else bool(row[0])

    async def give_back(self, held: Job) -> None:
        waiting = {"state": JobState.WAITING.value, "owner": None, "leased_until": None}
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                await connection.execute(
                    sa.update(job).where(self._is_held(held)).values(**waiting)
                )

    async def stop_wanting(self, name: str) -> None:
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                await connection.execute(
                    sa.update(job).where(_is(self.salon, name)).values(unwanted=True)
                )

    async def to_be_had(self) -> tuple[tuple[str, Kind, float], ...]:
        query = sa.select(job.c.id, job.c.kind, now_ms() - job.c.made_at).where(
            job.c.salon_id == self.salon, _to_be_had()
        )
        with in_our_words():
            async with self.engines.reader.begin() as connection:
                found = await connection.execute(query.order_by(job.c.made_at, job.c.id))
                return tuple((row[0], Kind(row[1]), row[2] / 1000) for row in found)

    def _is_held(self, held: Job) -> sa.ColumnElement[bool]:
        return sa.and_(
            _is(self.salon, held.name),
            job.c.state == JobState.RUNNING.value,
            job.c.attempt == held.attempt,
        )


def _is(salon: str, name: str) -> sa.ColumnElement[bool]:
    return sa.and_(job.c.salon_id == salon, job.c.id == name)


def _to_be_had() -> sa.ColumnElement[bool]:
    return sa.or_(
        job.c.state == JobState.WAITING.value,
        sa.and_(job.c.state == JobState.RUNNING.value, job.c.leased_until < now_ms()),
    )


def _read() -> sa.Select[Any]:
    columns = job.c
    return sa.select(
        *(columns.id, columns.kind, columns.state, columns.attempt, columns.caller),
        *(columns.unwanted, columns.heard, (now_ms() - columns.made_at).label("age")),
    )


def _job(row: sa.Row[Any]) -> Job:
    role = row.caller["role"]
    return Job(
        name=row.id,
        kind=Kind(row.kind),
        state=JobState(row.state),
        attempt=row.attempt,
        caller=Caller(
            row.caller["name"],
            role=None if role is None else Role(role),
            operation=row.caller["operation"],
        ),
        unwanted=row.unwanted,
        age=row.age / 1000,
        heard=None if row.heard is None else from_json(PlanProgress, row.heard),
    )
