"""What each rule says of one day and one request, in sentences with names and times."""

from __future__ import annotations

from functools import cached_property

from schemas.booking import Booking
from schemas.resources import Role
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Place
from solver.explain.case import Case
from solver.model.crew import can_lead
from solver.rules import rule
from solver.rules.reading import minute, span

MOST_NAMED = 4
"""Names and times told in one sentence; more are counted."""


class Telling:
    """The sentences of one case."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.words = case.words
        self.client = self.words.client(case.request.id)

    @cached_property
    def leads(self) -> tuple[str, ...]:
        """Ids of the people who could lead the request, on shift or not."""
        request, staff = self.case.request, self.case.book.staff
        return tuple(person.id for person in staff if can_lead(request, person))

    @property
    def refused_leads(self) -> tuple[str, ...]:
        return self.case.request.refused_leads

    def promise(self, booking: Booking) -> str:
        promise, words = booking.promise, self.words
        told = f"{words.client(booking.id)} is promised {words.at(minute(promise.start))}"
        if promise.tolerance:
            told += f", give or take {promise.tolerance} min"
        if promise.lead is not None:
            told += f", with {words.person(promise.lead)}"
        if promise.latest_finish is not None:
            told += f", done by {words.clock(minute(promise.latest_finish))}"
        if booking.placed is not None:
            start, end = span(booking.placed.window)
            told += f"; she is booked {words.clock(start)} to {words.clock(end)}"
        return told + "."

    def basins(self) -> str:
        washes = sum(phase.place is Place.BASIN for phase in self.case.request.phases)
        return f"{self._count(len(self.case.book.basins), 'basin')} for {washes} wash(es) of hers."

    def house_rule(self, setting: RuleSetting) -> str:
        figures = ", ".join(f"{name} {value}" for name, value in setting.parameters.items())
        return f"{rule(setting.code).sentence}" + (f" ({figures})" if figures else "")

    def chairs(self) -> str:
        wanted = set(self.case.request.chair_features)
        able = [
            self.words.chair(chair.id)
            for chair in self.case.book.chairs
            if not chair.retired and wanted <= set(chair.features)
        ]
        return f"Chairs that would do: {self._some(able)}; each seats one client at a time."

    def fitting(self) -> str:
        request, book = self.case.request, self.case.book
        wanted = ", ".join(request.chair_features)
        closed = [
            f"{self.words.chair(closure.chair)} is closed {self.words.when(*span(closure.window))}"
            f" ({closure.reason[:60]})"
            for closure in book.closures
            if any(closure.window.overlaps(opening) for opening in book.open)
        ]
        told = f"{self.client} needs a chair" + (f" that is {wanted}" if wanted else "")
        return told + (f"; {self._some(closed)}." if closed else ".")

    def refused(self) -> str:
        names = [self.words.person(name) for name in self.refused_leads]
        return f"{self.client} does not want {self._some(names)}."

    def assistants(self) -> str:
        most = self.case.request.max_assistants
        return f"{self.client} agrees to {self._count(most, 'assistant')}."

    def required(self) -> str:
        lead = self.case.request.required_lead or ""
        return f"{self.client} wants {self.words.person(lead)} and no other lead."

    def skills(self) -> str:
        asked = list(dict.fromkeys(phase.skill for phase in self.case.request.phases))
        names = [self.words.person(name) for name in self.leads]
        return f"Leads who master {self._some(asked)} for {self.client}: {self._some(names)}."

    def hands(self) -> str:
        names = [self.words.person(name) for name in self.leads]
        assistants = [
            self.words.person(person.id)
            for person in self.case.book.staff
            if Role.ASSISTANT in person.roles and person.id not in self.leads
        ]
        told = f"{self._some(names)} can lead {self.client}"
        told += f", {self._some(assistants)} can assist" if assistants else ""
        return told + "; each works on one head at a time."

    def shifts(self) -> str:
        shifts = {shift.staff: shift for shift in self.case.book.shifts}
        told = [
            f"{self.words.person(name)} works {self._clock(shifts[name].window)}"
            if name in shifts
            else f"{self.words.person(name)} has no shift"
            for name in self.leads
        ]
        return f"On {self.words.day(minute(self.case.book.open[0].start))}: {self._some(told)}."

    def opening(self) -> str:
        hours = [self.words.when(*span(window)) for window in self.case.book.open]
        return f"The salon is open {self._some(hours)}."

    def windows(self) -> str:
        request, step = self.case.request, self.case.book.grid.arrivals
        hers = [
            self.words.when(*span(window))
            for window in request.windows
            if any(window.overlaps(opening) for opening in self.case.book.open)
        ]
        return f"{self.client} can come {self._some(hers)}; clients arrive every {step} min."

    def work(self) -> str:
        phases = self.case.request.phases
        parts = [f"{phase.kind} {phase.minutes}" for phase in phases]
        total = sum(phase.minutes for phase in phases)
        return (
            f"{self.client}'s work takes {total} min for one pair of hands ({self._some(parts)})."
        )

    def _clock(self, window: TimeWindow) -> str:
        start, end = span(window)
        return f"{self.words.clock(start)} to {self.words.clock(end)}"

    @staticmethod
    def _count(number: int, noun: str) -> str:
        return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"

    @staticmethod
    def _some(names: list[str]) -> str:
        if not names:
            return "none"
        shown = ", ".join(names[:MOST_NAMED])
        return shown + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")
