"""A second judge of plans of one short day, written from the sentences of the rules alone.

It counts minutes: who does what at each minute is a set of them, and every rule is a question about
such sets. It shares nothing with the checker, is slow, and knows only the rules of
`tests.solver.tiny_days`, with its one opening and its one shift for each person.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import datetime
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.plan import BreakKind, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.resources import Role, StaffMember
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place

Minutes = frozenset[int]


class Referee:
    """Names the hard rules that a plan breaks."""

    def __init__(self, book: DayBook, plan: Plan) -> None:
        self.book, self.plan = book, plan
        self.people = {person.id: person for person in book.staff}
        self.chairs = {chair.id: chair for chair in book.chairs}
        self.visits = {visit.id: visit for visit in (*book.bookings, *book.requests)}
        self.shifts = {shift.staff: self.minutes(shift.window) for shift in book.shifts}
        self.rules = {rule.code: rule for rule in book.rules or () if rule.hard and rule.on}
        self.until = {
            who: max(shift) + 1 + self.overtime(who) for who, shift in self.shifts.items()
        }
        self.duty = {who: self.on_duty(who) for who in self.shifts}
        self.broken: set[str] = set()

    def at(self, instant: datetime) -> int:
        """Minutes from the local midnight of the day; these days have no clock change."""
        midnight = self.book.open[0].start.replace(hour=0, minute=0)
        return int((instant - midnight).total_seconds() // 60)

    def minutes(self, window: TimeWindow) -> Minutes:
        return frozenset(range(self.at(window.start), self.at(window.end)))

    def overtime(self, who: str) -> int:
        """Minutes past her shift in which she may work."""
        tags = set(self.people[who].tags)
        for rule in self.book.rules or ():
            asked = set(rule.scope.staff_tags)
            if rule.code == "overtime" and rule.on and (not asked or tags & asked):
                return int(rule.parameters["minutes"])
        return 0

    def on_duty(self, who: str) -> Minutes:
        """Her shift, and the overtime that she works and may work."""
        start, end = min(self.shifts[who]), max(self.shifts[who]) + 1
        windows = [
            window
            for planned in self.plan.visits
            for phase in planned.phases
            for staff, window in (
                (phase.performer, phase.window),
                *((each.staff, each.window) for each in phase.help),
            )
            if staff == who and self.at(window.start) >= start
        ]
        ends = [self.at(window.end) for window in windows]
        return frozenset(range(start, max([end, *(e for e in ends if e <= self.until[who])])))

    def figure(self, code: str, name: str) -> int:
        return int(self.rules[code].parameters[name])

    def verdict(self) -> set[str]:
        """The codes of the rules broken."""
        self.answers()
        for planned in self.plan.visits:
            self.visit(planned)
        for rest in self.plan.breaks:
            self.one_break(rest)
        self.places()
        self.hands()
        self.hours()
        return self.broken

    def say(self, code: str, broken: bool) -> None:
        if broken:
            self.broken.add(code)

    def stay(self, planned: PlannedVisit) -> Minutes:
        """From the first to the last minute that the visit or one of its phases names."""
        windows = [planned.window, *(phase.window for phase in planned.phases)]
        return frozenset(
            range(min(self.at(w.start) for w in windows), max(self.at(w.end) for w in windows))
        )

    def work_of(self, planned: PlannedVisit) -> list[tuple[PhaseWork | None, PlannedPhase]]:
        """Each planned phase with the work of its kind; no kind comes twice on these days."""
        visit = self.visits.get(planned.visit)
        waiting = {work.kind: work for work in (visit.phases if visit else ())}
        return [(waiting.pop(phase.kind, None), phase) for phase in planned.phases]

    def rests_in(self, planned: PlannedVisit, work: PhaseWork | None, phase: PlannedPhase):
        """Breaks of the performer that lie inside a phase which allows them."""
        for rest in self.plan.breaks:
            inside = self.minutes(rest.window) <= self.minutes(phase.window)
            hers = rest.staff == phase.performer and rest.inside == planned.visit
            if work and work.breakable and hers and inside:
                yield rest

    def answers(self) -> None:
        placed = Counter(planned.visit for planned in self.plan.visits)
        declined = Counter(self.plan.declined)
        for name, visit in self.visits.items():
            cancelled = isinstance(visit, Booking) and visit.status is BookingStatus.CANCELLED
            promised = isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED
            if promised:
                self.say("promise-kept", placed[name] == 0 or declined[name] > 0)
            if not cancelled:
                self.say("work-done", placed[name] > 1 or declined[name] > 1)
                self.say("work-done", bool(placed[name]) and bool(declined[name]))
                self.say("work-done", not promised and not placed[name] and not declined[name])
        self.say("work-done", any(name not in self.visits for name in (*placed, *declined)))

    def visit(self, planned: PlannedVisit) -> None:
        visit, stay = self.visits.get(planned.visit), self.stay(planned)
        start, end = min(stay), max(stay) + 1
        opening = self.minutes(self.book.open[0])
        self.say("opening-hours", not stay <= opening)
        phases = [phase.window for phase in planned.phases]
        self.say("work-done", planned.window.start != min(w.start for w in phases))
        self.say("work-done", planned.window.end != max(w.end for w in phases))
        for before, after in pairwise(planned.phases):
            gap = self.at(after.window.start) - self.at(before.window.end)
            self.say("work-done", gap < 0)
            self.say(
                "longest-wait",
                "longest-wait" in self.rules and gap > self.figure("longest-wait", "minutes"),
            )
        self.lead(planned)
        self.chair(planned, stay)
        if visit is None:
            return
        self.say(
            "work-done", [p.kind for p in planned.phases] != [work.kind for work in visit.phases]
        )
        for work, phase in self.work_of(planned):
            if work is not None:
                self.phase(planned, work, phase)
        self.times(planned, start, end)
        if "latest-start" in self.rules and self.concerns("latest-start", visit):
            after = str(self.rules["latest-start"].parameters["after"])
            late = start > 60 * int(after[:2]) + int(after[3:])
            self.say("latest-start", late and end - start > self.figure("latest-start", "longer"))
        if "preferred-lead" in self.rules:
            self.say("preferred-lead", visit.preferred_lead not in {None, planned.lead})
        if "preferred-time" in self.rules and isinstance(visit, Request) and visit.preferred:
            first, last = self.at(visit.preferred.start), self.at(visit.preferred.end)
            self.say("preferred-time", not first <= start <= last)

    def concerns(self, code: str, visit: Booking | Request) -> bool:
        tags = self.rules[code].scope.visit_tags
        return not tags or bool(set(tags) & set(visit.tags))

    def times(self, planned: PlannedVisit, start: int, end: int) -> None:
        visit, grid = self.visits[planned.visit], self.book.grid
        windows = [phase.window for phase in planned.phases]
        windows += [each.window for phase in planned.phases for each in phase.help]
        self.say("client-window", any(map(self.off_grid, windows)))
        promised = self.at(visit.promise.start) if isinstance(visit, Booking) else None
        told = self.at(planned.window.start)
        self.say("client-window", bool(told % grid.arrivals) and told != promised)
        if isinstance(visit, Request):
            stay = frozenset(range(start, end))
            fits = any(stay <= self.minutes(window) for window in visit.windows)
            self.say("client-window", not fits)
            return
        promise = visit.promise
        self.say("promise-kept", abs(start - self.at(promise.start)) > promise.tolerance)
        self.say("promise-kept", promise.lead not in {None, planned.lead})
        late = promise.latest_finish is not None and end > self.at(promise.latest_finish)
        self.say("promise-kept", late)

    def off_grid(self, window: TimeWindow) -> bool:
        return any(self.at(edge) % self.book.grid.minutes for edge in (window.start, window.end))

    def lead(self, planned: PlannedVisit) -> None:
        visit, lead = self.visits.get(planned.visit), self.people.get(planned.lead)
        self.say("skilled-hands", lead is None or lead.retired or Role.LEAD not in lead.roles)
        crew = {phase.performer for phase in planned.phases}
        crew |= {each.staff for phase in planned.phases for each in phase.help}
        crew -= {planned.lead}
        strangers = [name for name in crew if name not in self.people]
        self.say("skilled-hands", bool(strangers))
        no_assistants = [
            name
            for name in crew
            if name in self.people and Role.ASSISTANT not in self.people[name].roles
        ]
        self.say("skilled-hands", bool(no_assistants))
        if visit is not None:
            self.say("skilled-hands", visit.required_lead not in {None, planned.lead})
            self.say("skilled-hands", planned.lead in visit.refused_leads)
            self.say("skilled-hands", len(crew) > visit.max_assistants)

    def chair(self, planned: PlannedVisit, stay: Minutes) -> None:
        visit = self.visits.get(planned.visit)
        needs = visit is not None and any(w.place is not Place.NOWHERE for w in visit.phases)
        if planned.chair is None:
            self.say("fitting-chair", needs)
            return
        chair = self.chairs.get(planned.chair)
        self.say("fitting-chair", visit is not None and not needs)
        self.say("fitting-chair", chair is None or chair.retired)
        if chair is not None:
            wanted = set(visit.chair_features) if visit else set()
            self.say("fitting-chair", not wanted <= set(chair.features))
        for closure in self.book.closures:
            if closure.chair == planned.chair:
                self.say("fitting-chair", bool(stay & self.minutes(closure.window)))

    def phase(self, planned: PlannedVisit, work: PhaseWork, phase: PlannedPhase) -> None:
        performer, during = self.people.get(phase.performer), self.minutes(phase.window)
        if work.performer is Performer.LEAD:
            self.say("skilled-hands", phase.performer != planned.lead)
        if performer is not None:
            self.say("skilled-hands", not performer.masters(work.skill, work.level))
        names = [each.staff for each in phase.help]
        self.say("work-done", bool(names) and not work.shared)
        self.say("work-done", len(set(names)) < len(names))
        for each in phase.help:
            self.say("work-done", not self.minutes(each.window) <= during)
            helper = self.people.get(each.staff)
            if helper is not None and work.help_skill is not None:
                self.say("skilled-hands", not helper.masters(work.help_skill))
        if performer is not None:
            rests = frozenset(
                minute
                for rest in self.rests_in(planned, work, phase)
                for minute in self.minutes(rest.window)
            )
            self.say("work-done", len(during) != self.due(work, performer, phase, len(rests)))
        if "supervised-apprentice" in self.rules and work.kind == "braiding":
            self.say("supervised-apprentice", self.unsupervised(work, phase))

    def due(self, work: PhaseWork, performer: StaffMember, phase: PlannedPhase, rest: int) -> int:
        """Minutes the phase has to last."""
        step = self.book.grid.minutes
        alone = ceil(work.minutes * Fraction(str(performer.pace)) / step) * step + rest
        saved = Fraction(0)
        if work.shared:
            for each in phase.help:
                helper = self.people.get(each.staff)
                if helper is not None:
                    saved += Fraction(str(helper.help_rate)) * len(self.minutes(each.window))
        return max(step, ceil((alone - saved) / step) * step) if saved else alone

    def unsupervised(self, work: PhaseWork, phase: PlannedPhase) -> bool:
        level, whole = self.figure("supervised-apprentice", "level"), self.minutes(phase.window)
        hands = [(phase.performer, work.skill, whole)]
        hands += [(e.staff, work.help_skill or "", self.minutes(e.window)) for e in phase.help]
        known = [(self.people[who], skill, m) for who, skill, m in hands if who in self.people]
        learning = [person for person, skill, _ in known if not person.masters(skill, level)]
        beside = [
            person
            for person, skill, minutes in known
            if person.masters(skill, level) and Role.LEAD in person.roles and whole <= minutes
        ]
        return bool(learning) and not beside

    def one_break(self, rest: PlannedBreak) -> None:
        """A break keeps the grid, and lies inside a visit where it is said to."""
        self.say("client-window", self.off_grid(rest.window))
        if rest.inside is None:
            return
        inside = any(
            rest in list(self.rests_in(planned, work, phase))
            for planned in self.plan.visits
            for work, phase in self.work_of(planned)
        )
        self.say("work-done", not inside)

    def places(self) -> None:
        """Chairs and basins hold one client at a time, chairs are cleaned, no kind is too many."""
        stays: dict[str, list[Minutes]] = defaultdict(list)
        washes: dict[str, list[Minutes]] = defaultdict(list)
        there: Counter[int] = Counter()
        for planned in self.plan.visits:
            stay, visit = self.stay(planned), self.visits.get(planned.visit)
            if planned.chair is not None:
                stays[planned.chair].append(stay)
            for work, phase in self.work_of(planned):
                at_basin = work is not None and work.place is Place.BASIN
                known = phase.basin in {basin.id for basin in self.book.basins}
                self.say("basin-one-client", at_basin and not known)
                self.say("basin-one-client", phase.basin is not None and not known)
                if phase.basin is not None:
                    washes[phase.basin].append(self.minutes(phase.window))
                    self.closed_basin(self.minutes(phase.window))
            together = "at-most-together" in self.rules
            if visit and together and self.concerns("at-most-together", visit):
                there.update(stay)
        for code, taken in (("chair-one-client", stays), ("basin-one-client", washes)):
            for times in taken.values():
                self.say(code, any(n > 1 for n in Counter(m for t in times for m in t).values()))
        if "turnaround" in self.rules:
            for times in stays.values():
                self.cleaned(times)
        if there:
            most = self.figure("at-most-together", "visits")
            self.say("at-most-together", max(there.values()) > most)

    def cleaned(self, times: list[Minutes]) -> None:
        """No free time between two clients of a chair that is too short to clean it."""
        taken = sorted({minute for time in times for minute in time})
        gaps = [after - before - 1 for before, after in pairwise(taken) if after - before > 1]
        edges = {min(time) for time in times} & {max(time) + 1 for time in times}
        free_edges = [
            edge for edge in edges if sum(edge - 1 in t and edge in t for t in times) == 0
        ]
        clean = self.figure("turnaround", "minutes")
        self.say("turnaround", any(gap < clean for gap in gaps) or bool(free_edges and clean))

    def closed_basin(self, wash: Minutes) -> None:
        if "resource-closed" in self.rules:
            since, until = (
                60 * int(text[:2]) + int(text[3:])
                for text in (
                    str(self.rules["resource-closed"].parameters[name])
                    for name in ("since", "until")
                )
            )
            self.say("resource-closed", bool(wash & frozenset(range(since, until))))

    def hands(self) -> None:
        """One thing at a time, and inside the shift."""
        busy: dict[str, list[Minutes]] = defaultdict(list)
        self.work: dict[str, set[int]] = defaultdict(set)
        for planned in self.plan.visits:
            for work, phase in self.work_of(planned):
                during = self.minutes(phase.window)
                self.work_within(phase.performer, during)
                for rest in self.rests_in(planned, work, phase):
                    during -= self.minutes(rest.window)
                busy[phase.performer].append(during)
                self.work[phase.performer] |= during
                for each in phase.help:
                    self.work_within(each.staff, self.minutes(each.window))
                    busy[each.staff].append(self.minutes(each.window))
                    self.work[each.staff] |= self.minutes(each.window)
        for rest in self.plan.breaks:
            hers = self.duty.get(rest.staff, frozenset())
            self.say("within-shift", not self.minutes(rest.window) <= hers)
            busy[rest.staff].append(self.minutes(rest.window))
        for times in busy.values():
            clash = any(n > 1 for n in Counter(m for time in times for m in time).values())
            self.say("hands-one-client", clash)

    def work_within(self, who: str, minutes: Minutes) -> None:
        shift = self.shifts.get(who)
        allowed = range(min(shift), self.until[who]) if shift else range(0)
        self.say("within-shift", not minutes <= frozenset(allowed))

    def hours(self) -> None:
        """Breaks that are owed, and work that is too much."""
        for who, shift in self.duty.items():
            start, end = min(shift), max(shift) + 1
            mine = [
                r for r in self.plan.breaks if r.staff == who and self.minutes(r.window) <= shift
            ]
            self.meal(mine, start, end)
            self.rests(mine, start, end)
        for who, work in self.work.items():
            if who not in self.people:
                continue
            if "daily-hours" in self.rules:
                rests = {
                    minute
                    for rest in self.plan.breaks
                    if rest.staff == who and rest.kind is BreakKind.REST
                    for minute in self.minutes(rest.window)
                }
                limit = self.figure("daily-hours", "minutes")
                self.say("daily-hours", len(work | rests) > limit)
            if "longest-stretch" in self.rules:
                self.stretch(sorted(work))

    def meal(self, mine: list[PlannedBreak], start: int, end: int) -> None:
        if "meal-break" not in self.rules or end - start <= self.figure("meal-break", "after"):
            return
        good = [
            rest
            for rest in mine
            if rest.kind is BreakKind.MEAL
            and len(self.minutes(rest.window)) >= self.figure("meal-break", "minutes")
            and (rest.inside is None or self.figure("meal-break", "inside"))
            and self.figure("meal-break", "earliest")
            <= self.at(rest.window.start) - start
            <= self.figure("meal-break", "latest")
        ]
        self.say("meal-break", not good)

    def rests(self, mine: list[PlannedBreak], start: int, end: int) -> None:
        if "rest-breaks" not in self.rules or end - start < self.figure("rest-breaks", "least"):
            return
        due = max(
            0, ceil(Fraction(end - start, self.figure("rest-breaks", "every")) - Fraction(1, 2))
        )
        good = [
            self.minutes(rest.window)
            for rest in mine
            if rest.kind is BreakKind.REST
            and len(self.minutes(rest.window)) >= self.figure("rest-breaks", "minutes")
            and (rest.inside is None or self.figure("rest-breaks", "inside"))
        ]
        if self.figure("rest-breaks", "spread"):
            for part in range(due):
                low = start + floor(Fraction((end - start) * part, due))
                high = start + floor(Fraction((end - start) * (part + 1), due))
                self.say("rest-breaks", not any(low <= min(rest) < high for rest in good))
        else:
            apart = [
                rest for n, rest in enumerate(good) if all(rest.isdisjoint(o) for o in good[:n])
            ]
            self.say("rest-breaks", len(apart) < due)

    def stretch(self, work: list[int]) -> None:
        pause, most = (self.figure("longest-stretch", name) for name in ("pause", "minutes"))
        begun = last = work[0]
        for minute in work:
            if minute - last - 1 >= pause:
                begun = minute
            last = minute
            self.say("longest-stretch", minute + 1 - begun > most)
