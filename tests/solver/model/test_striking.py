"""Days of leads that the list allows and that the assistants there are do not."""

from __future__ import annotations

from schemas.daybook import DayBook
from schemas.resources import Shift
from solver.days import part_days
from solver.model.build import build_day
from solver.model.ceiling import Pool
from solver.model.choosing import Choice, Core, LeadChoice
from solver.model.facts import Day
from solver.model.search import Budget
from solver.model.striking import forbidden, lowered
from solver.plan import plan_days
from solver.rules import settings_in_force
from tests.builders import (
    HELP,
    a_chair,
    a_day_book,
    a_lead,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    an_assistant,
    skills,
)

SECONDS = 30.0


def a_book_of(*leads: str, helper: Shift) -> DayBook:
    """For each lead two requests of 300 minutes in nine hours: both only with help."""
    visits = [
        a_request(
            f"{lead}-{n}",
            phases=(a_shared_phase(300),),
            max_assistants=1,
            value=100,
            required_lead=lead,
        )
        for lead in leads
        for n in range(2)
    ]
    return a_day_book(
        visits=visits,
        rules=(a_setting("longest-wait", minutes=15),),
        chairs=tuple(a_chair(f"chair-{n}") for n in range(4)),
        staff=(
            *(a_lead(lead) for lead in leads),
            an_assistant(help_rate=0.5, skills=skills(HELP)),
        ),
        shifts=(*(a_shift(lead, "9:00", "18:00") for lead in leads), helper),
    )


def the_day(book: DayBook) -> Day:
    (part,) = part_days(book)
    return build_day(book, part.openings, part.shifts, part.visits, settings_in_force(book))


def choices(book: DayBook, enough: int = -1) -> tuple[Choice, Choice, list[Core]]:
    """The choice before and after, and what was struck out."""
    day = the_day(book)
    pool = Pool(day)
    listed = pool.days(10_000, lambda: False)
    assert listed is not None
    choice = LeadChoice(day, listed, pool.judged, pool.pooled())
    first = choice.best(SECONDS)
    assert first is not None
    return first, *lowered(day, choice, first, enough, Budget(SECONDS))


def test_a_day_that_wants_help_after_the_assistant_has_left_is_struck_out() -> None:
    # Two hours of help are enough in all, but they are over before the lead comes.
    book = a_book_of("lead-1", helper=a_shift("assistant-1", "9:00", "11:00"))
    late = book.model_copy(
        update={"shifts": (a_shift("lead-1", "10:00", "19:00"), book.shifts[-1])}
    )
    first, best, cores = choices(late)
    assert (first.worth, best.worth) == (200, 100)
    assert cores == [frozenset({(0, "lead-1"), (1, "lead-1")})]
    assert plan_days(late, seconds=SECONDS).tiers[0].value == 100


def test_two_days_that_want_the_same_assistant_at_once_are_struck_out_together() -> None:
    book = a_book_of("lead-1", "lead-2", helper=a_shift("assistant-1", "9:00", "13:00"))
    first, best, cores = choices(book)
    assert (first.worth, best.worth) == (400, plan_days(book, seconds=SECONDS).tiers[0].value)
    assert all(len({lead for _, lead in core}) == 2 for core in cores)


def test_nothing_is_asked_where_a_plan_has_reached_the_choice() -> None:
    book = a_book_of("lead-1", helper=a_shift("assistant-1", "9:00", "11:00"))
    first, best, cores = choices(book, enough=200)
    assert (best, cores) == (first, [])


def test_what_goes_alone_is_not_forbidden() -> None:
    day = the_day(a_book_of("lead-1", helper=a_shift("assistant-1", "9:00", "18:00")))
    both: Core = frozenset({(0, "lead-1"), (1, "lead-1")})
    assert not forbidden(day, both, Budget(SECONDS))


def test_a_budget_that_is_over_leaves_the_choice_as_it_was() -> None:
    day = the_day(a_book_of("lead-1", helper=a_shift("assistant-1", "9:00", "11:00")))
    pool = Pool(day)
    choice = LeadChoice(day, pool.days(10_000, lambda: False) or [], pool.judged, pool.pooled())
    first = choice.best(SECONDS)
    assert first is not None
    assert lowered(day, choice, first, -1, Budget(0.0)) == (first, [])
