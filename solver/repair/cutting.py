"""Cut a running phase in two: what is done, and what is left.

What is done is stated in minutes of work such that the rule of true length holds for it,

    duration = work * pace + break inside - help at its rate   (rounded up to the grid)

and the help given so far is credited. What is left is the rest of the minutes, for anybody.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from schemas.plan import Help, PlannedPhase
from schemas.resources import StaffMember
from schemas.windows import TimeWindow
from schemas.work import PhaseWork
from solver.model.facts import hundredths
from solver.repair.clock import minutes_between
from solver.repair.situation import Situation


@dataclass(frozen=True)
class Halves:
    """The two halves of a phase; `rest` is None where nothing is left."""

    done: PhaseWork
    done_at: PlannedPhase
    rest: PhaseWork | None
    rest_at: PlannedPhase | None


def own_minutes(minutes: int, person: StaffMember, grid: int) -> int:
    """Minutes the work takes this person alone, on the grid."""
    return -(-minutes * hundredths(person.pace) // (100 * grid)) * grid


def work_within(own: int, person: StaffMember, grid: int) -> int:
    """The most minutes of work this person does alone in `own` minutes; 0 where there are none."""
    minutes = max(0, own) * 100 // hundredths(person.pace)
    return minutes if minutes and own_minutes(minutes, person, grid) <= own else 0


def work_at_least(own: int, person: StaffMember, grid: int) -> int:
    """The fewest minutes of work that take this person alone `own` minutes or more."""
    minutes = max(1, (own - grid) * 100 // hundredths(person.pace))
    while own_minutes(minutes, person, grid) < own:
        minutes += 1
    return minutes


def cut_phase(situation: Situation, name: str, number: int, cut: datetime) -> Halves | None:
    """The phase cut at `cut`, on the grid; None where nothing of it would be done by then."""
    book, grid = situation.book, situation.book.grid.minutes
    people = {person.id: person for person in book.staff}
    work = situation.visit(name).phases[number]
    planned = situation.placed[name].phases[number]
    start = planned.window.start
    rests = situation.breaks_inside(name, planned) if work.breakable else []
    for rest in rests:
        # A break that the cut falls into is not part of what is done.
        if rest.window.start < cut < rest.window.end:
            cut = rest.window.start
    eaten = sum(rest.window.minutes for rest in rests if rest.window.end <= cut)
    helps = tuple(part for help_ in planned.help if (part := _until(help_, cut)) is not None)
    saved = sum(hundredths(people[help_.staff].help_rate) * help_.window.minutes for help_ in helps)
    performer = people[planned.performer]
    spent = minutes_between(start, cut) - eaten + saved // (100 * grid) * grid
    done = min(work_within(spent, performer, grid), work.minutes)
    if done < 1 or cut <= start:
        return None
    lasts = own_minutes(done, performer, grid) + eaten
    if saved:
        lasts = max(grid, -(-(100 * lasts - saved) // (100 * grid)) * grid)
    end = start + timedelta(minutes=lasts)
    if any(help_.window.end > end for help_ in helps):
        return None  # whole minutes of work do not reach the help: too little is done to keep
    return Halves(
        work.model_copy(update={"minutes": done}),
        planned.model_copy(update={"window": TimeWindow(start=start, end=end), "help": helps}),
        *_rest(work, planned, done, cut),
    )


def _rest(
    work: PhaseWork, planned: PlannedPhase, done: int, cut: datetime
) -> tuple[PhaseWork | None, PlannedPhase | None]:
    if done >= work.minutes or planned.window.end <= cut:
        return None, None
    later = tuple(part for help_ in planned.help if (part := _from(help_, cut)) is not None)
    window = TimeWindow(start=cut, end=planned.window.end)
    return (
        work.model_copy(update={"minutes": work.minutes - done}),
        planned.model_copy(update={"window": window, "help": later}),
    )


def _until(help_: Help, cut: datetime) -> Help | None:
    if help_.window.start >= cut:
        return None
    end = min(help_.window.end, cut)
    return help_.model_copy(update={"window": TimeWindow(start=help_.window.start, end=end)})


def _from(help_: Help, cut: datetime) -> Help | None:
    if help_.window.end <= cut:
        return None
    start = max(help_.window.start, cut)
    return help_.model_copy(update={"window": TimeWindow(start=start, end=help_.window.end)})
