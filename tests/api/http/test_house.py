"""The salon, its rota, its rules and its shelf."""

from __future__ import annotations

import pytest

from solver.takeoff import house_materials
from tests.api.studio_kit import SALON, Client, an_install, body, ok
from tests.builders import DAY, a_closure, a_shift, at

pytestmark = pytest.mark.anyio


async def test_nothing_is_open_before_the_hours_are_told(empty: Client) -> None:
    assert (await empty.get("/v1/salon")).status_code == 404
    day = await empty.get(f"/v1/days/{DAY}")
    assert day.status_code == 409
    assert day.json()["type"] == "/problems/not-set-up"
    ok(await empty.put("/v1/salon", json=SALON))
    assert ok(await empty.get("/v1/salon"))["zone"] == "Europe/Lisbon"


async def test_the_zone_stays_once_there_is_a_rota(studio: Client) -> None:
    ok(await studio.put("/v1/salon", json=SALON | {"name": "The same studio"}))
    moved = await studio.put("/v1/salon", json=SALON | {"zone": "Asia/Tokyo"})
    assert moved.status_code == 409
    assert ok(await studio.get("/v1/salon"))["zone"] == "Europe/Lisbon"


async def test_places_are_ranked_by_what_the_salon_minds(studio: Client) -> None:
    asked = {"request": an_install("one"), "limit": 5}
    minds = {"assistant_percent": 400}
    usual = ok(await studio.post("/v1/openings", json=asked))
    tried = ok(await studio.post("/v1/openings", json=asked | {"weights": minds}))
    assert tried["openings"] != usual["openings"]
    ok(await studio.put("/v1/salon", json=SALON | {"ranking": minds}))
    assert ok(await studio.post("/v1/openings", json=asked)) == tried
    assert ok(await studio.post("/v1/openings", json=asked | {"weights": {}})) == usual


async def test_a_person_has_one_shift_at_a_time(studio: Client) -> None:
    shift = body(a_shift("lead-1", "17:00", "19:00"))
    answer = await studio.post("/v1/staff/lead-1/shifts", json=shift)
    assert answer.status_code == 409
    ok(await studio.post("/v1/staff/lead-1/shifts", json=body(a_shift("lead-1", "18:00", "19:00"))))


async def test_a_shift_may_be_changed_but_not_onto_another(studio: Client) -> None:
    late = body(a_shift("lead-1", "18:00", "19:00"))
    ok(await studio.post("/v1/staff/lead-1/shifts", json=late))
    path = f"/v1/staff/lead-1/shifts/{late['id']}"
    later = late | {"window": body(a_shift("lead-1", "18:30", "20:00"))["window"]}
    assert ok(await studio.put(path, json=later)) == later
    onto = late | {"window": body(a_shift("lead-1", "17:00", "20:00"))["window"]}
    assert (await studio.put(path, json=onto)).status_code == 409
    assert ok(await studio.get(path)) == later


async def test_shifts_are_listed_by_day_and_taken_off(studio: Client) -> None:
    listed = ok(await studio.get("/v1/staff/lead-1/shifts", params={"from": DAY, "to": DAY}))
    (shift,) = listed["items"]
    ok(await studio.delete(f"/v1/staff/lead-1/shifts/{shift['id']}"))
    assert ok(await studio.get("/v1/staff/lead-1/shifts"))["items"] == []
    assert (await studio.delete(f"/v1/staff/lead-1/shifts/{shift['id']}")).status_code == 404


async def test_one_persons_shift_is_not_found_at_another(studio: Client) -> None:
    shift = a_shift("lead-1")
    assert (await studio.get(f"/v1/staff/lead-2/shifts/{shift.id}")).status_code == 404


