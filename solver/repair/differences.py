"""What is not as people were told, who must hear of it, and what to say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedVisit
from schemas.repair import Difference, Person, WhatChanged
from schemas.windows import TimeWindow
from solver.repair.situation import Situation, whole
from solver.rules.reading import Reading, minute, span


def differences(
    situation: Situation, book_before: DayBook, before: Plan, book: DayBook, plan: Plan
) -> tuple[Difference, ...]:
    """The differences from one plan to the other, visit by visit, then breaks and shifts."""
    return tuple(_Telling(situation, book_before, before, book, plan).all())


@dataclass(frozen=True)
class _Duty:
    """Work of one person on a kind of phase, pieces that touch taken together."""

    staff: str
    kind: str
    helps: bool


class _Telling:
    def __init__(
        self,
        situation: Situation,
        book_before: DayBook,
        before: Plan,
        book: DayBook,
        plan: Plan,
    ) -> None:
        self.situation = situation
        self.words = Reading(book, plan)
        self.words_before = Reading(book_before, before)
        self.book_before, self.book = book_before, book
        self.before = {visit.visit: visit for visit in before.visits}
        self.breaks_before, self.breaks = before.breaks, plan.breaks
        self.after = self._rejoined(plan)

    def _rejoined(self, plan: Plan) -> dict[str, list[PlannedVisit]]:
        """Each visit with its rest, which is the same client to everybody."""
        found: dict[str, list[PlannedVisit]] = {}
        for visit in sorted(plan.visits, key=lambda visit: visit.window.start):
            name = visit.visit
            while name in self.situation.origin:
                name = self.situation.origin[name]
            found.setdefault(name, []).append(visit)
        return found

    def all(self) -> Iterator[Difference]:
        for name, old in self.before.items():
            if name in self.situation.gone:
                yield self._no_show(name, old)
                continue
            pieces = self.after.get(name, [])
            if pieces:
                yield from self._visit(name, old, pieces)
            yield from self._left_out(name, old, pieces)
        for name, pieces in self.after.items():
            if name not in self.before:
                yield self._taken_in(name, pieces[0])
        for name in sorted(self.situation.wanted - set(self.after)):
            yield self._turned_away(name)
        yield from self._breaks()
        yield from self._shifts()

    def _visit(
        self, name: str, old: PlannedVisit, pieces: list[PlannedVisit]
    ) -> Iterator[Difference]:
        client = self.words_before.client(name)
        new = whole(name, pieces[-1], tuple(p for piece in pieces for p in piece.phases))
        if old.window.start != new.window.start:
            yield self._changed(
                WhatChanged.START,
                name,
                (self._clock(old.window.start), self._clock(new.window.start)),
                (name, new.lead),
                f"{client} starts at {self._clock(new.window.start)} instead of "
                f"{self._clock(old.window.start)}.",
            )
        if old.lead != new.lead:
            lead, was = self.words.person(new.lead), self.words.person(old.lead)
            yield self._changed(
                WhatChanged.LEAD,
                name,
                (was, lead),
                (name, new.lead),
                f"{client} goes on with {lead}; {was} cannot."
                if self.situation.begun.get(name)
                else f"{client} is with {lead} instead of {was}.",
            )
        yield from self._chair(name, old, pieces)
        yield from self._crew(name, old, new)
        if old.window.end != new.window.end:
            yield self._changed(
                WhatChanged.FINISH,
                name,
                (self._clock(old.window.end), self._clock(new.window.end)),
                (name,),
                f"{client} is done at {self._clock(new.window.end)} instead of "
                f"{self._clock(old.window.end)}.",
            )

    def _chair(
        self, name: str, old: PlannedVisit, pieces: list[PlannedVisit]
    ) -> Iterator[Difference]:
        client = self.words_before.client(name)
        was = old.chair
        for piece in pieces:
            if piece.chair != was and piece.chair is not None:
                chair = self.words.chair(piece.chair)
                before = None if was is None else self.words.chair(was)
                at = self._clock(piece.window.start)
                people = (name, *sorted({piece.lead, *piece.assistants}))
                yield self._changed(
                    WhatChanged.CHAIR,
                    name,
                    (before, chair),
                    people,
                    f"{client} sits in {chair} instead of {before} from {at}.",
                )
                was = piece.chair

    def _crew(self, name: str, old: PlannedVisit, new: PlannedVisit) -> Iterator[Difference]:
        before, after = self._duties(old), self._duties(new)
        client = self.words_before.client(name)
        for duty in dict.fromkeys((*before, *after)):
            was, now = before.get(duty), after.get(duty)
            if was == now:
                continue
            who = self.words.person(duty.staff)
            does = "helps with" if duty.helps else "does"
            told = f"{who} {does} {client}'s {duty.kind}"
            if now is None:
                say = f"{who} is not needed for {client}'s {duty.kind}."
            elif was is None:
                say = f"{told} {self._hours(now)}."
            else:
                say = f"{told} {self._hours(now)} instead of {self._hours(was)}."
            yield self._changed(
                WhatChanged.CREW,
                name,
                (self._hours(was) if was else None, self._hours(now) if now else None),
                (duty.staff,),
                say,
                staff=duty.staff,
            )

    def _duties(self, visit: PlannedVisit) -> dict[_Duty, TimeWindow]:
        found: dict[_Duty, TimeWindow] = {}
        for phase in visit.phases:
            spans = [(_Duty(phase.performer, phase.kind, False), phase.window)]
            spans += [(_Duty(help_.staff, phase.kind, True), help_.window) for help_ in phase.help]
            for duty, window in spans:
                had = found.get(duty)
                found[duty] = (
                    window
                    if had is None
                    else TimeWindow(
                        start=min(had.start, window.start), end=max(had.end, window.end)
                    )
                )
        return found

    def _left_out(
        self, name: str, old: PlannedVisit, pieces: list[PlannedVisit]
    ) -> Iterator[Difference]:
        rests = {rest for rest, first in self.situation.origin.items() if first == name}
        placed = {piece.visit for piece in pieces}
        if pieces and rests <= placed:
            return
        client, crew = self.words_before.client(name), (old.lead, *old.assistants)
        say = f"{client} cannot be finished today." if pieces else f"{client} has no place today."
        yield self._changed(
            WhatChanged.LEFT_OUT,
            name,
            (self._hours(old.window), None),
            (name, *crew),
            f"{say} Agree on another time with her.",
        )

    def _no_show(self, name: str, old: PlannedVisit) -> Difference:
        client, crew = self.words_before.client(name), (old.lead, *old.assistants)
        return self._changed(
            WhatChanged.LEFT_OUT,
            name,
            (self._hours(old.window), None),
            crew,
            f"{client} does not come; {self._hours(old.window)} is free.",
        )

    def _taken_in(self, name: str, new: PlannedVisit) -> Difference:
        client, lead = self.words.client(name), self.words.person(new.lead)
        return self._changed(
            WhatChanged.TAKEN_IN,
            name,
            (None, self._hours(new.window)),
            (name, new.lead, *new.assistants),
            f"{client} comes in {self._hours(new.window)}, with {lead}.",
        )

    def _turned_away(self, name: str) -> Difference:
        client = self.words.client(name)
        return self._changed(
            WhatChanged.LEFT_OUT,
            name,
            (None, None),
            (name,),
            f"{client} cannot be taken in today without breaking a promise.",
        )

    def _breaks(self) -> Iterator[Difference]:
        """Breaks by person and kind, in order of time."""
        people = dict.fromkeys(
            (rest.staff, rest.kind) for rest in (*self.breaks_before, *self.breaks)
        )
        sick = self._unable()
        for staff, kind in people:
            old, new = (
                sorted(
                    (rest.window.start, rest.window.end)
                    for rest in breaks
                    if (rest.staff, rest.kind) == (staff, kind)
                )
                for breaks in (self.breaks_before, self.breaks)
            )
            kept = set(old) & set(new)
            gone = [TimeWindow(start=a, end=b) for a, b in old if (a, b) not in kept]
            come = [TimeWindow(start=a, end=b) for a, b in new if (a, b) not in kept]
            who = self.words.person(staff)
            for index in range(max(len(gone), len(come))):
                was = self._hours(gone[index]) if index < len(gone) else None
                now = self._hours(come[index]) if index < len(come) else None
                if staff in sick and was is not None:
                    continue
                say = (
                    f"{who}'s {kind.value} break is {now}"
                    if now
                    else (f"{who} has no {kind.value} break {was}")
                )
                say += f" instead of {was}." if now and was else "."
                yield self._changed(WhatChanged.BREAK, None, (was, now), (staff,), say, staff=staff)

    def _unable(self) -> set[str]:
        """People with a shift that became shorter."""
        ends = {shift.id: shift.window.end for shift in self.book.shifts}
        return {
            shift.staff
            for shift in self.book_before.shifts
            if ends.get(shift.id) is None or ends[shift.id] < shift.window.end
        }

    def _shifts(self) -> Iterator[Difference]:
        before = {shift.id: shift for shift in self.book_before.shifts}
        for shift in self.book.shifts:
            old = before.get(shift.id)
            if old is not None and shift.window.end > old.window.end:
                who = self.words.person(shift.staff)
                yield self._changed(
                    WhatChanged.SHIFT,
                    None,
                    (self._clock(old.window.end), self._clock(shift.window.end)),
                    (shift.staff,),
                    f"{who} is asked to stay until {self._clock(shift.window.end)} instead of "
                    f"{self._clock(old.window.end)}.",
                    staff=shift.staff,
                )

    def _changed(
        self,
        what: WhatChanged,
        visit: str | None,
        change: tuple[str | None, str | None],
        tell: tuple[str, ...],
        say: str,
        *,
        staff: str | None = None,
    ) -> Difference:
        return Difference(
            what=what,
            visit=visit,
            staff=staff,
            before=change[0],
            after=change[1],
            tell=tuple(self._person(name) for name in dict.fromkeys(tell)),
            say=say[:400],
        )

    def _person(self, name: str) -> Person:
        if name in self.words.staff:
            return Person(role="staff", id=name, name=self.words.staff[name].name)
        visits = {**self.words_before.visits, **self.words.visits}
        return Person(role="client", id=name, name=visits[name].client)

    def _clock(self, instant: datetime) -> str:
        return self.words.clock(minute(instant))

    def _hours(self, window: TimeWindow) -> str:
        start, end = span(window)
        return f"{self.words.clock(start)} to {self.words.clock(end)}"
