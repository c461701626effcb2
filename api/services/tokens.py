"""Tokens: made by the owner on the command line, shown once, kept as digests.

A token is 256 random bits, so a plain SHA-256 of it cannot be turned back or guessed; there is
nothing for salt or slow hashing to protect.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from api.clock import Clock
from api.services.callers import Caller, Role
from api.services.errors import (
    AlreadyThereError,
    NotFoundError,
    UnknownCallerError,
    UnprocessableError,
)
from api.services.ports import KeptToken, Store
from solver.errors import Fault

PREFIX = "partline_"
"""So that a token in the wrong place is known for what it is."""
LONGEST_DAYS = 3_660


def digest_of(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


class Tokens:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def make(self, name: str, role: Role, *, staff: str | None, days: int) -> str:
        """A token, told this once. `staff` is the person a stylist is; `days` until it expires.

        Raises UnprocessableError, NotFoundError for a person who is not there, AlreadyThereError
        for a name that was given before, to a token revoked since too: the record speaks of it.
        """
        if not 1 <= days <= LONGEST_DAYS:
            raise UnprocessableError(Fault("days", f"must be from 1 to {LONGEST_DAYS}"))
        if (staff is None) is (role is Role.STYLIST):
            raise UnprocessableError(
                Fault("staff", "must be stated for a stylist, and for nobody else")
            )
        text = PREFIX + secrets.token_urlsafe(32)
        now = self.clock.now()
        token = KeptToken(name, role, staff, now, now + timedelta(days=days), None)
        try:
            async with self.store.writing() as unit:
                if staff is not None and await unit.staff.get(staff) is None:
                    raise NotFoundError("person", staff)
                await unit.tokens.add(token, digest_of(text))
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a token {name} already") from taken
        return text

    async def all(self) -> tuple[KeptToken, ...]:
        async with self.store.reading() as unit:
            return await unit.tokens.all()

    async def revoke(self, name: str) -> None:
        """It is refused from now on; revoking it again changes nothing."""
        async with self.store.writing() as unit:
            if not await unit.tokens.revoke(name, self.clock.now()):
                raise NotFoundError("token", name)

    async def caller(self, text: str, operation: str | None) -> Caller:
        """Whose token it is. Raises UnknownCallerError where it is none of this salon's."""
        async with self.store.reading() as unit:
            token = await unit.tokens.find(digest_of(text))
        if token is None or not is_good(token, self.clock.now()):
            raise UnknownCallerError("the token is unknown, has expired or was revoked", sent=True)
        return Caller(token.name, token.role, operation, token.staff)


def is_good(token: KeptToken, now: datetime) -> bool:
    return token.revoked_at is None and now < token.expires_at