@pytest.mark.parametrize(
    ("start", "end", "pointer"),
    [
        (at("18:01"), at("19:00"), "/window/start"),
        (at("18:00"), at("19:59"), "/window/end"),
        (at("18:00"), at("48:05"), "/window"),
    ],
)
async def test_a_shift_keeps_to_the_grid_and_to_a_day(
    studio: Client, start: object, end: object, pointer: str
) -> None:
    window = {"start": start.isoformat(), "end": end.isoformat()}  # type: ignore[attr-defined]
    shift = {"id": "odd", "staff": "lead-1", "window": window}
    answer = await studio.post("/v1/staff/lead-1/shifts", json=shift)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_a_chair_is_closed_and_opened_again(studio: Client) -> None:
    closure = {"id": "broken", **body(a_closure("12:00", "13:00"))}
    made = ok(await studio.post("/v1/chairs/chair-1/closures", json=closure))
    assert ok(await studio.get("/v1/chairs/chair-1/closures"))["items"] == [made]
    chairs = {each["chair"]: each for each in ok(await studio.get(f"/v1/days/{DAY}"))["chairs"]}
    assert chairs["chair-1"]["closures"] == [made["window"]]
    assert (await studio.delete("/v1/chairs/chair-2/closures/broken")).status_code == 404
    ok(await studio.delete("/v1/chairs/chair-1/closures/broken"))
    assert ok(await studio.get("/v1/chairs/chair-1/closures"))["items"] == []


async def test_a_rule_is_set_and_set_back(empty: Client) -> None:
    listed = {
        each["description"]["code"]: each for each in ok(await empty.get("/v1/rules"))["items"]
    }
    default = listed["turnaround"]["setting"]
    assert listed["turnaround"]["own"] is False
    setting = default | {"parameters": {"minutes": 25}}
    changed = ok(await empty.put("/v1/rules/turnaround", json=setting))
    assert (changed["own"], changed["setting"]["parameters"]) == (True, {"minutes": 25})
    assert ok(await empty.delete("/v1/rules/turnaround"))["setting"] == default


@pytest.mark.parametrize(
    ("code", "change", "pointer"),
    [
        ("turnaround", {"parameters": {"minutes": -1}}, "/parameters/minutes"),
        ("turnaround", {"parameters": {"hours": 1}}, "/parameters/hours"),
        ("turnaround", {"scope": {"staff_tags": ["tall"]}}, "/scope/staff_tags"),
        ("turnaround", {"code": "meal-break"}, "/code"),
        ("chair-one-client", {"on": False}, "/on"),
        ("chair-one-client", {"hard": False}, "/hard"),
    ],
)
async def test_a_bad_rule_is_refused_by_its_field(
    empty: Client, code: str, change: dict[str, object], pointer: str
) -> None:
    answer = await empty.put(f"/v1/rules/{code}", json={"code": code} | change)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
    assert ok(await empty.get(f"/v1/rules/{code}"))["own"] is False


async def test_the_shelf_knows_the_house_and_learns_the_rest(empty: Client) -> None:
    plain = house_materials()[0]
    counted = {"on_hand_grams": 820.5, "on_order": [{"grams": 410, "arrives": "2026-12-04"}]}
    line = ok(await empty.put(f"/v1/hair-stock/{plain.id}", json=counted))
    assert line["stock"]["on_hand_grams"] == 820.5
    assert line["house"] is True

    own = body(plain) | {"id": "own-blend", "name": "Own blend"}
    unknown = await empty.put("/v1/hair-stock/own-blend", json={"on_hand_grams": 1})
    assert unknown.status_code == 422
    assert unknown.json()["errors"][0]["pointer"] == "/material"
    ok(await empty.put("/v1/hair-stock/own-blend", json={"on_hand_grams": 1, "material": own}))
    assert ok(await empty.get("/v1/hair-stock/own-blend"))["house"] is False
    # Known by now: a count needs no description any more.
    ok(await empty.put("/v1/hair-stock/own-blend", json={"on_hand_grams": 2}))


async def test_the_shelf_is_listed_in_pages(empty: Client) -> None:
    seen: list[str] = []
    after: str | None = None
    while True:
        params = {"limit": 20} | ({"after": after} if after else {})
        page = ok(await empty.get("/v1/hair-stock", params=params))
        seen += [line["material"]["id"] for line in page["items"]]
        after = page["next"]
        if after is None:
            break
    assert seen == sorted(material.id for material in house_materials())


async def test_it_says_whether_it_can_work(empty: Client) -> None:
    assert ok(await empty.get("/v1/health/live")) == {"alive": True}
    assert ok(await empty.get("/v1/health/ready"))["ready"] is True
