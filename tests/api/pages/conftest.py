"""The demo day served to a browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import anyio
import pytest

from tests.api.pages import demo_day
from tests.api.served import a_served_book
from tests.api.studio_kit import StoppedClock

CHROMIUM = Path("/usr/bin/chromium")


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return anyio.run(demo_day.lay, tmp_path_factory.mktemp("demo"))


@pytest.fixture
def served(demo_book: Path, tmp_path: Path) -> Iterator[str]:
    """The address of a service on the morning of the demo day."""
    shutil.copy(demo_book, tmp_path / "book.db")
    with a_served_book(tmp_path / "book.db", StoppedClock(demo_day.MORNING)) as address:
        yield address


@pytest.fixture
def browser() -> Iterator[Any]:
    if not CHROMIUM.exists():
        pytest.skip("no chromium at /usr/bin/chromium")
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with playwright.sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        yield browser
        browser.close()
