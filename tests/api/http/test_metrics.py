"""What Prometheus is told, and what readiness says of the parts."""

from __future__ import annotations

from pathlib import Path

import pytest
from prometheus_client.parser import text_string_to_metric_families

from api.services.callers import Role
from tests.api.studio_kit import Client, a_small_service, an_install, body, ok
from tests.builders import DAY, a_chair

pytestmark = pytest.mark.anyio


async def _read(client: Client, **headers: str) -> dict[tuple[str, ...], float]:
    answer = await client.get("/metrics", headers=headers)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/plain; version=0.0.4")
    return {
        (sample.name, *sorted(sample.labels.values())): sample.value
        for family in text_string_to_metric_families(answer.text)
        for sample in family.samples
    }


async def test_requests_and_refusals_are_counted_by_our_names_for_them(empty: Client) -> None:
    ok(await empty.post("/v1/chairs", json=body(a_chair("one"))))
    assert (await empty.post("/v1/chairs", json=body(a_chair("one")))).status_code == 409
    await empty.get("/v1/chairs/secret-name")
    await empty.get("/secret-path?secret=1")
    told = await _read(empty)
    assert told["partline_requests_total", "201", "POST", "addChair"] == 1
    assert told["partline_requests_total", "409", "POST", "addChair"] == 1
    assert told["partline_refusals_total", "already-there"] == 1
    assert told["partline_refusals_total", "not-found"] == 1
    assert told["partline_request_seconds_count", "addChair"] == 2
    assert told["partline_requests_total", "404", "GET", "none"] == 1
    assert told[("partline_runs",)] == 0
    assert told[("process_start_time_seconds",)] > 0
    assert "secret" not in str(told)


async def test_what_the_solver_does_is_timed(studio: Client) -> None:
    ok(await studio.post("/v1/bookings", json={"request": an_install("one")}))
    order = {"first": str(DAY), "last": str(DAY), "seconds": 2}
    ok(await studio.post("/v1/plans", json=order))
    told = await _read(studio)
    assert told["partline_solve_seconds_count", "plan"] == 1
    assert told["partline_solve_seconds_sum", "plan"] > 0
    assert told["partline_solve_gap_count", "plan"] == 1


async def test_figures_are_for_those_who_are_known(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, tokens="required") as client:
        assert (await client.get("/metrics")).status_code == 401
        tokens = client.app.state.desk.tokens
        token = await tokens.make("prometheus", Role.READ_ONLY, staff=None, days=1)
        told = await _read(client, Authorization=f"Bearer {token}")
        assert told["partline_requests_total", "401", "GET", "none"] == 1


async def test_readiness_tells_of_a_redis_that_is_gone_and_stays_ready(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, redis="redis://127.0.0.1:1/0") as client:
        ready = ok(await client.get("/v1/health/ready"))
    assert ready["ready"] is True
    told = {part["name"]: part for part in ready["parts"]}
    assert {name: part["well"] for name, part in told.items()} == {"redis": False, "workers": False}
    assert "counts for itself" in told["redis"]["detail"]
    assert "none is there" in told["workers"]["detail"]


async def test_readiness_names_nothing_that_is_not_configured(empty: Client) -> None:
    assert ok(await empty.get("/v1/health/ready"))["parts"] == []
