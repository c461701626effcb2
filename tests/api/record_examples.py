"""Records the examples of the description from a service that really runs.

Run it when a document changes: `python -m tests.api.record_examples`. A test holds every example to
its document.
"""

from __future__ import annotations

import asyncio
import json
import tempfile
from datetime import timedelta
from pathlib import Path
from typing import Any

from httpx import Response

from schemas.takeoff import TakeOffRequest
from solver.takeoff import house_materials, take_off
from tests.api.studio_kit import NOW, SALON, Client, a_small_service, body, ok
from tests.builders import (
    DAY,
    a_chair,
    a_closure,
    a_lead,
    a_shift,
    a_window,
    an_assistant,
    at,
    skills,
)

OUT = Path(__file__).parents[2] / "api" / "description" / "examples.json"
LONGEST = 2
STYLE = {
    "name": "Waist-length knotless with curls",
    "technique": "knotless",
    "size": "medium",
    "length_cm": 70,
    "braids": 48,
    "curls": {"placement": "along", "per_braid": 4},
}
SMALL = {
    "name": "Large and short",
    "technique": "knotless",
    "size": "large",
    "length_cm": 35,
    "braids": 16,
}
ENTRY = {
    "id": "knotless-waist-curls",
    "style": STYLE,
    "price": 24000,
    "currency": "EUR",
    "max_assistants": 2,
}


def shortened(told: Any) -> Any:
    """The same with long lists cut, so that the description stays readable."""
    if isinstance(told, dict):
        return {name: shortened(value) for name, value in told.items()}
    if isinstance(told, list):
        return [shortened(value) for value in told[:LONGEST]]
    return told


class Recorder:
    def __init__(self, client: Client) -> None:
        self.client = client
        self.told: dict[str, dict[str, Any]] = {}

    async def say(
        self, operation: str, method: str, path: str, document: Any = None, **params: str
    ) -> Any:
        seen = {} if method in {"GET", "POST"} else await self.client.seen(path)
        answer: Response = await self.client.request(
            method, path, json=document, params=params, headers=seen
        )
        told = ok(answer)
        entry: dict[str, Any] = {}
        if document is not None:
            entry["body"] = document
        if told is not None:
            entry["answer"] = shortened(told)
        self.told.setdefault(operation, entry)
        return told

    async def draw(self, operation: str, path: str, document: Any) -> None:
        """Record what is asked for an image, which is not repeated in the description."""
        answer: Response = await self.client.post(path, json=document)
        assert answer.is_success, answer.text
        self.told.setdefault(operation, {"body": document})


async def record(client: Client) -> dict[str, dict[str, Any]]:
    desk = Recorder(client)
    await _the_house(desk, client)
    await _the_menu(desk)
    await _a_client(desk)
    await _the_pace(desk)
    await _the_end(desk)
    return desk.told


async def _the_house(desk: Recorder, client: Client) -> None:
    phases = take_off(TakeOffRequest.model_validate({"style": STYLE})).phases
    tags = {phase.skill for phase in phases} | {p.help_skill for p in phases if p.help_skill}
    await desk.say("putSalon", "PUT", "/v1/salon", SALON)
    await desk.say("readSalon", "GET", "/v1/salon")
    window = body(a_chair("window", name="By the window", features=("quiet",)))
    await desk.say("addChair", "POST", "/v1/chairs", window)
    ok(await client.post("/v1/chairs", json=body(a_chair("mirror", name="By the mirror"))))
    await desk.say("listChairs", "GET", "/v1/chairs")
    await desk.say("readChair", "GET", "/v1/chairs/window")
    await desk.say("replaceChair", "PUT", "/v1/chairs/window", window)
    closure = {"id": "new-pump", **body(a_closure("17:00", "19:00", chair="window"))}
    await desk.say("closeChair", "POST", "/v1/chairs/window/closures", closure)
    await desk.say("listClosures", "GET", "/v1/chairs/window/closures")
    await desk.say("reopenChair", "DELETE", "/v1/chairs/window/closures/new-pump")
    able = skills(*sorted(tags), level=4)
    lead = body(a_lead("ines", name="Ines", skills=able))
    await desk.say("addStaff", "POST", "/v1/staff", lead)
    helper = body(an_assistant("noor", name="Noor", skills=able, help_rate=0.6))
    ok(await client.post("/v1/staff", json=helper))
    await desk.say("listStaff", "GET", "/v1/staff")
    await desk.say("readStaff", "GET", "/v1/staff/ines")
    await desk.say("replaceStaff", "PUT", "/v1/staff/ines", lead)
    for person in ("ines", "noor"):
        shift = body(a_shift(person, "9:00", "19:00"))
        await desk.say("addShift", "POST", f"/v1/staff/{person}/shifts", shift)
    shift = body(a_shift("ines", "9:00", "19:00"))
    await desk.say("listShifts", "GET", "/v1/staff/ines/shifts")
    await desk.say("readShift", "GET", f"/v1/staff/ines/shifts/{shift['id']}")
    await desk.say("replaceShift", "PUT", f"/v1/staff/ines/shifts/{shift['id']}", shift)


