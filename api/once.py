"""The `Idempotency-Key` of requests that change the book.

draft-ietf-httpapi-idempotency-key-header-07: the key is a string of structured fields (RFC 9651),
in double quotes; a key of plain letters and digits is taken without them too. Same key and same
request: the same answer, and no second act. Same key and another request: 422. Of two at once, one
acts and the other waits for its answer. A refusal changes nothing and is not kept.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from typing import cast

from litestar.datastructures import Headers
from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import (
    ASGIApp,
    HTTPReceiveMessage,
    HTTPScope,
    Message,
    Receive,
    ReceiveMessage,
    Scope,
    Send,
)

from api.paths import operation_of
from api.services.callers import CALLER
from api.services.desk import Desk
from api.services.errors import UnprocessableError
from api.services.once import HEADER, KEEPING, Keeping
from api.services.ports import Answer, Asked
from solver.errors import Fault

PATTERN = r'^("[ !#-\[\]-~]{1,200}"|[A-Za-z0-9_:.\-]{1,200})$'
QUESTIONS = frozenset(
    {
        *("takeOff", "drawParting", "findOpenings", "rearrangeDays", "askWhyNot"),
        *("findGroupOpenings", "findSeriesOpenings", "askGapTakers", "exportClient"),
    }
)
"""POST operations that change nothing, and take no key."""
_KEY = re.compile(PATTERN, re.ASCII)
_KEPT_HEADERS = ("content-type", "etag", "location")


class OnlyOnce(ASGIMiddleware):
    """Answers a request that is told again with the answer it had."""

    scopes = (ScopeType.HTTP,)

    def __init__(self, longest_body: int) -> None:
        self.longest_body = longest_body

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        stated = Headers.from_scope(scope).get(HEADER)
        if scope["type"] != ScopeType.HTTP or stated is None or not _takes_a_key(scope):
            await next_app(scope, receive, send)
            return
        messages = await _whole(receive, self.longest_body)
        asked = Asked(CALLER.get().name, _key(stated), _fingerprint(scope, messages))
        desk: Desk = scope["litestar_app"].state.desk
        async with desk.repeats.turn(asked):
            keeping = desk.repeats.begin(asked)
            kept = await desk.repeats.answer(keeping)
            if kept is None:
                told = _Told()
                async with _under(keeping):
                    await next_app(scope, _again(messages, receive), told.hear)
                    if told.good:
                        await desk.repeats.finish(keeping, told.answer())
                kept = None if told.good else await desk.repeats.answer(keeping)
                if kept is None:
                    await told.pass_on(send)
                    return
        await _tell(kept, send)


@asynccontextmanager
async def _under(keeping: Keeping) -> AsyncIterator[None]:
    """The store keeps what is written open; what is not finished here is rolled back."""
    token = KEEPING.set(keeping)
    try:
        yield
    finally:
        KEEPING.reset(token)
        await keeping.give_up()


class _Told:
    """An answer, held back until what it says is committed."""

    def __init__(self) -> None:
        self.messages: list[Message] = []
        self.status = 0

    async def hear(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
        self.messages.append(message)

    @property
    def good(self) -> bool:
        return 200 <= self.status < 300

    def answer(self) -> Answer:
        headers: dict[str, str] = {}
        body = b""
        for message in self.messages:
            if message["type"] == "http.response.start":
                pairs = [(name.decode().lower(), value) for name, value in message["headers"]]
                headers = {name: value.decode() for name, value in pairs if name in _KEPT_HEADERS}
            elif message["type"] == "http.response.body":
                body += message["body"]
        return Answer(self.status, headers, body.decode())

    async def pass_on(self, send: Send) -> None:
        for message in self.messages:
            await send(message)


def _takes_a_key(scope: HTTPScope) -> bool:
    name = operation_of(scope)
    return scope["method"] == "POST" and name is not None and name not in QUESTIONS


def _key(stated: str) -> str:
    if not _KEY.match(stated):
        raise UnprocessableError(
            Fault(HEADER, "must be 1 to 200 printable characters in double quotes")
        )
    return stated.strip('"')


def _fingerprint(scope: HTTPScope, messages: Sequence[HTTPReceiveMessage]) -> str:
    """Of the path, the query and the body as they were sent."""
    digest = hashlib.sha256()
    for part in (scope["method"].encode(), scope["raw_path"], scope["query_string"]):
        digest.update(part + b"\n")
    for message in messages:
        if message["type"] == "http.request":
            digest.update(message["body"])
    return digest.hexdigest()


async def _whole(receive: Receive, longest: int) -> list[HTTPReceiveMessage]:
    """The body's messages, or as many as it takes to see that it is too long."""
    messages: list[HTTPReceiveMessage] = []
    length = 0
    while length <= longest:
        message = cast("HTTPReceiveMessage", await receive())
        messages.append(message)
        if message["type"] != "http.request" or not message.get("more_body"):
            break
        length += len(message["body"])
    return messages


def _again(messages: Sequence[HTTPReceiveMessage], receive: Receive) -> Receive:
    left = iter(messages)

    async def replay() -> ReceiveMessage:
        for message in left:
            return message
        return await receive()

    return replay


async def _tell(answer: Answer, send: Send) -> None:
    body = answer.body.encode()
    headers = [(name.encode(), value.encode()) for name, value in answer.headers.items()]
    headers.append((b"content-length", str(len(body)).encode()))
    await send({"type": "http.response.start", "status": answer.status, "headers": headers})
    await send({"type": "http.response.body", "body": body, "more_body": False})
