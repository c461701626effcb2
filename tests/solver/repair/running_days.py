"""A small studio in the middle of a day, and short questions to its repair."""

from __future__ import annotations

from schemas.plan import Plan
from schemas.repair import Difference, RepairResult, WhatChanged
from solver.checker import hard_findings
from solver.repair import agreed, repair
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_placed,
    a_shared_phase,
    an_assistant,
    at,
)

LEA, MIA, KIM = "lea", "mia", "kim"


def ana(start="9:00", minutes=240, **changes):
    return a_booking("ana", start, minutes, client="Ana", **changes)


def bea(start="13:00", minutes=240, **changes):
    return a_booking("bea", start, minutes, client="Bea", **changes)


def shared(minutes=240):
    return {"phases": (a_shared_phase(minutes, breakable=False),)}


def a_book(*visits, **changes):
    """Lea and Mia lead, Kim assists, all in from 9 to 18; two chairs, open until 19."""
    staff = (
        a_lead(LEA, name="Lea"),
        a_lead(MIA, name="Mia"),
        an_assistant(KIM, name="Kim"),
    )
    facts = {"staff": staff, "chairs": (a_chair("one"), a_chair("two"))}
    return a_day_book(visits=visits, **{**facts, **changes})


def placed(visit, start, lead=LEA, chair="one", **changes):
    return a_placed(visit, start, lead=lead, chair=chair, **changes)


def mended(book, plan, now, *events, seconds=20.0) -> RepairResult:
    """The repair, with what must hold of each one: judged again, and the past as it was."""
    moment = at(now) if isinstance(now, str) else now
    result = repair(book, plan, events, moment, seconds=seconds)
    if result.plan is not None:
        holds(result, plan, moment)
    return result


def holds(result: RepairResult, before: Plan, now, seen=None) -> None:
    """Judged again: no hard finding but of the promises named, and the past is the past.

    `seen(plan, now)` gives the past of a plan, where not all of it was true.
    """
    assert result.plan is not None
    owed = {each.visit for each in result.renegotiate}
    for finding in hard_findings(result.day_book, result.plan):
        assert finding.rule == "promise-kept", finding
        assert set(finding.visits) <= owed, finding
    assert hard_findings(agreed(result), result.plan) == ()
    seen = seen or past
    assert seen(result.plan, now) == seen(before, now)


def past(plan: Plan, now) -> dict[tuple[str, int], str]:
    """Who did what in each minute before now, by person and minute since the epoch.

    A visit and its rest are one client; a handed-over phase keeps its kind.
    """
    did = {}
    for visit in plan.visits:
        client = visit.visit.removesuffix("-rest")
        for phase in visit.phases:
            spans = [(phase.performer, phase.window)]
            spans += [(help_.staff, help_.window) for help_ in phase.help]
            for person, window in spans:
                first, last = int(window.start.timestamp()), int(min(window.end, now).timestamp())
                for minute in range(first // 60, last // 60):
                    did[person, minute] = f"{client} {phase.kind} {visit.chair}"
    for rest in plan.breaks:
        first, last = int(rest.window.start.timestamp()), int(min(rest.window.end, now).timestamp())
        for minute in range(first // 60, last // 60):
            did[rest.staff, minute] = "break"
    return did


def visit_of(result: RepairResult, name: str):
    assert result.plan is not None
    return next(visit for visit in result.plan.visits if visit.visit == name)


def changed(result: RepairResult, what: WhatChanged, visit: str | None = None) -> Difference:
    """The one difference of that kind; fails if there are none or several."""
    (found,) = (
        each
        for each in result.differences
        if each.what is what and (visit is None or each.visit == visit)
    )
    return found


def tiers(result: RepairResult) -> dict[str, int]:
    return {tier.name: tier.value for tier in result.tiers}
