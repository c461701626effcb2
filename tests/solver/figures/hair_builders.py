"""Hair, materials and stock for the tests of hair demand."""

from __future__ import annotations

from datetime import date

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.hair import HairQuantity, HairRole, Material, StockLine, StockOrder
from tests.builders import a_day_book, a_window


def a_material(material: str = "fill-black", pack: float = 100.0, days: int = 3) -> Material:
    return Material(
        id=material,
        role=HairRole.FILL,
        texture="yaki",
        colour="black",
        length_cm=120,
        pack_grams=pack,
        pack_price=500,
        currency="EUR",
        supplier_days=days,
        name=material,
    )


def hair(grams: float, material: str = "fill-black", *, brought: bool = False) -> HairQuantity:
    return HairQuantity(
        material=material,
        role=HairRole.FILL,
        grams=grams,
        strands=1,
        packs=1,
        left_over_grams=0,
        brought_by_client=brought,
    )


def stock(grams: float, *orders: tuple[float, date], material: str = "fill-black") -> StockLine:
    under_way = tuple(StockOrder(grams=g, arrives=day) for g, day in orders)
    return StockLine(material=material, on_hand_grams=grams, on_order=under_way)


def a_book(*bookings: Booking, **changes: object) -> DayBook:
    facts = {"materials": (a_material(),), "open": (a_window("9:00", "19:00"),)}
    return a_day_book(visits=bookings, **{**facts, **changes})
