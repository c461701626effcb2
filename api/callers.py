"""Who asks, for the record and for the keys of requests."""

from __future__ import annotations

from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, Receive, Scope, Send

from api.services.callers import ANYBODY, CALLER, Caller


class Named(ASGIMiddleware):
    """Names the caller of each request."""

    scopes = (ScopeType.HTTP,)

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        caller = Caller(ANYBODY, operation=operation_of(scope))
        scope["user"] = caller
        token = CALLER.set(caller)
        try:
            await next_app(scope, receive, send)
        finally:
            CALLER.reset(token)


def operation_of(scope: Scope) -> str | None:
    """The operation id of the path that was found; None of what is no operation."""
    name = getattr(scope["route_handler"], "operation_id", None)
    return name if isinstance(name, str) else None
