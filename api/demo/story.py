"""The walk: a studio is set up, its telephone rings for two weeks, and the questions are answered.

Everything goes through the HTTP API; the names of people come from the studio's own data.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from pydantic import BaseModel
from rich.console import RenderableType
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.rule import Rule
from rich.text import Text

from api.cli.outlet import Outlet
from api.cli.tables.book import Names, spoken_role
from api.cli.tables.day import day_tables
from api.cli.tables.figures import hair_tables, utilisation_tables
from api.cli.tables.findings import findings_blocks
from api.cli.tables.openings import openings_tables
from api.cli.tables.solve import solve_tables
from api.cli.tables.take_off import take_off_tables
from api.cli.tables.words import day_name
from api.demo.diary import WAITING_DAY, Call, calls
from api.demo.front_desk import FrontDesk
from api.demo.menu import MENU, SHOWPIECE
from api.demo.shelf import HONEY, stock
from api.demo.studio import CHAIRS, DAYS, SALON, STAFF, shifts, window
from schemas.booking import Request
from schemas.dealings import NewBooking
from schemas.openings import Opening, OpeningsQuestion, Wish
from schemas.runs import PlanOrder
from schemas.style import MenuEntry
from schemas.takeoff import TakeOffRequest
from solver.takeoff import house_materials

_MENU = {entry.id: entry for entry in MENU}
_CLIENT, _VISIT = "Nomi", "visit-nomi"
"""She wants the showpiece."""


@dataclass
class Tale:
    """What happened so far."""

    first: date
    booked: int = 0
    waiting: int = 0
    turned_away: int = 0
    names: Names = field(init=False)

    def __post_init__(self) -> None:
        materials = (*house_materials(), HONEY)
        self.clients = {_VISIT: _CLIENT}
        self.names = Names(
            zone=ZoneInfo(SALON.zone),
            chairs={chair.id: chair.name for chair in CHAIRS},
            staff={person.id: person.name for person in STAFF},
            clients=self.clients,
            materials={material.id: material.name for material in materials},
            roles={person.id: spoken_role(person) for person in STAFF},
        )


def tell(outlet: Outlet, desk: FrontDesk, first: date, seed: int, seconds: float) -> None:
    """The whole walk from the Monday `first`. Raises RefusalError where the API refuses."""
    tale = Tale(first)
    set_up(outlet, desk, first)
    ring(outlet, desk, tale, seed)
    show_take_off(outlet, desk, tale)
    show_openings(outlet, desk, tale)
    show_plan(outlet, desk, tale, seed, seconds)
    show_figures(outlet, desk, tale)


def set_up(outlet: Outlet, desk: FrontDesk, first: date) -> None:
    """Tell the service of the salon, its chairs, people, shifts, styles and hair."""
    rota = [*shifts(first)]
    steps: list[tuple[str, str, BaseModel]] = [("PUT", "/v1/salon", SALON)]
    steps += [("POST", "/v1/chairs", chair) for chair in CHAIRS]
    steps += [("POST", "/v1/staff", person) for person in STAFF]
    steps += [("POST", f"/v1/staff/{shift.staff}/shifts", shift) for shift in rota]
    steps += [("POST", "/v1/styles", entry) for entry in MENU]
    steps += [("PUT", f"/v1/hair-stock/{name}", line) for name, line in stock(first)]
    with _bar(outlet, "setting up the studio", len(steps)) as advance:
        for method, path, document in steps:
            desk.tell(method, path, document)
            advance()
    leads = sum(spoken_role(person) == "lead" for person in STAFF)
    outlet.show(
        Text(
            f"A studio of {len(CHAIRS)} chairs, {leads} leads, {len(STAFF) - leads} assistants, "
            f"{len(MENU)} styles on the menu, {len(rota)} shifts from "
            f"{day_name(first)} to {day_name(first + timedelta(days=DAYS - 1))} {first.year}."
        )
    )


def ring(outlet: Outlet, desk: FrontDesk, tale: Tale, seed: int) -> None:
    """Two weeks of calls: each is offered openings and takes the best, or waits for the planner."""
    diary = [*calls(tale.first, seed)]
    with _bar(outlet, "answering the telephone", len(diary)) as advance:
        for call in diary:
            _answer(desk, tale, call)
            advance()
    outlet.show(
        Text(
            f"{len(diary)} clients rang: {tale.booked} booked, {tale.waiting} wait for the planner "
            f"on {day_name(tale.first + timedelta(days=WAITING_DAY))}, "
            f"{tale.turned_away} found nothing that day."
        )
    )


def _answer(desk: FrontDesk, tale: Tale, call: Call) -> None:
    tale.clients[call.visit] = call.client
    request = request_for(
        call.visit,
        call.client,
        _MENU[call.menu],
        windows=(call.window,),
        preferred_lead=call.preferred_lead,
    )
    if call.waits:
        desk.book(NewBooking(request=request))
        tale.waiting += 1
        return
    answer = desk.openings(OpeningsQuestion(request=request, wish=call.wish, limit=1))
    if not answer.openings:
        tale.turned_away += 1
        return
    desk.book(NewBooking(request=request, opening=answer.openings[0]))
    tale.booked += 1


def request_for(visit: str, client: str, entry: MenuEntry, **more: object) -> Request:
    return Request.model_validate(
        {
            "id": visit,
            "client": client,
            "take_off": TakeOffRequest(style=entry.style),
            "max_assistants": entry.max_assistants,
            "chair_features": entry.chair_features,
            "tags": entry.tags,
            **more,
        }
    )


def show_take_off(outlet: Outlet, desk: FrontDesk, tale: Tale) -> None:
    outlet.show(*_chapter(1, "Take-off: minutes and hair of a style", "POST /v1/take-offs"))
    outlet.show(*take_off_tables(desk.take_off(SHOWPIECE), tale.names.materials))
    outlet.show(Text(f"Parting map: {desk.parting_map(SHOWPIECE)}"))


def show_openings(outlet: Outlet, desk: FrontDesk, tale: Tale) -> None:
    outlet.show(*_chapter(2, "Openings: when can it be done", "POST /v1/openings"))
    days = [tale.first + timedelta(days=index) for index in range(WAITING_DAY, DAYS)]
    request = request_for(
        _VISIT,
        _CLIENT,
        _MENU[SHOWPIECE],
        windows=tuple(window(day, "09:00", "19:00") for day in days),
    )
    answer = desk.openings(OpeningsQuestion(request=request, wish=Wish.SHORTEST, limit=3))
    outlet.show(*openings_tables(answer, tale.names))
    if not answer.openings:
        return
    number = min(range(len(answer.openings)), key=lambda n: _less_liked(answer.openings[n], tale))
    opening = answer.openings[number]
    record = desk.book(NewBooking(request=request, opening=opening))
    tale.booked += 1
    helped = "" if opening.assistant is None else ", with an assistant"
    words = f"{_CLIENT} takes number {number + 1}{helped}. POST /v1/bookings"
    outlet.show(Text(f"{words}: {record.status.value}."))


def _less_liked(opening: Opening, tale: Tale) -> tuple[bool, bool]:
    """She comes on the day that is planned next if she can, and with an assistant."""
    day = opening.start.astimezone(tale.names.zone).date()
    return day != tale.first + timedelta(days=WAITING_DAY), opening.assistant is None


def show_plan(outlet: Outlet, desk: FrontDesk, tale: Tale, seed: int, seconds: float) -> None:
    day = tale.first + timedelta(days=WAITING_DAY)
    outlet.show(*_chapter(3, "A day planned", f"POST /v1/plans, GET /v1/days/{day}"))
    order = PlanOrder(first=day, last=day, seconds=seconds, seed=seed, publish=True)
    with _fraction_bar(outlet, f"planning {day_name(day)}") as on_progress:
        run = desk.plan(order, on_progress)
    outlet.show(*day_tables(desk.day(day), tale.names))
    if run.result is not None:
        outlet.show(*solve_tables(run.result), *findings_blocks(run.result.findings))


def show_figures(outlet: Outlet, desk: FrontDesk, tale: Tale) -> None:
    year, week, _ = tale.first.isocalendar()
    label = f"{year}-W{week:02d}"
    path = f"GET /v1/reports/chair-utilisation?week={label}"
    outlet.show(*_chapter(4, f"Chair utilisation of week {label}", path))
    outlet.show(*utilisation_tables(desk.utilisation(label)))
    last = tale.first + timedelta(days=DAYS - 1)
    path = f"GET /v1/reports/hair-demand?from={tale.first}&to={last}"
    outlet.show(*_chapter(5, "Hair demand by day", path))
    outlet.show(*hair_tables(desk.hair_demand(tale.first, last), tale.names))


def _chapter(number: int, title: str, path: str) -> Iterable[RenderableType]:
    yield Text()
    yield Rule(f"{number}. {title}", align="left", style="cyan")
    yield Text(path, style="dim")


@contextmanager
def _bar(outlet: Outlet, words: str, steps: int) -> Iterator[Callable[[], None]]:
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(
        *columns, console=outlet.err, transient=True, disable=not outlet.lively
    ) as progress:
        task = progress.add_task(words, total=steps)
        yield lambda: progress.advance(task)


@contextmanager
def _fraction_bar(outlet: Outlet, words: str) -> Iterator[Callable[[float], None]]:
    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.percentage:.0f} %"))
    with Progress(
        *columns, console=outlet.err, transient=True, disable=not outlet.lively
    ) as progress:
        task = progress.add_task(words, total=1.0)
        yield lambda fraction: progress.update(task, completed=fraction)
