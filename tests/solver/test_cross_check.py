"""A day book that contradicts itself is refused with the pointer to the field."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook, Grid
from schemas.resources import Shift
from schemas.windows import TimeWindow
from solver.cross_check import cross_check
from solver.errors import DayBookError
from tests.builders import (
    DAY,
    ZONE,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_planned_phase,
    a_request,
    a_setting,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    at,
    skills,
)


def faults(day_book: DayBook) -> dict[str, str]:
    with pytest.raises(DayBookError) as refused:
        cross_check(day_book)
    return {fault.pointer: fault.detail for fault in refused.value.faults}


def written(start: str, end: str) -> TimeWindow:
    """A window with its offsets spelled out."""
    return TimeWindow.model_validate({"start": start, "end": end})


def in_zone(zone: str, window: TimeWindow) -> DayBook:
    """A day book of that zone, open and staffed in the window."""
    shift = Shift(id="shift-1", staff="lead-1", window=window)
    return a_day_book(zone=zone, open=(window,), shifts=(shift,))


def placed_in(booking: Booking, **changes: Any) -> Booking:
    """The booking at nine o'clock, and what of its place is to be otherwise."""
    phases = changes.pop("phases", None) or (a_planned_phase("9:00", "13:00"),)
    placed = a_placed(booking, phases=phases).model_copy(update=changes)
    return booking.model_copy(update={"placed": placed})


def test_a_day_book_that_makes_sense_passes():
    visits = [
        a_booking(tolerance=15, lead="lead-1", phases=(a_wash(), a_phase())),
        a_request(required_lead="lead-1", preferred=a_window("10:00", "11:00")),
    ]
    cross_check(a_day_book(visits=visits, rules=None, breaks=(a_meal("13:00", "13:30"),)))


