"""Weeks with everything in them, and their minutes for pandas."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pandas as pd

from schemas.daybook import DayBook
from schemas.windows import TimeWindow
from schemas.work import Place
from tests.builders import (
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_planned_phase,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
)


def minute_stamps(window: TimeWindow) -> pd.DatetimeIndex:
    utc = {"start": window.start, "end": window.end}
    return pd.date_range(
        *(pd.Timestamp(instant).tz_convert("UTC") for instant in utc.values()),
        freq="min",
        inclusive="left",
    )


def random_book(seed: int) -> DayBook:
    """Two weeks of two chairs with washes, prep aside, help, breaks and closures."""
    draw = random.Random(seed)
    bookings, breaks = [], []
    days = [date(2026, 10, 19) + timedelta(days=offset) for offset in range(14)]
    for number, day in enumerate(days):
        for chair in ("chair-1", "chair-2"):
            prep, wash = draw.choice([10, 20, 30]), draw.choice([15, 30])
            start = 9 * 60 + draw.randrange(0, 60, 5)
            works = (
                a_wash(wash),
                a_phase("hair-prep", prep, place=Place.NOWHERE),
                a_shared_phase(120),
            )
            clock = [start, start + wash, start + wash + prep, start + wash + prep + 120]
            clock[2:] = [minute + draw.choice([0, 10]) for minute in clock[2:]]
            lead = "lead-1" if chair == "chair-1" else "lead-2"
            text = [f"{minute // 60}:{minute % 60:02d}" for minute in clock]
            meal = draw.choice([0, 20])
            if meal:
                end = clock[2] + meal
                breaks.append(a_meal(text[2], f"{end // 60}:{end % 60:02d}", lead, day=day))
            helped = draw.choice([(), (a_help(text[2], text[3], day=day),)])
            phases = (
                a_planned_phase(text[0], text[1], "wash", lead, basin="basin-1", day=day),
                a_planned_phase(text[1], text[2], "hair-prep", "assistant-1", day=day),
                a_planned_phase(text[2], text[3], "braiding", lead, help_=helped, day=day),
            )
            booking = a_booking(f"visit-{number}-{chair}", text[0], day=day, phases=works)
            place = a_placed(booking, chair=chair, lead=lead, phases=phases)
            bookings.append(booking.model_copy(update={"placed": place}))
    return a_day_book(
        visits=bookings,
        chairs=(a_chair("chair-1"), a_chair("chair-2"), a_chair("chair-3")),
        open=tuple(a_window("9:00", "13:05", day) for day in days),
        staff=(a_lead("lead-1"), a_lead("lead-2"), an_assistant(help_rate=0.45)),
        shifts=tuple(
            a_shift(
                person, draw.choice(["8:30", "9:00", "9:40"]), draw.choice(["12:30", "14:00"]), day
            )
            for day in days
            for person in ("lead-1", "lead-2", "assistant-1")
        ),
        closures=(a_closure("9:00", "10:07", "chair-2", days[2]),),
        breaks=tuple(breaks),
        rules=(a_setting("turnaround", minutes=draw.choice([0, 10, 45])),),
    )
