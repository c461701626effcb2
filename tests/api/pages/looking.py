"""A page in a browser that remembers what it loaded and complained of, and its accessibility."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import pytest

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""Tags of axe-core: WCAG 2.2 at level AA, and what its authors advise beyond."""


PATIENCE = 90
"""Seconds: a busy machine is slow, not broken."""


def patient() -> Any:
    """Playwright's `expect`, which waits as long as a busy machine needs."""
    expect = pytest.importorskip("playwright.sync_api").expect
    expect.set_options(timeout=PATIENCE * 1000)
    return expect


class Look:
    """One page of a browser, at a width and in light or dark."""

    def __init__(self, browser: Any, address: str, *, width: int = 1280, scheme: str = "light"):
        self.address = address
        self.context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, locale="en-GB"
        )
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE * 1000)
        self.said: list[str] = []
        self.loaded: dict[str, int] = {}
        self.page.on("console", self._hear)
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("response", self._weigh)

    def go(self, path: str) -> Any:
        self.page.goto(self.address + path)
        return self.page

    def violations(self) -> list[str]:
        """What axe-core finds wrong with the page as it stands."""
        self.page.evaluate(_axe())
        found = self.page.evaluate("rules => axe.run({runOnly: rules})", RULES)
        return [
            f"{each['id']}: {node['target']}"
            for each in found["violations"]
            for node in each["nodes"]
        ]

    def elsewhere(self) -> list[str]:
        """Addresses asked for that are none of the service's."""
        return [url for url in self.loaded if not url.startswith((self.address, "data:"))]

    def close(self) -> None:
        self.context.close()

    def _hear(self, line: Any) -> None:
        # A form that is refused is answered 422, which the browser puts on its console too.
        if line.type in {"error", "warning"} and "status of 4" not in line.text:
            self.said.append(line.text)

    def _weigh(self, answer: Any) -> None:
        if "/live" in answer.url:
            return
        self.loaded[answer.url] = int(answer.headers.get("content-length", 0))


@cache
def _axe() -> str:
    return files("axe_playwright_python").joinpath("axe.min.js").read_text()
