"""Openings come from a book that is read again when it has changed, and only then."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from api.services import kept_books
from api.services.day_books import Snapshot
from api.services.ports import UnitOfWork
from tests.api.studio_kit import Client, an_install, body, book, ok, openings_for
from tests.builders import a_chair
from tests.solver.figures.hair_builders import a_material, hair

pytestmark = pytest.mark.anyio


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> Callable[[], int]:
    """How often a whole book was read for openings."""
    told: list[Snapshot] = []
    honest = kept_books.read_snapshot

    async def read(unit: UnitOfWork, *days: Any) -> Snapshot:
        told.append(await honest(unit, *days))
        return told[-1]

    monkeypatch.setattr(kept_books, "read_snapshot", read)
    return lambda: len(told)


async def test_an_unchanged_book_is_read_once(studio: Client, reads: Callable[[], int]) -> None:
    first = await openings_for(studio, an_install("one"))
    assert await openings_for(studio, an_install("one")) == first
    assert await openings_for(studio, an_install("two")) != []
    assert reads() == 1


async def test_what_was_booked_is_seen_by_the_next_question(
    studio: Client, reads: Callable[[], int]
) -> None:
    for name in ("one", "two", "three"):
        await book(studio, name)
        later = an_install(f"after-{name}")
        opening = (await openings_for(studio, later))[0]
        # The opening holds: it is sold, and called off again.
        made = await studio.post("/v1/bookings", json={"request": later, "opening": opening})
        assert made.status_code == 201, made.text
        etag = {"If-Match": made.headers["etag"]}
        ok(await studio.delete(f"/v1/bookings/{later['id']}", headers=etag))
    assert reads() > 3


async def test_a_new_chair_is_seen_by_the_next_question(studio: Client) -> None:
    quiet = an_install("one", chair_features=("quiet",))
    assert await openings_for(studio, quiet) == []
    ok(await studio.post("/v1/chairs", json=body(a_chair("chair-9", features=("quiet",)))))
    assert {each["chair"] for each in await openings_for(studio, quiet)} == {"chair-9"}


async def test_hair_that_arrives_is_seen_by_the_next_question(studio: Client) -> None:
    rule = {"code": "hair-on-hand", "on": True, "hard": True}
    ok(await studio.put("/v1/rules/hair-on-hand", json=rule))
    asked = an_install("one", hair=(hair(200),))
    line = {"material": body(a_material()), "on_hand_grams": 0}
    ok(await studio.put("/v1/hair-stock/fill-black", json=line))
    assert await openings_for(studio, asked) == []
    ok(await studio.put("/v1/hair-stock/fill-black", json={**line, "on_hand_grams": 900}))
    assert await openings_for(studio, asked) != []


async def test_a_refused_sale_leaves_the_book_as_it_is(studio: Client) -> None:
    # The fresh openings of a refusal are found as if the asker's own booking were not there.
    made = await book(studio, "one")
    opening = (await openings_for(studio, an_install("two")))[0]
    ok(await studio.post("/v1/bookings", json={"request": an_install("two"), "opening": opening}))
    stale = await studio.post(
        "/v1/bookings",
        json={
            "request": an_install("three"),
            "opening": {**opening, "visit": {**opening["visit"], "visit": "three"}},
        },
    )
    assert stale.status_code == 409
    for fresh in await openings_for(studio, an_install("four")):
        assert fresh["visit"]["window"] != made["placed"]["window"] or (
            fresh["chair"] != made["placed"]["chair"]
        )
