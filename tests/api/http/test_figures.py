"""Take-offs, reports and days over HTTP."""

from __future__ import annotations

import csv
import io

import pytest

from solver.takeoff import house_materials
from tests.api.studio_kit import Client, book, ok
from tests.builders import DAY

pytestmark = pytest.mark.anyio

STYLE = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}
UTILISATION = "/v1/reports/chair-utilisation"
DEMAND = "/v1/reports/hair-demand"


async def test_a_style_is_reckoned(empty: Client) -> None:
    told = ok(await empty.post("/v1/take-offs", json={"style": STYLE | {"braids": 40}}))
    assert told["braids"] == 40
    assert told["minutes"]["p50"] <= told["minutes"]["p80"] <= told["minutes"]["p95"]


async def test_a_line_of_the_menu_is_reckoned_with_changes(empty: Client) -> None:
    entry = {"id": "knotless", "style": STYLE | {"braids": 40}, "price": 1, "currency": "EUR"}
    ok(await empty.post("/v1/styles", json=entry))
    plain = ok(await empty.post("/v1/take-offs", json={"menu": "knotless"}))
    changed = ok(
        await empty.post("/v1/take-offs", json={"menu": "knotless", "change": {"braids": 50}})
    )
    assert (plain["braids"], changed["braids"]) == (40, 50)


@pytest.mark.parametrize(
    ("question", "pointer"),
    [
        ({"menu": "nothing"}, "/menu"),
        ({"style": STYLE, "menu": "knotless"}, ""),
        ({}, ""),
        ({"style": STYLE | {"technique": "unheard-of"}}, "/style/technique"),
        ({"style": STYLE | {"braids": 0}}, "/style/braids"),
        ({"style": STYLE, "percentile": 101}, "/percentile"),
        ({"style": STYLE, "rates": [{"code": "unheard-of", "value": 1}]}, "/rates/0/code"),
        ({"menu": "knotless", "change": {"size": "unheard-of"}}, "/change/size"),
    ],
)
async def test_what_cannot_be_reckoned_is_named(
    empty: Client, question: dict[str, object], pointer: str
) -> None:
    entry = {"id": "knotless", "style": STYLE, "price": 1, "currency": "EUR"}
    ok(await empty.post("/v1/styles", json=entry))
    answer = await empty.post("/v1/take-offs", json=question)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_own_materials_are_known_to_take_offs(empty: Client) -> None:
    fill = next(each for each in house_materials() if each.role.value == "fill")
    own = fill.model_dump(mode="json") | {"id": "own-fill"}
    ok(await empty.put("/v1/hair-stock/own-fill", json={"on_hand_grams": 9000, "material": own}))
    style = STYLE | {"hair": [{"role": "fill", "material": "own-fill"}]}
    told = ok(await empty.post("/v1/take-offs", json={"style": style}))
    assert [line["material"] for line in told["hair"]] == ["own-fill"]


async def test_occupied_minutes_are_those_of_the_bookings(studio: Client) -> None:
    made = await book(studio, "one", max_assistants=0)
    report = ok(await studio.get(UTILISATION, params={"week": "2026-W49"}))
    chair = next(each for each in report["chairs"] if each["chair"] == made["placed"]["chair"])
    # 180 minutes of braiding and 15 of finish, with a lead of pace 1, and 10 of turnaround.
    assert chair["total"]["hands_on"] == 195
    assert chair["total"]["occupied"] == 205
    assert report["total"]["open"] == 2 * 6 * 600


async def test_an_empty_week_has_figures_too(studio: Client) -> None:
    report = ok(await studio.get(UTILISATION, params={"week": "2027-W10"}))
    assert report["total"]["occupied"] == 0


@pytest.mark.parametrize("accept", ["text/csv", "application/json;q=0.5, text/csv"])
async def test_figures_come_as_csv_where_asked(studio: Client, accept: str) -> None:
    await book(studio, "one")
    answer = await studio.get(UTILISATION, params={"week": "2026-W49"}, headers={"Accept": accept})
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert "Accept" in answer.headers["vary"].split(",")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert {"chair-1", "chair-2"} <= {row["chair"] for row in rows}


async def test_a_form_that_is_not_there_is_not_acceptable(studio: Client) -> None:
    answer = await studio.get(
        UTILISATION, params={"week": "2026-W49"}, headers={"Accept": "image/png"}
    )
    assert answer.status_code == 406
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("path", "params", "name"),
    [
        (UTILISATION, {}, "week"),
        (UTILISATION, {"week": "2026-49"}, "week"),
        (UTILISATION, {"week": "2027-W53"}, "week"),  # ISO 8601: 2026 has 53 weeks, 2027 has not
        (UTILISATION, {"week": "2026-W49", "chair": "chair-1"}, "chair"),
        (DEMAND, {"from": "2026-12-01"}, "to"),
        (DEMAND, {"from": "2026-12-01", "to": "2026-11-30"}, "to"),
        (DEMAND, {"from": "2026-12-01", "to": "2027-12-01"}, "to"),
        (DEMAND, {"from": "2026-02-29", "to": "2026-03-01"}, "from"),
        (DEMAND, {"from": "1999-01-01", "to": "2026-03-01"}, "from"),
        (DEMAND, {"from": "2026-12-01T00:00:00Z", "to": "2026-12-02"}, "from"),
    ],
)
async def test_a_parameter_that_makes_no_sense_is_named(
    studio: Client, path: str, params: dict[str, str], name: str
) -> None:
    answer = await studio.get(path, params=params)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [name]


async def test_week_53_is_a_week_of_2026(studio: Client) -> None:
    report = ok(await studio.get(UTILISATION, params={"week": "2026-W53"}))
    assert (report["first_day"], report["last_day"]) == ("2026-12-28", "2027-01-03")


async def test_hair_is_short_until_it_is_ordered(studio: Client) -> None:
    style = STYLE | {"braids": 40, "wash": False}
    tags = {"knotless", "assist", "hair-prep", "finish", "wash"}
    skills = [{"tag": tag, "level": 4} for tag in sorted(tags)]
    lead = ok(await studio.get("/v1/staff/lead-1")) | {"skills": skills}
    ok(await studio.put("/v1/staff/lead-1", json=lead))
    made = await book(studio, "one", phases=(), take_off={"style": style})
    params = {"from": str(DAY), "to": str(DAY)}
    before = ok(await studio.get(DEMAND, params=params))
    assert made["request"]["hair"]
    used = {hair["material"]: hair["grams"] for hair in made["request"]["hair"]}
    assert {line["material"]: line["needed"] for line in before["lines"]} == pytest.approx(used)
    assert all(line["short"] > 0 for line in before["lines"])
    for material in used:
        ok(await studio.put(f"/v1/hair-stock/{material}", json={"on_hand_grams": 5000}))
    after = ok(await studio.get(DEMAND, params=params))
    assert all(line["short"] == 0 for line in after["lines"])


async def test_a_closed_day_is_told_as_closed(studio: Client) -> None:
    sunday = ok(await studio.get("/v1/days/2026-12-06"))
    assert sunday["open"] is None
    assert sunday["visits"] == []


async def test_a_day_tells_each_persons_duties(studio: Client) -> None:
    made = await book(studio, "one")
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    people = {person["staff"]: person for person in day["staff"]}
    lead = people[made["placed"]["lead"]]
    assert {duty["kind"] for duty in lead["duties"]} >= {"braiding"}
    assert lead["shifts"] == [{"start": "2026-12-01T09:00:00Z", "end": "2026-12-01T18:00:00Z"}]
