"""Lay one visit on the board: from a start, with a lead, phase after phase as early as can be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from schemas.resources import Role
from schemas.work import Performer, PhaseWork, Place
from solver.model.ability import Ability
from solver.model.board import Board, Laid
from solver.model.dues import Due, Key
from solver.model.facts import hundredths
from solver.model.placement import HelpPlacement, PhasePlacement, VisitPlacement

MOST_OFFERS = 6
"""Assistants looked at for one phase, the most useful first."""


@dataclass(frozen=True)
class Manner:
    """How to lay: at most so many helpers, and whether the lead eats inside where she may."""

    helpers: int = 1
    eat_inside: bool = False


class _Offer(NamedTuple):
    """An assistant free from the start of a phase for `free` steps on end."""

    free: int
    rate: int
    shift: int
    person: str


def lay(board: Board, able: Ability, lead: str, start: int, manner: Manner) -> Laid | None:
    """The visit from `start` with this lead, or None where it does not go."""
    return _Laying(board, able, lead, manner, start, start).laid()


@dataclass
class _Laying:
    """A visit being laid: times so far, hands it takes, breaks inside, crew beside the lead."""

    board: Board
    able: Ability
    lead: str
    manner: Manner
    start: int
    at: int
    masks: dict[int, int] = field(default_factory=dict)
    inside: dict[Key, int] = field(default_factory=dict)
    washes: list[tuple[int, int]] = field(default_factory=list)
    crew: set[str] = field(default_factory=set)
    phases: list[PhasePlacement] = field(default_factory=list)

    def laid(self) -> Laid | None:
        board, able = self.board, self.able
        latest = able.latest[self.start]
        for number, work in enumerate(able.visit.phases):
            if not self._phase(number, work) or self.at > latest:
                return None
        if any(not board.can_rest(shift, self.masks, self.inside) for shift in self.masks):
            return None
        for group in self._groups():
            turnaround = 0 if group is None else board.turnaround[group]
            phases = tuple(self.phases)
            placement = VisitPlacement(able.visit.index, self.lead, group, turnaround, phases)
            if board.allowed(placement):
                return Laid(placement, self.masks, self.inside)
        return None

    def _groups(self) -> Iterable[int | None]:
        """Chair groups with a chair free. Plain ones first: features are for who asks for them."""
        if not self.able.visit.needs_chair:
            return (None,)
        board = self.board
        fitting = (g for g in self.able.groups if board.has_seat(g, self.start, self.at))
        return sorted(fitting, key=lambda g: len(board.day.groups[g].features))

    def _person(self, shift: int) -> str:
        return self.board.day.shifts[shift].person.id

    def _with(self, shift: int, start: int, end: int) -> dict[int, int]:
        """The hands taken so far, and one more span of one shift."""
        return self.masks | {shift: self.masks.get(shift, 0) | self.board.mask(start, end)}

    def _phase(self, number: int, work: PhaseWork) -> bool:
        """Lay the phase at the earliest start within the longest wait."""
        longest = self.able.longest_wait if number else 0
        stop = min(self.at + longest + 1, self.able.latest[self.start])
        for start in range(self.at, stop):
            for shift in self._performers(number, work):
                if not self.board.is_free(shift, start, start + 1, self.masks):
                    continue
                if self._perform(number, work, shift, start):
                    if self._person(shift) != self.lead:
                        self.crew.add(self._person(shift))
                    return True
        return False

    def _performers(self, number: int, work: PhaseWork) -> Iterator[int]:
        """The shifts that may perform: an assistant before the lead, so that leads stay free."""
        leads = []
        for shift in self.able.performers[number]:
            person = self.board.day.shifts[shift].person
            if person.id == self.lead:
                leads.append(shift)
            elif work.performer is Performer.CREW and Role.ASSISTANT in person.roles:
                full = len(self.crew) >= self.able.visit.visit.max_assistants
                if person.id in self.crew or not full:
                    yield shift
        yield from leads

    def _perform(self, number: int, work: PhaseWork, shift: int, start: int) -> bool:
        """Lay the phase by this shift, with help and, if need be, her breaks inside."""
        board = self.board
        waiting = [
            due
            for due in (board.dues[shift] if work.breakable else ())
            if due.inside and due.key not in board.inside and due.key not in self.inside
        ]
        # A break that finds no place between duties is tried inside.
        options: list[list[Due]] = [waiting[:1], []] if self.manner.eat_inside else [[]]
        while options:
            chosen = options.pop(0)
            laid = self._perform_with(number, work, shift, start, chosen)
            if laid is True:
                return True
            if isinstance(laid, Due) and laid in waiting and laid not in chosen:
                options.insert(0, [*chosen, laid])
            elif laid is None and not chosen and not self.manner.eat_inside:
                options += [[due] for due in waiting]
        return False

    def _perform_with(
        self, number: int, work: PhaseWork, shift: int, start: int, chosen: list[Due]
    ) -> bool | Due | None:
        """Lay the phase with these breaks inside and say so.

        Else False where hands or basins are not free, the break that finds no place beside it, or
        None where a rule on hours forbids it.
        """
        board = self.board
        alone = board.day.work(work, board.day.shifts[shift].person)
        rest = sum(due.size for due in chosen)
        size, help_ = self._helped(number, shift, start, alone + rest)
        end = start + size
        inside = _inside(chosen, start, end)
        if inside is None or not board.is_free(shift, start, end, self.masks):
            return False
        if work.place is Place.BASIN and not board.has_basin(start, end, self.washes):
            return False
        inside |= self.inside
        squeezed = board.squeezed(shift, self._with(shift, start, end), inside)
        if squeezed is not None:
            return squeezed
        if not board.may_work(shift, self._with(shift, start, end), inside):
            return None
        self.masks = self._with(shift, start, end)
        for given in help_:
            self.masks = self._with(given.shift, given.start, given.end)
            self.crew.add(self._person(given.shift))
        self.inside = inside
        if work.place is Place.BASIN:
            self.washes.append((start, end))
        self.phases.append(PhasePlacement(start, end, shift, help_))
        self.at = end
        return True

    def _helped(
        self, number: int, performer: int, start: int, need: int
    ) -> tuple[int, tuple[HelpPlacement, ...]]:
        """The size of the phase with the helpers who can stay longest, and their spans."""
        crew, chosen = set(self.crew), list[_Offer]()
        for offer in self._offers(number, performer, start, need):
            if len(chosen) == self.manner.helpers:
                break
            if offer.person in crew or len(crew) < self.able.visit.visit.max_assistants:
                crew.add(offer.person)
                chosen.append(offer)
        while chosen:
            size, help_ = _shortened(need, chosen, start)
            if all(
                self.board.can_rest(
                    given.shift, self._with(given.shift, given.start, given.end), self.inside
                )
                for given in help_
            ):
                return size, help_
            chosen.pop()
        return need, ()

    def _offers(self, number: int, performer: int, start: int, need: int) -> list[_Offer]:
        if not self.manner.helpers:
            return []
        nobody = {self._person(performer), self.lead}
        offers = []
        for shift in self.able.helpers[number]:
            person = self.board.day.shifts[shift].person
            if person.id in nobody:
                continue
            free = self._free_run(shift, start, need)
            if free:
                offers.append(_Offer(free, hundredths(person.help_rate), shift, person.id))
        offers.sort(key=lambda offer: (-offer.free * offer.rate, offer.shift))
        return offers[:MOST_OFFERS]

    def _free_run(self, shift: int, start: int, most: int) -> int:
        """Steps from `start` that the shift is free on end and could still eat afterwards."""
        board = self.board
        taken = (board.busy[shift] | self.masks.get(shift, 0)) >> (start - board.low)
        taken |= 1 << most
        run = (taken & -taken).bit_length() - 1
        if not run or board.can_rest(shift, self._with(shift, start, start + run), self.inside):
            return run
        # Stop in time for the last moment at which a break may start.
        for due in board.dues[shift]:
            shorter = min(run - due.size, due.last - start)
            if shorter > 0 and board.can_rest(
                shift, self._with(shift, start, start + shorter), self.inside
            ):
                return shorter
        return 0


def _inside(chosen: list[Due], start: int, end: int) -> dict[Key, int] | None:
    """Where these breaks start inside `[start, end)`, the most urgent first; None if one cannot."""
    inside: dict[Key, int] = {}
    for due in sorted(chosen, key=lambda due: due.last):
        at = max(due.first, start)
        if at > min(due.last, end - due.size):
            return None
        inside[due.key] = at
        start = at + due.size
    return inside


def _shortened(
    need: int, chosen: list[_Offer], start: int
) -> tuple[int, tuple[HelpPlacement, ...]]:
    """The least size with `100 size + sum(rate * help) >= 100 need`, help as long as it may be."""

    def done(size: int) -> int:
        return 100 * size + sum(offer.rate * min(offer.free, size) for offer in chosen)

    size = need
    while size > 1 and done(size - 1) >= 100 * need:
        size -= 1
    spare = done(size) - (100 * need + 99)
    help_ = []
    for offer in reversed(chosen):
        steps = min(offer.free, size)
        # More help than the last step needs would make the phase shorter still.
        cut = min(steps, max(0, -(-spare // offer.rate)))
        spare -= cut * offer.rate
        if steps > cut:
            help_.append(HelpPlacement(offer.shift, start, start + steps - cut))
    return size, tuple(reversed(help_))