@pytest.mark.parametrize(
    ("day_book", "pointer", "words"),
    [
        pytest.param(
            a_day_book(visits=[a_booking(phases=(a_phase("lacing"),))]),
            "/bookings/0/phases/0/skill",
            "nobody of this day book masters lacing",
            id="an unknown skill",
        ),
        pytest.param(
            a_day_book(
                visits=[a_booking(phases=(a_wash(), a_phase(level=4)))],
                staff=(a_lead(skills=skills("braiding", "wash", level=3)),),
            ),
            "/bookings/0/phases/1/level",
            "the best has 3",
            id="a level nobody has",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(phases=(a_wash(),))], basins=()),
            "/bookings/0/phases/0/place",
            "no basin",
            id="a wash without a basin",
        ),
        pytest.param(
            a_day_book(visits=[a_booking()], chairs=()),
            "/bookings/0/phases/0/place",
            "no chair",
            id="an install without a chair",
        ),
        pytest.param(
            a_day_book(visits=[placed_in(a_booking(), window=a_window("9:00", "17:00"))]),
            "/bookings/0/placed/window",
            "must be that of its phases",
            id="a place whose window is not that of its phases",
        ),
        pytest.param(
            a_day_book(
                visits=[
                    placed_in(
                        a_booking(phases=(a_wash(), a_phase())),
                        phases=(
                            a_planned_phase("9:00", "9:30", kind="wash", basin="basin-1"),
                            a_planned_phase("9:25", "13:00"),
                        ),
                    )
                ]
            ),
            "/bookings/0/placed/phases/1/window",
            "begins before wash has ended",
            id="a place whose phases overlap",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(chair_features=("quiet",))]),
            "/bookings/0/chair_features/0",
            "quiet",
            id="a feature no chair has",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(start="19:00", tolerance=0)]),
            "/bookings/0/promise/start",
            "outside every opening window",
            id="a booking at closing time",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(start="18:00")]),
            "/bookings/0/promise/start",
            "outside every shift",
            id="a booking when everybody has left",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(lead="ghost")]),
            "/bookings/0/promise/lead",
            "there is no member of staff ghost",
            id="an unknown promised lead",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(lead="assistant-1")]),
            "/bookings/0/promise/lead",
            "assistant-1 is not a lead",
            id="a promised lead who is none",
        ),
        pytest.param(
            a_day_book(
                visits=[a_booking(lead="lead-1", required_lead="lead-2")],
                staff=(a_lead(), a_lead("lead-2")),
            ),
            "/bookings/0/promise/lead",
            "lead-1 is promised, but lead-2 is required",
            id="two leads for one visit",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(lead="lead-1", refused_leads=("lead-1",))]),
            "/bookings/0/promise/lead",
            "promised and also refused",
            id="a promised lead who is refused",
        ),
        pytest.param(
            a_day_book(visits=[a_request(required_lead="ghost")]),
            "/requests/0/required_lead",
            "ghost",
            id="an unknown required lead",
        ),
        pytest.param(
            a_day_book(visits=[a_request(preferred_lead="ghost")]),
            "/requests/0/preferred_lead",
            "ghost",
            id="an unknown preferred lead",
        ),
        pytest.param(
            a_day_book(visits=[a_request(refused_leads=("lead-1", "ghost"))]),
            "/requests/0/refused_leads/1",
            "ghost",
            id="an unknown refused lead",
        ),
        pytest.param(
            a_day_book(shifts=(a_shift(), a_shift("ghost"))),
            "/shifts/1/staff",
            "ghost",
            id="a shift of a stranger",
        ),
        pytest.param(
            a_day_book(shifts=(a_shift("lead-1", "9:00", "13:00"), a_shift("lead-1", "12:55"))),
            "/shifts/1/window",
            "two shifts of lead-1 overlap: see /shifts/0/window",
            id="two shifts of one person at once",
        ),
        pytest.param(
            a_day_book(open=(a_window("12:55", "19:00"), a_window("9:00", "13:00"))),
            "/open/0",
            "two opening windows overlap: see /open/1",
            id="two openings at once",
        ),
        pytest.param(
            a_day_book(closures=(a_closure("9:00", "10:00", "ghost"),)),
            "/closures/0/chair",
            "ghost",
            id="a closure of an unknown chair",
        ),
        pytest.param(
            a_day_book(shifts=(a_shift("lead-1", "9:02", "18:00"),)),
            "/shifts/0/window/start",
            "09:02 is off the 5-minute grid",
            id="a shift off the grid",
        ),
        pytest.param(
            a_day_book(open=(a_window("9:00", "19:01"),)),
            "/open/0/end",
            "19:01 is off the 5-minute grid",
            id="an opening off the grid",
        ),
        pytest.param(
            a_day_book(visits=[a_booking(start="9:01")]),
            "/bookings/0/promise/start",
            "09:01 is off the 5-minute grid",
            id="a promise off the grid",
        ),
        pytest.param(
            a_day_book(rules=(a_setting("turnaround", minutes=-10),)),
            "/rules/0/parameters/minutes",
            "greater than or equal to 0",
            id="a rule with a negative number",
        ),
        pytest.param(
            a_day_book(rules=(a_setting("turnaround"), a_setting("no-mondays"))),
            "/rules/1/code",
            "there is no rule no-mondays",
            id="an unknown rule",
        ),
        pytest.param(
            a_day_book(rules=(a_setting("turnaround"), a_setting("turnaround"))),
            "/rules/1/code",
            "listed twice",
            id="a rule listed twice",
        ),
        pytest.param(
            a_day_book(breaks=(a_meal("12:00", "12:30", "ghost"),)),
            "/breaks/0/staff",
            "ghost",
            id="a break of a stranger",
        ),
        pytest.param(
            a_day_book(breaks=(a_meal("12:00", "12:30", inside="ghost"),)),
            "/breaks/0/inside",
            "there is no visit ghost",
            id="a break inside an unknown visit",
        ),
    ],
)
def test_a_wrong_day_book_is_refused_at_the_field(day_book, pointer, words):
    told = faults(day_book)
    assert set(told) == {pointer}
    assert words in told[pointer]


def test_a_grid_that_does_not_divide_the_hour_is_told_and_nothing_is_held_against_it():
    day_book = a_day_book(grid=Grid(minutes=7, arrivals=14))
    assert set(faults(day_book)) == {"/grid/minutes", "/grid/arrivals"}


