"""What the client wants comes first, whatever it costs the book; then the book, then the shares."""

from __future__ import annotations

from datetime import timedelta

import pytest

from schemas.openings import Opening, OpeningsAnswer, OpeningsQuestion, Wish
from solver.bits import slots
from solver.openings import BookIndex, find_openings
from solver.openings.places import every_place
from solver.openings.ranking import BUCKET
from solver.openings.search import Search
from tests.builders import (
    DAY,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
    at,
    skills,
)
from tests.builders import a_booking as unplaced
from tests.builders import a_placed as place
from tests.solver.openings.small_books import small


def placed(visit_id: str, start: str, minutes: int, **where: object):
    booking = unplaced(visit_id, start, minutes)
    return booking.model_copy(update={"placed": place(booking, start, **where)})


def ask(book, wish: Wish = Wish.SOONEST, limit: int = 3, **request: object) -> OpeningsAnswer:
    question = OpeningsQuestion(request=a_request(**request), wish=wish, limit=limit)
    return find_openings(book, question)


def two_days(**changes: object):
    """Two days with a chair for each of two leads and an assistant."""
    days = (DAY, DAY + timedelta(days=1))
    staff = (a_lead("lead-1"), a_lead("lead-2"), an_assistant())
    facts = {
        "open": tuple(a_window("9:00", "19:00", day) for day in days),
        "chairs": (a_chair("chair-1"), a_chair("chair-2")),
        "staff": staff,
        "shifts": tuple(a_shift(person.id, day=day) for person in staff for day in days),
        "rules": (),
    }
    return a_day_book(**{**facts, **changes})


BOTH_DAYS = (
    a_window("0:00", "24:00", DAY).model_copy(
        update={"end": a_window("0:00", "24:00", DAY + timedelta(days=1)).end}
    ),
)


def measure(wish: Wish, opening: Opening) -> int:
    """What she wishes to be small, read off the opening alone."""
    if wish is Wish.SOONEST:
        return round(opening.start.timestamp() / 60)
    if wish is Wish.ANY_HOUR:
        return opening.start.toordinal() * 1440
    if wish is Wish.EARLY_FINISH:
        return opening.finish.hour * 60 + opening.finish.minute
    return opening.visit.window.minutes


