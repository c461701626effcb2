"""A running service for each test, empty or furnished.

Both books are laid once and copied, which is much faster than telling everything anew.
"""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from pathlib import Path

import anyio
import pytest

from tests.api.studio_kit import Client, a_small_service, furnish


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture(scope="session")
def empty_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("empty")

    async def lay() -> None:
        async with a_small_service(folder):
            pass

    anyio.run(lay)
    return folder / "book.db"


@pytest.fixture(scope="session")
def furnished_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("furnished")

    async def lay() -> None:
        async with a_small_service(folder) as client:
            await furnish(client)

    anyio.run(lay)
    return folder / "book.db"


@pytest.fixture
async def empty(empty_book: Path, tmp_path: Path, anyio_backend: str) -> AsyncIterator[Client]:
    """A service whose book is empty."""
    shutil.copy(empty_book, tmp_path / "book.db")
    async with a_small_service(tmp_path) as client:
        yield client


@pytest.fixture
async def studio(furnished_book: Path, tmp_path: Path, anyio_backend: str) -> AsyncIterator[Client]:
    """A service whose salon, chairs, people and shifts are told."""
    shutil.copy(furnished_book, tmp_path / "book.db")
    async with a_small_service(tmp_path) as client:
        yield client
