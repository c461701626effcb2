"""Finished visits over HTTP, and the pace that is learned, offered and adopted."""

from __future__ import annotations

from typing import Any

import pytest

from schemas.takeoff import FinishedVisit
from solver.takeoff.learning import learn_pace
from tests.api.studio_kit import Client, body, book, ok
from tests.builders import a_lead

pytestmark = pytest.mark.anyio

STYLE = {
    "name": "Knotless",
    "technique": "knotless",
    "size": "large",
    "length_cm": 60,
    "braids": 30,
}


def a_visit(name: str, actual: int, **changes: Any) -> dict[str, Any]:
    """Booked at the middle, so that actual over booked is what is learned from."""
    return {
        "id": name,
        "day": "2026-11-27",
        "technique": "knotless",
        "booked": 200,
        "percentile": 50,
        "actual": actual,
        **changes,
    }


async def _told(client: Client, *visits: dict[str, Any], staff: str = "lead-1") -> None:
    for visit in visits:
        ok(await client.post(f"/v1/staff/{staff}/finished-visits", json=visit))


async def _pace(client: Client, staff: str = "lead-1") -> dict[str, Any]:
    pace: dict[str, Any] = ok(await client.get(f"/v1/staff/{staff}/pace"))
    return pace


async def test_without_visits_nothing_is_learned(studio: Client) -> None:
    pace = await _pace(studio)
    assert (pace["in_use"], pace["techniques"]) == (1.0, [])
    assert (pace["overall"]["pace"], pace["overall"]["visits"]) == (1.0, 0)


async def test_a_pace_is_learned_with_its_interval_and_the_visits_behind_it(
    studio: Client,
) -> None:
    await _told(studio, *(a_visit(f"v{n}", 240) for n in range(4)))
    await _told(studio, a_visit("other", 150, technique="faux-locs"))
    pace = await _pace(studio)
    locs, knotless = pace["techniques"]
    assert [each["technique"] for each in (locs, knotless)] == ["faux-locs", "knotless"]
    (expected,) = learn_pace(
        [FinishedVisit(lead="lead-1", technique="knotless", reckoned=200, took=240)] * 4
    )
    assert knotless == body(expected)
    assert knotless["low"] < knotless["pace"] < knotless["high"]
    assert pace["overall"]["visits"] == 5
    assert pace["in_use"] == 1.0
    assert (await _pace(studio, "lead-2"))["techniques"] == []


async def test_breaks_are_taken_off_and_help_counts_at_its_rate(studio: Client) -> None:
    await _told(studio, a_visit("plain", 240))
    plain = (await _pace(studio))["techniques"]
    ok(await studio.delete("/v1/staff/lead-1/finished-visits/plain"))
    shorter = a_visit("helped", 210, breaks=30, help_minutes=100, help_rate=0.6)
    await _told(studio, shorter)  # 210 - 30 + 0.6 * 100 = 240
    assert (await _pace(studio))["techniques"] == plain


async def test_minutes_booked_at_p80_are_brought_back_to_the_middle(studio: Client) -> None:
    # The house's cv-braiding of 0.2: P80 is exp(0.8416 * 0.198) = 1.181 times P50.
    await _told(studio, a_visit("one", 200, booked=236, percentile=80))
    (estimate,) = (await _pace(studio))["techniques"]
    assert estimate["pace"] == pytest.approx(1.0, abs=0.002)


async def test_one_forgotten_clock_does_not_spoil_it(studio: Client) -> None:
    await _told(studio, *(a_visit(f"v{n}", 220) for n in range(4)))
    before = (await _pace(studio))["techniques"][0]
    await _told(studio, a_visit("forgotten", 4000))
    after = (await _pace(studio))["techniques"][0]
    assert after["pace"] == pytest.approx(before["pace"], rel=0.01)
    assert (after["visits"], after["set_aside"]) == (5, 1)


async def test_the_learned_pace_is_offered_for_a_take_off(studio: Client) -> None:
    question = {"style": STYLE, "pace_of": "lead-1"}

    async def asked(question: dict[str, Any]) -> dict[str, Any]:
        answer: dict[str, Any] = ok(
            await studio.post("/v1/take-offs", json=question, params={"explain": "true"})
        )
        return answer

    usual = await asked({"style": STYLE})
    assert (await asked(question))["minutes"] == usual["minutes"]
    ok(await studio.put("/v1/staff/lead-1", json=body(a_lead("lead-1", pace=1.1))))
    own = await asked(question)
    assert (own["pace"], own["pace_estimate"]) == (1.1, None)
    await _told(studio, *(a_visit(f"v{n}", 260) for n in range(6)))
    learned = await asked(question)
    (estimate,) = (await _pace(studio))["techniques"]
    assert learned["pace_estimate"] == estimate
    assert learned["pace"] == estimate["pace"] > 1.1
    assert learned["minutes"]["mean"] == pytest.approx(usual["minutes"]["mean"] * estimate["pace"])
    assert learned["phases"] == usual["phases"]  # of pace 1: planners know who performs them
    assert {line["provenance"] for line in learned["lines"] if "Pace" in line["label"]} == {
        "learned"
    }
    assert any("6 finished visits" in sentence for sentence in learned["reckoning"])
    locs = await asked(question | {"style": STYLE | {"technique": "faux-locs"}})
    assert (locs["pace"], locs["pace_estimate"]) == (1.1, None)


