"""Clients of whom nothing was heard for long are erased, at the start and then once a day."""

from __future__ import annotations

import asyncio
import logging

from api.services.clients import Clients
from api.services.errors import ServiceError

A_DAY = 86_400.0
_log = logging.getLogger("partline.retention")


async def forget_silent(clients: Clients, days: int, every: float = A_DAY) -> None:
    """Without end; at once where clients are kept for ever (`days` of 0)."""
    while days:
        try:
            count = await clients.forget_silent(days)
            if count:
                _log.info("clients erased: %d", count)
        except ServiceError as refused:
            _log.warning("no client was erased: %s", type(refused).__name__)
        await asyncio.sleep(every)
