"""Breaks that rules other than `meal-break` ask of a shift, and where each could start.

Every break is sought between duties, in slots, after those already there; one that finds no place
is left out, and the checker names it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from schemas.plan import BreakKind, PlannedBreak
from schemas.resources import Shift, StaffMember
from schemas.rules import RuleSetting
from solver.bits import span
from solver.openings.house import House
from solver.openings.raster import Raster
from solver.rules import BreakTotal, MealWindow, Parameters, RestBreaks, SecondMeal
from solver.rules.rule import concerns

P = TypeVar("P", bound=Parameters)
CODES = ("second-meal", "break-total", "meal-window", "rest-breaks")


@dataclass(frozen=True)
class Owed:
    """A break of `length` slots that starts in `[first, last]`."""

    kind: BreakKind
    length: int
    first: int
    last: int

    def starts(self, raster: Raster) -> int:
        """The slots at which it may start, busy or not."""
        on_grid = raster.on_grid
        return span(max(0, self.first), self.last + 1) & on_grid & (on_grid >> self.length)


class Owing:
    """One person's shift: asked rule by rule what it still owes beside the breaks it has."""

    def __init__(self, house: House, raster: Raster, shift: Shift, person: StaffMember) -> None:
        self.house, self.raster, self.shift, self.person = house, raster, shift, person
        self.start, self.end = raster.frame.span(shift.window)

    def next(self, breaks: Sequence[PlannedBreak], given_up: int) -> Owed | None:
        """The first break still owed, those that found no place passed over."""
        inside = [each for each in breaks if self.shift.window.contains(each.window)]
        owed = [
            *self._rests([each for each in inside if each.kind is BreakKind.REST]),
            *self._meals([each for each in inside if each.kind is BreakKind.MEAL]),
        ]
        return owed[given_up] if given_up < len(owed) else None

    def _meals(self, meals: list[PlannedBreak]) -> Iterator[Owed]:
        yield from self._windows(meals)
        yield from self._second(meals)
        yield from self._total(meals)

    def _settings(self, code: str, kind: type[P]) -> Iterator[P]:
        for setting in self.house.listed(code):
            if not self.person.retired and self._concerned(setting):
                yield kind.model_validate(setting.parameters)

    def _concerned(self, setting: RuleSetting) -> bool:
        return concerns(self.person.tags, setting.scope.staff_tags)

    def _owed(self, kind: BreakKind, minutes: int, first: int, last: int) -> Owed:
        """A break between two minutes of its start, shrunk to the shift."""
        length, unit = self.raster.ceil(minutes), self.raster.unit
        latest = min(last, self.end - length * unit)
        return Owed(kind, length, -(-max(first, self.start) // unit), latest // unit)

    def _good(self, each: PlannedBreak, minutes: int, inside: int) -> bool:
        return each.window.minutes >= minutes and (each.inside is None or inside == 1)

    def _rests(self, rests: list[PlannedBreak]) -> Iterator[Owed]:
        for rule in self._settings("rest-breaks", RestBreaks):
            length = self.end - self.start
            due = rule.due(length)
            good = [each for each in rests if self._good(each, rule.minutes, rule.inside)]
            begun = [self.raster.frame.minute(each.window.start) for each in good]
            if not due:
                continue
            if not rule.spread:
                missing = [(self.start, self.end)] * max(0, due - len(good))
            else:
                marks = [self.start + length * part // due for part in range(due + 1)]
                missing = [
                    (first, last)
                    for first, last in pairwise(marks)
                    if not any(first <= at < last for at in begun)
                ]
            for first, last in missing:
                yield self._owed(BreakKind.REST, rule.minutes, first, last - 1)

    def _windows(self, meals: list[PlannedBreak]) -> Iterator[Owed]:
        for rule in self._settings("meal-window", MealWindow):
            if not self._is_meant(rule):
                continue
            length = self.raster.ceil(rule.minutes) * self.raster.unit
            middle = (self.start + self.end) // 2
            first, last = middle - length, middle
            if not rule.midway:
                first, last = self._at(rule.opens), self._at(rule.closes) - length
            good = [each for each in meals if self._good(each, rule.minutes, rule.inside)]
            if not any(self._holds(rule, each) for each in good):
                yield self._owed(BreakKind.MEAL, rule.minutes, first, last)

    def _is_meant(self, rule: MealWindow) -> bool:
        clock = self.raster.frame.clock(self.start)
        since, before = _minutes(rule.since), _minutes(rule.before)
        starts = since <= clock < before if since < before else clock >= since or clock < before
        return starts and self.end > self._at(rule.past) and self.end - self.start > rule.longer

    def _holds(self, rule: MealWindow, meal: PlannedBreak) -> bool:
        start, end = self.raster.frame.span(meal.window)
        if rule.midway:
            return start <= (self.start + self.end) // 2 <= end
        return self._at(rule.opens) <= start and end <= self._at(rule.closes)

    def _at(self, clock: str) -> int:
        return self.raster.frame.at_clock(self.start, _minutes(clock))

    def _second(self, meals: list[PlannedBreak]) -> Iterator[Owed]:
        for rule in self._settings("second-meal", SecondMeal):
            if self.end - self.start <= rule.after:
                continue
            spans = sorted(self.raster.frame.span(each.window) for each in meals)
            good = [
                self.raster.frame.span(each.window)
                for each in meals
                if self._good(each, rule.minutes, rule.inside)
            ]
            if any(rule.is_second(meal, self.start, spans) for meal in good):
                continue
            latest = self.start + rule.latest
            if not spans:
                yield self._owed(BreakKind.MEAL, rule.minutes, self.start, self.start + 300)
                continue
            ended = min(end for _, end in spans)
            taken = sum(end - start for start, end in spans if end <= latest)
            yield self._owed(BreakKind.MEAL, rule.minutes, ended, latest + taken)

    def _total(self, meals: list[PlannedBreak]) -> Iterator[Owed]:
        for rule in self._settings("break-total", BreakTotal):
            counted = rule.counted(
                [
                    self.raster.frame.span(each.window)
                    for each in meals
                    if each.inside is None or rule.inside == 1
                ]
            )
            if counted < rule.due(self.end - self.start):
                yield self._owed(BreakKind.MEAL, rule.part, self.start, self.end)


def _minutes(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)
