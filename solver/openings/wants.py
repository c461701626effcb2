"""What the client wants of a place, in minutes: her wish, her preferred time and lead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from schemas.booking import Request
from schemas.openings import Wish
from solver.bits import slots
from solver.openings.crews import Way
from solver.openings.index import BookIndex

DAY_WAITED = {Wish.SOONEST: 45, Wish.ANY_HOUR: 45, Wish.EARLY_FINISH: 10, Wish.SHORTEST: 10}
"""Minutes a kind is put back for each day it is later: only for the choice of different places."""

EARLY = {Wish.SOONEST, Wish.ANY_HOUR}
"""Wishes that go by the start."""


@dataclass
class Wants:
    """Judges places by what the client of one request said."""

    index: BookIndex
    request: Request
    wish: Wish

    @cached_property
    def soonest(self) -> int:
        """The first opening day that the client's windows reach."""
        start = min(self.index.raster.inward(window)[0] for window in self.request.windows)
        return next((day for day, (_, last) in enumerate(self.index.facts.days) if last > start), 0)

    def wished(self, way: Way, start: int, day: int) -> int:
        """Her measure, where another lead than the preferred one counts as that rule's weight."""
        return self.measure(way, start, day) + self.lead_bent(way)

    def measure(self, way: Way, start: int, day: int) -> int:
        """What she wishes to be small, in minutes: start, start of the day, time of day of the
        finish, or length."""
        return self.in_minutes(self.in_slots(way, start), day)

    def in_slots(self, way: Way, start: int) -> int:
        """The slot or the number of slots that her measure goes by: the less the better."""
        if self.wish in EARLY:
            return start
        length = way.layout.length
        return length if self.wish is Wish.SHORTEST else start + length

    def least_slots(self, places: Sequence[tuple[Way, int, int]]) -> int:
        """The least `in_slots` of some ways, each with its first start."""
        if self.wish in EARLY:
            return min(first for _, first, _ in places)
        if self.wish is Wish.SHORTEST:
            return min(way.layout.length for way, _, _ in places)
        return min(first + way.layout.length for way, first, _ in places)

    def in_minutes(self, slots_: int, day: int) -> int:
        """Her measure where `in_slots` says `slots_`."""
        unit, facts = self.index.raster.unit, self.index.facts
        if self.wish is Wish.EARLY_FINISH:
            return facts.clock[day] + (slots_ - facts.days[day][0]) * unit
        if self.wish is Wish.ANY_HOUR:
            return facts.days[day][0] * unit
        return slots_ * unit

    def pull(self, slots_: int, day: int) -> int:
        """What she gives up of her wish where `in_slots` says so, a day later counting as some."""
        opened, unit = self.index.facts.days[day][0], self.index.raster.unit
        waited = DAY_WAITED[self.wish] * (day - self.soonest)
        if self.wish is Wish.SOONEST:
            return waited + (slots_ - opened) * unit // 10
        if self.wish is Wish.ANY_HOUR:
            return waited
        if self.wish is Wish.EARLY_FINISH:
            return waited + (slots_ - opened) * unit // 2
        return waited + slots_ * unit

    def lead_bent(self, way: Way) -> int:
        """Weight of another lead than the preferred one."""
        return 0 if self.has_preferred_lead(way) else self.lead_weight

    def time_bent(self, start: int) -> int:
        """Weight of a start outside the preferred time."""
        if not self.time_weight:
            return 0
        return self.time_weight * -(-self.outside_preferred(start) // 15)

    def least_off(self, starts: int, first: int) -> int:
        """The least `time_bent` of some starts, which are counted from the slot `first` on."""
        return min(self.time_bent(first + slot) for slot in slots(starts))

    @cached_property
    def lead_weight(self) -> int:
        setting = self.index.house.wish("preferred-lead", self.request)
        return 0 if setting is None else setting.weight

    @cached_property
    def time_weight(self) -> int:
        setting = self.index.house.wish("preferred-time", self.request)
        return 0 if setting is None or self.request.preferred is None else setting.weight

    def outside_preferred(self, start: int) -> int:
        """Minutes from the start to the time the client prefers; 0 inside it."""
        if self.request.preferred is None:
            return 0
        first, last = self.preferred_span
        minute = start * self.index.raster.unit
        return max(first - minute, minute - last, 0)

    @cached_property
    def preferred_span(self) -> tuple[int, int]:
        assert self.request.preferred is not None, "asked only where a time is preferred"
        return self.index.raster.frame.span(self.request.preferred)

    def has_preferred_lead(self, way: Way) -> bool:
        return self.request.preferred_lead in {None, way.lead.person.id}
