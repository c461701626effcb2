"""Changes that bring more hands: an assistant for some minutes, a lead who has the day off."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from schemas.explanations import ChangeKind
from schemas.plan import PlannedVisit
from schemas.resources import Role, Shift, Skill, StaffMember
from schemas.windows import TimeWindow
from solver.explain.case import Case
from solver.explain.changes import Change, saying
from solver.explain.edits import both, with_person, with_request
from solver.model.crew import can_lead
from solver.model.placement import DayPlacement
from solver.model.search import Budget
from solver.rules.reading import span

HELP_MINUTES = (30, 60, 90, 120, 180, 240)
"""Minutes of help that are tried; one person in for longer than that is a day's work."""
EXTRA = "extra-assistant"


def hands_changes(case: Case, budget: Budget) -> Iterator[Change]:
    """One assistant more, and each lead who is not in."""
    yield from _agreed(case)
    yield from _called_in(case, budget)
    yield from _lead_called_in(case)


def _agreed(case: Case) -> Iterator[Change]:
    """The client agrees to one assistant more than she did."""
    request, words = case.request, case.words
    if not any(phase.shared for phase in request.phases) or request.max_assistants >= 6:
        return

    def say(placed: PlannedVisit) -> str:
        crew = ", ".join(words.person(name) for name in placed.assistants)
        return (
            f"{words.client(request.id)} agrees to {request.max_assistants + 1} assistant(s): "
            f"{crew or 'nobody'} beside {words.person(placed.lead)}, "
            f"{words.when(*span(placed.window))}."
        )

    yield Change(
        ChangeKind.MORE_HANDS,
        15,
        "more hands",
        with_request(request.id, max_assistants=request.max_assistants + 1),
        say,
    )


def _called_in(case: Case, budget: Budget) -> Iterator[Change]:
    """An assistant for as few minutes as do, from where she would begin if she were in all day."""
    helped = [phase.help_skill for phase in case.request.phases if phase.help_skill]
    if not helped:
        return
    person = _free_assistant(case, helped)
    hours = case.book.open[0]
    for more in (0, 1):
        agreed = min(6, case.request.max_assistants + more)
        edit = with_request(case.request.id, max_assistants=agreed)
        all_day = both(with_person(person, _shift(person, hours)), edit)
        tried = Case(all_day(case.book))
        placement = tried.placed(budget.part(budget.left / 8)).placement
        begun = None if placement is None else _help_begins(tried, placement, person.id)
        if begun is None or agreed == 0:
            continue
        for minutes in HELP_MINUTES:
            end = min(hours.end, begun + timedelta(minutes=minutes))
            window = TimeWindow(start=begun, end=end)
            yield Change(
                ChangeKind.CALL_IN,
                60 + minutes + 10 * more,
                f"call in {person.id}",
                both(with_person(person, _shift(person, window)), edit),
                _saying(case, person, window, more),
                minutes=minutes,
                staff=person.id,
                window=window,
            )


def _help_begins(case: Case, placement: DayPlacement, staff: str) -> datetime | None:
    day = case.day()
    starts = [
        help_.start
        for visit in placement.visits
        for phase in visit.phases
        for help_ in phase.help
        if day.shifts[help_.shift].person.id == staff
    ]
    return day.frame.instant(min(starts) * day.grid) if starts else None


def _free_assistant(case: Case, helped: list[str]) -> StaffMember:
    """An assistant of the house who is not in that day, or one who is not of the house."""
    book = case.book
    there = {shift.staff for shift in book.shifts}
    for person in book.staff:
        able = Role.ASSISTANT in person.roles and any(person.masters(skill) for skill in helped)
        if able and not person.retired and person.id not in there:
            return person
    return StaffMember(
        id=EXTRA,
        name="An extra assistant",
        roles=(Role.ASSISTANT,),
        skills=tuple(Skill(tag=skill) for skill in dict.fromkeys(helped)),
    )


def _lead_called_in(case: Case) -> Iterator[Change]:
    """A lead who has the day off comes in for the salon's hours."""
    book, words, request = case.book, case.words, case.request
    there = {shift.staff for shift in book.shifts}
    for person in book.staff:
        if person.id in there or not can_lead(request, person):
            continue
        hours = book.open[0]
        yield Change(
            ChangeKind.CALL_IN,
            60 + hours.minutes,
            f"call in {person.id}",
            with_person(person, _shift(person, hours)),
            saying(case, f"{words.person(person.id)} comes in"),
            minutes=hours.minutes,
            staff=person.id,
            window=hours,
        )


def _shift(person: StaffMember, window: TimeWindow) -> Shift:
    return Shift(id=f"called-in-{person.id[:48]}", staff=person.id, window=window)


def _saying(
    case: Case, person: StaffMember, window: TimeWindow, more: int
) -> Callable[[PlannedVisit], str]:
    words = case.words
    said = f"{person.name} helps for {window.minutes} min, {words.when(*span(window))}"
    if more:
        most = case.request.max_assistants + 1
        said += f", and {words.client(case.request.id)} agrees to {most} assistant(s)"
    return saying(case, said)
