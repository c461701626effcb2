"""With rearranging over HTTP: asked, given up when the client leaves, sold as it was shown.

Two leads and two chairs. Ada is booked with one of them and minds not with whom; Nia wants that
one for a whole day, so Ada goes to the other.
"""

from __future__ import annotations

import asyncio
import time
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from litestar import Request

from api.controllers.leaving import while_awaited
from api.services.errors import StoreUnavailableError
from api.services.short_solves import ShortSolves
from tests.api.studio_kit import Client, an_install, body, book, ok
from tests.builders import DAY, a_phase, a_shared_phase, a_shift, a_window, at

pytestmark = pytest.mark.anyio
LONG = 420


async def ada_and_nia(studio: Client) -> tuple[dict[str, Any], dict[str, Any]]:
    """Ada's booking, and Nia's request that nothing fits as it stands."""
    ada = await book(studio, "ada", max_assistants=0)
    return ada, nia(ada["placed"]["lead"])


def nia(lead: str, **changes: Any) -> dict[str, Any]:
    phases = (a_shared_phase(LONG),)
    return an_install("nia", phases=phases, required_lead=lead, max_assistants=0, **changes)


async def rearranged(studio: Client, request: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    question = {"request": request, "seconds": 5, **more}
    found: list[dict[str, Any]] = ok(await studio.post("/v1/rearranged-days", json=question))[
        "days"
    ]
    return found


async def sell(studio: Client, request: dict[str, Any], day: dict[str, Any]) -> Any:
    return await studio.post("/v1/bookings", json={"request": request, "day": day["plan"]})


async def test_a_day_says_what_would_move_and_for_whom_and_nothing_is_changed(
    studio: Client,
) -> None:
    ada, request = await ada_and_nia(studio)
    found = ok(await studio.post("/v1/openings", json={"request": request}))
    assert found["openings"] == []
    (day,) = await rearranged(studio, request)
    assert (day["date"], day["room"]) == ("2026-12-01", "with-rearranging")
    assert {"role": "client", "id": "ada", "name": ada["request"]["client"]} in [
        person for each in day["moves"] for person in each["tell"]
    ]
    assert all(each["say"] for each in day["moves"])
    assert ok(await studio.get("/v1/bookings/ada")) == ada


async def test_a_day_is_sold_as_it_was_shown_and_everybody_is_where_it_says(
    studio: Client,
) -> None:
    ada, request = await ada_and_nia(studio)
    (day,) = await rearranged(studio, request)
    sold = ok(await sell(studio, request, day))
    assert (sold["status"], sold["placed"]) == ("CONFIRMED", day["visit"])
    places = {each["visit"]: each for each in day["plan"]["visits"]}
    moved = ok(await studio.get("/v1/bookings/ada"))
    assert moved["placed"] == places["ada"] != ada["placed"]
    assert moved["promise"] == ada["promise"]
    shown = ok(await studio.get("/v1/days/2026-12-01"))
    assert not [each for each in shown["findings"] if each["hard"]]


async def test_a_day_that_has_changed_since_is_refused_with_what_fits(studio: Client) -> None:
    _, request = await ada_and_nia(studio)
    (day,) = await rearranged(studio, request)
    await book(studio, "late", phases=(a_phase("braiding", 30),), max_assistants=0)
    refused = await sell(studio, request, day)
    assert (refused.status_code, refused.json()["type"]) == (
        409,
        "/problems/opening-gone",
    )
    assert (await studio.get("/v1/bookings/nia")).status_code == 404


async def test_while_a_place_of_that_day_is_held_nothing_is_moved(studio: Client) -> None:
    ada, request = await ada_and_nia(studio)
    (day,) = await rearranged(studio, request)
    other = an_install("holder", phases=(a_phase("braiding", 30),), max_assistants=0)
    found = ok(await studio.post("/v1/openings", json={"request": other}))["openings"][0]
    held = {"request": other, "opening": found, "minutes": 10}
    ok(await studio.post("/v1/holds", json=held))
    assert (await sell(studio, request, day)).status_code == 409
    assert ok(await studio.get("/v1/bookings/ada")) == ada


def without_ada(plan: dict[str, Any]) -> None:
    plan["visits"] = [each for each in plan["visits"] if each["visit"] != "ada"]


def two_on_a_chair(plan: dict[str, Any]) -> None:
    for each in plan["visits"]:
        each["chair"] = "chair-1"


def with_a_stranger(plan: dict[str, Any]) -> None:
    plan["visits"].append({**plan["visits"][0], "visit": "stranger"})


def without_breaks(plan: dict[str, Any]) -> None:
    plan["breaks"] = []


def ada_later(plan: dict[str, Any]) -> None:
    """An hour past what she was promised."""
    for each in plan["visits"]:
        if each["visit"] == "ada":
            for window in (each["window"], *(phase["window"] for phase in each["phases"])):
                for edge in ("start", "end"):
                    later = datetime.fromisoformat(window[edge]) + timedelta(hours=1)
                    window[edge] = later.isoformat()


@pytest.mark.parametrize(
    "damage", [without_ada, two_on_a_chair, with_a_stranger, without_breaks, ada_later]
)
async def test_a_day_that_breaks_a_rule_is_refused_wherever_it_comes_from(
    studio: Client, damage: Any
) -> None:
    ada, request = await ada_and_nia(studio)
    (day,) = await rearranged(studio, request)
    damage(day["plan"])
    assert (await sell(studio, request, day)).status_code == 409
    assert ok(await studio.get("/v1/bookings/ada")) == ada


async def test_a_day_that_has_begun_is_left_to_repairs(studio: Client) -> None:
    _, request = await ada_and_nia(studio)
    (day,) = await rearranged(studio, request)
    studio.app.state.desk.openings.clock.instant = at("9:30")
    assert await rearranged(studio, request) == []
    assert (await sell(studio, request, day)).status_code == 409


async def test_no_more_days_are_looked_at_than_are_wanted(studio: Client) -> None:
    days = [DAY + timedelta(days=n) for n in range(4)]
    for day in days[1:]:
        shift = body(a_shift("lead-1", day=day))
        ok(await studio.post("/v1/staff/lead-1/shifts", json=shift))
    request = nia("lead-1", windows=[body(a_window("0:00", "23:00", day=day)) for day in days])
    assert [each["room"] for each in await rearranged(studio, request, enough=2)] == [
        "as-booked",
        "as-booked",
    ]
    assert len(await rearranged(studio, request, days=1)) == 1


async def test_who_has_a_place_is_told_so(studio: Client) -> None:
    await ada_and_nia(studio)
    question = {"request": an_install("ada")}
    refused = await studio.post("/v1/rearranged-days", json=question)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/request/id"


def endless(folder: Path, stop: Any, hear: Any) -> None:
    """Never ends by itself; says in files how far it is, since it runs in another process."""
    (folder / "begun").touch()
    while not stop():
        time.sleep(0.01)
    (folder / "ended").touch()


async def test_a_question_is_told_to_stop_once_nobody_waits_for_it(tmp_path: Path) -> None:
    solves = ShortSolves(1)
    asked = asyncio.ensure_future(solves.ask(partial(endless, tmp_path)))
    while not (tmp_path / "begun").exists():
        await asyncio.sleep(0.02)
    asked.cancel()
    while not (tmp_path / "ended").exists():
        await asyncio.sleep(0.02)
    assert solves.asked == 0
    solves.close()


def a_request_of(*messages: str) -> Request[Any, Any, Any]:
    """One whose client says these things and then nothing more."""
    left = iter(messages)

    async def receive() -> Any:
        for kind in left:
            return {"type": kind, "body": b"", "more_body": False}
        return await asyncio.Event().wait()

    scope: Any = {"type": "http", "headers": [], "state": {}}
    return Request(scope, receive=receive)


async def test_work_is_cancelled_when_the_client_leaves() -> None:
    cancelled = asyncio.Event()

    async def work() -> None:
        try:
            await asyncio.Event().wait()
        finally:
            cancelled.set()

    with pytest.raises(StoreUnavailableError):
        await while_awaited(a_request_of("http.request", "http.disconnect"), work())
    assert cancelled.is_set()


async def test_who_waits_gets_the_answer_or_the_refusal() -> None:
    async def answer() -> int:
        return 7

    async def refusal() -> int:
        raise ValueError("no")

    assert await while_awaited(a_request_of(), answer()) == 7
    with pytest.raises(ValueError, match="no"):
        await while_awaited(a_request_of(), refusal())