def test_a_booking_may_start_within_its_tolerance_to_be_possible():
    cross_check(a_day_book(visits=[a_booking(start="8:45", tolerance=15)]))
    assert faults(a_day_book(visits=[a_booking(start="8:45", tolerance=14)]))
    cross_check(a_day_book(visits=[a_booking(start="18:00", tolerance=1)]))
    assert faults(a_day_book(visits=[a_booking(start="18:00", tolerance=0)]))


def test_a_booking_done_by_the_earliest_it_may_start_is_refused():
    soon = a_booking(start="9:30", tolerance=30, latest_finish="9:35")
    cross_check(a_day_book(visits=[soon]))
    late = a_booking(start="9:30", tolerance=30)
    at_once = late.promise.model_copy(update={"latest_finish": at("9:00")})
    told = faults(a_day_book(visits=[late.model_copy(update={"promise": at_once})]))
    assert set(told) == {"/bookings/0/promise/latest_finish"}


def test_the_best_level_of_anybody_is_enough():
    cross_check(a_day_book(visits=[a_booking(phases=(a_phase(level=5),))]))


def test_a_place_that_names_strangers_is_refused_at_each():
    booking = a_booking()
    phase = a_planned_phase("9:00", "13:00", performer="ghost", basin="ghost")
    placed = a_placed(booking, phases=[phase], lead="ghost", chair="ghost")
    booked = booking.model_copy(update={"placed": placed})
    assert set(faults(a_day_book(visits=[booked]))) == {
        "/bookings/0/placed/chair",
        "/bookings/0/placed/lead",
        "/bookings/0/placed/phases/0/performer",
        "/bookings/0/placed/phases/0/basin",
    }


def test_several_faults_are_told_at_once():
    day_book = a_day_book(
        visits=[a_booking(lead="ghost"), a_booking("booking-2", phases=(a_phase("lacing"),))],
        closures=(a_closure("9:00", "10:00", "ghost"),),
    )
    assert set(faults(day_book)) == {
        "/closures/0/chair",
        "/bookings/0/promise/lead",
        "/bookings/1/phases/0/skill",
    }


@pytest.mark.parametrize("status", [BookingStatus.TENTATIVE, BookingStatus.CANCELLED])
def test_only_a_confirmed_booking_must_be_possible(status):
    impossible = a_booking(start="19:00", phases=(a_phase("lacing"),), status=status)
    cross_check(a_day_book(visits=[impossible]))


def test_a_request_nobody_can_do_is_no_mistake_of_the_book():
    cross_check(a_day_book(visits=[a_request(phases=(a_phase("lacing"),))]))


def test_somebody_who_left_does_not_make_old_bookings_wrong():
    cross_check(a_day_book(visits=[a_booking(lead="lead-1")], staff=(a_lead(retired=True),)))


def test_windows_that_touch_do_not_overlap():
    cross_check(
        a_day_book(
            open=(a_window("9:00", "13:00"), a_window("13:00", "19:00")),
            shifts=(a_shift("lead-1", "9:00", "13:00"), a_shift("lead-1", "13:00", "19:00")),
        )
    )


def test_a_wish_need_not_fall_on_the_grid():
    cross_check(a_day_book(visits=[a_request(windows=(a_window("9:01", "16:59"),))]))


