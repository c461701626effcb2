"""The pages of figures, of a person's day, of hair and of calendars, without a browser."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import Any

import pytest

from api.pages.figures.plots import Share, band, heat_map, percent
from api.services.callers import Role
from solver.figures import chair_utilisation
from tests.api.studio_kit import (
    Client,
    a_small_service,
    an_install,
    book,
    furnish,
    ok,
    openings_for,
)
from tests.builders import DAY, a_booking, a_day_book, a_placed, at

pytestmark = pytest.mark.anyio
HERE = {"host": "localhost"}
FILL = "fill-kinky-black-26"


async def look(client: Client, path: str, status: int = 200) -> str:
    page = await client.get(path, headers=HERE)
    assert page.status_code == status, page.text[:500]
    assert not re.search(r"<style|\sstyle=|\son\w+=", page.text)
    return page.text


async def send(client: Client, path: str, **form: str) -> Any:
    return await client.post(path, data=form, headers=HERE)


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


async def test_the_week_says_what_held_it_back_and_what_was_lost(studio: Client) -> None:
    await book(studio, "one")
    night = [{"start": "2026-12-01T18:00:00Z", "end": "2026-12-01T19:00:00Z"}]
    await openings_for(studio, an_install("late", windows=night))
    told = ok(await studio.get("/v1/reports/idle-causes", params={"week": "2026-W49"}))
    page = words(await look(studio, "/week/2026-W49"))
    assert told["bottleneck"]["sentence"] in page
    assert "Nothing was found: 1 client, 3 h 15 of work" in page
    assert "1 visit has a place in this week" in page
    assert "no visit of 1 was clocked yet" in page


@pytest.mark.parametrize("path", ["/week/2027-W53", "/week/now", "/week/2026-49"])
async def test_a_week_that_is_not_there_is_said_so(studio: Client, path: str) -> None:
    await look(studio, path, 422)


@pytest.mark.parametrize("table", ["chairs", "people", "pairs", "idle", "turned-away", "trend"])
async def test_every_table_can_be_taken_away(studio: Client, table: str) -> None:
    await book(studio, "one")
    answer = await studio.get(f"/week/2026-W49/{table}.csv", headers=HERE)
    assert answer.headers["content-type"].startswith("text/csv")
    assert f'filename="2026-W49-{table}.csv"' in answer.headers["content-disposition"]
    assert len(next(csv.reader(io.StringIO(answer.text)))) > 3
    assert (await studio.get("/week/2026-W49/other.csv", headers=HERE)).status_code == 404


async def test_a_lead_taps_her_day_through_and_writes_down_the_hair(studio: Client) -> None:
    made = await book(studio, "one")
    lead = made["placed"]["lead"]
    day = f"/my-day?who={lead}&on={DAY}"
    studio.app.state.desk.clocks.clock.instant = at("9:05")
    assert "She is here: start" in await look(studio, day)
    for moment, clock in (("started", "9:05"), ("braiding", "9:30"), ("braided", "12:00")):
        studio.app.state.desk.clocks.clock.instant = at(clock)
        told = await send(studio, f"/my-day/visits/one/{moment}", who=lead, on=str(DAY))
        assert (told.status_code, told.headers["location"]) == (303, day)
    page = words(await look(studio, day))
    assert "Last braid 12:00" in page
    assert "In the chair" in page
    await send(studio, "/my-day/visits/one/braided", who=lead, on=str(DAY), back="yes")
    assert "Last braid 12:00" not in words(await look(studio, day))
    assert ok(await studio.get("/v1/bookings/one/clock"))["braided"] is None


async def test_grams_that_are_no_number_are_refused_by_name(studio: Client) -> None:
    await book(studio, "one")
    told = await studio.post("/my-day/visits/one/hair", data={f"used-{FILL}": "many"}, headers=HERE)
    assert told.status_code == 422
    good = await studio.post(
        "/my-day/visits/one/hair", data={f"used-{FILL}": "412,5"}, headers=HERE
    )
    assert good.status_code == 303
    (line,) = ok(await studio.get("/v1/bookings/one/hair"))["lines"]
    assert (line["material"], line["used"]) == (FILL, 412.5)


async def test_a_stylist_sees_her_own_day_and_nobody_elses(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, tokens="required") as client:
        tokens = client.app.state.desk.tokens
        owner = await tokens.make("owner", Role.OWNER, staff=None, days=1)
        client.headers["Authorization"] = f"Bearer {owner}"
        await furnish(client)
        for name in ("one", "two"):
            await book(client, name, max_assistants=0)
        text = await tokens.make("lead-1", Role.STYLIST, staff="lead-1", days=1)
        client.headers["Authorization"] = f"Bearer {text}"
        page = await client.get(f"/my-day?on={DAY}")
        assert page.status_code == 200
        assert page.text.count('class="when"') >= 1
        assert "lead-2" not in page.text
        assert (await client.get(f"/my-day?who=lead-2&on={DAY}")).status_code == 403
        for path in ("/week", "/hair", "/calendars", f"/day-sheet/{DAY}"):
            assert (await client.get(path)).status_code == 403, path


async def test_the_day_sheet_names_chairs_crews_and_breaks(studio: Client) -> None:
    made = await book(studio, "one")
    page = words(await look(studio, f"/day-sheet/{DAY}"))
    person = made["placed"]["lead"].title()
    assert made["request"]["client"] in page
    assert f"braiding: {person}" in page
    assert " meal " in page
    assert "Nobody is booked" in words(await look(studio, "/day-sheet/2026-12-02"))


async def test_a_day_without_visits_leads_on_to_the_next_that_has_some(studio: Client) -> None:
    await book(studio, "one")
    for day in ("2026-11-29", "2026-11-30"):
        assert '<a href="/days/2026-12-01">' in await look(studio, f"/days/{day}")
    assert "next visits" not in words(await look(studio, "/days/2026-12-03"))


async def test_the_ledger_is_written_from_the_page(studio: Client) -> None:
    path = f"/hair/{FILL}"
    assert (await send(studio, path, kind="receipt", grams="820")).status_code == 303
    assert "Came in" in await look(studio, path)
    wrong = await send(studio, path, kind="correction", grams="-900", reason="Gone")
    assert wrong.status_code == 422
    assert "Only 820 g are on the shelf." in wrong.text
    assert 'value="-900"' in wrong.text
    empty = await send(studio, path, kind="order", grams="")
    assert "This is needed." in empty.text
    assert "Kinky fill hair" in await look(studio, "/hair")


async def test_a_calendar_is_made_told_once_and_taken_back(studio: Client) -> None:
    made = await send(studio, "/calendars", whose="person:lead-1")
    (address,) = re.findall(r'value="http://localhost(/calendars/[^"]+)"', made.text)
    assert (await studio.get(address)).text.startswith("BEGIN:VCALENDAR")
    page = await look(studio, "/calendars")
    assert address not in page
    (feed,) = re.findall(r'action="/calendars/([^/"]+)/end"', page)
    assert (await send(studio, f"/calendars/{feed}/end")).status_code == 303
    assert (await studio.get(address)).status_code == 404
    assert (await send(studio, "/calendars", whose="person:nobody")).status_code == 422


def test_a_cell_is_woven_as_far_as_its_chairs_were_taken() -> None:
    booking = a_booking(minutes=90)
    booking = booking.model_copy(update={"placed": a_placed(booking)})
    drawn = heat_map(chair_utilisation(a_day_book(visits=[booking]), "2026-W49"))
    # 9 to 10:30: ten strands of the first hour and five of the second.
    assert drawn.count('<line class="hands"') == 15
    assert re.findall(r'class="value"[^>]*>(\d+)<', drawn)[:3] == ["100", "50", "0"]


def test_the_parts_of_a_band_are_told_in_words_too() -> None:
    drawn = band("Idle", [Share("lead", "No lead", 30), Share("client", "<Nobody>", 10)])
    assert 'aria-label="Idle: No lead 75 %, &lt;Nobody&gt; 25 %"' in drawn
    assert band("Idle", [Share("lead", "No lead", 0)]) == ""
    assert (percent(None), percent(0.615)) == ("-", "62 %")
