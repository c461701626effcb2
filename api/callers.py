"""Who asks: bearer tokens (RFC 6750), and which role may do what.

Nothing of a request is read before its token is known and may do what is asked.
"""

from __future__ import annotations

import re

from litestar.datastructures import Headers
from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, Receive, Scope, Send

from api.services.callers import ANYBODY, CALLER, Caller
from api.services.desk import Desk
from api.services.errors import NotAllowedError, UnknownCallerError
from api.services.permits import OPEN, require_allowed

# RFC 6750, section 2.1.
_BEARER = re.compile(r"^bearer +([A-Za-z0-9\-._~+/]{1,200}=*)$", re.ASCII | re.IGNORECASE)


class Known(ASGIMiddleware):
    """Names the caller of each request; with `required`, by a token whose role may do it."""

    scopes = (ScopeType.HTTP,)

    def __init__(self, *, required: bool) -> None:
        self.required = required

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        caller = await self._caller(scope)
        scope["state"]["caller"] = caller
        token = CALLER.set(caller)
        try:
            await next_app(scope, receive, send)
        finally:
            CALLER.reset(token)

    async def _caller(self, scope: Scope) -> Caller:
        operation = operation_of(scope)
        if not self.required or operation in OPEN or _only_describes(scope):
            return Caller(ANYBODY, operation=operation)
        desk: Desk = scope["litestar_app"].state.desk
        caller = await desk.tokens.caller(_token(scope), operation)
        scope["state"]["caller"] = caller
        person = scope["path_params"].get("id")
        require_allowed(caller, None if person is None else str(person))
        return caller


def _only_describes(scope: Scope) -> bool:
    """The description, what pages load, and OPTIONS tell nothing of the salon."""
    within = scope["path_template"].startswith("/v1/") or operation_of(scope) is not None
    return not within or (scope["type"] == ScopeType.HTTP and scope["method"] == "OPTIONS")


def _token(scope: Scope) -> str:
    stated = Headers.from_scope(scope).get("authorization")
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


def operation_of(scope: Scope) -> str | None:
    """The operation id of the path that was found; None of what is no operation."""
    name = getattr(scope.get("route_handler"), "operation_id", None)
    return name if isinstance(name, str) else None


def challenge(error: UnknownCallerError | NotAllowedError) -> dict[str, str]:
    """The header that says what is asked for (RFC 9110, 11.6.1; RFC 6750, section 3)."""
    told = 'Bearer realm="partline"'
    if isinstance(error, NotAllowedError):
        told += f', error="insufficient_scope", scope="{" ".join(error.roles)}"'
    elif error.sent:
        told += ', error="invalid_token"'
    return {"WWW-Authenticate": told}
