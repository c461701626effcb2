"""What one lead can do in a day: every set of visits she can braid, and the help it takes at least.

A day of a lead is a sequence of blocks of hands: what she does herself before the braiding, the
braiding, what she does herself after it. Assistants take phases of the crew off her and shorten the
braiding; a meal break stands between blocks or stretches a braiding. For every set of visits and
every step `t`,

    cost(set, t) = least help with which all of the set is done and she is free by step t

is built up one visit at a time (Held and Karp, Journal of SIAM 10, 1962, with a clock in the
state). Help is counted in tenths of assistant steps: a step of a phase taken over is 10, a step
that help takes off the braiding is `10 / rate`. As many assistants as a visit allows are thought to
be free at any moment, so the true cost is never less: what is left out here cannot be done.

What keeps the blocks whole is the longest wait between two phases of a visit: no braiding fits into
it, so nothing of another visit lies inside a block. Phases of the lead's that would fit into a
wait, and those before a hole that a braiding would fit into, are counted as taking no time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from schemas.resources import Role
from solver.model.ability import Ability, in_her_place, together
from solver.model.crew import can_perform, masters_phase
from solver.model.dues import Due
from solver.model.facts import Day, DayShift

TENTHS = 10
NEVER = 1_000_000
"""More help than any day has."""
Costs = npt.NDArray[np.int32]
"""By set (rows) and step from the shift's start (columns); never rising along a row."""
Members = tuple[int, ...]


@dataclass(frozen=True)
class LeadDay:
    """One set of visits that a shift can lead, and the tenths of assistant steps it takes."""

    visits: Members
    help: int


@dataclass(frozen=True)
class _Before:
    """What happens before the braiding: the lead's own steps, those before hers, and help."""

    own: int
    offset: int
    help: int
    arrives: bool
    """Her first own step is the client's first."""


@dataclass(frozen=True)
class _After:
    own: int
    tail: int
    """Steps of others after she is free."""
    help: int


