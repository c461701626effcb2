"""The best of a tiny day by trying everything: an oracle that shares nothing with the planner.

Written from the sentences of the rules alone. Times are steps of the grid from the opening, and
what takes time is a set of steps. Every way to place one visit is listed, and all combinations are
tried, the worthiest choice of visits first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import combinations, product
from math import ceil

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.resources import Role, StaffMember
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place

Steps = frozenset[int]


@dataclass(frozen=True)
class Owed:
    """A break that a rule owes somebody, and the places it may take."""

    person: str
    rule: str
    number: int
    after: int
    """It is owed where she is on duty for longer, in minutes."""
    places: tuple[Steps, ...]
    inside: bool
    counts_as_work: bool


@dataclass(frozen=True)
class Way:
    """One way to place one visit: who is busy when, what is taken, which breaks lie inside."""

    busy: tuple[tuple[str, Steps], ...]
    chair: str | None
    start: int
    end: int
    basins: tuple[Steps, ...]
    inside: tuple[tuple[Owed, Steps], ...]
    tags: frozenset[str]

    bits: int
    """A bit for each step of each person's time: a quick look before a closer one."""

    def hands(self, person: str) -> Steps:
        return dict(self.busy).get(person, frozenset())

    @property
    def given(self) -> set[Owed]:
        return {owed for owed, _ in self.inside}


