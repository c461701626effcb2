"""Every layout of a visit for a crew of given abilities: who does what when, from the start on.

The phases lie back to back from the start. The lead does the lead's phases and at least one phase;
each crew phase is done by the lead or by the one assistant; help is one stretch in one shared phase
that the lead performs. Help of `h` minutes on the grid makes the phase

    d(h) = max(g, ceil_g(work + break inside - h * e))        with h <= d(h)

minutes long (`e` the help rate in hundredths, `g` the grid). For every length shorter than without
help the least such `h` is taken: more help for the same length fits nowhere else. A break inside is
the lead's, in a breakable phase that she performs.

Leads of one ability share their layouts, and so do assistants: names come later, in `crews`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from schemas.work import Performer, PhaseWork

Piece = tuple[int, int]
"""`(a, b)`: the slots `[s + a, s + b)` of a visit that starts at `s`."""


@dataclass(frozen=True)
class Ability:
    """What of a person decides how long each phase takes, and which phases she may do."""

    own: tuple[int | None, ...]
    """Slots for each phase alone; None where she may not perform it."""
    rate: int = 0
    """Help rate in hundredths."""
    helps: tuple[bool, ...] = ()
    """The phases she may help with."""
    meal: int = 0
    """Slots of the meal break that may lie inside a phase of hers; 0 for none."""


class Layout:
    """One layout. Offsets and lengths are slots from the visit's start; compared by identity."""

    __slots__ = (
        "assistant_pieces",
        "bounds",
        "by_lead",
        "floating",
        "help",
        "helped",
        "inside",
        "lead_pieces",
        "length",
    )

    def __init__(
        self,
        by_lead: tuple[bool, ...],
        bounds: tuple[int, ...],
        helped: int | None = None,
        help_: int = 0,
        inside: int | None = None,
    ) -> None:
        self.by_lead = by_lead
        """By phase, whether the lead performs it; else the assistant does."""
        self.bounds = bounds
        """Where each phase begins, and where the last one ends."""
        self.length = bounds[-1]
        self.helped, self.help = helped, help_
        """Which phase is helped with, and for how long."""
        self.inside = inside
        """Which phase the lead's break lies in."""
        self.floating = None if helped is None else (bounds[helped], bounds[helped + 1], help_)
        """The phase helped with, and the length of the help."""
        lead: list[Piece] = []
        assistant: list[Piece] = []
        start = 0
        for led, end in zip(by_lead, bounds[1:], strict=True):
            pieces = lead if led else assistant
            if pieces and pieces[-1][1] == start:
                pieces[-1] = (pieces[-1][0], end)
            else:
                pieces.append((start, end))
            start = end
        self.lead_pieces = tuple(lead)
        """The lead's phases as stretches, abutting ones joined."""
        self.assistant_pieces = tuple(assistant)
        """The phases the assistant performs; her help is not among them."""


def layouts(
    works: Sequence[PhaseWork], lead: Ability, assistant: Ability | None, step: int
) -> list[Layout]:
    """All layouts for this crew, the shortest first; with an assistant, those that need her."""
    found = list(_layouts(works, lead, assistant, step))
    return sorted(found, key=lambda each: (each.length, each.help))


def _layouts(
    works: Sequence[PhaseWork], lead: Ability, assistant: Ability | None, step: int
) -> Iterator[Layout]:
    for by_lead in product(*(_choices(work, n, lead, assistant) for n, work in enumerate(works))):
        if not any(by_lead):
            continue  # who does nothing on a visit does not lead it
        own = [
            _own(lead if led or assistant is None else assistant, number)
            for number, led in enumerate(by_lead)
        ]
        stretched: list[int | None] = [None]
        if lead.meal:
            stretched += [n for n, work in enumerate(works) if work.breakable and by_lead[n]]
        for inside in stretched:
            lengths = list(own)
            if inside is not None:
                lengths[inside] += lead.meal
            if assistant is None or not all(by_lead):
                yield Layout(by_lead, _bounds(lengths), inside=inside)
            if assistant is None:
                continue
            for number, led in enumerate(by_lead):
                if not led or not assistant.helps[number]:
                    continue
                for length, help_ in _helped(lengths[number], assistant.rate, step):
                    shorter = [*lengths[:number], length, *lengths[number + 1 :]]
                    yield Layout(by_lead, _bounds(shorter), number, help_, inside)


def _choices(
    work: PhaseWork, number: int, lead: Ability, assistant: Ability | None
) -> Iterator[bool]:
    """Whether the lead may perform this phase, and whether the assistant may."""
    if lead.own[number] is not None:
        yield True
    if work.performer is Performer.CREW and assistant and assistant.own[number] is not None:
        yield False


def _own(ability: Ability, number: int) -> int:
    own = ability.own[number]
    assert own is not None, "a phase is given only to who may perform it"
    return own


def _helped(alone: int, rate: int, step: int) -> Iterator[tuple[int, int]]:
    """`(length, least help)` for every length that help can bring a phase down to."""
    shortest, help_ = alone, step
    while True:
        length = max(step, -(-(100 * alone - rate * help_) // (100 * step)) * step)
        if help_ > length:
            return
        if length < shortest:
            yield length, help_
            shortest = length
        help_ += step


def _bounds(lengths: list[int]) -> tuple[int, ...]:
    bounds = [0]
    for length in lengths:
        bounds.append(bounds[-1] + length)
    return tuple(bounds)
