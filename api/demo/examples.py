"""Documents to begin with, cut from the demo studio."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from api.demo.diary import calls
from api.demo.menu import MENU, SHOWPIECE
from api.demo.shelf import HONEY, stock
from api.demo.studio import CHAIRS, SALON, STAFF, instant, shifts, window
from schemas.booking import Booking, Promise, Request
from schemas.daybook import DayBook
from schemas.hair import StockLine
from schemas.style import MenuEntry
from schemas.takeoff import TakeOffRequest

_STYLES = {entry.id: entry for entry in MENU}
_PROMISED = {
    # menu line: the start that the client was promised
    "knotless-medium": "09:00",
    "box-large": "09:00",
    "sew-in": "10:30",
    "cornrows-child": "15:00",
}
_ASKED = (SHOWPIECE, "twists-natural", "feed-in-eight", "knotless-bob")
_WEDNESDAY = 2


def take_off_request() -> TakeOffRequest:
    """The studio's long install with curls."""
    return TakeOffRequest(style=_STYLES[SHOWPIECE].style)


def day_book(first: date) -> DayBook:
    """The Wednesday after the Monday `first`: four promises to keep, four requests to place."""
    day = first + timedelta(days=_WEDNESDAY)
    clients = (call.client for call in calls(first, seed=1))
    return DayBook(
        zone=SALON.zone,
        grid=SALON.grid,
        open=(window(day, "09:00", "19:00"),),
        chairs=CHAIRS,
        basins=SALON.basins,
        staff=STAFF,
        shifts=tuple(shift for shift in shifts(first) if shift.window.start.date() == day),
        bookings=tuple(_bookings(day, clients)),
        requests=tuple(_requests(day, clients)),
        materials=(HONEY,),
        stock=tuple(
            StockLine(material=material, on_hand_grams=line.on_hand_grams, on_order=line.on_order)
            for material, line in stock(first)
        ),
    )


def _bookings(day: date, clients: Iterator[str]) -> Iterator[Booking]:
    for number, (menu, start) in enumerate(_PROMISED.items(), start=1):
        promise = Promise(start=instant(day, start))
        yield Booking(
            id=f"booking-{number}",
            client=next(clients),
            promise=promise,
            **_wanted(_STYLES[menu]),
        )


def _requests(day: date, clients: Iterator[str]) -> Iterator[Request]:
    for number, menu in enumerate(_ASKED, start=1):
        yield Request(
            id=f"request-{number}",
            client=next(clients),
            windows=(window(day, "09:00", "19:00"),),
            **_wanted(_STYLES[menu]),
        )


def _wanted(entry: MenuEntry) -> dict[str, object]:
    return {
        "take_off": TakeOffRequest(style=entry.style),
        "chair_features": entry.chair_features,
        "max_assistants": entry.max_assistants,
    }
