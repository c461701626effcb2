"""What the database says, in the words of the services."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc

from api.services.errors import (
    AlreadyThereError,
    ConflictError,
    DoubleBookedError,
    ServiceError,
    StoreUnavailableError,
)

GUARD = "double booking"
"""What the guard on `occupancy` says in SQLite."""

# PostgreSQL, appendix A: error codes.
_EXCLUSION, _UNIQUE, _FOREIGN_KEY, _CHECK = "23P01", "23505", "23503", "23514"
_TRY_AGAIN = {"40001", "40P01", "55P03"}
_AWAY = ("08", "53", "57")
"""Classes: the connection broke; it has no room; it stops, has crashed or is starting."""


@contextmanager
def in_our_words() -> Iterator[None]:
    """Turns what SQLAlchemy raises into a ServiceError where it is one; the rest passes."""
    try:
        yield
    except exc.IntegrityError as refused:
        raise _refusal(refused) from refused
    except exc.TimeoutError as busy:
        raise StoreUnavailableError("the database is too busy; try again") from busy
    except (exc.OperationalError, exc.InterfaceError) as broken:
        raise StoreUnavailableError("the database does not answer; try again") from broken
    except exc.DBAPIError as error:
        state = _state(error) or ""
        if state.startswith(_AWAY) or error.connection_invalidated:
            raise StoreUnavailableError("the database does not answer; try again") from error
        if state in _TRY_AGAIN:
            raise StoreUnavailableError("the database is too busy; try again") from error
        raise
    except OSError as unreachable:
        raise StoreUnavailableError("the database does not answer; try again") from unreachable


def _state(error: exc.DBAPIError) -> str | None:
    return getattr(error.orig, "sqlstate", None)


def _refusal(refused: exc.IntegrityError) -> ServiceError:
    state, words = _state(refused), str(refused.orig)
    if state == _EXCLUSION or GUARD in words:
        return DoubleBookedError("a chair, a basin or a person is taken at that time")
    if state == _UNIQUE or "UNIQUE constraint" in words:
        return AlreadyThereError("the name is taken already")
    if state == _FOREIGN_KEY or "FOREIGN KEY constraint" in words:
        return ConflictError(
            "it names something that is not there, or something else still needs it"
        )
    if state == _CHECK or "CHECK constraint" in words:
        return ConflictError("it breaks what always holds in the book")
    return ConflictError("the database refuses it")
