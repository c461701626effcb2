"""Who asks: by a bearer token (RFC 6750), or by the session of a browser that was shown one.

Nothing of a request is read before its caller is known and may do what is asked.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import cast

from litestar.datastructures import Headers
from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, HTTPScope, Receive, Scope, Send
from litestar.utils.scope.state import ScopeState

from api.origins import require_from_here, require_proof, require_this_machine, session_of
from api.paths import asked_of, operation_of
from api.services.callers import ANYBODY, CALLER, Caller
from api.services.desk import Desk
from api.services.errors import NotAllowedError, UnknownCallerError
from api.services.permits import require_allowed
from api.services.sessions import proof_of
from api.throttle import Throttle

# RFC 6750, section 2.1.
TOKEN = r"[A-Za-z0-9\-._~+/]{1,200}=*"  # noqa: S105
_BEARER = re.compile(rf"^bearer +({TOKEN})$", re.ASCII | re.IGNORECASE)


class Known(ASGIMiddleware):
    """Names the caller of each request; with `required`, one whose role may do it."""

    scopes = (ScopeType.HTTP,)

    def __init__(self, throttle: Throttle, *, required: bool) -> None:
        self.throttle = throttle
        self.required = required

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        try:
            caller = await self._caller(cast("HTTPScope", scope), receive)
        except UnknownCallerError:
            await self.throttle.require(address_of(scope))
            raise
        scope["state"]["caller"] = caller
        token = CALLER.set(caller)
        try:
            await next_app(scope, receive, send)
        finally:
            CALLER.reset(token)

    async def _caller(self, scope: HTTPScope, receive: Receive) -> Caller:
        operations = asked_of(scope)
        anybody = Caller(ANYBODY, operation=operation_of(scope))
        if operations is None:
            return anybody
        if not self.required:
            require_this_machine(scope)
            require_from_here(scope)
            return anybody
        stated = Headers.from_scope(scope).get("authorization")
        session = session_of(scope) if stated is None else None
        desk: Desk = scope["litestar_app"].state.desk
        if session is None:
            caller = await desk.tokens.caller(_token(stated), anybody.operation)
        else:
            require_from_here(scope)
            caller = await desk.sessions.caller(session, anybody.operation)
        scope["state"]["caller"] = caller
        await self.throttle.require(caller.name)
        person = scope["path_params"].get("id")
        for operation in operations:
            require_allowed(
                replace(caller, operation=operation), None if person is None else str(person)
            )
        if session is not None:
            await require_proof(scope, receive, session)
            # The framework's templates know it by this: `csrf_input`, `csrf_token()`.
            ScopeState.from_scope(scope).csrf_token = proof_of(session)
        return caller


def address_of(scope: Scope) -> str:
    """From where somebody unknown asks; kept for a minute at most, and not logged."""
    client = scope.get("client")
    return "from " + (client[0] if client else "nowhere")


def _token(stated: str | None) -> str:
    if stated is None:
        raise UnknownCallerError(
            "a token is needed: make one with `partline token make`, and send it as "
            "Authorization: Bearer",
            sent=False,
        )
    found = _BEARER.match(stated.strip())
    if found is None:
        raise UnknownCallerError("Authorization must be Bearer and a token", sent=True)
    return found[1]


def challenge(error: UnknownCallerError | NotAllowedError) -> dict[str, str]:
    """The header that says what is asked for (RFC 9110, 11.6.1; RFC 6750, section 3)."""
    told = 'Bearer realm="partline"'
    if isinstance(error, NotAllowedError):
        told += f', error="insufficient_scope", scope="{" ".join(error.roles)}"'
    elif error.sent:
        told += ', error="invalid_token"'
    return {"WWW-Authenticate": told}
