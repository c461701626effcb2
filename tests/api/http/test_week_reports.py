"""Figures of the week over HTTP: what was clocked, what was turned away, and their tables."""

from __future__ import annotations

import csv
import io

import pytest

from tests.api.studio_kit import Client, an_install, book, ok, openings_for
from tests.builders import DAY, a_window, at

pytestmark = pytest.mark.anyio
WEEK = {"week": "2026-W49"}
REPORTS = ("chair-utilisation", "staff-utilisation", "pairing", "idle-causes", "turned-away")
AT_NIGHT = [{"start": "2026-12-01T18:00:00Z", "end": "2026-12-01T19:00:00Z"}]


async def test_what_was_clocked_is_told_beside_what_was_planned(studio: Client) -> None:
    made = await book(studio, "one", max_assistants=0)
    studio.app.state.desk.clocks.clock.instant = at("18:00")
    for moment, clock in (("started", "9:10"), ("finished", "13:00")):
        path = f"/v1/bookings/one/clock/{moment}"
        ok(await studio.put(path, json={"at": at(clock).isoformat()}))
    report = ok(await studio.get("/v1/reports/chair-utilisation", params=WEEK))
    assert (report["placed"], report["clocked"]) == (1, 1)
    assert report["total"]["hands_on"] == 195
    assert report["actual"]["present"] == 230
    trend = ok(await studio.get("/v1/reports/week-trend", params=WEEK | {"weeks": "3"}))
    assert [week["week"] for week in trend["weeks"]] == ["2026-W47", "2026-W48", "2026-W49"]
    last = trend["weeks"][-1]
    assert last["chairs"] == report["total"]
    assert last["change"] == pytest.approx(report["total"]["utilisation"])
    people = ok(await studio.get("/v1/reports/staff-utilisation", params=WEEK))
    lead = next(each for each in people["staff"] if each["staff"] == made["placed"]["lead"])
    assert lead["total"]["leading"] == 195
    assert people["leads"] == last["leads"]


async def test_who_helped_whom_is_told_with_what_it_saved(studio: Client) -> None:
    made = await book(studio, "one")
    helped = [each for phase in made["placed"]["phases"] for each in phase["help"]]
    report = ok(await studio.get("/v1/reports/pairing", params=WEEK))
    assert bool(helped) == bool(report["pairs"])
    assert report["total"]["saved"] == report["total"]["help"] * 0.5


async def test_what_was_asked_in_vain_is_demand_turned_away(studio: Client) -> None:
    asked = an_install("late", windows=AT_NIGHT)
    for _ in range(2):
        assert await openings_for(studio, asked) == []
    await book(studio, "came", max_assistants=0)
    report = ok(await studio.get("/v1/reports/turned-away", params=WEEK))
    (line,) = report["lines"]
    assert (line["request"], line["loss"], line["minutes"]) == ("late", "nothing-found", 195)
    (why,) = report["reasons"]
    assert (why["requests"], why["rule"], why["sentence"]) == (1, line["rule"], line["why"])
    assert (report["served"], report["came_after_all"]) == (1, 0)
    losses = {each["loss"]: each["requests"] for each in report["losses"]}
    assert sum(losses.values()) == len(report["lines"])
    ok(await studio.post("/v1/bookings", json={"request": asked}))
    report = ok(await studio.get("/v1/reports/turned-away", params=WEEK))
    assert [line["loss"] for line in report["lines"]] == ["still-waiting"]
    assert report["came_after_all"] == 1
    studio.app.state.desk.clocks.clock.instant = at("19:30")
    report = ok(await studio.get("/v1/reports/turned-away", params=WEEK))
    assert [line["loss"] for line in report["lines"]] == ["waited-in-vain"]
    ok(await studio.delete("/v1/bookings/came"))
    report = ok(await studio.get("/v1/reports/turned-away", params=WEEK))
    assert {line["loss"] for line in report["lines"]} == {"waited-in-vain", "called-off"}
    assert report["served"] == 0


async def test_a_question_with_an_answer_is_not_noted(studio: Client) -> None:
    assert await openings_for(studio, an_install("one"))
    report = ok(await studio.get("/v1/reports/turned-away", params=WEEK))
    assert report["lines"] == []


async def test_nothing_of_who_she_is_is_noted(studio: Client) -> None:
    await openings_for(studio, an_install("late", windows=AT_NIGHT, client="Amina Unheard"))
    changes = ok(await studio.get("/v1/changes", params={"kind": "turned-away"}))
    assert len(changes["items"]) == 1
    assert "Unheard" not in str(changes)


async def test_a_hole_is_too_short_below_the_shortest_line_of_the_menu(studio: Client) -> None:
    style = {"name": "Bob", "technique": "knotless", "size": "large", "length_cm": 25}
    entry = {"id": "bob", "style": style | {"braids": 12}, "price": 1, "currency": "EUR"}
    ok(await studio.post("/v1/styles", json=entry | {"max_assistants": 0}))
    told = ok(await studio.post("/v1/take-offs", json={"menu": "bob"}))
    report = ok(await studio.get("/v1/reports/idle-causes", params=WEEK))
    assert report["shortest"] == told["minutes"]["booked"]


@pytest.mark.parametrize("report", [*REPORTS, "week-trend", "hair-use"])
async def test_every_report_comes_as_a_table_with_its_figures(studio: Client, report: str) -> None:
    await book(studio, "one")
    await openings_for(studio, an_install("late", windows=[a_window("18:00", "19:00", DAY)]))
    params = {} if report == "hair-use" else WEEK
    path = f"/v1/reports/{report}"
    answer = await studio.get(path, params=params, headers={"Accept": "text/csv"})
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    rows = list(csv.reader(io.StringIO(answer.text, newline="")))
    assert len(rows) > 1
    assert {len(row) for row in rows} == {len(rows[0])}
    assert ok(await studio.get(path, params=params))["definitions"]


async def test_a_trend_does_not_go_back_before_the_calendar(studio: Client) -> None:
    params = {"week": "2000-W02", "weeks": "26"}
    trend = ok(await studio.get("/v1/reports/week-trend", params=params))
    assert [week["week"] for week in trend["weeks"]] == ["2000-W01", "2000-W02"]
