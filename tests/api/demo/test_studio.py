"""The demo studio's data: invented, consistent, large enough."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest

from api.demo.diary import calls
from api.demo.examples import day_book
from api.demo.menu import MENU, SHOWPIECE
from api.demo.shelf import stock
from api.demo.studio import CHAIRS, OPEN_WEEKDAYS, STAFF, shifts
from schemas.resources import Role
from schemas.style import MenuEntry
from schemas.takeoff import TakeOffRequest
from solver.checker import check
from solver.cross_check import cross_check
from solver.plan import plan_days
from solver.takeoff import house_materials, take_off
from solver.takeoff.crew import ASSIST
from solver.takeoff.work import with_work

MONDAY = date(2026, 11, 30)


def test_the_studio_is_as_large_as_promised() -> None:
    leads = [person for person in STAFF if Role.LEAD in person.roles]
    assert len(CHAIRS) >= 6
    assert len(leads) >= 5
    assert len(STAFF) - len(leads) >= 4
    assert len(MENU) >= 12
    assert len({person.skills for person in STAFF}) > len(STAFF) // 2
    assert len({(person.pace, person.help_rate) for person in STAFF}) > len(STAFF) // 2


def test_the_showpiece_has_twenty_braids_in_front_and_44_in_all() -> None:
    (entry,) = (entry for entry in MENU if entry.id == SHOWPIECE)
    answer = take_off(TakeOffRequest(style=entry.style))
    front = [row.braids for row in answer.rows if row.section.startswith("front")]
    assert sum(front) == 20
    assert answer.braids == 44


@pytest.mark.parametrize("entry", MENU, ids=lambda entry: entry.id)
def test_two_leads_at_least_can_do_each_style(entry: MenuEntry) -> None:
    able = [person for person in STAFF if person.masters(entry.style.technique, 3)]
    assert len(able) >= 2


def test_every_assistant_may_help_braid() -> None:
    assistants = [person for person in STAFF if Role.LEAD not in person.roles]
    assert all(person.masters(ASSIST) for person in assistants)


def test_everybody_has_five_shifts_a_week_at_most_and_never_on_a_closed_day() -> None:
    rota = [*shifts(MONDAY)]
    weeks = Counter((s.staff, s.window.start.isocalendar().week) for s in rota)
    assert max(weeks.values()) <= 5
    assert {shift.window.start.isoweekday() for shift in rota} <= set(OPEN_WEEKDAYS)
    assert len({shift.id for shift in rota}) == len(rota)


def test_the_shelf_holds_only_materials_that_are_known() -> None:
    known = {material.id for material in house_materials()}
    for name, line in stock(MONDAY):
        assert name in known or (line.material is not None and line.material.id == name)


def test_the_same_seed_brings_the_same_clients() -> None:
    assert [*calls(MONDAY, 3)] == [*calls(MONDAY, 3)]
    assert [*calls(MONDAY, 3)] != [*calls(MONDAY, 4)]


def test_a_client_is_named_by_one_visit_id() -> None:
    ids = [call.visit for call in calls(MONDAY, 1)]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("monday", [MONDAY, date(2027, 7, 5)])  # winter and summer time
def test_the_example_day_book_can_be_planned(monday: date) -> None:
    book = with_work(day_book(monday))
    cross_check(book)
    result = plan_days(book, seconds=2)
    assert result.plan is not None
    assert not [finding for finding in check(book, result.plan) if finding.hard]
