"""Yes or no by the planner's model, which shares no code with openings.

In a book without bookings the planner may do all that openings may, and no more once nobody may
wait between phases and at most one assistant comes: it accepts a lone request exactly where an
opening is found.
"""

from __future__ import annotations

import pytest

from schemas.openings import OpeningsQuestion
from schemas.plan import SolveStatus
from solver.openings import find_openings
from solver.plan import plan_days
from tests.builders import a_setting
from tests.solver.openings.small_books import Small, small


def alone(seed: int) -> Small:
    case = small(seed)
    request = case.request.model_copy(
        update={"max_assistants": min(case.request.max_assistants, 1)}
    )
    kept = tuple(rule for rule in case.book.rules or () if rule.code != "longest-wait")
    book = case.book.model_copy(
        update={
            "bookings": (),
            "breaks": (),
            "requests": (request,),
            "rules": (*kept, a_setting("longest-wait", minutes=0)),
        }
    )
    return Small(book, request)


@pytest.mark.parametrize("seed", range(1000, 1018))
def test_the_planner_accepts_exactly_what_has_an_opening(seed: int) -> None:
    case = alone(seed)
    answer = find_openings(case.book, OpeningsQuestion(request=case.request, limit=1))
    result = plan_days(case.book, seconds=5.0)
    if result.status is SolveStatus.INFEASIBLE:
        # A shift without room for its break: no day can be planned, and none is sold.
        assert answer.openings == ()
        return
    assert result.plan is not None
    accepted = {visit.visit for visit in result.plan.visits}
    assert bool(answer.openings) == (case.request.id in accepted)
