"""Logs: one line for each request, as JSON, with chosen fields and nothing that a client said.

No path, no query and no body is written, since they may hold what is personal: a request is told by
its operation and by an id, which the answer carries too.
"""

from __future__ import annotations

import logging
import re
import time
from typing import Any
from uuid import uuid4

import structlog
from litestar.datastructures import Headers, MutableScopeHeaders
from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, Message, Receive, Scope, Send
from structlog.types import Processor

from api.paths import operation_of
from api.services.callers import Caller

HEADER = "X-Request-Id"
FIELDS = ("request", "method", "operation", "status", "ms", "who", "role")
"""Nothing else that is handed to a logger is written."""
_ID = re.compile(r"^[A-Za-z0-9-]{1,64}$", re.ASCII)
_log = logging.getLogger("partline.requests")


class Stamped(ASGIMiddleware):
    """Gives each request its id, or keeps the one that a proxy gave it, and notes its start."""

    scopes = (ScopeType.HTTP,)

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        stated = Headers.from_scope(scope).get(HEADER, "")
        name = stated if _ID.match(stated) else uuid4().hex
        scope["state"] |= {"request": name, "begun": time.perf_counter()}
        with structlog.contextvars.bound_contextvars(request=name):
            await next_app(scope, receive, send)


async def log_answer(message: Message, scope: Scope) -> None:
    """A hook: one line when an answer begins, and the request's id among its headers."""
    if message["type"] != "http.response.start" or scope["type"] != ScopeType.HTTP:
        return
    state = scope["state"]
    name = state.get("request") or uuid4().hex
    MutableScopeHeaders.from_message(message)[HEADER] = name
    told: dict[str, Any] = {
        "request": name,
        "method": scope["method"],
        "operation": operation_of(scope),
        "status": message["status"],
    }
    if "begun" in state:
        told["ms"] = round((time.perf_counter() - state["begun"]) * 1000, 1)
    caller = state.get("caller")
    if isinstance(caller, Caller):
        told |= {"who": caller.name, "role": caller.role}
    _log.info("answered", extra=told)


def logging_of(*, readable: bool) -> dict[str, Any]:
    """The configuration of all logging, on standard error: JSON, or coloured words to read."""
    shared: list[Processor] = [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.ExtraAdder(allow=FIELDS),
        structlog.stdlib.add_log_level,
        structlog.stdlib.add_logger_name,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
    ]
    render: list[Processor] = (
        [structlog.dev.ConsoleRenderer()]
        if readable
        else [structlog.processors.format_exc_info, structlog.processors.JSONRenderer()]
    )
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "lines": {
                "()": structlog.stdlib.ProcessorFormatter,
                "foreign_pre_chain": shared,
                "processors": [
                    structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                    *render,
                ],
            }
        },
        "handlers": {
            "stderr": {
                "class": "logging.StreamHandler",
                "stream": "ext://sys.stderr",
                "formatter": "lines",
            }
        },
        "loggers": {
            "uvicorn": {"level": "INFO"},
            # It writes paths with their queries; our own line says what is needed.
            "uvicorn.access": {"level": "CRITICAL", "propagate": False},
        },
        "root": {"level": "INFO", "handlers": ["stderr"]},
    }
