"""Whatever happens on a sound day: every hard rule but the promises named, and the past as it was.

The days come from hand arithmetic (`sound_days`), the events and their minute from the seed.
"""

from __future__ import annotations

from random import Random

import pytest

from schemas.plan import SolveStatus
from schemas.repair import BrokenChair, LateArrival, NoShow, Overrun, SickPerson, WalkIn
from solver.repair import repair
from tests.builders import a_phase, a_request, at, minutes_after
from tests.solver.repair.running_days import holds, past
from tests.solver.sound_days import sound_day

KINDS = ("late", "overrun", "sick", "no-show", "walk-in", "chair")


def a_happening(rng, kind, plan, now):
    """An event of that kind at `now`, and the visits and people of whom the plan is not true."""
    going = [visit for visit in plan.visits if visit.window.end >= now]
    visit = rng.choice(going)
    if kind == "late":
        arrives = minutes_after(max(now, visit.window.start), rng.randint(0, 90))
        return LateArrival(visit=visit.visit, arrives=arrives), {visit.visit}, set()
    if kind == "overrun":
        return Overrun(visit=visit.visit, minutes=rng.randint(1, 60)), set(), set()
    if kind == "sick":
        people = sorted({visit.lead, *visit.assistants})
        who = rng.choice(people)
        return SickPerson(staff=who, start=now), set(), {who}
    if kind == "no-show":
        return NoShow(visit=visit.visit), {visit.visit}, set()
    if kind == "walk-in":
        phases = (a_phase(minutes=rng.randrange(15, 120, 5)),)
        return WalkIn(request=a_request("walk-in", phases=phases)), set(), set()
    return BrokenChair(chair=visit.chair, start=now), set(), set()


def known_past(plan, now, visits, people):
    """The past without those of whom the plan was not true; breaks of the sick end with her."""
    return {
        key: did
        for key, did in past(plan, now).items()
        if did.split()[0] not in visits and not (did == "break" and key[0] in people)
    }


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(6))
def test_a_sound_day_stays_sound_whatever_happens(kind, seed):
    rng = Random(f"{kind}-{seed}")
    sound = sound_day(seed)
    edges = [
        instant
        for visit in sound.plan.visits
        for phase in visit.phases
        for instant in (phase.window.start, phase.window.end)
        if instant < at("18:00")
    ]
    # Half of the time at the very edge of a phase, half of the time at any minute.
    now = rng.choice(edges) if seed % 2 else minutes_after(at("9:00"), rng.randint(0, 500))
    event, untrue, people = a_happening(rng, kind, sound.plan, now)
    result = repair(sound.day_book, sound.plan, [event], now, seconds=30.0)
    assert result.status in {SolveStatus.OPTIMAL, SolveStatus.FEASIBLE}
    step = minutes_after(now, -(now.minute % 5))
    holds(result, sound.plan, step, lambda plan, until: known_past(plan, until, untrue, people))
    told = {person.id for each in result.differences for person in each.tell}
    assert {owed.visit.removesuffix("-rest") for owed in result.renegotiate} <= told
