"""A seeded month of requests that reach a small salon one by one, and how a policy sells it.

A client says what she wants: which days, and maybe which lead; the desk asks for the soonest of
those days. Some
have a limit in mind that they say only when a time is named: not before eleven, or home by half
past four. She is impatient: she takes the first opening named that is inside her limit, or leaves.

What is sold counts as the minutes of work that the visit states, so that help, which shortens a
visit and frees its chair, does not lower what it counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.openings import Opening, OpeningsQuestion, Wish
from schemas.plan import Plan
from schemas.ranking import RankingWeights
from schemas.resources import Role
from schemas.windows import TimeWindow
from schemas.work import Performer
from solver.openings import BookIndex, booking_of, find_openings
from tests.benchmarks.full_books import ZONE, Size, empty_book, request

LATE, EARLY = 11 * 60, 16 * 60 + 30
"""Untold limits: not before eleven; done by half past four. Minutes of the day."""
NEARLY_TWO_WEEKS = 11
"""Open days ahead that most clients look at."""
NOTHING_COUNTS = RankingWeights(
    lost_percent=0,
    hole_percent=0,
    split_minutes=0,
    scarce_percent=0,
    assistant_percent=0,
    morning_percent=0,
)
OFFERS = 3
"""Named to each client by either policy."""
AHEAD = 6
"""Days before the first that the book is opened."""


@dataclass(frozen=True)
class Client:
    """What she says, and what she takes."""

    request: Request
    windows: tuple[TimeWindow, ...]
    """Inside what the request says; a visit outside all of these she does not take."""

    @property
    def minutes(self) -> int:
        return sum(work.minutes for work in self.request.phases)

    @property
    def whole(self) -> Request:
        """The request as one who knew her mind would state it."""
        return self.request.model_copy(update={"windows": self.windows, "value": self.minutes})

    def takes(self, opening: Opening) -> bool:
        return any(window.contains(opening.visit.window) for window in self.windows)


@dataclass(frozen=True)
class Month:
    """An empty book and the clients in the order in which they ask."""

    book: DayBook
    clients: tuple[Client, ...]


@dataclass
class Sales:
    """What a policy sold: the book at the end, and who bought."""

    index: BookIndex
    bought: list[Client] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        return sum(client.minutes for client in self.bought)

    @property
    def plan(self) -> Plan:
        """The book as a plan, breaks of all shifts completed."""
        days = [plan for _, plan in self.index.days]
        return Plan(
            visits=tuple(visit for day in days for visit in day.visits),
            breaks=tuple(each for day in days for each in day.breaks),
        )


Policy = Callable[[BookIndex, Client], Iterable[Opening]]
"""Names openings to a client, one after another."""


def month(size: Size, count: int, seed: int) -> Month:
    """The same seed gives the same month."""
    random = Random(f"month-{seed}")
    book = empty_book(size, seed)
    days = [hours.start.astimezone(ZoneInfo(ZONE)).date() for hours in book.open]
    asked = sorted(random.uniform(-AHEAD, 7 * size.weeks - 2) for _ in range(count))
    clients = (_client(random, book, days, number, at) for number, at in enumerate(asked))
    return Month(book, tuple(clients))


def _client(random: Random, book: DayBook, days: list[date], number: int, at: float) -> Client:
    """Somebody who asks `at` days after the first day of the book, for days from the next on."""
    tomorrow = days[0] + timedelta(days=int(at // 1) + 1)
    ahead = [day for day in days if day >= tomorrow][: NEARLY_TWO_WEEKS + 1]
    kind = random.choice(("soon", "saturday", "lead", "some days", "some days"))
    suits = sorted(random.sample(ahead, min(3, len(ahead))))
    if kind == "soon":
        suits = ahead[:2]
    elif kind == "saturday":
        suits = [day for day in ahead if day.weekday() == 5]
    told = tuple(_hours(book, day) for day in suits or ahead)
    wanted = request(random, f"client-{number}", told)
    if kind == "lead":
        able = _able(book, wanted)
        wanted = (
            wanted.model_copy(update={"required_lead": random.choice(able)}) if able else wanted
        )
    limit = random.choice(("late", "early", *6 * ("none",)))
    return Client(wanted, tuple(_limited(each, limit) for each in told))


def _hours(book: DayBook, day: date) -> TimeWindow:
    return next(
        hours for hours in book.open if hours.start.astimezone(ZoneInfo(ZONE)).date() == day
    )


def _limited(hours: TimeWindow, limit: str) -> TimeWindow:
    day = hours.start.astimezone(ZoneInfo(ZONE)).date()
    midnight = datetime.combine(day, time(0), ZoneInfo(ZONE))
    if limit == "late":
        return TimeWindow(start=midnight + timedelta(minutes=LATE), end=hours.end)
    if limit == "early":
        return TimeWindow(start=hours.start, end=midnight + timedelta(minutes=EARLY))
    return hours


def _able(book: DayBook, wanted: Request) -> list[str]:
    skills = [work.skill for work in wanted.phases if work.performer is Performer.LEAD]
    return [
        person.id
        for person in book.staff
        if Role.LEAD in person.roles and all(person.masters(skill) for skill in skills)
    ]


def sell_month(asked: Month, policy: Policy) -> Sales:
    """Asks the policy for each client in turn, and sells the first opening that she takes."""
    sales = Sales(BookIndex.of(asked.book))
    for client in asked.clients:
        for opening in policy(sales.index, client):
            if client.takes(opening):
                booking = booking_of(client.request, opening.visit)
                sales.index = sales.index.with_booking(booking, opening.breaks)
                sales.bought.append(client)
                break
    return sales


def first_fit(index: BookIndex, client: Client) -> tuple[Opening, ...]:
    """The first three starts that fit what she says, each with the lead booked least, then the
    shortest; named in order of time.
    """
    return tuple(_starts(index, client, OFFERS))


def read_out(index: BookIndex, client: Client) -> tuple[Opening, ...]:
    """The earliest start of all that she takes, as if each were read out until she says yes."""
    question = OpeningsQuestion(request=client.whole, limit=1, weights=NOTHING_COUNTS)
    return find_openings(index.day_book, question, index=index).openings


def _starts(index: BookIndex, client: Client, count: int) -> Iterator[Opening]:
    """The first openings, no two at one start."""
    windows = client.request.windows
    while windows and count:
        asked = client.request.model_copy(update={"windows": windows})
        question = OpeningsQuestion(request=asked, limit=1, weights=NOTHING_COUNTS)
        found = find_openings(index.day_book, question, index=index).openings
        if not found:
            return
        yield found[0]
        later = found[0].start + timedelta(minutes=1)
        windows = tuple(
            TimeWindow(start=max(window.start, later), end=window.end)
            for window in windows
            if window.end > later
        )
        count -= 1


def ranked(
    weights: RankingWeights | None = None, wish: Wish = Wish.ANY_HOUR, limit: int = OFFERS
) -> Policy:
    """Our offers, in their order."""

    def policy(index: BookIndex, client: Client) -> Iterable[Opening]:
        question = OpeningsQuestion(request=client.request, wish=wish, limit=limit, weights=weights)
        return find_openings(index.day_book, question, index=index).openings

    return policy
