"""Plans damaged at random before the checker and a second judge: they name the same rules.

`PARTLINE_SMALL_BOOKS=500` damages more plans than the few of an ordinary run.
"""

from __future__ import annotations

import os
from collections import Counter
from datetime import timedelta
from functools import cache
from random import Random

import pytest

from schemas.daybook import DayBook
from schemas.plan import Help, Plan, PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow
from solver.checker import check
from solver.plan import plan_days
from tests.solver.referee import Referee
from tests.solver.tiny_days import tiny_day

SEEDS = range(int(os.environ.get("PARTLINE_SMALL_BOOKS", "30")))
EACH = 4
"""Damaged plans of each seed."""


@cache
def planned(seed: int) -> tuple[DayBook, Plan | None]:
    book = tiny_day(seed)
    return book, plan_days(book, seconds=10).plan


def named(book: DayBook, plan: Plan) -> set[str]:
    return {finding.rule for finding in check(book, plan) if finding.hard}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plan_of_ours_breaks_nothing_before_the_second_judge_either(seed: int) -> None:
    book, plan = planned(seed)
    if plan is not None:
        assert Referee(book, plan).verdict() == set()


@pytest.mark.parametrize("seed", SEEDS)
def test_the_checker_names_the_rules_that_the_second_judge_names(seed: int) -> None:
    book, plan = planned(seed)
    if plan is None:
        return
    for number in range(EACH):
        damaged = damage(book, plan, Random(f"{seed}/{number}"))
        assert named(book, damaged) == Referee(book, damaged).verdict(), damaged


def test_the_damages_break_rules_of_many_kinds() -> None:
    seen: Counter[str] = Counter()
    for seed in range(30):
        book, plan = planned(seed)
        if plan is not None:
            for number in range(EACH):
                seen.update(named(book, damage(book, plan, Random(f"{seed}/{number}"))))
    assert len(seen) >= 12


def damage(book: DayBook, plan: Plan, rng: Random) -> Plan:
    """The plan with one to three things changed at random."""
    for _ in range(rng.randint(1, 3)):
        kinds = (
            [_forget, _answer] + [_visit] * 2 * bool(plan.visits) + [_phase] * 5 * bool(plan.visits)
        )
        kinds += [_rest] * 3 * bool(plan.breaks)
        plan = rng.choice(kinds)(book, plan, rng)
    return plan


def _moved(window: TimeWindow, start: int, end: int) -> TimeWindow:
    first, last = window.start + timedelta(minutes=start), window.end + timedelta(minutes=end)
    return window if last <= first else TimeWindow(start=first, end=last)


def _by(rng: Random) -> int:
    return rng.choice((-60, -30, -15, -5, 5, 15, 30, 60, 90))


def _swap(plan: Plan, index: int, visit: PlannedVisit) -> Plan:
    visits = list(plan.visits)
    visits[index] = visit
    return plan.model_copy(update={"visits": tuple(visits)})


def _forget(book: DayBook, plan: Plan, rng: Random) -> Plan:
    if not plan.visits:
        return plan
    visits = list(plan.visits)
    gone = visits.pop(rng.randrange(len(visits)))
    told = (gone.visit,) if rng.random() < 0.5 else ()
    return plan.model_copy(update={"visits": tuple(visits), "declined": (*plan.declined, *told)})


def _answer(book: DayBook, plan: Plan, rng: Random) -> Plan:
    everybody = [visit.id for visit in (*book.bookings, *book.requests)]
    if plan.declined and rng.random() < 0.5:
        return plan.model_copy(update={"declined": plan.declined[1:]})
    return plan.model_copy(update={"declined": (*plan.declined, rng.choice(everybody))})


def _visit(book: DayBook, plan: Plan, rng: Random) -> Plan:
    index = rng.randrange(len(plan.visits))
    visit = plan.visits[index]
    kind = rng.choice(("shift", "lead", "chair", "twice", "window"))
    if kind == "shift":
        by = _by(rng)
        phases = tuple(
            phase.model_copy(
                update={
                    "window": _moved(phase.window, by, by),
                    "help": tuple(
                        Help(staff=h.staff, window=_moved(h.window, by, by)) for h in phase.help
                    ),
                }
            )
            for phase in visit.phases
        )
        whole = _moved(visit.window, by, by)
        return _swap(plan, index, visit.model_copy(update={"window": whole, "phases": phases}))
    if kind == "lead":
        lead = rng.choice([person.id for person in book.staff])
        return _swap(plan, index, visit.model_copy(update={"lead": lead}))
    if kind == "chair":
        chair = rng.choice([None, "ghost", *(chair.id for chair in book.chairs)])
        return _swap(plan, index, visit.model_copy(update={"chair": chair}))
    if kind == "twice":
        return plan.model_copy(update={"visits": (*plan.visits, visit)})
    whole = _moved(visit.window, 0, _by(rng))
    return _swap(plan, index, visit.model_copy(update={"window": whole}))


def _phase(book: DayBook, plan: Plan, rng: Random) -> Plan:
    index = rng.randrange(len(plan.visits))
    visit = plan.visits[index]
    number = rng.randrange(len(visit.phases))
    phases = list(visit.phases)
    phases[number] = _changed(book, phases[number], rng)
    if rng.random() < 0.15 and len(phases) > 1:
        phases.pop(number)
    start = min(phase.window.start for phase in phases)
    end = max(phase.window.end for phase in phases)
    update = {"phases": tuple(phases)}
    if rng.random() < 0.7:
        update["window"] = TimeWindow(start=start, end=end)
    return _swap(plan, index, visit.model_copy(update=update))


def _changed(book: DayBook, phase: PlannedPhase, rng: Random) -> PlannedPhase:
    people = [person.id for person in book.staff]
    kind = rng.choice(("move", "length", "performer", "basin", "help", "no help"))
    if kind == "move":
        by = _by(rng)
        return phase.model_copy(update={"window": _moved(phase.window, by, by)})
    if kind == "length":
        return phase.model_copy(update={"window": _moved(phase.window, 0, _by(rng))})
    if kind == "performer":
        return phase.model_copy(update={"performer": rng.choice([*people, "ghost"])})
    if kind == "basin":
        return phase.model_copy(update={"basin": rng.choice((None, "basin-1", "ghost"))})
    if kind == "no help":
        return phase.model_copy(update={"help": ()})
    given = Help(staff=rng.choice(people), window=_moved(phase.window, rng.choice((0, 30)), 0))
    return phase.model_copy(update={"help": (*phase.help, given)})


def _rest(book: DayBook, plan: Plan, rng: Random) -> Plan:
    breaks = list(plan.breaks)
    index = rng.randrange(len(breaks))
    rest = breaks[index]
    kind = rng.choice(("drop", "move", "length", "inside", "staff", "twice"))
    if kind == "drop":
        breaks.pop(index)
    elif kind == "twice":
        breaks.append(rest)
    else:
        by = _by(rng)
        changes = {
            "move": {"window": _moved(rest.window, by, by)},
            "length": {"window": _moved(rest.window, 0, by)},
            "inside": {"inside": rng.choice([None, *(visit.visit for visit in plan.visits)])},
            "staff": {"staff": rng.choice([person.id for person in book.staff])},
        }
        breaks[index] = rest.model_copy(update=changes[kind])
    return plan.model_copy(update={"breaks": tuple(breaks)})
