"""A day laid out for the page: chairs as lanes, visits as strands, all in per cent of their width.

Nothing here draws: templates put these figures into SVG. A visit's pieces are measured along the
visit itself, so that the same strand serves a lane of the day and a line of the list for phones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from api.pages.words import clock
from api.services.days import DaySheet
from api.services.opening_hours import local_instant
from schemas.booking import BookingStatus
from schemas.dayview import DayView, StaffDayView, VisitDayView
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.windows import TimeWindow

TONES = 8
"""Tones of hair in the stylesheet; where there are more people, they are used again."""
PIXELS = 6.5
"""Pixels in a per cent of a lane beside the counter; only what is written goes by it."""
Along = Callable[[datetime], float]


@dataclass(frozen=True)
class Piece:
    """One stretch of a strand. `kind` is lead, help, alone, waiting or break."""

    kind: str
    x: float
    width: float
    tone: int = 0
    turn: int = 0
    """Of several who help at once, which one: they wind round the lead's strand in turn."""


@dataclass(frozen=True)
class Strand:
    """One visit."""

    visit: str
    client: str
    window: TimeWindow
    chair: str
    crew: str
    tone: int
    x: float
    width: float
    turnaround: float
    """Per cent of the lane that is cleaned after it."""
    state: str
    """booked, held, ghost (not in the book), was (its place before), changed."""
    note: str
    words: str
    pieces: tuple[Piece, ...]

    @property
    def room(self) -> bool:
        """Whether its whole time can be written after the name, on a lane of usual width."""
        return self.width * PIXELS > 8 * len(self.client) + 112


@dataclass(frozen=True)
class Lane:
    """One chair."""

    name: str
    strands: tuple[Strand, ...]
    closures: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class InToday:
    """One person who is in."""

    id: str
    name: str
    role: str
    tone: int
    hours: str
    breaks: str


@dataclass(frozen=True)
class Drawing:
    """The whole day."""

    day: date
    zone: str
    lanes: tuple[Lane, ...]
    hours: tuple[tuple[float, str], ...]
    open: tuple[float, float] | None
    now: float | None
    now_clock: str
    people: tuple[InToday, ...]
    leads: frozenset[int]
    """Tones whose strand is drawn, and below the windings that are."""
    windings: frozenset[tuple[int, int]]
    kept: str = ""
    """What is shown that the book does not hold."""

    @property
    def strands(self) -> tuple[Strand, ...]:
        """All, in order of time."""
        every = (strand for lane in self.lanes for strand in lane.strands)
        return tuple(sorted(every, key=lambda each: (each.window.start, each.chair)))

    @property
    def before(self) -> date:
        return self.day - timedelta(days=1)

    @property
    def after(self) -> date:
        return self.day + timedelta(days=1)


@dataclass(frozen=True)
class Extra:
    """A visit that is drawn beside those of the book, or in place of one of them."""

    visit: PlannedVisit
    client: str
    state: str
    note: str
    breaks: Sequence[PlannedBreak] = ()


@dataclass(frozen=True)
class Shown:
    """What is drawn otherwise than the book has it."""

    extras: Sequence[Extra] = ()
    without: frozenset[str] = field(default_factory=frozenset)
    kept: str = ""


@dataclass(frozen=True)
class _Scene:
    """What every strand of a day is measured by and called."""

    along: Along
    zone: str
    tones: Mapping[str, int]
    names: Mapping[str, str]
    chairs: Mapping[str, str]
    cleaning: Mapping[str, int]

    def name(self, person: str) -> str:
        return self.names.get(person, person)

    def span(self, window: TimeWindow) -> str:
        return f"{clock(window.start, self.zone)} to {clock(window.end, self.zone)}"


