"""One transaction of one salon, and where it comes from."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from datetime import datetime
from itertools import count
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.clock import Clock, SystemClock
from api.services.once import KEEPING
from api.services.ports import Level, Versioned
from api.store import migrate, tables
from api.store.answers import AnswerTable
from api.store.book import BookingTable, BreakTable
from api.store.clients import ClientTable
from api.store.clocks import ClockTable, TurnedAwayTable
from api.store.engines import Engines
from api.store.failures import in_our_words
from api.store.feeds import FeedTable
from api.store.holds import HoldTable, OfferTable
from api.store.jobs import JobTable, LeaseTable
from api.store.journal import ChangeTable, Journal, Pen
from api.store.ledger import LedgerTable
from api.store.mappers import forget_read, from_json, to_json
from api.store.outbox import DeliveryTable, WebhookTable, put_out
from api.store.pruning import prune
from api.store.repositories import DocumentTable, SpanTable
from api.store.sessions import SessionTable
from api.store.tokens import TokenTable
from schemas.finished import FinishedVisitRecord
from schemas.hair import Material, StockLine
from schemas.resources import Chair, Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.runs import PlanRun, RepairRecord, RunState
from schemas.salon import Closure, Salon
from schemas.style import MenuEntry
from schemas.takeoff import RateOverride


class PlanTable:
    """Planning runs of one salon."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        self.documents = DocumentTable(
            connection,
            salon,
            tables.plan,
            PlanRun,
            name=lambda run: run.id,
            touch=touch,
            columns=lambda run: {"state": run.state.value},
            # What a plan writes into the book is told by the bookings themselves.
            tells=lambda run: {"state": run.state.value, "published": run.published},
        )

    async def get(self, name: str) -> PlanRun | None:
        found = await self.documents.get(name)
        return None if found is None else found.document

    async def put(self, run: PlanRun) -> None:
        await self.documents.put(run)

    async def running(self) -> tuple[PlanRun, ...]:
        plan = tables.plan.c
        return await self.documents.read(
            sa.select(plan.document).where(
                plan.salon_id == self.documents.salon, plan.state == RunState.RUNNING.value
            )
        )


