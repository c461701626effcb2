"""The stock ledger over HTTP: every gram is on record; the balance is the sum of its entries."""

from __future__ import annotations

from typing import Any

import pytest

from solver.takeoff import house_materials
from tests.api.studio_kit import Client, book, ok
from tests.builders import DAY

pytestmark = pytest.mark.anyio
FILL = "fill-kinky-black-26"
SHELF = f"/v1/hair-stock/{FILL}"
ENTRIES = f"{SHELF}/entries"
STYLE = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}
STYLE |= {"braids": 40, "wash": False}


async def told(client: Client, path: str = ENTRIES) -> list[dict[str, Any]]:
    page = ok(await client.get(path))
    return list(reversed(page["items"]))


async def write(client: Client, **entry: Any) -> dict[str, Any]:
    written: dict[str, Any] = ok(await client.post(ENTRIES, json=entry))
    return written


async def with_skills(client: Client) -> None:
    tags = ("knotless", "assist", "hair-prep", "finish", "wash")
    skills = [{"tag": tag, "level": 4} for tag in tags]
    lead = ok(await client.get("/v1/staff/lead-1")) | {"skills": skills}
    ok(await client.put("/v1/staff/lead-1", json=lead))


async def a_styled_visit(client: Client, name: str = "one") -> dict[str, Any]:
    await with_skills(client)
    return await book(client, name, phases=(), take_off={"style": STYLE})


async def test_the_balance_is_the_sum_of_all_entries(studio: Client) -> None:
    count = {"on_hand_grams": 300, "on_order": [{"grams": 500, "arrives": "2026-12-05"}]}
    ok(await studio.put(SHELF, json=count))
    await write(studio, kind="order", grams=164.5, arrives="2026-12-09")
    await write(studio, kind="receipt", grams=400, arrives="2026-12-05")
    await write(studio, kind="receipt", grams=82)
    await write(studio, kind="correction", grams=-0.7, reason="A strand fell into the basin")
    await write(studio, kind="order-withdrawn", grams=100, arrives="2026-12-05")
    ok(await studio.put(SHELF, json={"on_hand_grams": 780.25}))
    entries = await told(studio)
    kinds = [entry["kind"] for entry in entries]
    assert kinds[:2] == ["stocktake", "order"]
    assert kinds[-2:] == ["stocktake", "order-withdrawn"]
    stock = ok(await studio.get(SHELF))["stock"]
    assert stock["on_hand_grams"] == 780.25
    assert sum(round(entry["on_hand_grams"] * 1000) for entry in entries) == 780_250
    assert sum(round(entry["on_order_grams"] * 1000) for entry in entries) == 0
    assert stock["on_order"] == []
    assert [int(entry["id"]) for entry in entries] == sorted(int(e["id"]) for e in entries)


async def test_a_receipt_is_taken_off_the_order_it_names(studio: Client) -> None:
    await write(studio, kind="order", grams=820, arrives="2026-12-05")
    await write(studio, kind="receipt", grams=410, arrives="2026-12-05")
    stock = ok(await studio.get(SHELF))["stock"]
    assert stock["on_hand_grams"] == 410
    assert stock["on_order"] == [{"grams": 410, "arrives": "2026-12-05"}]


@pytest.mark.parametrize(
    ("entry", "pointer"),
    [
        ({"kind": "receipt", "grams": -5}, "/grams"),
        ({"kind": "receipt", "grams": 5, "arrives": "2026-12-24"}, "/arrives"),
        ({"kind": "correction", "grams": -5}, ""),
        ({"kind": "correction", "grams": -5, "reason": "Nothing is there"}, "/grams"),
        ({"kind": "order", "grams": 5}, ""),
        ({"kind": "order-withdrawn", "grams": 5, "arrives": "2026-12-05"}, "/grams"),
        ({"kind": "stocktake", "grams": 5}, "/kind"),
    ],
)
async def test_an_entry_that_cannot_be_is_refused_at_its_field(
    studio: Client, entry: dict[str, Any], pointer: str
) -> None:
    answer = await studio.post(ENTRIES, json=entry)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]
    assert await told(studio) == []


async def test_a_long_ledger_is_read_page_by_page(studio: Client) -> None:
    for grams in range(1, 6):
        await write(studio, kind="receipt", grams=grams)
    first = ok(await studio.get(ENTRIES, params={"limit": 3}))
    rest = ok(await studio.get(ENTRIES, params={"limit": 3, "after": first["next"]}))
    grams = [entry["on_hand_grams"] for entry in (*first["items"], *rest["items"])]
    assert grams == [5, 4, 3, 2, 1]
    assert rest["next"] is None