async def _the_menu(desk: Recorder) -> None:
    await desk.say("addStyle", "POST", "/v1/styles", ENTRY)
    await desk.say("listStyles", "GET", "/v1/styles")
    await desk.say("readStyle", "GET", f"/v1/styles/{ENTRY['id']}")
    await desk.say("replaceStyle", "PUT", f"/v1/styles/{ENTRY['id']}", ENTRY)
    question = {"menu": ENTRY["id"], "change": {"braids": 44}, "percentile": 80}
    await desk.say("takeOff", "POST", "/v1/take-offs", question, explain="true")
    await desk.draw("drawParting", "/v1/parting-maps", {"menu": ENTRY["id"]})
    await desk.say("listRates", "GET", "/v1/rates")
    await desk.say("readRate", "GET", "/v1/rates/wash")
    rate = {"value": 40, "provenance": "house", "note": "Our basin is at the far end"}
    await desk.say("setRate", "PUT", "/v1/rates/wash", rate)
    await desk.say("resetRate", "DELETE", "/v1/rates/wash")
    await desk.say("listRules", "GET", "/v1/rules")
    await desk.say("readRule", "GET", "/v1/rules/turnaround")
    rule = {"code": "turnaround", "parameters": {"minutes": 15}, "source": "Our own habit"}
    await desk.say("setRule", "PUT", "/v1/rules/turnaround", rule)
    await desk.say("resetRule", "DELETE", "/v1/rules/turnaround")
    late = {
        "code": "latest-start",
        "label": "long",
        "parameters": {"longer": 360, "after": "13:00"},
        "scope": {"visit_tags": ["long"]},
    }
    path = "/v1/rules/latest-start/settings/long"
    await desk.say("putRuleSetting", "PUT", path, late)
    await desk.say("readRuleSetting", "GET", path)
    await desk.say("removeRuleSetting", "DELETE", path)
    await desk.say("listBreakLaws", "GET", "/v1/break-laws")
    await desk.say("readBreakLaw", "GET", "/v1/break-laws/eu-working-time")
    await desk.say("adoptBreakLaw", "POST", "/v1/break-laws/eu-working-time/adoption")
    count = {"on_hand_grams": 400, "on_order": [{"grams": 820, "arrives": "2026-12-03"}]}
    await desk.say("setHairStock", "PUT", f"/v1/hair-stock/{house_materials()[0].id}", count)
    await desk.say("listHairStock", "GET", "/v1/hair-stock")
    await desk.say("readHairStock", "GET", f"/v1/hair-stock/{house_materials()[0].id}")


