"""The word on one more visit is the checker's on the whole book, for sound and damaged visits."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from random import Random

import pytest

from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.windows import TimeWindow
from solver.bits import slots
from solver.checker import hard_findings
from solver.openings import BookIndex
from solver.openings.compose import compose
from solver.openings.crews import needs_chair
from solver.openings.judge import BESIDE, BY_ITSELF, HOURS
from solver.openings.places import every_place
from solver.openings.sale import added
from solver.openings.search import Search
from solver.rules import RULES
from tests.builders import a_setting
from tests.solver.openings.small_books import small

Sale = tuple[PlannedVisit, tuple[PlannedBreak, ...]]


def later(window: TimeWindow, minutes: int) -> TimeWindow:
    by = timedelta(minutes=minutes)
    return TimeWindow(start=window.start + by, end=window.end + by)


def moved(visit: PlannedVisit, minutes: int) -> PlannedVisit:
    phases = tuple(
        phase.model_copy(
            update={
                "window": later(phase.window, minutes),
                "help": tuple(
                    each.model_copy(update={"window": later(each.window, minutes)})
                    for each in phase.help
                ),
            }
        )
        for phase in visit.phases
    )
    return visit.model_copy(update={"window": later(visit.window, minutes), "phases": phases})


def damaged(draw: Random, index: BookIndex, sale: Sale) -> Sale:
    """The sale with one thing wrong with it, or by chance nothing."""
    visit, breaks = sale
    book, grid = index.day_book, index.day_book.grid.minutes
    people = [person.id for person in book.staff]
    number = draw.randrange(len(visit.phases))
    phase = visit.phases[number]
    wrong = draw.choice(
        [
            {"performer": draw.choice(people)},
            {"window": later(phase.window, draw.choice((-grid, grid, 7)))},
            {"basin": draw.choice([None, "basin-9", *(basin.id for basin in book.basins)])},
            {"help": ()},
        ]
    )
    phases = (*visit.phases[:number], phase.model_copy(update=wrong), *visit.phases[number + 1 :])
    chair = draw.choice([chair.id for chair in book.chairs] or [None])
    visits = [
        moved(visit, draw.choice((-2, -1, 1, 2, 3)) * grid),
        visit.model_copy(update={"chair": chair}),
        visit.model_copy(update={"lead": draw.choice(people)}),
        visit.model_copy(update={"phases": phases}),
    ]
    others = [breaks]
    if breaks:
        one = draw.choice(breaks)
        off = one.model_copy(update={"window": later(one.window, draw.choice((-grid, grid)))})
        rest = tuple(each for each in breaks if each is not one)
        others = [rest, (*rest, off)]
    return (draw.choice(visits), breaks) if draw.random() < 0.7 else (visit, draw.choice(others))


def sales(draw: Random, search: Search) -> Iterator[tuple[int, Sale]]:
    """Of every way a start and a chair that fit, written out."""
    index = search.index
    for way, starts in every_place(search):
        slot = draw.choice(list(slots(starts)))
        chairs: tuple[str | None, ...] = (None,)
        if needs_chair(search.request):
            fitting = index.fitting_chairs(search.request.chair_features)
            chairs = tuple(
                each for each in fitting if index.chair_runs(each, way.layout.length) >> slot & 1
            )
        made = compose(index, search.request, way, slot, draw.choice(chairs))
        yield slot, (made.visit, made.breaks)


def crews_own(index: BookIndex, block: int, sale: Sale) -> Sale:
    """With the breaks that the crew, as it is now, has on the day: strangers bring theirs along."""
    visit, breaks = sale
    crew = {visit.lead, *visit.assistants}
    there = {each.staff for each in breaks}
    more = (b for b in index.days[block][1].breaks if b.staff in crew and b.staff not in there)
    return visit, tuple(each for each in (*breaks, *more) if each.staff in crew)


MORE_RULES = (
    a_setting("latest-start", longer=60, after="10:30"),
    a_setting("at-most-together", visits=2),
    a_setting("supervised-apprentice", level=4),
    a_setting("resource-closed", what="basins", weekday=2, since="09:00", until="10:00"),
    a_setting("longest-stretch", minutes=120, pause=30),
    a_setting("daily-hours", minutes=200),
    a_setting("rest-between-days", minutes=1260),
    a_setting("weekly-hours", minutes=300),
)


@pytest.mark.parametrize("seed", range(400, 460))
def test_the_word_on_one_more_visit_is_the_checkers_on_the_whole_book(seed: int) -> None:
    case, draw = small(seed), Random(seed)
    rules = case.book.rules
    if rules is not None and draw.random() < 0.5:
        rules = (*rules, *draw.sample(MORE_RULES, 2))
    book = case.book.model_copy(update={"rules": rules})
    search = Search(BookIndex.of(book), case.request)
    index = search.index
    plans = [plan for _, plan in index.days]
    visits = tuple(visit for plan in plans for visit in plan.visits)
    declined = tuple(name for plan in plans for name in plan.declined)
    breaks_ = tuple(each for plan in plans for each in plan.breaks)
    everything = book, Plan(visits=visits, breaks=breaks_, declined=declined)
    if hard_findings(*everything):
        return  # a book in trouble elsewhere
    for slot, sound in sales(draw, search):
        block = index.block_at(slot)
        for sale in (sound, *(damaged(draw, index, sound) for _ in range(4))):
            visit, breaks = crews_own(index, block, sale)
            crew = {visit.lead, *visit.assistants}
            elsewhere = tuple(
                each
                for number, plan in enumerate(plans)
                for each in plan.breaks
                if number != block and each.staff in crew
            )
            whole = hard_findings(*added(everything, search.request, visit, (*breaks, *elsewhere)))
            breach = index.judge(block).breach(search.request, visit, breaks)
            assert (breach is None) == (not whole), (whole, visit, breaks)
            if breach is not None:
                assert breach.rule in {finding.rule for finding in whole}


def test_every_rule_named_is_one_there_is() -> None:
    assert {rule.code for rule in RULES} >= BY_ITSELF | BESIDE | HOURS
    assert len(BY_ITSELF | BESIDE | HOURS) == len(BY_ITSELF) + len(BESIDE) + len(HOURS)
