"""Tables for people: what they show, and that they fit."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from api.cli.tables.strip import Face, chair_strip, letters, person_strip
from api.cli.tables.views import day_views
from api.cli.tables.words import bar, day_name, hours, indented, percent
from schemas.dayview import DayView
from tests.api.cli.cli_run import run, write
from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_meal,
    a_placed,
    a_plan,
    a_planned_phase,
    a_shared_phase,
    at,
)


def helped_day() -> DayView:
    """Braiding 9:00 to 10:30, help from 9:30 to 10:00, the lead's meal 11:00 to 11:30."""
    visit = a_booking("booking-1", "9:00", phases=(a_shared_phase(105),))
    braiding = a_planned_phase("9:00", "10:30", help_=[a_help("9:30", "10:00")])
    plan = a_plan(
        a_placed(visit, phases=[braiding]),
        breaks=[a_meal("11:00", "11:30")],
    )
    (view,) = day_views(a_day_book(visits=[visit]), plan)
    return view


def test_a_chair_shows_a_letter_for_every_quarter_it_is_taken() -> None:
    view = helped_day()
    face = Face.around(at("9:00"), at("12:00"))
    strip = chair_strip(face, view.visits, letters(view.visits))
    assert strip.plain == "AAAAAA......"


def test_a_capital_is_own_work_a_small_letter_help_and_a_stroke_a_break() -> None:
    view = helped_day()
    face = Face.around(at("9:00"), at("12:00"))
    lead, assistant = (person_strip(face, who, letters(view.visits)) for who in view.staff)
    assert lead.plain == "AAAAAA..==.."
    assert assistant.plain == "..aa........"


def test_outside_her_shift_a_person_shows_nothing() -> None:
    view = helped_day()
    face = Face.around(at("17:00"), at("19:00"))
    assert person_strip(face, view.staff[0], letters(view.visits)).plain == "....    "


def test_the_face_covers_whole_hours_and_counts_quarters() -> None:
    face = Face.around(at("9:15"), at("11:05"))
    assert face.cells == 12
    assert face.hours() == "09  10  11"


def test_a_day_without_bookings_is_still_a_day_of_the_salon() -> None:
    (view,) = day_views(a_day_book(), a_plan())
    assert view.date == date(2026, 12, 1)
    assert [person.name for person in view.staff] == ["Lead-1", "Assistant-1"]


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (59, "59 min"), (59.6, "1 h 00"), (60, "1 h 00"), (330, "5 h 30")],
)
def test_minutes_are_said_as_the_desk_says_them(minutes: float, words: str) -> None:
    assert hours(minutes) == words


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_a_day_name_is_english_in_every_locale(day: date) -> None:
    assert day_name(day).split()[0] == day_name(day + timedelta(days=7)).split()[0]
    assert str(day.day) == day_name(day).split()[1]


@given(st.floats(0, 1))
def test_a_bar_has_its_width_whatever_the_share(share: float) -> None:
    assert len(bar(share)) == 10


def test_what_was_not_open_has_no_share() -> None:
    assert (percent(None), bar(None)) == ("-", "")


def test_a_paragraph_keeps_its_indent_when_it_wraps() -> None:
    console = Console(width=20)
    with console.capture() as captured:
        console.print(indented("one two three four five six seven", 3, "-"))
    lines = captured.get().rstrip().split("\n")
    assert lines[0].startswith(" - one")
    assert len(lines) > 1
    assert all(line.startswith("   ") for line in lines[1:])


@pytest.mark.parametrize("width", ["80", "120"])
def test_no_table_of_a_take_off_is_wider_than_the_terminal(
    tmp_path: Path, width: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", width)
    style = {"name": "Knotless", "technique": "knotless", "size": "large", "length_cm": 75}
    ran = run("take-off", write(tmp_path, {"style": style}))
    assert max(map(len, ran.out.splitlines())) <= int(width)