async def test_what_a_visit_took_goes_off_the_shelf_once(studio: Client) -> None:
    made = await a_styled_visit(studio)
    (hair,) = made["request"]["hair"]
    shelf = f"/v1/hair-stock/{hair['material']}"
    ok(await studio.put(shelf, json={"on_hand_grams": 1000}))
    use = {"hair": [{"material": hair["material"], "grams": 400}]}
    for _ in range(2):
        answer = ok(await studio.put("/v1/bookings/one/hair", json=use))
    assert answer["lines"][0]["used"] == 400
    assert answer["lines"][0]["expected"] == hair["grams"]
    assert ok(await studio.get(shelf))["stock"]["on_hand_grams"] == 600
    use["hair"][0]["grams"] = 385
    ok(await studio.put("/v1/bookings/one/hair", json=use))
    entries = await told(studio, f"{shelf}/entries")
    uses = [entry["on_hand_grams"] for entry in entries if entry["kind"] == "use"]
    assert uses == [-400, 15]
    assert ok(await studio.get(shelf))["stock"]["on_hand_grams"] == 615


async def test_more_than_the_ledger_knew_of_is_corrected_aloud(studio: Client) -> None:
    made = await a_styled_visit(studio)
    (hair,) = made["request"]["hair"]
    shelf = f"/v1/hair-stock/{hair['material']}"
    ok(await studio.put(shelf, json={"on_hand_grams": 100}))
    use = {"hair": [{"material": hair["material"], "grams": 400}]}
    ok(await studio.put("/v1/bookings/one/hair", json=use))
    entries = await told(studio, f"{shelf}/entries")
    changes = [(entry["kind"], entry["on_hand_grams"]) for entry in entries]
    assert changes == [("stocktake", 100), ("correction", 300), ("use", -400)]
    assert ok(await studio.get(shelf))["stock"]["on_hand_grams"] == 0


async def test_hair_that_she_brings_takes_nothing_off_the_shelf(studio: Client) -> None:
    await with_skills(studio)
    fill = next(each for each in house_materials() if each.role.value == "fill")
    choice = {"role": "fill", "material": fill.id, "brought_by_client": True}
    style = STYLE | {"hair": [choice]}
    await book(studio, "one", phases=(), take_off={"style": style})
    use = {"hair": [{"material": fill.id, "grams": 10}]}
    answer = await studio.put("/v1/bookings/one/hair", json=use)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/hair/0/material"


async def test_a_weighed_visit_of_today_is_needed_once(studio: Client) -> None:
    """The demand of a day and its hair on hand are told as the day began."""
    made = await a_styled_visit(studio)
    (hair,) = made["request"]["hair"]
    ok(await studio.put(f"/v1/hair-stock/{hair['material']}", json={"on_hand_grams": 1000}))
    span = {"from": str(DAY), "to": str(DAY)}
    use = {"hair": [{"material": hair["material"], "grams": 300}]}
    ok(await studio.put("/v1/bookings/one/hair", json=use))
    (line,) = ok(await studio.get("/v1/reports/hair-demand", params=span))["lines"]
    assert (line["needed"], line["available"], line["short"]) == (300, 1000, 0)


async def test_the_scales_teach_the_rate_of_the_technique(studio: Client) -> None:
    made = await a_styled_visit(studio)
    (hair,) = made["request"]["hair"]
    before = ok(await studio.get("/v1/rates/hair-knotless"))
    assert (await studio.post("/v1/rates/hair-knotless/adoption")).status_code == 422
    use = {"hair": [{"material": hair["material"], "grams": hair["grams"] * 1.2}]}
    ok(await studio.put("/v1/bookings/one/hair", json=use))
    report = ok(await studio.get("/v1/reports/hair-use"))
    (style,), (rate,) = report["styles"], report["rates"]
    assert style["ratio"] == pytest.approx(1.2, rel=1e-4)
    # One visit with a spread of 0.1 against a prior of 0.2: four fifths of the way, in logarithms,
    # less the little that a record so far off is weighed down.
    assert rate["learned"] == pytest.approx(before["value"] * 1.2**0.8, rel=3e-3)
    adopted = ok(await studio.post("/v1/rates/hair-knotless/adoption"))
    assert adopted["value"] == pytest.approx(rate["learned"], abs=1e-6)
    assert adopted["provenance"] == "learned"
    again = ok(await studio.get("/v1/reports/hair-use"))["rates"][0]
    # Learned from the same visit, the new rate needs no more than what is left of the way.
    assert again["learned"] / again["in_use"] == pytest.approx(1.2**0.16, rel=3e-3)
