"""Chairs, people, the menu: listed, added, read, replaced, retired."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.studio_kit import Client, body, ok
from tests.builders import a_chair, a_lead

pytestmark = pytest.mark.anyio

STYLE = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}
ENTRY = {"id": "knotless", "style": STYLE, "price": 18000, "currency": "EUR"}
KINDS = [
    ("/v1/chairs", body(a_chair("one")), "name", "By the window"),
    ("/v1/staff", body(a_lead("one")), "pace", 1.2),
    ("/v1/styles", ENTRY | {"id": "one"}, "price", 20000),
]


@pytest.mark.parametrize(("path", "document", "field", "value"), KINDS)
async def test_it_is_added_read_replaced_and_retired(
    empty: Client, path: str, document: dict[str, Any], field: str, value: object
) -> None:
    added = await empty.post(path, json=document)
    assert added.status_code == 201
    assert added.headers["location"] == f"{path}/one"
    assert added.headers["etag"] == '"1"'
    assert ok(await empty.get(f"{path}/one")) == added.json()

    replaced = await empty.put(f"{path}/one", json=added.json() | {field: value})
    assert ok(replaced)[field] == value
    assert replaced.headers["etag"] == '"2"'

    assert ok(await empty.delete(f"{path}/one"))["retired"] is True
    assert ok(await empty.get(f"{path}/one"))["retired"] is True
    assert (await empty.delete(f"{path}/one")).headers["etag"] == '"3"'


@pytest.mark.parametrize(("path", "document", "field", "value"), KINDS)
async def test_a_name_is_taken_once(
    empty: Client, path: str, document: dict[str, Any], field: str, value: object
) -> None:
    ok(await empty.post(path, json=document))
    again = await empty.post(path, json=document | {field: value})
    assert again.status_code == 409
    assert again.json()["type"] == "/problems/already-there"
    assert ok(await empty.get(f"{path}/one"))[field] != value


@pytest.mark.parametrize(("path", "document", "field", "value"), KINDS)
async def test_a_stale_edit_is_refused_and_changes_nothing(
    empty: Client, path: str, document: dict[str, Any], field: str, value: object
) -> None:
    ok(await empty.post(path, json=document))
    ok(await empty.put(f"{path}/one", json=document))
    changed = document | {field: value}
    for tag in ('"1"', 'W/"2"', "2"):
        stale = await empty.put(f"{path}/one", json=changed, headers={"If-Match": tag})
        assert stale.status_code == 412
        assert (await empty.delete(f"{path}/one", headers={"If-Match": tag})).status_code == 412
    kept = await empty.get(f"{path}/one")
    assert kept.headers["etag"] == '"2"'
    assert kept.json()[field] != value
    ok(await empty.put(f"{path}/one", json=changed, headers={"If-Match": '"2"'}))


@pytest.mark.parametrize(("path", "document", "field", "value"), KINDS)
async def test_a_list_goes_on_at_its_next(
    empty: Client, path: str, document: dict[str, Any], field: str, value: object
) -> None:
    for name in ("c", "a", "b"):
        ok(await empty.post(path, json=document | {"id": name}))
    first = ok(await empty.get(path, params={"limit": 2}))
    assert [item["id"] for item in first["items"]] == ["a", "b"]
    rest = ok(await empty.get(path, params={"limit": 2, "after": first["next"]}))
    assert [item["id"] for item in rest["items"]] == ["c"]
    assert rest["next"] is None


async def test_the_name_in_the_path_is_the_name_in_the_body(empty: Client) -> None:
    ok(await empty.post("/v1/chairs", json=body(a_chair("one"))))
    answer = await empty.put("/v1/chairs/one", json=body(a_chair("two")))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/id"