def draw(sheet: DaySheet, now: datetime, shown: Shown | None = None) -> Drawing:
    """The day's figures; `shown` adds what is only looked at."""
    view, shown = sheet.view, shown or Shown()
    axis = _axis(view, [extra.visit.window for extra in shown.extras])
    along = _along(axis)
    tones = {person.staff: number % TONES for number, person in enumerate(view.staff)}
    scene = _Scene(
        along=along,
        zone=view.zone,
        tones=tones,
        names={person.staff: person.name for person in view.staff},
        chairs={chair.chair: chair.name for chair in view.chairs},
        cleaning=sheet.turnaround,
    )
    breaks = [each for person in view.staff for each in person.breaks]
    by_chair: dict[str, list[Strand]] = {chair.chair: [] for chair in view.chairs}
    for visit, state, note, own in _visits(view, shown, breaks):
        strand = _strand(visit, state, note, own, scene)
        by_chair.setdefault(visit.chair or "", []).append(strand)
    lanes = [
        Lane(
            name=chair.name,
            strands=tuple(by_chair.pop(chair.chair)),
            closures=tuple(_span(each, axis, along) for each in chair.closures),
        )
        for chair in view.chairs
    ]
    lanes += [Lane("No chair", tuple(strands)) for strands in by_chair.values() if strands]
    pieces = [piece for lane in lanes for strand in lane.strands for piece in strand.pieces]
    today = axis.start <= now < axis.end
    return Drawing(
        day=view.date,
        zone=view.zone,
        lanes=tuple(lanes),
        hours=tuple(_hours(axis, along, view.zone)),
        open=None if view.open is None else _span(view.open, axis, along),
        now=along(now) if today else None,
        now_clock=clock(now, view.zone),
        people=tuple(_people(sheet, tones)),
        leads=frozenset(piece.tone for piece in pieces if piece.kind == "lead"),
        windings=frozenset((piece.tone, piece.turn) for piece in pieces if piece.kind == "help"),
        kept=shown.kept,
    )


def _visits(
    view: DayView, shown: Shown, breaks: Sequence[PlannedBreak]
) -> Iterator[tuple[VisitDayView, str, str, Sequence[PlannedBreak]]]:
    for visit in view.visits:
        if visit.visit not in shown.without:
            held = visit.status is BookingStatus.TENTATIVE
            yield visit, "held" if held else "booked", "held" if held else "", breaks
    for extra in shown.extras:
        drawn = VisitDayView(
            visit=extra.visit.visit,
            client=extra.client,
            status=BookingStatus.TENTATIVE,
            chair=extra.visit.chair,
            lead=extra.visit.lead,
            assistants=extra.visit.assistants,
            window=extra.visit.window,
            phases=extra.visit.phases,
        )
        yield drawn, extra.state, extra.note, extra.breaks


def _strand(
    visit: VisitDayView, state: str, note: str, breaks: Sequence[PlannedBreak], scene: _Scene
) -> Strand:
    window, along, before = visit.window, scene.along, state == "was"
    chair = visit.chair or ""
    cleaned = window.end + timedelta(minutes=scene.cleaning.get(chair, 0))
    own = [each for each in breaks if each.staff == visit.lead and each.window.overlaps(window)]
    return Strand(
        visit=visit.visit,
        client=visit.client,
        window=window,
        chair=scene.chairs.get(chair, "no chair"),
        crew=" + ".join(scene.name(person) for person in (visit.lead, *visit.assistants)),
        tone=scene.tones.get(visit.lead, 0),
        x=along(window.start),
        width=round(along(window.end) - along(window.start), 3),
        turnaround=0.0 if before else round(along(cleaned) - along(window.end), 3),
        state=state,
        note=note,
        words=_words(visit, note, own, scene),
        pieces=() if before else tuple(_pieces(visit, own, scene.tones)),
    )


def _pieces(
    visit: VisitDayView, breaks: Sequence[PlannedBreak], tones: Mapping[str, int]
) -> Iterator[Piece]:
    whole = visit.window
    along = _along(whole)
    reached = whole.start
    for phase in visit.phases:
        if phase.window.start > reached:
            gap = TimeWindow(start=reached, end=phase.window.start)
            yield Piece("waiting", *_span(gap, whole, along))
        reached = max(reached, phase.window.end)
        tone = tones.get(phase.performer, 0)
        if phase.performer != visit.lead:
            yield Piece("alone", *_span(phase.window, whole, along), tone)
        else:
            rests = [each.window for each in breaks]
            for stretch in _apart(phase.window, rests):
                yield Piece("lead", *_span(stretch, whole, along), tone)
            for rest in rests:
                if rest.overlaps(phase.window):
                    yield Piece("break", *_span(rest, phase.window, along), tone)
        for turn, help_ in enumerate(phase.help):
            winds = Piece("help", *_span(help_.window, whole, along), tones.get(help_.staff, 0))
            yield Piece(winds.kind, winds.x, winds.width, winds.tone, turn)
    if reached < whole.end:
        yield Piece("waiting", *_span(TimeWindow(start=reached, end=whole.end), whole, along))


