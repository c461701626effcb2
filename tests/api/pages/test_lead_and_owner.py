"""The lead's day and the owner's week in a browser, on the demo studio."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.api.pages.demo_day import DAY, MORNING
from tests.api.pages.looking import Look
from tests.api.served import a_served_book
from tests.api.studio_kit import StoppedClock

pytestmark = pytest.mark.service
PAGES = ("/week", "/my-day", "/my-day?who=LEAD", f"/day-sheet/{DAY}", "/hair", "/calendars")
HEAVIEST = 150_000


class Studio:
    """The demo day served, with a clock that is moved by hand."""

    def __init__(self, address: str, clock: StoppedClock) -> None:
        self.address, self.clock = address, clock

    def ask(self, path: str) -> Any:
        with httpx.Client(base_url=self.address, trust_env=False) as client:
            return client.get(path).json()


@pytest.fixture
def studio(demo_book: Path, tmp_path: Path) -> Any:
    book, clock = tmp_path / "book.db", StoppedClock(MORNING)
    book.write_bytes(demo_book.read_bytes())
    with a_served_book(book, clock) as address:
        yield Studio(address, clock)


def first_visit(studio: Studio) -> Any:
    items = studio.ask(f"/v1/bookings?day={DAY}&limit=100")["items"]
    placed = [each for each in items if each["placed"] and each["request"]["hair"]]
    return min(placed, key=lambda each: (each["placed"]["window"]["start"], each["id"]))


def test_a_lead_works_her_day_on_a_phone_and_the_owner_reads_of_it(
    browser: Any, studio: Studio
) -> None:
    expect = pytest.importorskip("playwright.sync_api").expect
    visit = first_visit(studio)
    lead, client = visit["placed"]["lead"], visit["request"]["client"]
    look = Look(browser, studio.address, width=390, scheme="dark")
    page = look.go("/my-day")
    page.get_by_role("link", name=lead.title()).click()
    turn = page.get_by_role("region", name=re.compile(client))
    expect(turn).to_contain_text("Hair to have ready")
    expect(turn).to_contain_text("Braiding: you")

    # She taps the visit through, as it goes on.
    start = datetime.fromisoformat(visit["placed"]["window"]["start"])
    for words, after in (
        ("She is here: start", 5),
        ("First braid", 60),
        ("Last braid", 170),
        ("Finished", 190),
    ):
        studio.clock.instant = start + timedelta(minutes=after)
        turn.get_by_role("button", name=re.compile(f"^{words}")).click()
        expect(turn.locator(".taps li")).not_to_have_count(0)
    expect(turn.locator(".tag")).to_have_text("Finished")
    assert look.violations() == []

    # She weighs what was taken.
    hair = visit["request"]["hair"][0]
    field = turn.locator(f"input[name='used-{hair['material']}']")
    field.fill(str(round(hair["grams"] * 1.1)))
    turn.get_by_role("button", name="Write it down").click()
    expect(turn.get_by_role("button", name="Put it right")).to_be_visible()
    assert (look.elsewhere(), look.said) == ([], [])
    look.close()

    # What she did is learned from, is off the shelf, and is in the owner's week.
    finished = studio.ask(f"/v1/staff/{lead}/finished-visits")["items"]
    assert [each["actual"] for each in finished] == [110]
    entries = studio.ask(f"/v1/hair-stock/{hair['material']}/entries")["items"]
    assert (entries[0]["kind"], entries[0]["booking"]) == ("use", visit["id"])
    look = Look(browser, studio.address)
    page = look.go("/week")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Week 49 of 2026")
    told = studio.ask("/v1/reports/idle-causes?week=2026-W49")["bottleneck"]["sentence"]
    expect(page.locator(".loud")).to_have_text(told)
    expect(page.locator("main")).to_contain_text("(1 of ")
    expect(page.get_by_role("img", name=re.compile("^Chair utilisation by day"))).to_be_visible()
    page.get_by_text("The same in figures").click()
    expect(page.get_by_role("rowheader", name="All chairs")).to_be_visible()
    assert sum(look.loaded.values()) < HEAVIEST
    page.get_by_role("link", name="Hair", exact=True).click()
    expect(page.locator("main")).to_contain_text("What that says of the rates")
    assert (look.elsewhere(), look.said) == ([], [])
    look.close()


def test_no_page_has_a_barrier_or_runs_off_the_screen(browser: Any, studio: Studio) -> None:
    lead = first_visit(studio)["placed"]["lead"]
    for width, scheme in ((1280, "light"), (390, "dark")):
        look = Look(browser, studio.address, width=width, scheme=scheme)
        for path in PAGES:
            page = look.go(path.replace("LEAD", lead))
            assert look.violations() == [], (path, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        look.close()


def test_paper_holds_all_that_is_printed(browser: Any, studio: Studio) -> None:
    """Nothing is wider than the sheet: a browser would shrink or cut it."""
    look = Look(browser, studio.address)
    look.page.emulate_media(media="print", color_scheme="light")
    for size, across in (("A4", 793), ("Letter", 816)):
        wide = across - 2 * 53  # in CSS pixels, less margins of 14 mm
        look.page.set_viewport_size({"width": wide, "height": 900})
        for path in ("/week", f"/day-sheet/{DAY}", "/hair"):
            page = look.go(path)
            assert page.evaluate("document.documentElement.scrollWidth") <= wide, path
            assert not page.locator("form:visible, nav:visible").count()
            assert page.pdf(format=size).startswith(b"%PDF")
    look.close()
