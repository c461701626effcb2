"""What the services need of a store, in the words of the salon.

A unit of work is one transaction: `async with store.writing() as unit:` commits when the block
ends and rolls back when it raises. What the store cannot do it says by `api.services.errors`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import AbstractAsyncContextManager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Generic, Protocol, TypeVar

from api.services.callers import Role
from api.services.client_ports import ClientsKept
from api.services.hold_ports import Holds, Offers
from api.services.job_ports import Jobs, Leases
from api.services.session_ports import Sessions
from api.services.webhook_ports import Deliveries, Webhooks
from schemas.base import Document
from schemas.booking import BookingStatus
from schemas.changes import Change
from schemas.dealings import BookingRecord
from schemas.feeds import FeedKind
from schemas.finished import FinishedVisitRecord
from schemas.hair import Material, StockLine
from schemas.ledger import EntryKind, StockEntry
from schemas.plan import PlannedBreak
from schemas.resources import Chair, Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.runs import PlanRun, RepairRecord
from schemas.salon import Closure, Salon
from schemas.style import MenuEntry
from schemas.takeoff import RateOverride
from schemas.visit_clock import VisitClock
from schemas.week_reports import TurnedAwayRecord
from schemas.windows import TimeWindow

D = TypeVar("D", bound=Document)


@dataclass(frozen=True)
class Versioned(Generic[D]):
    """A document and how often it has been written."""

    document: D
    version: int


@dataclass(frozen=True)
class Occupied:
    """One thing that one visit or break takes for a stretch of time.

    `resource` is `chair:<id>`, `basin:<id>` or `staff:<id>`.
    """

    resource: str
    window: TimeWindow


class Documents(Protocol[D]):
    """Documents of one kind, by name."""

    async def get(self, name: str) -> Versioned[D] | None: ...

    async def page(self, *, after: str | None = None, limit: int) -> tuple[D, ...]:
        """At most `limit` documents whose names follow `after`, in order of their names."""
        ...

    async def all(self) -> tuple[D, ...]: ...

    async def add(self, document: D) -> None:
        """Raises AlreadyThereError when the name is taken."""
        ...

    async def put(self, document: D) -> int:
        """Add it, or replace the one of that name; the new version."""
        ...

    async def remove(self, name: str) -> bool: ...


class Spans(Documents[D], Protocol[D]):
    """Documents that hold for a window of time and belong to someone."""

    async def during(self, window: TimeWindow, owner: str | None = None) -> tuple[D, ...]:
        """Those that overlap the window, in order of time."""
        ...

    async def page_of(
        self, owner: str, *, window: TimeWindow | None, after: str | None, limit: int
    ) -> tuple[D, ...]: ...


class Bookings(Protocol):
    """The book itself: who comes, and what of the salon that takes."""

    async def get(self, name: str) -> Versioned[BookingRecord] | None: ...

    async def add(self, record: BookingRecord) -> None: ...

    async def put(self, record: BookingRecord) -> int: ...

    async def page(
        self,
        *,
        window: TimeWindow | None,
        status: BookingStatus | None,
        after: str | None,
        limit: int,
    ) -> tuple[BookingRecord, ...]: ...

    async def versions(self, window: TimeWindow) -> tuple[Versioned[BookingRecord], ...]:
        """Those with a place, or called off, that touch the window, with how often written."""
        ...

    async def placed(self, window: TimeWindow) -> tuple[BookingRecord, ...]:
        """Those with a place that overlaps the window."""
        ...

    async def waiting(self, window: TimeWindow) -> tuple[BookingRecord, ...]:
        """Those without a place that would like to come in the window."""
        ...

    async def next_start(self, instant: datetime) -> datetime | None:
        """When the first one with a place begins, at the instant or after."""
        ...

    async def free(self, names: Iterable[str]) -> None:
        """Give back all that these bookings take of the salon."""
        ...

    async def occupy(self, name: str, rows: Sequence[Occupied]) -> None:
        """Take what one booking needs. Raises DoubleBookedError when any of it is taken."""
        ...


class Breaks(Protocol):
    """Breaks that are on the book."""

    async def during(self, window: TimeWindow) -> tuple[PlannedBreak, ...]: ...

    async def clear(self, window: TimeWindow, staff: Iterable[str] | None = None) -> None:
        """Withdraw the breaks of these people, or of all, that start in the window."""
        ...

    async def clear_inside(self, visit: str) -> None:
        """Withdraw the breaks that lie inside one visit."""
        ...

    async def add(self, breaks: Sequence[PlannedBreak]) -> None:
        """Raises DoubleBookedError when someone is at work then."""
        ...


class Plans(Protocol):
    async def get(self, name: str) -> PlanRun | None: ...

    async def put(self, run: PlanRun) -> None: ...

    async def running(self) -> tuple[PlanRun, ...]: ...


class Finished(Protocol):
    """Finished visits, by the person who led them."""

    async def add(self, staff: str, record: FinishedVisitRecord) -> None:
        """Raises AlreadyThereError when the name is taken."""
        ...

    async def of(self, staff: str) -> tuple[FinishedVisitRecord, ...]: ...

    async def page_of(
        self, staff: str, *, after: str | None, limit: int
    ) -> tuple[FinishedVisitRecord, ...]: ...

    async def remove(self, staff: str, name: str) -> bool: ...


@dataclass(frozen=True)
class Asked:
    """A request that may be told twice: who, with which key, and the digest of what."""

    who: str
    key: str
    fingerprint: str


@dataclass(frozen=True)
class Answer:
    """What a request was answered."""

    status: int
    headers: dict[str, str]
    body: str


class Answers(Protocol):
    """Answers to requests with a key."""

    async def get(self, who: str, key: str, since: datetime) -> tuple[str, Answer] | None:
        """The fingerprint and the answer of a request that came after `since`."""
        ...

    async def put(self, asked: Asked, answer: Answer, now: datetime) -> None: ...

    async def forget(self, before: datetime) -> None:
        """Drop the answers that are older."""
        ...


class Changes(Protocol):
    """The record of changes. It is written by the store itself, with whatever it records."""

    async def page(
        self,
        *,
        kind: str | None,
        name: str | None,
        who: str | None,
        window: TimeWindow | None,
        after: int | None,
        limit: int,
    ) -> tuple[Change, ...]:
        """The newest first; `after` is a number, and the page goes on with older ones."""
        ...


@dataclass(frozen=True)
class KeptToken:
    """What is kept of a token, which is not the token."""

    name: str
    role: Role
    staff: str | None
    made_at: datetime
    expires_at: datetime
    revoked_at: datetime | None


class Tokens(Protocol):
    """Tokens by their digests."""

    async def add(self, token: KeptToken, digest: str) -> None:
        """Raises AlreadyThereError when the name is taken."""
        ...

    async def find(self, digest: str) -> KeptToken | None: ...

    async def all(self) -> tuple[KeptToken, ...]: ...

    async def revoke(self, name: str, now: datetime) -> bool:
        """False where there is none of that name."""
        ...


class Clocks(Documents[VisitClock], Protocol):
    """What was tapped of visits, by booking."""

    async def of(self, names: Iterable[str]) -> dict[str, VisitClock]: ...


class TurnedAway(Documents[TurnedAwayRecord], Protocol):
    """Requests that found no opening."""

    async def during(self, window: TimeWindow) -> tuple[TurnedAwayRecord, ...]:
        """Those whose first window begins in this one."""
        ...


@dataclass(frozen=True)
class LedgerEntry:
    """An entry to be written into the stock ledger, in milligrams."""

    kind: EntryKind
    material: str
    on_hand: int = 0
    on_order: int = 0
    arrives: date | None = None
    reason: str | None = None
    booking: str | None = None
    expected: int | None = None


@dataclass(frozen=True)
class Balance:
    """What the entries of one material add up to, in milligrams."""

    on_hand: int
    on_order: dict[date, int]
    """By the day it is due; what adds up to nothing is left out."""


class Ledger(Protocol):
    """The stock ledger. What is written stays."""

    async def write(self, entries: Sequence[LedgerEntry]) -> tuple[StockEntry, ...]: ...

    async def page(self, material: str, *, after: int | None, limit: int) -> tuple[StockEntry, ...]:
        """The newest first; `after` is a number, and the page goes on with older ones."""
        ...

    async def balance(self, material: str) -> Balance: ...

    async def used(self, bookings: Iterable[str] | None = None) -> dict[str, dict[str, int]]:
        """Milligrams that visits took, by booking and material; of all visits where none named."""
        ...


@dataclass(frozen=True)
class KeptFeed:
    """What is kept of a calendar feed, which is not its address."""

    id: str
    kind: FeedKind
    subject: str | None
    made_at: datetime
    revoked_at: datetime | None


class Feeds(Protocol):
    """Calendar feeds by the digests of their secrets."""

    async def add(self, feed: KeptFeed, digest: str) -> None:
        """Raises AlreadyThereError when the name is taken."""
        ...

    async def find(self, digest: str) -> KeptFeed | None: ...

    async def all(self) -> tuple[KeptFeed, ...]: ...

    async def revoke(self, name: str, now: datetime) -> bool:
        """False where there is none of that name."""
        ...


class UnitOfWork(Protocol):
    """One transaction. `revision` counts the changes of the book up to its start."""

    @property
    def revision(self) -> int: ...

    @property
    def now(self) -> datetime:
        """The instant at which it began, by which holds are judged."""
        ...

    @property
    def chairs(self) -> Documents[Chair]: ...

    @property
    def staff(self) -> Documents[StaffMember]: ...

    @property
    def menu(self) -> Documents[MenuEntry]: ...

    @property
    def rules(self) -> Documents[RuleSetting]: ...

    @property
    def rates(self) -> Documents[RateOverride]: ...

    @property
    def finished(self) -> Finished: ...

    @property
    def materials(self) -> Documents[Material]: ...

    @property
    def stock(self) -> Documents[StockLine]: ...

    @property
    def shifts(self) -> Spans[Shift]: ...

    @property
    def closures(self) -> Spans[Closure]: ...

    @property
    def bookings(self) -> Bookings: ...

    @property
    def breaks(self) -> Breaks: ...

    @property
    def holds(self) -> Holds: ...

    @property
    def offers(self) -> Offers: ...

    @property
    def plans(self) -> Plans: ...

    @property
    def repairs(self) -> Documents[RepairRecord]: ...

    @property
    def jobs(self) -> Jobs: ...

    @property
    def webhooks(self) -> Webhooks: ...

    @property
    def answers(self) -> Answers: ...

    @property
    def changes(self) -> Changes: ...

    @property
    def tokens(self) -> Tokens: ...

    @property
    def sessions(self) -> Sessions: ...

    @property
    def clients(self) -> ClientsKept: ...

    @property
    def clocks(self) -> Clocks: ...

    @property
    def turned_away(self) -> TurnedAway: ...

    @property
    def ledger(self) -> Ledger: ...

    @property
    def feeds(self) -> Feeds: ...

    async def salon(self) -> Versioned[Salon] | None: ...

    async def put_salon(self, salon: Salon) -> int: ...

    async def prune(self, before: datetime) -> int:
        """Drop runs that ended before, and events that were given up; how many they were."""
        ...


class Store(Protocol):
    """Where units of work come from."""

    @property
    def salon(self) -> str:
        """The salon whose book this is."""
        ...

    @property
    def leases(self) -> Leases: ...

    @property
    def deliveries(self) -> Deliveries: ...

    def reading(self) -> AbstractAsyncContextManager[UnitOfWork]:
        """A consistent view; what is written in it is lost."""
        ...

    def writing(self) -> AbstractAsyncContextManager[UnitOfWork]:
        """One transaction at a time for each salon; committed when the block ends."""
        ...

    async def let_go(self) -> None:
        """Remove holds whose time is over, as every writing does before it begins.

        It counts as a change of the book: call it before reading what is to be written back much
        later, at the same revision.
        """
        ...

    async def scrub(self) -> None:
        """Leave nothing behind of what was erased, as far as the database can see to it at once."""
        ...

    async def level(self) -> Level:
        """How the database stands. Raises StoreUnavailableError when it does not answer."""
        ...


@dataclass(frozen=True)
class Level:
    """The migration the database is at, and the one this version wants."""

    found: str | None
    wanted: str

    @property
    def right(self) -> bool:
        return self.found == self.wanted