class FinishedTable:
    """Finished visits of one salon's leads."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        self.connection, self.salon, self.touch = connection, salon, touch
        self.columns = tables.finished_visit.c

    def _documents(self, staff: str) -> DocumentTable[FinishedVisitRecord]:
        return DocumentTable(
            self.connection,
            self.salon,
            tables.finished_visit,
            FinishedVisitRecord,
            name=lambda record: record.id,
            touch=self.touch,
            columns=lambda _: {"staff_id": staff},
        )

    async def add(self, staff: str, record: FinishedVisitRecord) -> None:
        await self._documents(staff).add(record)

    async def of(self, staff: str) -> tuple[FinishedVisitRecord, ...]:
        return await self._documents(staff).read(self._by(staff))

    async def page_of(
        self, staff: str, *, after: str | None, limit: int
    ) -> tuple[FinishedVisitRecord, ...]:
        query = self._by(staff).limit(limit)
        if after is not None:
            query = query.where(self.columns.id > after)
        return await self._documents(staff).read(query)

    async def remove(self, staff: str, name: str) -> bool:
        removed = await self.connection.execute(
            sa.delete(tables.finished_visit)
            .where(
                self.columns.salon_id == self.salon,
                self.columns.staff_id == staff,
                self.columns.id == name,
            )
            .returning(self.columns.document)
        )
        row = removed.first()
        if row is not None:
            self.touch.tell(tables.finished_visit, name, row[0], None)
        return row is not None

    def _by(self, staff: str) -> sa.Select[Any]:
        query = sa.select(self.columns.document).where(
            self.columns.salon_id == self.salon, self.columns.staff_id == staff
        )
        return query.order_by(self.columns.id)


class SqlUnitOfWork:
    """The repositories of one transaction. What concerns the book raises its revision once."""

    def __init__(
        self, connection: AsyncConnection, salon: str, revision: int, now: datetime
    ) -> None:
        self.connection = connection
        self.salon_id = salon
        self.revision = revision
        self.now = now
        self.touched = False
        book = (connection, salon)
        self.journal = Journal()
        self._touch = Pen(self.journal, self._count)
        aside = Pen(self.journal)  # the menu and the shelf are no part of the book
        self.chairs = DocumentTable(
            *book, tables.chair, Chair, name=lambda chair: chair.id, touch=self._touch
        )
        self.staff = DocumentTable(
            *book, tables.staff, StaffMember, name=lambda person: person.id, touch=self._touch
        )
        self.rules = DocumentTable(
            *book, tables.rule, RuleSetting, name=lambda rule: rule.key, touch=self._touch
        )
        self.menu = DocumentTable(
            *book, tables.menu_entry, MenuEntry, name=lambda entry: entry.id, touch=aside
        )
        self.rates = DocumentTable(
            *book, tables.rate, RateOverride, name=lambda rate: rate.code, touch=aside
        )
        self.finished = FinishedTable(*book, aside)
        self.materials = DocumentTable(
            *book, tables.material, Material, name=lambda material: material.id, touch=aside
        )
        self.stock = DocumentTable(
            *book, tables.stock, StockLine, name=lambda line: line.material, touch=aside
        )
        self.shifts = SpanTable(
            *book,
            tables.shift,
            Shift,
            name=lambda shift: shift.id,
            touch=self._touch,
            owner=lambda shift: shift.staff,
            owner_column="staff_id",
            window=lambda shift: shift.window,
        )
        self.closures = SpanTable(
            *book,
            tables.closure,
            Closure,
            name=lambda closure: closure.id,
            touch=self._touch,
            owner=lambda closure: closure.chair,
            owner_column="chair_id",
            window=lambda closure: closure.window,
        )
        self.bookings = BookingTable(*book, self._touch)
        self.breaks = BreakTable(*book, self._touch)
        self.holds = HoldTable(*book, now, self._touch)
        self.offers = OfferTable(*book, aside)
        self.plans = PlanTable(*book, aside)
        self.jobs = JobTable(*book)
        self.webhooks = WebhookTable(*book, now, aside)
        self.answers = AnswerTable(*book)
        self.changes = ChangeTable(*book)
        self.tokens = TokenTable(*book, aside)
        self.sessions = SessionTable(*book)
        self.clients = ClientTable(*book, self._touch)
        self.clocks = ClockTable(*book, aside)
        self.turned_away = TurnedAwayTable(*book, aside)
        self.ledger = LedgerTable(*book, now)
        self.feeds = FeedTable(*book, aside)
        self.repairs = DocumentTable(
            *book,
            tables.repair,
            RepairRecord,
            name=lambda repair: repair.id,
            touch=aside,
            tells=lambda repair: {"state": repair.run.state.value},
        )

    async def salon(self) -> Versioned[Salon] | None:
        found = await self.connection.execute(
            sa.select(tables.salon.c.document, tables.salon.c.version).where(
                tables.salon.c.id == self.salon_id
            )
        )
        row = found.first()
        if row is None or row[0] is None:
            return None
        return Versioned(from_json(Salon, row[0]), row[1])

    async def put_salon(self, salon: Salon) -> int:
        self._touch()
        before = await self.salon()
        self._touch.tell(
            tables.salon,
            self.salon_id,
            None if before is None else to_json(before.document),
            to_json(salon),
        )
        written = await self.connection.execute(
            sa.update(tables.salon)
            .where(tables.salon.c.id == self.salon_id)
            .values(document=to_json(salon), version=tables.salon.c.version + 1)
            .returning(tables.salon.c.version)
        )
        return int(written.scalar_one())

    async def prune(self, before: datetime) -> int:
        return await prune(self.connection, self.salon_id, before)

    async def close(self) -> None:
        """Count the change, write events and the record, as the last thing before the commit."""
        await put_out(self.connection, self.salon_id, self.journal.entries, self.now)
        await self.journal.flush(self.connection, self.salon_id, self.now)
        if self.touched:
            await self.connection.execute(
                sa.update(tables.salon)
                .where(tables.salon.c.id == self.salon_id)
                .values(revision=self.revision + 1)
            )

    def _count(self) -> None:
        self.touched = True


class HeldUnit:
    """A unit of work whose block has ended, and whose transaction waits for its answer."""

    def __init__(self, unit: SqlUnitOfWork, transaction: AsyncExitStack) -> None:
        self.unit = unit
        self.transaction = transaction

    async def commit(self) -> None:
        async with self.transaction:
            await self.unit.close()

    async def give_up(self) -> None:
        try:
            async with self.transaction:
                raise _GivenUpError
        except _GivenUpError:
            pass


class _GivenUpError(Exception):
    """Rolls a transaction back."""


_NO_REVISION = count(-1, -1)
"""Revisions of books that are not committed: nothing that is kept by revision may match them."""


class SqlStore:
    """Units of work over SQLite or PostgreSQL. `prepare` before the first."""

    def __init__(self, engines: Engines, salon: str, clock: Clock | None = None) -> None:
        self.engines = engines
        self.salon = salon
        self.clock = clock or SystemClock()
        self.leases = LeaseTable(engines, salon)
        self.deliveries = DeliveryTable(engines, salon)

    async def prepare(self, *, migrate_first: bool) -> None:
        """Bring the tables up, and give the salon its row. Doing it again changes nothing."""
        if migrate_first:
            await migrate.upgrade(self.engines.writer)
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                await connection.run_sync(self._lay_salon)

    def _lay_salon(self, connection: sa.Connection) -> None:
        row = tables.salon
        if connection.scalar(sa.select(row.c.id).where(row.c.id == self.salon)) is None:
            connection.execute(sa.insert(row).values(id=self.salon, revision=0, version=0))

    @asynccontextmanager
    async def reading(self) -> AsyncIterator[SqlUnitOfWork]:
        keeping = KEEPING.get()
        if keeping is not None and isinstance(keeping.unit, SqlUnitOfWork):
            # What this request has written is seen by it before it is committed.
            with in_our_words():
                yield SqlUnitOfWork(
                    keeping.unit.connection, self.salon, next(_NO_REVISION), self.clock.now()
                )
            return
        with in_our_words():
            async with self.engines.reader.begin() as connection:
                revision = await self._revision(connection)
                yield SqlUnitOfWork(connection, self.salon, revision, self.clock.now())

    @asynccontextmanager
    async def writing(self) -> AsyncIterator[SqlUnitOfWork]:
        keeping = KEEPING.get()
        if keeping is not None and isinstance(keeping.unit, SqlUnitOfWork):
            told = keeping.unit.journal.entries[:]
            try:
                with in_our_words():
                    async with keeping.unit.connection.begin_nested():
                        yield keeping.unit
            except BaseException:
                keeping.unit.journal.entries = told
                raise
            return
        async with AsyncExitStack() as transaction:
            unit = await self._begun(transaction)
            while await unit.holds.let_go():
                # A change of the book like any other, and committed by itself: a transaction that
                # finds the book changed by it would undo it.
                await unit.close()
                await transaction.aclose()
                unit = await self._begun(transaction)
            if keeping is not None:
                await keeping.require_fresh(unit)
            yield unit
            if keeping is None:
                await unit.close()
            else:
                keeping.hold(unit, HeldUnit(unit, transaction.pop_all()))

    async def let_go(self) -> None:
        """Let go of holds whose time is over, as every writing does before it begins."""
        keeping = KEEPING.get()
        if keeping is None or keeping.unit is None:
            async with AsyncExitStack() as transaction:
                unit = await self._begun(transaction)
                await unit.holds.let_go()
                await unit.close()

    async def _begun(self, transaction: AsyncExitStack) -> SqlUnitOfWork:
        """A unit of work that ends with `transaction`."""
        transaction.enter_context(in_our_words())
        connection = await transaction.enter_async_context(self.engines.writer.begin())
        # The salon's row is locked first, so its writers queue: exclusion constraints deadlock
        # when transactions insert several rows side by side. SQLite, which has no row locks, has
        # queued them at BEGIN IMMEDIATE.
        revision = await self._revision(connection, lock=True)
        return SqlUnitOfWork(connection, self.salon, revision, self.clock.now())

    async def level(self) -> Level:
        with in_our_words():
            async with self.engines.reader.begin() as connection:
                return Level(await connection.run_sync(migrate.found), migrate.wanted())

    async def scrub(self) -> None:
        """SQLite overwrites what is deleted; its log of writes is emptied here. A PostgreSQL drops
        old rows when it vacuums. Documents in this process's memory are let go of.
        """
        forget_read()
        if self.engines.writer.dialect.name != "sqlite":
            return
        with in_our_words():
            async with self.engines.writer.connect() as connection:
                driver = (await connection.get_raw_connection()).driver_connection
                if driver is not None:
                    await driver.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    async def close(self) -> None:
        await self.engines.dispose()

    async def _revision(self, connection: AsyncConnection, *, lock: bool = False) -> int:
        query = sa.select(tables.salon.c.revision).where(tables.salon.c.id == self.salon)
        if lock:
            query = query.with_for_update()
        return int((await connection.execute(query)).scalar_one())