async def test_plans_keep_the_staff_documents_pace_until_another_is_adopted(
    studio: Client,
) -> None:
    await book(studio, "one", required_lead="lead-1")
    placed = ok(await studio.get("/v1/bookings/one"))["placed"]
    await _told(studio, *(a_visit(f"v{n}", 260) for n in range(6)))
    member = await studio.get("/v1/staff/lead-1")
    assert member.json()["pace"] == 1.0
    tag = {"If-Match": member.headers["etag"]}
    (estimate,) = (await _pace(studio))["techniques"]

    path, technique = "/v1/staff/lead-1/pace", {"technique": "knotless"}
    adopted = await studio.post(path, json=technique, headers=tag)
    assert adopted.status_code == 200
    assert adopted.json() == member.json() | {"pace": round(estimate["pace"], 2)}
    assert adopted.headers["etag"] != tag["If-Match"]
    assert ok(await studio.get("/v1/staff/lead-1")) == adopted.json()
    assert (await _pace(studio))["in_use"] == adopted.json()["pace"]
    assert (await studio.post(path, json=technique, headers=tag)).status_code == 412
    assert ok(await studio.get("/v1/bookings/one"))["placed"] == placed


async def test_what_is_not_learned_cannot_be_adopted(studio: Client) -> None:
    path = "/v1/staff/lead-1/pace"
    for told, pointer in (({}, ""), ({"technique": "knotless"}, "")):
        answer = await studio.post(path, json=told)
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == pointer
    await _told(studio, a_visit("one", 240))
    answer = await studio.post(path, json={"technique": "sew-in"})
    assert answer.json()["errors"][0]["pointer"] == "/technique"
    assert ok(await studio.post(path, json={}))["pace"] > 1


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"day": "2026-12-25"}, "/day"),  # the clock stands at 30 November
        ({"technique": "macrame"}, "/technique"),
        ({"booking": "nobody-knows"}, "/booking"),
        ({"breaks": 240}, ""),
        ({"actual": 0}, "/actual"),
        ({"booked": 2.5}, "/booked"),
        ({"percentile": 100}, "/percentile"),
        ({"help_rate": 0}, "/help_rate"),
        ({"pace": 2}, "/pace"),
    ],
)
async def test_a_record_that_makes_no_sense_is_named_by_field(
    studio: Client, changes: dict[str, Any], pointer: str
) -> None:
    path = "/v1/staff/lead-1/finished-visits"
    answer = await studio.post(path, json=a_visit("one", 240) | changes)
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == [pointer]
    assert ok(await studio.get(path))["items"] == []


async def test_a_booking_is_written_down_once(studio: Client) -> None:
    await book(studio, "one")
    await _told(studio, a_visit("first", 240, booking="one"))
    path = "/v1/staff/lead-1/finished-visits"
    again = await studio.post(path, json=a_visit("second", 240, booking="one"))
    assert again.json()["errors"][0]["pointer"] == "/booking"
    same = await studio.post(path, json=a_visit("first", 240))
    assert same.status_code == 409


async def test_a_pace_is_learned_of_leads_who_are_there(studio: Client) -> None:
    told = a_visit("one", 240)
    answer = await studio.post("/v1/staff/assistant-1/finished-visits", json=told)
    assert answer.status_code == 422
    assert "no lead" in answer.json()["errors"][0]["detail"]
    for path in ("finished-visits", "pace"):
        assert (await studio.get(f"/v1/staff/nobody/{path}")).status_code == 404
    unknown = {"style": STYLE, "pace_of": "nobody"}
    answer = await studio.post("/v1/take-offs", json=unknown)
    assert answer.json()["errors"][0]["pointer"] == "/pace_of"
    both = {"style": STYLE, "pace_of": "lead-1", "pace": 1.2}
    assert (await studio.post("/v1/take-offs", json=both)).status_code == 422


async def test_finished_visits_are_listed_and_taken_back(studio: Client) -> None:
    await _told(studio, *(a_visit(name, 240) for name in ("b", "a", "c")))
    await _told(studio, a_visit("d", 240), staff="lead-2")
    path = "/v1/staff/lead-1/finished-visits"
    page = ok(await studio.get(path, params={"limit": 2}))
    assert [each["id"] for each in page["items"]] == ["a", "b"]
    rest = ok(await studio.get(path, params={"limit": 2, "after": page["next"]}))
    assert [each["id"] for each in rest["items"]] == ["c"]
    assert (await studio.delete(f"{path}/b")).status_code == 204
    assert (await studio.delete(f"{path}/b")).status_code == 404
    assert (await studio.delete(f"{path}/d")).status_code == 404  # hers is another's
    assert (await _pace(studio))["overall"]["visits"] == 2
