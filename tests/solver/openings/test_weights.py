"""The owner's weights move what a place costs, and the order of places a client wants alike."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from schemas.openings import Opening, OpeningsQuestion, Wish
from schemas.ranking import RankingWeights
from solver.openings import BookIndex, find_openings
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_request,
    a_shared_phase,
    a_shift,
    an_assistant,
    at,
    skills,
)

NONE = RankingWeights(
    lost_percent=0, hole_percent=0, split_minutes=0, scarce_percent=0, assistant_percent=0
)
"""Nothing counts."""


def placed(visit_id: str, start: str, minutes: int, **where: object):
    booking = a_booking(visit_id, start, minutes)
    return booking.model_copy(update={"placed": a_placed(booking, start, **where)})


def cost(book, weights: RankingWeights, **request: object) -> tuple[int, Opening]:
    """Of the first opening, by the book's weights; a question that brings them says the same."""
    asked = a_request(**request)
    own = book.model_copy(update={"ranking": weights})
    (first, *_) = find_openings(own, OpeningsQuestion(request=asked)).openings
    tried = find_openings(book, OpeningsQuestion(request=asked, weights=weights))
    assert tried.openings[0] == first
    return first.cost, first


def test_a_hole_costs_its_minutes_times_their_weight() -> None:
    # From 9:00 to 12:00, then the next client at 12:30: 30 minutes are lost on the chair.
    book = a_day_book(visits=[placed("b", "12:30", 330)], rules=())
    for percent in (0, 50, 100, 300):
        weights = NONE.model_copy(update={"hole_percent": percent})
        assert cost(book, weights, phases=(a_phase(minutes=180),))[0] == 30 * percent // 100


def test_a_chair_costs_nothing_where_there_are_more_of_them_than_leads() -> None:
    chairs = (a_chair("chair-1"), a_chair("chair-2"))
    book = a_day_book(visits=[placed("b", "12:30", 330)], chairs=chairs, rules=())
    weights = NONE.model_copy(update={"hole_percent": 100, "split_minutes": 40})
    minutes, opening = cost(book, weights, phases=(a_phase(minutes=180),))
    assert (minutes, opening.chair) == (0, "chair-2")


def test_what_a_lead_can_sell_no_more_costs_what_the_owner_says() -> None:
    """By the definition: minutes by the share of the known work that fits and that she masters."""
    long_ = placed("b", "15:00", 180)
    book = a_day_book(visits=[long_], rules=())
    known = [*range(90, 421, 30), 180]

    def worth(minutes: int) -> int:
        fits = sum(length for length in known if length <= minutes)
        return 0 if minutes < 60 else round(minutes * fits / sum(known))

    for percent in (0, 100, 200):
        weights = NONE.model_copy(update={"lost_percent": percent})
        minutes, opening = cost(book, weights, phases=(a_phase(minutes=60),))
        lost = worth(360) - worth(300)  # from 9:00 to 10:00, and free until 15:00
        assert minutes == lost * percent // 100
        said = f"Takes {lost} minutes of what Lead-1 could still sell that day."
        assert (said in opening.reasons) == bool(percent)


def test_who_minds_no_hour_is_given_the_one_that_leaves_most_to_sell() -> None:
    # Before noon there are three hours for her two, after it just two.
    book = a_day_book(
        visits=[placed("b", "12:00", 240)], rules=(), shifts=(a_shift(start="9:00", end="18:00"),)
    )
    asked = a_request(phases=(a_phase(minutes=120),))
    for wish, start in ((Wish.SOONEST, "9:00"), (Wish.ANY_HOUR, "16:00")):
        first = find_openings(book, OpeningsQuestion(request=asked, wish=wish)).openings[0]
        assert first.start == at(start)


def test_cutting_a_stretch_of_a_chair_in_two_costs_what_the_owner_says() -> None:
    # The lead comes at ten, so the chair is free before and after.
    book = a_day_book(shifts=(a_shift(start="10:00"),), rules=())
    weights = NONE.model_copy(update={"split_minutes": 40})
    assert cost(book, weights, phases=(a_phase(minutes=60),))[0] == 40


