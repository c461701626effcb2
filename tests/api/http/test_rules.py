"""Several settings of one rule, and laws on breaks put in force in one call."""

from __future__ import annotations

from typing import Any

import pytest

from api.services.house_rules import MOST_OF_ONE_RULE
from solver.rules.presets import PRESETS
from tests.api.studio_kit import Client, an_install, body, ok, openings_for
from tests.builders import DAY, a_window

pytestmark = pytest.mark.anyio

LATE = {"code": "latest-start", "label": "long", "parameters": {"longer": 150, "after": "10:00"}}


async def settings_of(client: Client, code: str) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = ok(await client.get(f"/v1/rules/{code}"))["settings"]
    return told


async def test_a_rule_is_set_several_times_and_every_setting_holds(studio: Client) -> None:
    for tag in ("a", "b"):
        # Whoever has the tag must be there before ten; nobody below is.
        early = {"label": tag, "parameters": {"longer": 0, "after": "10:00"}}
        setting = LATE | early | {"scope": {"visit_tags": [tag]}}
        ok(await studio.put(f"/v1/rules/latest-start/settings/{tag}", json=setting))
    windows = (a_window("11:00", "18:00"),)
    found = {
        tags: len(await openings_for(studio, an_install("x", windows=windows, tags=tags)))
        for tags in ((), ("a",), ("b",))
    }
    assert found[()] > 0
    assert (found["a",], found["b",]) == (0, 0)


async def test_a_setting_is_read_changed_and_removed_by_its_label(empty: Client) -> None:
    path = "/v1/rules/latest-start/settings/long"
    default = await settings_of(empty, "latest-start")
    assert (await empty.get(path)).status_code == 404
    ok(await empty.put(path, json=LATE))
    changed = LATE | {"parameters": {"longer": 200, "after": "11:00"}}
    assert ok(await empty.put(path, json=changed))["parameters"] == changed["parameters"]
    assert ok(await empty.get(path))["parameters"] == changed["parameters"]
    assert len(await settings_of(empty, "latest-start")) == 1
    assert ok(await empty.delete(path))["own"] is False
    assert await settings_of(empty, "latest-start") == default
    assert (await empty.delete(path)).status_code == 404


async def test_setting_the_rule_as_a_whole_leaves_one_setting(empty: Client) -> None:
    for label in ("long", "huge"):
        path = f"/v1/rules/latest-start/settings/{label}"
        ok(await empty.put(path, json=LATE | {"label": label}))
    ok(await empty.put("/v1/rules/latest-start", json=LATE | {"label": None}))
    assert [each["label"] for each in await settings_of(empty, "latest-start")] == [None]
    ok(await empty.put("/v1/rules/latest-start/settings/long", json=LATE))
    assert [each["label"] for each in await settings_of(empty, "latest-start")] == [None, "long"]
    assert ok(await empty.delete("/v1/rules/latest-start"))["own"] is False


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"code": "turnaround"}, "/code"),
        ({"label": "other"}, "/label"),
        ({"label": None}, "/label"),
        ({"parameters": {"longer": -1}}, "/parameters/longer"),
        ({"scope": {"staff_tags": ["x"]}}, "/scope/staff_tags"),
    ],
)
async def test_a_bad_setting_is_refused_by_its_field(
    empty: Client, change: dict[str, Any], pointer: str
) -> None:
    answer = await empty.put("/v1/rules/latest-start/settings/long", json=LATE | change)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_a_rule_that_is_set_once_takes_no_second_setting(empty: Client) -> None:
    setting = {"code": "turnaround", "label": "slow", "parameters": {"minutes": 30}}
    answer = await empty.put("/v1/rules/turnaround/settings/slow", json=setting)
    assert answer.status_code == 409
    assert "PUT /v1/rules/turnaround" in answer.json()["detail"]
    assert (await empty.put("/v1/rules/nothing/settings/x", json=LATE)).status_code == 404


async def test_there_is_an_end_to_the_settings_of_one_rule(empty: Client) -> None:
    for number in range(MOST_OF_ONE_RULE):
        path = f"/v1/rules/latest-start/settings/n{number}"
        ok(await empty.put(path, json=LATE | {"label": f"n{number}"}))
    answer = await empty.put("/v1/rules/latest-start/settings/long", json=LATE)
    assert answer.status_code == 409
    assert len(await settings_of(empty, "latest-start")) == MOST_OF_ONE_RULE


async def test_every_law_is_listed_with_its_article_and_what_it_asks_beyond(empty: Client) -> None:
    laws = ok(await empty.get("/v1/break-laws"))["items"]
    assert [law["preset"]["code"] for law in laws] == [preset.code for preset in PRESETS]
    for law in laws:
        assert "check your local code" in law["caution"]
        assert law["adopted"] is False
        assert all(law["preset"][field] for field in ("law", "place", "states", "leaves_out"))
        assert ok(await empty.get(f"/v1/break-laws/{law['preset']['code']}")) == law
    assert (await empty.get("/v1/break-laws/nowhere")).status_code == 404


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.code)
async def test_a_law_is_put_in_force_in_one_call(empty: Client, preset: Any) -> None:
    path = f"/v1/break-laws/{preset.code}"
    rules = ok(await empty.post(f"{path}/adoption"))["items"]
    told = [setting for rule in rules for setting in rule["settings"]]
    assert sorted(told, key=str) == sorted((body(each) for each in preset.settings), key=str)
    assert all(rule["own"] for rule in rules)
    assert ok(await empty.get(path))["adopted"] is True
    # Doing it twice changes nothing.
    assert ok(await empty.post(f"{path}/adoption"))["items"] == rules


async def test_another_law_takes_the_place_of_the_one_before(empty: Client) -> None:
    for code in ("new-york-meals", "germany-rest-breaks"):
        ok(await empty.post(f"/v1/break-laws/{code}/adoption"))
    laws = ok(await empty.get("/v1/break-laws"))["items"]
    assert [law["preset"]["code"] for law in laws if law["adopted"]] == ["germany-rest-breaks"]
    assert ok(await empty.get("/v1/rules/meal-window"))["own"] is False


async def test_what_the_salon_has_set_itself_outlives_a_law_on_other_rules(empty: Client) -> None:
    own = {"code": "rest-between-days", "parameters": {"minutes": 700}, "source": "Our own habit"}
    ok(await empty.put("/v1/rules/rest-between-days", json=own))
    ok(await empty.post("/v1/break-laws/germany-rest-breaks/adoption"))
    assert (await settings_of(empty, "rest-between-days"))[0]["parameters"] == {"minutes": 700}
    ok(await empty.post("/v1/break-laws/uk-working-time/adoption"))
    assert (await settings_of(empty, "rest-between-days"))[0]["parameters"] == {"minutes": 660}
    assert ok(await empty.get("/v1/break-laws/uk-working-time"))["adopted"] is True


async def test_a_day_planned_under_a_law_keeps_it(studio: Client) -> None:
    ok(await studio.post("/v1/break-laws/new-york-meals/adoption"))
    for name in ("one", "two", "three"):
        ok(await studio.post("/v1/bookings", json={"request": an_install(name)}))
    order = {"first": str(DAY), "last": str(DAY), "seconds": 5, "publish": True}
    run = ok(await studio.post("/v1/plans", json=order))
    assert run["published"] is True
    found = ok(await studio.get(f"/v1/days/{DAY}"))["findings"]
    assert [each for each in found if each["hard"]] == []
