"""The checker's word on one more visit, without reading the whole day again.

The day as it stands has been judged whole (see `BookIndex.trouble`), so a breach can only come from
what is new: the visit, and the breaks of its crew. Each rule is asked about as much of the day as a
new visit can concern under it:

* a rule that looks at each visit, shift or break by itself: the visit and its crew's breaks;
* a rule about who shares a chair, a basin or a pair of hands: besides, the visits next to it on the
  chair, those at the basin meanwhile, and those its crew works on meanwhile or during her breaks;
* a rule about somebody's hours: all that the crew does in the weeks that the visit touches;
* any other rule, one of the house that is not listed here too: the whole day.

Most places are plain: `plain` says of them that they keep the rules that always matter, and only
the others are asked. The rules are the checker's own. That the answer is the same as the checker's
on the whole day is tested on sound and on damaged visits.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property
from typing import Any

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.rules import Finding, RuleSetting
from schemas.work import PhaseWork
from solver.openings.across import HOURS
from solver.openings.plain import VOUCHED, PlainDay
from solver.openings.sale import added
from solver.openings.standing_day import StandingDay
from solver.rules import rule, settings_in_force
from solver.rules.reading import Reading
from solver.rules.rule import Rule

BY_ITSELF = {
    "skilled-hands",
    "fitting-chair",
    "opening-hours",
    "within-shift",
    "client-window",
    "promise-kept",
    "work-done",
    "meal-break",
    "second-meal",
    "meal-window",
    "break-total",
    "rest-breaks",
    "longest-wait",
    "preferred-lead",
    "preferred-time",
    "latest-start",
    "supervised-apprentice",
    "resource-closed",
    "fewest-changes",
}
"""Rules that judge each visit, shift or break by itself."""
BESIDE = {"chair-one-client", "turnaround", "basin-one-client", "hands-one-client"}
"""Rules that judge those who share a chair, a basin or a pair of hands."""
WHATEVER_CHAIR = HOURS | {"latest-start", "at-most-together", "supervised-apprentice"}
"""Rules that refuse a visit on every chair if they refuse it on one."""
DAYS_AROUND = timedelta(days=8)
"""How far from a visit the days lie that a rule on hours may count with it: a week and a night."""
WEEKLY = {"weekly-hours", "weekly-rest"}
NIGHTS_AROUND = timedelta(days=2)
"""The same where no rule counts weeks."""


Work = list[tuple[PhaseWork | None, PlannedPhase]]
_Works = dict[str, Work]


@dataclass(frozen=True)
class _Asked:
    """A hard rule in force with its parameters."""

    rule: Rule[Any]
    parameters: Any
    setting: RuleSetting

    def breach(self, reading: Reading) -> Finding | None:
        """The first breach of it."""
        if next(iter(self.rule.check(reading, self.parameters, self.setting)), None) is None:
            return None
        return self.rule.findings(reading, self.setting)[0]


class HardRules:
    """The hard rules in force, each with how much of a day it has to see."""

    def __init__(self, day_book: DayBook) -> None:
        self.by_itself: list[_Asked] = []
        self.beside: list[_Asked] = []
        self.hours: list[_Asked] = []
        self.whole: list[_Asked] = []
        every = settings_in_force(day_book)
        self.settings = tuple(each for each in every if each.hard or rule(each.code).always_hard)
        # A rule that may be set twice, or that lets work go past a shift, is not a plain case.
        codes = [each.code for each in every if each.code in VOUCHED]
        self.plain = len(codes) == len(set(codes)) and all(e.code != "overtime" for e in every)
        for setting in every:
            known = rule(setting.code)
            if not (known.always_hard or setting.hard):
                continue
            asked = _Asked(known, known.read(setting), setting)
            if setting.code in BY_ITSELF:
                self.by_itself.append(asked)
            elif setting.code in BESIDE:
                self.beside.append(asked)
            elif setting.code in HOURS:
                self.hours.append(asked)
            else:
                self.whole.append(asked)
        self.further = [each for each in self.by_itself if each.setting.code not in VOUCHED]


class DayJudge:
    """One block's day as it stands, ready to be asked about visits that might be added."""

    def __init__(
        self,
        rules: HardRules,
        day: tuple[DayBook, Plan],
        others: Iterable[tuple[DayBook, Plan]] = (),
    ) -> None:
        """`others` are all days of the book but this one."""
        self.rules, self.day = rules, day
        self.standing, self.facts = StandingDay(day), Reading(*day)
        weekly = any(asked.setting.code in WEEKLY for asked in rules.hours)
        reach = DAYS_AROUND if weekly else NIGHTS_AROUND
        first = min(window.start for window in day[0].open) - reach
        last = max(window.end for window in day[0].open) + reach
        self.around = tuple(
            other
            for other in (others if rules.hours else ())
            if any(window.start < last and first < window.end for window in other[0].open)
        )
        self.people: dict[str, _Person] = {}

    def breach(
        self, request: Request, visit: PlannedVisit, breaks: tuple[PlannedBreak, ...]
    ) -> Finding | None:
        """The first breach of a hard rule once `visit` is added and its crew has `breaks`.

        `breaks` are all of the crew's in the block. Only for a day that is sound as it stands.
        """
        crew = {visit.lead, *visit.assistants}
        # Visits that a break of the crew lies in, or lay in: their length hangs on it.
        inside = {each.inside for each in breaks}
        inside |= {name for person in crew for name in self.standing.inside[person]}
        own = [each for each in self.day[1].visits if each.visit in inside]
        plain = self.plain is not None and self.plain.is_sound(request, visit, breaks)
        found, asked = None, self.rules.further if plain else self.rules.by_itself
        if asked:
            found = _first(asked, self._reading(request, visit, breaks, own))
        if found is None and not plain:
            near = self.standing.beside(visit, breaks)
            near += [each for each in own if each not in near]
            found = _first(self.rules.beside, self._reading(request, visit, breaks, near))
        if found is None and self.rules.hours:
            found = self._hours(request, visit, breaks)
        if found is None and self.rules.whole:
            sale = added(self.day, request, visit, breaks)
            found = _first(self.rules.whole, Reading(*sale))
        return found

    def _reading(
        self,
        request: Request,
        visit: PlannedVisit,
        breaks: tuple[PlannedBreak, ...],
        others: list[PlannedVisit],
    ) -> Reading:
        """The part of the day with these `others`, and the crew's shifts and breaks."""
        crew = (visit.lead, *visit.assistants)
        book = self.day[0].model_copy(
            update={
                "bookings": tuple(self.standing.bookings[each.visit] for each in others),
                "requests": (request,),
                "shifts": tuple(shift for person in crew for shift in self.standing.shifts[person]),
            }
        )
        plan = Plan.model_construct(visits=(*others, visit), breaks=breaks, declined=())
        reading = _Part(book, plan, visit, self.works)
        # What the day's people and things are does not change with a visit.
        for name in ("staff", "chairs", "basins", "shifts", "on_duty"):
            reading.__dict__[name] = getattr(self.facts, name)
        return reading

    def _hours(
        self, request: Request, visit: PlannedVisit, breaks: tuple[PlannedBreak, ...]
    ) -> Finding | None:
        """The first breach of a rule on hours by one of the crew, whatever others do."""
        crew = {visit.lead, *visit.assistants}
        visits, bookings, rests = {visit.visit: visit}, dict[str, Booking](), list(breaks)
        for person in crew:
            if person not in self.people:
                self.people[person] = _Person.of(person, self.day, self.around)
            known = self.people[person]
            visits |= known.visits
            bookings |= known.bookings
            rests += known.rests
        changed = {"bookings": tuple(bookings.values()), "requests": (request,)}
        book = self.day[0].model_copy(update=changed)
        plan = Plan.model_construct(visits=tuple(visits.values()), breaks=tuple(rests), declined=())
        reading = _Part(book, plan, visit, self.works)
        reading.__dict__["staff"] = self.facts.staff
        for asked in self.rules.hours:
            breaches = asked.rule.check(reading, asked.parameters, asked.setting)
            for number, breach in enumerate(breaches):
                if crew & set(breach.staff):
                    return asked.rule.findings(reading, asked.setting)[number]
        return None

    @cached_property
    def plain(self) -> PlainDay | None:
        """Who vouches for plain cases, where anybody may."""
        return PlainDay(self.day, self.rules.settings) if self.rules.plain else None

    @cached_property
    def works(self) -> _Works:
        """By standing visit, its phases with the work they carry out."""
        return {}


