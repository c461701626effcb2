"""Questions that take a while end when the client leaves before the answer."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable
from typing import Any, TypeVar

from litestar import Request

from api.services.errors import StoreUnavailableError

T = TypeVar("T")


async def while_awaited(request: Request[Any, Any, Any], answer: Awaitable[T]) -> T:
    """The answer, unless the connection is closed first: then its work is cancelled.

    Only for a handler whose body has been read. The refusal that is raised then reaches nobody; it
    is what the log says of the request.
    """
    asked = asyncio.ensure_future(answer)
    gone = asyncio.ensure_future(_gone(request))
    try:
        await asyncio.wait({asked, gone}, return_when=asyncio.FIRST_COMPLETED)
        if not asked.done():
            raise StoreUnavailableError("the client left before there was an answer")
        return await asked
    finally:
        for task in (asked, gone):
            task.cancel()
        await asyncio.gather(asked, gone, return_exceptions=True)


async def _gone(request: Request[Any, Any, Any]) -> None:
    """Returns once the client has left (ASGI, "http.disconnect")."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
