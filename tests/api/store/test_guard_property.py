"""The triggers of SQLite agree with plain arithmetic on any sequence of stretches."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import anyio
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.api.databases import a_store
from tests.api.store.book_rows import a_waiting_record

INSERT = (
    "INSERT INTO occupancy (salon_id, resource, starts_at, ends_at, booking_id) "
    "VALUES ('salon', ?, ?, ?, 'one')"
)
stretches = st.lists(
    st.tuples(st.sampled_from(["chair:a", "staff:b"]), st.integers(0, 3000), st.integers(1, 1500)),
    max_size=12,
)


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    folder: Path = tmp_path_factory.mktemp("guard")

    async def lay() -> None:
        async with a_store("sqlite", folder) as store, store.writing() as unit:
            await unit.bookings.add(a_waiting_record("one"))

    anyio.run(lay)
    connection = sqlite3.connect(folder / "book.db", isolation_level=None)
    yield connection
    connection.close()


@given(stretches)
def test_a_stretch_gets_in_exactly_where_nothing_overlaps(
    database: sqlite3.Connection, wanted: list[tuple[str, int, int]]
) -> None:
    database.execute("BEGIN")
    inside: list[tuple[str, int, int]] = []
    for resource, start, length in wanted:
        free = all(
            resource != other or start + length <= begins or ends <= start
            for other, begins, ends in inside
        )
        try:
            database.execute(INSERT, (resource, start, start + length))
            assert free, "the guard let an overlap in"
            inside.append((resource, start, start + length))
        except sqlite3.IntegrityError:
            assert not free, "the guard refused a stretch that overlaps nothing"
    database.execute("ROLLBACK")
