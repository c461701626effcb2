"""Why a service refuses.

ServiceError
├── NotFoundError          no such thing in this salon
├── ConflictError          it does not go with what is there already
│   ├── AlreadyThereError  the name is taken
│   ├── NotSetUpError      something must be told to the salon first
│   ├── BookChangedError   the book is no longer the one the answer was made from
│   ├── DoubleBookedError  a chair, a basin or a person would be in two places
│   ├── OpeningGoneError   the opening cannot be had any more; carries fresh ones
│   └── AnsweredMeanwhileError  the same request was carried out by another process
├── UnknownCallerError     no token, or none that is good
├── NotAllowedError        the token's role may not do it; carries the roles that may
├── ForeignRequestError    a browser was led to ask by a page of somebody else
├── StaleError             the edit was made on an older version
├── UnseenError            the edit does not say on which version it was made
├── TooManyError           the caller has asked too often; carries the seconds to wait
├── UnprocessableError     a field cannot be right; carries faults with JSON pointers
├── RunFailedError         a run that was waited for has failed; carries its problem
├── StoreUnavailableError  the database does not answer, or is too busy
└── QueueUnavailableError  the queue of jobs does not answer
"""

from __future__ import annotations

from schemas.openings import Opening
from schemas.problems import Problem
from solver.errors import Fault


class ServiceError(Exception):
    """Root of what a service refuses; the message is a sentence for people."""


class NotFoundError(ServiceError):
    """No such thing in this salon."""

    def __init__(self, what: str, name: str) -> None:
        super().__init__(f"there is no {what} {name}")


class ConflictError(ServiceError):
    """It does not go with what is there already."""


class AlreadyThereError(ConflictError):
    """The name is taken."""


class NotSetUpError(ConflictError):
    """Something must be told to the salon first."""


class BookChangedError(ConflictError):
    """The book is no longer the one the answer was made from."""


class DoubleBookedError(ConflictError):
    """A chair, a basin or a person would be in two places at once."""


class OpeningGoneError(ConflictError):
    """The opening cannot be had any more."""

    def __init__(self, message: str, openings: tuple[Opening, ...]) -> None:
        self.openings = openings
        super().__init__(message)


class AnsweredMeanwhileError(ConflictError):
    """The same request, told twice, was carried out by another process."""


class UnknownCallerError(ServiceError):
    """No token was sent, or none that is good."""

    def __init__(self, message: str, *, sent: bool) -> None:
        self.sent = sent
        super().__init__(message)


class NotAllowedError(ServiceError):
    """The token's role may not do it."""

    def __init__(self, message: str, roles: tuple[str, ...]) -> None:
        self.roles = roles
        super().__init__(message)


class ForeignRequestError(ServiceError):
    """A browser was led to ask by a page of somebody else."""


class StaleError(ServiceError):
    """The edit was made on an older version."""


class UnseenError(ServiceError):
    """The edit does not say on which version it was made."""


class TooManyError(ServiceError):
    """The caller has asked too often."""

    def __init__(self, per_minute: int, seconds: int) -> None:
        self.seconds = seconds
        super().__init__(f"more than {per_minute} requests in a minute: wait {seconds} s")


class UnprocessableError(ServiceError):
    """A field cannot be right."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.pointer}: {fault.detail}" for fault in faults))

    def __reduce__(self) -> tuple[type[UnprocessableError], tuple[Fault, ...]]:
        # From one process to another it goes by its faults, which its sentence is made of.
        return type(self), self.faults


class RunFailedError(ServiceError):
    """A run that was waited for has failed."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.detail)


class StoreUnavailableError(ServiceError):
    """The database does not answer, or is too busy."""


class QueueUnavailableError(ServiceError):
    """The queue of jobs does not answer."""
