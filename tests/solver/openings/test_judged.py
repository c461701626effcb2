"""What an index answers does not hang on who asked it before."""

from __future__ import annotations

from random import Random

import pytest

from schemas.openings import OpeningsQuestion, Wish
from solver.openings import BookIndex, find_openings
from tests.builders import (
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_window,
)
from tests.solver.openings.small_books import small
from tests.solver.openings.test_judge import MORE_RULES


def both(index: BookIndex, question: OpeningsQuestion):
    """The answers of this index and of one that was never asked."""
    anew = BookIndex.of(index.day_book)
    return tuple(find_openings(each.day_book, question, index=each) for each in (index, anew))


@pytest.mark.parametrize("seed", range(700, 730))
def test_the_next_client_is_answered_as_if_she_were_the_first(seed: int) -> None:
    case, draw = small(seed), Random(seed)
    rules = case.book.rules
    if rules is not None:
        rules = (*rules, *draw.sample(MORE_RULES, 2))
    index = BookIndex.of(case.book.model_copy(update={"rules": rules}))
    leads = [None, *(person.id for person in case.book.staff)]
    for number in range(5):
        facts = {
            "id": draw.choice(("first", "second", "third")),
            "windows": draw.choice((case.request.windows, case.book.open)),
            "preferred_lead": draw.choice(leads),
        }
        question = OpeningsQuestion(
            request=case.request.model_copy(update=facts), wish=draw.choice(list(Wish)), limit=5
        )
        answer, anew = both(index, question)
        assert answer == anew, number


def test_a_break_inside_her_visit_names_the_client_who_asks() -> None:
    # A lead whose only break lies inside eight hours of braiding.
    book = a_day_book(
        staff=(a_lead(),),
        rules=(a_setting("meal-break", earliest=180, latest=300, inside=1),),
    )
    index = BookIndex.of(book)
    for name in ("first", "second"):
        request = a_request(name, phases=(a_shared_phase(480, breakable=True),))
        answer, anew = both(index, OpeningsQuestion(request=request, limit=1))
        (opening,) = answer.openings
        assert opening.visit.visit == name
        assert name in {each.inside for each in opening.breaks}
        assert answer == anew


def test_a_client_is_never_offered_what_suited_only_the_one_before() -> None:
    index = BookIndex.of(a_day_book())
    early = a_request("early", phases=(a_phase(minutes=60),), windows=(a_window("9:00", "10:00"),))
    late = early.model_copy(update={"id": "late", "windows": (a_window("15:00", "16:00"),)})
    for request in (early, late, early):
        answer, anew = both(index, OpeningsQuestion(request=request))
        assert [each.start for each in answer.openings] == [request.windows[0].start]
        assert answer == anew