def test_an_assistants_minutes_cost_what_the_owner_says() -> None:
    book = a_day_book(staff=(a_lead(), an_assistant()), rules=())
    question = OpeningsQuestion(
        request=a_request(phases=(a_shared_phase(180),)),
        wish="shortest",
        weights=NONE.model_copy(update={"assistant_percent": 50}),
    )
    first = find_openings(book, question).openings[0]
    assert first.help_minutes == 120
    assert first.cost == 60


def test_the_only_lead_for_a_skill_costs_what_the_owner_says_and_is_told_of_if_it_counts() -> None:
    micro = a_booking("b", "9:00", phases=(a_phase("micro", 60),))
    micro = micro.model_copy(update={"placed": a_placed(micro, "9:00", chair="chair-2")})
    book = a_day_book(
        visits=[micro],
        staff=(a_lead("lead-1", skills=skills("braiding", "micro")),),
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
        rules=(),
    )
    weights = NONE.model_copy(update={"scarce_percent": 50})
    minutes, opening = cost(book, weights, phases=(a_phase(minutes=60),))
    assert minutes == 30
    assert any("the only lead for micro" in reason for reason in opening.reasons)
    minutes, opening = cost(book, NONE, phases=(a_phase(minutes=60),))
    assert minutes == 0
    assert not any("the only lead" in reason for reason in opening.reasons)


def two_leads(**changes: object):
    """Lead-1 is free all day; lead-2 from 9:00 to 12:00."""
    noon = placed("b", "12:00", 360, lead="lead-2", chair="chair-2")
    return a_day_book(
        visits=[noon],
        staff=(a_lead("lead-1"), a_lead("lead-2")),
        shifts=(a_shift("lead-1", start="9:00", end="14:00"), a_shift("lead-2")),
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
        rules=(),
        **changes,
    )


def test_a_long_morning_is_kept_for_a_long_visit_if_the_owner_wants() -> None:
    book = two_leads()
    asked = {"phases": (a_phase(minutes=120),)}
    weights = NONE.model_copy(update={"morning_percent": 50, "morning_minutes": 300})
    assert cost(book, NONE, **asked)[1].lead == "lead-1"  # less booked
    minutes, opening = cost(book, weights, **asked)
    assert (opening.lead, minutes) == ("lead-2", 0)
    alone = {**asked, "required_lead": "lead-1"}
    minutes, opening = cost(book, weights, **alone)
    assert minutes == 60  # half of two hours
    said = "Breaks Lead-1's free 300 minutes in the morning; no visit of 300 minutes fits there any"
    assert any(reason.startswith(said) for reason in opening.reasons)
    # A visit as long as the morning is what it is kept for.
    whole = {"phases": (a_phase(minutes=300),), "required_lead": "lead-1"}
    assert cost(book, weights, **whole)[0] == 0


def test_an_index_follows_weights_that_change() -> None:
    book = two_leads(ranking=NONE)
    index = BookIndex.of(book)
    question = OpeningsQuestion(request=a_request(phases=(a_phase(minutes=120),)))
    assert find_openings(book, question, index=index).openings[0].lead == "lead-1"
    weights = NONE.model_copy(update={"morning_percent": 50})
    other = index.changed(book.model_copy(update={"ranking": weights}))
    assert other.hands["lead-1"] is index.hands["lead-1"]
    first = find_openings(other.day_book, question, index=other).openings[0]
    assert (first.lead, first.start) == ("lead-2", at("9:00"))


@pytest.mark.parametrize(
    "wrong", [{"hole_percent": 401}, {"scarce_percent": -1}, {"morning_minutes": 59}]
)
def test_weights_have_bounds(wrong: dict[str, int]) -> None:
    with pytest.raises(ValidationError):
        RankingWeights(**wrong)
