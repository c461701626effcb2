"""Sessions: a browser that was shown a token once, and carries a cookie since.

The cookie's text is 256 random bits, kept as a digest like a token. What proves that a change was
asked for by a page of ours is derived from that text, so there is nothing more to keep, and whoever
reads the one cannot tell the other.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from datetime import timedelta

from api.clock import Clock
from api.services.callers import Caller
from api.services.errors import UnknownCallerError
from api.services.ports import Store
from api.services.tokens import digest_of, is_good

_UNKNOWN = "the token is unknown, has expired or was revoked"


class Sessions:
    """`length` is how long one lasts; it is over before that where its token is."""

    def __init__(self, store: Store, clock: Clock, length: timedelta) -> None:
        self.store = store
        self.clock = clock
        self.length = length

    async def begin(self, token: str, before: str | None = None) -> str:
        """The cookie's text of a new session, in place of the one `before`.

        Raises UnknownCallerError where the token is none of this salon's, or good no more.
        """
        text = secrets.token_urlsafe(32)
        now = self.clock.now()
        async with self.store.writing() as unit:
            kept = await unit.tokens.find(digest_of(token))
            if kept is None or not is_good(kept, now):
                raise UnknownCallerError(_UNKNOWN, sent=True)
            await unit.sessions.forget(now)
            if before is not None:
                await unit.sessions.remove(digest_of(before))
            await unit.sessions.add(digest_of(text), kept.name, now + self.length)
        return text

    async def caller(self, text: str, operation: str | None) -> Caller:
        """Who is signed in. Raises UnknownCallerError where the session or its token is over."""
        now = self.clock.now()
        async with self.store.reading() as unit:
            token = await unit.sessions.find(digest_of(text), now)
        if token is None or not is_good(token, now):
            raise UnknownCallerError("sign in again", sent=True)
        return Caller(token.name, token.role, operation, token.staff)

    async def end(self, text: str) -> None:
        """Ending it again changes nothing."""
        async with self.store.writing() as unit:
            await unit.sessions.remove(digest_of(text))


def proof_of(session: str) -> str:
    """What a form or a script of our own pages says beside the cookie."""
    return hmac.new(session.encode(), b"a page of ours", hashlib.sha256).hexdigest()


def is_proof(stated: str, session: str) -> bool:
    return hmac.compare_digest(stated.encode(), proof_of(session).encode())
