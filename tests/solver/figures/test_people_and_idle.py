"""Hours of the people, pairs and causes of idle chairs, recomputed by pandas minute by minute."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from schemas.daybook import DayBook
from schemas.resources import Role, Skill
from schemas.week_reports import (
    BottleneckCause,
    IdleMinutes,
    PairMinutes,
    StaffMinutes,
    TurnedAwayRecord,
)
from solver.figures import chair_utilisation, idle_causes, pairing, staff_utilisation
from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_placed,
    a_planned_phase,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
)
from tests.solver.figures.week_books import minute_stamps, random_book

WEEKS = ("2026-W43", "2026-W44")
"""Lisbon puts its clocks back on the Sunday of the first."""


def people_minutes(book: DayBook) -> pd.DataFrame:
    """A row for every minute of every person with a shift or work: what she is at."""
    frames = []
    for person in book.staff:
        rows = [
            (stamp, "shift")
            for shift in book.shifts
            if shift.staff == person.id
            for stamp in minute_stamps(shift.window)
        ]
        rows += [
            (stamp, "break")
            for pause in book.breaks
            if pause.staff == person.id
            for stamp in minute_stamps(pause.window)
        ]
        for booking in book.bookings:
            for phase in booking.placed.phases:
                own = booking.placed.lead == person.id
                if phase.performer == person.id:
                    kind = "leading" if own else "carrying"
                    rows += [(stamp, kind) for stamp in minute_stamps(phase.window)]
                for help_ in phase.help:
                    if help_.staff == person.id:
                        rows += [(stamp, "helping") for stamp in minute_stamps(help_.window)]
        table = pd.DataFrame(rows, columns=["minute", "what"])
        wide = pd.crosstab(table["minute"], table["what"]).clip(upper=1)
        for column in ("shift", "break", "leading", "carrying", "helping"):
            if column not in wide:
                wide[column] = 0
        wide["staff"], wide["lead"] = person.id, Role.LEAD in person.roles
        frames.append(wide.reset_index())
    table = pd.concat(frames)
    table["pause"] = (table["break"] == 1) & (table["shift"] == 1)
    working = (table["break"] == 0) & (table[["leading", "carrying", "helping"]].sum(axis=1) > 0)
    table["at"] = "idle"
    for what in ("helping", "carrying", "leading"):  # the last one written goes first
        table.loc[working & (table[what] == 1), "at"] = what
    calendar = table["minute"].dt.tz_convert("Europe/Lisbon").dt.isocalendar()
    table["week"] = calendar["year"].map("{:04d}".format) + calendar["week"].map("-W{:02d}".format)
    return table


def told(rows: pd.DataFrame) -> dict[str, int]:
    inside = rows[rows["shift"] == 1]
    uses = inside[~inside["pause"]]["at"].value_counts()
    parts = {what: int(uses.get(what, 0)) for what in ("leading", "carrying", "helping", "idle")}
    outside = rows[(rows["shift"] == 0) & (rows["at"] != "idle")]
    return {
        "shift": len(inside),
        "breaks": int(inside["pause"].sum()),
        **parts,
        "beyond": len(outside),
    }


def parts(minutes: StaffMinutes) -> dict[str, int]:
    names = ("shift", "breaks", "leading", "carrying", "helping", "idle", "beyond")
    return {name: getattr(minutes, name) for name in names}


@pytest.mark.parametrize("seed", range(3))
def test_hours_of_the_people_equal_pandas_over_every_minute(seed: int) -> None:
    book = random_book(seed)
    table = people_minutes(book)
    for week in WEEKS:
        report, rows = staff_utilisation(book, week), table[table["week"] == week]
        assert parts(report.total) == told(rows)
        assert parts(report.leads) == told(rows[rows["lead"]])
        for person in report.staff:
            assert parts(person.total) == told(rows[rows["staff"] == person.staff])
            days = pd.DataFrame([parts(day.minutes) for day in person.days]).sum()
            assert days.to_dict() == parts(person.total)


@pytest.mark.parametrize("seed", range(3))
def test_pairs_equal_pandas_over_the_windows(seed: int) -> None:
    book = random_book(seed)
    helps = pd.DataFrame(
        [
            (booking.placed.lead, help_.staff, help_.window.start, help_.window.minutes)
            for booking in book.bookings
            for phase in booking.placed.phases
            for help_ in phase.help
        ],
        columns=["lead", "assistant", "start", "minutes"],
    )
    calendar = (
        pd.to_datetime(helps["start"], utc=True).dt.tz_convert("Europe/Lisbon").dt.isocalendar()
    )
    for week in WEEKS:
        own = helps[calendar["week"] == int(week[-2:])]
        sums = own.groupby(["lead", "assistant"])["minutes"].sum()
        report = pairing(book, week)
        found = {(pair.lead, pair.assistant): pair.minutes.help for pair in report.pairs}
        assert {pair: help_ for pair, help_ in found.items() if help_} == sums.to_dict()
        assert report.total.saved == pytest.approx(sums.sum() * 0.45)
        assert report.total.carried == sum(pair.minutes.carried for pair in report.pairs)


@pytest.mark.parametrize("seed", range(3))
def test_causes_of_idle_chairs_equal_pandas_over_every_minute(seed: int) -> None:
    book, shortest = random_book(seed), 40
    people = people_minutes(book)
    free = people[(people["shift"] == 1) & ~people["pause"] & (people["at"] == "idle")]
    leads = free[free["lead"]].groupby("minute").size()
    others = free[~free["lead"]].groupby("minute").size()
    for week in WEEKS:
        report = idle_causes(book, week, shortest)
        used = chair_utilisation(book, week)
        assert report.total.idle == used.total.open - used.total.occupied
        idle = idle_minutes(book, week, int(book.rules[0].parameters["minutes"]))
        holes = idle.groupby(["chair", "hole"])["minute"].transform("size") < shortest
        rest = idle[~holes].groupby("minute").size()
        no_lead = (rest - leads.reindex(rest.index, fill_value=0)).clip(lower=0)
        left = rest - no_lead
        lacking = (left - others.reindex(rest.index, fill_value=0)).clip(lower=0)
        assert report.total == IdleMinutes(
            idle=len(idle),
            too_short=int(holes.sum()),
            no_lead=int(no_lead.sum()),
            no_assistant=int(lacking.sum()),
            no_client=int((left - lacking).sum()),
        )
        for cells in (report.days, report.hours):
            summed = pd.DataFrame([cell.minutes.model_dump() for cell in cells]).sum()
            assert summed.to_dict() == report.total.model_dump()


def idle_minutes(book: DayBook, week: str, turnaround: int) -> pd.DataFrame:
    """A row for every idle minute of every chair, with the hole it lies in."""
    frames = []
    for chair in book.chairs:
        stamps = pd.DatetimeIndex([]).tz_localize("UTC")
        for window in book.open:
            stamps = stamps.append(minute_stamps(window))
        for closure in book.closures:
            if closure.chair == chair.id:
                stamps = stamps.difference(minute_stamps(closure.window))
        for booking in book.bookings:
            if booking.placed.chair == chair.id:
                taken = minute_stamps(booking.placed.window)
                cleaned = pd.date_range(
                    taken[-1] + pd.Timedelta(minutes=1), periods=turnaround, freq="min"
                )
                stamps = stamps.difference(taken).difference(cleaned)
        calendar = stamps.tz_convert("Europe/Lisbon").isocalendar()
        stamps = stamps[(calendar["week"] == int(week[-2:])).to_numpy()]
        table = pd.DataFrame({"minute": stamps, "chair": chair.id})
        table["hole"] = (table["minute"].diff() != pd.Timedelta(minutes=1)).cumsum()
        frames.append(table)
    return pd.concat(frames)


def busy_saturday(**changes: object) -> DayBook:
    """Two chairs and one lead, who braids from nine to two."""
    saturday = date(2026, 12, 5)
    booking = a_booking("a", "9:00", day=saturday, phases=(a_shared_phase(300),))
    visit = a_placed(booking, day=saturday, phases=[a_planned_phase("9:00", "14:00", day=saturday)])
    facts = {
        "visits": [booking.model_copy(update={"placed": visit})],
        "chairs": (a_chair("chair-1"), a_chair("chair-2")),
        "open": tuple(minutes_of(day) for day in (DAY, saturday)),
        "shifts": (a_shift(day=saturday), a_shift("assistant-1", day=saturday)),
    }
    return a_day_book(**{**facts, **changes})


def minutes_of(day: date):
    return a_shift(start="9:00", end="19:00", day=day).window


def test_the_bottleneck_is_told_in_one_sentence_with_its_evidence() -> None:
    found = idle_causes(busy_saturday(), "2026-W49", 60).bottleneck
    assert found.sentence == (
        "Saturday 09:00-14:00: the one lead at work or in a break, one chair idle "
        "(300 chair minutes)."
    )
    assert (found.cause, found.lost, found.hands) == (BottleneckCause.NO_LEAD, 300, 1)


def test_leads_without_a_chair_are_a_bottleneck_too() -> None:
    staff = (a_lead("lead-1"), a_lead("lead-2"), an_assistant())
    shifts = tuple(a_shift(person.id, day=date(2026, 12, 5)) for person in staff)
    book = busy_saturday(chairs=(a_chair("chair-1"),), staff=staff, shifts=shifts)
    found = idle_causes(book, "2026-W49", 60).bottleneck
    assert found.cause is BottleneckCause.NO_CHAIR
    assert "the one chair taken, one lead idle (300 lead minutes)" in found.sentence


def test_a_technique_asked_for_in_vain_while_others_were_free_is_told_by_name() -> None:
    saturday = date(2026, 12, 5)
    able = (*a_lead().skills, Skill(tag="micro-braids", level=4))
    staff = (a_lead("lead-1", skills=able), a_lead("lead-2"), an_assistant())
    shifts = tuple(a_shift(person.id, day=saturday) for person in staff)
    book = busy_saturday(staff=staff, shifts=shifts)
    window = a_window("10:00", "16:00", saturday)
    asked = TurnedAwayRecord(
        id="late", asked_at=window.start, windows=(window,), technique="micro-braids", minutes=300
    )
    found = idle_causes(book, "2026-W49", 60, (asked,)).bottleneck
    assert found.cause is BottleneckCause.NO_SKILL
    # From ten, when she would have come, to two, when the lead is free again.
    assert found.sentence == (
        "Saturday 10:00-14:00: the one lead for micro braids at work or in a break, "
        "one chair idle, one client asked in vain (240 chair minutes)."
    )


def test_a_week_in_which_nobody_came_has_no_bottleneck() -> None:
    report = idle_causes(a_day_book(), "2026-W49", 60)
    assert report.bottleneck.cause is BottleneckCause.NONE
    # Both are in from 9 to 18 and the house is open until 19.
    assert (report.total.no_client, report.total.no_lead) == (540, 60)


def test_a_week_without_any_lead_on_the_rota_says_so() -> None:
    later = (a_shift(day=date(2026, 12, 12)),)
    found = idle_causes(a_day_book(shifts=later), "2026-W49", 60).bottleneck
    assert found.cause is BottleneckCause.NO_LEAD
    assert found.sentence.startswith("No lead is on the rota")


def test_work_beyond_the_shift_is_told_apart() -> None:
    booking = a_booking(phases=(a_shared_phase(120),))
    help_ = [a_help("17:00", "19:00")]
    placed = a_placed(booking, phases=[a_planned_phase("17:00", "19:00", help_=help_)])
    book = a_day_book(
        visits=[booking.model_copy(update={"placed": placed})],
        breaks=(a_meal("12:00", "12:30"), a_meal("18:30", "18:45")),
    )
    report = staff_utilisation(book, "2026-W49")
    lead = next(person for person in report.staff if person.lead).total
    assert (lead.shift, lead.breaks, lead.available) == (540, 30, 510)
    assert (lead.leading, lead.beyond) == (60, 45)
    assert lead.utilisation == 60 / 510


def test_the_payloads_say_what_their_figures_mean() -> None:
    book = a_day_book()
    staff = {each.figure for each in staff_utilisation(book, "2026-W49").definitions}
    assert staff == set(StaffMinutes.model_fields)
    pairs = {each.figure for each in pairing(book, "2026-W49").definitions}
    assert pairs == set(PairMinutes.model_fields)
    idle = {each.figure for each in idle_causes(book, "2026-W49", 60).definitions}
    assert idle == {name.replace("_", "-") for name in IdleMinutes.model_fields} | {"bottleneck"}
