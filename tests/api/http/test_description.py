"""The description: whole, true to the code, and shown without the internet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.controllers import ROUTES
from api.description.document import TAGS, describe
from api.description.examples import recorded
from api.problems import MEDIA_TYPE
from schemas.base import Document
from tests.api.served import a_served_book
from tests.api.studio_kit import Client, ok

CHROMIUM = Path("/usr/bin/chromium")


def _operations() -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in describe()["paths"].items()
        for method, operation in methods.items()
    ]


def test_every_operation_has_an_id_a_summary_and_words_of_its_own() -> None:
    operations = [operation for _, _, operation in _operations()]
    ids = [operation["operationId"] for operation in operations]
    assert len(set(ids)) == len(ids) >= 40
    assert len({operation["summary"] for operation in operations}) == len(operations)
    assert all(len(operation["description"]) > 15 for operation in operations)
    assert {tag for operation in operations for tag in operation["tags"]} == set(TAGS)


def test_every_refusal_is_a_problem() -> None:
    for path, method, operation in _operations():
        refusals = {s: told for s, told in operation["responses"].items() if s >= "400"}
        assert refusals, f"{method} {path}"
        for status, told in refusals.items():
            assert list(told["content"]) == [MEDIA_TYPE], f"{method} {path} {status}"
            assert told["content"][MEDIA_TYPE]["example"]["status"] == int(status)


def test_every_path_of_the_table_is_there() -> None:
    wanted = {
        *("/v1/styles", "/v1/styles/{id}", "/v1/take-offs", "/v1/chairs", "/v1/staff"),
        *("/v1/staff/{id}/shifts", "/v1/rules", "/v1/openings", "/v1/bookings"),
        *("/v1/bookings/{id}", "/v1/plans", "/v1/plans/{id}", "/v1/days/{date}"),
        *("/v1/reports/chair-utilisation", "/v1/reports/hair-demand", "/v1/hair-stock"),
        *("/v1/hair-stock/{id}", "/v1/salon", "/v1/health/live", "/v1/health/ready"),
    }
    assert wanted <= set(describe()["paths"])


def test_the_documents_are_told_as_pydantic_holds_them() -> None:
    schemas = describe()["components"]["schemas"]
    models = {model.__name__: model for model in _subclasses(Document)}
    assert len(schemas) > 60
    for name, schema in schemas.items():
        if name in models:
            assert schema["additionalProperties"] is False, name
            assert set(schema.get("properties", {})) == set(models[name].model_fields), name
    referred = set(re.findall(r"#/components/schemas/(\w+)", str(describe())))
    assert referred == set(schemas)


def _subclasses(model: type[Document]) -> Iterator[type[Document]]:
    for each in model.__subclasses__():
        yield each
        yield from _subclasses(each)


def test_no_two_documents_share_a_name() -> None:
    # The document refers to them by name alone.
    names = [
        model.__name__ for model in _subclasses(Document) if model.__module__.startswith("schemas")
    ]
    assert len(set(names)) == len(names)


def test_every_controller_is_described() -> None:
    described = {path.split("/")[2] for path in describe()["paths"]}
    assert described == {controller.path.strip("/") for controller in ROUTES}


def test_every_body_and_answer_has_an_example_that_is_valid() -> None:
    models = {model.__name__: model for model in _subclasses(Document)}
    for path, method, operation in _operations():
        where = f"{method} {path}"
        contents = [operation.get("requestBody", {}).get("content", {})]
        contents += [
            told.get("content", {}) for s, told in operation["responses"].items() if s < "300"
        ]
        for content in contents:
            told = content.get("application/json")
            if told is None:
                continue
            assert "example" in told, where
            models[told["schema"]["$ref"].rsplit("/", 1)[1]].model_validate(told["example"])


def test_nothing_is_recorded_that_is_not_there() -> None:
    assert set(recorded()) <= {operation["operationId"] for _, _, operation in _operations()}


@pytest.mark.anyio
async def test_the_page_names_no_address_elsewhere(empty: Client) -> None:
    page = await empty.get("/schema")
    assert page.headers["content-type"].startswith("text/html")
    assert "http://" not in page.text
    assert "https://" not in page.text
    assert not re.findall(r"""(?:src|href)=["']//""", page.text)
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert not re.findall(r"https?:", policy)
    linked = re.findall(r'(?:src|href)="(/[^"]+)"', page.text)
    assert len(linked) == 4
    for path in linked:
        assert (await empty.get(path)).status_code == 200, path
    assert ok(await empty.get("/schema/openapi.json")) == describe()


@pytest.mark.anyio
@pytest.mark.parametrize("name", ["settings.py", "..%2Fsettings.py", "swagger-ui.LICENSE", "x"])
async def test_no_other_file_is_handed_out(empty: Client, name: str) -> None:
    assert (await empty.get(f"/schema/assets/{name}")).status_code == 404


@pytest.fixture
def served(tmp_path: Path) -> Iterator[str]:
    with a_served_book(tmp_path / "book.db") as address:
        yield address


def test_a_browser_shows_the_page_and_asks_nobody_else(served: str) -> None:
    if not CHROMIUM.exists():
        pytest.skip("no chromium at /usr/bin/chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    asked: list[str] = []
    said: list[str] = []
    with playwright.sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        page = browser.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda line: said.append(line.text) if line.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{served}/schema")
        summary = page.get_by_text("Find where a request fits").first
        playwright.expect(summary).to_be_visible(timeout=20_000)
        summary.click()
        playwright.expect(page.get_by_text("Ranked openings from now on").first).to_be_visible()
        browser.close()
    elsewhere = [url for url in asked if not url.startswith((served, "data:", "blob:"))]
    assert elsewhere == []
    assert len(asked) >= 6
    assert said == []


def test_the_service_speaks_http_over_a_socket(served: str) -> None:
    with httpx.Client(base_url=served, trust_env=False) as client:
        assert client.get("/v1/health/ready").json()["ready"] is True
        assert client.get("/v1/chairs", headers={"Accept": "application/json"}).status_code == 200
