"""Personal data: a client is told what is kept of her, and erased from all of it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy import exc

from api.retention import forget_silent
from api.services import day_books
from api.store import mappers
from api.store.tables import change, erasure, metadata
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import (
    NOW,
    Client,
    StoppedClock,
    a_service,
    an_install,
    furnish,
    ok,
    openings_for,
)

pytestmark = pytest.mark.anyio
ZOE, OTHER = "Zo\u00eb Quist-Larrabee, 555 0199", "Una Farrow"


@pytest.fixture(params=KINDS)
async def studio(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Client]:
    """Two clients; one has a booking that was called off, a hold that was let go, and an answer
    that is kept.
    """
    async with a_database(request.param, tmp_path) as settings, a_service(settings) as client:
        await furnish(client)
        await _book(client, "hers", ZOE)
        await _book(client, "another", OTHER)
        ok(await client.patch("/v1/bookings/hers", json={"tolerance": 15}))
        keyed = {"request": an_install("later", client=ZOE)}
        ok(await client.post("/v1/bookings", json=keyed, headers={"Idempotency-Key": '"a"'}))
        found = ok(await client.post("/v1/openings", json={"request": an_install("h", client=ZOE)}))
        held = {"request": an_install("h", client=ZOE), "opening": found["openings"][0]}
        ok(await client.post("/v1/holds", json=held))
        ok(await client.delete("/v1/holds/h"))
        yield client


async def _book(desk: Client, name: str, client: str) -> None:
    request = an_install(name, client=client)
    found = ok(await desk.post("/v1/openings", json={"request": request}))["openings"]
    ok(await desk.post("/v1/bookings", json={"request": request, "opening": found[0]}))


async def _call_off(client: Client) -> None:
    for name in ("hers", "later"):
        ok(await client.delete(f"/v1/bookings/{name}"))


async def _everything(client: Client) -> str:
    """All rows of all tables."""
    told = []
    async with client.app.state.desk.clients.store.engines.reader.begin() as connection:
        for table in metadata.sorted_tables:
            # Not the rows themselves: they show long values cut short.
            told += [tuple(row) for row in await connection.execute(sa.select(table))]
    return str(told)


def _files(tmp_path: Path) -> bytes:
    return b"".join(file.read_bytes() for file in tmp_path.glob("book.db*"))


async def test_a_client_is_told_all_that_is_kept_of_her_and_nothing_else(studio: Client) -> None:
    told = ok(await studio.post("/v1/client-exports", json={"client": ZOE}))
    assert [booking["id"] for booking in told["bookings"]] == ["hers", "later"]
    acts = [(each["kind"], each["name"], each["act"]) for each in told["changes"]]
    assert acts == [
        *(("hold", "h", "removed"), ("hold", "h", "added"), ("booking", "later", "added")),
        *(("booking", "hers", "changed"), ("booking", "hers", "added")),
    ]
    assert OTHER not in str(told)
    assert (await studio.post("/v1/client-exports", json={"client": "zo"})).status_code == 404


async def test_a_client_who_is_expected_is_not_erased(studio: Client) -> None:
    refused = await studio.post("/v1/client-erasures", json={"client": ZOE})
    assert refused.status_code == 409
    assert "call hers, later off first" in refused.json()["detail"]
    assert ZOE.split(",", maxsplit=1)[0] not in refused.text


async def test_an_erased_client_is_nowhere_and_the_figures_stay(
    studio: Client, tmp_path: Path
) -> None:
    await _call_off(studio)
    before = ok(await studio.get("/v1/changes?limit=500"))["items"]
    erased = ok(await studio.post("/v1/client-erasures", json={"client": ZOE}))
    assert (erased["bookings"], erased["other_names"]) == (2, [])
    everything = await _everything(studio)
    for part in ("Quist", "Larrabee", "0199", "Zo\u00eb", "Zo\\u00eb"):
        assert part not in everything, part
        assert part.encode() not in _files(tmp_path), part
    assert OTHER in everything
    booking = ok(await studio.get("/v1/bookings/hers"))
    assert booking["request"]["client"] == erased["client"] == f"erased {erased['id']}"
    # The record is as long as it was, but for her name, and says itself that she was erased.
    after = ok(await studio.get("/v1/changes?limit=500"))["items"]
    assert erased["changes"] == sum(erased["client"] in str(each) for each in after)
    assert (after[0]["kind"], after[0]["operation"]) == ("erasure", "eraseClient")
    assert [_nameless(each) for each in after[1:]] == [_nameless(each) for each in before]
    assert (await studio.post("/v1/client-exports", json={"client": ZOE})).status_code == 404


def _nameless(told: dict[str, Any]) -> dict[str, Any]:
    for side in (told["before"], told["after"]):
        if side and "request" in side:
            side["request"].pop("client")
    return told


async def test_the_record_lets_nothing_but_a_name_go_and_only_by_an_erasure(
    studio: Client,
) -> None:
    """Written past the application, into the tables."""
    writer = studio.app.state.desk.clients.store.engines.writer
    mine = change.c.kind == "booking"
    document = sa.select(change.c.id, change.c.salon_id, change.c.after).where(mine).limit(1)
    async with writer.begin() as connection:
        row = (await connection.execute(document)).one()
    other = row.after | {"request": row.after["request"] | {"client": "Nobody"}}
    richer = row.after | {"status": "CANCELLED"}
    begun = sa.insert(erasure).values(
        salon_id=row.salon_id, id="x", at=0, who="me", rows=0, under_way=1
    )
    ended = sa.update(erasure).values(under_way=None)

    async def write(*statements: Any) -> None:
        async with writer.begin() as connection:
            for statement in statements:
                await connection.execute(statement)

    this = sa.update(change).where(change.c.id == row.id)
    for refused in (
        (this.values(after=other),),
        (begun, this.values(after=richer), ended),
        (begun, this.values(who="nobody"), ended),
        (begun, sa.delete(change), ended),
        (begun, this.values(after=other)),  # it would stay under way
    ):
        with pytest.raises(exc.IntegrityError):
            await write(*refused)
    await write(begun, this.values(after=other), ended)
    for refused in (
        (sa.update(erasure).values(who="nobody"),),
        (sa.update(erasure).values(under_way=1),),
        (sa.delete(erasure),),
    ):
        with pytest.raises(exc.IntegrityError):
            await write(*refused)


async def test_clients_who_were_silent_for_long_are_erased(studio: Client) -> None:
    clients = studio.app.state.desk.clients
    clock: StoppedClock = clients.clock
    clients.store.clock = clock
    assert await clients.forget_silent(30) == 0
    clock.instant = NOW + timedelta(days=32)
    assert await clients.forget_silent(30) == 2
    everything = await _everything(studio)
    assert "Quist" not in everything
    assert OTHER not in everything
    assert await clients.forget_silent(30) == 0


async def test_who_keeps_clients_for_ever_forgets_nobody(empty: Client) -> None:
    await forget_silent(empty.app.state.desk.clients, 0)


async def test_names_that_a_booking_bore_before_are_pointed_out(studio: Client) -> None:
    ok(await studio.patch("/v1/bookings/hers", json={"client": "Zoe Q."}))
    told = ok(await studio.post("/v1/client-exports", json={"client": "Zoe Q."}))
    assert told["other_names"] == [ZOE]


async def test_nothing_that_was_read_before_stays_in_memory(studio: Client) -> None:
    await _call_off(studio)
    await openings_for(studio, an_install("other"))
    ok(await studio.post("/v1/client-erasures", json={"client": ZOE}))
    assert mappers._read.cache_info().currsize == 0
    assert not day_books._BOOKINGS