class Exhaustive:
    """Tries everything on a day book of one short day."""

    def __init__(self, day_book: DayBook) -> None:
        self.book = day_book
        self.step = day_book.grid.minutes
        self.opening = day_book.open[0]
        self.people = {person.id: person for person in day_book.staff}
        self.shifts = {shift.staff: self.span(shift.window) for shift in day_book.shifts}
        self.rules = {rule.code: rule for rule in day_book.rules or ()}
        self.until = {person: self.latest(person) for person in self.shifts}
        self.visits = [
            visit
            for visit in (*day_book.bookings, *day_book.requests)
            if not (isinstance(visit, Booking) and visit.status is BookingStatus.CANCELLED)
        ]

    def span(self, window: TimeWindow) -> tuple[int, int]:
        """Steps from the opening; the books of these tests lie on the grid."""
        first = (window.start - self.opening.start).total_seconds() / 60
        last = (window.end - self.opening.start).total_seconds() / 60
        return int(first // self.step), int(last // self.step)

    def latest(self, person: str) -> int:
        """The step by which all her work has ended, overtime counted in, which has one setting."""
        end, rule = self.shifts[person][1], self.rules.get("overtime")
        tags = set(self.people[person].tags)
        if rule is None or (rule.scope.staff_tags and not tags & set(rule.scope.staff_tags)):
            return end
        more = int(rule.parameters["minutes"]) // self.step
        return min(end + more, self.span(self.opening)[1])

    def best_value(self) -> int | None:
        """The most worth that can be accepted beside every promise; None if they cannot be kept."""
        ways = {visit.id: self.ways(visit) for visit in self.visits}
        must = [visit for visit in self.visits if self.must(visit)]
        may = [visit for visit in self.visits if not self.must(visit)]
        choices = [chosen for size in range(len(may) + 1) for chosen in combinations(may, size)]
        for chosen in sorted(choices, key=lambda chosen: -sum(map(self.worth, chosen))):
            if self.fits([ways[visit.id] for visit in (*must, *chosen)], []):
                return sum(map(self.worth, chosen))
        return None

    @staticmethod
    def must(visit: Booking | Request) -> bool:
        return isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED

    @staticmethod
    def worth(visit: Booking | Request) -> int:
        if isinstance(visit, Request) and visit.value is not None:
            return visit.value
        return sum(phase.minutes for phase in visit.phases)

    def fits(self, waiting: list[list[Way]], placed: list[Way], taken: int = 0) -> bool:
        if not waiting:
            return self.breaks_fit(placed)
        return any(
            self.fits(waiting[1:], [*placed, way], taken | way.bits)
            for way in waiting[0]
            if not way.bits & taken
            and all(self.beside(way, other) for other in placed)
            and self.basins_do([*placed, way])
            and self.not_too_many([*placed, way])
        )

    def beside(self, one: Way, other: Way) -> bool:
        if one.given & other.given:
            return False
        if any(steps & other.hands(person) for person, steps in one.busy):
            return False
        if one.chair is None or one.chair != other.chair:
            return True
        clean = self.parameter("turnaround", "minutes", 0)
        gap = max(one.start - other.end, other.start - one.end) * self.step
        return gap >= clean

    def basins_do(self, placed: list[Way]) -> bool:
        washes = [wash for way in placed for wash in way.basins]
        steps = {step for wash in washes for step in wash}
        return all(sum(step in wash for wash in washes) <= len(self.book.basins) for step in steps)

    def not_too_many(self, placed: list[Way]) -> bool:
        """At no step more visits of the kind than may be together."""
        rule = self.rules.get("at-most-together")
        if rule is None:
            return True
        there = [
            step
            for way in placed
            if not rule.scope.visit_tags or set(rule.scope.visit_tags) & way.tags
            for step in range(way.start, way.end)
        ]
        return all(there.count(step) <= int(rule.parameters["visits"]) for step in there)

    def breaks_fit(self, placed: list[Way]) -> bool:
        """Whether everybody gets the breaks she is owed, and works no longer than she may."""
        given = {owed: steps for way in placed for owed, steps in way.inside}
        for person in self.shifts:
            busy = frozenset(step for way in placed for step in way.hands(person))
            resting = frozenset(
                step for owed, steps in given.items() if owed.person == person for step in steps
            )
            if not self.hours_do(person, busy - resting):
                return False
            start, end = self.shifts[person]
            duty = (max([end, *(step + 1 for step in busy)]) - start) * self.step
            left = [owed for owed in self.owed(person) if owed not in given and duty > owed.after]
            if not _fit(left, busy):
                return False
        return True

    def hours_do(self, person: str, work: Steps) -> bool:
        """`daily-hours` and `longest-stretch`, on the handwork alone."""
        limit = self.rules.get("daily-hours")
        rests = sum(len(owed.places[0]) for owed in self.owed(person) if owed.counts_as_work)
        if limit and (len(work) + rests) * self.step > int(limit.parameters["minutes"]):
            return False
        stretch = self.rules.get("longest-stretch")
        if stretch is None or not work:
            return True
        begun = last = min(work)
        for step in sorted(work):
            if (step - last - 1) * self.step >= int(stretch.parameters["pause"]):
                begun = step
            last = step
            if (last + 1 - begun) * self.step > int(stretch.parameters["minutes"]):
                return False
        return True

    @cache  # noqa: B019 - a book of a test lives no longer than it
    def owed(self, person: str) -> tuple[Owed, ...]:
        """The meal and the rests of a shift, whether there is a place for them or not.

        With overtime she may be owed a meal that the rota alone would not ask for. It lies in the
        hours of the rota, as the planner has it; rests are not tried together with overtime.
        """
        return (*self.meal(person), *self.rests(person))

    def meal(self, person: str) -> Iterator[Owed]:
        rule = self.rules.get("meal-break")
        start, end = self.shifts[person]
        if rule is None or (self.until[person] - start) * self.step <= int(
            rule.parameters["after"]
        ):
            return
        figures = rule.parameters
        length = ceil(Fraction(int(figures["minutes"]), self.step))
        places = tuple(
            frozenset(range(first, first + length))
            for first in range(start, end - length + 1)
            if int(figures["earliest"]) <= (first - start) * self.step <= int(figures["latest"])
        )
        after, inside = int(figures["after"]), bool(figures["inside"])
        yield Owed(person, "meal", 0, after, places, inside, counts_as_work=False)

    def rests(self, person: str) -> Iterator[Owed]:
        """One for each `every` minutes of the shift or more than half of them."""
        rule = self.rules.get("rest-breaks")
        start, end = self.shifts[person]
        minutes = (end - start) * self.step
        if rule is None or minutes < int(rule.parameters["least"]):
            return
        figures = rule.parameters
        due = max(0, ceil(Fraction(minutes, int(figures["every"])) - Fraction(1, 2)))
        length = ceil(Fraction(int(figures["minutes"]), self.step))
        for number in range(due):
            low, high = minutes * number // due, minutes * (number + 1) // due
            if not figures["spread"]:
                low, high = 0, minutes
            places = tuple(
                frozenset(range(first, first + length))
                for first in range(start, end - length + 1)
                if low <= (first - start) * self.step < high
            )
            inside = bool(figures["inside"])
            yield Owed(person, "rest", number, 0, places, inside, counts_as_work=True)

    def parameter(self, code: str, name: str, otherwise: int) -> int:
        return int(self.rules[code].parameters[name]) if code in self.rules else otherwise

    def ways(self, visit: Booking | Request) -> list[Way]:
        """Every way to place a visit, without those that only take more than another."""
        found: set[Way] = set()
        leads = [person for person in self.book.staff if self.may_lead(visit, person)]
        seats = [
            chair.id
            for chair in self.book.chairs
            if set(visit.chair_features) <= set(chair.features) and not chair.retired
        ]
        chairs = (
            seats if any(phase.place is not Place.NOWHERE for phase in visit.phases) else [None]
        )
        for lead, start in product(leads, self.starts(visit)):
            for laid in self.lay(visit, lead, list(visit.phases), start):
                crew = {person for person, _ in laid["busy"]} - {lead.id}
                if len(crew) > visit.max_assistants or not self.in_time(visit, start, laid["end"]):
                    continue
                if self.is_late(visit, start, laid["end"]):
                    continue
                hands: dict[str, Steps] = {}
                for person, steps in laid["busy"]:
                    hands[person] = hands.get(person, frozenset()) | steps
                for chair in chairs:
                    if chair is not None and self.is_closed(chair, start, laid["end"]):
                        continue
                    found.add(
                        Way(
                            tuple(sorted(hands.items(), key=lambda item: item[0])),
                            chair,
                            start,
                            laid["end"],
                            tuple(laid["basins"]),
                            tuple(laid["inside"]),
                            frozenset(visit.tags),
                            self.bits(hands),
                        )
                    )
        return sorted(_least(found), key=lambda way: (way.start, way.end, str(way.busy)))

    def bits(self, hands: dict[str, Steps]) -> int:
        place = {person: number for number, person in enumerate(self.people)}
        return sum(
            1 << (64 * place[person] + step) for person, steps in hands.items() for step in steps
        )

    def may_lead(self, visit: Booking | Request, person: StaffMember) -> bool:
        promised = visit.promise.lead if isinstance(visit, Booking) else None
        return (
            Role.LEAD in person.roles
            and person.id in self.shifts
            and visit.required_lead in {None, person.id}
            and promised in {None, person.id}
            and person.id not in visit.refused_leads
            and ("preferred-lead" not in self.rules or visit.preferred_lead in {None, person.id})
        )

    def is_closed(self, chair: str, start: int, end: int) -> bool:
        spans = [self.span(each.window) for each in self.book.closures if each.chair == chair]
        return any(start < last and first < end for first, last in spans)

    def starts(self, visit: Booking | Request) -> list[int]:
        _, closing = self.span(self.opening)
        steps = {step for step in range(closing) if step * self.step % self.book.grid.arrivals == 0}
        if isinstance(visit, Booking):
            # A booking may start exactly when it was promised, on the arrivals grid or not.
            promised = int((visit.promise.start - self.opening.start).total_seconds() / 60)
            near = [s for s in steps if abs(s * self.step - promised) <= visit.promise.tolerance]
            return sorted({*near, promised // self.step})
        if "preferred-time" in self.rules and visit.preferred is not None:
            first, last = self.span(visit.preferred)
            steps &= set(range(first, last + 1))
        return sorted(steps)

    def in_time(self, visit: Booking | Request, start: int, end: int) -> bool:
        if end > self.span(self.opening)[1]:
            return False
        if isinstance(visit, Request):
            windows = [self.span(window) for window in visit.windows]
            return any(first <= start and end <= last for first, last in windows)
        latest = visit.promise.latest_finish
        if latest is None:
            return True
        return end * self.step <= (latest - self.opening.start).total_seconds() / 60

    def is_late(self, visit: Booking | Request, start: int, end: int) -> bool:
        """Long, and begun late in the day."""
        rule = self.rules.get("latest-start")
        if rule is None or (rule.scope.visit_tags and not self.tagged(rule, visit)):
            return False
        hours, minutes = map(int, str(rule.parameters["after"]).split(":"))
        midnight = self.opening.start.replace(hour=0, minute=0)
        opened = int((self.opening.start - midnight).total_seconds() / 60)
        late = opened + start * self.step > hours * 60 + minutes
        return late and (end - start) * self.step > int(rule.parameters["longer"])

    @staticmethod
    def tagged(rule: RuleSetting, visit: Booking | Request) -> bool:
        return bool(set(rule.scope.visit_tags) & set(visit.tags))

    def lay(self, visit: Booking | Request, lead: StaffMember, phases: list[PhaseWork], at: int):
        """Every way to lay the remaining phases from `at` on."""
        if not phases:
            yield {"end": at, "busy": [], "basins": [], "inside": []}
            return
        phase, rest = phases[0], phases[1:]
        _, closing = self.span(self.opening)
        longest = self.parameter("longest-wait", "minutes", closing * self.step) // self.step
        for first in self.one_phase(visit, lead, phase, at):
            if not rest:
                yield first
                continue
            for wait in range(min(longest, closing - first["end"]) + 1):
                for later in self.lay(visit, lead, rest, first["end"] + wait):
                    yield {
                        "end": later["end"],
                        **{key: first[key] + later[key] for key in ("busy", "basins", "inside")},
                    }

    def one_phase(self, visit: Booking | Request, lead: StaffMember, phase: PhaseWork, at: int):
        for performer in self.book.staff:
            assists = performer is not lead
            if assists and (
                phase.performer is Performer.LEAD or Role.ASSISTANT not in performer.roles
            ):
                continue
            if performer.id not in self.shifts or not performer.masters(phase.skill, phase.level):
                continue
            work = ceil(Fraction(str(performer.pace)) * phase.minutes / self.step)
            breaks: list[tuple[tuple[Owed, Steps], ...]] = [()]
            if phase.breakable:
                breaks = _choices([each for each in self.owed(performer.id) if each.inside])
            for inside, helping in product(breaks, self.helping(visit, lead, performer, phase, at)):
                length = self.length(work, inside, helping)
                if self.is_unsupervised(phase, performer, helping, length):
                    continue
                during = frozenset(range(at, at + length))
                if any(not steps <= during for _, steps in (*inside, *helping)):
                    continue
                busy = [(performer.id, during), *helping]
                if any(not self.on_shift(person, steps) for person, steps in busy):
                    continue
                if phase.place is Place.BASIN and self.basins_closed(at, at + length):
                    continue
                yield {
                    "end": at + length,
                    "busy": busy,
                    "basins": [during] if phase.place is Place.BASIN else [],
                    "inside": list(inside),
                }

    def length(self, work: int, inside, helping) -> int:
        """Steps of a phase with these breaks inside and this help."""
        saved = sum(
            (Fraction(str(self.people[who].help_rate)) * len(steps) for who, steps in helping),
            Fraction(0),
        )
        return max(1, ceil(work + sum(len(steps) for _, steps in inside) - saved))

    def is_unsupervised(self, phase, performer: StaffMember, helping, length: int) -> bool:
        """An apprentice at work with no lead beside her from start to end."""
        rule = self.rules.get("supervised-apprentice")
        if rule is None or phase.kind != "braiding":
            return False
        level = int(rule.parameters["level"])
        hands = [(performer, phase.skill, length)]
        hands += [(self.people[who], phase.help_skill, len(steps)) for who, steps in helping]
        learning = [not person.masters(skill, level) for person, skill, _ in hands]
        beside = any(
            not learns and Role.LEAD in person.roles and stays == length
            for (person, _, stays), learns in zip(hands, learning, strict=True)
        )
        return any(learning) and not beside

    def basins_closed(self, start: int, end: int) -> bool:
        rule = self.rules.get("resource-closed")
        if rule is None:
            return False
        midnight = self.opening.start.replace(hour=0, minute=0)
        opened = int((self.opening.start - midnight).total_seconds() / 60)
        since, until = (
            60 * int(text[:2]) + int(text[3:]) - opened
            for text in (str(rule.parameters["since"]), str(rule.parameters["until"]))
        )
        return start * self.step < until and since < end * self.step

    def helping(self, visit, lead: StaffMember, performer: StaffMember, phase: PhaseWork, at: int):
        """Every choice of helpers with one contiguous stretch each, from `at` on."""
        options: list[list[tuple[str, Steps]]] = [[]]
        if not phase.shared:
            return options
        _, closing = self.span(self.opening)
        for person in self.book.staff:
            able = (
                person is not performer
                and person is not lead
                and Role.ASSISTANT in person.roles
                and person.id in self.shifts
                and person.masters(phase.help_skill or "")
            )
            if able and visit.max_assistants:
                stretches = [
                    (person.id, frozenset(range(first, last)))
                    for first in range(at, closing)
                    for last in range(first + 1, closing + 1)
                ]
                options += [[*chosen, stretch] for chosen in options for stretch in stretches]
        return options

    def on_shift(self, person: str, steps: Steps) -> bool:
        start, _ = self.shifts[person]
        return not steps or (start <= min(steps) and max(steps) < self.until[person])


def _least(ways: set[Way]) -> Iterator[Way]:
    """Those ways of which no other takes the same with fewer steps of anybody's time.

    No rule asks for more work once a visit is placed, so whatever fits beside the one that takes
    more fits beside the other.
    """
    alike: dict[tuple, list[Way]] = defaultdict(list)
    for way in ways:
        alike[way.chair, way.start, way.end, way.basins, way.inside].append(way)
    for group in alike.values():
        kept: list[Way] = []
        for way in sorted(group, key=lambda way: sum(len(steps) for _, steps in way.busy)):
            if not any(
                all(steps <= way.hands(person) for person, steps in less.busy) for less in kept
            ):
                kept.append(way)
        yield from kept


def _choices(owed: list[Owed]) -> list[tuple[tuple[Owed, Steps], ...]]:
    """Every choice of some of these breaks with places that do not overlap."""
    found: list[tuple[tuple[Owed, Steps], ...]] = [()]
    for each in owed:
        found += [
            (*chosen, (each, place))
            for chosen in found
            for place in each.places
            if all(place.isdisjoint(other) for _, other in chosen)
        ]
    return found


def _fit(owed: list[Owed], busy: Steps) -> bool:
    """Whether these breaks have places beside what is busy and beside each other."""
    if not owed:
        return True
    return any(busy.isdisjoint(place) and _fit(owed[1:], busy | place) for place in owed[0].places)
