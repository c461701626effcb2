"""A series: the same client again every few weeks, at the same lead and hour where it can be."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from api.services.asking import in_local_time
from api.services.errors import UnprocessableError
from api.services.openings import Openings
from api.services.salon import salon_of
from schemas.booking import Request
from schemas.openings import Opening, OpeningsQuestion, Wish
from schemas.together import SeriesAnswer, SeriesQuestion, SeriesVisit
from schemas.units import LATEST_YEAR
from schemas.windows import TimeWindow
from solver.errors import Fault

LONGEST_NAME = 64


class Series:
    """Asks for each visit as anybody would, and changes nothing."""

    def __init__(self, openings: Openings) -> None:
        self.openings = openings

    async def find(self, question: SeriesQuestion) -> SeriesAnswer:
        """The best place of each visit, the first one's first.

        The later ones would rather have its lead and its hour; where these are not to be had, the
        best other place is told. Raises UnprocessableError with pointers into the question.
        """
        _require_in_bounds(question)
        async with self.openings.store.reading() as unit:
            zone = (await salon_of(unit)).zone
        pattern: _Pattern | None = None
        visits = []
        for number in range(question.visits):
            request = _visit(question, number, zone, pattern)
            wish = question.wish if number == 0 else Wish.SOONEST
            with _told_of(question, number):
                asked = OpeningsQuestion(request=request, wish=wish, limit=1)
                answer = await self.openings.find(asked)
            found = answer.openings[0] if answer.openings else None
            if pattern is None and found is not None:
                pattern = _Pattern(number * question.weeks, found)
            obstacles = () if found else answer.obstacles
            visits.append(SeriesVisit(request=request, opening=found, obstacles=obstacles))
        without = tuple(visit.request.id for visit in visits if visit.opening is None)
        return SeriesAnswer(visits=tuple(visits), without_place=without)


@dataclass(frozen=True)
class _Pattern:
    """The first place that was found, so many weeks after the first windows."""

    weeks: int
    opening: Opening


@contextmanager
def _told_of(question: SeriesQuestion, number: int) -> Iterator[None]:
    """Faults of a later visit's own work are told from where that lies in the question."""
    try:
        yield
    except UnprocessableError as wrong:
        if number == 0 or not (question.later_phases or question.later_take_off):
            raise
        faults = (
            Fault(
                fault.pointer.replace("/request/take_off", "/later_take_off", 1).replace(
                    "/request/phases", "/later_phases", 1
                ),
                fault.detail,
            )
            for fault in wrong.faults
        )
        raise UnprocessableError(*faults) from wrong


def _require_in_bounds(question: SeriesQuestion) -> None:
    request = question.request
    if len(request.id) > LONGEST_NAME - 3:
        raise UnprocessableError(
            Fault("/request/id", f"at most {LONGEST_NAME - 3} characters: visits are numbered")
        )
    last = max(window.end for window in request.windows)
    if last.year + question.weeks * question.visits // 52 + 1 > LATEST_YEAR:
        raise UnprocessableError(Fault("/visits", "the last of them lies too far ahead"))


def _visit(question: SeriesQuestion, number: int, zone: str, pattern: _Pattern | None) -> Request:
    """The visit of that number, which is the first for 0."""
    request, weeks = question.request, number * question.weeks
    if number == 0:
        return request.model_copy(update={"id": f"{request.id}-1"})
    changes: dict[str, Any] = {
        "id": f"{request.id}-{number + 1}",
        "windows": tuple(weeks_later(window, weeks, zone) for window in request.windows),
        "preferred": None
        if request.preferred is None
        else weeks_later(request.preferred, weeks, zone),
    }
    if question.later_phases or question.later_take_off is not None:
        changes |= {"phases": question.later_phases, "take_off": question.later_take_off}
    if pattern is not None and question.same_lead and request.required_lead is None:
        changes["preferred_lead"] = pattern.opening.lead
    if pattern is not None and question.same_hour:
        own = TimeWindow(start=pattern.opening.start, end=pattern.opening.finish)
        changes["preferred"] = weeks_later(own, weeks - pattern.weeks, zone)
    return request.model_copy(update=changes)


def weeks_later(window: TimeWindow, weeks: int, zone: str) -> TimeWindow:
    """So many weeks later by the clock on the wall, whatever the clocks did in between."""
    place = ZoneInfo(zone)
    start, end = (
        in_local_time((each.astimezone(place) + timedelta(weeks=weeks)), zone)
        for each in (window.start, window.end)
    )
    return TimeWindow(start=start, end=end)
