"""What the services need to have runs carried out: jobs, leases of them, and a queue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

from api.services.callers import Caller
from schemas.runs import PlanProgress

if TYPE_CHECKING:
    from api.services.ports import Asked


class Kind(StrEnum):
    """What a job makes."""

    PLAN = "plan"
    REPAIR = "repair"


class JobState(StrEnum):
    WAITING = "waiting"
    """Nobody has taken it yet, or whoever had it gave it back."""
    RUNNING = "running"
    """Somebody has it, for as long as the lease holds."""
    ENDED = "ended"


@dataclass(frozen=True)
class Job:
    """A run that somebody must carry out; its name is the run's.

    Whoever carries it out has a lease of it and renews that. Once a lease has run out, another may
    take the job: only the attempt that is the newest can end it.
    """

    name: str
    kind: Kind
    state: JobState
    attempt: int
    """How often it has been taken."""
    caller: Caller
    """Who ordered it: on whose behalf it changes the book."""
    unwanted: bool
    """Somebody wants it to end with the best so far."""
    age: float
    """Seconds since it was ordered."""
    heard: PlanProgress | None


class Jobs(Protocol):
    """Jobs in the transaction of the run that they make."""

    async def add(self, name: str, kind: Kind, caller: Caller, asked: Asked | None) -> None:
        """Put it among those that wait; `asked` is the keyed request that ordered it."""
        ...

    async def get(self, name: str) -> Job | None: ...

    async def count_open(self, kind: Kind) -> int:
        """How many wait or run."""
        ...

    async def end(self, name: str, attempt: int | None) -> bool:
        """End it, if it is still that attempt's; None: if nobody has taken it."""
        ...

    async def disown(self, name: str) -> None:
        """The request that ordered it may be told again, and orders another then."""
        ...

    async def ordered_by(self, who: str, key: str, within: timedelta) -> tuple[str, str] | None:
        """The newest job that a request with this key ordered, and the request's digest."""
        ...


class Leases(Protocol):
    """Jobs between transactions. Time is told by the database, which all processes share."""

    async def take(self, kind: Kind, seconds: float, name: str | None = None) -> Job | None:
        """The job that waits longest, or that one; None where there is none to be had."""
        ...

    async def renew(self, job: Job, seconds: float, heard: PlanProgress | None) -> bool | None:
        """Keep it for so long; whether it is unwanted now; None where it is another's by now."""
        ...

    async def give_back(self, job: Job) -> None:
        """It waits for another."""
        ...

    async def stop_wanting(self, name: str) -> None: ...

    async def to_be_had(self) -> tuple[tuple[str, Kind, float], ...]:
        """Name, kind and seconds since the order of jobs that wait, or whose lease ran out."""
        ...


class Queue(Protocol):
    """Where jobs are handed to workers. The store keeps what they are; it can lose them."""

    async def is_manned(self) -> bool:
        """Whether it answers, and a worker is there."""
        ...

    async def put(self, salon: str, name: str, kind: Kind) -> None:
        """Hand a job to the workers; one that they have already is not handed twice.

        Raises QueueUnavailableError.
        """
        ...

    async def close(self) -> None: ...
