"""Days drawn at random, repaired again and again: the book is what was shown, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from random import Random
from typing import Any

import pytest

from tests.api.studio_kit import Client, an_install, body, ok, openings_for
from tests.builders import DAY, a_phase, a_request, a_shared_phase, a_wash, a_window, at

pytestmark = pytest.mark.anyio


def a_visit(random: Random, name: str) -> dict[str, Any]:
    work = a_shared_phase(random.randrange(60, 240, 15))
    return body(
        a_request(
            name,
            phases=(a_wash(), work, a_phase("finish", 15)),
            windows=(a_window("9:00", "18:00"),),
        )
    )


def events(random: Random, now: datetime, placed: list[str]) -> Iterator[dict[str, Any]]:
    """One thing or two that may happen at any moment, to whomever."""
    start = now.isoformat()
    for number in range(random.randrange(1, 3)):
        later = (now + timedelta(minutes=random.randrange(90))).isoformat()
        anybody = random.choice(["lead-1", "lead-2", "assistant-1"])
        about = [
            {"kind": "sick", "staff": anybody, "start": start},
            {"kind": "walk-in", "request": an_install(f"door-{now:%H%M}-{number}")},
            {
                "kind": "broken-chair",
                "chair": random.choice(["chair-1", "chair-2"]),
                "start": start,
            },
        ]
        if placed:
            who = random.choice(placed)
            about += [
                {"kind": "late-arrival", "visit": who, "arrives": later},
                {"kind": "no-show", "visit": who},
            ]
        yield random.choice(about)


async def the_day(client: Client) -> dict[str, Any]:
    told: dict[str, Any] = ok(await client.get(f"/v1/days/{DAY}"))
    return told


def broken(day: dict[str, Any]) -> set[tuple[str, str]]:
    return {(each["rule"], each["detail"]) for each in day["findings"] if each["hard"]}


@pytest.mark.parametrize("seed", range(5))
async def test_the_book_becomes_what_was_shown(studio: Client, seed: int) -> None:
    random = Random(seed)
    for number in range(4):
        request = a_visit(random, f"visit-{number}")
        found = await openings_for(studio, request)
        if found:
            bought = {"request": request, "opening": random.choice(found)}
            ok(await studio.post("/v1/bookings", json=bought))
    for hour in (8, 11, 13):
        now = at(f"{hour}:{random.randrange(60):02d}")
        studio.app.state.desk.repairs.clock.instant = now
        before = await the_day(studio)
        happened = list(events(random, now, [visit["visit"] for visit in before["visits"]]))
        run = ok(await studio.post("/v1/repairs", json={"events": happened, "seconds": 2}))
        if run["plan"] is None:
            continue
        ok(await studio.post(f"/v1/repairs/{run['id']}/acceptance"))
        after = await the_day(studio)
        shown = {visit["visit"]: visit["phases"] for visit in run["plan"]["visits"]}
        assert {visit["visit"]: visit["phases"] for visit in after["visits"]} == shown
        # What the book does not keep now it did not keep before, or the repair said so.
        bent = {finding["rule"] for finding in run["findings"]}
        assert {rule for rule, _ in broken(after) - broken(before)} <= bent
