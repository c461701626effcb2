"""Word that the book has changed."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import pytest

from api.services.watching import Watching, Word
from tests.api.studio_kit import NOW, Client, StoppedClock, book

pytestmark = pytest.mark.anyio
QUICK = 0.02


def watching(client: Client, clock: StoppedClock) -> Watching:
    return Watching(client.app.state.desk.days.store, clock, every=QUICK)


async def test_a_booking_is_told_to_whoever_watches(studio: Client) -> None:
    words = watching(studio, StoppedClock()).words()
    told = asyncio.ensure_future(anext(words))
    await asyncio.sleep(5 * QUICK)
    assert not told.done()
    await book(studio, "v-1")
    assert await told is Word.BOOK
    await words.aclose()  # type: ignore[attr-defined]


async def test_a_new_minute_is_told(studio: Client) -> None:
    clock = StoppedClock()
    words = watching(studio, clock).words()
    told = asyncio.ensure_future(anext(words))
    await asyncio.sleep(2 * QUICK)
    clock.instant = NOW + timedelta(minutes=1)
    assert await told is Word.MINUTE
    await words.aclose()  # type: ignore[attr-defined]


async def test_the_stream_ends_with_the_service(studio: Client) -> None:
    watch = watching(studio, StoppedClock())
    words = watch.words()
    told = asyncio.ensure_future(anext(words, None))
    await asyncio.sleep(2 * QUICK)
    watch.close()
    assert await told is None