async def _a_client(desk: Recorder) -> None:
    request = {
        "id": "visit-0412",
        "client": "Amina K.",
        "take_off": {"style": STYLE},
        "windows": [body(a_window("9:00", "19:00"))],
    }
    asked = {"request": request, "wish": "early-finish", "limit": 3}
    found = await desk.say("findOpenings", "POST", "/v1/openings", asked)
    bought = {"request": request, "opening": found["openings"][0]}
    other = {**found["openings"][0], "visit": {**found["openings"][0]["visit"], "visit": "held-1"}}
    held = {"request": request | {"id": "held-1"}, "opening": other, "minutes": 10}
    await desk.say("holdOpening", "POST", "/v1/holds", held)
    await desk.say("listHolds", "GET", "/v1/holds")
    await desk.say("readHold", "GET", "/v1/holds/held-1")
    await desk.say("bookHold", "POST", "/v1/holds/held-1/booking")
    ok(await desk.client.delete("/v1/bookings/held-1"))
    await _several(desk, request)
    await desk.say("createBooking", "POST", "/v1/bookings", bought)
    await desk.say("listBookings", "GET", "/v1/bookings", day=str(DAY))
    await desk.say("readBooking", "GET", "/v1/bookings/visit-0412")
    await desk.say("changeBooking", "PATCH", "/v1/bookings/visit-0412", {"tolerance": 15})
    order = {"first": str(DAY), "last": str(DAY), "seconds": 10, "seed": 1, "publish": True}
    run = await desk.say("makePlan", "POST", "/v1/plans", order)
    await desk.say("readPlan", "GET", f"/v1/plans/{run['id']}")
    await desk.say("cancelPlan", "POST", f"/v1/plans/{run['id']}/cancellation")
    # An install that takes longer than what is left of the day at five.
    late = [body(a_window("17:00", "19:00"))]
    asked = {"request": request | {"id": "visit-0413", "windows": late}, "seconds": 5}
    await desk.say("rearrangeDays", "POST", "/v1/rearranged-days", asked)
    await desk.say("askWhyNot", "POST", "/v1/why-not", asked)
    event = {"kind": "late-arrival", "visit": "visit-0412", "arrives": at("9:20").isoformat()}
    desk.client.app.state.desk.repairs.clock.instant = at("8:55")
    run = await desk.say("repairDays", "POST", "/v1/repairs", {"events": [event], "seconds": 5})
    await desk.say("readRepair", "GET", f"/v1/repairs/{run['id']}")
    await desk.say("acceptRepair", "POST", f"/v1/repairs/{run['id']}/acceptance")
    desk.client.app.state.desk.repairs.clock.instant = NOW
    await desk.say("readDay", "GET", f"/v1/days/{DAY}")
    await _the_visit(desk, "visit-0412")
    await desk.say("chairUtilisation", "GET", "/v1/reports/chair-utilisation", week="2026-W49")
    span = {"from": "2026-12-01", "to": "2026-12-05"}
    await desk.say("hairDemand", "GET", "/v1/reports/hair-demand", **span)
    await desk.say("cancelBooking", "DELETE", "/v1/bookings/visit-0412")


async def _the_visit(desk: Recorder, name: str) -> None:
    """She comes, is braided and goes; her hair is weighed."""
    path = f"/v1/bookings/{name}"
    desk.client.app.state.desk.repairs.clock.instant = at("15:00")
    for moment, clock in (
        ("started", "9:20"),
        ("braiding", "10:15"),
        ("braided", "13:40"),
        ("finished", "14:00"),
    ):
        tap = {"at": at(clock).isoformat()}
        await desk.say("tapVisit", "PUT", f"{path}/clock/{moment}", tap)
    await desk.say("readVisitClock", "GET", f"{path}/clock")
    await desk.say("untapVisit", "DELETE", f"{path}/clock/finished")
    ok(await desk.client.put(f"{path}/clock/finished", json={"at": at("14:05").isoformat()}))
    hair = ok(await desk.client.get(f"{path}/hair"))["lines"]
    used = [{"material": line["material"], "grams": line["expected"] + 12.5} for line in hair]
    await desk.say("useHair", "PUT", f"{path}/hair", {"hair": used})
    await desk.say("readVisitHair", "GET", f"{path}/hair")
    shelf = f"/v1/hair-stock/{used[0]['material']}/entries"
    receipt = {"kind": "receipt", "grams": 820, "reason": "Two boxes"}
    await desk.say("addStockEntry", "POST", shelf, receipt)
    await desk.say("listStockEntries", "GET", shelf)
    await desk.say("hairUse", "GET", "/v1/reports/hair-use")
    await desk.say("adoptHairRate", "POST", "/v1/rates/hair-knotless/adoption")
    week = {"week": "2026-W49"}
    await desk.say("staffUtilisation", "GET", "/v1/reports/staff-utilisation", **week)
    await desk.say("pairing", "GET", "/v1/reports/pairing", **week)
    await desk.say("idleCauses", "GET", "/v1/reports/idle-causes", **week)
    await desk.say("turnedAway", "GET", "/v1/reports/turned-away", **week)
    await desk.say("weekTrend", "GET", "/v1/reports/week-trend", **week, weeks="2")
    feed = {"id": "ines-phone", "kind": "person", "subject": "ines"}
    await desk.say("makeCalendarFeed", "POST", "/v1/calendar-feeds", feed)
    # An address is a secret: the one that is shown leads nowhere.
    shown = "/calendars/8e03978e40d543ddbc9366894a57f9324.ics"
    desk.told["makeCalendarFeed"]["answer"]["path"] = shown
    await desk.say("listCalendarFeeds", "GET", "/v1/calendar-feeds")
    await desk.say("revokeCalendarFeed", "DELETE", "/v1/calendar-feeds/ines-phone")
    desk.client.app.state.desk.repairs.clock.instant = NOW


