"""A database that is busy or gone: told as such, and over when it is over."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from tests.api.studio_kit import a_small_service, body, ok
from tests.builders import a_chair

pytestmark = pytest.mark.anyio


async def test_a_busy_database_is_told_and_passes(empty_book: Path, tmp_path: Path) -> None:
    shutil.copy(empty_book, tmp_path / "book.db")
    async with a_small_service(tmp_path, busy_timeout=0.2) as client:
        other = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        refused = await client.post("/v1/chairs", json=body(a_chair("one")))
        assert refused.status_code == 503
        assert refused.headers["retry-after"] == "1"
        assert refused.headers["content-type"] == "application/problem+json"
        # Who only reads is not kept waiting.
        assert ok(await client.get("/v1/chairs"))["items"] == []
        other.execute("ROLLBACK")
        other.close()
        ok(await client.post("/v1/chairs", json=body(a_chair("one"))))


async def test_tables_that_are_gone_are_told_as_not_ready(empty_book: Path, tmp_path: Path) -> None:
    shutil.copy(empty_book, tmp_path / "book.db")
    async with a_small_service(tmp_path) as client:
        other = sqlite3.connect(tmp_path / "book.db", isolation_level=None)
        other.execute("PRAGMA foreign_keys = OFF")
        other.execute("DROP TABLE salon")
        other.close()
        assert (await client.get("/v1/health/ready")).status_code == 503
        assert (await client.get("/v1/chairs")).status_code == 503
        assert (await client.get("/v1/health/live")).status_code == 200
