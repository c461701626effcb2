"""Chair utilisation, recomputed by pandas from the raw times of the book."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import pytest

from schemas.booking import BookingStatus
from schemas.daybook import DayBook
from schemas.reports import ActualMinutes, ChairMinutes
from schemas.visit_clock import VisitClock
from schemas.windows import TimeWindow
from schemas.work import Place
from solver.errors import InputError
from solver.figures import chair_utilisation
from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_help,
    a_meal,
    a_placed,
    a_planned_phase,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
)
from tests.solver.figures.week_books import minute_stamps, random_book

TURNAROUND = a_setting("turnaround", minutes=10)
PARTS = ["open", "hands_on", "waiting", "turnaround", "occupied"]


def placed(visit_id: str, start: str, minutes: int, day: date = DAY, chair: str = "chair-1"):
    booking = a_booking(visit_id, start, minutes, day=day)
    return booking.model_copy(update={"placed": a_placed(booking, start, chair=chair, day=day)})


def numbers(minutes: ChairMinutes) -> list[int]:
    return [getattr(minutes, part) for part in PARTS]


def recomputed(book: DayBook, turnaround: int) -> pd.DataFrame:
    """Every open minute of every chair with what it was used for, one row each."""
    works = {booking.id: booking.phases for booking in book.bookings}
    frames = []
    for chair in book.chairs:
        stamps = [minute_stamps(window) for window in book.open]
        minutes = pd.DataFrame({"minute": stamps[0].append(stamps[1:])})
        minutes["chair"], minutes["use"] = chair.id, "idle"
        for closure in book.closures:
            if closure.chair == chair.id:
                minutes = minutes[~minutes["minute"].isin(minute_stamps(closure.window))].copy()
        visits = [b.placed for b in book.bookings if b.placed and b.status != "CANCELLED"]
        own = [visit for visit in visits if visit.chair == chair.id]
        closing = {window.end for window in book.open}
        for visit in own:
            end = visit.window.end + timedelta(minutes=turnaround)
            cut = min([end, *(c for c in closing if visit.window.end <= c)])
            if cut > visit.window.end:
                after = minute_stamps(TimeWindow(start=visit.window.end, end=cut))
                minutes.loc[minutes["minute"].isin(after), "use"] = "turnaround"
        for visit in own:
            stay = minutes["minute"].isin(minute_stamps(visit.window))
            minutes.loc[stay, "use"] = "waiting"
        for visit in own:
            for work, phase in zip(works[visit.visit], visit.phases, strict=True):
                if work.place is Place.NOWHERE:
                    continue
                busy = minutes["minute"].isin(minute_stamps(phase.window))
                for pause in book.breaks:
                    if pause.staff == phase.performer:
                        busy &= ~minutes["minute"].isin(minute_stamps(pause.window))
                for help_ in phase.help:
                    busy |= minutes["minute"].isin(minute_stamps(help_.window))
                minutes.loc[busy, "use"] = "hands_on"
        frames.append(minutes)
    table = pd.concat(frames)
    local = table["minute"].dt.tz_convert("Europe/Lisbon")
    table["date"], table["hour"] = local.dt.date, local.dt.hour
    calendar = local.dt.isocalendar()
    table["week"] = calendar["year"].map("{:04d}".format) + calendar["week"].map("-W{:02d}".format)
    return table


def counted(rows: pd.DataFrame) -> list[int]:
    uses = rows["use"].value_counts()
    parts = [int(uses.get(use, 0)) for use in ("hands_on", "waiting", "turnaround")]
    return [len(rows), *parts, sum(parts)]


@pytest.mark.parametrize("seed", range(4))
def test_the_report_equals_pandas_over_every_minute(seed: int) -> None:
    book = random_book(seed)
    table = recomputed(book, int(book.rules[0].parameters["minutes"]))
    for week in ("2026-W43", "2026-W44"):
        rows = table[table["week"] == week]
        report = chair_utilisation(book, week)
        assert numbers(report.total) == counted(rows)
        for chair in report.chairs:
            own = rows[rows["chair"] == chair.chair]
            assert numbers(chair.total) == counted(own)
            for day in chair.days:
                assert numbers(day.minutes) == counted(own[own["date"] == day.date])
        for hour in report.hours:
            there = rows[(rows["date"] == hour.date) & (rows["hour"] == hour.hour)]
            assert numbers(hour.minutes) == counted(there)
        assert len(report.hours) == len(rows[["date", "hour"]].drop_duplicates())


@pytest.mark.parametrize("seed", range(4))
def test_totals_are_the_sum_of_their_parts(seed: int) -> None:
    report = chair_utilisation(random_book(seed), "2026-W43")
    total = numbers(report.total)
    assert total == [
        sum(part) for part in zip(*(numbers(c.total) for c in report.chairs), strict=True)
    ]
    assert total == [
        sum(part) for part in zip(*(numbers(h.minutes) for h in report.hours), strict=True)
    ]
    for chair in report.chairs:
        days = zip(*(numbers(day.minutes) for day in chair.days), strict=True)
        assert numbers(chair.total) == [sum(part) for part in days]
    for minutes in (report.total, *(c.total for c in report.chairs)):
        assert minutes.occupied == minutes.hands_on + minutes.waiting + minutes.turnaround


@pytest.mark.parametrize(
    ("day", "week"),
    [  # ISO 8601: a week belongs to the year that holds its Thursday
        (date(2019, 12, 30), "2020-W01"),
        (date(2021, 1, 3), "2020-W53"),
        (date(2027, 1, 1), "2026-W53"),
    ],
)
def test_a_day_counts_in_the_week_of_its_thursday(day: date, week: str) -> None:
    book = a_day_book(
        visits=[placed("booking-1", "9:00", 60, day)],
        open=(a_window("9:00", "19:00", day),),
        shifts=(a_shift(day=day),),
    )
    report = chair_utilisation(book, week)
    assert report.first_day <= day <= report.last_day
    assert report.total.hands_on == 60
    assert [d.date for d in report.chairs[0].days if d.minutes.occupied] == [day]


@pytest.mark.parametrize(
    ("day", "minutes", "hours"),
    [  # Lisbon changes its clocks at 1:00 UTC: 23 hours in March, 25 in October
        (date(2026, 3, 29), 23 * 60, {0: 60, 2: 60}),
        (date(2026, 10, 25), 25 * 60, {0: 60, 1: 120, 2: 60}),
    ],
)
def test_a_clock_change_day_keeps_its_true_length(
    day: date, minutes: int, hours: dict[int, int]
) -> None:
    book = a_day_book(open=(a_window("0:00", "24:00", day),), shifts=(a_shift(day=day),))
    calendar = day.isocalendar()
    report = chair_utilisation(book, f"{calendar.year}-W{calendar.week:02d}")
    assert report.total.open == minutes
    night = {hour.hour: hour.minutes.open for hour in report.hours if hour.hour < 3}
    assert night == hours


def test_turnaround_ends_with_the_next_visit_and_at_closing() -> None:
    visits = [placed("a", "9:00", 60), placed("b", "10:05", 60), placed("c", "18:00", 55)]
    report = chair_utilisation(a_day_book(visits=visits, rules=(TURNAROUND,)), "2026-W49")
    assert report.total.turnaround == 5 + 10 + 5


def test_turnaround_follows_the_chairs_of_the_rule() -> None:
    rule = a_setting("turnaround", minutes=10, chair_tags=["deep-clean"])
    chairs = (a_chair("chair-1", tags=("deep-clean",)), a_chair("chair-2"))
    visits = [placed("a", "9:00", 60), placed("b", "9:00", 60, chair="chair-2")]
    report = chair_utilisation(a_day_book(visits=visits, chairs=chairs, rules=(rule,)), "2026-W49")
    assert [chair.total.turnaround for chair in report.chairs] == [10, 0]


def test_without_the_rule_there_is_no_turnaround() -> None:
    report = chair_utilisation(a_day_book(visits=[placed("a", "9:00", 60)]), "2026-W49")
    assert report.total.turnaround == 0


def test_a_break_inside_is_waiting_unless_an_assistant_goes_on() -> None:
    booking = a_booking(phases=(a_shared_phase(120),))
    phase = a_planned_phase("9:00", "11:00", help_=[a_help("9:00", "10:10")])
    booking = booking.model_copy(update={"placed": a_placed(booking, phases=[phase])})
    book = a_day_book(visits=[booking], breaks=(a_meal("10:00", "10:30"),))
    minutes = chair_utilisation(book, "2026-W49").total
    assert (minutes.hands_on, minutes.waiting) == (100, 20)


def test_a_cancelled_booking_occupies_nothing() -> None:
    booking = placed("a", "9:00", 60).model_copy(update={"status": BookingStatus.CANCELLED})
    report = chair_utilisation(a_day_book(visits=[booking]), "2026-W49")
    assert report.total.occupied == 0


def test_a_chair_that_was_never_open_has_no_utilisation() -> None:
    book = a_day_book(closures=(a_closure("0:00", "24:00"),))
    assert chair_utilisation(book, "2026-W49").total.utilisation is None


@pytest.mark.parametrize("week", ["2026-W54", "2025-W53", "2026-W00", "2026-49", "W49", "1999-W02"])
def test_a_week_that_is_not_there_is_refused_by_name(week: str) -> None:
    with pytest.raises(InputError) as refused:
        chair_utilisation(a_day_book(), week)
    assert refused.value.faults[0].pointer == "week"


def test_the_payload_says_what_its_figures_mean() -> None:
    report = chair_utilisation(a_day_book(), "2026-W49")
    named = {definition.figure.replace("-", "_") for definition in report.definitions}
    assert named == {*ChairMinutes.model_fields, *ActualMinutes.model_fields}


def clocked(start: str, end: str, visit: str = "a") -> dict[str, VisitClock]:
    window = a_window(start, end)
    return {visit: VisitClock(id=visit, started=window.start, finished=window.end)}


def test_what_was_clocked_counts_as_it_came_about() -> None:
    book = a_day_book(
        visits=[placed("a", "9:00", 60), placed("b", "12:00", 60)], rules=(TURNAROUND,)
    )
    report = chair_utilisation(book, "2026-W49", clocked("9:15", "10:40"))
    assert (report.placed, report.clocked) == (2, 1)
    assert report.total.occupied == 60 + 60 + 20
    assert report.actual.present == 85 + 60
    assert report.actual.turnaround == 20
    assert report.actual.utilisation == 165 / 600
    nine = next(hour for hour in report.hours if hour.hour == 9 and hour.date == DAY)
    assert (nine.minutes.occupied, nine.actual.occupied) == (60, 45)


def test_a_start_without_a_finish_counts_as_planned() -> None:
    book = a_day_book(visits=[placed("a", "9:00", 60)])
    clock = VisitClock(id="a", started=a_window("9:20", "9:30").start)
    report = chair_utilisation(book, "2026-W49", {"a": clock})
    assert (report.clocked, report.actual.present) == (0, 60)


def test_two_visits_that_the_clock_lets_overlap_are_counted_once() -> None:
    book = a_day_book(visits=[placed("a", "9:00", 60), placed("b", "10:00", 60)])
    report = chair_utilisation(book, "2026-W49", clocked("9:00", "10:30"))
    assert report.actual.present == 120


def test_closed_minutes_are_those_of_opening_hours_that_a_closure_takes() -> None:
    book = a_day_book(closures=(a_closure("8:00", "10:30"),))
    total = chair_utilisation(book, "2026-W49").total
    assert (total.open, total.closed) == (600 - 90, 90)