async def _several(desk: Recorder, request: dict[str, Any]) -> None:
    """A mother and her child, a series, and somebody who waits."""
    small = request | {"take_off": {"style": SMALL}}
    mother, child = small | {"id": "mother-1"}, small | {"id": "child-1", "client": "Sade K."}
    question = {"requests": [mother, child], "manner": "one-after-another", "most_wait": 60}
    await desk.say("findGroupOpenings", "POST", "/v1/group-openings", question)
    later = DAY + timedelta(weeks=7)
    for person in ("ines", "noor"):
        shift = body(a_shift(person, "9:00", "19:00", day=later))
        ok(await desk.client.post(f"/v1/staff/{person}/shifts", json=shift))
    series = {"request": small | {"id": "again"}, "weeks": 7, "visits": 2}
    found = await desk.say("findSeriesOpenings", "POST", "/v1/series-openings", series)
    visits = [{each: visit[each] for each in ("request", "opening")} for visit in found["visits"]]
    made = await desk.say("createBookingSet", "POST", "/v1/booking-sets", {"bookings": visits})
    waits = small | {"id": "waits-1", "client": "Bisi A."}
    ok(await desk.client.post("/v1/bookings", json={"request": waits}))
    free = ok(await desk.client.post("/v1/openings", json={"request": waits}))["openings"][0]
    path = "/v1/waiting-list/waits-1/offers"
    await desk.say("offerPlace", "POST", path, {"opening": free, "minutes": 30})
    ok(await desk.client.delete("/v1/holds/waits-1"))
    await desk.say("readWaitingList", "GET", "/v1/waiting-list")
    await desk.say("askGapTakers", "POST", "/v1/gap-takers", {"freed": "again-1"})
    for name in ("waits-1", *(each["id"] for each in made["bookings"])):
        ok(await desk.client.delete(f"/v1/bookings/{name}"))


async def _the_pace(desk: Recorder) -> None:
    path = "/v1/staff/ines/finished-visits"
    visit = {
        "id": "visit-0398",
        "day": "2026-11-28",
        "technique": "knotless",
        "booked": 200,
        "percentile": 80,
        "actual": 215,
        "breaks": 30,
        "help_minutes": 60,
        "help_rate": 0.6,
    }
    await desk.say("addFinishedVisit", "POST", path, visit)
    await desk.say("listFinishedVisits", "GET", path)
    await desk.say("readPace", "GET", "/v1/staff/ines/pace")
    await desk.say("adoptPace", "POST", "/v1/staff/ines/pace", {"technique": "knotless"})
    await desk.say("removeFinishedVisit", "DELETE", f"{path}/visit-0398")


async def _the_end(desk: Recorder) -> None:
    shift = a_shift("ines", "9:00", "19:00").id
    await desk.say("removeShift", "DELETE", f"/v1/staff/ines/shifts/{shift}")
    await desk.say("retireStyle", "DELETE", f"/v1/styles/{ENTRY['id']}")
    await desk.say("retireStaff", "DELETE", "/v1/staff/ines")
    await desk.say("retireChair", "DELETE", "/v1/chairs/window")
    hook = {"id": "till", "url": "https://till.example/hooks", "events": ["booking.made"]}
    await desk.say("addWebhook", "POST", "/v1/webhooks", hook)
    await desk.say("listWebhooks", "GET", "/v1/webhooks")
    await desk.say("readWebhook", "GET", "/v1/webhooks/till")
    await desk.say("removeWebhook", "DELETE", "/v1/webhooks/till")
    await desk.say("listChanges", "GET", "/v1/changes", kind="booking", name="visit-0412")
    gone = {
        "client": (await desk.client.get("/v1/bookings/visit-0412")).json()["request"]["client"]
    }
    await desk.say("exportClient", "POST", "/v1/client-exports", gone)
    await desk.say("eraseClient", "POST", "/v1/client-erasures", gone)
    await desk.say("live", "GET", "/v1/health/live")
    await desk.say("ready", "GET", "/v1/health/ready")


async def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        async with a_small_service(Path(folder)) as client:
            told = await record(client)
    OUT.write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    asyncio.run(main())
