"""Desks that do anything at all at the same time: the book stays sound, and its record is true.

`PARTLINE_OPERATIONS=5000` does more. What came of it is printed.
"""

from __future__ import annotations

import asyncio
import os
import sys
from collections import Counter
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from httpx import Response

from api.services.day_books import read_snapshot
from api.settings import Settings
from solver.checker import check
from solver.openings.breaks import complete_breaks
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import Client, a_service, an_install, furnish, ok
from tests.builders import DAY, a_window

pytestmark = pytest.mark.anyio
OPERATIONS = int(os.environ.get("PARTLINE_OPERATIONS", "30"))
DESKS = 6
DAYS = tuple(DAY + timedelta(days=each) for each in (0, 1, 2, 3, 6, 7, 8, 9))


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        yield fresh


class Desk:
    """Does one thing after the other, at random."""

    def __init__(self, client: Client, number: int, names: list[str]) -> None:
        self.client = client
        self.number = number
        self.names = names
        """Of all desks: each calls off what others have sold."""
        self.random = Random(f"desk {number}")
        self.made = 0
        self.came: Counter[str] = Counter()

    async def work(self, operations: int) -> None:
        acts = (self.book, self.ask, self.hold, self.move, self.cancel, self.replan)
        for _ in range(operations):
            (act,) = self.random.choices(acts, weights=(35, 10, 20, 15, 17, 3))
            await act()

    async def book(self) -> None:
        request = self.request()
        opening = await self.opening(request)
        if opening is not None:
            sale = {"request": request, "opening": opening}
            self.note("book", await self.client.post("/v1/bookings", json=sale))
            self.names.append(request["id"])

    async def ask(self) -> None:
        """To wait for a place, which a plan may give."""
        request = self.request()
        self.note("ask", await self.client.post("/v1/bookings", json={"request": request}))
        self.names.append(request["id"])

    async def hold(self) -> None:
        request = self.request()
        opening = await self.opening(request)
        if opening is None:
            return
        held = await self.client.post("/v1/holds", json={"request": request, "opening": opening})
        self.note("hold", held)
        path = f"/v1/holds/{request['id']}"
        if held.status_code == 201 and self.random.random() < 0.5:
            self.note("book the held", await self.client.post(f"{path}/booking"))
            self.names.append(request["id"])
        elif held.status_code == 201:
            self.note("let go", await self.client.delete(path))

    async def move(self) -> None:
        name = self.any_name()
        record = await self.client.get(f"/v1/bookings/{name}")
        if record.status_code != 200:
            return
        window = a_window("9:00", "18:00", self.random.choice(DAYS)).model_dump(mode="json")
        request = an_install(f"{name}-moved") | {"windows": [window]}
        opening = await self.opening(request)
        if opening is not None:
            opening["visit"]["visit"] = name
            self.note(
                "move",
                await self.client.patch(
                    f"/v1/bookings/{name}",
                    json={"opening": opening},
                    headers={"If-Match": record.headers["etag"]},
                ),
            )

    async def cancel(self) -> None:
        seen = {"If-Match": "*"}
        answer = await self.client.delete(f"/v1/bookings/{self.any_name()}", headers=seen)
        self.note("cancel", answer)

    async def replan(self) -> None:
        day = str(self.random.choice(DAYS))
        order = {"first": day, "last": day, "seconds": 0.5, "publish": True}
        self.note("replan", await self.client.post("/v1/plans", json=order))

    def request(self) -> dict[str, Any]:
        self.made += 1
        day = self.random.choice(DAYS)
        window = a_window("9:00", "18:00", day).model_dump(mode="json")
        return an_install(f"desk-{self.number}-{self.made}") | {"windows": [window]}

    async def opening(self, request: dict[str, Any]) -> dict[str, Any] | None:
        answer = await self.client.post("/v1/openings", json={"request": request, "limit": 3})
        self.note("openings", answer)
        found = answer.json().get("openings") if answer.is_success else None
        return dict(self.random.choice(found)) if found else None

    def any_name(self) -> str:
        return self.random.choice(self.names) if self.names else "nobody"

    def note(self, what: str, answer: Response) -> None:
        assert answer.status_code in {200, 201, 204, 404, 409, 412, 422, 503}, answer.text
        self.came[f"{what} {answer.status_code}"] += 1


async def replayed(client: Client, kind: str) -> dict[str, Any]:
    """What is there, by the record of changes alone."""
    changes, after = [], ""
    while True:
        query = {"kind": kind, "limit": "500"} | ({"after": after} if after else {})
        page = ok(await client.get("/v1/changes", params=query))
        changes += page["items"]
        if page["next"] is None:
            break
        after = page["next"]
    there: dict[str, Any] = {}
    for change in reversed(changes):
        assert there.get(change["name"]) == change["before"], change["name"]
        if change["after"] is None:
            del there[change["name"]]
        else:
            there[change["name"]] = change["after"]
    return there


async def test_whatever_desks_do_at_once_the_book_is_sound_and_its_record_is_true(
    settings: Settings,
) -> None:
    names: list[str] = []
    async with a_service(settings) as first, a_service(settings) as second:
        await furnish(first, *DAYS)
        desks = [Desk((first, second)[each % 2], each, names) for each in range(DESKS)]
        await asyncio.gather(*(desk.work(OPERATIONS // DESKS) for desk in desks))
        came = sum((desk.came for desk in desks), Counter())
        sys.stdout.write(f"{settings.database.split(':')[0]}: {dict(sorted(came.items()))}\n")
        assert came["book 201"]
        store = first.app.state.desk.salon.store
        async with store.reading() as unit:
            snapshot = await read_snapshot(unit, DAYS[0], DAYS[-1])
            bookings = await unit.bookings.page(
                window=None, status=None, after=None, limit=OPERATIONS * 2
            )
            breaks = await unit.breaks.during(snapshot.span)
        day_book, plan = snapshot.day_book(), snapshot.plan
        # Whoever has nobody to work on takes her break when she likes.
        rested = plan.model_copy(update={"breaks": complete_breaks(day_book, plan)})
        findings = check(day_book, rested)
        assert [finding for finding in findings if finding.hard] == []
        kept = {record.id: record.model_dump(mode="json") for record in bookings}
        assert await replayed(first, "booking") == kept
        told = [_of(each) for each in (await replayed(first, "staff-break")).values()]
        assert sorted(told) == sorted(_of(each.model_dump(mode="json")) for each in breaks)


def _of(planned: dict[str, Any]) -> tuple[str, str, str]:
    return (planned["staff"], planned["window"]["start"], planned["window"]["end"])
