"""Holds and sales in any order, with time passing, against a list of what is taken by when.

The list knows nothing of the service: it lays the windows of chairs and people side by side.
"""

from __future__ import annotations

import os
import random
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import NOW, Client, a_service, an_install, furnish, ok, openings_for
from tests.builders import DAY

pytestmark = pytest.mark.anyio
STEPS = 40
SEEDS = int(os.environ.get("PARTLINE_SMALL_BOOKS", "2"))
"""More of them with the variable that asks for more of the random books."""


@pytest.fixture(params=KINDS)
async def client(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Client]:
    async with a_database(request.param, tmp_path) as settings, a_service(settings) as client:
        await furnish(client)
        yield client


def taken_by(visit: dict[str, Any]) -> set[tuple[str, int]]:
    """Every minute of every chair and person that a visit needs."""
    stretches = [(visit["chair"], visit["window"])]
    for phase in visit["phases"]:
        stretches.append((phase["performer"], phase["window"]))
        stretches += [(each["staff"], each["window"]) for each in phase["help"]]
    minutes = set()
    for who, window in stretches:
        start, end = (datetime.fromisoformat(window[name]) for name in ("start", "end"))
        first = int(start.timestamp()) // 60
        length = int((end - start).total_seconds()) // 60
        minutes |= {(who, first + ahead) for ahead in range(length)}
    return minutes


@dataclass
class Book:
    """What must be so."""

    client: Client
    dice: random.Random
    now: datetime = NOW
    count: int = 0
    booked: dict[str, dict[str, Any]] = field(default_factory=dict)
    held: dict[str, tuple[dict[str, Any], datetime]] = field(default_factory=dict)
    seen: list[dict[str, Any]] = field(default_factory=list)
    done: list[str] = field(default_factory=list)

    @property
    def live(self) -> dict[str, dict[str, Any]]:
        return {name: visit for name, (visit, until) in self.held.items() if self.now < until}

    def taken(self) -> set[tuple[str, int]]:
        visits = [*self.booked.values(), *self.live.values()]
        return {minute for visit in visits for minute in taken_by(visit)}

    async def ask(self) -> tuple[str, list[dict[str, Any]]]:
        self.count += 1
        name = f"visit-{self.count}"
        offered = await openings_for(self.client, an_install(name))
        for opening in offered:
            assert not taken_by(opening["visit"]) & self.taken(), "what is taken was offered"
        self.seen += offered
        return name, offered

    async def want(self, path: str, *, stale: bool) -> None:
        """Hold or buy what is offered now, or something that was offered once."""
        name, offered = await self.ask()
        choice = self.seen if stale else offered
        if not choice:
            return
        opening = self.dice.choice(choice)
        opening = {**opening, "visit": {**opening["visit"], "visit": name}}
        told = {"request": an_install(name), "opening": opening}
        minutes = self.dice.randint(1, 20)
        answer = await self.client.post(
            path, json=told | ({"minutes": minutes} if path == "/v1/holds" else {})
        )
        if taken_by(opening["visit"]) & self.taken():
            assert answer.status_code == 409
            return
        if answer.status_code == 409:
            assert stale, "what was just offered was refused"
            return
        ok(answer)
        self.done.append(path)
        if path == "/v1/holds":
            self.held[name] = opening["visit"], self.now + timedelta(minutes=minutes)
        else:
            self.booked[name] = opening["visit"]

    async def book(self) -> None:
        name = self.dice.choice([*self.held, *self.live, *self.live])
        answer = await self.client.post(f"/v1/holds/{name}/booking")
        there = name in self.live
        assert answer.status_code == (201 if there else 404)
        if there:
            self.booked[name] = self.held.pop(name)[0]
        self.done.append(f"book {there}")

    async def release(self) -> None:
        name = self.dice.choice(list(self.held))
        answer = await self.client.delete(f"/v1/holds/{name}")
        assert answer.status_code == (204 if name in self.live else 404)
        self.held.pop(name)
        self.done.append("release")

    async def call_off(self) -> None:
        name = self.dice.choice(list(self.booked))
        ok(await self.client.delete(f"/v1/bookings/{name}"))
        self.booked.pop(name)

    def pass_time(self) -> None:
        self.now += timedelta(minutes=self.dice.choice([0.5, 3, 8]))
        self.client.app.state.desk.openings.clock.instant = self.now

    async def step(self) -> None:
        what = self.dice.choices(
            ["hold", "buy", "time", "book", "release", "off"], [6, 3, 4, 3, 2, 2]
        )
        if what == ["hold"]:
            await self.want("/v1/holds", stale=self.dice.random() < 0.4)
        elif what == ["buy"]:
            await self.want("/v1/bookings", stale=self.dice.random() < 0.4)
        elif what == ["time"]:
            self.pass_time()
        elif what == ["book"] and self.held:
            await self.book()
        elif what == ["release"] and self.held:
            await self.release()
        elif what == ["off"] and self.booked:
            await self.call_off()
        listed = ok(await self.client.get("/v1/holds"))["items"]
        assert {each["id"] for each in listed} == set(self.live)


@pytest.mark.parametrize("seed", range(min(SEEDS, 50)))
async def test_nothing_is_taken_twice_and_nothing_is_lost(client: Client, seed: int) -> None:
    book = Book(client, random.Random(seed))
    for _ in range(STEPS):
        await book.step()
    day = ok(await client.get(f"/v1/days/{DAY}"))
    assert {visit["visit"] for visit in day["visits"]} == {*book.booked, *book.live}
    assert [each for each in day["findings"] if each["hard"]] == []
    assert len(set(book.done)) >= 3, "the dice have shown too few ways"
