"""How soon a page is painted and what it weighs: `python -m tests.benchmarks.pages --json`.

A service with the demo day on a socket of this machine, and Chromium without a cache: for each page
the time to the first byte, the first paint (first-contentful-paint, W3C Paint Timing) and all bytes
that were loaded. The middle of several visits is told, since a busy machine is slow now and then.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

import anyio
from playwright.sync_api import sync_playwright

from tests.api.pages import demo_day
from tests.api.pages.conftest import CHROMIUM
from tests.api.pages.looking import Look
from tests.api.served import a_served_book
from tests.api.studio_kit import StoppedClock

PAGES = ("/", f"/days/{demo_day.DAY}", f"/desk/happened?on={demo_day.DAY}")
PAINT = """() => new Promise(done => new PerformanceObserver((list, self) => {
  const found = list.getEntriesByName("first-contentful-paint")[0];
  if (found) { self.disconnect(); done(found.startTime); }
}).observe({type: "paint", buffered: true}))"""
FIRST_BYTE = "() => performance.getEntriesByType('navigation')[0].responseStart"


def measure(visits: int) -> list[dict[str, Any]]:
    with tempfile.TemporaryDirectory() as folder:
        laid = anyio.run(demo_day.lay, Path(folder))
        shutil.copy(laid, Path(folder) / "book.db")
        clock = StoppedClock(demo_day.MORNING)
        with a_served_book(Path(folder) / "book.db", clock) as address, sync_playwright() as tools:
            browser = tools.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
            found = [_page(browser, address, path, visits) for path in PAGES]
            browser.close()
    return found


def _page(browser: Any, address: str, path: str, visits: int) -> dict[str, Any]:
    paints, first, weight = [], [], 0
    for _ in range(visits + 1):
        look = Look(browser, address)
        page = look.go(path)
        paints.append(page.evaluate(PAINT))
        first.append(page.evaluate(FIRST_BYTE))
        page.wait_for_load_state("load")
        weight = sum(look.loaded.values())
        look.close()
    # The first visit warms the service up.
    return {
        "page": path,
        "first_byte_ms": round(statistics.median(first[1:]), 1),
        "first_paint_ms": round(statistics.median(paints[1:]), 1),
        "slowest_paint_ms": round(max(paints[1:]), 1),
        "bytes": weight,
        "visits": visits,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--visits", type=int, default=7)
    asked = parser.parse_args()
    found = measure(asked.visits)
    if asked.json:
        sys.stdout.write(json.dumps(found, indent=1) + "\n")
        return
    for each in found:
        sys.stdout.write(
            f"{each['page']}: first byte {each['first_byte_ms']} ms, first paint "
            f"{each['first_paint_ms']} ms, {each['bytes']} bytes\n"
        )


if __name__ == "__main__":
    main()