@pytest.mark.parametrize("wish", list(Wish))
@pytest.mark.parametrize("seed", range(300, 312))
def test_openings_come_in_the_order_of_the_wish(seed: int, wish: Wish) -> None:
    case = small(seed)
    request = case.request.model_copy(update={"preferred": None, "preferred_lead": None})
    answer = find_openings(case.book, OpeningsQuestion(request=request, wish=wish, limit=10))
    if not answer.openings:
        return
    found = [measure(wish, opening) for opening in answer.openings]
    buckets = [(each - min(found)) // BUCKET for each in found]
    assert buckets == sorted(buckets)
    # And nothing that was found, offered or not, is better by a bucket.
    search = Search(BookIndex.of(case.book), request)
    raster, zone = search.index.raster, search.index.raster.frame.zone
    for way, starts in every_place(search):
        for slot in slots(starts):
            start, end = raster.instant(slot), raster.instant(slot + way.layout.length)
            local = end.astimezone(zone)
            best = {
                Wish.SOONEST: round(start.timestamp() / 60),
                Wish.ANY_HOUR: start.astimezone(zone).toordinal() * 1440,
                Wish.EARLY_FINISH: local.hour * 60 + local.minute,
                Wish.SHORTEST: way.layout.length * raster.unit,
            }[wish]
            assert found[0] < best + BUCKET


def test_a_shorter_place_comes_before_one_that_costs_the_book_less() -> None:
    # Help costs the book an assistant's time, and leaves a hole before the next client.
    book = a_day_book(
        visits=[placed("b", "12:30", 330, lead="lead-1")], staff=(a_lead(), an_assistant())
    )
    answer = ask(book, Wish.SHORTEST, phases=(a_shared_phase(180),))
    first, *others = answer.openings
    assert first.assistant == "assistant-1"
    assert first.visit.window.minutes == 120
    assert others
    assert all(each.visit.window.minutes >= 120 for each in others)
    assert first.cost > min(each.cost for each in others)
    assert first.reasons[0] == "No place found is shorter."
    assert any("minutes shorter" in reason for each in answer.openings for reason in each.reasons)


def test_a_place_that_starts_earlier_comes_first_whatever_hole_it_leaves() -> None:
    # From 9:00 the visit leaves 45 minutes before the next client, from 9:45 none.
    book = a_day_book(visits=[placed("b", "12:45", 315)])
    answer = ask(book, limit=10, phases=(a_phase(minutes=180),))
    starts = [each.start for each in answer.openings]
    assert starts[0] == at("9:00")
    assert starts == sorted(starts)
    assert answer.openings[0].reasons[0] == "No place found starts earlier."


def test_among_places_she_hardly_tells_apart_the_book_decides() -> None:
    # Lead-1 would be left with 30 minutes before her next client, lead-2 with none.
    next_ones = [
        placed("b", "12:30", 330, lead="lead-1", chair="chair-1"),
        placed("c", "12:00", 360, lead="lead-2", chair="chair-2"),
    ]
    answer = ask(two_days(visits=next_ones), phases=(a_phase(minutes=180),))
    assert [(each.lead, each.start) for each in answer.openings] == [
        ("lead-2", at("9:00")),
        ("lead-1", at("9:00")),
    ]
    assert answer.openings[0].reasons[-1].startswith("Before the next because it costs the book")


def test_of_two_leads_alike_the_one_with_less_booked_comes_first() -> None:
    morning = placed("b", "9:00", 120, lead="lead-1", chair="chair-1")
    answer = ask(
        two_days(visits=[morning]),
        windows=(a_window("9:00", "19:00", DAY + timedelta(days=1)),),
        phases=(a_phase(minutes=120),),
    )
    first, *others = answer.openings
    assert first.lead == "lead-2"
    assert others
    assert "Before the next because Lead-2 has less booked than Lead-1." in first.reasons


def test_the_preferred_time_comes_before_the_wish() -> None:
    answer = ask(
        two_days(rules=None),
        windows=BOTH_DAYS,
        preferred=a_window("14:00", "15:00", DAY + timedelta(days=1)),
        phases=(a_phase(minutes=120),),
    )
    assert at("14:00", DAY + timedelta(days=1)) == answer.openings[0].start


def test_the_preferred_lead_outweighs_a_quarter_of_an_hour_but_not_a_day() -> None:
    # Lead-2 is taken until 9:15: as good as at once, for a client who prefers her.
    later = placed("b", "9:00", 15, lead="lead-2", chair="chair-2")
    answer = ask(
        two_days(visits=[later], rules=None), preferred_lead="lead-2", phases=(a_phase(minutes=60),)
    )
    assert answer.openings[0].lead == "lead-2"
    whole_day = placed("b", "9:00", 540, lead="lead-2", chair="chair-2")
    wish = a_setting("preferred-lead", hard=False, weight=20)
    book = two_days(visits=[whole_day], rules=(wish,))
    answer = ask(book, windows=BOTH_DAYS, preferred_lead="lead-2", phases=(a_phase(minutes=60),))
    assert answer.openings[0].lead == "lead-1"
    assert any(each.lead == "lead-2" for each in answer.openings)


@pytest.mark.parametrize("wish", list(Wish))
def test_every_opening_but_the_last_says_why_it_comes_before_the_next(wish: Wish) -> None:
    answer = ask(two_days(), wish, 8, windows=BOTH_DAYS, phases=(a_shared_phase(240),))
    *others, last = answer.openings
    assert len(others) == 7
    assert all(each.reasons[-1].startswith("Before the next because ") for each in others)
    assert not any(reason.startswith("Before the next") for reason in last.reasons)


def test_the_only_lead_for_a_skill_is_kept_only_among_places_as_good() -> None:
    micro = unplaced("b", "9:00", phases=(a_phase("micro", 60),))
    micro = micro.model_copy(update={"placed": place(micro, "9:00", chair="chair-2")})
    staff = (a_lead("lead-1", skills=skills("braiding", "micro")), a_lead("lead-2"))
    shifts = (a_shift("lead-1"), a_shift("lead-2", start="12:00"))
    chairs = (a_chair("chair-1"), a_chair("chair-2"))
    book = a_day_book(visits=[micro], staff=staff, chairs=chairs, shifts=shifts)
    answer = ask(book, limit=2, phases=(a_phase(minutes=60),))
    assert answer.openings[0].lead == "lead-1"  # at ten; lead-2 comes at noon