class TestZones:
    """Every instant is written in the salon's own offset, or in UTC."""

    def test_utc_is_understood(self):
        window = written("2026-12-01T14:00:00Z", "2026-12-01T22:00:00Z")
        cross_check(in_zone("America/New_York", window))

    def test_another_salons_offset_is_refused_with_the_time_it_would_mean(self):
        window = written("2026-12-01T09:00:00-05:00", "2026-12-01T18:00:00-05:00")
        told = faults(in_zone("Europe/Lisbon", window))
        assert set(told) == {
            "/open/0/start",
            "/open/0/end",
            "/shifts/0/window/start",
            "/shifts/0/window/end",
        }
        assert "2026-12-01T14:00:00+00:00" in told["/open/0/start"]

    def test_winter_time_in_summer_is_refused(self):
        window = written("2026-07-01T09:00:00-05:00", "2026-07-01T18:00:00-04:00")
        told = faults(in_zone("America/New_York", window))
        assert set(told) == {"/open/0/start", "/shifts/0/window/start"}

    def test_a_time_the_clock_skipped_is_refused(self):
        # On 2026-03-08 New York's clocks went from 2:00 to 3:00.
        window = written("2026-03-08T02:30:00-05:00", "2026-03-08T11:00:00-04:00")
        told = faults(in_zone("America/New_York", window))
        assert "2026-03-08 02:30 does not exist in America/New_York" in told["/open/0/start"]

    def test_a_day_the_calendar_skipped_is_refused(self):
        # Samoa crossed the date line at the end of 2011-12-29; the next day was the 31st.
        window = written("2011-12-30T09:00:00-10:00", "2011-12-30T18:00:00-10:00")
        told = faults(in_zone("Pacific/Apia", window))
        assert "the day 2011-12-30 does not exist in Pacific/Apia" in told["/open/0/start"]

    def test_wishes_promises_places_and_breaks_are_looked_at_too(self):
        foreign = written("2026-12-01T09:00:00-03:00", "2026-12-01T13:00:00-03:00")
        booking = a_booking(start="9:00", latest_finish="18:00")
        phase = a_planned_phase("9:00", "13:00").model_copy(update={"window": foreign})
        promise = booking.promise.model_copy(update={"latest_finish": foreign.end})
        placed = a_placed(booking, phases=[phase])
        booked = booking.model_copy(update={"placed": placed, "promise": promise})
        request = a_request(windows=(foreign,), preferred=foreign)
        meal = a_meal("12:00", "12:30").model_copy(update={"window": foreign})
        told = faults(a_day_book(visits=[booked, request], breaks=(meal,)))
        assert {pointer.removesuffix("/start").removesuffix("/end") for pointer in told} == {
            "/bookings/0/promise/latest_finish",
            "/bookings/0/placed/window",
            "/bookings/0/placed/phases/0/window",
            "/requests/0/windows/0",
            "/requests/0/preferred",
            "/breaks/0/window",
        }

    @given(
        day=st.dates(date(2024, 1, 1), date(2030, 12, 31)),
        zone=st.sampled_from(["Europe/Lisbon", "Asia/Kathmandu", "America/New_York", "UTC"]),
    )
    def test_the_salons_own_clock_is_never_refused(self, day, zone):
        cross_check(in_zone(zone, a_window("9:00", "18:00", day, zone)))


class TestDocument:
    """What the documents themselves refuse, at the field."""

    def refused(self, change) -> set[tuple]:
        document = json.loads(a_day_book(visits=[a_booking(), a_request()]).model_dump_json())
        DayBook.model_validate(document)
        change(document)
        with pytest.raises(ValidationError) as error:
            DayBook.model_validate(document)
        return {each["loc"] for each in error.value.errors()}

    def test_a_shift_that_ends_before_it_starts(self):
        def turn(document):
            window = document["shifts"][0]["window"]
            window["start"], window["end"] = window["end"], window["start"]

        assert self.refused(turn) == {("shifts", 0, "window")}

    def test_a_zone_nobody_knows(self):
        assert self.refused(lambda book: book.update(zone="Europe/Atlantis")) == {("zone",)}

    @pytest.mark.parametrize("kind", ["chairs", "basins", "staff", "shifts", "bookings"])
    def test_an_id_used_twice(self, kind):
        assert self.refused(lambda book: book[kind].append(book[kind][0])) == {
            (kind, len(getattr(a_day_book(visits=[a_booking()]), kind)), "id")
        }

    def test_a_request_with_the_id_of_a_booking(self):
        def rename(document):
            document["requests"][0]["id"] = "booking-1"

        assert self.refused(rename) == {("requests", 0, "id")}


def test_a_day_book_of_many_faults_tells_the_first_hundred():
    shifts = tuple(
        a_shift("ghost", "9:00", "18:00", DAY + timedelta(days=number)) for number in range(150)
    )
    assert len(faults(a_day_book(shifts=shifts))) == 100


def test_builders_speak_the_zone_they_say():
    assert a_day_book().zone == ZONE
    assert at("24:00") == at("0:00", DAY + timedelta(days=1))
    assert a_chair().id == "chair-1"
    assert an_assistant().masters("braiding-help")
