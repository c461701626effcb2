"""The front desk's morning in a browser, from the first call to a client who is late."""

from __future__ import annotations

from typing import Any

import httpx
import pytest

from tests.api.pages.demo_day import DAY
from tests.api.pages.looking import PATIENCE, Look, patient

pytestmark = pytest.mark.service
HEAVIEST = 150_000
"""Bytes of the page and all it loads."""
PAGES = (
    "/",
    f"/days/{DAY}",
    "/days/2026-12-06",
    "/visits/VISIT",
    "/visits/VISIT/move",
    f"/desk/happened?on={DAY}",
    "/nothing",
)


def bookings(address: str) -> list[dict[str, Any]]:
    with httpx.Client(base_url=address, trust_env=False, timeout=PATIENCE) as client:
        items: list[dict[str, Any]] = client.get(f"/v1/bookings?day={DAY}&limit=100").json()[
            "items"
        ]
    return items


def late_one(address: str) -> dict[str, Any]:
    """The last client of the day: nobody sits in her chair after her."""
    placed = [each for each in bookings(address) if each["placed"]]
    return max(placed, key=lambda each: each["placed"]["window"]["start"])


def test_the_front_desk_describes_a_style_holds_an_opening_and_books_it(
    browser: Any, served: str
) -> None:
    expect = patient()
    look = Look(browser, served)
    page = look.go("/")
    day, counter = page.locator("#day"), page.locator("#counter")
    expect(day.get_by_role("heading", level=1)).to_have_text("Tuesday 1 December")
    expect(page.locator("#take-off table").first).to_be_visible()
    assert sum(look.loaded.values()) < HEAVIEST

    # Describe: the take-off follows what is typed.
    page.get_by_label("From the menu").select_option(label="Knotless to the waist, curls along")
    page.get_by_label("Braids, about").fill("50")
    taken = page.locator("#take-off")
    expect(taken).to_contain_text("50 braids")
    expect(taken.locator("svg[role=img]")).to_be_visible()
    expect(taken).to_contain_text("19 of 20")
    expect(taken).to_contain_text("Whole packs")
    expect(taken).to_contain_text("Take care")

    # Ask for openings: the first is drawn on its day, and the keyboard goes to the next.
    page.get_by_role("button", name="Find openings").click()
    expect(counter.locator("#opening-0")).to_be_focused()
    expect(day).to_contain_text("This shows opening 1")
    assert look.violations() == []
    page.keyboard.press("ArrowDown")
    expect(day).to_contain_text("This shows opening 2")
    expect(page.locator(".lanes .strand.ghost")).to_have_count(1)

    # Hold, and book: without a name it is said beside the field.
    page.get_by_role("button", name="Hold it for 10 minutes").press("Enter")
    expect(counter).to_contain_text("Held until 08:10")
    page.get_by_role("button", name="Book it").press("Enter")
    expect(counter.locator("#client-fault")).to_have_text("Ask her name to book.")
    expect(page.get_by_label("Her name")).to_be_focused()
    page.keyboard.type("Odessa")
    page.keyboard.press("Enter")
    expect(counter).to_contain_text("Booked.")
    expect(page.locator(".lanes")).to_contain_text("Odessa")
    assert look.violations() == []
    assert (look.elsewhere(), look.said) == ([], [])
    look.close()


def test_a_late_client_changes_the_book_only_once_the_repaired_day_is_accepted(
    browser: Any, served: str
) -> None:
    expect = patient()
    look, late = Look(browser, served, scheme="dark"), late_one(served)
    start = late["placed"]["window"]["start"][11:16]
    page = look.go(f"/days/{DAY}")
    day, counter = page.locator("#day"), page.locator("#counter")
    page.locator(f'.lanes a[href="/visits/{late["id"]}"]').press("Enter")
    page.get_by_role("link", name="Late, or not coming").press("Enter")
    page.get_by_role("button", name="Put the day right").press("Enter")
    expect(page.locator("#arrives-fault")).to_have_text("This is needed.")
    hour, minute = start.split(":")
    page.get_by_label("She comes at").fill(f"{hour}:{int(minute) + 5:02d}")
    page.get_by_role("button", name="Put the day right").press("Enter")
    expect(counter).to_contain_text("The repaired day")
    expect(day).to_contain_text("Not in the book yet")
    assert look.violations() == []
    assert late_one(served)["placed"]["window"]["start"][11:16] == start
    page.get_by_role("button", name="Accept this day").press("Enter")
    expect(counter).to_contain_text("It is in the book")
    after = {each["id"]: each for each in bookings(served)}[late["id"]]
    assert after["placed"] != late["placed"]
    assert (look.elsewhere(), look.said) == ([], [])
    look.close()


def test_what_others_write_appears_by_itself(browser: Any, served: str) -> None:
    expect = patient()
    look = Look(browser, served)
    page = look.go("/")
    gone = late_one(served)
    strand = page.locator(f'.lanes a[href="/visits/{gone["id"]}"]')
    expect(strand).to_have_count(1)
    with httpx.Client(base_url=served, trust_env=False, timeout=PATIENCE) as client:
        path, anything = f"/v1/bookings/{gone['id']}", {"If-Match": "*"}
        assert client.delete(path, headers=anything).is_success
    expect(strand).to_have_count(0)
    assert look.said == []
    look.close()


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_every_page_can_be_used_by_everybody(
    browser: Any, served: str, width: int, scheme: str
) -> None:
    visit = late_one(served)["id"]
    look = Look(browser, served, width=width, scheme=scheme)
    for path in PAGES:
        page = look.go(path.replace("VISIT", visit))
        assert (path, look.violations()) == (path, [])
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{path} is wider than the screen"
    assert (look.elsewhere(), look.said) == ([], [])
    look.close()