@dataclass(frozen=True)
class _Job:
    """One visit as this lead would do it, in steps from the start of her shift."""

    visit: int
    braiding: int
    rates: int
    """Help rates, in hundredths, of all who may help at once."""
    before: tuple[_Before, ...]
    after: tuple[_After, ...]
    starts: npt.NDArray[np.intp]
    first: int
    last: int
    """The client has left by then."""
    breakable: bool
    longest_wait: int

    def holds(self, due: Due) -> bool:
        """Whether the break may lie inside the block: in a phase, or in a wait."""
        return (self.breakable and due.inside) or due.size <= self.longest_wait

    def saved(self, rest: int) -> int:
        """Steps that help can take off the braiding with a break of `rest` inside."""
        whole = self.braiding + rest
        return whole - -(-100 * whole // (100 + self.rates))


class LeadDays:
    """The days of one shift, enumerated set by set; `price` is the help of a step saved."""

    def __init__(
        self,
        day: Day,
        shift: DayShift,
        able: Iterable[Ability],
        *,
        due: Due | None,
        rate: int,
        shortest: int,
    ) -> None:
        low, high = day.horizon
        self.day, self.shift = day, shift
        self.start, self.end = max(low, shift.start), min(high, shift.limit)
        self.width = self.end - self.start + 1
        self.due = due
        self.price = 100 * TENTHS // rate if rate else NEVER
        self.shortest = shortest
        """Steps of the shortest braiding there is; less than that, a hole stays a hole."""
        self.helpers = [
            each
            for each in day.shifts
            if each.person.id != shift.person.id and Role.ASSISTANT in each.person.roles
        ]
        self.jobs = [job for each in able if (job := self._job(each)) is not None]

    def all(self, most: int, over: Callable[[], bool]) -> list[LeadDay] | None:
        """Every set of one visit or more; None where they are more than `most`, or it is `over`."""
        if self.width < 1:
            return []
        found: list[LeadDay] = []
        free: Costs = np.zeros((1, self.width), np.int32)
        rested = self._standing(free)
        rows: dict[Members, int] = {(): 0}
        while rows:
            larger = self._larger(rows)
            if len(larger) + len(found) > most or over():
                return None
            if not larger:
                break
            free, rested = self._grown(rows, larger, free, rested)
            last = (free if rested is None else rested)[:, -1]
            kept = np.nonzero(last < NEVER)[0]
            found += [
                LeadDay(tuple(self.jobs[job].visit for job in larger[row]), int(last[row]))
                for row in kept
            ]
            rows = {larger[row]: at for at, row in enumerate(kept)}
            free = free[kept]
            rested = None if rested is None else rested[kept]
        return found

    def _larger(self, rows: dict[Members, int]) -> list[Members]:
        """Sets of one more, all of whose parts can be done."""
        found = []
        for members in rows:
            for job in range(members[-1] + 1 if members else 0, len(self.jobs)):
                larger = (*members, job)
                if all(part in rows for part in _parts(larger)):
                    found.append(larger)
        return found

    def _grown(
        self, rows: dict[Members, int], larger: list[Members], free: Costs, rested: Costs | None
    ) -> tuple[Costs, Costs | None]:
        """The costs of the larger sets: the last visit done may be any of them."""
        shape = (len(larger), self.width)
        more: Costs = np.full(shape, NEVER, np.int32)
        fed: Costs | None = None if rested is None else np.full(shape, NEVER, np.int32)
        for number, job in enumerate(self.jobs):
            pairs = [
                (row, rows[tuple(each for each in members if each != number)])
                for row, members in enumerate(larger)
                if number in members
            ]
            if not pairs:
                continue
            into, out_of = (np.array(each) for each in zip(*pairs, strict=True))
            more[into] = np.minimum(more[into], self._after(free[out_of], job))
            if fed is not None and rested is not None:
                fed[into] = np.minimum(fed[into], self._after(rested[out_of], job))
                if self.due is not None and job.holds(self.due):
                    inside = self._after(free[out_of], job, self.due)
                    fed[into] = np.minimum(fed[into], inside)
        if fed is not None:
            standing = self._standing(more)
            fed = fed if standing is None else np.minimum(fed, standing)
        return more, fed

    def _standing(self, free: Costs) -> Costs | None:
        """The costs once the break has been taken between blocks; None where none is due."""
        if self.due is None:
            return None
        found: Costs = np.full_like(free, NEVER)
        first = max(0, self.due.first - self.start) + self.due.size
        steps = np.arange(first, self.width)
        begun = np.minimum(steps - self.due.size, self.due.last - self.start)
        fits = begun >= 0
        found[:, steps[fits]] = free[:, begun[fits]]
        return found

    def _after(self, free: Costs, job: _Job, inside: Due | None = None) -> Costs:
        """The costs once this visit is done as well, with a break inside its braiding."""
        found: Costs = np.full_like(free, NEVER)
        rest = inside.size if inside is not None else 0
        saved = job.saved(rest)
        for before in job.before:
            begun = self._begun(free, job, before, inside)
            for after in job.after:
                length = before.own + job.braiding + rest + after.own
                self._shortened(
                    found,
                    begun,
                    length,
                    saved=saved,
                    last=job.last - after.tail,
                    extra=TENTHS * after.help,
                )
        if inside is not None:
            found[:, : max(0, inside.first + inside.size - self.start)] = NEVER
        np.minimum.accumulate(found, axis=1, out=found)
        return found

    def _begun(self, free: Costs, job: _Job, before: _Before, inside: Due | None) -> Costs:
        """The costs by the step at which her own work on the visit begins."""
        begun: Costs = np.full_like(free, NEVER)
        latest = self.width - 1
        if inside is not None:
            latest = min(latest, inside.last - self.start)
        if before.arrives:
            at = job.starts[job.starts <= latest]
            begun[:, at] = free[:, at]
        else:
            first = max(0, job.first + before.offset)
            begun[:, first : latest + 1] = free[:, first : latest + 1]
        return np.minimum(begun + TENTHS * before.help, NEVER)

    def _shortened(
        self, found: Costs, begun: Costs, length: int, *, saved: int, last: int, extra: int
    ) -> None:
        """Put the ends `begin + length - s` for every `s <= saved`, each with its price."""
        last = min(last, self.width - 1)
        for less in range(min(saved, length - 1) + 1):
            first = length - less
            ends = last - first + 1
            if ends > 0:
                dear = begun[:, :ends] + (extra + self.price * less)
                view = found[:, first : last + 1]
                np.minimum(view, dear, out=view)

    def _job(self, able: Ability) -> _Job | None:
        """The visit as this lead would do it; None where she cannot."""
        visit, person = able.visit, self.shift.person
        if person.id not in able.leads or not able.starts:
            return None
        own = able.own
        if own is None or not can_perform(visit.visit, visit.phases[own], person):
            return None
        work = visit.phases[own]
        starts = np.array(able.starts, dtype=np.intp) - self.start
        return _Job(
            visit.index,
            self.day.work(work, person),
            together(able, self.helpers, person.id),
            tuple(self._befores(able, own)),
            tuple(self._afters(able, own)),
            starts[(starts >= 0) & (starts < self.width)],
            min(able.starts) - self.start,
            max(able.latest.values()) - self.start,
            any(each.breakable for each in visit.phases),
            able.longest_wait,
        )

    def _ways(self, able: Ability, phases: Iterable[int]) -> Iterator[list[tuple[bool, int]]]:
        """Every way to share phases: for each, whether the lead does it, and its steps."""
        shares = []
        for number in phases:
            work, share = able.visit.phases[number], list[tuple[bool, int]]()
            if masters_phase(work, self.shift.person):
                share.append((True, self.day.work(work, self.shift.person)))
            others = in_her_place(self.day, able, work, self.helpers)
            if others is not None:
                share.append((False, others))
            shares.append(share)
        yield from map(list, product(*shares))

    def _block(self, way: list[tuple[bool, int]], able: Ability) -> int:
        """Steps from the lead's first own phase of a way to the last; 0 where they may be parted.

        `way` begins or ends at the braiding. Phases of others between hers are waited for, as long
        as nothing of another visit fits in.
        """
        wait = able.longest_wait
        if min((steps for leads, steps in way if leads), default=0) <= wait:
            return 0
        others = [steps for leads, steps in way if not leads]
        hole = sum(others) + wait * (1 + len(others))
        return sum(steps for _, steps in way) if hole < self.shortest else 0

    def _befores(self, able: Ability, own: int) -> Iterator[_Before]:
        for way in self._ways(able, range(own)):
            mine = [leads for leads, _ in way]
            first = mine.index(True) if True in mine else own
            block = self._block(way[first:], able)
            apart = first < own and not block
            yield _Before(
                own=block,
                offset=0 if apart else sum(steps for _, steps in way[:first]),
                help=sum(steps for leads, steps in way if not leads),
                arrives=first == 0 and not apart,
            )

    def _afters(self, able: Ability, own: int) -> Iterator[_After]:
        for way in self._ways(able, range(own + 1, len(able.visit.phases))):
            mine = [leads for leads, _ in way]
            last = len(mine) - mine[::-1].index(True) if True in mine else 0
            block = self._block(way[:last], able)
            apart = last > 0 and not block
            yield _After(
                own=block,
                tail=0 if apart else sum(steps for _, steps in way[last:]),
                help=sum(steps for leads, steps in way if not leads),
            )


def _parts(members: Members) -> Iterator[Members]:
    for out in range(len(members)):
        yield members[:out] + members[out + 1 :]
