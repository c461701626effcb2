"""The frame of the pages: refusals told as pages, a strict policy, and nothing from elsewhere."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from api.pages.assets import KINDS
from api.paths import asked_of
from api.services.permits import MAY
from tests.api.studio_kit import Client, a_small_service

pytestmark = pytest.mark.anyio
HTML = {"Accept": "text/html"}


async def test_an_empty_book_says_what_to_do(empty: Client) -> None:
    page = await empty.get("/")
    assert page.status_code == 200
    assert "This book is empty" in page.text


async def test_pages_run_and_load_nothing_that_is_not_handed_out(studio: Client) -> None:
    page = await studio.get("/days/2026-12-01")
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert not re.search(r"""<style|\sstyle=|\son\w+=|(?:src|href)=["'](?:https?:)?//""", page.text)
    for path in re.findall(r'(?:src|href)="(/assets/[^"]+)"', page.text):
        assert (await studio.get(path)).status_code == 200, path


async def test_what_is_not_there_is_told_as_a_page_to_a_browser_alone(studio: Client) -> None:
    page = await studio.get("/nothing", headers=HTML)
    assert (page.status_code, page.headers["content-type"][:9]) == (404, "text/html")
    assert (await studio.get("/v1/nothing", headers=HTML)).json()["status"] == 404
    wrong = await studio.get("/days/2026-02-30")
    assert (wrong.status_code, "there is no such date" in wrong.text) == (422, True)
    piece = await studio.get("/days/2026-02-30", headers={"HX-Request": "true"})
    assert "<html" not in piece.text


async def test_whoever_is_nobody_here_sees_no_page(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, tokens="required") as client:
        page = await client.get("/", headers=HTML)
        assert (page.status_code, page.headers["location"]) == (303, "/sign-in")


async def test_every_page_is_for_the_roles_of_an_operation(empty: Client) -> None:
    pages = [route for route in empty.app.routes if not route.path.startswith(("/v1", "/schema"))]
    handlers = {
        handler: route.path for route in pages for handler in getattr(route, "route_handlers", ())
    }
    of_pages = {
        each: path
        for each, path in handlers.items()
        if each.opt.get("page") and each.http_methods != {"OPTIONS"}
    }
    assert of_pages
    for handler, path in of_pages.items():
        scope = {"type": "http", "method": "GET", "route_handler": handler}
        asked = asked_of(scope)  # type: ignore[arg-type]
        if {"everybody", "known"} & set(handler.opt):
            assert not asked
            assert path in {"/sign-in", "/sign-out", "/problems", "/problems/{kind:str}"}
        else:
            assert asked, path
            assert set(asked) <= set(MAY), path


def test_what_is_shipped_has_its_licence_beside_it() -> None:
    static = files("api.pages").joinpath("static")
    assert all(static.joinpath(name).is_file() for name in KINDS)
    assert "BSD" in static.joinpath("htmx.LICENSE").read_text()
    assert "htmx.org, version" in static.joinpath("htmx.NOTICE").read_text()
