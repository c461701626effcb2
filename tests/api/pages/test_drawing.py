"""A day laid out for the page: every minute of a visit is drawn once, where and as it is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from api.pages.desk.drawing import Drawing, Extra, Shown, Strand, draw
from api.services.days import DaySheet
from schemas.booking import BookingStatus
from schemas.dayview import ChairDayView, DayView, StaffDayView, VisitDayView
from schemas.plan import BreakKind, Help, PlannedBreak, PlannedPhase, PlannedVisit
from tests.builders import DAY, ZONE, a_window, at

WASH = PlannedPhase(kind="wash", window=a_window("10:00", "10:30"), performer="assistant-1")
BRAIDING = PlannedPhase(
    kind="braiding",
    window=a_window("10:45", "14:00"),
    performer="lead-1",
    help=(Help(staff="assistant-1", window=a_window("11:00", "12:30")),),
)
VISIT = VisitDayView(
    visit="v-1",
    client="Vera",
    status=BookingStatus.CONFIRMED,
    chair="chair-1",
    lead="lead-1",
    assistants=("assistant-1",),
    window=a_window("10:00", "14:00"),
    phases=(WASH, BRAIDING),
)
MEAL = PlannedBreak(
    staff="lead-1", kind=BreakKind.MEAL, window=a_window("12:30", "13:00"), inside="v-1"
)


def a_sheet(*visits: VisitDayView, breaks: tuple[PlannedBreak, ...] = (MEAL,)) -> DaySheet:
    people = [
        StaffDayView(staff=name, name=name, shifts=(), duties=(), breaks=own)
        for name, own in (("lead-1", breaks), ("assistant-1", ()))
    ]
    view = DayView(
        date=DAY,
        zone=ZONE,
        open=a_window("9:00", "19:00"),
        chairs=(ChairDayView(chair="chair-1", name="Chair 1", visits=()),),
        visits=visits,
        staff=tuple(people),
        waiting=(),
        findings=(),
    )
    return DaySheet(
        view=view, leads=frozenset({"lead-1"}), styles={}, turnaround={"chair-1": 10}, wanting={}
    )


def drawn(*visits: VisitDayView, now: datetime | None = None) -> Drawing:
    return draw(a_sheet(*visits), now or at("8:00"))


def only(drawing: Drawing) -> Strand:
    (strand,) = drawing.strands
    return strand


def spans(strand: Strand, kind: str) -> list[tuple[float, float]]:
    """Minutes of the visit, from its start, that pieces of a kind cover."""
    whole = strand.window.minutes
    return [
        (round(piece.x * whole / 100), round((piece.x + piece.width) * whole / 100))
        for piece in strand.pieces
        if piece.kind == kind
    ]


def test_a_visit_lies_on_its_lane_at_its_time() -> None:
    strand = only(drawn(VISIT))
    assert (strand.x, strand.width) == (10.0, 40.0)
    assert strand.turnaround == pytest.approx(100 * 10 / 600, abs=0.01)


def test_the_lead_is_drawn_while_her_hands_are_on_the_head_and_at_rest_in_her_break() -> None:
    strand = only(drawn(VISIT))
    assert spans(strand, "lead") == [(45, 150), (180, 240)]
    assert spans(strand, "break") == [(150, 180)]


def test_an_assistant_is_drawn_only_while_she_is_there() -> None:
    strand = only(drawn(VISIT))
    assert spans(strand, "help") == [(60, 150)]
    assert spans(strand, "alone") == [(0, 30)]


def test_what_no_phase_covers_is_waiting() -> None:
    assert spans(only(drawn(VISIT)), "waiting") == [(30, 45)]


def test_a_break_outside_the_phase_takes_nothing_of_the_strand() -> None:
    early = MEAL.model_copy(update={"window": a_window("10:00", "10:30"), "inside": None})
    strand = only(draw(a_sheet(VISIT, breaks=(early,)), at("8:00")))
    assert spans(strand, "lead") == [(45, 240)]


def test_everything_drawn_is_in_the_words_too() -> None:
    words = only(drawn(VISIT)).words
    for said in ("Vera", "10:00 to 14:00", "Chair 1", "assistant-1 helps 11:00 to 12:30", "12:30"):
        assert said in words


def test_the_line_of_now_is_there_on_its_day_alone() -> None:
    assert drawn(VISIT, now=at("14:00")).now == 50.0
    assert drawn(VISIT, now=at("14:00", date(2026, 12, 2))).now is None


def test_what_is_only_looked_at_is_drawn_beside_the_book_or_in_its_place() -> None:
    visit = PlannedVisit(
        visit="v-1",
        chair="chair-1",
        lead="lead-1",
        window=a_window("14:00", "18:00"),
        phases=VISIT.phases,
    )
    ghost = Extra(visit, "Vera", "ghost", "opening 1")
    sheet = a_sheet(VISIT)
    beside = draw(sheet, at("8:00"), Shown(extras=(ghost,)))
    assert [each.state for each in beside.strands] == ["booked", "ghost"]
    instead = draw(sheet, at("8:00"), Shown(extras=(ghost,), without=frozenset({"v-1"})))
    assert [each.state for each in instead.strands] == ["ghost"]


def test_an_hour_of_a_day_on_which_the_clock_changes_is_as_wide_as_any_other() -> None:
    # Lisbon goes from summer to winter time on 2026-10-25 at 02:00: the day has 25 hours.
    day = date(2026, 10, 25)
    view = a_sheet().view.model_copy(
        update={"date": day, "open": a_window("0:00", "4:00", day), "staff": ()}
    )
    drawing = draw(replace(a_sheet(), view=view), at("8:00"))
    assert [words for _, words in drawing.hours] == ["00:00", "01:00", "01:00", "02:00", "03:00"]
    assert [x for x, _ in drawing.hours] == [0, 20, 40, 60, 80]
