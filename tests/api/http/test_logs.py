"""Logs: one line for each request, found again by its id, with nothing personal in it."""

from __future__ import annotations

import io
import json
import logging
import logging.config
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from api.demo.diary import calls
from api.logs import logging_of
from api.services.callers import Role
from api.services.tokens import Tokens
from tests.api.studio_kit import Client, StoppedClock, a_small_service, an_install, body, ok
from tests.builders import DAY, a_chair

pytestmark = pytest.mark.anyio
CLIENT = "Amina Sabratha-Lindqvist"


class Lines:
    """What was logged so far."""

    def __init__(self, text: io.StringIO) -> None:
        self.text = text

    def __str__(self) -> str:
        return self.text.getvalue()

    @property
    def told(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in str(self).splitlines()]

    @property
    def answers(self) -> list[dict[str, Any]]:
        return [line for line in self.told if line["logger"] == "partline.requests"]


@pytest.fixture
def lines() -> Iterator[Lines]:
    """The service's own configuration of logging, written to a string."""
    config = logging_of(readable=False)
    formatter = logging.config.DictConfigurator(config).configure_formatter(
        config["formatters"]["lines"]
    )
    text = io.StringIO()
    handler = logging.StreamHandler(text)
    handler.setFormatter(formatter)
    root = logging.getLogger()
    level = root.level
    # The client of these tests runs in the same process, and logs what it asks.
    logging.getLogger("httpx").setLevel(logging.WARNING)
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    yield Lines(text)
    root.removeHandler(handler)
    root.setLevel(level)
    logging.getLogger("httpx").setLevel(logging.NOTSET)


async def test_a_request_is_one_line_and_its_answer_has_the_id(
    studio: Client, lines: Lines
) -> None:
    answer = await studio.post("/v1/chairs", json=body(a_chair("third")))
    (line,) = lines.answers
    assert line["request"] == answer.headers["x-request-id"]
    assert (line["method"], line["operation"], line["status"]) == ("POST", "addChair", 201)
    assert line["who"] == "anybody"
    assert line["ms"] >= 0
    assert set(line) == {
        *("event", "level", "logger", "timestamp", "request", "method", "operation"),
        *("status", "ms", "who", "role"),
    }


async def test_an_id_that_a_proxy_gave_is_kept_and_nonsense_is_not(
    studio: Client, lines: Lines
) -> None:
    for given, kept in (("abc-123", True), ("a b", False), ("x" * 65, False), ("a\tb", False)):
        answer = await studio.get("/v1/chairs", headers={"X-Request-Id": given})
        assert (answer.headers["x-request-id"] == given) is kept
        assert lines.answers[-1]["request"] == answer.headers["x-request-id"]


async def test_what_is_refused_at_the_door_is_logged_too(studio: Client, lines: Lines) -> None:
    for method, path in (("GET", "/nowhere"), ("PATCH", "/v1/chairs"), ("GET", "/v1/chairs?x=1")):
        answer = await studio.request(method, path)
        assert lines.answers[-1]["status"] == answer.status_code
        assert lines.answers[-1]["request"] == answer.headers["x-request-id"]


async def test_who_asked_is_named_by_her_token_which_is_not_told(
    tmp_path: Path, lines: Lines
) -> None:
    async with a_small_service(tmp_path) as client:
        tokens = Tokens(client.app.state.desk.tokens.store, StoppedClock())
        desk = await tokens.make("ines", Role.DESK, staff=None, days=1)
    async with a_small_service(tmp_path, tokens="required") as client:
        client.headers["Authorization"] = f"Bearer {desk}"
        await client.put("/v1/salon", json={})
    assert (lines.answers[-1]["who"], lines.answers[-1]["role"]) == ("ines", "desk")
    assert lines.answers[-1]["status"] == 403
    assert desk.removeprefix("partline_") not in str(lines)


async def test_no_client_is_named_whatever_goes_wrong(
    studio: Client, lines: Lines, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked, booked, refused, a database that fails at the write, a document that cannot be."""
    request = an_install("one", client=CLIENT)
    found = ok(await studio.post("/v1/openings", json={"request": request}))["openings"]
    bought = {"request": request, "opening": found[0]}
    ok(await studio.post("/v1/bookings", json=bought))
    assert (await studio.post("/v1/bookings", json=bought)).status_code == 409
    wrong = {"request": request | {"colour": CLIENT}}
    assert (await studio.post("/v1/bookings", json=wrong)).status_code == 422
    await studio.get("/v1/bookings", params={"day": CLIENT, CLIENT: CLIENT})

    other = {"request": an_install("two", client=CLIENT)}
    store = studio.app.state.desk.bookings.store
    async with store.engines.writer.begin() as connection:
        await connection.exec_driver_sql("ALTER TABLE booking RENAME COLUMN document TO gone")
    assert (await studio.post("/v1/bookings", json=other)).status_code == 503
    async with store.engines.writer.begin() as connection:
        await connection.exec_driver_sql("ALTER TABLE booking RENAME COLUMN gone TO document")
        await connection.exec_driver_sql(
            "UPDATE booking SET document = json_set(document, '$.status', ?)", (CLIENT,)
        )
    assert (await studio.get("/v1/bookings/one")).status_code == 500
    assert {"409", "422", "503", "500"} <= {str(line["status"]) for line in lines.answers}
    assert "Traceback" in str(lines)
    assert CLIENT not in str(lines)
    assert CLIENT.split("-")[1] not in str(lines)


async def test_no_client_of_the_demo_is_named_nor_her_number(studio: Client, lines: Lines) -> None:
    """Kept, told twice, refused, exported, erased: her name and telephone number in every one."""
    names = sorted({call.client for call in calls(DAY, seed=1)})
    assert len(names) > 10
    for number, name in enumerate(names):
        client = f"{name}, +351 555 01{number:02d}"
        kept = {"request": an_install(f"n{number}", client=client)}
        ok(await studio.post("/v1/bookings", json=kept))
        assert (await studio.post("/v1/bookings", json=kept)).status_code == 409
        wrong = {"request": kept["request"] | {"colour": client}}
        assert (await studio.post("/v1/bookings", json=wrong)).status_code == 422
        erase = {"client": client}
        assert (await studio.post("/v1/client-erasures", json=erase)).status_code == 409
    ok(await studio.delete("/v1/bookings/n0"))
    first = {"client": f"{names[0]}, +351 555 0100"}
    ok(await studio.post("/v1/client-exports", json=first))
    ok(await studio.post("/v1/client-erasures", json=first))
    assert len(lines.answers) > 4 * len(names)
    assert "555 01" not in str(lines)
    assert not [name for name in names if re.search(rf"\b{name}\b", str(lines))]