@dataclass(frozen=True)
class _Person:
    """What one person does in the days around a day, and on it, as the book stands."""

    visits: dict[str, PlannedVisit]
    bookings: dict[str, Booking]
    rests: tuple[PlannedBreak, ...]
    """Her breaks of the days around."""

    @classmethod
    def of(
        cls, person: str, day: tuple[DayBook, Plan], around: Iterable[tuple[DayBook, Plan]]
    ) -> _Person:
        visits, bookings, rests = (
            dict[str, PlannedVisit](),
            dict[str, Booking](),
            list[PlannedBreak](),
        )
        for book, plan in (day, *around):
            own = {
                each.visit: each
                for each in plan.visits
                if person == each.lead or person in each.assistants
            }
            visits |= own
            bookings |= {each.id: each for each in book.bookings if each.id in own}
            if plan is not day[1]:
                rests += (each for each in plan.breaks if each.staff == person)
        return cls(visits, bookings, tuple(rests))


class _Part(Reading):
    """A reading of a part of a day that is read over and over: standing visits are read once."""

    def __init__(self, day_book: DayBook, plan: Plan, new: PlannedVisit, known: _Works) -> None:
        super().__init__(day_book, plan)
        self.new, self.known = new, known
        self.own: Work | None = None

    def works(self, planned: PlannedVisit) -> Work:
        if planned is self.new:
            if self.own is None:
                self.own = super().works(planned)
            return self.own
        found = self.known.get(planned.visit)
        if found is None:
            found = self.known[planned.visit] = super().works(planned)
        return found


def _first(rules: list[_Asked], reading: Reading) -> Finding | None:
    for asked in rules:
        breach = asked.breach(reading)
        if breach is not None:
            return breach
    return None