def _apart(window: TimeWindow, rests: Iterable[TimeWindow]) -> Iterator[TimeWindow]:
    """What is left of the window outside the rests."""
    start = window.start
    inside = (rest for rest in rests if rest.overlaps(window))
    for rest in sorted(inside, key=lambda each: each.start):
        if rest.start > start:
            yield TimeWindow(start=start, end=rest.start)
        start = max(start, rest.end)
    if start < window.end:
        yield TimeWindow(start=start, end=window.end)


def _words(visit: VisitDayView, note: str, rests: Sequence[PlannedBreak], scene: _Scene) -> str:
    """All that the strand shows, in one sentence."""
    chair = scene.chairs.get(visit.chair or "", "no chair")
    said = [
        f"{visit.client}, {scene.span(visit.window)}, {chair}",
        f"lead {scene.name(visit.lead)}",
    ]
    said += [
        f"{scene.name(phase.performer)} does {phase.kind.replace('-', ' ')} "
        f"{scene.span(phase.window)}"
        for phase in visit.phases
        if phase.performer != visit.lead
    ]
    said += [
        f"{scene.name(help_.staff)} helps {scene.span(help_.window)}"
        for phase in visit.phases
        for help_ in phase.help
    ]
    said += [f"the lead's break {scene.span(each.window)}" for each in rests]
    return "; ".join([*said, note] if note else said)


def _people(sheet: DaySheet, tones: Mapping[str, int]) -> Iterator[InToday]:
    zone = sheet.view.zone

    def spans(windows: Iterable[TimeWindow]) -> str:
        return ", ".join(f"{clock(w.start, zone)}\N{EN DASH}{clock(w.end, zone)}" for w in windows)

    people: Sequence[StaffDayView] = sheet.view.staff
    for person in people:
        yield InToday(
            id=person.staff,
            name=person.name,
            role="lead" if person.staff in sheet.leads else "assistant",
            tone=tones[person.staff],
            hours=spans(person.shifts) or "not on the rota",
            breaks=spans(each.window for each in person.breaks),
        )


def _axis(view: DayView, more: Iterable[TimeWindow]) -> TimeWindow:
    """From the full hour before the first thing of the day to the one after the last."""
    windows = [visit.window for visit in view.visits] + list(more)
    windows += [shift for person in view.staff for shift in person.shifts]
    if view.open is not None:
        windows.append(view.open)
    if not windows:
        nine, six = (local_instant(view.date, hour * 60, view.zone) for hour in (9, 18))
        return TimeWindow(start=nine, end=six)
    start = min(window.start for window in windows)
    end = max(window.end for window in windows)
    whole = timedelta(hours=1)
    end = end.replace(minute=0) + (whole if end.minute else timedelta())
    return TimeWindow(start=start.replace(minute=0), end=end)


def _along(axis: TimeWindow) -> Along:
    length = axis.minutes

    def along(instant: datetime) -> float:
        return round((instant - axis.start).total_seconds() / 60 / length * 100, 3)

    return along


def _span(window: TimeWindow, within: TimeWindow, along: Along) -> tuple[float, float]:
    start, end = max(window.start, within.start), min(window.end, within.end)
    return along(start), round(max(0.0, along(end) - along(start)), 3)


def _hours(axis: TimeWindow, along: Along, zone: str) -> Iterator[tuple[float, str]]:
    hour = axis.start
    while hour < axis.end:
        yield along(hour), clock(hour, zone)
        hour += timedelta(hours=1)
