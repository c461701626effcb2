"""Take-offs over HTTP: explained, drawn, priced, and against the shelf."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from math import fsum
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.api.studio_kit import Client, ok

pytestmark = pytest.mark.anyio

STYLE = {
    "name": "Knotless <b>& curls</b>",
    "technique": "knotless",
    "size": "large",
    "length_cm": 75,
    "parting": {
        "sections": [
            {"name": "front-left", "rows": [2, 2, 2, 4]},
            {"name": "front-right", "mirror_of": "front-left"},
            {"name": "back", "pattern": {"first": [3, 4], "rows": 7}},
        ]
    },
    "curls": {"placement": "along", "per_braid": 4},
}
ENTRY = {"id": "knotless-curls", "style": STYLE, "price": 20000, "currency": "EUR"}


async def _take_off(client: Client, explain: str = "false", **question: Any) -> dict[str, Any]:
    told = {"style": STYLE, **question}
    answer: dict[str, Any] = ok(
        await client.post("/v1/take-offs", json=told, params={"explain": explain})
    )
    return answer


async def test_an_explanation_adds_up_exactly(empty: Client) -> None:
    answer = await _take_off(empty, "true", pace=1.13)
    assert fsum(line["amount"] for line in answer["lines"]) == answer["minutes"]["mean"]
    assert fsum(line["amount"] for line in answer["hair_lines"]) == answer["hair_grams"]
    for line in (*answer["lines"], *answer["hair_lines"]):
        assert line["quantity"] * line["rate"] == line["amount"]
        assert line["rate_code"] or line["worked"] or line["label"] == "Pace 1.13"
    assert any(sentence.startswith("back: 3 + 4") for sentence in answer["reckoning"])


async def test_without_it_the_same_figures_come_without_their_lines(empty: Client) -> None:
    plain, explained = await _take_off(empty), await _take_off(empty, "true")
    lines = {"lines": [], "hair_lines": [], "reckoning": []}
    assert plain == explained | lines


async def test_the_crew_table_tells_what_each_pair_of_hands_saves(empty: Client) -> None:
    crews = (await _take_off(empty))["crews"]
    assert [crew["assistants"] for crew in crews] == [0, 1, 2, 3]
    savings = [crew["saved_by_last"] for crew in crews[1:]]
    assert savings == sorted(set(savings), reverse=True)
    for crew in crews:
        assert crew["p50"] < crew["p80"] < crew["p95"]
        assert 0 <= crew["booked"] - crew["p80"] < 5


async def test_money_is_whole_packs_in_minor_units(empty: Client) -> None:
    answer = await _take_off(empty)
    shelf = {
        line["material"]["id"]: line["material"]
        for line in ok(await empty.get("/v1/hair-stock", params={"limit": 500}))["items"]
    }
    for line in answer["hair"]:
        material = shelf[line["material"]]
        assert line["price"] == line["packs"] * material["pack_price"]
        assert (line["packs"] - 1) * material["pack_grams"] < line["grams"]
        assert line["grams"] <= line["packs"] * material["pack_grams"]
    total = sum(line["price"] for line in answer["hair"])
    assert answer["hair_prices"] == [{"currency": "EUR", "price": total}]


async def test_a_short_shelf_draws_substitutes_with_their_cost(empty: Client) -> None:
    assert (await _take_off(empty))["substitutes"] == []
    for material, grams in (("fill-kinky-black-30", 100), ("fill-kinky-black-42", 2000)):
        path = f"/v1/hair-stock/{material}"
        ok(await empty.put(path, json={"on_hand_grams": grams}))
    answer = await _take_off(empty)
    (asked,) = (line for line in answer["hair"] if line["role"] == "fill")
    assert {each["instead_of"] for each in answer["substitutes"]} == {"fill-kinky-black-30"}
    best = answer["substitutes"][0]
    assert (best["material"], best["on_hand"]) == ("fill-kinky-black-42", True)
    assert best["short_grams"] == asked["grams"] - 100
    assert best["extra_grams"] == best["grams"] - asked["grams"]
    assert "cut down" in best["sentence"]
    brought = {"role": "fill", "material": "fill-kinky-black-30", "brought_by_client": True}
    own = await _take_off(empty, style={**STYLE, "hair": [brought]})
    assert own["substitutes"] == []
    assert "fill" not in {line["role"] for line in own["hair"] if line["price"]}


async def _image(client: Client, method: str, path: str, document: Any = None) -> str:
    answer = await client.request(method, path, json=document)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("image/svg+xml")
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert answer.headers["x-content-type-options"] == "nosniff"
    return answer.text


async def test_the_parting_of_any_style_is_drawn_with_its_text_escaped(empty: Client) -> None:
    image = await _image(empty, "POST", "/v1/parting-maps", {"style": STYLE})
    assert "<b>" not in image
    root = ElementTree.fromstring(image)  # noqa: S314  our own image
    assert STYLE["name"] in str(root.findtext("{http://www.w3.org/2000/svg}title"))
    assert image.count("<polygon") == 44 + 1  # a box for each braid, and the head


async def test_a_style_of_the_menu_has_its_map_at_an_address(empty: Client) -> None:
    assert (await empty.get("/v1/styles/knotless-curls/parting-map")).status_code == 404
    ok(await empty.post("/v1/styles", json=ENTRY))
    shown = await _image(empty, "GET", "/v1/styles/knotless-curls/parting-map")
    assert shown == await _image(empty, "POST", "/v1/parting-maps", {"menu": "knotless-curls"})
    fewer = {"menu": "knotless-curls", "change": {"braids": 20}}
    changed = await _image(empty, "POST", "/v1/parting-maps", fewer)
    assert changed.count("<polygon") == 20 + 1


async def test_the_map_counts_by_the_salons_rates(empty: Client) -> None:
    style = {"name": "X", "technique": "knotless", "size": "large", "length_cm": 60}

    async def braids() -> int:
        image = await _image(empty, "POST", "/v1/parting-maps", {"style": style})
        return int(re.findall(r">(\d+) braids<", image)[0])

    usual = await braids()
    ok(await empty.put("/v1/rates/box-large", json={"value": 3}))
    assert await braids() > usual
    assert await braids() == (await _take_off(empty, style=style))["braids"]


@pytest.mark.parametrize(
    ("question", "pointer"),
    [
        ({}, ""),
        ({"menu": "no-such"}, "/menu"),
        ({"style": STYLE, "menu": "knotless-curls"}, ""),
        ({"style": {**STYLE, "technique": "macrame"}}, "/style/technique"),
        ({"style": {**STYLE, "length_cm": 500}}, "/style/length_cm"),
        ({"style": {**STYLE, "parting": {"sections": []}}}, "/style/parting/sections"),
    ],
)
async def test_what_cannot_be_drawn_is_named_by_field(
    empty: Client, question: dict[str, Any], pointer: str
) -> None:
    answer = await empty.post("/v1/parting-maps", json=question)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("flag", ["yes please", "null", "2"])
async def test_an_explanation_is_asked_for_by_true_or_false(empty: Client, flag: str) -> None:
    answer = await empty.post("/v1/take-offs", json={"style": STYLE}, params={"explain": flag})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "explain"


async def test_people_of_the_salon_help_at_their_own_rates_and_finish_by_the_clock(
    studio: Client,
) -> None:
    (helper,) = (
        person
        for person in ok(await studio.get("/v1/staff"))["items"]
        if person["id"] == "assistant-1"
    )
    ok(await studio.put("/v1/staff/assistant-1", json=helper | {"help_rate": 0.7}))
    start = "2026-12-01T09:00:00Z"
    named = await _take_off(studio, helped_by=["assistant-1"], start=start)
    told = [{"name": helper["name"], "help_rate": 0.7}]
    assert named == await _take_off(studio, helpers=told, start=start)
    alone, helped = named["crews"]
    assert helped["crew"] == f"lead with {helper['name']}"
    begins = datetime.fromisoformat(start)
    for crew in (alone, helped):
        assert datetime.fromisoformat(crew["finish"]) - begins == timedelta(minutes=crew["booked"])
    for who, pointer in (("nobody", "/helped_by/0"), ("lead-1", "/helped_by/0")):
        wrong = {"style": STYLE, "helped_by": [who]}
        answer = await studio.post("/v1/take-offs", json=wrong)
        assert answer.json()["errors"][0]["pointer"] == pointer


def _with_rows(**section: Any) -> dict[str, Any]:
    return {**STYLE, "parting": {"sections": [{"name": "back", **section}]}}


@pytest.mark.parametrize(
    ("style", "status"),
    [
        ({**STYLE, "parting": None, "braids": -3}, 422),
        ({**STYLE, "parting": None, "braids": 10_000}, 422),
        ({**STYLE, "length_cm": 500}, 422),
        (_with_rows(mirror_of="front"), 422),
        (_with_rows(rows=[3, -1]), 422),
        (_with_rows(pattern={"first": [3], "rows": 1_000_000}), 422),
        (_with_rows(rows=[1] * 200_000), 422),
        (_with_rows(rows=[1] * 1_000_000), 413),
    ],
)
@pytest.mark.parametrize("path", ["/v1/take-offs", "/v1/parting-maps"])
async def test_nonsense_is_refused_in_a_sentence(
    empty: Client, path: str, style: dict[str, Any], status: int
) -> None:
    answer = await empty.post(path, json={"style": style})
    assert answer.status_code == status
    problem = answer.json()
    if status == 422:
        (fault,) = problem["errors"]
        assert fault["pointer"].startswith("/style")
        assert fault["detail"]
    else:
        assert problem["detail"] == "The body is too large."
