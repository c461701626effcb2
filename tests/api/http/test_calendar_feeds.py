"""Calendar feeds, read as a calendar program reads them, by the icalendar library."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
import sqlalchemy as sa
from httpx import Response

from api.store.tables import calendar_feed
from tests.api.studio_kit import Client, an_install, book, furnish, ok, openings_for
from tests.builders import a_window

pytestmark = pytest.mark.anyio
FEEDS = "/v1/calendar-feeds"


async def a_feed(client: Client, kind: str = "salon", subject: str | None = None) -> str:
    told = {"id": f"feed-{kind}", "kind": kind, "subject": subject}
    made: str = ok(await client.post(FEEDS, json=told))["path"]
    return made


def events(answer: Response) -> dict[str, Any]:
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    read = icalendar.Calendar.from_ical(answer.content)
    assert (read["VERSION"], bool(read["PRODID"])) == ("2.0", True)
    return {str(event["UID"]): event for event in read.walk("VEVENT")}


async def test_a_visit_is_told_with_its_true_time_and_zone(studio: Client) -> None:
    made = await book(studio, "one")
    answer = await studio.get(await a_feed(studio))
    (event,) = events(answer).values()
    window = made["placed"]["window"]
    assert event.decoded("DTSTART") == datetime.fromisoformat(window["start"])
    assert event.decoded("DTEND") == datetime.fromisoformat(window["end"])
    assert event["DTSTART"].params["TZID"] == "Europe/Lisbon"
    assert (event["STATUS"], event["SEQUENCE"], event["UID"]) == ("CONFIRMED", 0, "one@partline")
    zones = icalendar.Calendar.from_ical(answer.content).walk("VTIMEZONE")
    assert [zone["TZID"] for zone in zones] == ["Europe/Lisbon"]
    for line in answer.text.split("\r\n"):
        assert len(line.encode()) <= 75  # RFC 5545, 3.1


async def test_a_change_raises_the_sequence_and_keeps_the_name(studio: Client) -> None:
    await book(studio, "one")
    path = await a_feed(studio)
    ok(await studio.patch("/v1/bookings/one", json={"tolerance": 15}))
    moved = an_install("one", windows=[a_window("12:00", "18:00").model_dump(mode="json")])
    place = (await openings_for(studio, moved | {"id": "two"}))[0]
    place["visit"]["visit"] = "one"
    for pause in place["breaks"]:
        pause["inside"] = "one" if pause["inside"] == "two" else pause["inside"]
    ok(await studio.patch("/v1/bookings/one", json={"opening": place}))
    (event,) = events(await studio.get(path)).values()
    assert (event["UID"], event["SEQUENCE"]) == ("one@partline", 2)
    assert event.decoded("DTSTART") == datetime.fromisoformat(place["start"])


async def test_what_is_called_off_stays_as_cancelled(studio: Client) -> None:
    made = await book(studio, "one")
    path = await a_feed(studio)
    ok(await studio.delete("/v1/bookings/one"))
    (event,) = events(await studio.get(path)).values()
    assert (event["STATUS"], event["SEQUENCE"], event["TRANSP"]) == ("CANCELLED", 1, "TRANSPARENT")
    assert event.decoded("DTSTART") == datetime.fromisoformat(made["placed"]["window"]["start"])


async def test_a_person_and_a_chair_see_what_is_theirs(studio: Client) -> None:
    first = (await book(studio, "one", max_assistants=0))["placed"]
    second = (await book(studio, "two", max_assistants=0))["placed"]
    lead = await a_feed(studio, "person", first["lead"])
    chair = await a_feed(studio, "chair", first["chair"])
    of_chair = {name for name, each in (("one", first), ("two", second))
                if each["chair"] == first["chair"]}  # fmt: skip
    of_lead = {name for name, each in (("one", first), ("two", second))
               if each["lead"] == first["lead"]}  # fmt: skip
    own = events(await studio.get(lead))
    visits = {uid.split("@")[0] for uid in own if not uid.startswith("break-")}
    assert visits == of_lead
    meals = [event for uid, event in own.items() if uid.startswith("break-")]
    assert [str(event["SUMMARY"]) for event in meals] == ["Meal break"]
    assert {uid.split("@")[0] for uid in events(await studio.get(chair))} == of_chair


@pytest.mark.parametrize(
    ("day", "offsets"),
    [  # Lisbon changes its clocks at 1:00 UTC on these Sundays
        (date(2027, 3, 27), (0, 1)),
        (date(2026, 10, 24), (1, 0)),
    ],
)
async def test_days_on_both_sides_of_a_clock_change_have_their_own_offset(
    empty: Client, day: date, offsets: tuple[int, int]
) -> None:
    monday = day + timedelta(days=2)
    empty.app.state.desk.feeds.clock.instant = datetime(day.year, day.month, day.day, tzinfo=UTC)
    empty.app.state.desk.openings.clock.instant = datetime(day.year, day.month, 1, tzinfo=UTC)
    await furnish(empty, day, monday)
    for name, when in (("before", day), ("after", monday)):
        await book(empty, name, windows=(a_window("9:00", "18:00", when),))
    found = events(await empty.get(await a_feed(empty)))
    for name, offset in zip(("before", "after"), offsets, strict=True):
        start = found[f"{name}@partline"].decoded("DTSTART")
        assert start.utcoffset() == timedelta(hours=offset)
        booked = ok(await empty.get(f"/v1/bookings/{name}"))["placed"]["window"]
        assert start == datetime.fromisoformat(booked["start"])


async def test_no_telephone_number_leaves_by_a_feed(studio: Client) -> None:
    asked = an_install("one", client="Amina +351 912 345 678")
    opening = (await openings_for(studio, asked))[0]
    ok(await studio.post("/v1/bookings", json={"request": asked, "opening": opening}))
    text = (await studio.get(await a_feed(studio))).text.replace("\r\n ", "")
    assert "Amina" in text
    assert "912" not in text


async def test_an_address_that_is_taken_back_leads_nowhere(studio: Client) -> None:
    path = await a_feed(studio)
    assert (await studio.get(path)).status_code == 200
    assert ok(await studio.delete(f"{FEEDS}/feed-salon"))["revoked_at"] is not None
    assert (await studio.get(path)).status_code == 404
    assert (await studio.post(FEEDS, json={"id": "feed-salon", "kind": "salon"})).status_code == 409
    for wrong in ("/calendars/nothing.ics", path.removesuffix(".ics"), "/calendars/x" * 2):
        assert (await studio.get(wrong)).status_code == 404


async def test_the_secret_is_told_once_and_kept_as_a_digest(studio: Client) -> None:
    path = await a_feed(studio)
    secret = path.removeprefix("/calendars/").removesuffix(".ics")
    assert secret not in (await studio.get(FEEDS)).text
    assert secret not in (await studio.get("/v1/changes")).text
    async with studio.app.state.desk.feeds.store.engines.reader.begin() as connection:
        (row,) = await connection.execute(sa.select(calendar_feed))
    assert secret not in str(row)
    assert len(row.digest) == 64


@pytest.mark.parametrize(
    ("told", "pointer"),
    [
        ({"id": "a", "kind": "person"}, ""),
        ({"id": "a", "kind": "salon", "subject": "lead-1"}, ""),
        ({"id": "a", "kind": "person", "subject": "nobody"}, "/subject"),
        ({"id": "a", "kind": "chair", "subject": "lead-1"}, "/subject"),
        ({"id": "a", "kind": "day"}, "/kind"),
    ],
)
async def test_a_feed_of_nobody_is_refused(
    studio: Client, told: dict[str, str], pointer: str
) -> None:
    answer = await studio.post(FEEDS, json=told)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
